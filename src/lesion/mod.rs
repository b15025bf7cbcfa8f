//! Turns "where and how badly" into cuts: which segments let through how much.

mod parse;
mod words;

pub use parse::{MAX_PARTS, at, join, parse};
pub use words::with_article;

use crate::anatomy::{Model, SegmentIx, SegmentSet};

/// How badly a place is injured.
#[derive(Debug, Clone, PartialEq)]
pub enum Severity {
    Complete,
    /// Share of the fibres that is cut, above 0 and below 1.
    Partial(f64),
    /// Only the fibres of these roots (positions in `Model::roots`) are cut.
    Roots(Vec<usize>),
    /// A root torn before its ganglion.
    Avulsion,
}

/// The share that `partial` cuts when no figure is given.
pub const HALF: f64 = 0.5;

/// One injured place.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Id of a site or of a segment.
    pub place: String,
    /// As in a sentence: "radial nerve in the spiral groove".
    pub label: String,
    pub severity: Severity,
    /// The severity as written in arguments and JSON: "complete", "partial", "40%", "C7,C8", "avulsion".
    pub severity_word: String,
}

/// What one injured place does to one segment.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    pub segment: SegmentIx,
    /// Share of the fibres that still passes, 0-1.
    pub passes: f64,
    /// Only fibres of these roots are touched; empty: all.
    pub roots: Vec<usize>,
}

/// One or more injured places, with what they cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesion {
    pub parts: Vec<Part>,
    pub cuts: Vec<Cut>,
    /// The cut segments as a set.
    pub set: SegmentSet,
}

impl Lesion {
    /// Lies where the fibres still run as the roots do, above where those of a dermatome part.
    pub fn radicular(&self, model: &Model) -> bool {
        self.cuts.iter().any(|cut| {
            let segment = model.segments.get(cut.segment);
            segment.is_some_and(|s| s.kind.radicular)
        })
    }
}

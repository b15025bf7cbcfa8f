//! What is decided of a station before any sheet is written: drawn from a seed or written by a teacher, it is the same draft.

use super::kind::{Slot, StationKind};
use super::station::Authored;
use crate::anatomy::Structure;
use crate::case::{Case, Level};
use crate::findings::Fixed;
use crate::reasoning::Rival;
use crate::teaching::{Approach, Block, Notes};

/// A station in the making.
#[derive(Debug, Clone)]
pub struct Draft {
    pub kind: StationKind,
    pub level: Level,
    pub minutes: u32,
    pub reading_minutes: u32,
    pub total_marks: u32,
    /// The patient; their findings are those of one limb, with what the population leaves open fixed.
    pub case: Case,
    pub fixed: Vec<Fixed>,
    /// What a teacher says of the place, completed by what is derived.
    pub notes: Notes,
    /// Nobody wrote notes: all of them are derived.
    pub derived: bool,
    pub told: Told,
    /// What is asked, with what each question is made from.
    pub asked: Vec<Asked>,
    /// Other places, nearest first; and those that nothing at the bedside parts from this one.
    pub rivals: Vec<Rival>,
    pub alike: Vec<Rival>,
    pub origin: Origin,
    /// Of all content that can change it; `None`: that of the cache.
    pub content_version: Option<String>,
    /// Draws wordings.
    pub seed: u64,
    /// For the candidate; those of the kind, or the author's.
    pub task: Vec<String>,
    pub not_required: String,
}

/// One question of the draft.
#[derive(Debug, Clone)]
pub struct Asked {
    pub slot: Slot,
    pub block: Block,
    /// Marks that its author set for prompts; else they follow from the marks of the question.
    pub caps: Option<[Option<f64>; 3]>,
    /// As the author says; else as the bank does.
    pub domain: Option<String>,
    /// Its author says how many lines of the choice are enough, and then all its fixed lines count.
    pub choose: Option<u32>,
    /// Its author says how long it takes.
    pub seconds: Option<u32>,
}

/// What the candidate knows at the start.
#[derive(Debug, Clone)]
pub enum Told {
    Findings(Vec<Structure>),
    /// The patient's sentence.
    Complaint(String),
    Lesion,
    /// Both places in the order told, "radial nerve in the axilla"; and the other place.
    Pair {
        places: [String; 2],
        rival: Box<Rival>,
    },
    Nerve(String),
    Approach(Box<Approach>),
}

/// How the same station is had again.
#[derive(Debug, Clone)]
pub enum Origin {
    Drawn {
        /// The argument that gives the lesion or its site again.
        place: String,
        variants: Vec<String>,
    },
    Own(Authored),
}

impl Draft {
    /// A teacher wrote it.
    pub fn authored(&self) -> bool {
        matches!(self.origin, Origin::Own(_))
    }
}

//! What may the rest of a circuit rely on? The checked blueprint: after the check nothing in here is doubted again.

use super::clock::Second;
use super::passing::Passing;
use crate::case::Level;

/// What may not be exceeded, whoever writes the blueprint.
pub const MOST_POSITIONS: usize = 60;
pub const MOST_CANDIDATES: usize = 2000;
pub const MOST_GROUPS: usize = 12;
pub const MOST_TRACKS: usize = 20;
pub const MOST_SITTINGS: usize = 40;

/// Two stations of one form may be this much alike unless the blueprint says otherwise. Ours: see the developers' page.
pub const USUAL_SIMILARITY: f64 = 0.75;
/// Share of a form's stations that may lie on one nerve unless the blueprint says otherwise. Ours.
pub const USUAL_ONE_NERVE: f64 = 0.4;

#[derive(Debug, Clone)]
pub struct Blueprint {
    /// The file's stem.
    pub id: String,
    pub title: String,
    /// As written, for print only; may be empty.
    pub date: String,
    pub place: String,
    pub seed: Option<u64>,
    pub pace: Pace,
    /// In the order of the route.
    pub positions: Vec<Position>,
    pub wanted: Vec<Want>,
    /// Pairs of site ids that must not meet in one form.
    pub apart: Vec<(String, String)>,
    pub reuse: Vec<Reuse>,
    /// Site ids and station codes.
    pub avoid: Vec<String>,
    /// Paths of exposure records, as written.
    pub exposure: Vec<String>,
    /// Paths of records of how hard stations turned out to be, as written.
    pub learned: Vec<String>,
    pub limits: Limits,
    pub passing: Passing,
    pub groups: Vec<Group>,
    pub examiners: Vec<Examiner>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pace {
    pub changeover: Second,
    pub warning: Second,
    pub starts: Starts,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Starts {
    /// Everyone starts at the same bell; all positions take the same time.
    Together,
    /// Everyone starts as soon as the place in front is free; positions may differ in length.
    Staggered,
}

/// A place on the route.
#[derive(Debug, Clone, PartialEq)]
pub struct Position {
    /// "1", "2" ..., "R1" for a rest.
    pub name: String,
    pub reading: Second,
    /// Of the station or rest itself.
    pub length: Second,
    pub station: Option<Shape>,
}

/// What a station at a position must be.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shape {
    /// Whole minutes.
    pub minutes: u32,
    pub reading: u32,
    pub level: Level,
    /// `None`: any kind.
    pub kind: Option<String>,
}

/// One cell of the blueprint.
#[derive(Debug, Clone, PartialEq)]
pub struct Want {
    /// "nerve radial, kind trace".
    pub label: String,
    /// 1-based line in the blueprint; 0 for a rule of the program.
    pub line: usize,
    pub filter: Filter,
    pub least: usize,
    pub most: usize,
}

/// What counts for a cell; everything given must hold.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Filter {
    /// Positions in the model's sites; `None`: any.
    pub sites: Option<Vec<usize>>,
    pub kind: Option<String>,
    pub level: Option<Level>,
    pub domain: Option<String>,
}

/// A station printed before, to be used in every form.
#[derive(Debug, Clone, PartialEq)]
pub struct Reuse {
    pub site: String,
    pub kind: String,
    pub level: Level,
    pub minutes: u32,
    pub seed: u64,
    pub line: usize,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Cosine of two stations' words, 0 to 1.
    pub similarity: f64,
    /// Share of a form's stations on one nerve, 0 to 1.
    pub one_nerve: f64,
    pub repeat_sites: Repeat,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repeat {
    /// As few as the other rules allow.
    Least,
    Never,
}

/// Candidates who get the same form.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    pub id: String,
    pub candidates: Vec<Candidate>,
    pub sittings: Vec<Sitting>,
    pub quarantined: bool,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    pub id: String,
    pub name: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sitting {
    pub id: String,
    pub start: Second,
    pub tracks: usize,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Examiner {
    pub id: String,
    pub name: String,
    pub knows: Vec<String>,
    /// `None`: any sitting.
    pub sittings: Option<Vec<String>>,
}

impl Shape {
    /// A position of this shape can hold a station of this level, length and kind.
    pub fn holds(&self, level: Level, minutes: u32, kind: &str) -> bool {
        self.level == level
            && self.minutes == minutes
            && self.kind.as_deref().is_none_or(|k| k == kind)
    }
}

impl Position {
    /// From its first bell to the next position's first bell.
    pub fn slot(&self, pace: Pace) -> Second {
        self.reading + self.length + pace.changeover
    }
}

impl Blueprint {
    /// The shapes asked for, in order, with the positions of each.
    pub fn shapes(&self) -> Vec<(Shape, Vec<usize>)> {
        let mut all: Vec<(Shape, Vec<usize>)> = Vec::new();
        for (i, position) in self.positions.iter().enumerate() {
            let Some(shape) = &position.station else {
                continue;
            };
            match all.iter_mut().find(|(s, _)| s == shape) {
                Some((_, positions)) => positions.push(i),
                None => all.push((shape.clone(), vec![i])),
            }
        }
        all
    }

    /// What a position of the route is called; empty for none.
    pub fn name(&self, position: usize) -> &str {
        let found = self.positions.get(position);
        found.map_or("", |p| p.name.as_str())
    }

    pub fn stations(&self) -> usize {
        self.positions
            .iter()
            .filter(|p| p.station.is_some())
            .count()
    }
}

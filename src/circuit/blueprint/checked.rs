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
pub const MOST_SPARES: usize = 3;

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
    /// Everybody's, in the order of the slots; only where all start together.
    pub breaks: Vec<Break>,
    pub rotation: Rotation,
    /// Stations in reserve for each form.
    pub spares: usize,
    /// A station that all examiners mark before the day.
    pub calibration: bool,
    /// Stations that the spare one of their form stands in for: (group, position of the route).
    pub replaced: Vec<(usize, usize)>,
    pub groups: Vec<Group>,
    pub examiners: Vec<Examiner>,
    /// Columns of the lists that nothing is read from.
    pub unread: Vec<String>,
}

/// When examiners take another station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rotation {
    Stay,
    Sitting,
    /// At each sitting, and at each break within one.
    Break,
}

/// A pause after so many slots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Break {
    pub after: usize,
    pub length: Second,
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
    /// Stations at which one examiner may mark one candidate.
    pub same_examiner: Option<usize>,
    /// Sittings that an examiner takes without one off.
    pub sittings_in_a_row: Option<usize>,
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

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Candidate {
    pub id: String,
    pub name: String,
    /// More time, in tenths of a per cent.
    pub extra: u32,
    /// The seat stays empty.
    pub absent: bool,
    /// When they are there, if that is after their first bell.
    pub late: Option<Second>,
}

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sitting {
    pub id: String,
    pub start: Second,
    pub tracks: usize,
    /// More time at each station, in tenths of a per cent.
    pub extra: u32,
}

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Examiner {
    pub id: String,
    pub name: String,
    pub knows: Vec<String>,
    /// `None`: any sitting.
    pub sittings: Option<Vec<String>>,
    /// Takes a station only when somebody is missing.
    pub reserve: bool,
    pub absent: bool,
    /// When they went home, if that is before the end.
    pub left: Option<Second>,
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

/// With so many tenths of a per cent more, in whole half minutes.
fn longer(time: Second, extra: u32) -> Second {
    (time * (1000 + extra)).div_ceil(1000).div_ceil(30) * 30
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

    /// The route of a sitting with so many tenths of a per cent more time. Who starts together moves on together.
    pub fn route(&self, extra: u32) -> Vec<Position> {
        if extra == 0 {
            return self.positions.clone();
        }
        let mut all = self.positions.clone();
        for p in all.iter_mut().filter(|p| p.station.is_some()) {
            p.reading = longer(p.reading, extra);
            p.length = longer(p.length, extra);
        }
        if self.pace.starts == Starts::Together {
            let slots = all.iter().filter(|p| p.station.is_some());
            let most = slots.map(|p| p.slot(self.pace)).max().unwrap_or(0);
            for p in &mut all {
                let more = most.saturating_sub(p.slot(self.pace));
                match p.station {
                    Some(_) => p.reading += more,
                    None => p.length += more,
                }
            }
        }
        all
    }

    /// Once round a route with all breaks, in seconds.
    pub fn round(&self, route: &[Position]) -> Second {
        let slots: Second = route.iter().map(|p| p.slot(self.pace)).sum();
        slots + self.breaks.iter().map(|b| b.length).sum::<Second>()
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

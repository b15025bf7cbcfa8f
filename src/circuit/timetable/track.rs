//! What is a track? A copy of the route in one sitting, with its own candidates and examiners.

use super::rotation::Timetable;
use crate::circuit::blueprint::{Blueprint, Candidate, Sitting, clock};

/// One track of one sitting: a copy of the route with its own candidates and examiners.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    /// Positions in `Blueprint::groups` and its sittings.
    pub group: usize,
    pub sitting: usize,
    /// From 0.
    pub number: usize,
    /// Positions in the group's candidates, in the order of the timetable.
    pub candidates: Vec<usize>,
    pub table: Timetable,
    /// For each position of the route the examiner who sits there (position in `Blueprint::examiners`); `None`: a rest, or
    /// nobody is named in the blueprint.
    pub home: Vec<Option<usize>>,
    /// For each visit of the timetable the examiner who marks it.
    pub marks: Vec<Option<usize>>,
}

impl Track {
    pub fn sitting<'b>(&self, blueprint: &'b Blueprint) -> Option<&'b Sitting> {
        blueprint.groups.get(self.group)?.sittings.get(self.sitting)
    }

    pub fn start(&self, blueprint: &Blueprint) -> clock::Second {
        self.sitting(blueprint).map_or(0, |s| s.start)
    }

    /// The last changeover of its last candidate.
    pub fn end(&self, blueprint: &Blueprint) -> clock::Second {
        self.start(blueprint) + self.table.length
    }

    /// A candidate by their place in the track.
    pub fn candidate<'b>(&self, blueprint: &'b Blueprint, number: usize) -> Option<&'b Candidate> {
        let own = self.candidates.get(number)?;
        blueprint.groups.get(self.group)?.candidates.get(*own)
    }
}

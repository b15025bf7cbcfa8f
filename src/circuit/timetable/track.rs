//! What is a track? A copy of the route in one sitting, with its own candidates and examiners.

use super::rotation::{Timetable, Visit};
use crate::circuit::blueprint::{Blueprint, Candidate, Examiner, Position, Sitting, clock};

/// One track of one sitting: a copy of the route with its own candidates and examiners.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    /// Positions in `Blueprint::groups` and its sittings.
    pub group: usize,
    pub sitting: usize,
    /// From 0.
    pub number: usize,
    /// For each seat, in the order of the timetable, the position in the group's candidates; `None`: it stays empty.
    pub candidates: Vec<Option<usize>>,
    /// The route with the times of this sitting.
    pub positions: Vec<Position>,
    /// Visits of taken seats only.
    pub table: Timetable,
    /// For each position of the route the examiner who sits there (position in `Blueprint::examiners`); `None`: a rest, or
    /// nobody is named in the blueprint.
    pub home: Vec<Option<usize>>,
    /// The same after each break, where examiners change at breaks; else empty.
    pub moved: Vec<Vec<Option<usize>>>,
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

    /// A candidate by their seat in the track.
    pub fn candidate<'b>(&self, blueprint: &'b Blueprint, seat: usize) -> Option<&'b Candidate> {
        let own = (*self.candidates.get(seat)?)?;
        blueprint.groups.get(self.group)?.candidates.get(own)
    }

    /// Whether an examiner (by position in the blueprint) declared the candidate of a seat.
    pub fn is_known(&self, blueprint: &Blueprint, seat: usize, examiner: usize) -> bool {
        let id = self.candidate(blueprint, seat).map(|c| &c.id);
        let known = blueprint.examiners.get(examiner).map(|e| &e.knows);
        matches!((id, known), (Some(id), Some(known)) if known.contains(id))
    }

    /// Whether the examiner comes to this sitting.
    pub fn takes(&self, blueprint: &Blueprint, examiner: &Examiner) -> bool {
        let id = self.sitting(blueprint).map_or("", |s| s.id.as_str());
        let named = examiner.sittings.as_ref();
        let gone = examiner.left.is_some_and(|at| at <= self.start(blueprint));
        !examiner.absent && !gone && named.is_none_or(|all| all.iter().any(|s| s == id))
    }

    /// How many breaks there were before a visit.
    pub fn breaks_before(&self, blueprint: &Blueprint, visit: &Visit) -> usize {
        let slot = self.positions.first().map_or(0, |p| p.slot(blueprint.pace));
        let mut end = self.start(blueprint);
        let mut slots = 0;
        let over = blueprint.breaks.iter().take_while(|b| {
            end += (b.after - slots) as clock::Second * slot + b.length;
            slots = b.after;
            end <= visit.from
        });
        over.count()
    }

    /// Who sits at the position of a visit when it begins.
    pub fn home_at(&self, blueprint: &Blueprint, visit: &Visit) -> Option<usize> {
        let homes = match self.breaks_before(blueprint, visit) {
            0 => &self.home,
            n => self.moved.get(n - 1).unwrap_or(&self.home),
        };
        homes.get(visit.position).copied().flatten()
    }

    /// How many seats are taken.
    pub fn taken(&self) -> usize {
        self.candidates.iter().flatten().count()
    }

    /// From the first bell of a visit to that of the next one.
    pub fn slot(&self, blueprint: &Blueprint, visit: &Visit) -> clock::Second {
        let position = self.positions.get(visit.position);
        position.map_or(0, |p| p.slot(blueprint.pace))
    }
}

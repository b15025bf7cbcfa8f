//! Who marks whom? Nobody marks a candidate they know, and nobody marks the same candidate again and again: for the one slot at which
//! that would be, examiners change places.

use super::matching::{NEVER, cheapest};
use super::rotation::Visit;
use super::track::Track;
use crate::circuit::blueprint::{Blueprint, Examiner, clock};
use crate::diagnostic::Problem;
use std::collections::{BTreeMap, BTreeSet};

/// A mark to be given: (track, visit).
type Place = (usize, usize);

/// What a change costs: marking somebody again, for each time before; a step in of who is free; a change of seats.
const AGAIN: i64 = 25;
const STEPS_IN: i64 = 10;
const CHANGES: i64 = 11;

/// What it costs in a day planned before to move somebody who could stay: no number of the other costs outweighs it.
const MOVED: i64 = 100_000;

/// A change at one bell may make another bell's change necessary where the marks of a pair are capped.
const PASSES: usize = 6;

/// For each time at which somebody would mark a candidate they know: the examiners who are there change places for that slot, as
/// few of them as possible; those without a station step in first, and those who mark the candidate elsewhere last.
pub(super) fn stand_ins(
    blueprint: &Blueprint,
    tracks: &mut [Track],
    together: &[usize],
    settled: bool,
) -> Vec<Problem> {
    let mut times: BTreeMap<u32, Vec<Place>> = BTreeMap::new();
    for &t in together {
        let track = &tracks[t];
        let marked = track.table.visits.iter().zip(&track.marks).enumerate();
        for (v, (visit, _)) in marked.filter(|(_, (_, marks))| marks.is_some()) {
            times.entry(visit.from).or_default().push((t, v));
        }
    }
    let mut problems: BTreeMap<u32, Problem> = BTreeMap::new();
    for _ in 0..PASSES {
        let mut changed = false;
        for (&at, here) in &times {
            let bell = Bell::new(blueprint, tracks, together, (at, settled));
            let Some(clash) = here.iter().find_map(|place| bell.clash(*place, here)) else {
                problems.remove(&at);
                continue;
            };
            match cheapest(&bell.costs(&times, here)) {
                Some(found) => {
                    for (&(t, v), e) in here.iter().zip(found) {
                        tracks[t].marks[v] = Some(e);
                    }
                    problems.remove(&at);
                    changed = true;
                }
                None => {
                    problems.insert(at, clash);
                }
            }
        }
        if !changed {
            break;
        }
    }
    problems.into_values().collect()
}

/// What goes on when a bell rings.
struct Bell<'a> {
    blueprint: &'a Blueprint,
    tracks: &'a [Track],
    together: &'a [usize],
    at: u32,
    /// Planned before: whoever can stays where they are.
    settled: bool,
    /// With staggered starts others are in the middle of a station: they stay.
    busy: Vec<usize>,
}

impl<'a> Bell<'a> {
    fn new(
        blueprint: &'a Blueprint,
        tracks: &'a [Track],
        together: &'a [usize],
        (at, settled): (u32, bool),
    ) -> Bell<'a> {
        let mut bell = Bell {
            blueprint,
            tracks,
            together,
            at,
            settled,
            busy: Vec::new(),
        };
        let inside =
            |t: usize, visit: &Visit| visit.from < at && at < visit.from + bell.slot(t, visit);
        bell.busy = bell
            .marked()
            .filter(|(t, visit, _)| inside(*t, visit))
            .map(|(_, _, e)| e)
            .collect();
        bell
    }

    fn slot(&self, t: usize, visit: &Visit) -> u32 {
        self.tracks[t].slot(self.blueprint, visit)
    }

    fn marked(&self) -> impl Iterator<Item = (usize, &'a Visit, usize)> + '_ {
        self.together.iter().flat_map(|&t| {
            let track = &self.tracks[t];
            let both = track.table.visits.iter().zip(&track.marks);
            both.filter_map(move |(visit, e)| e.map(|e| (t, visit, e)))
        })
    }

    /// At how many other stations the examiner marks the candidate of this place.
    fn elsewhere(&self, (t, v): Place, examiner: usize) -> usize {
        let track = &self.tracks[t];
        let visit = track.table.visits[v];
        let both = track.table.visits.iter().zip(&track.marks);
        both.filter(|(other, e)| {
            **e == Some(examiner) && other.candidate == visit.candidate && other.from != visit.from
        })
        .count()
    }

    fn has_left(&self, examiner: usize) -> bool {
        let left = self.blueprint.examiners.get(examiner).and_then(|e| e.left);
        left.is_some_and(|at| at <= self.at)
    }

    /// Why whoever marks here now cannot.
    fn clash(&self, (t, v): Place, here: &[Place]) -> Option<Problem> {
        let (track, visit) = (&self.tracks[t], &self.tracks[t].table.visits[v]);
        let e = track.marks[v]?;
        let id = &self.blueprint.examiners.get(e)?.id;
        let before = self.elsewhere((t, v), e);
        let most = self.blueprint.limits.same_examiner;
        let twice = here
            .iter()
            .filter(|&&(a, b)| self.tracks[a].marks[b] == Some(e))
            .count()
            > 1;
        let why = if self.has_left(e) {
            format!("{id} has left")
        } else if track.is_known(self.blueprint, visit.candidate, e) {
            format!("{id} knows them")
        } else if most.is_some_and(|most| before >= most) {
            format!("{id} marks them at {before} other stations, which is the limit")
        } else if twice || self.busy.contains(&e) {
            format!("{id} is at another station then")
        } else {
            return None;
        };
        let problem = Problem::new(format!(
            "at {} no examiner is free who may mark candidate {} at station {} ({why})",
            clock::show(self.at),
            track.candidate(self.blueprint, visit.candidate)?.id,
            self.blueprint.name(visit.position),
        ));
        Some(problem.hint(match self.blueprint.limits.same_examiner {
            Some(_) => "name one more examiner who does not know the candidate, raise `same_examiner` under `limits:`, or move the candidate to another group",
            None => "name one more examiner who does not know the candidate, or move the candidate to another group",
        }))
    }

    /// What it costs to let each examiner mark each of the visits that begin now.
    fn costs(&self, times: &BTreeMap<u32, Vec<Place>>, here: &[Place]) -> Vec<Vec<i64>> {
        let next: Vec<(u32, usize)> = times
            .range(self.at + 1..)
            .flat_map(|(when, there)| there.iter().map(move |place| (*when, *place)))
            .filter_map(|(when, (t, v))| self.tracks[t].marks[v].map(|e| (when, e)))
            .collect();
        let there: BTreeSet<usize> = here
            .iter()
            .filter_map(|&(t, v)| self.tracks[t].marks[v])
            .collect();
        let cost = |place: Place, e: usize, examiner: &Examiner| -> i64 {
            let (t, v) = place;
            let (track, visit) = (&self.tracks[t], &self.tracks[t].table.visits[v]);
            let until = self.at + self.slot(t, visit);
            let before = self.elsewhere(place, e);
            if !track.takes(self.blueprint, examiner)
                || self.has_left(e)
                || self.busy.contains(&e)
                || next.iter().any(|(when, x)| *x == e && *when < until)
                || track.is_known(self.blueprint, visit.candidate, e)
                || self
                    .blueprint
                    .limits
                    .same_examiner
                    .is_some_and(|most| before >= most)
            {
                return NEVER;
            }
            before as i64 * AGAIN
                + match (track.marks[v] == Some(e), there.contains(&e)) {
                    (true, _) => 0,
                    (false, false) => STEPS_IN,
                    (false, true) if self.settled => MOVED,
                    (false, true) => CHANGES,
                }
        };
        let examiners = || self.blueprint.examiners.iter().enumerate();
        let row = |place: &Place| examiners().map(|(e, x)| cost(*place, e, x)).collect();
        here.iter().map(row).collect()
    }
}

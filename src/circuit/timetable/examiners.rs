//! Who marks whom? Every station gets an examiner, nobody marks a candidate they know, and nobody marks the same candidate again and
//! again.

use super::matching::{NEVER, cheapest};
use super::rotation::Visit;
use super::track::Track;
use crate::circuit::blueprint::{Blueprint, Examiner, clock};
use crate::diagnostic::Problem;
use std::collections::BTreeMap;

/// A place at which somebody marks: (track, position of the route) or (track, visit).
type Place = (usize, usize);

/// What a place of the table costs: a candidate who is known, a sitting taken before, a change of seats, marking somebody again.
const KNOWN: i64 = 10_000;
const AGAIN: i64 = 25;
const STEPS_IN: i64 = 10;
const CHANGES: i64 = 11;
const BEFORE: i64 = 4;

/// Tracks that run at the same time, by their start: they share the examiners.
fn at_once(blueprint: &Blueprint, tracks: &[Track]) -> Vec<Vec<usize>> {
    let mut all: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (i, t) in tracks.iter().enumerate() {
        all.entry(t.start(blueprint)).or_default().push(i);
    }
    all.into_values().collect()
}

fn stations(blueprint: &Blueprint) -> impl Iterator<Item = usize> {
    let all = blueprint.positions.iter().enumerate();
    all.filter(|(_, p)| p.station.is_some()).map(|(i, _)| i)
}

fn can_come(examiner: &Examiner, blueprint: &Blueprint, track: &Track) -> bool {
    let id = track.sitting(blueprint).map_or("", |s| s.id.as_str());
    let named = examiner.sittings.as_ref();
    named.is_none_or(|all| all.iter().any(|s| s == id))
}

fn knows(blueprint: &Blueprint, examiner: usize, track: &Track, candidate: usize) -> bool {
    let id = track.candidate(blueprint, candidate).map(|c| &c.id);
    let known = blueprint.examiners.get(examiner).map(|e| &e.knows);
    matches!((id, known), (Some(id), Some(known)) if known.contains(id))
}

/// Sittings for which too few can come, counted before anything is tried.
pub(super) fn too_few(blueprint: &Blueprint, tracks: &[Track]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for together in at_once(blueprint, tracks) {
        let here: Vec<&Track> = together.iter().filter_map(|&t| tracks.get(t)).collect();
        let places = here.len() * blueprint.stations();
        let comes = |e: &&Examiner| here.iter().any(|t| can_come(e, blueprint, t));
        let can = blueprint.examiners.iter().filter(comes).count();
        if can >= places {
            continue;
        }
        let mut names: Vec<&str> = here
            .iter()
            .filter_map(|t| t.sitting(blueprint))
            .map(|s| s.id.as_str())
            .collect();
        names.dedup();
        let names = names.join(", ");
        let enough = match can / blueprint.stations().max(1) {
            0 => format!("have {can} stations or fewer"),
            n => format!("run {n} of the {} tracks at a time", here.len()),
        };
        problems.push(
            Problem::new(format!(
                "sitting {names}: {places} stations need an examiner at the same time, but only {can} of {} can come",
                blueprint.examiners.len()
            ))
            .hint(format!(
                "name {} more examiners who can take {names}, or {enough}",
                places - can
            )),
        );
    }
    problems
}

/// Every examiner at a station, and never in front of a candidate they know.
pub(super) fn examine(blueprint: &Blueprint, tracks: &mut [Track]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut taken = vec![0; blueprint.examiners.len()];
    for together in at_once(blueprint, tracks) {
        if homes(blueprint, tracks, &together, &mut taken) {
            problems.extend(stand_ins(blueprint, tracks, &together));
            continue;
        }
        let first = together.first().and_then(|&t| tracks.get(t));
        let name = first
            .and_then(|t| t.sitting(blueprint))
            .map_or("", |s| &s.id);
        problems.push(
            Problem::new(format!(
                "sitting {name}: its examiners cannot be given a station each, because some can take only some of the tracks at this time"
            ))
            .hint(format!("name more examiners who can take {name}, or fewer tracks")),
        );
    }
    problems
}

/// Gives each station of each track an examiner, as few as possible of whom know somebody in it, and those first who had no station
/// before. `false` when there are not enough.
fn homes(
    blueprint: &Blueprint,
    tracks: &mut [Track],
    together: &[usize],
    taken: &mut [usize],
) -> bool {
    let places: Vec<Place> = together
        .iter()
        .flat_map(|&t| stations(blueprint).map(move |p| (t, p)))
        .collect();
    let cost = |place: usize, t: usize, e: usize, examiner: &Examiner| -> i64 {
        let track = &tracks[t];
        if !can_come(examiner, blueprint, track) {
            return NEVER;
        }
        let all = 0..track.candidates.len();
        let known = all.filter(|&c| knows(blueprint, e, track, c)).count();
        // Among equals in the order of the lists.
        known as i64 * KNOWN + taken[e] as i64 * BEFORE + i64::from(e != place)
    };
    let examiners = || blueprint.examiners.iter().enumerate();
    let costs: Vec<Vec<i64>> = places
        .iter()
        .enumerate()
        .map(|(place, &(t, _))| examiners().map(|(e, x)| cost(place, t, e, x)).collect())
        .collect();
    let Some(found) = cheapest(&costs) else {
        return false;
    };
    for (&(t, p), e) in places.iter().zip(found) {
        tracks[t].home[p] = Some(e);
        taken[e] += 1;
    }
    true
}

/// For each time at which somebody would mark a candidate they know: the examiners who are there change places for that slot, as
/// few of them as possible; those without a station step in first, and those who mark the candidate elsewhere last.
fn stand_ins(blueprint: &Blueprint, tracks: &mut [Track], together: &[usize]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut times: BTreeMap<u32, Vec<Place>> = BTreeMap::new();
    for &t in together {
        let track = &mut tracks[t];
        for (v, visit) in track.table.visits.iter().enumerate() {
            track.marks[v] = track.home.get(visit.position).copied().flatten();
            if track.marks[v].is_some() {
                times.entry(visit.from).or_default().push((t, v));
            }
        }
    }
    for (&at, here) in &times {
        let clash = here.iter().any(|&(t, v)| {
            let (track, visit) = (&tracks[t], tracks[t].table.visits[v]);
            track.marks[v].is_some_and(|e| knows(blueprint, e, track, visit.candidate))
        });
        if !clash {
            continue;
        }
        let costs = costs_of_a_bell(blueprint, tracks, together, &times, at, here);
        match cheapest(&costs) {
            Some(found) => {
                for (&(t, v), e) in here.iter().zip(found) {
                    tracks[t].marks[v] = Some(e);
                }
            }
            None => problems.push(nobody_free(blueprint, tracks, here, at)),
        }
    }
    problems
}

/// What it costs to let each examiner mark each of the visits that begin at one bell.
fn costs_of_a_bell(
    blueprint: &Blueprint,
    tracks: &[Track],
    together: &[usize],
    times: &BTreeMap<u32, Vec<Place>>,
    at: u32,
    here: &[Place],
) -> Vec<Vec<i64>> {
    let slot = |visit: &Visit| {
        let position = blueprint.positions.get(visit.position);
        position.map_or(0, |p| p.slot(blueprint.pace))
    };
    let marked = || {
        together.iter().flat_map(|&t| {
            let track = &tracks[t];
            let both = track.table.visits.iter().zip(&track.marks);
            both.filter_map(move |(visit, e)| e.map(|e| (t, visit, e)))
        })
    };
    // With staggered starts others are in the middle of a station: they stay.
    let busy: Vec<usize> = marked()
        .filter(|(_, visit, _)| visit.from < at && at < visit.from + slot(visit))
        .map(|(_, _, e)| e)
        .collect();
    let next: Vec<(u32, usize)> = times
        .range(at + 1..)
        .flat_map(|(when, there)| there.iter().map(move |place| (*when, *place)))
        .filter_map(|(when, (t, v))| tracks[t].marks[v].map(|e| (when, e)))
        .collect();
    let cost = |&(t, v): &Place, e: usize, examiner: &Examiner| -> i64 {
        let (track, visit) = (&tracks[t], &tracks[t].table.visits[v]);
        let needed_soon = next
            .iter()
            .any(|(when, x)| *x == e && *when < at + slot(visit));
        if !can_come(examiner, blueprint, track)
            || busy.contains(&e)
            || needed_soon
            || knows(blueprint, e, track, visit.candidate)
        {
            return NEVER;
        }
        let same = |(u, other, x): &(usize, &Visit, usize)| {
            *u == t && *x == e && other.candidate == visit.candidate && other.from != visit.from
        };
        let again = marked().filter(same).count() as i64 * AGAIN;
        let elsewhere = here.iter().any(|&(a, b)| tracks[a].marks[b] == Some(e));
        again
            + match (track.marks[v] == Some(e), elsewhere) {
                (true, _) => 0,
                (false, false) => STEPS_IN,
                (false, true) => CHANGES,
            }
    };
    let examiners = || blueprint.examiners.iter().enumerate();
    let row = |place: &Place| examiners().map(|(e, x)| cost(place, e, x)).collect();
    here.iter().map(row).collect()
}

fn nobody_free(blueprint: &Blueprint, tracks: &[Track], here: &[Place], at: u32) -> Problem {
    let named = here.iter().find_map(|&(t, v)| {
        let track = tracks.get(t)?;
        let visit = track.table.visits.get(v)?;
        let e = track.marks.get(v).copied().flatten()?;
        knows(blueprint, e, track, visit.candidate).then_some(())?;
        Some(format!(
            "at {} no examiner is free who may mark candidate {} at station {} ({} knows them)",
            clock::show(at),
            track.candidate(blueprint, visit.candidate)?.id,
            blueprint.positions.get(visit.position)?.name,
            blueprint.examiners.get(e)?.id
        ))
    });
    Problem::new(named.unwrap_or_else(|| format!("at {} no examiner is free", clock::show(at))))
        .hint("name one more examiner who does not know the candidate, or move the candidate to another group")
}

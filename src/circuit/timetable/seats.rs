//! Turns groups, sittings and examiners into who sits where: candidates in tracks, examiners at stations, and who stands in for whom.

use super::matching::{NEVER, cheapest};
use super::rotation::{Timetable, capacity, timetable};
use crate::case::Stream;
use crate::circuit::blueprint::clock;
use crate::circuit::blueprint::{Blueprint, Examiner, Sitting};
use crate::diagnostic::{Failure, Problem};
use std::collections::BTreeMap;

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

/// Places everyone.
///
/// # Errors
/// Exit code 1 when candidates do not fit into their sittings, sittings overlap, or no examiner is left who may mark a candidate;
/// every such problem at once.
pub fn seat(blueprint: &Blueprint, seed: u64) -> Result<Vec<Track>, Failure> {
    let mut tracks = Vec::new();
    let mut problems = Vec::new();
    let room = capacity(&blueprint.positions, blueprint.pace);
    for (g, group) in blueprint.groups.iter().enumerate() {
        let seats: usize = group.sittings.iter().map(|s| s.tracks * room).sum();
        let n = group.candidates.len();
        if n > seats {
            problems.push(
                Problem::new(format!(
                    "group {}: {n} candidates, but its sittings hold {seats} ({room} in each track)",
                    group.id
                ))
                .hint("add a sitting or a track, or positions to the route (a rest is one)"),
            );
            continue;
        }
        let mut order: Vec<usize> = (0..n).collect();
        Stream::new(seed, &format!("circuit/order/{}", group.id)).shuffle(&mut order);
        let places: Vec<(usize, usize)> = group
            .sittings
            .iter()
            .enumerate()
            .flat_map(|(s, sitting)| (0..sitting.tracks).map(move |t| (s, t)))
            .collect();
        let mut dealt = deal(&order, places.len());
        for ((s, t), own) in places.iter().zip(dealt.drain(..)) {
            let Some(sitting) = group.sittings.get(*s) else {
                continue;
            };
            match timetable(
                &blueprint.positions,
                blueprint.pace,
                own.len(),
                sitting.start,
            ) {
                Some(table) => tracks.push(Track {
                    group: g,
                    sitting: *s,
                    number: *t,
                    candidates: own,
                    home: vec![None; blueprint.positions.len()],
                    marks: vec![None; table.visits.len()],
                    table,
                }),
                None => problems.push(Problem::new(format!(
                    "sitting {}: no timetable without waiting",
                    sitting.id
                ))),
            }
        }
    }
    // A track nobody is in needs no examiners.
    tracks.retain(|t| !t.candidates.is_empty());
    problems.extend(overlaps(blueprint, &tracks));
    if problems.is_empty() && !blueprint.examiners.is_empty() {
        problems.extend(examine(blueprint, &mut tracks));
    }
    if problems.is_empty() {
        Ok(tracks)
    } else {
        Err(Failure::Content(problems))
    }
}

/// Hands out the order in even parts, one after another.
fn deal(order: &[usize], parts: usize) -> Vec<Vec<usize>> {
    let parts = parts.max(1);
    let (size, more) = (order.len() / parts, order.len() % parts);
    let mut rest = order;
    (0..parts)
        .map(|p| {
            let (own, left) = rest.split_at((size + usize::from(p < more)).min(rest.len()));
            rest = left;
            own.to_vec()
        })
        .collect()
}

fn sitting<'b>(blueprint: &'b Blueprint, track: &Track) -> Option<&'b Sitting> {
    blueprint
        .groups
        .get(track.group)?
        .sittings
        .get(track.sitting)
}

/// Two sittings at the same time need two sets of rooms: they are tracks then, or the times are a slip.
fn overlaps(blueprint: &Blueprint, tracks: &[Track]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let firsts: Vec<&Track> = tracks.iter().filter(|t| t.number == 0).collect();
    for (i, a) in firsts.iter().enumerate() {
        for b in &firsts[i + 1..] {
            let (Some(x), Some(y)) = (sitting(blueprint, a), sitting(blueprint, b)) else {
                continue;
            };
            let meet = x.start < y.start + b.table.length && y.start < x.start + a.table.length;
            // Groups side by side are meant when they start at the same minute.
            if meet && (a.group == b.group || x.start != y.start) {
                problems.push(
                    Problem::new(format!(
                        "sitting {} ends at {}, but sitting {} begins at {}",
                        x.id,
                        clock::show(x.start + a.table.length),
                        y.id,
                        clock::show(y.start)
                    ))
                    .hint("start the later one after the end of the earlier, or start both at the same time with rooms of their own"),
                );
            }
        }
    }
    problems
}

/// Every examiner at a station, and never in front of a candidate they know.
fn examine(blueprint: &Blueprint, tracks: &mut [Track]) -> Vec<Problem> {
    let mut problems = Vec::new();
    // Tracks that run at the same time share the examiners.
    let mut at_once: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (i, t) in tracks.iter().enumerate() {
        let start = sitting(blueprint, t).map_or(0, |s| s.start);
        at_once.entry(start).or_default().push(i);
    }
    for together in at_once.values() {
        let names: Vec<&str> = together
            .iter()
            .filter_map(|&t| sitting(blueprint, &tracks[t]))
            .map(|s| s.id.as_str())
            .collect();
        if let Err(problem) = homes(blueprint, tracks, together) {
            problems.push(problem.hint(format!(
                "name more examiners who can take {}, or fewer tracks",
                names.join(", ")
            )));
            continue;
        }
        problems.extend(stand_ins(blueprint, tracks, together));
    }
    problems
}

/// The places to fill: (track, position).
fn places(blueprint: &Blueprint, tracks: &[usize]) -> Vec<(usize, usize)> {
    tracks
        .iter()
        .flat_map(|&t| {
            let stations = blueprint.positions.iter().enumerate();
            stations
                .filter(|(_, p)| p.station.is_some())
                .map(move |(p, _)| (t, p))
        })
        .collect()
}

fn can_come(examiner: &Examiner, sitting: &str) -> bool {
    examiner
        .sittings
        .as_ref()
        .is_none_or(|all| all.iter().any(|s| s == sitting))
}

fn knows(blueprint: &Blueprint, examiner: usize, track: &Track, candidate: usize) -> bool {
    let id = track
        .candidates
        .get(candidate)
        .and_then(|&c| blueprint.groups.get(track.group)?.candidates.get(c))
        .map(|c| c.id.as_str());
    let known = blueprint.examiners.get(examiner).map(|e| &e.knows);
    match (id, known) {
        (Some(id), Some(known)) => known.iter().any(|k| k == id),
        _ => false,
    }
}

/// Gives each station of each track an examiner, as few as possible of whom know somebody in it.
fn homes(blueprint: &Blueprint, tracks: &mut [Track], together: &[usize]) -> Result<(), Problem> {
    let places = places(blueprint, together);
    let have = blueprint.examiners.len();
    let costs: Vec<Vec<i64>> = places
        .iter()
        .enumerate()
        .map(|(place, &(t, _))| {
            let track = &tracks[t];
            let name = sitting(blueprint, track).map_or("", |s| s.id.as_str());
            blueprint
                .examiners
                .iter()
                .enumerate()
                .map(|(e, examiner)| {
                    if !can_come(examiner, name) {
                        return NEVER;
                    }
                    let known = (0..track.candidates.len())
                        .filter(|&c| knows(blueprint, e, track, c))
                        .count();
                    // Among equals in the order of the lists.
                    known as i64 * 10_000 + i64::from(e != place)
                })
                .collect()
        })
        .collect();
    let found = cheapest(&costs).ok_or_else(|| {
        let can = costs
            .first()
            .map_or(0, |r| r.iter().filter(|c| **c < NEVER).count());
        let name = together
            .first()
            .and_then(|&t| sitting(blueprint, &tracks[t]))
            .map_or("", |s| s.id.as_str());
        Problem::new(format!(
            "sitting {name}: {} stations need an examiner at the same time, but only {can} of {have} can come",
            places.len(),
        ))
    })?;
    for (&(t, p), e) in places.iter().zip(found) {
        if let Some(home) = tracks[t].home.get_mut(p) {
            *home = Some(e);
        }
    }
    Ok(())
}

/// For each time at which somebody would mark a candidate they know: the examiners who are there change places for that slot, as
/// few of them as possible; those without a station step in first.
fn stand_ins(blueprint: &Blueprint, tracks: &mut [Track], together: &[usize]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for &t in together {
        for v in 0..tracks[t].table.visits.len() {
            let position = tracks[t].table.visits[v].position;
            tracks[t].marks[v] = tracks[t].home.get(position).copied().flatten();
        }
    }
    let mut times: BTreeMap<u32, Vec<(usize, usize)>> = BTreeMap::new();
    for &t in together {
        for (v, visit) in tracks[t].table.visits.iter().enumerate() {
            if tracks[t].marks[v].is_some() {
                times.entry(visit.from).or_default().push((t, v));
            }
        }
    }
    for (&at, here) in &times {
        let clash = here.iter().any(|&(t, v)| {
            let track = &tracks[t];
            track.marks[v]
                .is_some_and(|e| knows(blueprint, e, track, track.table.visits[v].candidate))
        });
        if !clash {
            continue;
        }
        // With staggered starts others are in the middle of a station: they stay.
        let busy: Vec<usize> = together
            .iter()
            .flat_map(|&t| {
                let track = &tracks[t];
                track
                    .table
                    .visits
                    .iter()
                    .zip(&track.marks)
                    .filter_map(move |(visit, e)| {
                        let p = blueprint.positions.get(visit.position)?;
                        let now = visit.from < at && at < visit.from + p.slot(blueprint.pace);
                        e.filter(|_| now)
                    })
            })
            .collect();
        let next: Vec<(u32, usize)> = times
            .range(at + 1..)
            .flat_map(|(when, there)| there.iter().map(move |&(t, v)| (*when, t, v)))
            .filter_map(|(when, t, v)| tracks[t].marks[v].map(|e| (when, e)))
            .collect();
        let costs: Vec<Vec<i64>> = here
            .iter()
            .map(|&(t, v)| {
                let track = &tracks[t];
                let visit = track.table.visits[v];
                let slot = blueprint
                    .positions
                    .get(visit.position)
                    .map_or(0, |p| p.slot(blueprint.pace));
                let name = sitting(blueprint, track).map_or("", |s| s.id.as_str());
                blueprint
                    .examiners
                    .iter()
                    .enumerate()
                    .map(|(e, examiner)| {
                        let needed_soon = next.iter().any(|(when, x)| *x == e && *when < at + slot);
                        if !can_come(examiner, name)
                            || busy.contains(&e)
                            || needed_soon
                            || knows(blueprint, e, track, visit.candidate)
                        {
                            return NEVER;
                        }
                        let own = track.marks[v] == Some(e);
                        let elsewhere = here.iter().any(|&(a, b)| tracks[a].marks[b] == Some(e));
                        match (own, elsewhere) {
                            (true, _) => 0,
                            (false, false) => 10,
                            (false, true) => 11,
                        }
                    })
                    .collect()
            })
            .collect();
        match cheapest(&costs) {
            Some(found) => {
                for (&(t, v), e) in here.iter().zip(found) {
                    tracks[t].marks[v] = Some(e);
                }
            }
            None => problems.push(clash_problem(blueprint, tracks, here, at)),
        }
    }
    problems
}

fn clash_problem(
    blueprint: &Blueprint,
    tracks: &[Track],
    here: &[(usize, usize)],
    at: u32,
) -> Problem {
    let named = here.iter().find_map(|&(t, v)| {
        let track = tracks.get(t)?;
        let visit = track.table.visits.get(v)?;
        let e = track.marks.get(v).copied().flatten()?;
        knows(blueprint, e, track, visit.candidate).then_some(())?;
        let candidate = track
            .candidates
            .get(visit.candidate)
            .and_then(|&c| blueprint.groups.get(track.group)?.candidates.get(c))?;
        let examiner = blueprint.examiners.get(e)?;
        let position = blueprint.positions.get(visit.position)?;
        Some(format!(
            "at {} no examiner is free who may mark candidate {} at station {} ({} knows them)",
            clock::show(at),
            candidate.id,
            position.name,
            examiner.id
        ))
    });
    Problem::new(named.unwrap_or_else(|| format!("at {} no examiner is free", clock::show(at))))
        .hint("name one more examiner who does not know the candidate, or move the candidate to another group")
}

//! Who sits where? Candidates are dealt to the tracks of their sittings, in an order drawn by chance.

use super::examiners::{examine, too_few};
use super::rotation::{capacity, timetable};
use super::track::Track;
use crate::case::Stream;
use crate::circuit::blueprint::{Blueprint, Group, Sitting, clock};
use crate::diagnostic::{Failure, Problem};

/// Places everyone.
///
/// # Errors
/// Exit code 1 when candidates do not fit into their sittings, sittings overlap, examiners are too few, or none is left who may
/// mark a candidate; every such problem at once, with the numbers that would do.
pub fn seat(blueprint: &Blueprint, seed: u64) -> Result<Vec<Track>, Failure> {
    let mut problems = Vec::new();
    let room = capacity(&blueprint.positions, blueprint.pace);
    let mut tracks = Vec::new();
    for (g, group) in blueprint.groups.iter().enumerate() {
        problems.extend(too_many(group, room));
        tracks.extend(dealt(blueprint, g, group, seed, room));
    }
    problems.extend(overlaps(blueprint, &tracks));
    if !blueprint.examiners.is_empty() {
        problems.extend(too_few(blueprint, &tracks));
        if problems.is_empty() {
            problems = examine(blueprint, &mut tracks);
        }
    }
    if problems.is_empty() {
        Ok(tracks)
    } else {
        Err(Failure::Content(problems))
    }
}

fn too_many(group: &Group, room: usize) -> Option<Problem> {
    let n = group.candidates.len();
    let tracks: usize = group.sittings.iter().map(|s| s.tracks).sum();
    let seats = tracks * room;
    let needed = n.div_ceil(room.max(1));
    (n > seats).then(|| {
        Problem::new(format!(
            "group {}: {n} candidates, but its sittings hold {seats} ({room} in each track)",
            group.id
        ))
        .hint(format!(
            "it needs {needed} tracks in all and has {tracks}: add a sitting, write `tracks:`, or add positions to the route (a rest is one)"
        ))
    })
}

/// The tracks of a group with their candidates; a track nobody is in needs no examiners and is left out.
fn dealt(blueprint: &Blueprint, g: usize, group: &Group, seed: u64, room: usize) -> Vec<Track> {
    let mut order: Vec<usize> = (0..group.candidates.len()).collect();
    Stream::new(seed, &format!("circuit/order/{}", group.id)).shuffle(&mut order);
    let sittings = group.sittings.iter().enumerate();
    let places: Vec<(usize, &Sitting, usize)> = sittings
        .flat_map(|(s, sitting)| (0..sitting.tracks).map(move |t| (s, sitting, t)))
        .collect();
    let mut tracks = Vec::new();
    for ((s, sitting, number), mut candidates) in places.iter().zip(deal(&order, places.len())) {
        // Too many are told; those who fit show what else is wrong.
        candidates.truncate(room);
        let (positions, pace) = (&blueprint.positions, blueprint.pace);
        let table = timetable(positions, pace, candidates.len(), sitting.start);
        if let Some(table) = table.filter(|_| !candidates.is_empty()) {
            tracks.push(Track {
                group: g,
                sitting: *s,
                number: *number,
                candidates,
                home: vec![None; positions.len()],
                marks: vec![None; table.visits.len()],
                table,
            });
        }
    }
    tracks
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

/// Two sittings at the same time need two sets of rooms: they are tracks then, or the times are a slip.
fn overlaps(blueprint: &Blueprint, tracks: &[Track]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let firsts: Vec<&Track> = tracks.iter().filter(|t| t.number == 0).collect();
    for (i, a) in firsts.iter().enumerate() {
        for b in &firsts[i + 1..] {
            let (Some(x), Some(y)) = (a.sitting(blueprint), b.sitting(blueprint)) else {
                continue;
            };
            let meet = x.start < b.end(blueprint) && y.start < a.end(blueprint);
            // Groups side by side are meant when they start at the same minute.
            if !meet || (a.group != b.group && x.start == y.start) {
                continue;
            }
            let ((x, first), (y, _)) = if x.start <= y.start {
                ((x, a), (y, b))
            } else {
                ((y, b), (x, a))
            };
            let end = clock::show(first.end(blueprint));
            let side_by_side = match a.group == b.group {
                true => "write one sitting with `tracks: 2`, for rooms side by side".to_string(),
                false => format!(
                    "start both at {}, with rooms of their own",
                    clock::show(x.start)
                ),
            };
            problems.push(
                Problem::new(format!(
                    "sitting {} ends at {end}, but sitting {} begins at {}",
                    x.id,
                    y.id,
                    clock::show(y.start)
                ))
                .hint(format!(
                    "start {} at {end} or later, or {side_by_side}",
                    y.id
                )),
            );
        }
    }
    problems
}

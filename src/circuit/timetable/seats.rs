//! Who sits where? Candidates are dealt to the tracks of their sittings, in an order drawn by chance, or keep the seats they had.

use super::capacity::answer;
use super::examiners::{examine, too_few};
use super::overlaps::overlaps;
use super::rotation::{Timetable, capacity, round, timetable};
use super::track::Track;
use crate::case::Stream;
use crate::circuit::blueprint::{Blueprint, Group, Kept, Position, clock};
use crate::diagnostic::{Failure, Problem};

/// Places everyone. Seats of an earlier plan stay; who is new gets a free one.
///
/// # Errors
/// Exit code 1 when candidates do not fit into their sittings, sittings overlap, examiners are too few, or none is left who may
/// mark a candidate; every such problem at once, with the numbers that would do.
pub fn seat(blueprint: &Blueprint, kept: Option<&Kept>, seed: u64) -> Result<Vec<Track>, Failure> {
    let mut problems = Vec::new();
    let mut tracks = Vec::new();
    for (g, group) in blueprint.groups.iter().enumerate() {
        let rooms = match kept {
            Some(kept) => kept_rooms(blueprint, group, kept, &mut problems),
            None => dealt(blueprint, group, seed, &mut problems),
        };
        tracks.extend(
            rooms
                .into_iter()
                .filter_map(|room| track(blueprint, g, room)),
        );
    }
    let full = !problems.is_empty();
    problems.extend(overlaps(blueprint, &tracks));
    if !blueprint.examiners.is_empty() {
        let few = too_few(blueprint, &tracks);
        if full || !few.is_empty() {
            problems.extend(few);
            problems.extend(answer(blueprint));
        }
        if problems.is_empty() {
            problems = examine(blueprint, &mut tracks, kept);
        }
    } else if full {
        problems.extend(answer(blueprint));
    }
    if problems.is_empty() {
        Ok(tracks)
    } else {
        Err(Failure::Content(problems))
    }
}

/// The seats of one track of one sitting.
struct Room {
    sitting: usize,
    number: usize,
    extra: u32,
    /// Most that it can hold.
    holds: usize,
    /// Positions in the group's candidates.
    seats: Vec<Option<usize>>,
}

fn rooms(blueprint: &Blueprint, group: &Group) -> Vec<Room> {
    let sittings = group.sittings.iter().enumerate();
    sittings
        .flat_map(|(s, sitting)| {
            let holds = capacity(&blueprint.route(sitting.extra), blueprint.pace);
            (0..sitting.tracks).map(move |number| Room {
                sitting: s,
                number,
                extra: sitting.extra,
                holds,
                seats: Vec::new(),
            })
        })
        .collect()
}

/// Everybody by chance, in even parts. Whoever needs more time than their sitting gives leaves the seat empty and goes to one that
/// gives it, so that nobody else's seat depends on them.
fn dealt(
    blueprint: &Blueprint,
    group: &Group,
    seed: u64,
    problems: &mut Vec<Problem>,
) -> Vec<Room> {
    let mut order: Vec<usize> = (0..group.candidates.len()).collect();
    Stream::new(seed, &format!("circuit/order/{}", group.id)).shuffle(&mut order);
    let mut rooms = rooms(blueprint, group);
    let usual = rooms.iter().map(|r| r.extra).min().unwrap_or(0);
    let holds = |r: &&Room| r.extra == usual;
    let seats: usize = rooms.iter().filter(holds).map(|r| r.holds).sum();
    let needs_more = |c: &usize| group.candidates.get(*c).is_some_and(|x| x.extra > usual);
    let apart: Vec<usize> = order.iter().copied().filter(needs_more).collect();
    if order.len() > seats {
        order.retain(|c| !needs_more(c));
    }
    problems.extend(too_many(group, order.len(), &rooms, usual));
    let parts = rooms.iter().filter(holds).count();
    let mut dealt = deal(&order, parts).into_iter();
    for room in rooms.iter_mut().filter(|r| r.extra == usual) {
        let mut own = dealt.next().unwrap_or_default();
        // Too many are told; those who fit show what else is wrong.
        own.truncate(room.holds);
        let seat = |c: usize| (!needs_more(&c)).then_some(c);
        room.seats = own.into_iter().map(seat).collect();
    }
    for c in apart {
        problems.extend(find_seat(blueprint, group, &mut rooms, c));
    }
    rooms
}

fn too_many(group: &Group, n: usize, rooms: &[Room], usual: u32) -> Option<Problem> {
    let own = || rooms.iter().filter(|r| r.extra == usual);
    let seats: usize = own().map(|r| r.holds).sum();
    let (tracks, room) = (own().count(), own().map(|r| r.holds).max().unwrap_or(0));
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

/// A free seat in the first sitting that gives a candidate the time they need; what to do when there is none.
fn find_seat(
    blueprint: &Blueprint,
    group: &Group,
    rooms: &mut [Room],
    c: usize,
) -> Option<Problem> {
    let candidate = group.candidates.get(c)?;
    let free = |seat: &Option<usize>| {
        seat.is_none_or(|c| group.candidates.get(c).is_none_or(|x| x.absent))
    };
    let mut able: Vec<&mut Room> = rooms
        .iter_mut()
        .filter(|r| r.extra >= candidate.extra)
        .collect();
    able.sort_by_key(|r| r.extra);
    let none_able = able.is_empty();
    for room in able {
        if let Some(seat) = room.seats.iter_mut().find(|s| free(s)) {
            *seat = Some(c);
            return None;
        }
        if room.seats.len() < room.holds {
            room.seats.push(Some(c));
            return None;
        }
    }
    let percent = f64::from(candidate.extra) / 10.0;
    let end = group
        .sittings
        .iter()
        .map(|s| s.start + blueprint.round(&blueprint.route(s.extra)));
    let end = clock::show(end.max().unwrap_or(0));
    let minutes = clock::minutes(blueprint.round(&blueprint.route(candidate.extra)));
    let extra = match candidate.extra {
        0 => String::new(),
        _ => format!(", extra: {percent}"),
    };
    let message = match none_able {
        true => format!(
            "candidate {} needs {percent} % more time, and no sitting of group {} gives it",
            candidate.id, group.id
        ),
        false => format!(
            "no seat is free for candidate {} in group {}",
            candidate.id, group.id
        ),
    };
    Some(Problem::new(message).hint(format!(
        "add a sitting such as {{id: {}, start: \"{end}\"{extra}}} to the group; it takes {minutes} minutes",
        if extra.is_empty() { "later" } else { "longer" }
    )))
}

/// The seats of an earlier plan; who is new, or needs more time now, gets a free one.
fn kept_rooms(
    blueprint: &Blueprint,
    group: &Group,
    kept: &Kept,
    problems: &mut Vec<Problem>,
) -> Vec<Room> {
    let mut rooms = rooms(blueprint, group);
    let mut seated = vec![false; group.candidates.len()];
    for track in kept.tracks.iter().filter(|t| t.group == group.id) {
        let at = group.sittings.iter().position(|s| s.id == track.sitting);
        let room = rooms
            .iter_mut()
            .find(|r| Some(r.sitting) == at && r.number == track.number);
        let Some(room) = room else {
            problems.push(
                Problem::new(format!(
                    "the kept circuit has a sitting {} of group {} with {} tracks or more",
                    track.sitting,
                    group.id,
                    track.number + 1
                ))
                .hint("leave the sittings as they were; add new ones after them"),
            );
            continue;
        };
        for id in track.seats.iter().take(room.holds) {
            let found = group
                .candidates
                .iter()
                .position(|c| Some(&c.id) == id.as_ref());
            let found = found.filter(|c| group.candidates[*c].extra <= room.extra);
            if let Some(c) = found {
                seated[c] = true;
            }
            room.seats.push(found);
        }
    }
    let new = (0..seated.len()).filter(|c| !seated[*c] && !group.candidates[*c].absent);
    for c in new {
        problems.extend(find_seat(blueprint, group, &mut rooms, c));
    }
    rooms
}

/// A track nobody is in needs no examiners and is left out.
fn track(blueprint: &Blueprint, g: usize, room: Room) -> Option<Track> {
    let group = blueprint.groups.get(g)?;
    let sitting = group.sittings.get(room.sitting)?;
    let positions = blueprint.route(sitting.extra);
    let comes = |c: &usize| group.candidates.get(*c).is_some_and(|x| !x.absent);
    let candidates: Vec<Option<usize>> = room.seats.iter().map(|s| s.filter(comes)).collect();
    if candidates.iter().all(Option::is_none) {
        return None;
    }
    let (pace, seats) = (blueprint.pace, candidates.len());
    let table = timetable(&positions, pace, seats, sitting.start)?;
    let late: Vec<Option<u32>> = candidates
        .iter()
        .map(|c| c.and_then(|c| group.candidates.get(c)).and_then(|c| c.late))
        .collect();
    let taken = |seat: usize| candidates.get(seat).copied().flatten().is_some();
    let table = as_it_is(blueprint, &positions, table, sitting.start, &late, &taken);
    Some(Track {
        group: g,
        sitting: room.sitting,
        number: room.number,
        home: vec![None; positions.len()],
        moved: Vec::new(),
        marks: vec![None; table.visits.len()],
        candidates,
        positions,
        table,
    })
}

/// The timetable with empty seats, breaks, and those who come late: they take their place on the ring when they are there, and go to
/// what they missed after everybody's last bell. Nobody else is moved.
fn as_it_is(
    blueprint: &Blueprint,
    positions: &[Position],
    mut table: Timetable,
    start: u32,
    late: &[Option<u32>],
    taken: &dyn Fn(usize) -> bool,
) -> Timetable {
    let pace = blueprint.pace;
    let slot = positions.first().map_or(1, |p| p.slot(pace)).max(1);
    let whole = round(positions, pace).max(1);
    // Slots and breaks: only where all start together are there breaks, and then all slots are equal.
    let with_breaks = |from: u32| {
        let slots = ((from - start) / slot) as usize;
        let before = blueprint.breaks.iter().filter(|b| b.after <= slots);
        from + before.map(|b| b.length).sum::<u32>()
    };
    table.visits.retain(|v| taken(v.candidate));
    for visit in &mut table.visits {
        let there = late.get(visit.candidate).copied().flatten().unwrap_or(0);
        while with_breaks(visit.from) < there {
            visit.from += whole;
        }
        visit.from = with_breaks(visit.from);
    }
    table.visits.sort_unstable();
    for (seat, first) in table.starts.iter_mut().enumerate() {
        let own = table.visits.iter().find(|v| v.candidate == seat);
        *first = own.map_or(*first, |v| v.from);
    }
    let end =
        |v: &super::rotation::Visit| v.from + positions.get(v.position).map_or(0, |p| p.slot(pace));
    let last = table.visits.iter().map(end).max().unwrap_or(start);
    table.length = last - start;
    table
}

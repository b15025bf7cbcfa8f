//! Who sits at which station? Every station of every sitting gets an examiner; who stands in for one candidate, see `stand_ins`.

use super::matching::{NEVER, cheapest};
use super::stand_ins::stand_ins;
use super::track::Track;
use crate::circuit::blueprint::{Blueprint, Examiner, Kept, KeptTrack, Rotation, clock::Second};
use crate::diagnostic::Problem;
use std::collections::{BTreeMap, BTreeSet};

/// A place at which somebody sits: (track, position of the route).
type Place = (usize, usize);

/// What a place of the table costs: a candidate who is known, somebody in reserve, a position that one sat at before, a sitting taken before.
const KNOWN: i64 = 10_000;
const RESERVE: i64 = 1_000;
const SAME_AGAIN: i64 = 100;
const BEFORE: i64 = 4;

/// Sittings closer than this follow each other without a pause; ours.
const PAUSE: Second = 30 * 60;

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

/// Sittings for which too few can come, counted before anything is tried.
pub(super) fn too_few(blueprint: &Blueprint, tracks: &[Track]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for together in at_once(blueprint, tracks) {
        let here: Vec<&Track> = together.iter().filter_map(|&t| tracks.get(t)).collect();
        let places = here.len() * blueprint.stations();
        let comes = |e: &&Examiner| here.iter().any(|t| t.takes(blueprint, e));
        let can = blueprint.examiners.iter().filter(comes).count();
        if can >= places {
            continue;
        }
        let names = names_of(blueprint, &here);
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

fn names_of(blueprint: &Blueprint, here: &[&Track]) -> String {
    let sittings = here.iter().filter_map(|t| t.sitting(blueprint));
    let mut names: Vec<&str> = sittings.map(|s| s.id.as_str()).collect();
    names.dedup();
    names.join(", ")
}

/// What examiners did in the sittings before.
struct Past {
    /// Sittings taken.
    taken: Vec<usize>,
    /// Positions sat at.
    sat: BTreeSet<(usize, usize)>,
    /// Sittings taken one after another, and the end of the last one.
    row: Vec<(usize, Second)>,
}

impl Past {
    /// Whether this one has had their sittings in a row, and starts a break.
    fn is_off(&self, blueprint: &Blueprint, examiner: usize, start: Second) -> bool {
        let most = blueprint.limits.sittings_in_a_row;
        let (count, end) = self.row.get(examiner).copied().unwrap_or_default();
        most.is_some_and(|most| count >= most && start < end + PAUSE)
    }

    /// Counts the sitting that has been filled.
    fn close(&mut self, used: &BTreeSet<usize>, start: Second, end: Second) {
        for &e in used {
            self.taken[e] += 1;
            let (count, last) = self.row[e];
            let follows = count > 0 && start < last + PAUSE;
            self.row[e] = (if follows { count + 1 } else { 1 }, end);
        }
    }
}

/// Every examiner at a station, and never in front of a candidate they know. Who marked before in a kept circuit stays.
pub(super) fn examine(
    blueprint: &Blueprint,
    tracks: &mut [Track],
    kept: Option<&Kept>,
) -> Vec<Problem> {
    let mut problems = Vec::new();
    let count = blueprint.examiners.len();
    let mut past = Past {
        taken: vec![0; count],
        sat: BTreeSet::new(),
        row: vec![(0, 0); count],
    };
    for together in at_once(blueprint, tracks) {
        if let Some(found) = homes(blueprint, tracks, &together, &mut past, (kept, None)) {
            for (&t, home) in together.iter().zip(found) {
                tracks[t].home = home;
            }
            let used: BTreeSet<usize> = together
                .iter()
                .flat_map(|&t| tracks[t].home.iter().flatten().copied())
                .collect();
            let breaks = match blueprint.rotation {
                Rotation::Break => blueprint.breaks.len(),
                Rotation::Stay | Rotation::Sitting => 0,
            };
            for after in 1..=breaks {
                let same = Some((after, &used));
                let found = homes(blueprint, tracks, &together, &mut past, (kept, same));
                for (&t, home) in together.iter().zip(found.into_iter().flatten()) {
                    tracks[t].moved.push(home);
                }
            }
            let end = together.iter().map(|&t| tracks[t].end(blueprint)).max();
            let start = together.first().map_or(0, |&t| tracks[t].start(blueprint));
            past.close(&used, start, end.unwrap_or(0));
            begin(blueprint, tracks, &together, kept);
            problems.extend(stand_ins(blueprint, tracks, &together, kept.is_some()));
        } else {
            problems.push(no_homes(blueprint, tracks, &together, &past));
        }
    }
    problems
}

fn no_homes(blueprint: &Blueprint, tracks: &[Track], together: &[usize], past: &Past) -> Problem {
    let here: Vec<&Track> = together.iter().filter_map(|&t| tracks.get(t)).collect();
    let names = names_of(blueprint, &here);
    let start = here.first().map_or(0, |t| t.start(blueprint));
    let off: Vec<&str> = blueprint
        .examiners
        .iter()
        .enumerate()
        .filter(|(e, _)| past.is_off(blueprint, *e, start))
        .map(|(_, x)| x.id.as_str())
        .collect();
    match off.is_empty() {
        true => Problem::new(format!(
            "sitting {names}: its examiners cannot be given a station each, because some can take only some of the tracks at this time"
        ))
        .hint(format!("name more examiners who can take {names}, or fewer tracks")),
        false => {
            let places = here.len() * blueprint.stations();
            let comes = |e: &&Examiner| here.iter().any(|t| t.takes(blueprint, e));
            let can = blueprint.examiners.iter().filter(comes).count();
            let missing = (places + off.len()).saturating_sub(can).max(1);
            Problem::new(format!(
                "sitting {names}: {places} stations need an examiner, and {} of {can} have this sitting off (`sittings_in_a_row`): {}",
                off.len(),
                off.join(", ")
            ))
            .hint(format!(
                "name {missing} more examiners, raise `sittings_in_a_row`, or leave {} minutes before {names}",
                PAUSE / 60
            ))
        }
    }
}

/// Who shall sit at each station of each track: as few as possible of whom know somebody in it, and those first who had no station
/// before. After a break (the number of breaks, and who is there) the same people, elsewhere. `None` when there are not enough.
fn homes(
    blueprint: &Blueprint,
    tracks: &[Track],
    together: &[usize],
    past: &mut Past,
    (kept, same): (Option<&Kept>, Option<(usize, &BTreeSet<usize>)>),
) -> Option<Vec<Vec<Option<usize>>>> {
    let places: Vec<Place> = together
        .iter()
        .flat_map(|&t| stations(blueprint).map(move |p| (t, p)))
        .collect();
    let breaks = same.map_or(0, |(after, _)| after);
    let fixed: Vec<Option<usize>> = places
        .iter()
        .map(|&(t, p)| kept_home(blueprint, &tracks[t], (p, breaks), kept?))
        .collect();
    let cost = |place: usize, (t, p): Place, e: usize, examiner: &Examiner| -> i64 {
        let track = &tracks[t];
        match fixed[place] {
            Some(own) => return if own == e { 0 } else { NEVER },
            None if fixed.contains(&Some(e)) => return NEVER,
            None => {}
        }
        let start = track.start(blueprint);
        let is_free = same.map_or(!past.is_off(blueprint, e, start), |(_, here)| {
            here.contains(&e)
        });
        if !track.takes(blueprint, examiner) || !is_free {
            return NEVER;
        }
        let all = 0..track.candidates.len();
        let known = all.filter(|&c| track.is_known(blueprint, c, e)).count();
        let again = blueprint.rotation != Rotation::Stay && past.sat.contains(&(e, p));
        // Among equals in the order of the lists.
        known as i64 * KNOWN
            + i64::from(examiner.reserve) * RESERVE
            + i64::from(again) * SAME_AGAIN
            + past.taken[e] as i64 * BEFORE
            + i64::from(e != place)
    };
    let examiners = || blueprint.examiners.iter().enumerate();
    let costs: Vec<Vec<i64>> = places
        .iter()
        .enumerate()
        .map(|(n, place)| examiners().map(|(e, x)| cost(n, *place, e, x)).collect())
        .collect();
    let found = cheapest(&costs)?;
    let mut all = vec![vec![None; blueprint.positions.len()]; together.len()];
    for (&(t, p), e) in places.iter().zip(found) {
        let at = together.iter().position(|x| *x == t)?;
        all[at][p] = Some(e);
        past.sat.insert((e, p));
    }
    Some(all)
}

/// The examiner who sat there after so many breaks in the kept circuit, if they can come.
fn kept_home(
    blueprint: &Blueprint,
    track: &Track,
    (position, breaks): (usize, usize),
    kept: &Kept,
) -> Option<usize> {
    let then = |id: &str| {
        let visits = track.table.visits.iter().filter(|v| v.position == position);
        visits
            .filter(|v| {
                blueprint.rotation != Rotation::Break || track.breaks_before(blueprint, v) == breaks
            })
            .any(|v| {
                track
                    .candidate(blueprint, v.candidate)
                    .is_some_and(|c| c.id == id)
            })
    };
    let name = blueprint.name(position);
    let id = kept_track(blueprint, track, kept)?.home(name, &then)?;
    by_id(blueprint, track, id)
}

fn by_id(blueprint: &Blueprint, track: &Track, id: &str) -> Option<usize> {
    let found = blueprint.examiners.iter().position(|e| e.id == id)?;
    track
        .takes(blueprint, &blueprint.examiners[found])
        .then_some(found)
}

fn kept_track<'k>(blueprint: &Blueprint, track: &Track, kept: &'k Kept) -> Option<&'k KeptTrack> {
    let group = &blueprint.groups.get(track.group)?.id;
    let sitting = &track.sitting(blueprint)?.id;
    let same =
        |t: &&KeptTrack| t.group == *group && t.sitting == *sitting && t.number == track.number;
    kept.tracks.iter().find(same)
}

/// Everybody marks at their own station, or where they stood in before.
fn begin(blueprint: &Blueprint, tracks: &mut [Track], together: &[usize], kept: Option<&Kept>) {
    for &t in together {
        let track = &tracks[t];
        let before = kept.and_then(|k| kept_track(blueprint, track, k));
        let marks = track.table.visits.iter().map(|visit| {
            let home = track.home_at(blueprint, visit)?;
            let candidate = track.candidate(blueprint, visit.candidate);
            let stood_in = candidate.zip(before).and_then(|(c, before)| {
                let id = before.marker(&c.id, blueprint.name(visit.position))?;
                by_id(blueprint, track, id)
            });
            Some(stood_in.unwrap_or(home))
        });
        tracks[t].marks = marks.collect();
    }
}

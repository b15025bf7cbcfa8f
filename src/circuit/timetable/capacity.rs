//! What would hold all candidates? Counted before anything is searched.

use super::rotation::capacity;
use crate::circuit::blueprint::{Blueprint, clock};
use crate::diagnostic::Problem;

/// A day of examining, from the first bell to the last; common practice, no source.
const DAY: u32 = 8 * 60 * 60;

/// How many sittings the day needs with the examiners there are, and how many examiners would hold it in eight hours.
pub(super) fn answer(blueprint: &Blueprint) -> Option<Problem> {
    let all = blueprint.groups.iter().flat_map(|g| &g.candidates);
    let candidates = all.filter(|c| !c.absent).count();
    let examiners = blueprint.examiners.iter().filter(|e| !e.absent).count();
    let (stations, room) = (
        blueprint.stations(),
        capacity(&blueprint.positions, blueprint.pace),
    );
    if stations == 0 || room == 0 {
        return None;
    }
    let round = blueprint.round(&blueprint.positions);
    let sittings = |tracks: usize| candidates.div_ceil(room * tracks.max(1));
    let takes = |tracks: usize| {
        let hours = f64::from(round) / 3600.0 * sittings(tracks) as f64;
        format!("{} sittings, {hours:.1} hours", sittings(tracks))
    };
    let enough = |tracks: &usize| sittings(*tracks) as u32 * round <= DAY;
    let most = candidates.div_ceil(room).max(1);
    let quick = (1..=most).find(enough);
    let named = match blueprint.examiners.is_empty() {
        true => String::new(),
        false => format!(" with {examiners} examiners"),
    };
    let problem = Problem::new(format!(
        "{candidates} candidates{named}: a track of {stations} stations seats {room} and takes {} minutes",
        clock::minutes(round)
    ));
    let at_a_time = |tracks: usize| match tracks {
        1 => "one track at a time".to_string(),
        _ => format!("{tracks} tracks at a time"),
    };
    let now = examiners / stations;
    let hint = match (blueprint.examiners.is_empty(), now, quick) {
        (true, _, quick) => {
            let tracks = quick.unwrap_or(most);
            format!("with {} it needs {}", at_a_time(tracks), takes(tracks))
        }
        (false, 0, _) => format!(
            "name {} more examiners, or have {examiners} stations or fewer",
            stations - examiners
        ),
        (false, now, Some(quick)) if quick > now => format!(
            "with {} it needs {}; with {} examiners ({}) {}",
            at_a_time(now),
            takes(now),
            quick * stations,
            at_a_time(quick),
            takes(quick)
        ),
        (false, now, _) => format!("with {} it needs {}", at_a_time(now), takes(now)),
    };
    Some(problem.hint(hint))
}

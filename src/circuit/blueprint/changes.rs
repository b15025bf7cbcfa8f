//! What happened since the day was planned? Who does not come, who comes late, and which station is replaced, checked.

use super::checked::Position;
use super::checker::{Checker, at};
use super::people::People;
use super::{clock, written};
use crate::diagnostic::short;

/// Marks people as absent or late; gives the stations that a spare one stands in for: (group, position of the route).
pub(super) fn changes(
    check: &mut Checker<'_>,
    written: &written::Changes,
    positions: &[Position],
    people: &mut People,
) -> Vec<(usize, usize)> {
    for (i, id) in written.absent.iter().enumerate() {
        absent(check, &at!["changes", "absent", i], id, people);
    }
    for (i, late) in written.late.iter().enumerate() {
        let there = time(check, &at!["changes", "late", i, "at"], &late.at);
        match people.candidate(&late.candidate) {
            Some(candidate) => candidate.late = there,
            None => no_candidate(
                check,
                &at!["changes", "late", i, "candidate"],
                &late.candidate,
                people,
            ),
        }
    }
    for (i, left) in written.left.iter().enumerate() {
        let at = time(check, &at!["changes", "left", i, "at"], &left.at);
        let path = at!["changes", "left", i, "examiner"];
        let found = people.examiners.iter().position(|e| e.id == left.examiner);
        match (found, people.candidate(&left.examiner)) {
            (Some(e), _) => people.examiners[e].left = at,
            (None, Some(_)) => check.say(
                &path,
                format!("`{}` is a candidate", short(&left.examiner)),
                "no new plan is needed: write `absent` in the mark sheet at the stations that they missed",
            ),
            (None, None) => {
                let known = people.examiners.iter().map(|e| e.id.as_str());
                check.unknown(&path, "no examiner is called", &left.examiner, known, "use the id of an examiner");
            }
        }
    }
    let spare = written.spare.iter().enumerate();
    spare
        .filter_map(|(i, spare)| replaced(check, i, spare, positions, people))
        .collect()
}

fn time(check: &mut Checker<'_>, path: &[crate::files::Step], text: &str) -> Option<clock::Second> {
    let found = clock::parse(text);
    if found.is_none() {
        check.say(
            path,
            format!("`{}` is no time of day", short(text)),
            "write hours and minutes in quotes, such as \"09:20\"",
        );
    }
    found
}

fn absent(check: &mut Checker<'_>, path: &[crate::files::Step], id: &str, people: &mut People) {
    let examiner = people.examiners.iter().position(|e| e.id == id);
    match (people.candidate(id), examiner) {
        (Some(_), Some(_)) => check.say(
            path,
            format!("`{}` is a candidate and an examiner", short(id)),
            "give one of the two another id",
        ),
        (Some(candidate), None) => candidate.absent = true,
        (None, Some(e)) => people.examiners[e].absent = true,
        (None, None) => no_candidate(check, path, id, people),
    }
}

fn no_candidate(check: &mut Checker<'_>, path: &[crate::files::Step], id: &str, people: &People) {
    let candidates = people.groups.iter().flat_map(|g| &g.candidates);
    let examiners = people.examiners.iter().map(|e| e.id.as_str());
    let known = candidates.map(|c| c.id.as_str()).chain(examiners);
    check.unknown(path, "nobody is called", id, known, "use an id of this day");
}

fn replaced(
    check: &mut Checker<'_>,
    i: usize,
    spare: &written::Spare,
    positions: &[Position],
    people: &People,
) -> Option<(usize, usize)> {
    let group = people.groups.iter().position(|g| g.id == spare.group);
    if group.is_none() {
        check.unknown(
            &at!["changes", "spare", i, "group"],
            "no group is called",
            &spare.group,
            people.groups.iter().map(|g| g.id.as_str()),
            "use the id of a group",
        );
    }
    let name = format!("{}", spare.position);
    let position = positions
        .iter()
        .position(|p| p.station.is_some() && p.name == name);
    if position.is_none() {
        let stations = positions.iter().filter(|p| p.station.is_some()).count();
        check.say(
            &at!["changes", "spare", i, "position"],
            format!("there is no station {}", short(&name)),
            format!("write its number on the route, 1 to {stations}"),
        );
    }
    Some((group?, position?))
}

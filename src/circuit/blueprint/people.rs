//! Checks who comes: groups, their candidates and sittings, and the examiners with those they know.

use super::checked::{
    Candidate, Examiner, Group, MOST_CANDIDATES, MOST_GROUPS, MOST_SITTINGS, MOST_TRACKS, Sitting,
};
use super::problems::Gather;
use super::{clock, written};
use crate::diagnostic::{did_you_mean, short};
use crate::files::Step;
use std::collections::BTreeSet;

/// An id becomes part of a file name: letters, digits, `-` and `_` only.
fn safe_id(id: &str) -> bool {
    (1..=24).contains(&id.len())
        && id
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
}

const ID_HINT: &str = "use 1 to 24 letters, digits, `-` and `_`";

pub(super) fn groups(say: &mut Gather<'_>, written: &written::Blueprint) -> Vec<Group> {
    let mut all: Vec<Group> = Vec::new();
    let mut sitting_ids: Vec<String> = Vec::new();
    let mut candidate_ids = BTreeSet::new();
    if written.groups.is_empty() || written.groups.len() > MOST_GROUPS {
        say.say(
            &["groups".into()],
            format!("{} groups are no number of groups", written.groups.len()),
            format!("write 1 to {MOST_GROUPS} groups; each gets a form of its own"),
        );
    }
    for (g, group) in written.groups.iter().take(MOST_GROUPS).enumerate() {
        let at = |key: &str| vec![Step::from("groups"), Step::from(g), Step::from(key)];
        if !safe_id(&group.id) {
            say.say(
                &at("id"),
                format!("`{}` is no id of a group", short(&group.id)),
                ID_HINT,
            );
        }
        if all.iter().any(|o| o.id.eq_ignore_ascii_case(&group.id)) {
            say.say(
                &at("id"),
                format!("the group `{}` stands here twice", short(&group.id)),
                "give each group its own id",
            );
        }
        let candidates = candidates(say, group, &at, &mut candidate_ids);
        let mut sittings: Vec<Sitting> = Vec::new();
        for (s, sitting) in group.sittings.iter().enumerate() {
            let inner = |key: &str| [at("sittings"), vec![Step::from(s), Step::from(key)]].concat();
            if !safe_id(&sitting.id) || sitting_ids.contains(&sitting.id) {
                say.say(
                    &inner("id"),
                    format!(
                        "`{}` is no id of a sitting, or is used twice",
                        short(&sitting.id)
                    ),
                    ID_HINT,
                );
            }
            sitting_ids.push(sitting.id.clone());
            let start = clock::parse(&sitting.start);
            if start.is_none() {
                say.say(
                    &inner("start"),
                    format!("`{}` is no time of day", short(&sitting.start)),
                    "write hours and minutes in quotes, such as \"09:00\"",
                );
            }
            let tracks = match sitting.tracks {
                None => Some(1),
                Some(n) => say.whole(&inner("tracks"), "tracks", n, 1, MOST_TRACKS),
            };
            sittings.push(Sitting {
                id: sitting.id.clone(),
                start: start.unwrap_or(0),
                tracks: tracks.unwrap_or(1),
            });
        }
        if sittings.is_empty() || sitting_ids.len() > MOST_SITTINGS {
            say.say(
                &at("sittings"),
                format!("the group `{}` has no sitting, or the day has too many", short(&group.id)),
                format!("write one sitting or more with `id:` and `start:`, {MOST_SITTINGS} at most in all"),
            );
        }
        all.push(Group {
            id: group.id.clone(),
            candidates,
            sittings,
            quarantined: group.quarantined,
        });
    }
    if candidate_ids.len() > MOST_CANDIDATES {
        say.say(
            &["groups".into()],
            format!(
                "{} candidates are more than {MOST_CANDIDATES}",
                candidate_ids.len()
            ),
            "split the day into several circuits",
        );
    }
    all
}

fn candidates(
    say: &mut Gather<'_>,
    group: &written::Group,
    at: &dyn Fn(&str) -> Vec<Step>,
    seen: &mut BTreeSet<String>,
) -> Vec<Candidate> {
    let mut all = Vec::new();
    match (group.count, group.candidates.is_empty()) {
        (Some(_), false) => say.say(
            &at("count"),
            "both a count and a list of candidates are given",
            "keep one of the two",
        ),
        (None, true) => say.say(
            &at("id"),
            format!("the group `{}` has no candidates", short(&group.id)),
            "write `count: 12`, or list them under `candidates:`",
        ),
        (Some(n), true) => {
            let n = say.whole(&at("count"), "candidates", n, 1, MOST_CANDIDATES);
            let n = n.unwrap_or(0);
            let width = n.to_string().len().max(2);
            for i in 1..=n {
                let id = format!("{}{i:0width$}", group.id);
                seen.insert(id.clone());
                all.push(Candidate {
                    id,
                    name: String::new(),
                });
            }
        }
        (None, false) => {
            for (c, one) in group.candidates.iter().enumerate() {
                let path = [at("candidates"), vec![Step::from(c), "id".into()]].concat();
                if !safe_id(&one.id) {
                    say.say(
                        &path,
                        format!("`{}` is no id of a candidate", short(&one.id)),
                        ID_HINT,
                    );
                } else if !seen.insert(one.id.clone()) {
                    say.say(
                        &path,
                        format!("the candidate `{}` stands here twice", one.id),
                        "give each candidate one id and one group",
                    );
                }
                all.push(Candidate {
                    id: one.id.clone(),
                    name: one.name.trim().to_string(),
                });
            }
        }
    }
    all
}

pub(super) fn examiners(
    say: &mut Gather<'_>,
    written: &written::Blueprint,
    groups: &[Group],
) -> Vec<Examiner> {
    let candidates: BTreeSet<&str> = groups
        .iter()
        .flat_map(|g| &g.candidates)
        .map(|c| c.id.as_str())
        .collect();
    let sittings: Vec<&str> = groups
        .iter()
        .flat_map(|g| &g.sittings)
        .map(|s| s.id.as_str())
        .collect();
    let mut seen = BTreeSet::new();
    for (e, examiner) in written.examiners.iter().enumerate() {
        let at = |key: &str| vec![Step::from("examiners"), Step::from(e), Step::from(key)];
        if !safe_id(&examiner.id) {
            say.say(
                &at("id"),
                format!("`{}` is no id of an examiner", short(&examiner.id)),
                ID_HINT,
            );
        } else if !seen.insert(examiner.id.as_str()) {
            say.say(
                &at("id"),
                format!("the examiner `{}` stands here twice", examiner.id),
                "give each examiner one id",
            );
        }
        for (k, word) in examiner.knows.iter().enumerate() {
            if !candidates.contains(word.as_str()) {
                say.say(
                    &[at("knows"), vec![Step::from(k)]].concat(),
                    format!("no candidate is called `{}`", short(word)),
                    did_you_mean(
                        word,
                        candidates.iter().copied(),
                        "use the id of a candidate of a group",
                    ),
                );
            }
        }
        for (k, word) in examiner.sittings.iter().flatten().enumerate() {
            if !sittings.contains(&word.as_str()) {
                say.say(
                    &[at("sittings"), vec![Step::from(k)]].concat(),
                    format!("no sitting is called `{}`", short(word)),
                    did_you_mean(
                        word,
                        sittings.iter().copied(),
                        "use the id of a sitting of a group",
                    ),
                );
            }
        }
    }
    written
        .examiners
        .iter()
        .map(|e| Examiner {
            id: e.id.clone(),
            name: e.name.trim().to_string(),
            knows: e.knows.clone(),
            sittings: e.sittings.clone(),
        })
        .collect()
}

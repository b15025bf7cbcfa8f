//! Who comes? The groups with their candidates and sittings, and the examiners with those they know, checked.

use super::checked::{
    Candidate, Examiner, Group, MOST_CANDIDATES, MOST_GROUPS, MOST_SITTINGS, MOST_TRACKS, Sitting,
};
use super::checker::{Checker, at};
use super::{clock, written};
use crate::diagnostic::short;
use std::collections::BTreeSet;

pub(super) fn groups(check: &mut Checker<'_>, written: &written::Blueprint) -> Vec<Group> {
    let count = written.groups.len();
    if count == 0 || count > MOST_GROUPS {
        check.say(
            &at!["groups"],
            format!("{count} groups are no number of groups"),
            format!("write 1 to {MOST_GROUPS} groups; each gets a form of its own"),
        );
    }
    let mut all: Vec<Group> = Vec::new();
    let (mut groups, mut people, mut times) = Default::default();
    for (g, group) in written.groups.iter().take(MOST_GROUPS).enumerate() {
        check.id(&at!["groups", g, "id"], "a group", &group.id, &mut groups);
        // Ids become names of folders, and some disks take `a` and `A` for one.
        let folded = |o: &Group| o.id != group.id && o.id.eq_ignore_ascii_case(&group.id);
        if all.iter().any(folded) {
            check.say(
                &at!["groups", g, "id"],
                format!(
                    "`{}` differs from another group only in its capitals",
                    group.id
                ),
                "give each group an id of its own",
            );
        }
        let candidates = match group.count {
            Some(count) => counted(check, g, group, count, &mut people),
            None => listed(check, g, group, &mut people),
        };
        let sittings = sittings(check, g, group, &mut times);
        if sittings.is_empty() || times.len() > MOST_SITTINGS {
            check.say(
                &at!["groups", g, "sittings"],
                format!("the group `{}` has no sitting, or the day has too many", short(&group.id)),
                format!("write one sitting or more with `id:` and `start:`, {MOST_SITTINGS} at most in all"),
            );
        }
        let whole = Group {
            id: group.id.clone(),
            candidates,
            sittings,
            quarantined: group.quarantined,
        };
        match group.form_per_sitting {
            true => all.extend(by_sitting(whole)),
            false => all.push(whole),
        }
    }
    if all.len() > MOST_GROUPS {
        check.say(
            &at!["groups"],
            format!("{} forms are more than {MOST_GROUPS}", all.len()),
            "use fewer groups, or fewer sittings with a form of their own",
        );
    }
    let candidates: usize = all.iter().map(|g| g.candidates.len()).sum();
    if candidates > MOST_CANDIDATES {
        check.say(
            &at!["groups"],
            format!("{candidates} candidates are more than {MOST_CANDIDATES}"),
            "split the day into several circuits",
        );
    }
    all
}

/// Each sitting with a form of its own, and the candidates in the order of the list, as many as its tracks take.
fn by_sitting(whole: Group) -> Vec<Group> {
    let tracks: usize = whole.sittings.iter().map(|s| s.tracks).sum();
    let (mut from, mut before) = (0, 0);
    let mut all = Vec::new();
    for sitting in whole.sittings {
        before += sitting.tracks;
        let to = (whole.candidates.len() * before).div_ceil(tracks.max(1));
        all.push(Group {
            id: format!("{}-{}", whole.id, sitting.id),
            candidates: whole.candidates[from..to].to_vec(),
            sittings: vec![sitting],
            quarantined: whole.quarantined,
        });
        from = to;
    }
    all
}

/// "A01" to "A12" for `count: 12`.
fn counted(
    check: &mut Checker<'_>,
    g: usize,
    group: &written::Group,
    count: f64,
    seen: &mut BTreeSet<String>,
) -> Vec<Candidate> {
    let path = at!["groups", g, "count"];
    if !group.candidates.is_empty() {
        check.say(
            &path,
            "both a count and a list of candidates are given",
            "keep one of the two",
        );
    }
    let n = check.whole(&path, "candidates", count, 1, MOST_CANDIDATES);
    let n = n.unwrap_or(0);
    let width = n.to_string().len().max(2);
    let mut all = Vec::new();
    for i in 1..=n {
        let id = format!("{}{i:0width$}", group.id);
        if !seen.insert(id.clone()) {
            check.say(
                &path,
                format!("`{}` would be the id of two candidates", short(&id)),
                "give the group another id, or list its candidates",
            );
        }
        let name = String::new();
        all.push(Candidate { id, name });
    }
    all
}

fn listed(
    check: &mut Checker<'_>,
    g: usize,
    group: &written::Group,
    seen: &mut BTreeSet<String>,
) -> Vec<Candidate> {
    if group.candidates.is_empty() {
        check.say(
            &at!["groups", g, "id"],
            format!("the group `{}` has no candidates", short(&group.id)),
            "write `count: 12`, or list them under `candidates:`",
        );
    }
    for (c, one) in group.candidates.iter().enumerate() {
        let path = at!["groups", g, "candidates", c, "id"];
        check.id(&path, "a candidate", &one.id, seen);
    }
    let all = group.candidates.iter();
    all.map(|one| Candidate {
        id: one.id.clone(),
        name: one.name.trim().to_string(),
    })
    .collect()
}

fn sittings(
    check: &mut Checker<'_>,
    g: usize,
    group: &written::Group,
    seen: &mut BTreeSet<String>,
) -> Vec<Sitting> {
    let mut all = Vec::new();
    for (s, sitting) in group.sittings.iter().enumerate() {
        check.id(
            &at!["groups", g, "sittings", s, "id"],
            "a sitting",
            &sitting.id,
            seen,
        );
        let start = clock::parse(&sitting.start);
        if start.is_none() {
            check.say(
                &at!["groups", g, "sittings", s, "start"],
                format!("`{}` is no time of day", short(&sitting.start)),
                "write hours and minutes in quotes, such as \"09:00\"",
            );
        }
        let path = at!["groups", g, "sittings", s, "tracks"];
        let tracks = sitting
            .tracks
            .and_then(|n| check.whole(&path, "tracks", n, 1, MOST_TRACKS));
        all.push(Sitting {
            id: sitting.id.clone(),
            start: start.unwrap_or(0),
            tracks: tracks.unwrap_or(1),
        });
    }
    all
}

pub(super) fn examiners(
    check: &mut Checker<'_>,
    written: &written::Blueprint,
    groups: &[Group],
) -> Vec<Examiner> {
    let candidates = groups.iter().flat_map(|g| &g.candidates);
    let candidates: BTreeSet<&str> = candidates.map(|c| c.id.as_str()).collect();
    let sittings = groups.iter().flat_map(|g| &g.sittings);
    let sittings: BTreeSet<&str> = sittings.map(|s| s.id.as_str()).collect();
    let mut seen = BTreeSet::new();
    let mut all = Vec::new();
    for (e, examiner) in written.examiners.iter().enumerate() {
        let path = at!["examiners", e, "id"];
        check.id(&path, "an examiner", &examiner.id, &mut seen);
        for (k, word) in examiner.knows.iter().enumerate() {
            if !candidates.contains(word.as_str()) {
                check.unknown(
                    &at!["examiners", e, "knows", k],
                    "no candidate is called",
                    word,
                    candidates.iter().copied(),
                    "use the id of a candidate of a group",
                );
            }
        }
        for (k, word) in examiner.sittings.iter().flatten().enumerate() {
            if !sittings.contains(word.as_str()) {
                check.unknown(
                    &at!["examiners", e, "sittings", k],
                    "no sitting is called",
                    word,
                    sittings.iter().copied(),
                    "use the id of a sitting of a group",
                );
            }
        }
        all.push(Examiner {
            id: examiner.id.clone(),
            name: examiner.name.trim().to_string(),
            knows: examiner.knows.clone(),
            sittings: examiner.sittings.clone(),
        });
    }
    all
}

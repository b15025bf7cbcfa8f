//! Who comes? The groups with their candidates and sittings, and the examiners with those they know, checked.

use super::checked::{
    Candidate, Examiner, Group, MOST_CANDIDATES, MOST_GROUPS, MOST_SITTINGS, MOST_TRACKS, Sitting,
};
use super::checker::{Checker, at};
use super::lists::{self, EXTRA_HINT, Listed, Lists, tenths};
use super::{clock, written};
use crate::diagnostic::short;
use crate::files::Step;
use std::collections::BTreeSet;

/// Everybody of a day.
#[derive(Default)]
pub(super) struct People {
    pub groups: Vec<Group>,
    pub examiners: Vec<Examiner>,
    /// Columns of the lists that nothing is read from.
    pub unread: Vec<String>,
}

impl People {
    pub fn candidate(&mut self, id: &str) -> Option<&mut Candidate> {
        let mut all = self.groups.iter_mut().flat_map(|g| &mut g.candidates);
        all.find(|c| c.id == id)
    }
}

pub(super) fn groups(
    check: &mut Checker<'_>,
    written: &written::Blueprint,
    lists: &Lists,
    people: &mut People,
) {
    let count = written.groups.len();
    if count == 0 || count > MOST_GROUPS {
        check.say(
            &at!["groups"],
            format!("{count} groups are no number of groups"),
            format!("write 1 to {MOST_GROUPS} groups; each gets a form of its own"),
        );
    }
    let (mut groups, mut ids, mut times) = Default::default();
    let mut rows = match &lists.candidates {
        Some(table) => lists::candidates(check, table, &mut ids, &mut people.unread),
        None => Vec::new(),
    };
    of_no_group(check, written, &mut rows);
    let all = &mut people.groups;
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
        let candidates = match (&lists.candidates, group.count) {
            (Some(_), _) => from_list(check, g, group, &rows),
            (None, Some(count)) => counted(check, g, group, count, &mut ids),
            (None, None) => listed(check, g, group, &mut ids),
        };
        let sittings = sittings(check, g, group, &mut times);
        if sittings.is_empty() || times.len() > MOST_SITTINGS {
            check.say(
                &at!["groups", g, "sittings"],
                format!("the group `{}` has no sitting, or the day has too many", short(&group.id)),
                format!("write one sitting or more with `id:` and `start:`, {MOST_SITTINGS} at most in all"),
            );
        }
        if group.form_per_sitting && sittings.windows(2).any(|w| w[0].extra != w[1].extra) {
            check.say(
                &at!["groups", g, "form_per_sitting"],
                "a sitting with extra time has the form of its group",
                "take `form_per_sitting` out, and write a group for each form",
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
}

/// Where there is one group its name need not be written in every row.
fn of_no_group(check: &mut Checker<'_>, written: &written::Blueprint, rows: &mut [Listed]) {
    let ids: Vec<&str> = written.groups.iter().map(|g| g.id.as_str()).collect();
    for row in rows {
        match (row.group.is_empty(), ids.as_slice()) {
            (true, [only]) => row.group = (*only).to_string(),
            _ if ids.contains(&row.group.as_str()) => {}
            _ => check.unknown_at(
                row.at.clone(),
                "no group is called",
                &row.group,
                ids.iter().copied(),
                "write the id of a group of the blueprint in the column `group`",
            ),
        }
    }
}

fn from_list(
    check: &mut Checker<'_>,
    g: usize,
    group: &written::Group,
    rows: &[Listed],
) -> Vec<Candidate> {
    if group.count.is_some() || !group.candidates.is_empty() {
        check.say(
            &at!["groups", g, "id"],
            format!(
                "the candidates of group `{}` stand here and in the list",
                short(&group.id)
            ),
            "take `count:` or `candidates:` out, or `candidates:` under `lists:`",
        );
    }
    let own = rows.iter().filter(|row| row.group == group.id);
    let all: Vec<Candidate> = own.map(|row| row.candidate.clone()).collect();
    if all.is_empty() {
        check.say(
            &at!["groups", g, "id"],
            format!("no row of the list is of group `{}`", short(&group.id)),
            "write its id in the column `group` of its candidates",
        );
    }
    all
}

/// More time, from per cent.
fn extra(check: &mut Checker<'_>, path: &[Step], percent: Option<f64>) -> u32 {
    let percent = percent.unwrap_or(0.0);
    let found = tenths(percent);
    if found.is_none() {
        check.say(path, format!("{percent} is no extra time"), EXTRA_HINT);
    }
    found.unwrap_or(0)
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
        all.push(Candidate {
            id,
            ..Candidate::default()
        });
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
    let mut all = Vec::new();
    for (c, one) in group.candidates.iter().enumerate() {
        let path = at!["groups", g, "candidates", c, "id"];
        check.id(&path, "a candidate", &one.id, seen);
        let path = at!["groups", g, "candidates", c, "extra"];
        all.push(Candidate {
            id: one.id.clone(),
            name: one.name.trim().to_string(),
            extra: extra(check, &path, one.extra),
            ..Candidate::default()
        });
    }
    all
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
            extra: extra(
                check,
                &at!["groups", g, "sittings", s, "extra"],
                sitting.extra,
            ),
        });
    }
    all
}

pub(super) fn examiners(
    check: &mut Checker<'_>,
    written: &written::Blueprint,
    lists: &Lists,
    people: &mut People,
) {
    let candidates = people.groups.iter().flat_map(|g| &g.candidates);
    let candidates: BTreeSet<&str> = candidates.map(|c| c.id.as_str()).collect();
    let sittings = people.groups.iter().flat_map(|g| &g.sittings);
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
            reserve: examiner.reserve,
            absent: false,
            left: None,
        });
    }
    if let Some(table) = &lists.examiners {
        let unread = &mut people.unread;
        all.extend(lists::examiners(check, table, &sittings, &mut seen, unread));
    }
    if let Some(table) = &lists.declared {
        lists::declared(check, table, &candidates, &mut all, &mut people.unread);
    }
    people.examiners = all;
}

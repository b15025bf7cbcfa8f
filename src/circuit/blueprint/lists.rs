//! Who comes, by the tables of an office? Candidates, examiners and declared pairs from CSV, with columns in any order.

use super::checked::{Candidate, Examiner};
use super::checker::Checker;
use super::clock::{self, Second};
use crate::diagnostic::{Place, short};
use crate::files::{Table, TableRow};
use std::collections::BTreeSet;

/// The tables that a blueprint names, read.
#[derive(Debug, Clone, Default)]
pub struct Lists {
    pub candidates: Option<Table>,
    pub examiners: Option<Table>,
    pub declared: Option<Table>,
}

/// A candidate with the group that the table puts them into; empty when it has no such column.
pub(super) struct Listed {
    pub group: String,
    pub at: Place,
    pub candidate: Candidate,
}

/// More time from per cent as written to tenths of a per cent; at most twice the time.
pub(super) fn tenths(percent: f64) -> Option<u32> {
    let tenths = percent * 10.0;
    let whole = (tenths - tenths.round()).abs() < 1e-6;
    (whole && (0.0..=1000.0).contains(&tenths)).then(|| tenths.round() as u32)
}

pub(super) const EXTRA_HINT: &str =
    "write per cent, 0 to 100, such as 25, with one decimal at the most";

/// The columns of a table, by what they hold.
struct Columns<'t> {
    table: &'t Table,
    /// For each name asked for its column.
    at: Vec<Option<usize>>,
}

impl Columns<'_> {
    fn cell<'r>(&self, row: &'r TableRow, name: usize) -> &'r str {
        let column = self.at.get(name).copied().flatten();
        column.map_or("", |c| row.cell(c))
    }

    fn place(&self, row: &TableRow, name: usize) -> Place {
        let column = self.at.get(name).copied().flatten();
        self.table.place(row.line, column.unwrap_or(0))
    }

    fn has(&self, name: usize) -> bool {
        self.at.get(name).is_some_and(Option::is_some)
    }
}

/// Finds the columns; the first `needed` of them must be there. A column is known by its whole name, else by its first word, so that
/// "extra time (%)" is `extra`; the others are told, because nothing is read from them.
fn columns<'t>(
    check: &mut Checker<'_>,
    table: &'t Table,
    names: &[&str],
    needed: usize,
    unread: &mut Vec<String>,
) -> Columns<'t> {
    let folded: Vec<String> = table.head.iter().map(|h| h.to_lowercase()).collect();
    let first = |head: &str| {
        let mut words = head.split(|c: char| !c.is_alphanumeric());
        words.next().unwrap_or_default().to_string()
    };
    let mut at = Vec::new();
    for (n, name) in names.iter().enumerate() {
        let whole = folded.iter().position(|h| h == name);
        let mut by_word = (0..folded.len()).filter(|c| {
            let head = &folded[*c];
            first(head) == *name && !names.contains(&head.as_str())
        });
        let found = whole.or_else(|| by_word.next());
        if let (None, Some(second)) = (whole, by_word.next()) {
            check.say_at(
                table.place(1, second),
                format!("two columns may be `{name}`"),
                format!("call the one that is meant `{name}`, and no more"),
            );
        }
        if found.is_none() && n < needed {
            check.say_at(
                table.place(1, 0),
                format!("the first line lacks the column `{name}`"),
                format!(
                    "name the columns in the first line; these are read: {}",
                    names.join(", ")
                ),
            );
        }
        at.push(found);
    }
    let own = table.head.iter().enumerate();
    let rest = own.filter(|(c, head)| !at.contains(&Some(*c)) && !head.is_empty());
    unread.extend(rest.map(|(_, head)| format!("{} ({})", head, table.shown)));
    Columns { table, at }
}

/// Yes or no, as offices write it.
fn flag(check: &mut Checker<'_>, columns: &Columns<'_>, row: &TableRow, name: usize) -> bool {
    match columns.cell(row, name).to_lowercase().as_str() {
        "yes" | "y" | "x" | "1" | "true" => true,
        "" | "no" | "n" | "0" | "false" | "-" => false,
        other => {
            check.say_at(
                columns.place(row, name),
                format!("`{}` is neither yes nor no", short(other)),
                "write `yes`, or leave the cell empty",
            );
            false
        }
    }
}

/// More time in tenths of a per cent, from "25", "25 %" or "12,5".
fn extra(check: &mut Checker<'_>, columns: &Columns<'_>, row: &TableRow, name: usize) -> u32 {
    let cell = columns.cell(row, name);
    let plain = cell.trim_end_matches('%').trim().replace(',', ".");
    if plain.is_empty() {
        return 0;
    }
    let found = plain.parse::<f64>().ok().and_then(tenths);
    if found.is_none() {
        let message = format!("`{}` is no extra time", short(cell));
        check.say_at(columns.place(row, name), message, EXTRA_HINT);
    }
    found.unwrap_or(0)
}

fn time(
    check: &mut Checker<'_>,
    columns: &Columns<'_>,
    row: &TableRow,
    name: usize,
) -> Option<Second> {
    let cell = columns.cell(row, name);
    let found = clock::parse(cell);
    if found.is_none() && !cell.is_empty() {
        check.say_at(
            columns.place(row, name),
            format!("`{}` is no time of day", short(cell)),
            "write hours and minutes, such as 09:20, or leave the cell empty",
        );
    }
    found
}

pub(super) fn candidates(
    check: &mut Checker<'_>,
    table: &Table,
    seen: &mut BTreeSet<String>,
    unread: &mut Vec<String>,
) -> Vec<Listed> {
    let names = ["candidate", "name", "group", "extra", "absent", "late"];
    let columns = columns(check, table, &names, 1, unread);
    let mut all = Vec::new();
    if !columns.has(0) {
        return all;
    }
    for row in &table.rows {
        let id = columns.cell(row, 0);
        check.id_at(columns.place(row, 0), "a candidate", id, seen);
        all.push(Listed {
            group: columns.cell(row, 2).to_string(),
            at: columns.place(row, 2),
            candidate: Candidate {
                id: id.to_string(),
                name: columns.cell(row, 1).to_string(),
                extra: extra(check, &columns, row, 3),
                absent: flag(check, &columns, row, 4),
                late: time(check, &columns, row, 5),
            },
        });
    }
    all
}

pub(super) fn examiners(
    check: &mut Checker<'_>,
    table: &Table,
    sittings: &BTreeSet<&str>,
    seen: &mut BTreeSet<String>,
    unread: &mut Vec<String>,
) -> Vec<Examiner> {
    let names = ["examiner", "name", "sittings", "reserve", "absent"];
    let columns = columns(check, table, &names, 1, unread);
    let mut all = Vec::new();
    if !columns.has(0) {
        return all;
    }
    for row in &table.rows {
        let id = columns.cell(row, 0);
        check.id_at(columns.place(row, 0), "an examiner", id, seen);
        let own: Vec<String> = columns
            .cell(row, 2)
            .split([' ', ',', ';', '/'])
            .filter(|word| !word.is_empty())
            .map(String::from)
            .collect();
        for word in own.iter().filter(|w| !sittings.contains(w.as_str())) {
            check.unknown_at(
                columns.place(row, 2),
                "no sitting is called",
                word,
                sittings.iter().copied(),
                "use the id of a sitting of a group, or leave the cell empty",
            );
        }
        all.push(Examiner {
            id: id.to_string(),
            name: columns.cell(row, 1).to_string(),
            knows: Vec::new(),
            sittings: (!own.is_empty()).then_some(own),
            reserve: flag(check, &columns, row, 3),
            absent: flag(check, &columns, row, 4),
            left: None,
        });
    }
    all
}

/// Adds the pairs of a table, a row each.
pub(super) fn declared(
    check: &mut Checker<'_>,
    table: &Table,
    candidates: &BTreeSet<&str>,
    examiners: &mut [Examiner],
    unread: &mut Vec<String>,
) {
    let columns = columns(check, table, &["examiner", "candidate"], 2, unread);
    if !columns.has(0) || !columns.has(1) {
        return;
    }
    for row in &table.rows {
        let (examiner, candidate) = (columns.cell(row, 0), columns.cell(row, 1));
        if !candidates.contains(candidate) {
            check.unknown_at(
                columns.place(row, 1),
                "no candidate is called",
                candidate,
                candidates.iter().copied(),
                "use the id of a candidate of a group",
            );
        }
        match examiners.iter_mut().find(|e| e.id == examiner) {
            Some(found) => found.knows.push(candidate.to_string()),
            None => {
                let known: Vec<String> = examiners.iter().map(|e| e.id.clone()).collect();
                check.unknown_at(
                    columns.place(row, 0),
                    "no examiner is called",
                    examiner,
                    known.iter().map(String::as_str),
                    "use the id of an examiner",
                );
            }
        }
    }
}

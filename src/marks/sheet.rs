//! What did the markers write? The mark sheet as it comes back, checked cell by cell against what the circuit planned. Nothing is guessed.

use super::columns::Columns;
use super::number::number;
use crate::circuit::report::mark_sheet::NO_QUESTION;
use crate::circuit::report::{KeyStation, MarkingKey};
use crate::diagnostic::{Failure, MOST_SHOWN, Problem, did_you_mean, short};
use crate::files::{Table, TableRow};
use crate::station::Rung;
use std::collections::HashMap;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    Present,
    /// The candidate did not come.
    Absent,
    /// The station does not count for this candidate.
    Void,
}

/// What one line says. Candidate, station and examiner are positions in the key.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub candidate: usize,
    pub station: usize,
    pub examiner: Option<usize>,
    pub status: Status,
    /// Of the whole station; 0 unless present.
    pub marks: f64,
    /// Of each question; empty where only the total is known.
    pub questions: Vec<f64>,
    /// The last prompt of each question.
    pub prompts: Vec<Option<Rung>>,
    /// From the worst, which is 1.
    pub grade: Option<usize>,
    pub danger: bool,
    pub comment: String,
}

/// All that was marked, in the order of the key's seats, and what is still missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    pub entries: Vec<Entry>,
    pub missing: Vec<Problem>,
}

/// Reads the sheet. With `partial` what is missing is told and not held against it.
///
/// # Errors
/// Exit code 2 with every problem.
pub fn read(table: &Table, key: &MarkingKey, partial: bool) -> Result<Marked, Failure> {
    let columns = Columns::of(table, key).map_err(Failure::Unreadable)?;
    let mut reader = Reader::new(table, key, &columns);
    for row in &table.rows {
        reader.row(row);
    }
    reader.rows_not_there();
    let Reader {
        entries,
        mut problems,
        missing,
        ..
    } = reader;
    if !partial {
        problems.extend(missing.iter().cloned());
    }
    if problems.is_empty() {
        let entries = entries.into_iter().flatten().collect();
        return Ok(Marked { entries, missing });
    }
    // A row that is not there has no place, and comes last.
    problems.sort_by_key(|p| {
        p.place
            .as_ref()
            .map_or((usize::MAX, 0), |at| (at.line, at.column))
    });
    Err(Failure::Unreadable(problems))
}

pub(super) struct Reader<'a> {
    table: &'a Table,
    key: &'a MarkingKey,
    pub(super) columns: &'a Columns,
    candidates: HashMap<&'a str, usize>,
    stations: HashMap<&'a str, usize>,
    examiners: HashMap<&'a str, usize>,
    seats: HashMap<(usize, usize), usize>,
    /// By seat: the line it stands in.
    lines: Vec<Option<usize>>,
    entries: Vec<Option<Entry>>,
    problems: Vec<Problem>,
    missing: Vec<Problem>,
}

impl<'a> Reader<'a> {
    fn new(table: &'a Table, key: &'a MarkingKey, columns: &'a Columns) -> Self {
        let seats = key.seats.iter().enumerate();
        Reader {
            table,
            key,
            columns,
            candidates: numbered(key.candidates.iter().map(|c| c.id.as_str())),
            stations: numbered(key.stations.iter().map(|s| s.code.as_str())),
            examiners: numbered(key.examiners.iter().map(|e| e.id.as_str())),
            seats: seats.map(|(at, seat)| ((seat.0, seat.1), at)).collect(),
            lines: vec![None; key.seats.len()],
            entries: vec![None; key.seats.len()],
            problems: Vec::new(),
            missing: Vec::new(),
        }
    }

    fn problem(&self, row: &TableRow, column: usize, message: String, hint: &str) -> Problem {
        let column = column.min(self.table.head.len().saturating_sub(1));
        Problem::new(message)
            .hint(hint)
            .at(self.table.place(row.line, column))
    }

    pub(super) fn say(&mut self, row: &TableRow, column: usize, message: String, hint: &str) {
        let problem = self.problem(row, column, message, hint);
        self.problems.push(problem);
    }

    pub(super) fn lack(&mut self, row: &TableRow, column: usize, message: String, hint: &str) {
        let problem = self.problem(row, column, message, hint);
        self.missing.push(problem);
    }

    fn row(&mut self, row: &TableRow) {
        let columns = self.columns;
        let candidate = self.known(row, columns.candidate, "candidate", |r| &r.candidates);
        let station = self.known(row, columns.station, "station", |r| &r.stations);
        let (Some(candidate), Some(station)) = (candidate, station) else {
            return;
        };
        let key = self.key;
        let (Some(who), Some(of)) = (key.candidates.get(candidate), key.stations.get(station))
        else {
            return;
        };
        let Some(&seat) = self.seats.get(&(candidate, station)) else {
            let message = format!("candidate {} does not meet station {}", who.id, of.code);
            return self.say(
                row,
                columns.station,
                message,
                "compare both with the mark sheet that the circuit wrote",
            );
        };
        if let Some(first) = self.lines[seat] {
            let message = format!(
                "candidate {} has station {} twice: in row {first} too",
                who.id, of.code
            );
            return self.say(
                row,
                columns.candidate,
                message,
                "take one of the two rows away",
            );
        }
        self.lines[seat] = Some(row.line);
        let Some(status) = self.status(row) else {
            return;
        };
        let examiner = match row.cell(columns.examiner) {
            "" => None,
            _ => self.known(row, columns.examiner, "examiner", |r| &r.examiners),
        };
        let entry = Entry {
            candidate,
            station,
            examiner,
            status,
            marks: 0.0,
            questions: Vec::new(),
            prompts: Vec::new(),
            grade: None,
            danger: false,
            comment: row.cell(columns.comment).to_string(),
        };
        self.entries[seat] = match status {
            Status::Present => self.present(row, of, entry),
            Status::Absent | Status::Void => self.nothing_given(row, entry),
        };
    }

    /// A cell that must hold an id.
    fn known(
        &mut self,
        row: &TableRow,
        column: usize,
        what: &str,
        of: impl Fn(&Self) -> &HashMap<&'a str, usize>,
    ) -> Option<usize> {
        let word = row.cell(column);
        if let Some(&found) = of(self).get(word) {
            return Some(found);
        }
        let hint = unknown_hint(word, of(self), self.problems.len() < MOST_SHOWN);
        let message = match word {
            "" => format!("the {what} is missing"),
            _ => format!("the circuit has no {what} `{}`", short(word)),
        };
        let hint = match what {
            "examiner" => hint + "; where somebody else marked, leave the cell empty",
            _ => hint,
        };
        self.say(row, column, message, &hint);
        None
    }

    fn status(&mut self, row: &TableRow) -> Option<Status> {
        let column = self.columns.status;
        match row.cell(column).to_lowercase().as_str() {
            "" | "present" => Some(Status::Present),
            "absent" => Some(Status::Absent),
            "void" => Some(Status::Void),
            other => {
                let message = format!("`{}` is no status", short(other));
                self.say(
                    row,
                    column,
                    message,
                    "write present, absent or void, or leave the cell empty",
                );
                None
            }
        }
    }

    fn nothing_given(&mut self, row: &TableRow, entry: Entry) -> Option<Entry> {
        let columns = self.columns;
        let of_questions = columns.questions.iter().flatten().copied();
        let all = of_questions.chain([columns.marks, columns.rating]);
        let given = |c: &usize| {
            ![String::new(), NO_QUESTION.to_string()].contains(&row.cell(*c).to_string())
        };
        let mut filled: Vec<usize> = all.filter(given).collect();
        if self.danger(row)? {
            filled.push(columns.danger);
        }
        match filled.first() {
            None => Some(entry),
            Some(&column) => {
                let message = format!("a mark or rating goes with `{}`", row.cell(columns.status));
                self.say(
                    row,
                    column,
                    message,
                    "empty the cell, or empty the status when the candidate was marked",
                );
                None
            }
        }
    }

    fn danger(&mut self, row: &TableRow) -> Option<bool> {
        let column = self.columns.danger;
        match row.cell(column).to_lowercase().as_str() {
            "" | "no" | "n" | "0" => Some(false),
            "yes" | "y" | "1" => Some(true),
            other => {
                let message = format!(
                    "`{}` says not whether the answer was dangerous",
                    short(other)
                );
                self.say(row, column, message, "write yes, or leave the cell empty");
                None
            }
        }
    }

    /// A row with marks. None when it is wrong, or nothing that counts stands in it.
    fn present(&mut self, row: &TableRow, station: &KeyStation, mut entry: Entry) -> Option<Entry> {
        let columns = self.columns;
        let before = self.problems.len();
        let prompts = self.prompts(row, station);
        let (questions, half_filled) = self.questions(row, station, &prompts);
        let total = self.total(row, station);
        let grade = self.grade(row);
        entry.danger = self.danger(row)?;
        self.declared(row, &entry);
        if self.problems.len() > before {
            return None;
        }
        if half_filled {
            return None;
        }
        let sum: f64 = questions.iter().sum();
        match (total, questions.is_empty()) {
            (Some(total), false) if total != sum => {
                let message = format!("the questions add up to {sum}, and the total says {total}");
                self.say(
                    row,
                    columns.marks,
                    message,
                    "correct the question that was misread, or the total",
                );
                return None;
            }
            (None, true) => {
                let message = "no marks stand here, and the status is not `absent`".to_string();
                self.lack(
                    row,
                    columns.marks,
                    message,
                    "enter the marks, or write absent under status when the candidate did not come",
                );
                return None;
            }
            (Some(total), _) => entry.marks = total,
            (None, false) => entry.marks = sum,
        }
        if grade.is_none() {
            let message = "the global rating is missing".to_string();
            self.lack(row, columns.rating, message, &self.grades_hint());
        }
        entry.questions = questions;
        entry.prompts = prompts;
        entry.grade = grade;
        Some(entry)
    }

    /// The grade by word or number.
    fn grade(&mut self, row: &TableRow) -> Option<usize> {
        let column = self.columns.rating;
        let word = row.cell(column);
        if word.is_empty() {
            return None;
        }
        let grades = &self.key.grades;
        let same = |grade: &str| grade.to_lowercase() == word.to_lowercase();
        let by_word = grades
            .iter()
            .position(|g| same(&g.grade))
            .map(|at| grades.len() - at);
        let by_number =
            || number(word).filter(|n| (1.0..=grades.len() as f64).contains(n) && n.fract() == 0.0);
        let found = by_word.or_else(|| by_number().map(|n| n as usize));
        if found.is_none() {
            let message = format!("`{}` is no grade of the global rating", short(word));
            self.say(row, column, message, &self.grades_hint());
        }
        found
    }

    fn grades_hint(&self) -> String {
        let best = self.key.grades.len();
        let grades = self.key.grades.iter().enumerate();
        let all: Vec<String> = grades
            .map(|(at, g)| format!("{} ({})", g.grade, best - at))
            .collect();
        format!("write one of: {}", all.join(", "))
    }

    fn declared(&mut self, row: &TableRow, entry: &Entry) {
        let Some(examiner) = entry.examiner.and_then(|e| self.key.examiners.get(e)) else {
            return;
        };
        let Some(candidate) = self.key.candidates.get(entry.candidate) else {
            return;
        };
        if examiner.knows.contains(&candidate.id) {
            let message = format!(
                "examiner {} declared to know candidate {} and marked them",
                examiner.id, candidate.id
            );
            self.say(
                row,
                self.columns.examiner,
                message,
                "correct the examiner; if it was so, write void under status and empty the marks",
            );
        }
    }

    /// Told for each candidate at once.
    fn rows_not_there(&mut self) {
        let key = self.key;
        let mut without: Vec<(usize, Vec<&str>)> = Vec::new();
        for (seat, _) in key
            .seats
            .iter()
            .zip(&self.lines)
            .filter(|(_, line)| line.is_none())
        {
            let code = key.stations.get(seat.1).map_or("", |s| s.code.as_str());
            match without.last_mut() {
                Some((candidate, codes)) if *candidate == seat.0 => codes.push(code),
                _ => without.push((seat.0, vec![code])),
            }
        }
        for (candidate, codes) in without {
            let id = key.candidates.get(candidate).map_or("", |c| c.id.as_str());
            let message = format!(
                "{}: candidate {id} has no row for {}",
                self.table.shown,
                codes.join(", ")
            );
            let hint = "add the row as the circuit wrote it, with absent under status when the candidate did not come";
            self.missing.push(Problem::new(message).hint(hint));
        }
    }
}

fn numbered<'a>(ids: impl Iterator<Item = &'a str>) -> HashMap<&'a str, usize> {
    ids.enumerate().map(|(at, id)| (id, at)).collect()
}

/// Which id may be meant.
fn unknown_hint(word: &str, known: &HashMap<&str, usize>, worth_it: bool) -> String {
    let otherwise = "take it from the mark sheet that the circuit wrote";
    if !worth_it || word.is_empty() {
        return otherwise.to_string();
    }
    let mut all: Vec<&str> = known.keys().copied().collect();
    all.sort_unstable();
    let bare = |id: &str| id.trim_start_matches('0').to_lowercase();
    match all.iter().find(|id| bare(id) == bare(word)) {
        Some(meant) if meant.starts_with('0') => {
            format!(
                "did you mean `{meant}`? a spreadsheet drops leading zeros unless the column is text"
            )
        }
        Some(meant) => format!("did you mean `{meant}`?"),
        None => did_you_mean(word, all.iter().copied(), otherwise),
    }
}

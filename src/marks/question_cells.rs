//! What do the cells of the questions say? Marks, prompts and the total, each within what the station allows.

use super::number::number;
use super::sheet::Reader;
use crate::circuit::report::mark_sheet::NO_QUESTION;
use crate::circuit::report::{KeyQuestion, KeyStation};
use crate::diagnostic::short;
use crate::files::TableRow;
use crate::station::Rung;

impl Reader<'_> {
    pub(super) fn prompts(&mut self, row: &TableRow, station: &KeyStation) -> Vec<Option<Rung>> {
        let mut all = Vec::new();
        for (at, [_, column]) in self.columns.questions.iter().enumerate() {
            let word = row.cell(*column);
            let question = station.questions.get(at);
            let rung = match word.to_lowercase().as_str() {
                "" | NO_QUESTION => None,
                "c" | "clarify" => Some(Rung::Clarify),
                "p" | "probe" => Some(Rung::Probe),
                "l" | "lead" => Some(Rung::Lead),
                _ => {
                    let message = format!("`{}` is no prompt", short(word));
                    self.say(
                        row,
                        *column,
                        message,
                        "write C, P or L, or leave the cell empty",
                    );
                    None
                }
            };
            match (question, rung) {
                (Some(q), Some(r)) if !q.caps.iter().any(|(has, _)| *has == r) => {
                    let message = format!("q{} of {} has no prompt {}", at + 1, station.code, word);
                    self.say(
                        row,
                        *column,
                        message,
                        "take the letter from the marking grid of the station",
                    );
                }
                (None, Some(_)) => self.no_question(row, *column, at, station),
                _ => {}
            }
            if question.is_some() {
                all.push(rung);
            }
        }
        all
    }

    fn no_question(&mut self, row: &TableRow, column: usize, at: usize, station: &KeyStation) {
        let message = format!("station {} has no question {}", station.code, at + 1);
        self.say(
            row,
            column,
            message,
            "empty the cell; the mark may belong one column further left",
        );
    }

    /// The marks of the questions, empty when there are none; and whether some are there and some not, which is told.
    pub(super) fn questions(
        &mut self,
        row: &TableRow,
        station: &KeyStation,
        prompts: &[Option<Rung>],
    ) -> (Vec<f64>, bool) {
        let mut marks = Vec::new();
        let mut empty = Vec::new();
        for (at, &[column, _]) in self.columns.questions.iter().enumerate() {
            let word = row.cell(column);
            let blank = ["", NO_QUESTION].contains(&word);
            match station.questions.get(at) {
                None if blank => {}
                None => self.no_question(row, column, at, station),
                Some(_) if blank => empty.push((at, column)),
                Some(q) => {
                    let prompt = prompts.get(at).copied().flatten();
                    marks.extend(self.question(row, column, at, q, prompt));
                }
            }
        }
        let half_filled = !empty.is_empty() && empty.len() < station.questions.len();
        if half_filled {
            for (at, column) in empty {
                let message = format!(
                    "q{} is empty, and other questions of the row are not",
                    at + 1
                );
                self.lack(
                    row,
                    column,
                    message,
                    "enter its mark (0 for none), or empty all questions and enter the total alone",
                );
            }
        }
        (marks, half_filled)
    }

    fn question(
        &mut self,
        row: &TableRow,
        column: usize,
        at: usize,
        question: &KeyQuestion,
        prompt: Option<Rung>,
    ) -> Option<f64> {
        let mark = self.mark(
            row,
            column,
            &format!("q{}", at + 1),
            f64::from(question.marks),
        )?;
        let cap = question.caps.iter().find(|(rung, _)| Some(*rung) == prompt);
        if let Some((_, cap)) = cap
            && mark > *cap
        {
            let message = format!(
                "q{} has {mark} marks, and its last prompt leaves no more than {cap}",
                at + 1
            );
            self.say(
                row,
                column,
                message,
                "correct the mark or the prompt; the legend shows what each prompt leaves",
            );
        }
        Some(mark)
    }

    pub(super) fn total(&mut self, row: &TableRow, station: &KeyStation) -> Option<f64> {
        match row.cell(self.columns.marks) {
            "" => None,
            _ => self.mark(
                row,
                self.columns.marks,
                "the total",
                f64::from(station.marks),
            ),
        }
    }

    fn mark(&mut self, row: &TableRow, column: usize, what: &str, most: f64) -> Option<f64> {
        let word = row.cell(column);
        let Some(mark) = number(word) else {
            let message = format!("`{}` is no mark of {what}", short(word));
            self.say(row, column, message, "write a number such as 2 or 2.5");
            return None;
        };
        if !(0.0..=most).contains(&mark) {
            let message = format!("{} marks of {what}: there are 0 to {most}", short(word));
            self.say(
                row,
                column,
                message,
                "correct the mark; the legend shows what each question bears",
            );
            return None;
        }
        if (mark * 2.0).fract() != 0.0 {
            let message = format!(
                "{} marks of {what}: only whole and half marks are given",
                short(word)
            );
            self.say(row, column, message, "write a whole or half mark");
            return None;
        }
        Some(mark)
    }
}

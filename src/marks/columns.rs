//! Which column of a mark sheet is which? The names of its first line, in any order.

use crate::circuit::report::MarkingKey;
use crate::circuit::report::mark_sheet::{
    CANDIDATE, COMMENT, DANGER, EXAMINER, FOR_THE_EYE, MARKS, RATING, STATION, STATUS,
    question_columns,
};
use crate::diagnostic::{Problem, did_you_mean, short};
use crate::files::Table;
use std::collections::BTreeMap;

/// Where each thing stands. What is not there stands beyond the end of every row, where cells are empty.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    pub candidate: usize,
    pub station: usize,
    pub examiner: usize,
    pub marks: usize,
    pub status: usize,
    pub rating: usize,
    pub danger: usize,
    pub comment: usize,
    /// Mark and prompt of each question.
    pub questions: Vec<[usize; 2]>,
}

const NOWHERE: usize = usize::MAX;

impl Columns {
    /// # Errors
    /// Everything that is wrong with the first line.
    pub fn of(table: &Table, key: &MarkingKey) -> Result<Columns, Vec<Problem>> {
        let most = key
            .stations
            .iter()
            .map(|s| s.questions.len())
            .max()
            .unwrap_or(0);
        let of_questions: Vec<[String; 2]> = (1..=most).map(question_columns).collect();
        let needed = [CANDIDATE, STATION, EXAMINER, MARKS, STATUS, RATING, DANGER];
        let known: Vec<&str> = needed
            .into_iter()
            .chain([COMMENT])
            .chain(FOR_THE_EYE)
            .chain(of_questions.iter().flatten().map(String::as_str))
            .collect();
        let is_known = |name: &String| known.contains(&name.to_lowercase().as_str());
        if !table.head.iter().any(is_known) {
            return Err(vec![
                Problem::new("the first line names no column of a mark sheet")
                    .hint("keep the first line of the sheet that the circuit wrote: candidate, group, sitting ...")
                    .at(table.place(1, 0)),
            ]);
        }
        let mut problems = Vec::new();
        let mut found: BTreeMap<&str, usize> = BTreeMap::new();
        for (at, name) in table.head.iter().enumerate().filter(|(_, n)| !n.is_empty()) {
            let lower = name.to_lowercase();
            match known.iter().find(|k| **k == lower) {
                Some(k) if found.contains_key(k) => problems.push(
                    Problem::new(format!("there are two columns `{k}`"))
                        .hint("take one of them away")
                        .at(table.place(1, at)),
                ),
                Some(k) => {
                    found.insert(k, at);
                }
                None => problems.push(
                    Problem::new(format!("a mark sheet has no column `{}`", short(name)))
                        .hint(did_you_mean(
                            name,
                            known.iter().copied(),
                            "give it the name it has in the sheet that the circuit wrote, or take it away",
                        ))
                        .at(table.place(1, at)),
                ),
            }
        }
        let lacking: Vec<&str> = needed
            .into_iter()
            .filter(|n| !found.contains_key(n))
            .collect();
        if !lacking.is_empty() {
            problems.push(
                Problem::new(format!("the first line lacks the column {}", lacking.join(", ")))
                    .hint("take the names from the mark sheet that the circuit wrote; a column may stay empty, its name must be there")
                    .at(table.place(1, 0)),
            );
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let at = |name: &str| found.get(name).copied().unwrap_or(NOWHERE);
        Ok(Columns {
            candidate: at(CANDIDATE),
            station: at(STATION),
            examiner: at(EXAMINER),
            marks: at(MARKS),
            status: at(STATUS),
            rating: at(RATING),
            danger: at(DANGER),
            comment: at(COMMENT),
            questions: of_questions
                .iter()
                .map(|pair| [at(&pair[0]), at(&pair[1])])
                .collect(),
        })
    }
}

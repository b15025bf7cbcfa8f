//! Where were marks won and lost? By question, prompt, domain, kind of reasoning and cell of the blueprint; shares of what could be had.

use super::sheet::{Entry, Status};
use super::table::Day;
use crate::circuit::report::{KeyCell, KeyStation};
use crate::station::Rung;
use std::collections::BTreeMap;

/// Marks won of those that could be.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Won {
    pub marks: f64,
    pub of: f64,
}

impl Won {
    fn add(&mut self, marks: f64, of: u32) {
        self.marks += marks;
        self.of += f64::from(of);
    }

    /// In per cent. None where nothing could be won.
    pub fn percent(&self) -> Option<f64> {
        (self.of > 0.0).then(|| 100.0 * self.marks / self.of)
    }
}

/// In the order of [`QuestionTally::prompts`].
pub const LAST_PROMPTS: [&str; 4] = ["none", "clarify", "probe", "lead"];

/// One question over the candidates whose questions were marked one by one.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct QuestionTally {
    pub n: usize,
    pub won: Won,
    /// With all marks, and with none.
    pub all: usize,
    pub none: usize,
    /// Candidates by their last prompt ([`LAST_PROMPTS`]), and the marks that they won.
    pub prompts: [(usize, f64); 4],
}

/// The questions of a station in one form.
pub fn questions(day: &Day<'_>, form: usize, station: usize) -> Vec<QuestionTally> {
    let Some(of) = day.key.stations.get(station) else {
        return Vec::new();
    };
    let mut all = vec![QuestionTally::default(); of.questions.len()];
    for entry in day.at(form, station) {
        let cells = entry.questions.iter().zip(&entry.prompts);
        for ((tally, question), (mark, prompt)) in all.iter_mut().zip(&of.questions).zip(cells) {
            tally.n += 1;
            tally.won.add(*mark, question.marks);
            tally.all += usize::from(*mark >= f64::from(question.marks));
            tally.none += usize::from(*mark <= 0.0);
            let used = match prompt {
                None => 0,
                Some(Rung::Clarify) => 1,
                Some(Rung::Probe) => 2,
                Some(Rung::Lead) => 3,
            };
            tally.prompts[used].0 += 1;
            tally.prompts[used].1 += mark;
        }
    }
    all
}

/// What stands in the way of one's next marks: the marks of some entries by domain and by kind of station.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Profile {
    /// By id. Only questions that were marked one by one count.
    pub domains: BTreeMap<String, Won>,
    /// By id, with the label.
    pub kinds: BTreeMap<String, (String, Won)>,
}

pub fn profile<'e>(day: &Day<'_>, entries: impl Iterator<Item = &'e Entry>) -> Profile {
    let mut all = Profile::default();
    for entry in entries.filter(|e| e.status == Status::Present) {
        let Some(station) = day.key.stations.get(entry.station) else {
            continue;
        };
        let [kind, label] = &station.kind;
        let of_kind = all
            .kinds
            .entry(kind.clone())
            .or_insert_with(|| (label.clone(), Won::default()));
        of_kind.1.add(entry.marks, station.marks);
        for (mark, question) in entry.questions.iter().zip(&station.questions) {
            let of_domain = all.domains.entry(question.domain.clone()).or_default();
            of_domain.add(*mark, question.marks);
        }
    }
    all
}

/// The cells of the blueprint that have stations in the form, with the marks won in them by all its candidates.
pub fn cells<'d>(day: &'d Day<'_>, form: usize) -> Vec<(&'d str, Won)> {
    let all = day.key.forms.get(form).map_or(&[][..], |f| &f.cells);
    let with_stations = all.iter().filter(|c| !c.stations.is_empty());
    with_stations
        .map(|c| (c.label.as_str(), cell(day, form, c)))
        .collect()
}

fn cell(day: &Day<'_>, form: usize, cell: &KeyCell) -> Won {
    let mut won = Won::default();
    for &at in &cell.stations {
        let Some(station) = day.key.stations.get(at) else {
            continue;
        };
        for entry in day.at(form, at) {
            match &cell.domain {
                None => won.add(entry.marks, station.marks),
                Some(domain) => of_domain(&mut won, station, entry, domain),
            }
        }
    }
    won
}

fn of_domain(won: &mut Won, station: &KeyStation, entry: &Entry, domain: &str) {
    let both = entry.questions.iter().zip(&station.questions);
    for (mark, question) in both.filter(|(_, q)| q.domain == domain) {
        won.add(*mark, question.marks);
    }
}

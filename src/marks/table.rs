//! Who has which marks where? What was read, by candidate and station.

use super::sheet::{Entry, Status};
use crate::circuit::report::MarkingKey;
use std::collections::HashMap;

/// The marks of a day beside what the circuit planned.
pub struct Day<'a> {
    pub key: &'a MarkingKey,
    pub entries: &'a [Entry],
    by_seat: HashMap<(usize, usize), usize>,
}

impl<'a> Day<'a> {
    pub fn new(key: &'a MarkingKey, entries: &'a [Entry]) -> Self {
        let by_seat = entries.iter().enumerate();
        Day {
            key,
            entries,
            by_seat: by_seat
                .map(|(at, e)| ((e.candidate, e.station), at))
                .collect(),
        }
    }

    pub fn entry(&self, candidate: usize, station: usize) -> Option<&'a Entry> {
        let at = self.by_seat.get(&(candidate, station))?;
        self.entries.get(*at)
    }

    /// Entry, when the candidate was marked there.
    pub fn marked(&self, candidate: usize, station: usize) -> Option<&'a Entry> {
        self.entry(candidate, station)
            .filter(|e| e.status == Status::Present)
    }

    /// The candidates of a form, by their positions in the key.
    pub fn of_form(&self, form: usize) -> impl Iterator<Item = usize> + '_ {
        let all = self.key.candidates.iter().enumerate();
        all.filter(move |(_, c)| c.form == form).map(|(at, _)| at)
    }

    /// Everybody of the form who was marked at the station.
    pub fn at(&self, form: usize, station: usize) -> impl Iterator<Item = &'a Entry> + '_ {
        self.of_form(form)
            .filter_map(move |c| self.marked(c, station))
    }

    /// Marks at every station of the form's route, of those who have them all.
    pub fn rows(&self, form: usize) -> Vec<Vec<f64>> {
        let Some(route) = self.key.forms.get(form).map(|f| &f.route) else {
            return Vec::new();
        };
        let row = |candidate: usize| -> Option<Vec<f64>> {
            let marks = route
                .iter()
                .map(|(_, s)| Some(self.marked(candidate, *s)?.marks));
            marks.collect()
        };
        self.of_form(form).filter_map(row).collect()
    }

    /// Number of the borderline grade; grades count up from the worst, which is 1.
    pub fn border(&self) -> f64 {
        let grades = &self.key.grades;
        let at = grades.iter().position(|g| g.borderline).unwrap_or(0);
        (grades.len() - at) as f64
    }
}

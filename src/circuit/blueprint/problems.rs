//! Where a problem of a blueprint is written down, and how its words (levels, kinds, sites) are looked up.

use super::clock::{self, Second};
use crate::anatomy::{Model, fold};
use crate::case::Level;
use crate::diagnostic::{Problem, did_you_mean, short};
use crate::files::{Source, Step, locate};
use crate::station::{LEVELS, StationKind, level_id};

/// The problems of one blueprint.
pub(super) struct Gather<'a> {
    pub source: &'a Source,
    pub problems: Vec<Problem>,
}

impl Gather<'_> {
    pub fn say(&mut self, path: &[Step], message: impl Into<String>, hint: impl Into<String>) {
        let place = locate(self.source, path);
        self.problems
            .push(Problem::new(message).at(place).hint(hint));
    }

    /// A whole number from `least` to `most`.
    pub fn whole(
        &mut self,
        path: &[Step],
        what: &str,
        value: f64,
        least: usize,
        most: usize,
    ) -> Option<usize> {
        if value.fract() == 0.0 && value >= least as f64 && value <= most as f64 {
            return Some(value as usize);
        }
        self.say(
            path,
            format!("{value} is no number of {what}"),
            format!("write a whole number from {least} to {most}"),
        );
        None
    }

    /// Minutes in halves, from `least` to `most` minutes.
    pub fn minutes(
        &mut self,
        path: &[Step],
        what: &str,
        value: f64,
        least: f64,
        most: f64,
    ) -> Second {
        match clock::seconds(value).filter(|_| (least..=most).contains(&value)) {
            Some(seconds) => seconds,
            None => {
                let message = if value < 0.0 {
                    format!("{value} minutes of {what} are negative")
                } else {
                    format!("{value} minutes are no length for {what}")
                };
                self.say(
                    path,
                    message,
                    format!("write {least} to {most} minutes, in halves"),
                );
                60
            }
        }
    }
}

/// What a blueprint's words are checked against.
pub(super) struct Known<'a> {
    pub model: &'a Model,
    pub kinds: Vec<StationKind>,
    pub domains: Vec<String>,
}

pub(super) fn level_of(say: &mut Gather<'_>, path: &[Step], word: &str) -> Level {
    let known = LEVELS.map(level_id);
    match LEVELS.iter().find(|l| level_id(**l) == word) {
        Some(level) => *level,
        None => {
            say.say(
                path,
                format!("there is no level `{}`", short(word)),
                did_you_mean(word, known, &format!("write one of: {}", known.join(", "))),
            );
            Level::Clinical
        }
    }
}

pub(super) fn kind<'k>(
    say: &mut Gather<'_>,
    known: &'k Known<'_>,
    path: &[Step],
    word: &str,
) -> Option<&'k StationKind> {
    let wanted = fold(word);
    let found = known
        .kinds
        .iter()
        .find(|k| k.id == wanted || k.synonyms.iter().any(|s| fold(s) == wanted));
    if found.is_none() {
        let words = known.kinds.iter().map(|k| k.id.as_str());
        say.say(
            path,
            format!("no kind of station is called `{}`", short(word)),
            did_you_mean(word, words, "`vivasmith list kinds` shows them all"),
        );
    }
    found
}

pub(super) fn site(
    say: &mut Gather<'_>,
    known: &Known<'_>,
    path: &[Step],
    word: &str,
) -> Option<usize> {
    let wanted = fold(word);
    let sites = &known.model.sites;
    let found = sites
        .iter()
        .position(|s| s.id == wanted || s.synonyms.iter().any(|x| fold(x) == wanted));
    if found.is_none() {
        let words = sites.iter().map(|s| s.id.as_str());
        say.say(
            path,
            format!("no site is called `{}`", short(word)),
            did_you_mean(word, words, "`vivasmith list sites` shows them all"),
        );
    }
    found
}

//! What is wrong with a blueprint, and where? Every problem is gathered here, and every word is looked up against the content here.

use super::clock::{self, Second};
use super::limbs::Limbs;
use crate::anatomy::fold;
use crate::case::Level;
use crate::diagnostic::{MOST_SHOWN, Place, Problem, did_you_mean, short};
use crate::files::{Content, Source, Step, locate};
use crate::station::{self, LEVELS, StationKind, level_id};
use crate::teaching;
use std::collections::BTreeSet;

/// `at!["groups", 2, "id"]`: the way to a value of the file.
macro_rules! at {
    ($($step:expr),*) => { [$($crate::files::Step::from($step)),*] };
}
pub(super) use at;

pub(super) struct Checker<'a> {
    pub source: &'a Source,
    pub limbs: &'a Limbs<'a>,
    kinds: Vec<StationKind>,
    pub domains: BTreeSet<String>,
    pub problems: Vec<Problem>,
}

const ID_HINT: &str = "use 1 to 24 letters, digits, `-` and `_`";

/// An id becomes part of a file name.
fn safe_id(id: &str) -> bool {
    (1..=24).contains(&id.len())
        && id
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
}

impl<'a> Checker<'a> {
    /// # Errors
    /// As [`station::kinds`] and [`teaching::families`].
    pub fn new(
        source: &'a Source,
        content: &Content,
        limbs: &'a Limbs<'a>,
    ) -> Result<Self, crate::diagnostic::Failure> {
        let families = teaching::families(content)?;
        let kinds = station::kinds(content, &families)?;
        Ok(Checker {
            source,
            limbs,
            domains: teaching::DOMAINS.map(String::from).into(),
            kinds,
            problems: Vec::new(),
        })
    }

    pub fn say(&mut self, path: &[Step], message: impl Into<String>, hint: impl Into<String>) {
        let place = locate(self.source, path);
        self.problems
            .push(Problem::new(message).at(place).hint(hint));
    }

    /// As [`Checker::say`], at a place of another file.
    pub fn say_at(&mut self, place: Place, message: impl Into<String>, hint: impl Into<String>) {
        self.problems
            .push(Problem::new(message).at(place).hint(hint));
    }

    pub fn line(&self, path: &[Step]) -> usize {
        locate(self.source, path).line
    }

    /// A word that is none of those known: which was meant, or else where to look.
    pub fn unknown<'w>(
        &mut self,
        path: &[Step],
        message: &str,
        word: &str,
        known: impl IntoIterator<Item = &'w str>,
        otherwise: &str,
    ) {
        let place = locate(self.source, path);
        self.unknown_at(place, message, word, known, otherwise);
    }

    /// As [`Checker::unknown`], at a place of another file.
    pub fn unknown_at<'w>(
        &mut self,
        place: Place,
        message: &str,
        word: &str,
        known: impl IntoIterator<Item = &'w str>,
        otherwise: &str,
    ) {
        // Comparing with every known word is slow, and only so many problems are shown.
        let hint = match self.problems.len() < MOST_SHOWN {
            true => did_you_mean(word, known, otherwise),
            false => otherwise.to_string(),
        };
        self.say_at(place, format!("{message} `{}`", short(word)), hint);
    }

    /// The value that a word stands for; the first one when it stands for none.
    pub fn one_of<T: Copy>(
        &mut self,
        path: &[Step],
        message: &str,
        word: Option<&str>,
        all: &[(&str, T)],
    ) -> Option<T> {
        let (_, usual) = all.first()?;
        let Some(word) = word else {
            return Some(*usual);
        };
        let found = all.iter().find(|(w, _)| *w == word);
        if found.is_none() {
            let words: Vec<&str> = all.iter().map(|(w, _)| *w).collect();
            let otherwise = format!("write one of: {}", words.join(", "));
            self.unknown(path, message, word, words, &otherwise);
        }
        Some(found.map_or(*usual, |(_, value)| *value))
    }

    /// A new id of its sort.
    pub fn id(&mut self, path: &[Step], what: &str, id: &str, seen: &mut BTreeSet<String>) {
        let place = locate(self.source, path);
        self.id_at(place, what, id, seen);
    }

    /// As [`Checker::id`], at a place of another file.
    pub fn id_at(&mut self, place: Place, what: &str, id: &str, seen: &mut BTreeSet<String>) {
        if !safe_id(id) {
            self.say_at(
                place,
                format!("`{}` is no id of {what}", short(id)),
                ID_HINT,
            );
        } else if !seen.insert(id.to_string()) {
            self.say_at(
                place,
                format!("`{id}` is the id of {what} already"),
                "give each an id of its own",
            );
        }
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
        (least, most): (f64, f64),
    ) -> Second {
        let found = clock::seconds(value).filter(|_| (least..=most).contains(&value));
        found.unwrap_or_else(|| {
            let message = match value < 0.0 {
                true => format!("{value} minutes of {what} are negative"),
                false => format!("{value} minutes are no length for {what}"),
            };
            self.say(
                path,
                message,
                format!("write {least} to {most} minutes, in halves"),
            );
            60
        })
    }

    /// A level; `usual` when none is written.
    pub fn level(&mut self, path: &[Step], word: Option<&str>, usual: Level) -> Level {
        let all = LEVELS.map(|l| (level_id(l), l));
        match word {
            None => usual,
            Some(_) => self
                .one_of(path, "there is no level", word, &all)
                .unwrap_or(usual),
        }
    }

    /// The id of a kind of station.
    pub fn kind(&mut self, path: &[Step], word: &str) -> Option<String> {
        let wanted = fold(word);
        let known =
            |k: &&StationKind| k.id == wanted || k.synonyms.iter().any(|s| fold(s) == wanted);
        let found = self.kinds.iter().find(known).map(|k| k.id.clone());
        if found.is_none() {
            let words: Vec<String> = self.kinds.iter().map(|k| k.id.clone()).collect();
            self.unknown(
                path,
                "no kind of station is called",
                word,
                words.iter().map(String::as_str),
                "`vivasmith list kinds` shows them all",
            );
        }
        found
    }

    /// The position of a site among those of all limbs.
    pub fn site(&mut self, path: &[Step], word: &str) -> Option<usize> {
        let found = self.limbs.named(word);
        if found.is_none() {
            let known = self.limbs.sites().map(|s| s.id.as_str());
            let otherwise = "`vivasmith list sites` shows them all";
            self.unknown(path, "no site is called", word, known, otherwise);
        }
        found
    }
}

//! Gathers everything that is wrong with a region, each with its place, so that an editor sees all of it at once.

use super::list::Entry;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Origins, Source, Step, locate};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// More than this many problems are not gathered: nobody reads on, and each costs a look into its file.
const MOST_PROBLEMS: usize = 100;

/// What the region is called, its roots and the kinds of its segments.
pub const HEAD: &str = "region.yaml";
const NO_SOURCE: &str = "common practice, no source";

/// The ids of one list, to look words up in.
pub struct Names {
    what: &'static str,
    ids: Vec<String>,
    at: HashMap<String, usize>,
}

impl Names {
    /// `what` they name, as in "no muscle has the id ...".
    pub fn new<'a>(what: &'static str, ids: impl IntoIterator<Item = &'a str>) -> Self {
        let mut names = Names {
            what,
            ids: Vec::new(),
            at: HashMap::new(),
        };
        ids.into_iter().for_each(|id| names.add(id));
        names
    }

    pub fn of<E: Entry>(what: &'static str, list: &[E]) -> Self {
        Self::new(what, list.iter().map(E::id))
    }

    /// Of two alike the first counts.
    pub fn add(&mut self, id: &str) {
        self.at.entry(id.to_string()).or_insert(self.ids.len());
        self.ids.push(id.to_string());
    }

    pub fn count(&self) -> usize {
        self.ids.len()
    }

    pub fn get(&self, word: &str) -> Option<usize> {
        self.at.get(word).copied()
    }

    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.ids.iter().map(String::as_str)
    }

    /// The position of a word; complains of one that is not known.
    pub fn find(&self, check: &mut Checker, at: &At, word: &str) -> Option<usize> {
        let found = self.get(word);
        if found.is_none() {
            check.unknown(at, self.what, word, self.ids());
        }
        found
    }
}

/// The problems of one region.
pub struct Checker<'c> {
    content: &'c Content,
    folder: String,
    /// Where the entries of each file were written.
    origins: BTreeMap<String, Origins<'c>>,
    problems: Vec<Problem>,
}

/// A place in a file of the region: "muscles.yaml", muscles, 3, supply.
#[derive(Debug, Clone)]
pub struct At {
    file: &'static str,
    path: Vec<Step>,
}

impl At {
    /// Of an entry of a list.
    pub fn entry<E: Entry>(i: usize) -> Self {
        Self::list::<E>().key(i)
    }

    /// Of a whole list.
    pub fn list<E: Entry>() -> Self {
        At {
            file: E::FILE,
            path: vec![E::LIST.into()],
        }
    }

    /// Of the file that says what the region is.
    pub fn head() -> Self {
        At {
            file: HEAD,
            path: Vec::new(),
        }
    }

    /// One step further in.
    #[must_use]
    pub fn key(&self, step: impl Into<Step>) -> Self {
        let mut path = self.path.clone();
        path.push(step.into());
        At {
            file: self.file,
            path,
        }
    }
}

impl<'c> Checker<'c> {
    pub fn new(content: &'c Content, region: &str) -> Self {
        Checker {
            content,
            folder: format!("anatomy/{region}"),
            origins: BTreeMap::new(),
            problems: Vec::new(),
        }
    }

    /// The file of this name in the region's folder.
    pub fn source(&self, file: &str) -> Option<&'c Source> {
        self.content.get(&format!("{}/{file}", self.folder))
    }

    /// Tells where the entries of a file were written.
    pub fn written(&mut self, file: &str, origins: Origins<'c>) {
        self.origins.insert(file.to_string(), origins);
    }

    /// An entry that a user wrote, in a file of their own or in an extra file.
    pub fn own<E: Entry>(&self, entry: usize) -> bool {
        self.origins.get(E::FILE).is_some_and(|origins| {
            origins.base().overlaid || origins.file(entry) != origins.base().shown
        })
    }

    pub fn complain(&mut self, at: &At, message: impl Into<String>, hint: impl Into<String>) {
        if self.problems.len() >= MOST_PROBLEMS {
            return;
        }
        let problem = Problem::new(message).hint(hint);
        self.problems
            .push(match (self.origins.get(at.file), self.source(at.file)) {
                (Some(origins), _) => problem.at(origins.locate(&at.path)),
                (None, Some(source)) => problem.at(locate(source, &at.path)),
                (None, None) => problem,
            });
    }

    /// Complains of a whole file.
    pub fn complain_at(&mut self, source: &Source, message: String, hint: String) {
        self.problems
            .push(Problem::new(message).hint(hint).at(locate(source, &[])));
    }

    /// Complains of a word that names nothing.
    pub fn unknown<'a>(
        &mut self,
        at: &At,
        what: &str,
        word: &str,
        known: impl IntoIterator<Item = &'a str>,
    ) {
        self.complain(
            at,
            format!("no {what} has the id `{}`", short(word)),
            did_you_mean(
                word,
                known,
                &format!("use the id of a {what} of this region"),
            ),
        );
    }

    /// Ids are lower case letters, digits and `_`, and stand once in their list.
    pub fn ids<E: Entry>(&mut self, list: &[E]) {
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        for (i, id) in list.iter().map(E::id).enumerate() {
            let fits = !id.is_empty()
                && id.len() <= 60
                && id.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
            if !fits {
                self.complain(
                    &At::entry::<E>(i).key("id"),
                    format!("`{}` cannot be an id", short(id)),
                    "use letters without accents, digits and _, 60 at most",
                );
            }
            if !seen.insert(id) {
                self.complain(
                    &At::entry::<E>(i).key("id"),
                    format!("the id `{}` is used twice", short(id)),
                    "give one of the two another id, or remove it",
                );
            }
        }
    }

    /// A figure that must lie between two bounds, both allowed.
    pub fn within(&mut self, at: &At, what: &str, value: f64, low: f64, high: f64) {
        if !(value.is_finite() && value >= low && value <= high) {
            self.complain(
                at,
                format!("{what} is {value}, which is not between {low} and {high}"),
                format!("write a number between {low} and {high}"),
            );
        }
    }

    /// A share or a chance.
    pub fn part(&mut self, at: &At, what: &str, value: f64) {
        self.within(at, what, value, 0.0, 1.0);
    }

    /// What every entry of a list must have.
    pub fn heads<E: Entry>(&mut self, list: &[E], codes: &Names) {
        self.ids(list);
        self.sources(list, codes);
    }

    /// Every entry names what it rests on, by codes that `codes` knows.
    fn sources<E: Entry>(&mut self, list: &[E], codes: &Names) {
        for (i, entry) in list.iter().enumerate() {
            let Some(written) = entry.source().filter(|s| *s != NO_SOURCE) else {
                continue;
            };
            let at = At::entry::<E>(i).key("source");
            if written.trim().is_empty() {
                self.complain(
                    &at,
                    "this entry names no source",
                    format!("write a code of sources.yaml, or `{NO_SOURCE}`"),
                );
            }
            for code in written.split_whitespace() {
                codes.find(self, &at, code);
            }
        }
    }

    /// # Errors
    /// Exit code 1 with all problems in order of place, when there are any.
    pub fn finish(&mut self) -> Result<(), Failure> {
        let mut problems = std::mem::take(&mut self.problems);
        if problems.is_empty() {
            return Ok(());
        }
        problems.sort_by(|a, b| a.place.cmp(&b.place));
        problems.dedup();
        Err(Failure::Content(problems))
    }
}

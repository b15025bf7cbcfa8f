//! Gathers everything that is wrong with a region, each with its place, so that an editor sees all of it at once.

use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Origins, Source, Step, locate};
use std::collections::{BTreeMap, BTreeSet};

/// More than this many problems are not gathered: nobody reads on, and each costs a look into its file.
const MOST_PROBLEMS: usize = 100;

/// The problems of one region.
pub struct Checker<'c> {
    content: &'c Content,
    folder: String,
    /// Where the entries of each file were written.
    origins: BTreeMap<String, Origins<'c>>,
    problems: Vec<Problem>,
}

/// A path inside a file: `here!["muscles", 3, "supply"]`.
macro_rules! here {
    ($($step:expr),* $(,)?) => { [$($crate::files::Step::from($step)),*] };
}
pub(super) use here;

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
    pub fn own(&self, file: &str, entry: usize) -> bool {
        self.origins.get(file).is_some_and(|origins| {
            origins.base().overlaid || origins.file(entry) != origins.base().shown
        })
    }

    pub fn complain(
        &mut self,
        file: &str,
        path: &[Step],
        message: impl Into<String>,
        hint: impl Into<String>,
    ) {
        if self.problems.len() >= MOST_PROBLEMS {
            return;
        }
        let problem = Problem::new(message).hint(hint);
        self.problems
            .push(match (self.origins.get(file), self.source(file)) {
                (Some(origins), _) => problem.at(origins.locate(path)),
                (None, Some(source)) => problem.at(locate(source, path)),
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
        file: &str,
        path: &[Step],
        what: &str,
        word: &str,
        known: impl IntoIterator<Item = &'a str>,
    ) {
        self.complain(
            file,
            path,
            format!("no {what} has the id `{}`", short(word)),
            did_you_mean(
                word,
                known,
                &format!("use the id of a {what} of this region"),
            ),
        );
    }

    /// Ids are lower case letters, digits and `_`, and stand once in their list.
    pub fn ids<'a>(&mut self, file: &str, list: &str, ids: impl IntoIterator<Item = &'a str>) {
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        for (i, id) in ids.into_iter().enumerate() {
            let path = here![list, i, "id"];
            let fits = !id.is_empty()
                && id.len() <= 60
                && id.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
            if !fits {
                self.complain(
                    file,
                    &path,
                    format!("`{}` cannot be an id", short(id)),
                    "use letters without accents, digits and _, 60 at most",
                );
            }
            if !seen.insert(id) {
                self.complain(
                    file,
                    &path,
                    format!("the id `{}` is used twice", short(id)),
                    "give one of the two another id, or remove it",
                );
            }
        }
    }

    /// A figure that must lie between two bounds, both allowed.
    pub fn within(
        &mut self,
        file: &str,
        path: &[Step],
        what: &str,
        value: f64,
        low: f64,
        high: f64,
    ) {
        if !(value.is_finite() && value >= low && value <= high) {
            self.complain(
                file,
                path,
                format!("{what} is {value}, which is not between {low} and {high}"),
                format!("write a number between {low} and {high}"),
            );
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

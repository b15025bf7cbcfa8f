//! Turns what a YAML file says per level, or in several wordings, into the one that fits.

use super::english::fill;
use crate::case::Level;
use crate::diagnostic::{Failure, Problem};
use serde::Deserialize;

/// The three levels, from early student to surgical trainee.
pub const LEVELS: [Level; 3] = [Level::Early, Level::Clinical, Level::Trainee];

/// "early", "clinical", "trainee".
pub fn level_id(level: Level) -> &'static str {
    match level {
        Level::Early => "early",
        Level::Clinical => "clinical",
        Level::Trainee => "trainee",
    }
}

/// 1, 2, 3: the digit of the station code.
pub fn level_number(level: Level) -> u8 {
    match level {
        Level::Early => 1,
        Level::Clinical => 2,
        Level::Trainee => 3,
    }
}

/// One value for each level.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ByLevel<T> {
    pub early: T,
    pub clinical: T,
    pub trainee: T,
}

impl<T> ByLevel<T> {
    pub fn of(&self, level: Level) -> &T {
        match level {
            Level::Early => &self.early,
            Level::Clinical => &self.clinical,
            Level::Trainee => &self.trainee,
        }
    }
}

/// The first wording whose facts are all known for this case.
pub fn first_that_fits(
    wordings: &[String],
    fact: &dyn Fn(&str) -> Option<String>,
) -> Option<String> {
    wordings.iter().find_map(|w| fill(w, fact).ok())
}

pub fn missing_file(name: &str) -> Failure {
    Failure::content(
        Problem::new(format!("the content has no file {name}"))
            .hint("put the shipped file back, or leave --content out"),
    )
}

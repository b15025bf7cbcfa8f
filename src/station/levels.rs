//! Early, clinical, trainee: what a file says for each of the three levels.

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

/// 1, 2, 3.
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

pub fn missing_file(name: &str) -> Failure {
    Failure::content(
        Problem::new(format!("the content has no file {name}"))
            .hint("put the shipped file back, or leave --content out"),
    )
}

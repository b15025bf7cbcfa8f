//! Turns a case into a station: what the candidate is told, what is asked, how it is marked and what the answer is, as plain data.

mod answer;
mod ask;
mod build;
mod checks;
mod code;
mod context;
mod data;
mod difficulty;
mod english;
mod facts;
mod family;
mod giveaway;
mod kind;
mod observe;
pub mod own;
mod plan;
mod proof;
pub mod rivals;
mod select;
mod structure;
mod terms;
mod text;

pub use build::{StationRequest, build, default_minutes};
pub use checks::{READING_WPM, SPEAKING_WPM, check, check_candidate_text};
pub use data::*;
pub use english::{capital, count_words, fill, placeholders};
pub use family::{Family, families};
pub use kind::{StationKind, Tells, kind, kinds};
pub use plan::TOTAL;
pub use select::SOURCES;
pub use text::{LEVELS, level_id, level_number};

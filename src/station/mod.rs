//! Turns a case into a station: what the candidate is told, what is asked, how it is marked and what the answer is, as plain data.

mod answer;
mod approach;
mod ask;
mod branches;
mod build;
mod checks;
mod code;
mod context;
mod data;
mod english;
mod examination;
mod facts;
mod family;
mod fit;
mod giveaway;
mod kind;
mod observe;
mod parts;
mod plan;
pub mod rivals;
mod select;
mod structure;
mod terms;
mod text;

pub use approach::{Approach, Sort, approaches};
pub use build::{StationRequest, build, default_minutes};
pub use checks::{READING_WPM, SPEAKING_WPM, check, check_candidate_text};
pub use data::*;
pub use english::{capital, count_words, fill};
pub use family::{Family, families};
pub use kind::{StationKind, Tells, kind, kinds};
pub use parts::{Decider, NerveInfo, NerveLevel, Parts, TestRow};
pub use plan::TOTAL;
pub use select::SOURCES;
pub use text::{LEVELS, level_id, level_number};

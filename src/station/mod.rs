//! From a case to a station: what the candidate is told, what is asked, how it is marked and what the answer is, as plain data.
//!
//! ```text
//! Case + Notes --drawn--> Draft <--authored-- a teacher's own file
//!                         Draft --proof, questions, build--> Station (candidate, room, card, briefing, answer)
//! ```

mod answer;
pub mod authored;
pub mod blank;
mod briefing;
mod build;
mod build_cache;
mod candidate;
mod card;
mod checks;
mod code;
mod context;
mod difficulty;
mod draft;
mod fit;
mod drawn;
mod giveaway;
mod kind;
mod levels;
mod moved;
mod patient;
mod proof;
mod questions;
mod room;
mod spread;
#[allow(clippy::module_inception)]
mod station;
mod told;
mod usable;

pub use build::{blanks, station as build_draft};
pub use build_cache::BuildCache;
pub use checks::{
    READING_WPM, SPEAKING_WPM, check_candidate_picture, check_candidate_text, giveaways,
};
pub use code::print_of;
pub use context::by_dermatome;
pub use draft::{Asked, Draft, Origin, Told};
pub use drawn::{LONGEST, READING_MINUTES, SHORTEST, drawn, is_unfit};
pub use fit::ROOM_WORDS;
pub use kind::{Slot, StationKind, TOTAL, Tells, kind_named, kinds};
pub use levels::{LEVELS, level_id, level_number};
pub use station::*;

use crate::case::{Case, Level};
use crate::diagnostic::Failure;
use crate::findings::Fixed;

/// What is asked for beside the case.
#[derive(Debug, Clone)]
pub struct StationRequest {
    /// `None`: drawn from the seed.
    pub kind: Option<StationKind>,
    pub level: Level,
    /// `None`: what is usual at the level.
    pub minutes: Option<u32>,
    pub seed: u64,
    /// The place argument that gives this case again with the same seed; `None`: the id of the case's site.
    pub place: Option<String>,
    /// The variants held, as in the arguments, and as derived.
    pub variants: Vec<String>,
    pub fixed: Vec<Fixed>,
}

/// Minutes of a station when none are asked for.
pub fn default_minutes(level: Level) -> u32 {
    match level {
        Level::Early => 6,
        Level::Clinical => 8,
        Level::Trainee => 10,
    }
}

/// Draws and builds one station. Same cache, case and request: same station.
///
/// # Errors
/// Exit code 2 when the minutes are out of range or content cannot be read; 1 when no kind suits or the station breaks a rule (all at once).
pub fn build(
    cache: &BuildCache<'_>,
    case: &Case,
    request: &StationRequest,
) -> Result<Station, Failure> {
    build_draft(cache, drawn(cache, case, request)?)
}

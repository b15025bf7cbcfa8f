//! What a teacher asks, says and rewards: the questions of the kinds of station, and the notes on each place, held against the model.

mod approach;
mod block;
mod check;
mod check_claims;
mod check_days;
mod check_order;
mod check_words;
mod claims;
mod derived;
mod derived_questions;
mod family;
mod ground;
mod names;
mod notes;
mod read;
mod situation;
mod vocabulary;

pub use approach::{Approach, Sort, approaches};
pub use block::{Block, Choice, Line};
pub use check::{Against, Plan, Way, check, same};
pub use check_claims::{OF_THIS_LESION, claims};
pub use claims::{Claims, Wrong};
pub use derived::derived;
pub use family::{Asking, DOMAINS, FOLDER as QUESTIONS, Families, KINDS_FILE, families, filled};
pub use ground::Ground;
pub use names::{NameOf, name_of, structure_named};
pub use notes::*;
pub use read::{FOLDER, notes_of, read, resolve, resolve_block};
pub use situation::{Situation, conditions};
pub use vocabulary::Vocabulary;

//! The moves an examiner makes: where do two things last run together, which neighbour has the same roots, what leaves just above and just
//! below, what changes when the lesion moves, and which finding decides between two places.
//!
//! Everything here is derived from routes and findings; what matters and in which words is for `teaching` to say.

mod branches;
mod differential;
mod moves;
mod routes;

pub use branches::{Level, heads, levels, one_nerve, origin};
pub use differential::{Decider, Rival, decider, decides, differential, phrase};
pub use moves::{Shift, shifts};
pub use routes::{
    Along, along, depth, in_full, last_together, main_muscle, nerve_of, same_roots, served_by,
};

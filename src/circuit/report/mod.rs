//! What is printed about a circuit? Its equality and notes, the lists of the day, the slips of everyone, the mark sheet and what is
//! needed to make results of it.

mod notes;
mod equality;
pub mod lists;
mod visits;
pub mod slips;
pub mod bells;
pub mod arrivals;
pub mod calibration;
pub mod quarantine;
pub mod mark_sheet;
pub mod seats;
pub mod plan_of_print;
mod marking_key;
pub mod round;

pub use equality::{Head, Report, head, record, report};
pub use marking_key::*;
pub use notes::{Note, review};

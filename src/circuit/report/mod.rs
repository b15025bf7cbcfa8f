//! What is printed about a circuit? Its equality and notes, the lists of the day, the slips of everyone, and the mark sheet.

mod notes;
mod equality;
pub mod lists;
pub mod slips;

pub use equality::{Head, Report, head, record, report};
pub use notes::{Note, review};

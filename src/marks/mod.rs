//! What do the day's marks amount to? Results that can be defended: each figure by a published formula, named where it is computed.
//!
//! ```text
//! CSV --sheet--> entries --table--> Day --results--> stations, forms, examiners, candidates
//! ```

pub mod line_fit;
pub mod borderline;
pub mod reliability;
pub mod sweep;
pub mod stringency;
pub mod hofstee;
pub mod judgements;
mod number;
mod columns;
pub mod sheet;
mod question_cells;
pub mod table;
pub mod stations;
pub mod results;
pub mod tallies;
pub mod seat_plan;
pub mod report;
pub mod feedback;
pub mod learned;

//! How does a blueprint become a circuit: parallel forms of stations, a timetable, who sits where, and what to note before the day?
//!
//! ```text
//! YAML --blueprint--> Blueprint --choose--> forms --timetable--> tracks --plan--> Circuit --report--> rows to print
//! ```

pub mod blueprint;
pub mod choose;
pub mod timetable;
mod plan;
mod keep;
pub mod report;

pub use blueprint::{
    Blueprint, Experience, Exposure, Limbs, Lists, Met, check, lists_of, regions_of,
};
pub use choose::mip::Effort;
pub use choose::{Banked, Breadth, Maker, bank, learn, on_threads};
pub use keep::keep;
pub use plan::{Circuit, EFFORT, plan, usual_nodes};
pub use timetable::{Form, seat};

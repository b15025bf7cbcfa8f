//! Turns a blueprint into a circuit: parallel forms of stations, a timetable, who sits where, and what to note before the day.
//!
//! ```text
//! YAML --raw, check--> Blueprint --bank--> stations --plan (assemble, arrange, seats)--> Circuit --review--> notes
//!                                                       assemble --mip--> solver         Circuit --tables--> rows to print
//! ```

mod arrange;
pub mod assemble;
mod bank;
mod blame;
mod blueprint;
mod check;
mod check_content;
mod check_people;
mod check_reuse;
pub mod clash;
pub mod clock;
mod exposure;
mod frame;
mod jobs;
pub mod lists;
pub mod matching;
pub mod mip;
mod place;
mod plan;
mod polish;
mod raw;
pub mod report;
mod review;
mod seats;
pub mod similar;
pub mod tables;
mod threads;
mod task;
pub mod timetable;
mod whole;

pub use bank::{Banked, Maker, bank};
pub use blueprint::*;
pub use check::check;
pub use exposure::{Exposure, Met};
pub use jobs::{Breadth, holds};
pub use plan::{Circuit, EFFORT, Form, Made, plan};
pub use raw::region_of;
pub use review::{Note, leaks, review, similarity, spoken_leak};
pub use seats::{Track, seat};
pub use task::counts_for;
pub use threads::on_threads;

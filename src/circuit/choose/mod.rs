//! Which stations go into which form? A bank of stations, the rules of the blueprint as rows of a solver, the search, and what clashes.

pub mod threads;
pub mod similar;
mod jobs;
mod bank;
mod pairs;
mod spares;
pub mod mip;
pub mod task;
pub mod build_task;
mod relaxation;
mod joint_model;
mod local_search;
pub mod assemble;
pub mod infeasible_core;
pub mod explain;

pub use assemble::{Assembly, Outcome, assemble};
pub use bank::{Banked, Maker, again, bank, learn};
pub use build_task::counts_for;
pub use jobs::Breadth;
pub use pairs::{echoes, leaks, pairs, similarity, spoken_leak};
pub use spares::{fits, spares};
pub use task::{Item, Rule, Task, cost, repeats};
pub use threads::on_threads;

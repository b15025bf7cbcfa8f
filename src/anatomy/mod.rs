//! Turns the YAML of one region into a checked model of nerves, muscles, skin, reflexes, signs and variants.

mod charts;
mod check;
mod graph;
mod index;
mod listed;
mod load;
mod model;
mod raw;
mod resolve;
mod routes;
mod signs;

pub use index::fold;
pub use load::{load, load_undrawn, regions};
pub use model::*;

//! Turns the YAML of one region into a checked model of nerves, muscles, skin, reflexes, signs and variants.

mod called;
mod charts;
mod check;
mod entries;
mod graph;
mod index;
mod kinds;
mod list;
mod load;
mod model;
mod raw;
mod resolve;
mod routes;
mod signs;
mod spine;
mod structure;

pub use index::fold;
pub use load::{default_region, load, load_undrawn, regions};
pub use model::*;
pub use structure::{Kind, Structure};

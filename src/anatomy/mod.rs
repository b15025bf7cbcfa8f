//! Turns the YAML of one region into a checked model of nerves, muscles, skin, reflexes, signs and variants.

mod model;

pub use model::*;

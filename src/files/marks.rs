//! Turns the parts of a YAML file into marks: those that the build writes (`encode.rs`) and the program reads (`ready.rs`).

pub const PLAIN: u8 = 0;
pub const QUOTED: u8 = 1;
pub const LIST: u8 = 2;
pub const MAP: u8 = 3;
pub const END: u8 = 4;

//! Turns folders into content and sheets into files: the only door to the disk.

mod content;
mod locate;
mod text;
mod write;
mod yaml;

pub use content::{Content, Source};
pub use locate::{Step, locate};
pub use text::{MAX_BYTES, read_text};
pub use write::{OutFile, write_all, write_folder};
pub use yaml::{UniqueMap, parse};

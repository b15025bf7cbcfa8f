//! What does a station or a circuit say on paper? Turns its data into Markdown through templates, and says which files come of it.
//!
//! ```text
//! case --pictures--> figures        phrases, settings --house--> words
//! station --rows, words (engine, guard)--> Markdown of each sheet
//! sheets and pictures --publish (pack)--> files: Markdown, SVG, and PDF through `typeset`
//! circuit --circuit--> all files of its folder       cases --practice--> one booklet       results --marks--> all files of theirs
//! stations, or a circuit --mock--> one HTML page with both sides of each
//! ```

mod template_error;
mod engine;
mod guard;
mod house;
mod limits;
pub mod rows;
pub mod words;
pub mod pictures;
mod pack;
pub mod publish;
pub mod circuit;
pub mod practice;
pub mod marks;
pub mod mock;

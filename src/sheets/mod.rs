//! What does a station or a circuit say on paper? Turns its data into Markdown through templates, and says which files come of it.
//!
//! ```text
//! case --pictures--> figures        phrases, settings --house--> words
//! station --words (engine, guard)--> Markdown of each sheet --> `typeset`
//! sheets of many stations --pack--> one PDF with a contents page
//! ```

mod template_error;
mod engine;
mod guard;
mod house;
pub mod words;
pub mod pictures;
pub mod pack;

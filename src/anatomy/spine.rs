//! How does the story of a patient blame the roots of this region?

use serde::Deserialize;

/// How a story blames the roots.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spine {
    /// A story with one of these words blames them.
    pub words: Vec<String>,
    /// The sentence that does it where none of them is said.
    pub also: String,
}

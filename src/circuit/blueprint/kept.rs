//! What stays of a circuit that was planned before? Its stations, who sits where, and who marks whom, by their ids.

use serde::{Deserialize, Serialize};

/// A circuit as its folder tells it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Kept {
    pub seed: u64,
    pub forms: Vec<KeptForm>,
    pub calibration: Option<KeptStation>,
    pub tracks: Vec<KeptTrack>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct KeptForm {
    pub group: String,
    /// By the name of the position.
    pub stations: Vec<(String, KeptStation)>,
    pub spares: Vec<KeptStation>,
    /// Positions at which a spare station stands already.
    pub replaced: Vec<String>,
}

/// What a station is made from, and the code that it must come out with.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptStation {
    pub code: String,
    pub site: String,
    pub kind: String,
    pub level: String,
    pub minutes: u32,
    pub seed: u64,
}

#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KeptTrack {
    pub group: String,
    pub sitting: String,
    /// From 0.
    pub number: usize,
    /// For each seat its candidate.
    pub seats: Vec<Option<String>>,
    /// Candidate, name of the position, examiner.
    pub marks: Vec<(String, String, String)>,
}

impl KeptTrack {
    /// Who marked at the position most often, of these candidates.
    pub fn home(&self, position: &str, of: &dyn Fn(&str) -> bool) -> Option<&str> {
        let here = self.marks.iter().filter(|m| m.1 == position && of(&m.0));
        let mut all: Vec<&str> = here.map(|m| m.2.as_str()).collect();
        all.sort_unstable();
        let most = all.chunk_by(|a, b| a == b).max_by_key(|c| c.len())?;
        most.first().copied()
    }

    pub fn marker(&self, candidate: &str, position: &str) -> Option<&str> {
        let mut all = self.marks.iter();
        let found = all.find(|m| m.0 == candidate && m.1 == position)?;
        Some(&found.2)
    }
}

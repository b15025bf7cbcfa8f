//! The YAML of a teacher's own station as it is written, before anything is checked.

use crate::case::NerveInjury;
use crate::case::mechanism::Onset;
use crate::files::UniqueMap;
use crate::station::blank::Wanted;
use crate::station::family::{LevelWord, RungName};
use serde::Deserialize;

/// `own/<id>.yaml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnFile {
    pub id: String,
    /// For the examiner: what the station is called among colleagues.
    pub title: String,
    /// Who wrote it.
    pub author: String,
    /// The argument of `vivasmith findings`: a site, a severity, several of them.
    pub lesion: String,
    #[serde(default)]
    pub variants: Vec<String>,
    #[serde(default = "trace")]
    pub kind: String,
    pub level: LevelWord,
    pub minutes: u32,
    #[serde(default = "two")]
    pub reading_minutes: u32,
    #[serde(default = "twenty")]
    pub marks: u32,
    pub patient: OwnPatient,
    /// Completes "You meet the patient in ...".
    pub setting: String,
    /// What happened, as the candidate reads it.
    pub stem: String,
    pub since_days: u32,
    pub onset: Onset,
    pub nerve_injury: NerveInjury,
    #[serde(default)]
    pub also_damaged: Vec<String>,
    #[serde(default)]
    pub causes: Vec<String>,
    /// Left out: the first steps of the site.
    #[serde(default)]
    pub care: Vec<String>,
    #[serde(default)]
    pub examiner_note: String,
    /// What the author says is found: ID: STATE.
    pub findings: UniqueMap<String>,
    /// Ids of findings that the candidate is not told.
    #[serde(default)]
    pub keep_back: Vec<String>,
    /// Left out: as usual for the kind.
    #[serde(default)]
    pub task: Vec<String>,
    #[serde(default)]
    pub not_required: Vec<String>,
    /// Blanks for the candidate. Left out: as usual for the kind.
    #[serde(default)]
    pub pictures: Option<Wanted>,
    pub questions: Vec<OwnQuestion>,
    #[serde(default)]
    pub dangers: Vec<String>,
    /// The author's words, one paragraph each.
    pub answer: Vec<String>,
}

fn trace() -> String {
    "trace".to_string()
}

fn two() -> u32 {
    2
}

fn twenty() -> u32 {
    crate::station::TOTAL
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnPatient {
    pub name: String,
    /// Years; a newborn has `age_days` instead.
    #[serde(default)]
    pub age: Option<u32>,
    #[serde(default)]
    pub age_days: Option<u32>,
    pub side: SideWord,
    #[serde(default)]
    pub dominant: Option<SideWord>,
    /// Without an article: "bookbinder".
    #[serde(default)]
    pub occupation: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SideWord {
    Left,
    Right,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnQuestion {
    /// localisation, anatomy, clinical reasoning, examination, safety.
    pub domain: String,
    /// In steps of a half.
    pub minutes: f64,
    pub ask: String,
    pub points: Vec<OwnPoint>,
    pub prompts: Vec<OwnPrompt>,
    #[serde(default)]
    pub wrong: Vec<OwnWrong>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnPoint {
    pub say: String,
    pub marks: u32,
    #[serde(default)]
    pub because: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnPrompt {
    pub rung: RungName,
    pub say: String,
    /// Marks of the question still in reach after it.
    #[serde(default)]
    pub cap: Option<f64>,
}

/// A common wrong answer: with the lesion it would be right for (the refuting finding is derived), or with the author's reason.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnWrong {
    pub answer: String,
    #[serde(default)]
    pub lesion: Option<String>,
    #[serde(default)]
    pub because: Option<String>,
}

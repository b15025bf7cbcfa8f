//! A teacher's own station as it is written, before anything is checked: `own/<id>.yaml`.

use crate::case::NerveInjury;
use crate::case::mechanism::Onset;
use crate::files::UniqueMap;
use crate::station::blank::Wanted;
use crate::teaching::{Line, Notes};
use serde::{Deserialize, Serialize};

/// The whole file. What it leaves out comes from the notes of the place, or is derived.
#[derive(Debug, Clone, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct OwnFile {
    pub id: String,
    /// What the station is called among colleagues.
    pub title: String,
    /// Who wrote it.
    pub author: String,
    /// The argument of `vivasmith findings`: a site, a severity, several of them.
    pub lesion: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub variants: Vec<String>,
    #[serde(default = "trace")]
    pub kind: String,
    pub level: LevelWord,
    pub minutes: u32,
    #[serde(default = "two")]
    pub reading_minutes: u32,
    #[serde(default = "twenty")]
    pub marks: u32,
    /// Draws what is left open, such as the order of the two places of a comparison.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seed: Option<u64>,
    pub patient: OwnPatient,
    /// Completes "You meet the patient in ...".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub setting: String,
    /// What happened, as the candidate reads it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub stem: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub stem_note: String,
    pub since_days: u32,
    pub onset: Onset,
    pub nerve_injury: NerveInjury,
    /// A way of injury of the place's scenario, for first steps of its own.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub mechanism: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also_damaged: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub causes: Vec<String>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub examiner_note: String,
    /// What the author says is found: ID: STATE.
    #[serde(default, skip_serializing_if = "UniqueMap::is_empty")]
    pub findings: UniqueMap<String>,
    /// Ids of findings that the candidate is not told.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub keep_back: Vec<String>,
    /// Left out: as usual for the kind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub task: Vec<String>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub not_required: String,
    /// Blanks for the candidate. Left out: as usual for the kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pictures: Option<Wanted>,
    /// Left out: those of the kind, with the words of the place.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub questions: Vec<OwnQuestion>,
    /// What the author says of the place; wins over its notes.
    #[serde(default)]
    pub teaching: Notes<String, String>,
}

fn trace() -> String {
    "trace".to_string()
}

fn two() -> u32 {
    crate::station::READING_MINUTES
}

fn twenty() -> u32 {
    crate::station::TOTAL
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LevelWord {
    Early,
    Clinical,
    Trainee,
}

#[derive(Debug, Clone, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct OwnPatient {
    pub name: String,
    /// Years; a newborn has `age_days` instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub age: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub age_days: Option<u32>,
    pub side: SideWord,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dominant: Option<SideWord>,
    /// Without an article: "bookbinder".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub occupation: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SideWord {
    Left,
    Right,
}

#[derive(Debug, Clone, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct OwnQuestion {
    /// The question of the bank that it is a form of.
    pub ask: String,
    /// Left out: that of the bank.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub domain: Option<String>,
    /// In quarters.
    pub minutes: f64,
    pub say: String,
    /// May be missing from a question for two marks: it is said again.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub c: String,
    pub p: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub l: Option<String>,
    /// Marks still in reach after each prompt; left out: as usual for the marks of the question.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub caps: Vec<f64>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<Line<String, String>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub any: Option<OwnChoice>,
}

/// Some of these lines are enough.
#[derive(Debug, Clone, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct OwnChoice {
    pub choose: u32,
    pub each: u32,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    pub of: Vec<Line<String, String>>,
}

impl OwnQuestion {
    /// The marks that its lines make.
    pub fn marks(&self) -> u32 {
        let fixed = self
            .points
            .iter()
            .map(|p| p.marks)
            .fold(0, u32::saturating_add);
        let chosen = self
            .any
            .as_ref()
            .map_or(0, |c| c.choose.saturating_mul(c.each));
        fixed.saturating_add(chosen)
    }

    /// No first prompt: the question is said again.
    pub fn says_again(&self) -> bool {
        self.marks() <= 2 && self.c.trim().is_empty()
    }

    /// Its time, in seconds.
    pub fn seconds(&self) -> u32 {
        (self.minutes * 60.0).round().clamp(0.0, 36_000.0) as u32
    }
}

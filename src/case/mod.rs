//! Turns a lesion and its findings into a patient who could have it: mechanism, setting, side, time since injury and what follows from time.

mod check;
mod draw;
pub mod mechanism;
mod patient;
mod area;
mod rng;
mod story;
pub mod timeline;

pub use area::sites as sites_of;
pub use draw::{Request, draw, is_avulsion, is_complete};
pub use mechanism::{check_all, failures};
pub use patient::{HANDED_FROM, NEWBORN_TO, OLDEST, WORKS_FROM};
pub use rng::Stream;

use crate::findings::Findings;
use crate::lesion::Lesion;

/// How far the candidate has come; decides depth, not anatomy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Early student: one structure at a time.
    Early,
    /// Clinical student.
    Clinical,
    /// Surgical trainee.
    Trainee,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    Left,
    Right,
}

/// The usual behaviour of the injured fibres (Seddon 1943).
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NerveInjury {
    Neurapraxia,
    Axonotmesis,
    Neurotmesis,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Age {
    Years(u32),
    /// A newborn, in days.
    Days(u32),
}

/// An invented person.
#[derive(Debug, Clone, PartialEq)]
pub struct Patient {
    /// "Amdrow Bucklefen", "Baby Bucklefen".
    pub name: String,
    pub age: Age,
    pub side: Side,
    /// `None`: too young to have one.
    pub dominant: Option<Side>,
    /// `None`: a newborn or child.
    pub occupation: Option<String>,
}

/// What time since injury does to the picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    pub since_days: u32,
    /// "3 days", "about 5 weeks".
    pub since: String,
    pub gradual: bool,
    pub injury: NerveInjury,
    /// Wasting can be seen by now.
    pub wasting: bool,
    /// Denervation (fibrillation) can be shown electrically by now.
    pub denervation: bool,
    /// What to expect, one sentence.
    pub recovery: String,
}

/// A patient with one lesion: everything the sheets say comes from here or from the model.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Site id (or segment id) of the lesion; several joined with `+`.
    pub site: String,
    pub lesion: Lesion,
    pub findings: Findings,
    /// Id of the mechanism within the site's scenario file, or within `general.yaml` for a place that has none.
    pub mechanism: String,
    pub patient: Patient,
    /// "a walk-in clinic at Brackletoft Infirmary".
    pub setting: String,
    /// What happened, filled in; for the candidate.
    pub story: String,
    /// The same for who is told the lesion: without what tells of the loss.
    pub bare_story: String,
    /// One more sentence for the candidate, or empty.
    pub stem_note: String,
    /// For the examiner only.
    pub also_damaged: Vec<String>,
    /// What brought the lesion about, if that is a thing of its own.
    pub causes: Vec<String>,
    /// First steps in care, where the mechanism has its own; empty: those of the sites.
    pub care: Vec<String>,
    pub examiner_note: String,
    pub timeline: Timeline,
}

impl Case {
    /// A lesion that is only supposed: nobody has it, so there is no story, no other injury and no first step.
    pub fn suppose(&mut self) {
        self.patient.age = Age::Years(40);
        self.also_damaged.clear();
        self.causes.clear();
        self.care.clear();
        self.setting.clear();
        self.story.clear();
        self.stem_note.clear();
        self.examiner_note.clear();
    }
}

//! Turns a station into one tree of plain values: the single source of all three sheets.

pub use super::giveaway::Words;
use super::parts::Parts;
pub use super::terms::Term;
use crate::findings::{Finding, Structure};
use serde::Serialize;

/// A whole station. Every fact of the sheets is in here; templates add words and loops only.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Station {
    /// "VS-TC-7Q4M9XK".
    pub code: String,
    /// The command that prints it again.
    pub command: String,
    pub content_version: String,
    pub seed: u64,
    pub kind: KindInfo,
    pub level: LevelInfo,
    pub minutes: u32,
    /// Reading time before the station, in minutes; not part of `minutes`.
    pub reading_minutes: u32,
    pub total_marks: u32,
    /// "upper limb".
    pub region: String,
    pub patient: PatientInfo,
    pub candidate: Candidate,
    pub lesion: LesionInfo,
    pub time: TimeInfo,
    pub brief: Brief,
    pub plan: Vec<Slot>,
    pub questions: Vec<Question>,
    pub domains: Vec<Domain>,
    /// What may go either way; it carries no mark.
    pub either_way: Vec<Open>,
    pub dangers: Vec<String>,
    pub parts: Parts,
    pub proof: Proof,
    pub difficulty: Difficulty,
    pub answer: Answer,
    pub sources: Vec<Source>,
    /// Of a station that a teacher wrote.
    pub own: Option<Authored>,
}

/// What only the author of a station could write.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Authored {
    pub id: String,
    pub title: String,
    pub author: String,
    /// The answer in their words, one paragraph each.
    pub answer: Vec<String>,
}

/// How surely what is told leads back to the lesion.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proof {
    /// Lead over the nearest other lesion that can be told apart, in bits.
    pub margin_bits: f64,
    /// The same as "so many times likelier".
    pub times: String,
    /// "a lesion of the C8 root"; empty: there is none.
    pub runner_up: String,
    /// Lesions within the margin: accepted as answers.
    pub equals: Vec<String>,
    /// Findings that were told only to reach the margin.
    pub added: usize,
    pub table: Vec<ProofRow>,
}

/// Declared, not predicted; see `difficulty.rs`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Difficulty {
    pub figure: f64,
    /// Steps of reasoning in the model answer.
    pub steps: usize,
    /// Things to name in the expected points.
    pub structures: usize,
    pub margin_bits: f64,
    /// Findings accepted either way.
    pub open: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProofRow {
    pub lesion: String,
    pub bits: String,
    pub times: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KindInfo {
    pub id: String,
    pub label: String,
    pub aim: String,
    /// findings, complaint, lesion, pair, nerve, approach.
    pub tells: String,
    /// There is a patient; else the lesion is only supposed.
    pub patient: bool,
    /// The reasoning runs from the lesion to the findings.
    pub tells_lesion: bool,
    pub resources: Vec<String>,
    /// Names of the blanks that the candidate has: skin_blank, plexus_blank.
    pub blanks: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelInfo {
    /// "early", "clinical", "trainee".
    pub id: String,
    pub number: u8,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatientInfo {
    pub name: String,
    /// "45 years old", "12 days old".
    pub age: String,
    pub newborn: bool,
    /// "left" or "right".
    pub side: String,
    /// "right-handed", or empty.
    pub handed: String,
    /// The injured side is the dominant one; `None` when there is none yet.
    pub dominant_side_injured: Option<bool>,
    /// "a courier", or empty.
    pub occupation: String,
}

/// What only the candidate sheet says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Candidate {
    pub setting: String,
    pub story: String,
    pub note: String,
    /// Empty when the lesion is told instead.
    pub told: Vec<Observation>,
    /// The same as lines to print, one for each group.
    pub lines: Vec<Line>,
    /// Powers are given as figures.
    pub graded: bool,
    /// The lesion as told, or empty.
    pub told_lesion: String,
    /// "a complete lesion of ...", or empty.
    pub told_lesion_phrase: String,
    /// The two lesions of a pair, or the nerve; for the checks, so that naming them is no giveaway.
    pub told_places: Vec<String>,
    pub task: Vec<String>,
    pub not_required: Vec<String>,
    /// What may not stand in the sheet, for the checks.
    #[serde(skip)]
    pub forbidden: Words,
}

/// One thing seen or tested, in plain words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Observation {
    /// lost, weak, strong; numb, dull, felt; jerk_absent, jerk_reduced, jerk_present; seen, not_seen.
    pub group: String,
    pub text: String,
    /// The text is a test ("straighten the little finger alone"), not a movement.
    pub tested: bool,
    /// Power 0-5, where the level calls for it.
    pub power: Option<u8>,
}

/// Observations of one group in one phrase: "extension of the wrist (0) and ...".
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    pub group: String,
    pub tested: bool,
    pub text: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LesionInfo {
    /// "complete lesion of the radial nerve in the spiral groove".
    pub sentence: String,
    pub sentence_capital: String,
    /// The argument of the command line.
    pub text: String,
    pub place: String,
    pub nerve: String,
    pub nerve_capital: String,
    pub level: String,
    /// What the fibres come from and go to; of roots, trunks and cords.
    pub origin: String,
    pub destination: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimeInfo {
    /// "about 5 weeks".
    pub since: String,
    pub gradual: bool,
    pub wasting: bool,
    pub denervation: bool,
    /// "axonotmesis".
    pub injury: String,
    pub recovery: String,
    /// The lesion weakens a muscle for certain.
    pub motor: bool,
}

/// For whoever plays or shows the patient.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Brief {
    pub shows: Vec<Show>,
    pub also_damaged: Vec<String>,
    pub also_damaged_text: String,
    /// What brought the lesion about, or empty.
    pub causes_text: String,
    pub note: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Show {
    /// movement, muscle, skin, reflex, sign.
    pub kind: String,
    pub label: String,
    /// The order that brings it out, the smallest numb patch, or what is seen.
    pub act: String,
    pub state: String,
    pub power: u8,
    /// Of a muscle whose movement others carry too, what a hand on it feels: none, flicker, less, same; else empty.
    pub felt: String,
    /// That movement and its power 0-5, or empty.
    pub movement: String,
    pub movement_power: u8,
    /// For the checks.
    #[serde(skip)]
    pub structure: Structure,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Slot {
    /// "1:30".
    pub from: String,
    pub to: String,
    pub half_minutes: u32,
    /// "1.5".
    pub minutes: String,
    /// "opening", "question", "closing".
    pub what: String,
    /// Number and domain of the question; 0 and empty at the opening and closing.
    pub question: usize,
    pub domain: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Question {
    pub number: usize,
    /// Id of the family.
    pub family: String,
    pub domain: String,
    pub half_minutes: u32,
    pub opening: String,
    pub ladder: Vec<Rung>,
    pub points: Vec<Point>,
    pub marks: u32,
    pub wrong: Vec<Wrong>,
    /// Words whose naming gives a part of the answer away, for the checks.
    #[serde(skip)]
    pub terms: Vec<Term>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rung {
    /// clarify, probe, lead.
    pub rung: String,
    pub say: String,
    /// Marks of this question still in reach, in halves; none: a fault.
    pub cap: Option<f64>,
    /// "2.5".
    pub cap_text: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Point {
    pub text: String,
    /// Why, or empty.
    pub reason: String,
    pub marks: u32,
    /// The finding it is about, for the checks; none in a station that a teacher wrote.
    #[serde(skip)]
    pub about: Option<Finding>,
}

/// A common wrong answer and the finding that refutes it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wrong {
    pub answer: String,
    /// The answer names another place (else a structure that is spared).
    pub place: bool,
    pub finding: String,
    pub here: String,
    pub there: String,
    /// The lesion in which the answer would be right.
    pub elsewhere: String,
    pub reason: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Domain {
    pub name: String,
    pub marks: u32,
    pub questions: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Open {
    /// One finding, or several that are open for the same reason.
    pub label: String,
    /// 0-100; of several the least.
    pub percent: u32,
    /// Of several the most, when it is more.
    pub percent_to: Option<u32>,
    pub reason: String,
}

/// What only the model answer says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    /// Findings by kind, affected and certain, in the model's order.
    pub affected: Vec<Group>,
    pub variable: Vec<Open>,
    /// What is spared and tells near rivals apart.
    pub spared: Vec<Row>,
    /// "extensor digitorum, ...": the affected muscles in one list, or empty.
    pub muscles: String,
    /// How many are left out of the list.
    pub more_muscles: usize,
    pub movements: String,
    pub more_movements: usize,
    pub skin: String,
    pub reflexes: String,
    pub signs: String,
    pub course: Vec<Course>,
    pub differential: Vec<Differential>,
    /// Places that no bedside finding tells apart, and those that only nerve studies do.
    pub alike: Vec<String>,
    pub alike_text: String,
    pub alike_but_for_studies: Vec<Differential>,
    pub care: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// muscle, movement, skin, reflex, sign.
    pub kind: String,
    pub rows: Vec<Row>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    pub label: String,
    pub state: String,
    /// Power 0-5 of muscles and movements.
    pub power: Option<u8>,
    pub percent: u32,
    pub reason: String,
    /// The rival that this finding rules out, or empty.
    pub against: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Course {
    pub nerve: String,
    pub steps: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Differential {
    pub place: String,
    pub finding: String,
    pub here: String,
    pub there: String,
    pub reason: String,
}

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Source {
    pub code: String,
    pub citation: String,
}

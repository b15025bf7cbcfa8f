//! What does a station hold, sheet by sheet? One tree of plain values: templates add words and loops only.

pub use super::giveaway::Words;
use crate::anatomy::Structure;
use serde::Serialize;

/// A whole station.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Station {
    /// "VS-RC-7Q4M9XK".
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
    pub time: TimeInfo,
    pub lesion: LesionInfo,
    pub candidate: Candidate,
    pub questions: Vec<Question>,
    pub room: Room,
    /// For whoever plays the patient, where one is played.
    pub card: Option<Card>,
    pub briefing: Briefing,
    pub answer: Answer,
    pub proof: Proof,
    pub difficulty: Difficulty,
    /// Of a station that a teacher wrote.
    pub own: Option<Authored>,
}

/// What only the author of a station could write.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Authored {
    pub id: String,
    pub title: String,
    pub author: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KindInfo {
    pub id: String,
    pub label: String,
    pub tells: super::kind::Tells,
    /// There is a patient; else the lesion is only supposed.
    pub patient: bool,
    /// Somebody plays the patient.
    pub played: bool,
    /// The reasoning runs from the lesion to the findings.
    pub tells_lesion: bool,
    /// Names of the blanks that the candidate has: skin_blank, plexus_blank.
    pub blanks: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelInfo {
    /// "early", "clinical", "trainee".
    pub id: &'static str,
    pub number: u8,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatientInfo {
    pub name: String,
    /// The first part of it.
    pub given: String,
    /// 45; of a newborn days.
    pub age: u32,
    pub newborn: bool,
    /// "left" or "right".
    pub side: &'static str,
    /// "left" or "right", or empty.
    pub handed: &'static str,
    /// "a courier", or empty.
    pub occupation: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LesionInfo {
    /// "complete lesion of the radial nerve in the spiral groove".
    pub sentence: String,
    /// "C7 root": the answer in a few words.
    pub short: String,
    /// The argument of the command line.
    pub text: String,
    pub place: String,
    pub nerve: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimeInfo {
    /// "about 5 weeks".
    pub since: String,
    pub gradual: bool,
    /// Weak muscles have grown thin by now.
    pub wasting: bool,
    /// "axonotmesis".
    pub injury: &'static str,
}

/// What only the candidate sheet says.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Candidate {
    pub setting: String,
    pub story: String,
    pub note: String,
    /// The patient's own sentence, or empty.
    pub says: String,
    /// What was found, one row for each kind of finding; empty unless findings are told.
    pub rows: Vec<FoundRow>,
    /// Powers are given as figures.
    pub graded: bool,
    /// "a complete lesion of ...", or empty.
    pub told_lesion: String,
    /// The two places of a pair, or the nerve.
    pub told_places: Vec<String>,
    pub approach: Option<crate::teaching::Approach>,
    pub task: Vec<String>,
    pub not_required: String,
    /// What may not stand in the sheet, for the checks.
    #[serde(skip)]
    pub forbidden: Words,
}

/// Findings of one kind in one row: "straightening the elbow (4); bending the wrist (4)".
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FoundRow {
    /// lost, weak, full, numb, dull, felt, jerk_absent, jerk_reduced, jerk_present, seen, not_seen.
    pub group: &'static str,
    pub items: Vec<Found>,
}

/// One thing seen or tested, in plain words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Found {
    pub text: String,
    /// Power 0-5, where it is given.
    pub power: Option<u8>,
    #[serde(skip)]
    pub about: Structure,
}

/// One question as it is asked, helped and marked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Question {
    pub number: usize,
    /// Id of the question in the bank; "own" of one that a teacher wrote.
    pub id: String,
    /// anatomy, localisation, clinical_reasoning, examination, safety.
    pub domain: String,
    /// Seconds from the start of the station.
    pub from: u32,
    pub seconds: u32,
    /// "1:45".
    pub clock: String,
    pub opening: String,
    pub prompts: Vec<Prompt>,
    pub groups: Vec<Group>,
    pub marks: u32,
    /// Marks of it that are paid for reasoning.
    pub reasoning: f64,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Prompt {
    /// c, p, l.
    pub rung: Rung,
    pub say: String,
    /// Marks of this question still in reach after it, in halves.
    pub cap: f64,
    /// "2½".
    pub cap_text: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Rung {
    Clarify,
    Probe,
    Lead,
}

/// Lines to tick: all of them, or some.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// How many are enough; `None`: each counts.
    pub choose: Option<u32>,
    /// Marks of one line of a choice.
    pub each: u32,
    pub note: String,
    pub points: Vec<Point>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Point {
    pub say: String,
    pub marks: u32,
    #[serde(skip)]
    pub about: Option<Structure>,
    /// What changes where the lesion is moved to.
    #[serde(skip)]
    pub flips: Vec<Structure>,
}

impl Station {
    /// Domains in the order they are first asked, each with its marks.
    pub fn domains(&self) -> Vec<(String, u32)> {
        let mut all: Vec<(String, u32)> = Vec::new();
        for q in &self.questions {
            match all.iter_mut().find(|(name, _)| *name == q.domain) {
                Some((_, marks)) => *marks += q.marks,
                None => all.push((q.domain.clone(), q.marks)),
            }
        }
        all
    }
}

impl Station {
    /// Whether the candidate draws or shades on the candidate sheet: then each needs a fresh one.
    pub fn is_written_on(&self) -> bool {
        self.kind.tells == super::kind::Tells::Nerve || !self.kind.blanks.is_empty()
    }

    /// The clock at which the examiner stops: "7:30".
    pub fn stop(&self) -> String {
        super::questions::clock(self.questions.last().map_or(0, |q| q.from + q.seconds))
    }
}

impl Question {
    /// Everything that the examiner says when every prompt is needed.
    pub fn spoken(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.opening.as_str()).chain(self.prompts.iter().map(|p| p.say.as_str()))
    }
}

impl Group {
    pub fn marks(&self) -> u32 {
        match self.choose {
            Some(n) => n * self.each,
            None => self.points.iter().map(|p| p.marks).sum(),
        }
    }
}

/// The examiner's sheet: what it holds beside the questions.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Room {
    /// What earns the same as the answer: "middle trunk".
    pub equals: Vec<String>,
    /// What is found if asked, a row for each group; beside a pair, what does not part it.
    pub found: Vec<FoundRow>,
    /// All that is affected is named; what is not, is normal.
    pub whole: bool,
    /// Two places side by side.
    pub pair: Vec<PairRow>,
    /// The key to a drawing: a landmark and what leaves there.
    pub key: Vec<KeyRow>,
    /// Place, relation, test, protection.
    pub risk: Option<RiskRow>,
    pub if_asked: String,
    pub neither: Vec<String>,
    pub replies: Vec<ReplyLine>,
    pub dangers: Vec<String>,
    pub second_chance: String,
    /// Five, best first.
    pub anchors: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairRow {
    pub finding: String,
    pub here: Shown,
    pub there: Shown,
    /// The nerve of what is affected, or of the reflex arc.
    pub by: String,
}

/// How a finding comes out: a grade, or the word for its state.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shown {
    pub power: Option<u8>,
    pub state: &'static str,
    /// In a teacher's words, where the model is not sure.
    pub said: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KeyRow {
    pub landmark: String,
    /// In every limb.
    pub leaves: String,
    /// In most limbs.
    pub mostly: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RiskRow {
    pub place: String,
    pub relation: String,
    pub test: String,
    pub protect: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReplyLine {
    pub to: String,
    pub ask: String,
    /// Number of the question in which it is heard.
    pub question: usize,
    pub credit: bool,
}

/// For whoever plays the patient: plain words, no diagnosis.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Card {
    pub says: String,
    pub lines: Vec<CardLine>,
    pub strong: String,
    pub numb: Vec<String>,
    pub dull: Vec<String>,
    pub if_asked: String,
    pub stop: String,
    /// Something can be seen or found that nobody can act: a jerk, a sign, thin muscles.
    pub leave: bool,
    /// What may not stand on the card, for the checks.
    #[serde(skip)]
    pub forbidden: Words,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CardLine {
    pub say: String,
    /// Power 0-5 to act; none for what is shown by holding still.
    pub power: Option<u8>,
}

/// For the examiner, the day before.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Briefing {
    pub aim: String,
    pub idea: String,
    pub why_one: String,
    pub classic: String,
    pub equals: Vec<EqualLine>,
    pub open: Vec<OpenLine>,
    pub candidates: Vec<UsualCandidate>,
    pub ready: Vec<String>,
    pub note: String,
    pub also_damaged: Vec<String>,
    pub causes: Vec<String>,
    pub sources: String,
    /// Nobody wrote notes on this place: everything is derived.
    pub derived: bool,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EqualLine {
    pub place: String,
    pub parted_by: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OpenLine {
    pub findings: Vec<String>,
    pub because: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UsualCandidate {
    pub says: String,
    pub shows: String,
    pub then: String,
}

/// Afterwards, for students.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Answer {
    pub steps: Vec<Step>,
    /// By nerve, or by where the branch leaves.
    pub groups: Vec<AnswerGroup>,
    pub spared: Vec<Spared>,
    pub differential: Vec<Differential>,
    pub equals: Vec<EqualLine>,
    /// Levels of the nerve with what leaves there.
    pub key: Vec<KeyRow>,
    /// The course of the nerve in prose.
    pub course: Vec<String>,
    /// How the nerve at risk is protected.
    pub protect: Vec<String>,
    pub daily: String,
    pub vulnerable: String,
    pub mimic: String,
    pub first_steps: Vec<TimeRow>,
    pub red_flags: String,
    pub revise: Vec<String>,
    pub rule: String,
    pub sources: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    pub say: String,
    pub then: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnswerGroup {
    pub by: String,
    pub rows: Vec<AnswerRow>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnswerRow {
    pub finding: String,
    /// "4", "dull", "absent".
    pub state: &'static str,
    pub power: Option<u8>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spared {
    pub finding: String,
    /// A sign: that it is not there is what is normal.
    pub absent: bool,
    pub through: String,
    pub so_not: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Differential {
    pub place: String,
    pub finding: String,
    pub here: &'static str,
    pub there: &'static str,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimeRow {
    pub when: String,
    pub then: String,
    /// This patient's row.
    pub now: bool,
}

/// How surely what is told leads back to the lesion.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Proof {
    /// Lead over the nearest other lesion that can be told apart, in bits.
    pub margin_bits: f64,
    /// The same as "so many times likelier".
    pub times: String,
    /// "a lesion of the C8 root"; empty: there is none.
    pub runner_up: String,
    /// Lesions within the margin: accepted as answers.
    pub equals: Vec<String>,
    /// Positions of their sites in the model.
    #[serde(skip)]
    pub equal_sites: Vec<usize>,
    pub table: Vec<ProofRow>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProofRow {
    pub lesion: String,
    pub bits: String,
    pub times: String,
}

/// Declared, not predicted; see `difficulty.rs`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Difficulty {
    pub figure: f64,
    /// Steps of reasoning in the model answer.
    pub steps: usize,
    /// Lines to tick.
    pub structures: usize,
    pub margin_bits: f64,
    /// Findings accepted either way.
    pub open: usize,
}

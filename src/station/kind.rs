//! Which kinds of station are there, what is their candidate told, and what is asked at each level?

use super::blank::{self, Wanted};
use super::levels::{ByLevel, LEVELS, level_id, missing_file};
use crate::case::Level;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Listed, Origins, Step, parse_with_extra};
use crate::teaching::{Families, KINDS_FILE, conditions};
use serde::{Deserialize, Serialize};

/// Marks of every station, at every level, so that stations of one circuit weigh the same.
pub const TOTAL: u32 = 20;
/// Fewest of them for reasoning.
pub const REASONING: f64 = 12.0;

/// What the candidate is told at the start.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Tells {
    Findings,
    /// What troubles the patient, no more: the candidate examines.
    Complaint,
    Lesion,
    /// The lesion and its rival, without which of them it is.
    Pair,
    /// The nerve on which the lesion would lie.
    Nerve,
    /// An operation or a fracture that puts a nerve at risk.
    Approach,
}

impl Tells {
    /// Somebody plays the patient.
    pub fn played(self) -> bool {
        matches!(self, Tells::Complaint | Tells::Pair)
    }

    /// The reasoning runs from the lesion to the findings.
    pub fn forwards(self) -> bool {
        matches!(self, Tells::Lesion | Tells::Nerve | Tells::Approach)
    }

    /// The candidate is to find the place, or the nerve, by themselves.
    pub fn hides_the_place(self) -> bool {
        matches!(self, Tells::Findings | Tells::Complaint | Tells::Approach)
    }
}

/// How severe the lesion of a kind always is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Always {
    Complete,
}

/// One question of the plan.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Slot {
    /// Id of a question of the bank.
    pub ask: String,
    pub marks: u32,
    /// Its share of the time, in parts.
    pub time: u32,
}

/// One kind of station.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StationKind {
    pub id: String,
    /// One capital letter of the station code.
    pub letter: String,
    /// "From findings to lesion".
    pub label: String,
    #[serde(default)]
    pub synonyms: Vec<String>,
    pub tells: Tells,
    /// There is a patient; else the lesion is only supposed.
    #[serde(default = "yes")]
    pub patient: bool,
    #[serde(default)]
    pub severity: Option<Always>,
    /// The kind fits a case only when all of these hold.
    #[serde(default)]
    pub when: Vec<String>,
    /// What to say when it does not fit.
    #[serde(default)]
    pub unfit: String,
    /// For the examiner.
    pub aim: String,
    /// For the candidate, one line each.
    pub task: Vec<String>,
    pub not_required: String,
    /// What lies ready in the room beside the room sheet and a clock.
    #[serde(default)]
    pub ready: Vec<String>,
    pub plan: ByLevel<Vec<Slot>>,
    /// One line for each grade, best first.
    pub anchors: Vec<String>,
    /// Blanks for the candidate.
    #[serde(default)]
    pub pictures: Wanted,
}

fn yes() -> bool {
    true
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    kinds: Vec<StationKind>,
}

impl Listed for File {
    const LIST: &'static str = "kinds";
    type Entry = StationKind;
    fn entries(&mut self) -> &mut Vec<StationKind> {
        &mut self.kinds
    }
    fn id(entry: &StationKind) -> String {
        entry.id.clone()
    }
}

impl StationKind {
    /// The questions of its plans, each once.
    pub fn questions(&self) -> Vec<&str> {
        let mut all: Vec<&str> = Vec::new();
        for slot in LEVELS.iter().flat_map(|l| self.plan.of(*l)) {
            if !all.contains(&slot.ask.as_str()) {
                all.push(&slot.ask);
            }
        }
        all
    }

    pub fn asks(&self, question: &str) -> bool {
        self.questions().contains(&question)
    }
}

/// All kinds, in the order of the file.
///
/// # Errors
/// Exit code 2 when the file is no YAML of this shape; 1 when it is missing or says something wrong.
pub fn kinds(content: &Content, families: &Families) -> Result<Vec<StationKind>, Failure> {
    let source = content
        .get(KINDS_FILE)
        .ok_or_else(|| missing_file(KINDS_FILE))?;
    let (file, origins): (File, _) = parse_with_extra(content, source)?;
    let mut problems = Vec::new();
    if file.kinds.is_empty() {
        problems.push(
            Problem::new("there is no kind of station").hint("list at least one under `kinds:`"),
        );
    }
    for i in 0..file.kinds.len() {
        let mut check = KindCheck {
            origins: &origins,
            at: i,
            problems: &mut problems,
        };
        check.all(&file.kinds, families);
    }
    if problems.is_empty() {
        Ok(file.kinds)
    } else {
        Err(Failure::Content(problems))
    }
}

/// The kind of that name or synonym.
///
/// # Errors
/// Exit code 2 when there is none of that name.
pub fn kind_named<'k>(all: &'k [StationKind], word: &str) -> Result<&'k StationKind, Failure> {
    let wanted = crate::anatomy::fold(word);
    let is = |k: &&StationKind| {
        k.id == wanted || k.synonyms.iter().any(|s| crate::anatomy::fold(s) == wanted)
    };
    all.iter().find(is).ok_or_else(|| {
        let known = all
            .iter()
            .flat_map(|k| std::iter::once(&k.id).chain(&k.synonyms));
        let hint = did_you_mean(
            word,
            known.map(String::as_str),
            "`vivasmith list kinds` shows them all",
        );
        Failure::usage(
            Problem::new(format!("no kind of station is called `{}`", short(word))).hint(hint),
        )
    })
}

struct KindCheck<'a, 'o> {
    origins: &'a Origins<'o>,
    at: usize,
    problems: &'a mut Vec<Problem>,
}

impl KindCheck<'_, '_> {
    fn add(&mut self, path: &[Step], message: String, hint: &str) {
        let path = [&["kinds".into(), Step::Item(self.at)], path].concat();
        self.problems.push(
            Problem::new(message)
                .at(self.origins.locate(&path))
                .hint(hint),
        );
    }

    fn all(&mut self, kinds: &[StationKind], families: &Families) {
        let Some(k) = kinds.get(self.at) else { return };
        if kinds
            .iter()
            .take(self.at)
            .any(|o| o.id == k.id || o.letter == k.letter)
        {
            self.add(
                &["id".into()],
                format!("the id or letter of `{}` is used twice", short(&k.id)),
                "give each kind an id and a letter of its own",
            );
        }
        // C, T, L and S with a digit behind them read as roots, and the code stands on the candidate sheet.
        let letter = matches!(k.letter.as_bytes(), [b'A'..=b'Z']);
        if !letter || ["C", "T", "L", "S"].contains(&k.letter.as_str()) {
            self.add(
                &["letter".into()],
                format!("`{}` is no letter for a kind", short(&k.letter)),
                "write one capital letter, but not C, T, L or S: C5 or T1 in a station code would read as a root",
            );
        }
        let known: Vec<&str> = conditions().collect();
        for (w, word) in k
            .when
            .iter()
            .enumerate()
            .filter(|(_, w)| !known.contains(&w.as_str()))
        {
            let hint = did_you_mean(
                word,
                known.iter().copied(),
                &format!("use one of: {}", known.join(", ")),
            );
            self.add(
                &["when".into(), Step::Item(w)],
                format!("`{}` is no condition", short(word)),
                &hint,
            );
        }
        if k.anchors.len() != 5 {
            self.add(
                &["anchors".into()],
                format!("{} anchors", k.anchors.len()),
                "write five lines, one for each grade, the best first",
            );
        }
        for level in LEVELS {
            self.plan(k, level, families);
        }
        for (n, problem) in blank::problems(&k.pictures, Some(k.tells)) {
            self.add(
                &["pictures".into(), "candidate".into(), Step::Item(n)],
                problem.message,
                &problem.hint,
            );
        }
    }

    fn plan(&mut self, k: &StationKind, level: Level, families: &Families) {
        let slots = k.plan.of(level);
        let path = ["plan".into(), Step::from(level_id(level))];
        for (i, slot) in slots
            .iter()
            .enumerate()
            .filter(|(_, s)| families.get(&s.ask).is_none())
        {
            let known = families.all().iter().map(|q| q.id.as_str());
            let hint = did_you_mean(
                &slot.ask,
                known,
                "the questions are the files of questions/",
            );
            self.add(
                &[&path[..], &[Step::Item(i), "ask".into()]].concat(),
                format!("no question is called `{}`", short(&slot.ask)),
                &hint,
            );
        }
        for (i, _) in slots
            .iter()
            .enumerate()
            .filter(|(_, s)| s.marks < 2 || s.time == 0)
        {
            self.add(
                &[&path[..], &[Step::Item(i)]].concat(),
                "a question needs two marks and some time".into(),
                "write marks: 2 or more and time: 1 or more",
            );
        }
        let total: u32 = slots.iter().map(|s| s.marks).sum();
        if total != TOTAL {
            self.add(
                &path,
                format!("the questions make {total} marks, not {TOTAL}"),
                "change the marks of the plan",
            );
        }
        let share = |s: &Slot| families.get(&s.ask).map_or(0.0, |q| q.reasoning);
        let reasoning: f64 = slots.iter().map(|s| f64::from(s.marks) * share(s)).sum();
        if total == TOTAL && reasoning + 1e-9 < REASONING {
            self.add(
                &path,
                format!(
                    "only {reasoning} of {TOTAL} marks are paid for reasoning, not {REASONING}"
                ),
                "give more marks to questions that ask why",
            );
        }
    }
}

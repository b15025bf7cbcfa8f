//! Turns `questions/kinds.yaml` into the kinds of station there are, each with what its candidate is told and asked.

use super::blank::{self, Wanted};
use super::facts::WHENS;
use super::text::{ByLevel, missing_file};
use crate::case::Level;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Listed, Origins, Step, parse_with_extra};
use serde::Deserialize;

pub const FILE: &str = "questions/kinds.yaml";

/// What the candidate is told at the start.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tells {
    Findings,
    /// What troubles the patient, no more: the candidate examines.
    Complaint,
    Lesion,
    /// The lesion and its nearest rival, without which of them it is.
    Pair,
    /// The nerve on which the lesion would lie.
    Nerve,
    /// An operation or a fracture that puts a nerve at risk.
    Approach,
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
    /// The kind fits a case only when all of these hold.
    #[serde(default)]
    pub when: Vec<String>,
    /// What to say when it does not fit.
    #[serde(default)]
    pub unfit: String,
    /// For the examiner, with facts.
    pub aim: ByLevel<String>,
    /// For the candidate, one line each, with facts.
    pub task: Vec<String>,
    pub not_required: Vec<String>,
    /// What lies ready in the room.
    pub resources: Vec<String>,
    /// First steps in care of every station of this kind, an empty list for none; left out: those of the case.
    #[serde(default)]
    pub care: Option<Vec<String>>,
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

/// All kinds, in the order of the file.
///
/// # Errors
/// Exit code 2 when the file is no YAML of this shape; 1 when it is missing or says something twice.
pub fn kinds(content: &Content) -> Result<Vec<StationKind>, Failure> {
    let source = content.get(FILE).ok_or_else(|| missing_file(FILE))?;
    let (file, origins): (File, _) = parse_with_extra(content, source)?;
    let problems = problems(&origins, &file.kinds);
    if problems.is_empty() {
        Ok(file.kinds)
    } else {
        Err(Failure::Content(problems))
    }
}

/// The kind of that name.
///
/// # Errors
/// As [`kinds`]; exit code 2 when there is none of that name.
pub fn kind(content: &Content, word: &str) -> Result<StationKind, Failure> {
    let all = kinds(content)?;
    let wanted = crate::anatomy::fold(word);
    let found = all
        .iter()
        .find(|k| k.id == wanted || k.synonyms.iter().any(|s| crate::anatomy::fold(s) == wanted));
    found.cloned().ok_or_else(|| {
        let known = all
            .iter()
            .flat_map(|k| std::iter::once(&k.id).chain(&k.synonyms))
            .map(String::as_str);
        Failure::usage(
            Problem::new(format!("no kind of station is called `{}`", short(word))).hint(
                did_you_mean(word, known, "`vivasmith list kinds` shows them all"),
            ),
        )
    })
}

fn problems(origins: &Origins<'_>, kinds: &[StationKind]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let at =
        |i: usize, key: &str| origins.locate(&["kinds".into(), Step::Item(i), Step::from(key)]);
    if kinds.is_empty() {
        problems.push(
            Problem::new("there is no kind of station").hint("list at least one under `kinds:`"),
        );
    }
    for (i, k) in kinds.iter().enumerate() {
        if kinds[..i]
            .iter()
            .any(|o| o.id == k.id || o.letter == k.letter)
        {
            problems.push(
                Problem::new(format!(
                    "the id or letter of `{}` is used twice",
                    short(&k.id)
                ))
                .at(at(i, "id"))
                .hint("give each kind an id and a letter of its own"),
            );
        }
        for (w, word) in k.when.iter().enumerate() {
            if !WHENS.contains(&word.as_str()) {
                let path = ["kinds".into(), Step::Item(i), "when".into(), Step::Item(w)];
                problems.push(
                    Problem::new(format!("`{}` is no condition", short(word)))
                        .at(origins.locate(&path))
                        .hint(did_you_mean(
                            word,
                            WHENS,
                            &format!("use one of: {}", WHENS.join(", ")),
                        )),
                );
            }
        }
        let steps = k.care.as_deref().unwrap_or_default();
        if steps.iter().any(|step| step.trim().is_empty()) {
            problems.push(
                Problem::new("an empty entry in care")
                    .at(at(i, "care"))
                    .hint("fill it in or remove it"),
            );
        }
        for (n, problem) in blank::problems(&k.pictures, Some(k.tells)) {
            let path = [
                "kinds".into(),
                Step::Item(i),
                "pictures".into(),
                "candidate".into(),
                Step::Item(n),
            ];
            problems.push(problem.at(origins.locate(&path)));
        }
        // C, T, L and S with a digit behind them read as roots, and the code stands on the candidate sheet.
        let letter = matches!(k.letter.as_bytes(), [b'A'..=b'Z']);
        if !letter || ["C", "T", "L", "S"].contains(&k.letter.as_str()) {
            problems.push(
                Problem::new(format!("`{}` is no letter for a kind", short(&k.letter)))
                    .at(at(i, "letter"))
                    .hint("write one capital letter, but not C, T, L or S: C5 or T1 in a station code would read as a root"),
            );
        }
    }
    problems
}

impl Tells {
    /// The word that templates compare with.
    pub fn word(self) -> &'static str {
        match self {
            Tells::Findings => "findings",
            Tells::Complaint => "complaint",
            Tells::Lesion => "lesion",
            Tells::Pair => "pair",
            Tells::Nerve => "nerve",
            Tells::Approach => "approach",
        }
    }
}

impl StationKind {
    pub fn aim(&self, level: Level) -> &str {
        self.aim.of(level)
    }
}

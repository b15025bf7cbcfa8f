//! Turns `questions/*.yaml` into checked question families: what is asked, what is expected, how far each prompt helps.

use super::english::placeholders;
use super::facts::{FACTS, WHENS};
use super::kind::{FILE as KINDS_FILE, StationKind};
use super::select::{SOURCES, fields_of};
use super::text::ByLevel;
use crate::case::Level;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Source, Step, locate, parse};
use serde::Deserialize;

/// One family of questions; the file's name is its id.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Family {
    pub id: String,
    pub kinds: Vec<String>,
    pub levels: Vec<LevelWord>,
    /// What is assessed: "localisation", "anatomy", "clinical reasoning", "examination", "safety".
    pub domain: String,
    /// Place in the script: the lowest comes first.
    pub order: u32,
    /// Chosen first when time is short: the lowest.
    pub priority: u32,
    /// Least time it needs, in minutes, in steps of a half.
    pub minutes: ByLevel<f64>,
    /// Asked only when all of these hold.
    #[serde(default)]
    pub when: Vec<String>,
    /// One question in the words to be spoken. Several wordings: the first whose facts are known is used.
    pub opening: Vec<String>,
    pub expects: Vec<Expect>,
    pub ladder: Vec<RungText>,
    #[serde(default)]
    pub wrong: Option<WrongFrom>,
    /// Answers that would harm a patient, each with when it applies.
    #[serde(default)]
    pub dangers: Vec<Danger>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LevelWord {
    Early,
    Clinical,
    Trainee,
}

/// Points of one kind that the answer should hold.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expect {
    pub source: String,
    #[serde(default)]
    pub when: Vec<String>,
    /// The point in words, with the fields of its source.
    pub say: Vec<String>,
    /// How many at each level.
    pub count: ByLevel<usize>,
    pub marks: u32,
    /// More than these may come in when a station is short of marks.
    #[serde(default = "yes")]
    pub spare: bool,
}

fn yes() -> bool {
    true
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RungName {
    Clarify,
    Probe,
    Lead,
}

impl RungName {
    pub fn word(self) -> &'static str {
        match self {
            RungName::Clarify => "clarify",
            RungName::Probe => "probe",
            RungName::Lead => "lead",
        }
    }
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RungText {
    pub rung: RungName,
    pub say: Vec<String>,
    /// Share of the question's marks that can still be reached after it, 0-1.
    #[serde(default)]
    pub cap: Option<f64>,
}

/// Where the common wrong answers come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WrongFrom {
    /// The nearest other places.
    Rivals,
    /// The places that come after those that the question itself expects.
    NextRivals,
    /// A structure that is spared here and affected in a near rival.
    Muscles,
    Movements,
    Skin,
    Reflexes,
    Signs,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Danger {
    #[serde(default)]
    pub when: Vec<String>,
    pub say: String,
}

impl Family {
    pub fn fits(&self, kind: &StationKind, level: Level) -> bool {
        self.kinds.contains(&kind.id)
            && self.levels.iter().any(|l| {
                matches!(
                    (l, level),
                    (LevelWord::Early, Level::Early)
                        | (LevelWord::Clinical, Level::Clinical)
                        | (LevelWord::Trainee, Level::Trainee)
                )
            })
    }

    /// Least time in half minutes.
    pub fn half_minutes(&self, level: Level) -> u32 {
        (self.minutes.of(level) * 2.0).round().clamp(1.0, 60.0) as u32
    }
}

/// All families, in the order of the script.
///
/// # Errors
/// Exit code 2 when a file is no YAML of this shape; 1 with every problem of every file at once.
pub fn families(content: &Content, kinds: &[StationKind]) -> Result<Vec<Family>, Failure> {
    let mut all: Vec<Family> = Vec::new();
    let mut problems = Vec::new();
    let mut failures = Vec::new();
    for source in content.under("questions/") {
        if source.name == KINDS_FILE
            || source.extends().as_deref() == Some(KINDS_FILE)
            || !source.name.ends_with(".yaml")
        {
            continue;
        }
        match parse::<Family>(source) {
            Ok(family) => {
                problems.extend(check(source, &family, kinds));
                all.push(family);
            }
            Err(failure) => failures.push(failure),
        }
    }
    if all.is_empty() && failures.is_empty() {
        problems.push(
            Problem::new("there is no question family").hint("put at least one into questions/"),
        );
    }
    all.sort_by(|a, b| a.order.cmp(&b.order).then_with(|| a.id.cmp(&b.id)));
    if !problems.is_empty() {
        failures.push(Failure::Content(problems));
    }
    match Failure::of_all(failures) {
        None => Ok(all),
        Some(failure) => Err(failure),
    }
}

fn check(source: &Source, family: &Family, kinds: &[StationKind]) -> Vec<Problem> {
    let mut found = Vec::new();
    let mut say = |path: &[Step], message: String, hint: String| {
        found.push(Problem::new(message).at(locate(source, path)).hint(hint));
    };
    let stem = source.name.rsplit('/').next().unwrap_or_default();
    if stem.strip_suffix(".yaml") != Some(&family.id) {
        say(
            &["id".into()],
            format!("the id `{}` is not the file's name", short(&family.id)),
            format!("name the file {}.yaml", short(&family.id)),
        );
    }
    for (i, kind) in family.kinds.iter().enumerate() {
        if !kinds.iter().any(|k| k.id == *kind) {
            say(
                &["kinds".into(), i.into()],
                format!("no kind of station is called `{}`", short(kind)),
                did_you_mean(kind, kinds.iter().map(|k| k.id.as_str()), "see kinds.yaml"),
            );
        }
    }
    let minutes = [
        family.minutes.early,
        family.minutes.clinical,
        family.minutes.trainee,
    ];
    if minutes
        .iter()
        .any(|m| !(*m >= 0.5 && *m <= 15.0 && (m * 2.0).fract() == 0.0))
    {
        say(
            &["minutes".into()],
            "the minutes are not between 0.5 and 15 in steps of a half".into(),
            "write 1, 1.5, 2 ...".into(),
        );
    }
    let whens = family.when.iter().map(|w| (w, vec![Step::from("when")]));
    let whens = whens.chain(family.expects.iter().enumerate().flat_map(|(i, e)| {
        let path = vec![Step::from("expects"), Step::Item(i), Step::from("when")];
        e.when.iter().map(move |w| (w, path.clone()))
    }));
    let whens = whens.chain(family.dangers.iter().enumerate().flat_map(|(i, d)| {
        let path = vec![Step::from("dangers"), Step::Item(i), Step::from("when")];
        d.when.iter().map(move |w| (w, path.clone()))
    }));
    for (word, path) in whens.collect::<Vec<_>>() {
        if !WHENS.contains(&word.as_str()) {
            say(
                &path,
                format!("`{}` is no condition", short(word)),
                did_you_mean(word, WHENS, &format!("use one of: {}", WHENS.join(", "))),
            );
        }
    }
    let mut known: Vec<String> = FACTS.iter().map(|f| (*f).to_string()).collect();
    for (i, expect) in family.expects.iter().enumerate() {
        let path = ["expects".into(), Step::Item(i), "source".into()];
        let Some(fields) = fields_of(&expect.source) else {
            let names: Vec<&str> = SOURCES.iter().map(|(n, _)| *n).collect();
            say(
                &path,
                format!("no source of points is called `{}`", short(&expect.source)),
                did_you_mean(
                    &expect.source,
                    names.iter().copied(),
                    &format!("use one of: {}", names.join(", ")),
                ),
            );
            continue;
        };
        let allowed: Vec<String> = FACTS
            .iter()
            .chain(fields)
            .map(|f| (*f).to_string())
            .collect();
        known.extend(fields.iter().map(|f| format!("{}.{f}", expect.source)));
        unknown(
            &expect.say,
            &allowed,
            &["expects".into(), Step::Item(i), "say".into()],
            &mut say,
        );
        if expect.marks == 0 || expect.marks > 10 {
            say(
                &["expects".into(), Step::Item(i), "marks".into()],
                format!("{} marks for one point", expect.marks),
                "write 1 to 10".into(),
            );
        }
    }
    let facts: Vec<String> = FACTS.iter().map(|f| (*f).to_string()).collect();
    unknown(&family.opening, &facts, &["opening".into()], &mut say);
    for (i, rung) in family.ladder.iter().enumerate() {
        unknown(
            &rung.say,
            &known,
            &["ladder".into(), Step::Item(i), "say".into()],
            &mut say,
        );
        if rung.cap.is_some_and(|c| !(0.0..=1.0).contains(&c)) {
            say(
                &["ladder".into(), Step::Item(i), "cap".into()],
                "the cap is no share".into(),
                "write a figure from 0 to 1: the share of the marks still in reach".into(),
            );
        }
    }
    let order = [RungName::Clarify, RungName::Probe, RungName::Lead];
    if !family.ladder.iter().map(|r| r.rung).eq(order) {
        say(
            &["ladder".into()],
            "the ladder is not clarify, probe, lead".into(),
            "write these three rungs in this order".into(),
        );
    }
    for (i, danger) in family.dangers.iter().enumerate() {
        let text = std::slice::from_ref(&danger.say);
        unknown(
            text,
            &facts,
            &["dangers".into(), Step::Item(i), "say".into()],
            &mut say,
        );
    }
    found
}

/// Placeholders that no case can fill. In a ladder `{course.label}` is the field of the first point from the source `course`,
/// `{course.2.label}` that of the second.
fn unknown(
    texts: &[String],
    known: &[String],
    path: &[Step],
    say: &mut dyn FnMut(&[Step], String, String),
) {
    if texts.is_empty() || texts.iter().any(|t| t.trim().is_empty()) {
        say(
            path,
            "there is no wording".into(),
            "write at least one sentence".into(),
        );
    }
    for name in texts.iter().flat_map(|t| placeholders(t)) {
        let steps: Vec<&str> = name.split('.').collect();
        let bare = match steps.as_slice() {
            [source, n, field] if n.parse::<usize>().is_ok() => format!("{source}.{field}"),
            _ => name.to_string(),
        };
        if !known.contains(&bare) {
            say(
                path,
                format!("`{{{}}}` stands for nothing here", short(name)),
                did_you_mean(
                    &bare,
                    known.iter().map(String::as_str),
                    &format!("use one of: {}", known.join(", ")),
                ),
            );
        }
    }
}

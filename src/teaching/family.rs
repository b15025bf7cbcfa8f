//! Which words open a question, which prompts follow, and what is it marked by where no teacher has written more?

use super::situation::{Situation, conditions, facts};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Source, Step, UniqueMap, locate, parse};
use crate::wording::{fill, placeholders};
use serde::Deserialize;

pub const FOLDER: &str = "questions/";
/// The file of the kinds, which stands in the same folder.
pub const KINDS_FILE: &str = "questions/kinds.yaml";

/// One question of the bank: `questions/ID.yaml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asking {
    pub id: String,
    /// What is assessed: anatomy, localisation, clinical_reasoning, examination, safety.
    pub domain: String,
    /// Share of its marks that is paid for reasoning, 0-1.
    pub reasoning: f64,
    /// Openings; the first group whose conditions hold is drawn from.
    pub say: Vec<Sayings>,
    /// Prompts that a place without its own is given.
    pub clarify: Vec<String>,
    pub probe: Vec<String>,
    #[serde(default)]
    pub lead: Vec<String>,
    /// Lines that are marked where no teacher has written any, by what they are about.
    #[serde(default)]
    pub lines: UniqueMap<Vec<String>>,
    /// Words of what this question pays, which the first steps do not pay again.
    #[serde(default)]
    pub pays: Vec<String>,
    /// How the marks of one line are made up.
    #[serde(default)]
    pub note: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sayings {
    #[serde(default)]
    pub when: Vec<String>,
    pub text: Vec<String>,
}

impl Asking {
    /// The openings that fit, filled in, in the order of the file.
    pub fn openings(&self, situation: &Situation) -> Vec<String> {
        let group = self.say.iter().filter(|g| situation.holds(&g.when));
        let mut texts = group.map(|g| filled(&g.text, situation));
        texts.find(|all| !all.is_empty()).unwrap_or_default()
    }

    /// The lines about one thing, as written.
    pub fn lines(&self, about: &str) -> &[String] {
        let found = self.lines.0.iter().find(|(key, _)| key == about);
        found.map_or(&[], |(_, lines)| lines)
    }
}

/// The texts whose facts are known.
pub fn filled(texts: &[String], situation: &Situation) -> Vec<String> {
    let one = |text: &String| fill(text, &|name| situation.fact(name)).ok();
    texts.iter().filter_map(one).collect()
}

/// All questions of the bank.
#[derive(Debug, Clone, Default)]
pub struct Families(Vec<Asking>);

impl Families {
    pub fn get(&self, id: &str) -> Option<&Asking> {
        self.0.iter().find(|q| q.id == id)
    }

    pub fn all(&self) -> &[Asking] {
        &self.0
    }
}

/// Reads `questions/*.yaml`.
///
/// # Errors
/// Exit code 2 when a file is no YAML of this shape; 1 with every problem of every file at once.
pub fn families(content: &Content) -> Result<Families, Failure> {
    let mut all: Vec<Asking> = Vec::new();
    let mut problems = Vec::new();
    let mut failures = Vec::new();
    for source in content.under(FOLDER) {
        let kinds = source.name == KINDS_FILE || source.extends().as_deref() == Some(KINDS_FILE);
        if kinds || !source.name.ends_with(".yaml") {
            continue;
        }
        match parse::<Asking>(source) {
            Ok(asking) => {
                problems.extend(check(source, &asking));
                all.push(asking);
            }
            Err(failure) => failures.push(failure),
        }
    }
    if all.is_empty() && failures.is_empty() {
        problems
            .push(Problem::new("there is no question").hint("put at least one into questions/"));
    }
    if !problems.is_empty() {
        failures.push(Failure::Content(problems));
    }
    match Failure::of_all(failures) {
        None => Ok(Families(all)),
        Some(failure) => Err(failure),
    }
}

/// Domains, each with a phrase `domain_ID`.
pub const DOMAINS: [&str; 5] = [
    "anatomy",
    "localisation",
    "clinical_reasoning",
    "examination",
    "safety",
];

fn check(source: &Source, asking: &Asking) -> Vec<Problem> {
    let mut found = Vec::new();
    let mut say = |path: &[Step], message: String, hint: String| {
        found.push(Problem::new(message).at(locate(source, path)).hint(hint));
    };
    let stem = source.name.rsplit('/').next().unwrap_or_default();
    if stem.strip_suffix(".yaml") != Some(&asking.id) {
        say(
            &["id".into()],
            format!("the id `{}` is not the file's name", short(&asking.id)),
            format!("name the file {}.yaml", short(&asking.id)),
        );
    }
    if !DOMAINS.contains(&asking.domain.as_str()) {
        let hint = did_you_mean(
            &asking.domain,
            DOMAINS,
            &format!("use one of: {}", DOMAINS.join(", ")),
        );
        say(
            &["domain".into()],
            format!("`{}` is no domain", short(&asking.domain)),
            hint,
        );
    }
    if !(0.0..=1.0).contains(&asking.reasoning) {
        say(
            &["reasoning".into()],
            "the share of marks for reasoning is not between 0 and 1".into(),
            "write 0, 0.5 or 1".into(),
        );
    }
    let known: Vec<&str> = conditions().collect();
    for (i, group) in asking.say.iter().enumerate() {
        for (w, word) in group
            .when
            .iter()
            .enumerate()
            .filter(|(_, w)| !known.contains(&w.as_str()))
        {
            let path = ["say".into(), Step::Item(i), "when".into(), Step::Item(w)];
            let hint = did_you_mean(
                word,
                known.iter().copied(),
                &format!("use one of: {}", known.join(", ")),
            );
            say(&path, format!("`{}` is no condition", short(word)), hint);
        }
        texts(
            &group.text,
            &["say".into(), Step::Item(i), "text".into()],
            &mut say,
        );
    }
    texts(&asking.clarify, &["clarify".into()], &mut say);
    texts(&asking.probe, &["probe".into()], &mut say);
    texts(&asking.lead, &["lead".into()], &mut say);
    if asking.say.is_empty() || asking.clarify.is_empty() {
        say(
            &["say".into()],
            "there is no wording".into(),
            "write at least one opening and one text under `clarify:`".into(),
        );
    }
    found
}

/// Placeholders that no station can fill, and texts that say nothing.
fn texts(all: &[String], path: &[Step], say: &mut dyn FnMut(&[Step], String, String)) {
    let known: Vec<&str> = facts().collect();
    for (i, text) in all.iter().enumerate() {
        let at = [path, &[Step::Item(i)]].concat();
        if text.trim().is_empty() {
            say(
                &at,
                "there is no wording".into(),
                "write a sentence, or remove the line".into(),
            );
        }
        for name in placeholders(text)
            .into_iter()
            .filter(|n| !known.contains(n))
        {
            let hint = did_you_mean(
                name,
                known.iter().copied(),
                &format!("use one of: {}", known.join(", ")),
            );
            say(
                &at,
                format!("`{{{}}}` stands for nothing here", short(name)),
                hint,
            );
        }
    }
}

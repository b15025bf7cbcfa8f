//! What is the house style? `settings.yaml`, the user's over the shipped one: institution, paper, print, eponyms, phrases, grades.

use super::content::locate;
use super::content::{Content, Source};
use super::locate::Step;
use super::walk::SETTINGS;
use super::yaml::{UniqueMap, parse};
use crate::diagnostic::{Failure, Problem, short};
use serde::{Deserialize, Serialize};

/// Longest institution line, in characters: it must fit the width of a page.
const LONGEST_LINE: usize = 100;

/// How eponyms are spelt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Eponyms {
    /// Froment sign.
    Plain,
    /// Froment's sign.
    Possessive,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PaperWord {
    A4,
    Letter,
}

/// How the text of printed sheets is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TextWord {
    Normal,
    Large,
    Spaced,
    LargeSpaced,
}

/// A grade of the global rating with the performance it stands for.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Grade {
    pub grade: String,
    pub anchor: String,
    #[serde(default)]
    pub borderline: bool,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Written {
    institution: Option<String>,
    region: Option<String>,
    paper: Option<PaperWord>,
    text: Option<TextWord>,
    eponyms: Option<Eponyms>,
    eponym_names: Option<Vec<String>>,
    language: Option<String>,
    phrases: Option<UniqueMap<String>>,
    rating: Option<Vec<Grade>>,
}

/// The house style, checked.
#[derive(Debug, Clone)]
pub struct Settings {
    pub institution: String,
    /// The region that a user's settings keep to.
    pub region: Option<String>,
    /// What is meant where nothing else tells.
    pub usual_region: Option<String>,
    pub paper: PaperWord,
    pub text: TextWord,
    pub eponyms: Eponyms,
    pub eponym_names: Vec<String>,
    pub language: String,
    /// Phrases that replace those of the phrases file.
    pub phrases: Vec<(String, String)>,
    /// Empty: the grades of the phrases file.
    pub rating: Vec<Grade>,
}

/// Reads the house style.
///
/// # Errors
/// Exit code 2 when the file is no YAML of its shape; 1 with everything it gets wrong.
pub fn settings(content: &Content) -> Result<Settings, Failure> {
    let base: Written = match Content::shipped(SETTINGS) {
        Some(source) => parse(&source)?,
        None => Written::default(),
    };
    let user: Written = match content.get(SETTINGS).filter(|s| s.overlaid) {
        Some(source) => {
            let written: Written = parse(source)?;
            let problems = check(source, &written);
            if !problems.is_empty() {
                return Err(Failure::Content(problems));
            }
            written
        }
        None => Written::default(),
    };
    Ok(Settings {
        institution: user
            .institution
            .or(base.institution)
            .unwrap_or_default()
            .trim()
            .to_string(),
        usual_region: user.region.clone().or(base.region),
        region: user.region,
        paper: user.paper.or(base.paper).unwrap_or(PaperWord::A4),
        text: user.text.or(base.text).unwrap_or(TextWord::Normal),
        eponyms: user.eponyms.or(base.eponyms).unwrap_or(Eponyms::Plain),
        eponym_names: user.eponym_names.or(base.eponym_names).unwrap_or_default(),
        language: user
            .language
            .or(base.language)
            .unwrap_or_else(|| "en".to_string()),
        phrases: user.phrases.or(base.phrases).unwrap_or_default().0,
        rating: user.rating.or(base.rating).unwrap_or_default(),
    })
}

/// The place of a phrase in the user's settings.
pub fn phrase_in_settings(content: &Content, key: &str) -> Option<crate::diagnostic::Place> {
    let source = content.get(SETTINGS)?;
    Some(locate(source, &["phrases".into(), key.into()]))
}

fn check(source: &Source, written: &Written) -> Vec<Problem> {
    let mut found = Vec::new();
    let mut say = |path: &[Step], message: String, hint: &str| {
        found.push(Problem::new(message).hint(hint).at(locate(source, path)));
    };
    if let Some(line) = &written.institution
        && (line.trim().contains('\n') || line.chars().count() > LONGEST_LINE)
    {
        say(
            &["institution".into()],
            format!("the institution is not one line of at most {LONGEST_LINE} characters"),
            "shorten it to what fits the head of a page",
        );
    }
    if let Some(language) = &written.language
        && !is_language(language)
    {
        say(
            &["language".into()],
            format!("`{}` is no language", short(language)),
            "write a short code such as en, de or pt-BR: it is part of a file's name",
        );
    }
    for (i, name) in written.eponym_names.iter().flatten().enumerate() {
        let word = name.chars().next().is_some_and(char::is_uppercase)
            && name.chars().all(|c| c.is_alphabetic() || c == '-');
        if !word {
            say(
                &["eponym_names".into(), i.into()],
                format!("`{}` is no name", short(name)),
                "write one name with a capital letter and without 's",
            );
        }
    }
    if let Some(rating) = written.rating.as_ref().filter(|r| !r.is_empty()) {
        let borderline = rating.iter().filter(|g| g.borderline).count();
        if rating.len() < 4 || rating.len() > 9 || borderline != 1 {
            say(
                &["rating".into()],
                format!(
                    "the rating has {} grades, {borderline} of them borderline",
                    rating.len()
                ),
                "give four to nine grades, best first, and `borderline: true` to one of them",
            );
        }
        for (i, grade) in rating.iter().enumerate() {
            let twice = rating[..i].iter().any(|g| g.grade == grade.grade);
            if twice || grade.grade.trim().is_empty() || grade.anchor.trim().is_empty() {
                say(
                    &["rating".into(), i.into()],
                    format!(
                        "the grade `{}` is empty or stands twice",
                        short(&grade.grade)
                    ),
                    "give each grade its own name and the performance it stands for",
                );
            }
        }
    }
    found
}

fn is_language(word: &str) -> bool {
    let mut parts = word.split('-');
    let letters = |part: &str| part.bytes().all(|b| b.is_ascii_alphanumeric());
    parts
        .next()
        .is_some_and(|p| (2..=3).contains(&p.len()) && p.bytes().all(|b| b.is_ascii_lowercase()))
        && parts.clone().count() <= 2
        && parts.all(|p| (2..=8).contains(&p.len()) && letters(p))
}

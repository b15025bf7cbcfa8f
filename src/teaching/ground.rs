//! From what are notes derived, and how does a derived line get its words?

use super::approach::Approach;
use super::block::{Block, Choice, Line};
use super::check::LINE;
use super::family::{Asking, Families};
use crate::anatomy::{Model, Nerve, Structure};
use crate::findings::{Finding, Findings};
use crate::lesion::Lesion;
use crate::reasoning::{self, Rival};
use crate::wording::{count_words, fill, list};

/// What the notes are derived from.
pub struct Ground<'a> {
    pub model: &'a Model,
    pub lesion: &'a Lesion,
    pub found: &'a Findings,
    pub families: &'a Families,
    /// Nearest first, equals left out.
    pub rivals: &'a [Rival],
    /// Only of these findings may a patient be told or asked.
    pub usable: &'a dyn Fn(&Finding) -> bool,
    /// The nerve on which the lesion lies, and the operation that endangers it, if there are such.
    pub nerve: Option<&'a Nerve>,
    pub approach: Option<&'a Approach>,
}

pub fn site_label(ground: &Ground<'_>, site: usize) -> String {
    ground
        .model
        .sites
        .get(site)
        .map(|s| s.label.clone())
        .unwrap_or_default()
}

pub fn state(ground: &Ground<'_>, s: Structure) -> &'static str {
    ground.found.get(s).map_or("", |f| f.word())
}

/// A line of the question in the words of its file, the first that is ticked in a second; `None` when a fact is missing.
pub fn line(
    asking: &Asking,
    key: &str,
    about: Option<Structure>,
    facts: &[(&str, String)],
) -> Option<Line> {
    let fact = |name: &str| {
        let (_, value) = facts.iter().find(|(n, _)| *n == name)?;
        (!value.is_empty()).then(|| value.clone())
    };
    let mut filled = asking.lines(key).iter().filter_map(|t| fill(t, &fact).ok());
    let say = filled.find(|t| count_words(t) <= LINE)?;
    Some(Line {
        about,
        ..Line::of(&say)
    })
}

pub fn choice(asking: &Asking, each: u32, of: Vec<Line>) -> Block {
    Block {
        any: (!of.is_empty()).then(|| Choice {
            each,
            note: asking.note.clone(),
            of,
        }),
        ..Block::default()
    }
}

/// Fewest lines from which three are chosen.
const CHOICE: usize = 4;

/// Some of these lines at `each`; where they are too few to choose from, the first `most` of them and then the lines that stand ready under
/// `key`, a mark each. Either way every number of marks can be made.
pub fn topped(asking: &Asking, each: u32, of: Vec<Line>, most: usize, key: &str) -> Block {
    let ready = points(asking, key).points;
    if of.len() >= CHOICE {
        return Block {
            points: ready,
            ..choice(asking, each, of)
        };
    }
    let first = of.into_iter().take(most).map(|l| Line { marks: each, ..l });
    Block {
        points: first.chain(ready).collect(),
        ..Block::default()
    }
}

/// Lines that stand ready in the file, the first worth two.
pub fn fixed(asking: &Asking, key: &str) -> Block {
    let lines = asking.lines(key).iter().enumerate();
    Block {
        points: lines
            .map(|(i, say)| Line {
                marks: if i == 0 { 2 } else { 1 },
                ..Line::of(say)
            })
            .collect(),
        ..Block::default()
    }
}

/// Lines that stand ready in the file, a mark each.
pub fn points(asking: &Asking, key: &str) -> Block {
    Block {
        points: asking.lines(key).iter().map(|say| Line::of(say)).collect(),
        ..Block::default()
    }
}

/// Movement, main muscle and nerve of a structure, as facts.
pub fn motor_facts(ground: &Ground<'_>, s: Structure) -> Vec<(&'static str, String)> {
    let model = ground.model;
    let muscle = reasoning::main_muscle(model, s);
    vec![
        ("movement", model.plain(s).to_string()),
        (
            "muscle",
            muscle
                .map(|m| model.spoken(m).to_string())
                .unwrap_or_default(),
        ),
        ("nerve", reasoning::nerve_of(model, s).to_string()),
        ("state", state(ground, s).to_string()),
    ]
}

pub fn area_facts(ground: &Ground<'_>, s: Structure) -> Vec<(&'static str, String)> {
    let model = ground.model;
    vec![
        ("area", model.plain(s).to_string()),
        (
            "nerve",
            model.nerve_label(s).unwrap_or_default().to_string(),
        ),
        ("state", state(ground, s).to_string()),
    ]
}

pub fn short(ground: &Ground<'_>) -> String {
    let places: Vec<&str> = ground
        .lesion
        .parts
        .iter()
        .map(|p| p.label.as_str())
        .collect();
    list(&places)
}

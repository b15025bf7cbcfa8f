//! The YAML of a blueprint as it is written, before anything is checked.

use crate::diagnostic::{Failure, did_you_mean, short};
use crate::files::{Source, parse};
use serde::Deserialize;

/// Numbers are read as `f64` so that a negative or broken one is answered by us, with its place and a hint.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Blueprint {
    pub title: String,
    #[serde(default)]
    pub date: String,
    #[serde(default)]
    pub place: String,
    #[serde(default)]
    pub region: Option<String>,
    #[serde(default)]
    pub seed: Option<u64>,
    #[serde(default)]
    pub level: Option<String>,
    pub time: Time,
    pub positions: Vec<Position>,
    #[serde(default)]
    pub wanted: Vec<Want>,
    #[serde(default)]
    pub apart: Vec<Apart>,
    #[serde(default)]
    pub reuse: Vec<Reuse>,
    #[serde(default)]
    pub avoid: Vec<String>,
    #[serde(default)]
    pub exposure: Vec<String>,
    #[serde(default)]
    pub limits: Limits,
    pub groups: Vec<Group>,
    #[serde(default)]
    pub examiners: Vec<Examiner>,
}

/// Minutes, in halves where a half makes sense.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Time {
    pub station: f64,
    #[serde(default)]
    pub reading: f64,
    #[serde(default)]
    pub changeover: f64,
    /// Minutes before the end of a station at which a bell warns; 0: none.
    #[serde(default)]
    pub warning: f64,
    #[serde(default)]
    pub starts: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// How many positions of this sort follow each other; 1 when left out.
    #[serde(default)]
    pub times: Option<f64>,
    #[serde(default)]
    pub minutes: Option<f64>,
    #[serde(default)]
    pub reading: Option<f64>,
    #[serde(default)]
    pub kind: Option<String>,
    #[serde(default)]
    pub level: Option<String>,
    /// A rest: its minutes, or `same` for as long as a station with its reading.
    #[serde(default)]
    pub rest: Option<Rest>,
}

/// `rest: 6` or `rest: same`.
#[derive(Debug, Clone, PartialEq)]
pub enum Rest {
    Minutes(f64),
    Word(String),
}

impl<'de> Deserialize<'de> for Rest {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl serde::de::Visitor<'_> for Visitor {
            type Value = Rest;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("minutes, or the word `same`")
            }
            fn visit_f64<E>(self, v: f64) -> Result<Rest, E> {
                Ok(Rest::Minutes(v))
            }
            fn visit_u64<E>(self, v: u64) -> Result<Rest, E> {
                Ok(Rest::Minutes(v as f64))
            }
            fn visit_i64<E>(self, v: i64) -> Result<Rest, E> {
                Ok(Rest::Minutes(v as f64))
            }
            fn visit_str<E>(self, v: &str) -> Result<Rest, E> {
                Ok(Rest::Word(v.to_string()))
            }
        }
        deserializer.deserialize_any(Visitor)
    }
}

/// One cell of the blueprint: what counts (all keys given must hold), and how many stations of a form shall.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Want {
    #[serde(default)]
    pub site: Option<String>,
    #[serde(default)]
    pub nerve: Option<String>,
    #[serde(default)]
    pub part: Option<String>,
    #[serde(default)]
    pub lesion: Option<String>,
    #[serde(default)]
    pub kind: Option<String>,
    #[serde(default)]
    pub level: Option<String>,
    #[serde(default)]
    pub domain: Option<String>,
    #[serde(default)]
    pub exactly: Option<f64>,
    #[serde(default)]
    pub least: Option<f64>,
    #[serde(default)]
    pub most: Option<f64>,
    /// Share of the stations, 0 to 1: rounded down for the least and up for the most.
    #[serde(default)]
    pub share: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Apart {
    pub site: String,
    pub from: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reuse {
    pub site: String,
    pub kind: String,
    #[serde(default)]
    pub level: Option<String>,
    #[serde(default)]
    pub minutes: Option<f64>,
    pub seed: u64,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    pub similarity: Option<f64>,
    pub one_nerve: Option<f64>,
    pub repeat_sites: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Group {
    pub id: String,
    /// How many; their ids are made from the group's.
    #[serde(default)]
    pub count: Option<f64>,
    #[serde(default)]
    pub candidates: Vec<Candidate>,
    pub sittings: Vec<Sitting>,
    /// Kept apart from the groups before it, so that no word gets through.
    #[serde(default)]
    pub quarantined: bool,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Candidate {
    pub id: String,
    #[serde(default)]
    pub name: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sitting {
    pub id: String,
    /// "09:00".
    pub start: String,
    /// How many copies of the route run side by side.
    #[serde(default)]
    pub tracks: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Examiner {
    pub id: String,
    #[serde(default)]
    pub name: String,
    /// Ids of candidates whom they may not mark.
    #[serde(default)]
    pub knows: Vec<String>,
    /// Sittings they can take; all when left out.
    #[serde(default)]
    pub sittings: Option<Vec<String>>,
}

/// Reads a blueprint.
///
/// # Errors
/// Exit code 2 with the place and what to change; a mistyped key is answered with the key that was meant.
pub fn read(source: &Source) -> Result<Blueprint, Failure> {
    parse::<Blueprint>(source).map_err(|failure| match failure {
        Failure::Usage(mut problem) => {
            if let Some(hint) = meant(&problem.message) {
                problem.hint = hint;
            }
            Failure::Usage(problem)
        }
        other => other,
    })
}

/// "unknown field `wantd`, expected one of `title`, `wanted`": which of the known keys was meant.
fn meant(message: &str) -> Option<String> {
    let (_, rest) = message.split_once("unknown field `")?;
    let (word, known) = rest.split_once("`, expected")?;
    let known: Vec<&str> = known.split('`').skip(1).step_by(2).collect();
    Some(did_you_mean(
        &short(word),
        known.iter().copied(),
        "remove the line, or use one of the keys listed",
    ))
}

/// The region a blueprint is about, so that its model can be loaded before the rest is checked.
///
/// # Errors
/// As [`read`].
pub fn region_of(source: &Source) -> Result<Option<String>, Failure> {
    read(source).map(|b| b.region)
}

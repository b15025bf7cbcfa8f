//! How is a blueprint written? The YAML as it stands, before anything is checked.
//!
//! Numbers are read as `f64` so that a negative or broken one is answered by us, with its place and a hint.

use super::passing;
use crate::diagnostic::Failure;
use crate::files::{Source, parse};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Blueprint {
    pub title: String,
    #[serde(default)]
    pub date: String,
    #[serde(default)]
    pub place: String,
    pub region: Option<Regions>,
    pub seed: Option<u64>,
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
    pub learned: Vec<String>,
    #[serde(default)]
    pub limits: Limits,
    #[serde(default)]
    pub passing: passing::Written,
    /// `stay` (as when left out), `sitting` or `break`: when examiners take another station.
    pub rotation: Option<String>,
    /// Stations in reserve for each form.
    pub spares: Option<f64>,
    #[serde(default)]
    pub calibration: bool,
    /// Who comes, from tables beside the blueprint.
    #[serde(default)]
    pub lists: Lists,
    #[serde(default)]
    pub changes: Changes,
    pub groups: Vec<Group>,
    #[serde(default)]
    pub examiners: Vec<Examiner>,
}

/// One region, or a list of them.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
pub enum Regions {
    One(String),
    Several(Vec<String>),
}

/// Tables saved as CSV; paths start from the blueprint.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lists {
    pub candidates: Option<String>,
    pub examiners: Option<String>,
    /// Pairs of examiner and candidate who know each other.
    pub declared: Option<String>,
}

/// What happened since the day was planned.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Changes {
    /// Candidates and examiners who do not come.
    #[serde(default)]
    pub absent: Vec<String>,
    #[serde(default)]
    pub late: Vec<Late>,
    /// Examiners who went home before the end: what they marked stays theirs.
    #[serde(default)]
    pub left: Vec<Left>,
    /// Stations that cannot be used: the form's spare takes the place.
    #[serde(default)]
    pub spare: Vec<Spare>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Late {
    pub candidate: String,
    /// When they are there: "09:20".
    pub at: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Left {
    pub examiner: String,
    /// From when somebody else marks: "10:40".
    pub at: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spare {
    pub group: String,
    pub position: f64,
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
    pub starts: Option<String>,
    #[serde(default)]
    pub breaks: Vec<Break>,
}

/// Everybody pauses after so many slots of a sitting.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Break {
    pub after: f64,
    pub minutes: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// How many positions of this sort follow each other; 1 when left out.
    pub times: Option<f64>,
    pub minutes: Option<f64>,
    pub reading: Option<f64>,
    pub kind: Option<String>,
    pub level: Option<String>,
    pub rest: Option<Rest>,
}

/// `rest: 6`, or `rest: same` for as long as a station with its reading.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(
    untagged,
    expecting = "invalid type, expected minutes or the word `same`"
)]
pub enum Rest {
    Minutes(f64),
    Word(String),
}

/// One cell of the blueprint: what counts (all keys given must hold), and how many stations of a form shall.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Want {
    pub region: Option<String>,
    pub site: Option<String>,
    pub nerve: Option<String>,
    pub part: Option<String>,
    pub lesion: Option<String>,
    pub kind: Option<String>,
    pub level: Option<String>,
    pub domain: Option<String>,
    pub exactly: Option<f64>,
    pub least: Option<f64>,
    pub most: Option<f64>,
    /// Share of the stations, 0 to 1: rounded down for the least and up for the most.
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
    pub level: Option<String>,
    pub minutes: Option<f64>,
    pub seed: u64,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    pub similarity: Option<f64>,
    pub one_nerve: Option<f64>,
    pub repeat_sites: Option<String>,
    /// Stations at which one examiner may mark one candidate.
    pub same_examiner: Option<f64>,
    /// Sittings that an examiner takes without one off.
    pub sittings_in_a_row: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Group {
    pub id: String,
    /// How many; their ids are made from the group's.
    pub count: Option<f64>,
    #[serde(default)]
    pub candidates: Vec<Candidate>,
    pub sittings: Vec<Sitting>,
    /// Kept apart from the groups before it, so that no word gets through.
    #[serde(default)]
    pub quarantined: bool,
    /// Each sitting is a group of its own, with a form of its own.
    #[serde(default)]
    pub form_per_sitting: bool,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Candidate {
    pub id: String,
    #[serde(default)]
    pub name: String,
    /// More time, in per cent.
    pub extra: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sitting {
    pub id: String,
    /// "09:00".
    pub start: String,
    /// How many copies of the route run side by side.
    pub tracks: Option<f64>,
    /// More time at each station, in per cent.
    pub extra: Option<f64>,
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
    pub sittings: Option<Vec<String>>,
    /// Takes a station only when somebody is missing.
    #[serde(default)]
    pub reserve: bool,
}

/// Reads a blueprint.
///
/// # Errors
/// Exit code 2 with the place and what to change; a mistyped key is answered with the key that was meant.
pub fn read(source: &Source) -> Result<Blueprint, Failure> {
    parse::<Blueprint>(source)
}

/// The regions a blueprint is about, so that their models can be loaded before the rest is checked; none: whichever there are.
///
/// # Errors
/// As [`read`].
pub fn regions_of(source: &Source) -> Result<Vec<String>, Failure> {
    Ok(match read(source)?.region {
        None => Vec::new(),
        Some(Regions::One(region)) => vec![region],
        Some(Regions::Several(regions)) => regions,
    })
}

/// The tables that a blueprint names.
///
/// # Errors
/// As [`read`].
pub fn lists_of(source: &Source) -> Result<Lists, Failure> {
    read(source).map(|b| b.lists)
}

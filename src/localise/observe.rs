//! Turns words such as `edc=lost` or `reflex:brachioradialis=absent` into observations, or into what to write instead.

use crate::anatomy::{Entry, Kind, Model, Structure, fold};
use crate::diagnostic::{Problem, did_you_mean, short};
use crate::findings::{Finding, State};

/// What was noted of one structure: the column of [`super::examiner::Confusion`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Seen {
    /// Lost, absent (a reflex) or present (a sign).
    Lost,
    /// Weak or reduced.
    Weak,
    /// Normal, or absent (a sign).
    Spared,
    /// Tested, but it may be either: says nothing.
    Either,
}

impl Seen {
    /// The column of the confusion table; `None` says nothing.
    pub fn column(self) -> Option<usize> {
        match self {
            Seen::Lost => Some(0),
            Seen::Weak => Some(1),
            Seen::Spared => Some(2),
            Seen::Either => None,
        }
    }

    /// The word that the argument uses.
    pub fn word(self, kind: Kind) -> &'static str {
        match (self, kind) {
            (Seen::Either, _) => "variable",
            (Seen::Lost, Kind::Sign) => "present",
            (_, Kind::Sign) => "absent",
            (Seen::Lost, Kind::Reflex) => "absent",
            (Seen::Spared, Kind::Reflex) => "present",
            (Seen::Lost, _) => "lost",
            (Seen::Weak, Kind::Muscle | Kind::Movement) => "weak",
            (Seen::Weak, _) => "reduced",
            (Seen::Spared, _) => "spared",
        }
    }
}

/// One observation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Observation {
    pub structure: Structure,
    pub seen: Seen,
}

impl Observation {
    /// `edc=lost`, with a prefix where the id alone would be read as another structure.
    pub fn text(&self, model: &Model) -> String {
        let id = name(model, self.structure);
        format!("{id}={}", self.seen.word(self.structure.kind))
    }
}

/// The id of a structure, with its kind in front where the id names two things.
pub fn name(model: &Model, s: Structure) -> String {
    let id = model.id(s);
    if model.lookup(id).iter().find_map(structure) == Some(s) {
        id.to_string()
    } else {
        format!("{}:{id}", s.kind.word())
    }
}

/// What a derived finding tells someone who sees it; `None` when it is variable.
pub fn observation(finding: &Finding) -> Option<Observation> {
    let seen = match finding.state {
        State::Variable => return None,
        State::Lost | State::Present => Seen::Lost,
        State::Weak => Seen::Weak,
        State::Spared | State::Absent => Seen::Spared,
    };
    Some(Observation {
        structure: finding.structure,
        seen,
    })
}

/// All decisive findings as observations.
pub fn observations_of<'f>(findings: impl IntoIterator<Item = &'f Finding>) -> Vec<Observation> {
    findings.into_iter().filter_map(observation).collect()
}

fn structure(entry: &Entry) -> Option<Structure> {
    match entry {
        Entry::Structure(s) => Some(*s),
        _ => None,
    }
}

/// Reads `ID=STATE`: STATE is a word of `findings --json`, `normal`, or a power 0-5.
///
/// # Errors
/// What is wrong with the word and what to write.
pub fn parse(model: &Model, word: &str) -> Result<Observation, Problem> {
    let Some((id, state)) = word.split_once('=') else {
        return Err(Problem::new(format!("`{}` is no finding", short(word)))
            .hint("write ID=STATE, for instance edc=lost, median_digits=reduced or fpl=3"));
    };
    let (wanted, bare) = match id.split_once(':') {
        Some((kind, rest)) => (Some(kind_of(kind.trim())?), rest),
        None => (None, id),
    };
    let folded = fold(bare);
    let hits: Vec<Structure> = model
        .lookup(&folded)
        .iter()
        .filter_map(structure)
        .filter(|s| wanted.is_none_or(|w| w == s.kind))
        .collect();
    let state = state.trim().to_lowercase();
    // A state that only one of the hits can have settles which is meant: `brachioradialis=absent` is the reflex.
    let mut fitting = hits.iter().filter_map(|&structure| {
        let seen = seen(structure.kind, &state)?;
        Some(Observation { structure, seen })
    });
    if let Some(found) = fitting.next() {
        return Ok(found);
    }
    if let Some(Structure { kind, .. }) = hits.first() {
        return Err(Problem::new(format!(
            "`{}` is no state of a {}",
            short(&state),
            kind.word()
        ))
        .hint(format!("write one of: {}", words(*kind))));
    }
    let ids = Kind::ALL
        .into_iter()
        .flat_map(|kind| model.structures(kind))
        .map(|s| model.id(s));
    let synonyms = [Kind::Muscle, Kind::Sign]
        .into_iter()
        .flat_map(|kind| model.structures(kind))
        .flat_map(|s| model.synonyms(s).iter().map(String::as_str));
    let known: Vec<&str> = ids.chain(synonyms).collect();
    Err(Problem::new(format!(
        "nothing that can be examined is called `{}`",
        short(bare)
    ))
    .hint(did_you_mean(
        bare,
        known,
        "`vivasmith list muscles`, `movements`, `skin`, `reflexes` and `signs` show the ids",
    )))
}

pub(super) fn kind_of(word: &str) -> Result<Kind, Problem> {
    Kind::ALL
        .into_iter()
        .find(|k| k.word() == word)
        .ok_or_else(|| {
            Problem::new(format!("`{}:` is no kind of finding", short(word))).hint(did_you_mean(
                word,
                ["muscle", "movement", "skin", "reflex", "sign"],
                "write muscle:, movement:, skin:, reflex: or sign:",
            ))
        })
}

pub(super) fn words(kind: Kind) -> &'static str {
    match kind {
        Kind::Muscle | Kind::Movement => "lost, weak, spared, or a power from 0 to 5",
        Kind::Skin => "lost, reduced, spared",
        Kind::Reflex => "absent, reduced, present",
        Kind::Sign => "present, absent",
    }
}

fn seen(kind: Kind, state: &str) -> Option<Seen> {
    Some(match (kind, state) {
        (_, "variable") => Seen::Either,
        (Kind::Sign, "present") => Seen::Lost,
        (Kind::Sign, "absent") => Seen::Spared,
        (Kind::Sign, _) => return None,
        (Kind::Reflex, "absent" | "lost") => Seen::Lost,
        (Kind::Reflex, "present") => Seen::Spared,
        (Kind::Muscle | Kind::Movement, "0" | "1") => Seen::Lost,
        (Kind::Muscle | Kind::Movement, "2" | "3" | "4") => Seen::Weak,
        (Kind::Muscle | Kind::Movement, "5") => Seen::Spared,
        (Kind::Muscle | Kind::Movement | Kind::Skin, "lost") => Seen::Lost,
        (Kind::Muscle | Kind::Movement, "weak") => Seen::Weak,
        (Kind::Skin | Kind::Reflex, "reduced") => Seen::Weak,
        (_, "spared" | "normal") => Seen::Spared,
        _ => return None,
    })
}

//! Do the findings that an author states agree with the model?

use super::Report;
use super::raw::OwnFile;
use crate::anatomy::{Entry, Model, fold};
use crate::diagnostic::short;
use crate::files::Step;
use crate::findings::{self, Finding, Findings, Fixed, Kind, State, Structure};
use crate::lesion::Lesion;
use crate::localise::{self, Observation, Seen, name};

/// A stated finding that the model knows, with what the model derives.
#[derive(Debug, Clone)]
pub struct Stated {
    /// As written.
    pub key: String,
    pub seen: Observation,
    pub derived: Finding,
}

/// Compares every stated finding with the derived one.
pub fn compare(
    model: &Model,
    lesion: &Lesion,
    fixed: &[Fixed],
    found: &Findings,
    file: &OwnFile,
    report: &mut Report<'_>,
) -> Vec<Stated> {
    let mut all: Vec<Stated> = Vec::new();
    for (key, word) in &file.findings.0 {
        let path = [Step::from("findings"), Step::from(key.as_str())];
        let mut apart: Vec<Stated> = Vec::new();
        for id in members(model, key, word) {
            let seen = match localise::parse(model, &format!("{id}={word}")) {
                Ok(seen) => seen,
                Err(problem) => {
                    report.add(&path, problem.message, problem.hint);
                    break;
                }
            };
            let Some(derived) = found.get(seen.structure).copied() else {
                continue;
            };
            let stated = Stated {
                key: key.clone(),
                seen,
                derived,
            };
            match all.iter().find(|s| s.seen.structure == seen.structure) {
                Some(earlier) if earlier.seen.seen != seen.seen => report.add(
                    &path,
                    format!(
                        "`{key}: {}` contradicts `{}`, which is the same structure",
                        short(word),
                        earlier.key
                    ),
                    "keep one of the two",
                ),
                Some(_) => {}
                None => {
                    if !agrees(&stated) {
                        apart.push(stated.clone());
                    }
                    all.push(stated);
                }
            }
        }
        complain(model, lesion, fixed, &path, key, word, &apart, report);
    }
    all
}

/// The structures that a key names: itself, or all parts of a muscle (`triceps`: its three heads). Where a reflex has the same
/// name, its own words (absent, reduced, present) mean the reflex.
fn members(model: &Model, key: &str, word: &str) -> Vec<String> {
    let of_a_reflex = ["absent", "reduced", "present"].contains(&word.trim());
    let parts = parts_of(model, key);
    if parts.is_empty() || of_a_reflex {
        vec![key.to_string()]
    } else {
        parts
    }
}

/// The muscles that are parts of the one named.
fn parts_of(model: &Model, key: &str) -> Vec<String> {
    let word = fold(key.strip_prefix("muscle:").unwrap_or(key));
    let other = |e: &Entry| !matches!(e, Entry::Structure(s) if s.kind == Kind::Reflex);
    if word.is_empty() || model.lookup(&word).iter().any(other) {
        return Vec::new();
    }
    let start = format!("{word}_");
    model
        .muscles
        .iter()
        .filter(|m| m.id.starts_with(&start))
        .map(|m| format!("muscle:{}", m.id))
        .collect()
}

/// The structures that a key of `keep_back` names.
pub fn named(model: &Model, key: &str) -> Vec<Structure> {
    let itself = [key.to_string()];
    parts_of(model, key)
        .iter()
        .chain(&itself)
        .flat_map(|id| {
            // `spared` is a state of every kind but a sign, `absent` of signs and reflexes.
            let hits = ["spared", "absent"].map(|s| localise::parse(model, &format!("{id}={s}")));
            hits.into_iter().flatten().map(|o| o.structure)
        })
        .collect()
}

fn agrees(stated: &Stated) -> bool {
    match (stated.seen.seen, stated.derived.state) {
        (Seen::Either, state) => state == State::Variable,
        (_, State::Variable) => false,
        (seen, _) => localise::observation(&stated.derived).is_some_and(|o| o.seen == seen),
    }
}

#[allow(
    clippy::too_many_arguments,
    reason = "one message out of everything there is"
)]
fn complain(
    model: &Model,
    lesion: &Lesion,
    fixed: &[Fixed],
    path: &[Step],
    key: &str,
    word: &str,
    apart: &[Stated],
    report: &mut Report<'_>,
) {
    let Some(first) = apart.first() else {
        return;
    };
    let why = findings::reason_in(model, lesion, fixed, &first.derived);
    let why = if apart.len() > 1 {
        why.replacen("its branch leaves", "its branches leave", 1)
    } else {
        why
    };
    let derived = match first.derived.state {
        State::Variable => format!(
            "either, in about {:.0} % affected",
            first.derived.probability * 100.0
        ),
        _ => first.derived.word().to_string(),
    };
    let right = match first.derived.state {
        State::Variable => "variable",
        _ => first.derived.word(),
    };
    let hint = match (first.derived.state, first.seen.structure.kind) {
        (State::Variable, _) => {
            "limbs or books differ here, so it can carry no mark: leave it out, or hold a variant under `variants:`".to_string()
        }
        (_, Kind::Sign) => format!("write `{key}: {right}`, or correct the lesion; `vivasmith list signs` shows how it is brought out"),
        _ => format!("write `{key}: {right}`, or correct the lesion, or the model in an extra file"),
    };
    report.add(
        path,
        format!(
            "stated: {} {}; derived: {derived}, {why}",
            readable(model, key, first),
            short(word)
        ),
        hint,
    );
}

/// "triceps", "extensor digitorum": as a reader would call it.
fn readable(model: &Model, key: &str, stated: &Stated) -> String {
    if parts_of(model, key).is_empty() {
        let label = stated.derived.label(model);
        let id = name(model, stated.seen.structure);
        // A sign may be a person's: its label keeps its capitals.
        let label = match stated.seen.structure.kind {
            Kind::Sign => label.to_string(),
            _ => crate::wording::small(label),
        };
        if fold(&label) == id {
            label
        } else {
            format!("{label} ({id})")
        }
    } else {
        fold(key).replace('_', " ")
    }
}

//! Turns the name of a part of the limb or of a nerve into the sites it is about.

use crate::anatomy::{Model, fold};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::findings;
use crate::lesion::{Severity, at};
use std::collections::BTreeSet;

/// Positions in `Model::sites` that belong to a region: sites on the nerve (or root, trunk, cord) of that name; or sites
/// whose complete lesion weakens a muscle of that part ("hand", "forearm_post", "forearm" for both sides of it).
///
/// # Errors
/// Exit code 2 when no nerve and no part has that name, or no site belongs to it.
pub fn sites(model: &Model, word: &str) -> Result<Vec<usize>, Failure> {
    let wanted = fold(word);
    let nerve = nerve_id(model, &wanted);
    let is_part = |part: &str| {
        let part = fold(part);
        part == wanted
            || part
                .strip_prefix(&wanted)
                .is_some_and(|rest| rest.starts_with('_'))
    };
    if nerve.is_none() && !model.muscles.iter().any(|m| is_part(&m.part)) {
        let known = names(model);
        let parts: BTreeSet<String> = model.muscles.iter().map(|m| fold(&m.part)).collect();
        let parts: Vec<String> = parts.into_iter().collect();
        return Err(Failure::usage(
            Problem::new(format!(
                "the {} has no part and no nerve called `{}`",
                model.label,
                short(word)
            ))
            .hint(did_you_mean(
                word,
                known.iter().map(String::as_str),
                &format!(
                    "name a nerve, such as radial, or a part: {}",
                    parts.join(", ")
                ),
            )),
        ));
    }
    let mut found = Vec::new();
    for (i, site) in model.sites.iter().enumerate() {
        let belongs = match &nerve {
            Some(id) => site
                .segments
                .iter()
                .any(|&s| model.segments.get(s).is_some_and(|s| s.nerve == *id)),
            None => {
                let severity = if site.avulsion {
                    Severity::Avulsion
                } else {
                    Severity::Complete
                };
                let lesion = at(model, &site.id, severity)?;
                findings::derive(model, &lesion, &[])
                    .muscles
                    .iter()
                    .any(|f| f.affected() && is_part(&model.muscles[f.structure.position].part))
            }
        };
        if belongs {
            found.push(i);
        }
    }
    if found.is_empty() {
        return Err(Failure::usage(
            Problem::new(format!("no site belongs to `{}`", short(word)))
                .hint("name a site or a segment instead; `vivasmith list sites` shows them"),
        ));
    }
    Ok(found)
}

/// The id that segments carry for a nerve called so: its id, a synonym or its label, with or without "nerve".
fn nerve_id(model: &Model, wanted: &str) -> Option<String> {
    let known = model.nerve_called(wanted);
    known.map(|n| model.nerves[n].id.clone()).or_else(|| {
        model
            .segments
            .iter()
            .find(|s| s.nerve == wanted || fold(&s.nerve_label) == wanted)
            .map(|s| s.nerve.clone())
    })
}

fn names(model: &Model) -> BTreeSet<String> {
    model
        .muscles
        .iter()
        .map(|m| fold(&m.part))
        .chain(model.nerves.iter().map(|n| n.id.clone()))
        .chain(model.segments.iter().map(|s| s.nerve.clone()))
        .collect()
}

//! Do the notes of teachers agree with the model, the scenarios and the kinds of station?

use crate::anatomy::{self, Model};
use crate::case;
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, Source};
use crate::findings::{self, Findings};
use crate::lesion::{self, Severity};
use crate::station::{LEVELS, StationKind, Tells};
use crate::teaching;

/// What is wrong with the notes of a region.
#[derive(Default)]
pub struct Found {
    pub failures: Vec<Failure>,
    pub advice: Vec<Problem>,
    /// Files that were looked at.
    pub files: usize,
}

/// The notes of a region against its model.
pub fn of(
    content: &Content,
    model: &Model,
    families: &teaching::Families,
    kinds: &[StationKind],
) -> Found {
    let mut proof = Found::default();
    let approaches = teaching::approaches(content, model).unwrap_or_default();
    let mut plans: Vec<teaching::Plan> = Vec::new();
    for kind in kinds {
        for level in LEVELS {
            let slots = kind.plan.of(level).iter();
            plans.push(teaching::Plan {
                kind: kind.id.clone(),
                tells_place: matches!(kind.tells, Tells::Lesion | Tells::Pair),
                asks: slots.map(|s| (s.ask.clone(), s.marks)).collect(),
            });
        }
    }
    let sites: Vec<&str> = model.sites.iter().map(|s| s.id.as_str()).collect();
    let folder = format!("{}{}/", teaching::FOLDER, model.region);
    // What ships and does not depend on anything of the user's is sound; a test sees to it.
    let bare = content.all().all(|s| !s.overlaid);
    let deep = bare
        || content
            .under(&format!("anatomy/{}/", model.region))
            .any(|s| s.overlaid);
    let mine = |s: &Source| s.overlaid;
    let files: Vec<&Source> = content
        .under(&folder)
        .filter(|s| !s.is_extra() && (deep || mine(s)))
        .collect();
    proof.files = files.len();
    if files.is_empty() {
        return proof;
    }
    let vocabulary = teaching::Vocabulary::of(model);
    let claims = teaching::Claims::of(model);
    let complete = |site: &anatomy::Site| lesion::at(model, &site.id, Severity::Complete);
    let whole: Result<Vec<Findings>, Failure> = model
        .sites
        .iter()
        .map(|site| Ok(findings::derive(model, &complete(site)?, &[])))
        .collect();
    let whole = match whole {
        Ok(whole) => whole,
        Err(failure) => {
            proof.failures.push(failure);
            return proof;
        }
    };
    for source in files.iter().copied() {
        let notes = match teaching::read(model, source) {
            Ok(notes) => notes,
            Err(failure) => {
                proof.failures.push(failure);
                continue;
            }
        };
        // What is wrong with a scenario is told with the scenarios.
        let scenario = case::mechanism::of_site(content, &notes.site, &sites);
        let ways = scenario.ok().flatten().map_or_else(Vec::new, |s| {
            let ways = s.mechanisms.into_iter().map(|m| teaching::Way {
                id: m.id,
                days: m.since_days,
            });
            ways.collect()
        });
        let against = teaching::Against {
            families,
            vocabulary: &vocabulary,
            claims: &claims,
            whole: &whole,
            approaches: &approaches,
            plans: &plans,
            ways: &ways,
        };
        let problems = teaching::check(model, source, &notes, &against);
        match problems.is_empty() {
            true => {}
            false if bare || mine(source) => proof.failures.push(Failure::Content(problems)),
            // The user's anatomy is no mistake: the shipped notes do not fit it any more.
            false => proof.advice.extend(problems),
        }
    }
    proof
}

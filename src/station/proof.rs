//! Do the findings of a station lead back to its lesion and to no other, and which other must be accepted?

use super::build_cache::BuildCache;
use super::context::Context;
use super::draft::{Draft, Told};
use super::giveaway::forbidden;
use super::station::{Proof, ProofRow};
use super::told::{says, tellable};
use crate::anatomy::Structure;
use crate::diagnostic::Failure;
use crate::findings::{Finding, Findings};
use crate::lesion::{Severity, at};
use crate::localise::{self, Known, Observation, observations_of};
use crate::reasoning::phrase;
use crate::teaching::Notes;
use crate::wording::{article, capital};

/// Most findings told beyond those of the notes, so that the sheet stays short.
const MOST_ADDED: usize = 3;
/// Most lesions shown in the table of the proof.
const SHOWN: usize = 8;
/// A margin is told up to this many times.
const TOLD: f64 = 1000.0;

/// Proves the draft. Findings that are needed beyond those told are added to them.
///
/// # Errors
/// As reading the bank of the cache.
pub fn prove(cache: &BuildCache<'_>, draft: &mut Draft) -> Result<Proof, Failure> {
    let model = cache.model;
    let fixed = draft.fixed.clone();
    let belief = cache.belief_with(&fixed);
    let ctx = Context::new(model, &draft.case, draft.level);
    let words = forbidden(&ctx, draft.kind.tells, None);
    let given: Vec<Observation> = match &draft.told {
        Told::Findings(told) => observations_of(told.iter().filter_map(|s| ctx.found.get(*s))),
        // The lesion is named, or the candidate examines: every bedside finding is open to them.
        _ => observations_of(ctx.found.all().filter(|f| model.testable(f.structure))),
    };
    let known = Known {
        model,
        belief: &belief,
        lesion: &draft.case.lesion,
        findings: ctx.found,
        fixed: &fixed,
    };
    let tells = matches!(draft.told, Told::Findings(_));
    let usable =
        |f: &Finding| tells && ctx.shown(f) && says(&draft.notes, f) && tellable(&ctx, &words, f);
    let proof = localise::prove(
        &known,
        &given,
        if draft.authored() { 0 } else { MOST_ADDED },
        &usable,
    );
    let added: Vec<Structure> = proof.added.iter().map(|o| o.structure).collect();
    if let Told::Findings(told) = &mut draft.told {
        told.extend(added);
    }
    let label = |site: usize| {
        let whole = model
            .sites
            .get(site)
            .and_then(|s| at(model, &s.id, Severity::Complete).ok());
        whole.map(|l| phrase(&l)).unwrap_or_default()
    };
    // What these findings leave within the margin is an equal here, even if other findings would part it; but not what the teacher clears
    // by a finding that is at hand.
    let cleared = cleared(&draft.notes, ctx.found, &given);
    let equal = |(site, bits): &&(usize, f64)| {
        (*bits < localise::MARGIN_BITS || proof.equals.contains(site)) && !cleared.contains(site)
    };
    let equal_sites: Vec<usize> = proof
        .rivals
        .iter()
        .filter(equal)
        .map(|(site, _)| *site)
        .collect();
    let nearest = proof
        .rivals
        .iter()
        .find(|(site, _)| !equal_sites.contains(site));
    Ok(Proof {
        margin_bits: nearest.map_or(0.0, |(_, bits)| (bits * 10.0).round() / 10.0),
        times: nearest.map_or_else(String::new, |(_, bits)| times(*bits, TOLD)),
        runner_up: nearest.map_or_else(String::new, |(site, _)| article(&label(*site))),
        equals: equal_sites.iter().map(|s| label(*s)).collect(),
        equal_sites,
        table: proof
            .rivals
            .iter()
            .take(SHOWN)
            .map(|(site, bits)| ProofRow {
                lesion: capital(&label(*site)),
                bits: format!("{bits:.1}"),
                times: times(*bits, TOLD),
            })
            .collect(),
    })
}

/// The sites that the teacher clears by a finding that is kept and at hand: they are no equals, however near the figures bring them.
pub fn cleared(notes: &Notes, found: &Findings, given: &[Observation]) -> Vec<usize> {
    let kept = notes.negatives.iter().filter(|n| {
        let spared = found.get(n.finding).is_some_and(Finding::spared);
        spared && given.iter().any(|o| o.structure == n.finding)
    });
    kept.flat_map(|n| n.clears.iter().copied()).collect()
}

/// "8.9", "18", "more than 1000": how many times likelier so many bits make something; what is above `most` is not told apart.
pub fn times(bits: f64, most: f64) -> String {
    let ratio = bits.exp2();
    if ratio > most {
        format!("more than {most}")
    } else if ratio >= 10.0 {
        format!("{ratio:.0}")
    } else {
        format!("{ratio:.1}")
    }
}

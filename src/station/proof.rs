//! Turns what the candidate is told into the proof that it leads back to the lesion, told further findings where it must be.

use super::Proof;
use super::context::Context;
use super::english::{article, capital};
use super::rivals::phrase;
use crate::findings::Finding;
use crate::lesion::{Severity, at};
use crate::localise::{self, Belief, Known, Observation, observations_of};

/// Most findings told beyond those chosen for their wording, so that the sheet stays short.
const MOST_ADDED: usize = 3;
/// More findings than these are told only where the proof needs them.
const MOST_TOLD: usize = 13;
/// Most lesions shown in the table of the proof.
const SHOWN: usize = 8;

/// Proves the station. Findings that were needed beyond `ctx.told` are added there; the rivals are put in the order of how near they come.
///
/// `told`: the candidate is told findings; otherwise every bedside finding is open to him, because the lesion is named.
pub fn prove(
    ctx: &mut Context<'_>,
    belief: &Belief,
    told: bool,
    usable: &dyn Fn(&Finding) -> bool,
) -> Proof {
    let lesion = &ctx.case.lesion;
    let given: Vec<Observation> = if told {
        observations_of(&ctx.told)
    } else {
        let bedside = |f: &&Finding| localise::reliable(ctx.model, f.structure);
        observations_of(ctx.found.all().filter(bedside))
    };
    let known = Known {
        model: ctx.model,
        belief,
        lesion,
        findings: ctx.found,
        fixed: ctx.fixed,
    };
    let proof = localise::prove(&known, &given, MOST_ADDED, usable);
    for o in &proof.added {
        if let (true, Some(f)) = (told, ctx.found.get(o.structure)) {
            ctx.told.push(*f);
        }
    }
    if told {
        shorten(ctx, belief, &proof);
    }
    ctx.rivals.reorder(&proof.rivals);
    let label = |site: usize| {
        ctx.model
            .sites
            .get(site)
            .and_then(|s| at(ctx.model, &s.id, Severity::Complete).ok())
            .map(|l| phrase(&l))
            .unwrap_or_default()
    };
    // What these findings leave within the margin is an equal here, even if other findings would part it.
    let equals: Vec<usize> = proof
        .rivals
        .iter()
        .filter(|(site, bits)| *bits < localise::MARGIN_BITS || proof.equals.contains(site))
        .map(|(site, _)| *site)
        .collect();
    let nearest = proof.rivals.iter().find(|(site, _)| !equals.contains(site));
    Proof {
        margin_bits: nearest.map_or(0.0, |(_, bits)| (bits * 10.0).round() / 10.0),
        times: nearest.map_or_else(String::new, |(_, bits)| times(*bits)),
        runner_up: nearest.map_or_else(String::new, |(site, _)| article(&label(*site))),
        equals: equals.iter().map(|s| label(*s)).collect(),
        added: proof.added.len(),
        table: proof
            .rivals
            .iter()
            .take(SHOWN)
            .map(|(site, bits)| super::ProofRow {
                lesion: capital(&label(*site)),
                bits: format!("{bits:.1}"),
                times: times(*bits),
            })
            .collect(),
    }
}

/// Takes normal findings back that the proof does not need, while more are told than can be read in time.
fn shorten(ctx: &mut Context<'_>, belief: &Belief, proof: &localise::Proof) {
    let known = Known {
        model: ctx.model,
        belief,
        lesion: &ctx.case.lesion,
        findings: ctx.found,
        fixed: ctx.fixed,
    };
    let apart = |p: &localise::Proof| {
        p.rivals
            .iter()
            .filter(|(_, bits)| *bits >= localise::MARGIN_BITS)
            .count()
    };
    while ctx.told.len() > MOST_TOLD {
        let spare = (0..ctx.told.len())
            .rev()
            .filter(|&i| ctx.told[i].spared())
            .find(|&i| {
                let mut fewer = ctx.told.clone();
                fewer.remove(i);
                let given = observations_of(&fewer);
                let then = localise::prove(&known, &given, 0, &|_| false);
                apart(&then) >= apart(proof)
            });
        match spare {
            Some(i) => ctx.told.remove(i),
            None => return,
        };
    }
}

/// "18", "more than 1000": how many times likelier the lesion makes the findings than the other.
fn times(bits: f64) -> String {
    let ratio = bits.exp2();
    if ratio > 1000.0 {
        "more than 1000".to_string()
    } else if ratio >= 10.0 {
        format!("{ratio:.0}")
    } else {
        format!("{ratio:.1}")
    }
}

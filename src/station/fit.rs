//! Turns a kind and a case into the view that the kind needs, and into whether the two suit each other.

use super::approach::{Approach, Sort};
use super::branches;
use super::context::Context;
use super::english::article;
use super::examination;
use super::kind::{StationKind, Tells};
use super::parts::Parts;
use super::rivals::phrase;
use crate::anatomy::Model;
use crate::case::{Age, Case, Stream};
use crate::diagnostic::{Failure, Problem};
use crate::findings::{Fixed, derive};
use crate::lesion::{Severity, at};

/// The case without its patient, for kinds that only suppose a lesion: whole, unless another severity was asked for, in a grown person
/// whom nobody meets.
pub fn bare(model: &Model, case: &Case, asked: Option<&str>, fixed: &[Fixed]) -> Case {
    let mut bare = case.clone();
    bare.patient.age = Age::Years(40);
    bare.also_damaged.clear();
    bare.causes.clear();
    bare.care.clear();
    bare.setting.clear();
    bare.story.clear();
    bare.stem_note.clear();
    bare.examiner_note.clear();
    let chosen = asked.is_some_and(|a| a.contains(['@', '+']));
    if let ([part], false) = (case.lesion.parts.as_slice(), chosen)
        && let Ok(whole) = at(model, &part.place, Severity::Complete)
    {
        bare.findings = derive(model, &whole, fixed);
        bare.lesion = whole;
    }
    bare
}

/// Adds to the view what the kind needs, with the facts and conditions that go with it. May be called again after the rivals have
/// changed their order.
pub fn furnish(ctx: &mut Context<'_>, kind: &StationKind, bank: &[Approach], seed: u64) {
    ctx.care.clone_from(&kind.care);
    ctx.rival = examination::nearest(ctx);
    ctx.tests = match kind.tells {
        Tells::Complaint => examination::tests(ctx),
        _ => Vec::new(),
    };
    let here: Vec<&Approach> = match ctx.case.lesion.parts.as_slice() {
        [part] => bank.iter().filter(|a| a.site == part.place).collect(),
        _ => Vec::new(),
    };
    ctx.approach = Stream::new(seed, "station/approach")
        .pick(&here)
        .map(|a| (*a).clone());
    let mut known: Vec<(&'static str, String)> = Vec::new();
    let mut holds: Vec<&'static str> = Vec::new();
    if let Some(rival) = &ctx.rival {
        let own = article(&own_label(ctx));
        let other = article(&rival.label);
        known.push(("rival", rival.label.clone()));
        known.push(("a_rival", other.clone()));
        ctx.pair = if Stream::new(seed, "station/pair").below(2) == 0 {
            vec![own, other]
        } else {
            vec![other, own]
        };
        if let [one, two] = ctx.pair.as_slice() {
            known.push(("one", one.clone()));
            known.push(("two", two.clone()));
        }
        holds.push("rival");
    }
    if !ctx.tests.is_empty() {
        holds.push("tests");
    }
    // A nerve whose every branch varies leaves nothing to mark in a drawing.
    if let Some(nerve) = branches::nerve_of(ctx).filter(|_| !branches::level_items(ctx).is_empty())
    {
        holds.push("one_nerve");
        known.push(("whole_nerve", nerve.label.clone()));
        known.push(("nerve_from", branches::origin(ctx.model, nerve)));
    }
    if let Some(a) = &ctx.approach {
        holds.push("at_risk");
        holds.push(match a.sort {
            Sort::Operation => "operation",
            Sort::Fracture => "fracture",
        });
        known.push(("approach", a.told.clone()));
        known.push(("danger_place", a.place.clone()));
        known.push(("relation", a.relation.clone()));
    }
    ctx.facts.known.extend(known);
    for word in holds {
        if !ctx.facts.holds.contains(&word) {
            ctx.facts.holds.push(word);
        }
    }
}

/// The lesion without its severity: a pair must not differ by how it is put.
fn own_label(ctx: &Context<'_>) -> String {
    match ctx.case.lesion.parts.as_slice() {
        [part] => at(ctx.model, &part.place, Severity::Complete)
            .map_or_else(|_| phrase(&ctx.case.lesion), |whole| phrase(&whole)),
        _ => phrase(&ctx.case.lesion),
    }
}

/// What the sheets print of it.
pub fn parts(ctx: &Context<'_>, kind: &StationKind) -> Parts {
    let mut parts = Parts::default();
    match kind.tells {
        Tells::Findings | Tells::Lesion => {}
        Tells::Complaint => parts.tests = examination::rows(ctx),
        Tells::Pair => {
            parts.deciders = examination::deciders(ctx);
            parts.pair.clone_from(&ctx.pair);
            parts.rival = ctx.facts.get("a_rival").unwrap_or_default();
        }
        Tells::Nerve => parts.nerve = branches::info(ctx),
        Tells::Approach => parts.approach.clone_from(&ctx.approach),
    }
    parts
}

/// Ends the message of [`unfit`].
const UNFIT: &str = "can be made of it";

/// A station failed only because its kind does not suit its place, which is no mistake of anybody's.
pub fn is_unfit(failure: &Failure) -> bool {
    failure
        .problems()
        .iter()
        .all(|p| p.message.ends_with(UNFIT))
}

/// Why a kind that was asked for by name cannot be had for this case.
pub fn unfit(case: &Case, kind: &StationKind) -> Failure {
    Failure::content(
        Problem::new(format!(
            "{}: no station of the kind \u{201c}{}\u{201d} {UNFIT}",
            case.lesion.sentence(),
            kind.label
        ))
        .hint(if kind.unfit.is_empty() {
            "choose another kind, site or seed, or leave --kind out".to_string()
        } else {
            kind.unfit.clone()
        }),
    )
}

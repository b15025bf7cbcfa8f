//! Turns a lesion and its rivals into the examination: which tests, in which order, what each shows and what that means.

use super::Observation;
use super::context::Context;
use super::english::{article, list};
use super::giveaway::Words;
use super::observe::{choose, observation};
use super::parts::{Decider, TestRow};
use super::rivals::{Difference, Rival, bedside, decisive};
use super::select::Item;
use super::structure::{nameable, structure};
use crate::findings::{Finding, Kind};
use crate::localise;

/// One test with the rivals that its result rules out and that none before it did.
#[derive(Debug, Clone)]
pub struct Test {
    pub finding: Finding,
    pub against: Vec<String>,
}

/// Places that are named beside a test; the rest is counted.
const NAMED: usize = 2;

/// Can be shown to an examiner on this patient and decides something.
fn usable(ctx: &Context<'_>, f: &Finding) -> bool {
    nameable(ctx, f)
        && bedside(ctx.model, f)
        && localise::reliable(ctx.model, f.structure)
        // That a sign is absent is seen in passing; it is no test to plan.
        && !(f.kind() == Kind::Sign && f.spared())
}

/// The shortest examination that tells the lesion from every rival that can be told apart at all. First comes the test that removes
/// the most doubt: the rivals it rules out, the nearest counting most.
pub fn tests(ctx: &Context<'_>) -> Vec<Test> {
    let rivals: Vec<&Rival> = ctx.rivals.apart.iter().collect();
    let theirs: Vec<_> = rivals.iter().map(|r| &r.findings).collect();
    let (mut left, _) =
        localise::battery_against(ctx.model, ctx.found, &theirs, &|f| usable(ctx, f));
    // An examination that leaves out the main loss, of power or of sensation, convinces nobody.
    for (source, kinds) in [
        ("muscles_lost", &[Kind::Muscle, Kind::Movement][..]),
        ("skin_lost", &[Kind::Skin][..]),
    ] {
        let has = left
            .iter()
            .any(|f| f.affected() && kinds.contains(&f.kind()));
        let main = super::select::select(source, ctx);
        let main = main
            .iter()
            .filter_map(|i| i.finding)
            .find(|f| usable(ctx, f));
        if let (false, Some(f)) = (has, main) {
            left.push(f);
        }
    }
    let mut open: Vec<&Rival> = rivals;
    let mut all = Vec::new();
    while !left.is_empty() {
        let worth = |f: &Finding| -> f64 {
            let out = open.iter().filter(|r| rules_out(f, r));
            out.map(|r| (1.1 - r.distance).max(0.05)).sum()
        };
        // Among equals the first, so that the order of the battery decides; loss before normality.
        let mut best = 0;
        for (i, f) in left.iter().enumerate().skip(1) {
            let lead = left.get(best).map_or(0.0, &worth);
            if worth(f) > lead + 1e-9 {
                best = i;
            }
        }
        let finding = left.remove(best);
        let (out, rest): (Vec<&Rival>, Vec<&Rival>) =
            open.into_iter().partition(|r| rules_out(&finding, r));
        open = rest;
        let mut against: Vec<String> = out.iter().map(|r| article(&r.label)).collect();
        against.dedup();
        all.push(Test { finding, against });
    }
    all
}

fn rules_out(f: &Finding, rival: &Rival) -> bool {
    let there = rival.findings.get(f.structure);
    there.is_some_and(|t| decisive(f, t))
}

/// The tests as expected points.
pub fn items(ctx: &Context<'_>) -> Vec<Item> {
    ctx.tests
        .iter()
        .map(|t| {
            let mut item = structure(ctx, &t.finding);
            if let Some(nearest) = t.against.first() {
                item.fields.insert("against", nearest.clone());
            }
            item
        })
        .collect()
}

fn named(against: &[String]) -> String {
    list(&against.iter().take(NAMED).collect::<Vec<_>>())
}

pub fn rows(ctx: &Context<'_>) -> Vec<TestRow> {
    ctx.tests
        .iter()
        .map(|t| {
            let f = &t.finding;
            let item = structure(ctx, f);
            TestRow {
                kind: f.kind().word().to_string(),
                label: field(&item, "label"),
                how: how(&item),
                state: f.word().to_string(),
                power: f.kind().motor().then_some(f.power),
                against: named(&t.against),
                more: t.against.len().saturating_sub(NAMED),
                felt: false,
                about: *f,
            }
        })
        .collect()
}

fn field(item: &Item, name: &str) -> String {
    item.fields.get(name).cloned().unwrap_or_default()
}

/// The order, the look, or the smallest patch of skin.
fn how(item: &Item) -> String {
    ["test", "autonomous", "where"]
        .iter()
        .find_map(|name| item.fields.get(name).cloned())
        .unwrap_or_default()
}

/// The nearest rival that a bedside finding tells apart. One that has nothing in common comes last.
pub fn nearest(ctx: &Context<'_>) -> Option<Rival> {
    let apart = &ctx.rivals.apart;
    let (near, far): (Vec<&Rival>, Vec<&Rival>) = apart.iter().partition(|r| r.distance < 0.999);
    near.into_iter()
        .chain(far)
        .find(|r| r.differs.iter().any(|d| usable(ctx, &d.here)))
        .cloned()
}

/// What tells the lesion from its rival: what only this lesion affects and what only the other does in turn, the best of each first.
fn differences(ctx: &Context<'_>) -> Vec<Difference> {
    let all = ctx.rival.as_ref().map(|r| r.differs.as_slice());
    let usable: Vec<&Difference> = all
        .unwrap_or_default()
        .iter()
        .filter(|d| usable(ctx, &d.here))
        .collect();
    let mut seen: Vec<(Kind, String)> = Vec::new();
    let mut ordered = Vec::new();
    // One of each kind before a second of any: five muscles of one branch are one argument.
    for round in 0..usable.len() {
        for d in &usable {
            let label = d.here.label(ctx.model).to_string();
            let same = seen.iter().filter(|(k, _)| *k == d.here.kind()).count();
            if same == round && !seen.iter().any(|(_, l)| *l == label) {
                seen.push((d.here.kind(), label));
                ordered.push(**d);
            }
        }
    }
    ordered
}

/// The same as expected points.
pub fn decider_items(ctx: &Context<'_>) -> Vec<Item> {
    differences(ctx)
        .iter()
        .map(|d| {
            let mut item = structure(ctx, &d.here);
            item.fields.insert("there", d.there.word().to_string());
            item
        })
        .collect()
}

pub fn deciders(ctx: &Context<'_>) -> Vec<Decider> {
    const MOST: usize = 8;
    differences(ctx)
        .iter()
        .take(MOST)
        .map(|d| {
            let item = structure(ctx, &d.here);
            Decider {
                kind: d.here.kind().word().to_string(),
                label: field(&item, "label"),
                how: how(&item),
                here: d.here.word().to_string(),
                there: d.there.word().to_string(),
                reason: field(&item, "reason"),
                felt: false,
                about: d.here,
            }
        })
        .collect()
}

/// What both lesions affect: it says that one of the two is there, and not which.
pub fn shared_items(ctx: &Context<'_>) -> Vec<Item> {
    let Some(rival) = &ctx.rival else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for source in ["movements_lost", "skin_lost", "reflexes_changed"] {
        let both = super::select::select(source, ctx).into_iter().filter(|i| {
            i.finding.is_some_and(|f| {
                let there = rival.findings.get(f.structure);
                there.is_some_and(Finding::affected) && usable(ctx, &f)
            })
        });
        all.extend(both);
    }
    all
}

/// What the patient complains of, in plain words: the weakest movement and the numbest skin, nothing that was tested.
pub fn complaint(ctx: &Context<'_>, words: &Words) -> Vec<Observation> {
    let found = choose(ctx, words);
    let first = |kind: Kind| found.iter().find(|f| f.kind() == kind && f.affected());
    [
        (Kind::Movement, "complains_weak"),
        (Kind::Skin, "complains_numb"),
    ]
    .into_iter()
    .filter_map(|(kind, group)| {
        let told = observation(ctx, first(kind)?);
        Some(Observation {
            group: group.to_string(),
            power: None,
            ..told
        })
    })
    .collect()
}

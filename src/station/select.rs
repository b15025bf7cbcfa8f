//! Turns the findings into candidates for expected points: each source is a pure choice over model, findings and rivals.

use super::branches;
use super::context::Context;
use super::english::{article, list, small};
use super::examination;
use super::facts::{named_segments, root_shares};
use super::rivals::{Difference, Rival, bedside};
use super::structure::{key, nameable, shown, structure};
use crate::anatomy::{Model, SegmentKind, SegmentSet};
use crate::findings::{Finding, Kind, Structure};
use std::collections::BTreeMap;

/// One thing an answer may hold: its fields for the wording, and the finding it is about.
#[derive(Debug, Clone, Default)]
pub struct Item {
    pub fields: BTreeMap<&'static str, String>,
    pub finding: Option<Finding>,
    pub source: String,
}

type Select = fn(&Context<'_>) -> Vec<Item>;

const STRUCTURE: &[&str] = &[
    "label",
    "state",
    "reason",
    "nerve",
    "action",
    "test",
    "part",
    "power",
    "roots",
    "command",
    "muscles",
    "autonomous",
    "look",
    "plain",
    "where",
    "key",
    "against",
    "there",
];
const RIVAL: &[&str] = &[
    "label", "a_label", "finding", "here", "there", "reason", "test",
];
const LABEL: &[&str] = &["label", "key"];
const ROOTS: &[&str] = &["label", "roots", "main", "action"];

/// The sources a family may name, with their fields.
pub const SOURCES: &[(&str, &[&str])] = &[
    ("said", &[]),
    ("lesion_nerve", LABEL),
    ("lesion_level", LABEL),
    ("muscles_lost", STRUCTURE),
    ("muscles_spared_near", STRUCTURE),
    ("movements_lost", STRUCTURE),
    ("movements_spared", STRUCTURE),
    ("skin_lost", STRUCTURE),
    ("skin_spared", STRUCTURE),
    ("reflexes_changed", STRUCTURE),
    ("reflexes_kept", STRUCTURE),
    ("signs_shown", STRUCTURE),
    ("clue_affected", STRUCTURE),
    ("clue_spared", STRUCTURE),
    ("rivals", RIVAL),
    ("roots_of_muscle", ROOTS),
    ("course", LABEL),
    ("formed_by", LABEL),
    ("gives", LABEL),
    ("care", LABEL),
    ("examination", STRUCTURE),
    ("deciders", STRUCTURE),
    ("shared", STRUCTURE),
    ("nerve_origin", LABEL),
    ("nerve_levels", &["label", "key", "level", "branches"]),
    ("nerve_muscles", &["label", "key", "action", "test"]),
    ("relation", LABEL),
    ("danger_place", LABEL),
    ("protect", LABEL),
];

pub fn fields_of(source: &str) -> Option<&'static [&'static str]> {
    SOURCES.iter().find(|(n, _)| *n == source).map(|(_, f)| *f)
}

/// All items of a source, best first. An unknown source gives none (the family's check has refused it).
pub fn select(source: &str, ctx: &Context<'_>) -> Vec<Item> {
    let choose: Select = match source {
        "said" => |_| vec![Item::default()],
        "lesion_nerve" => |c| facts(c, "nerve"),
        "lesion_level" => |c| facts(c, "level"),
        "muscles_lost" => |c| affected(c, Kind::Muscle),
        "muscles_spared_near" => muscles_spared_near,
        "movements_lost" => |c| affected(c, Kind::Movement),
        "movements_spared" => |c| spared_by_use(c, Kind::Movement),
        "skin_lost" => |c| affected(c, Kind::Skin),
        "skin_spared" => |c| spared_by_use(c, Kind::Skin),
        "reflexes_changed" => |c| affected(c, Kind::Reflex),
        "reflexes_kept" => |c| spared_by_use(c, Kind::Reflex),
        "signs_shown" => |c| affected(c, Kind::Sign),
        "clue_affected" => |c| clues(c, true),
        "clue_spared" => |c| clues(c, false),
        "rivals" => rivals,
        "roots_of_muscle" => roots_of_muscle,
        "course" => course,
        "formed_by" => |c| plexus_only(c, "origin"),
        "gives" => |c| plexus_only(c, "destination"),
        "care" => care,
        "examination" => examination::items,
        "deciders" => examination::decider_items,
        "shared" => examination::shared_items,
        "nerve_origin" => branches::origin_items,
        "nerve_levels" => branches::level_items,
        "nerve_muscles" => branches::muscle_items,
        "relation" => |c| facts(c, "relation"),
        "danger_place" => |c| facts(c, "danger_place"),
        "protect" => protect,
        _ => |_| Vec::new(),
    };
    choose(ctx)
}

fn label_item(label: &str) -> Item {
    Item {
        fields: BTreeMap::from([("label", label.to_string()), ("key", key(label, ""))]),
        ..Item::default()
    }
}

fn facts(ctx: &Context<'_>, name: &str) -> Vec<Item> {
    ctx.facts.get(name).iter().map(|l| label_item(l)).collect()
}

/// What is affected for certain, the surest and weakest first, each adding something to those before it.
fn affected(ctx: &Context<'_>, kind: Kind) -> Vec<Item> {
    let mut all: Vec<&Finding> = ctx
        .found
        .of(kind)
        .iter()
        .filter(|f| f.affected() && shown(ctx, f))
        .collect();
    all.sort_by(|a, b| rank(ctx.model, a).total_cmp(&rank(ctx.model, b)));
    all.into_iter().map(|f| structure(ctx, f)).collect()
}

/// Smaller is better: weak before slightly weak, easily tested before hardly tested, certain before likely.
fn rank(model: &Model, f: &Finding) -> f64 {
    let ease = match f.kind() {
        Kind::Muscle => {
            let main = model.movements.iter().map(|m| {
                let own = m.shares.iter().find(|(ix, _)| *ix == f.structure.position);
                own.map_or(0.0, |(_, s)| *s)
            });
            // A muscle that carries much of some movement is easy to test.
            -2.0 * main.fold(0.0, f64::max)
        }
        _ => 0.0,
    };
    f64::from(f.power) + ease - 3.0 * f.probability
}

/// Spared structures, those first that tell the nearest rivals apart.
fn spared_by_use(ctx: &Context<'_>, kind: Kind) -> Vec<Item> {
    let mut seen: Vec<Structure> = Vec::new();
    for rival in ctx.rivals.apart.iter().take(8) {
        for d in &rival.differs {
            if d.here.kind() == kind
                && d.here.spared()
                && nameable(ctx, &d.here)
                && !seen.contains(&d.here.structure)
            {
                seen.push(d.here.structure);
                break;
            }
        }
    }
    seen.iter()
        .filter_map(|&s| ctx.found.get(s))
        .map(|f| structure(ctx, f))
        .collect()
}

/// The findings that settle it: for each near rival the best one of that sort, without repeats.
fn clues(ctx: &Context<'_>, affected: bool) -> Vec<Item> {
    let mut seen: Vec<Structure> = Vec::new();
    let mut items = Vec::new();
    for rival in ctx.rivals.apart.iter().take(6) {
        let best = rival.differs.iter().find(|d| {
            d.here.affected() == affected
                && nameable(ctx, &d.here)
                // A sign that is absent spares nothing.
                && (affected || d.here.kind() != Kind::Sign)
                && ctx.was_told(&d.here)
        });
        if let Some(d) = best
            && !seen.contains(&d.here.structure)
        {
            seen.push(d.here.structure);
            let mut item = structure(ctx, &d.here);
            item.fields.insert("against", article(&rival.label));
            items.push(item);
        }
    }
    items
}

/// Spared muscles whose fibres share most of the way with those that are cut: the branches just above the lesion first.
fn muscles_spared_near(ctx: &Context<'_>) -> Vec<Item> {
    let model = ctx.model;
    let nerves_only = named_segments(model, ctx.case)
        .iter()
        .filter_map(|&s| model.segments.get(s))
        .all(|s| s.kind == SegmentKind::Nerve);
    let mut way = SegmentSet::default();
    let skin =
        ctx.found.skin.iter().filter_map(|f| {
            (f.affected()).then(|| model.skin_area(f.structure).map(|s| &s.supply))?
        });
    let muscles =
        ctx.found.muscles.iter().filter_map(|f| {
            (f.affected()).then(|| model.muscle(f.structure).map(|m| &m.supply))?
        });
    for fibres in skin.chain(muscles).flat_map(|s| s.usual()) {
        if fibres.path.meets(&ctx.case.lesion.set) {
            way = way.union(&fibres.path);
        }
    }
    let wanted: Vec<usize> = way
        .iter()
        .filter(|&s| {
            model
                .segments
                .get(s)
                .is_some_and(|seg| !nerves_only || seg.kind == SegmentKind::Nerve)
        })
        .collect();
    let mut near: Vec<(f64, &Finding)> = Vec::new();
    for f in ctx
        .found
        .muscles
        .iter()
        .filter(|f| f.spared() && shown(ctx, f))
    {
        let Some(m) = model.muscle(f.structure) else {
            continue;
        };
        let common: f64 = m
            .supply
            .usual()
            .iter()
            .map(|fib| fib.weight * wanted.iter().filter(|&&s| fib.path.contains(s)).count() as f64)
            .sum();
        if common > 0.5 {
            near.push((common - 0.5 * rank(model, f).max(-2.0) / 10.0, f));
        }
    }
    near.sort_by(|a, b| b.0.total_cmp(&a.0));
    // Heads of one muscle, or muscles with one reason, say the same thing: take the first of each reason.
    let mut reasons: Vec<String> = Vec::new();
    let mut items = Vec::new();
    for (_, f) in near {
        let item = structure(ctx, f);
        let reason = item.fields.get("reason").cloned().unwrap_or_default();
        if !reasons.contains(&reason) {
            reasons.push(reason);
            items.push(item);
        }
    }
    items
}

/// One item for each near rival, with the finding that tells it apart.
fn rivals(ctx: &Context<'_>) -> Vec<Item> {
    ctx.rivals
        .apart
        .iter()
        .filter(|r| r.distance < 0.999)
        .filter_map(|r| best_difference(ctx, r).map(|d| (r, d)))
        .map(|(r, d)| {
            let about = structure(ctx, &d.here);
            let get = |name: &str| about.fields.get(name).cloned().unwrap_or_default();
            Item {
                fields: BTreeMap::from([
                    ("label", r.label.clone()),
                    ("a_label", article(&r.label)),
                    ("finding", get("label")),
                    ("here", d.here.word().to_string()),
                    ("there", d.there.word().to_string()),
                    ("reason", get("reason")),
                    ("test", get("test")),
                ]),
                finding: Some(d.here),
                source: about.source,
            }
        })
        .collect()
}

/// The best bedside finding against a rival that can be named at all.
pub fn best_difference<'r>(ctx: &Context<'_>, rival: &'r Rival) -> Option<&'r Difference> {
    rival.differs.iter().find(|d| {
        bedside(ctx.model, &d.here)
            && (nameable(ctx, &d.here) || d.here.kind() == Kind::Skin && !ctx.newborn)
    })
}

fn roots_of_muscle(ctx: &Context<'_>) -> Vec<Item> {
    let Some(muscle) = ctx.facts.get("muscle") else {
        return Vec::new();
    };
    let model = ctx.model;
    let found = model
        .structures(Kind::Muscle)
        .find(|&s| small(model.label(s)) == muscle);
    found
        .and_then(|s| Some((s, model.muscle(s)?)))
        .map(|(s, m)| {
            let shares = root_shares(model, s);
            // A root below a fifth of the fibres is not asked for.
            let mut names: Vec<&str> = shares
                .iter()
                .filter(|(_, w)| *w >= 0.2)
                .map(|(r, _)| r.as_str())
                .collect();
            names.sort_unstable();
            let mut fields = BTreeMap::from([
                ("label", list(&names)),
                ("roots", list(&names)),
                ("action", m.action.clone()),
            ]);
            // "chiefly" needs company.
            if let (true, Some((main, _))) = (names.len() > 1, shares.first()) {
                fields.insert("main", main.clone());
            }
            vec![Item {
                fields,
                finding: None,
                source: m.source.clone(),
            }]
        })
        .unwrap_or_default()
}

fn course(ctx: &Context<'_>) -> Vec<Item> {
    let mut items = Vec::new();
    for nerve in ctx.course_of_lesion() {
        for step in &nerve.course {
            let mut item = label_item(step);
            // The question has named the nerve: its name is no help.
            item.fields.insert("key", key(step, &nerve.label));
            item.source.clone_from(&nerve.source);
            items.push(item);
        }
    }
    items
}

fn plexus_only(ctx: &Context<'_>, fact: &str) -> Vec<Item> {
    if ctx.course_of_lesion().is_empty() {
        facts(ctx, fact)
    } else {
        Vec::new()
    }
}

fn protect(ctx: &Context<'_>) -> Vec<Item> {
    let steps = ctx.approach.as_ref().map(|a| a.protect.as_slice());
    steps
        .unwrap_or_default()
        .iter()
        .map(|s| label_item(s))
        .collect()
}

fn care(ctx: &Context<'_>) -> Vec<Item> {
    ctx.care().iter().map(|step| label_item(step)).collect()
}

//! Turns one nerve of the model into its levels, with the branches that leave at each, and into expected points.

use super::context::Context;
use super::english::list;
use super::parts::{NerveInfo, NerveLevel};
use super::select::Item;
use super::structure::{key, muscle_label};
use crate::anatomy::{Fibres, Model, Nerve, SegmentIx, Supply};
use std::collections::BTreeMap;

/// The one nerve of the lesion; `None` for roots, trunks, cords and for more than one nerve.
pub fn nerve_of<'a>(ctx: &Context<'a>) -> Option<&'a Nerve> {
    match ctx.course_of_lesion().as_slice() {
        [one] if ctx.facts.holds.contains(&"nerve") => Some(one),
        _ => None,
    }
}

pub fn info(ctx: &Context<'_>) -> Option<NerveInfo> {
    let nerve = nerve_of(ctx)?;
    Some(NerveInfo {
        label: nerve.label.clone(),
        label_capital: super::english::capital(&nerve.label),
        from: origin(ctx.model, nerve),
        levels: levels(ctx.model, nerve),
    })
}

/// What the nerve comes from.
pub fn origin(model: &Model, nerve: &Nerve) -> String {
    let first = nerve.segments.first().and_then(|&s| model.segments.get(s));
    let mut from: Vec<&str> = first
        .iter()
        .flat_map(|s| &s.from)
        .filter_map(|&f| model.segments.get(f))
        .filter(|s| !s.only_in_variant)
        .map(|s| s.nerve_label.as_str())
        .collect();
    from.dedup();
    list(&from)
}

/// The nerve gives off the branch in every limb, though perhaps not at the same level.
fn always(supply: &Supply, nerve: &Nerve) -> bool {
    let own = |row: &Vec<Fibres>| row.iter().any(|f| nerve.segments.contains(&f.leaves));
    supply.table.iter().all(own)
}

fn leaves(row: &[Fibres], segment: SegmentIx) -> bool {
    row.iter().any(|f| f.leaves == segment)
}

/// What leaves at one level: twigs to muscles and skin, or a named nerve beside them.
struct Row {
    level: String,
    sure: Vec<String>,
    open: Vec<String>,
    nerve: bool,
}

/// Twigs of one level are one row, in no order among themselves; a nerve that springs from among them is a step of its own.
fn levels(model: &Model, nerve: &Nerve) -> Vec<NerveLevel> {
    let mut all: Vec<Row> = Vec::new();
    for &s in &nerve.segments {
        let Some(segment) = model.segments.get(s) else {
            continue;
        };
        let (mut sure, mut open) = (Vec::new(), Vec::new());
        let mut add = |supply: &Supply, label: String| {
            // A branch whose level varies stands at its usual level.
            if always(supply, nerve) && leaves(supply.usual(), s) {
                sure.push(label);
            } else if supply.table.iter().any(|row| leaves(row, s)) {
                open.push(label);
            }
        };
        for m in &model.muscles {
            add(&m.supply, muscle_label(&m.label));
        }
        let peripheral = |k| k == crate::anatomy::SkinKind::Peripheral;
        for area in model.skin.iter().filter(|a| peripheral(a.kind)) {
            add(&area.supply, format!("skin of {}", area.region));
        }
        let mut nerves: Vec<String> = Vec::new();
        for child in &model.segments {
            let own = child.nerve != nerve.id && child.from.contains(&s);
            if own && !child.only_in_variant && !nerves.contains(&child.nerve_label) {
                nerves.push(child.nerve_label.clone());
            }
        }
        let mut extend = |sure: Vec<String>, open: Vec<String>, nerve: bool| {
            let same = |r: &&mut Row| r.level == segment.level && r.nerve == nerve;
            match all.iter_mut().find(same) {
                Some(row) => {
                    row.sure.extend(sure);
                    row.open.extend(open);
                }
                None => all.push(Row {
                    level: segment.level.clone(),
                    sure,
                    open,
                    nerve,
                }),
            }
        };
        // Where the nerve ends, what continues it stands with its last twigs.
        if nerve.segments.last() == Some(&s) {
            sure.append(&mut nerves);
        }
        if nerves.is_empty() || !sure.is_empty() {
            extend(sure, std::mem::take(&mut open), false);
        }
        if !nerves.is_empty() {
            extend(nerves, open, true);
        }
    }
    all.into_iter()
        .map(|mut row| {
            // Higher up on the same level is no other level.
            row.open.retain(|label| !row.sure.contains(label));
            NerveLevel {
                level: row.level,
                branches: list(&row.sure),
                open: list(&row.open),
            }
        })
        .collect()
}

/// The levels at which something leaves in every limb, from above downwards.
pub fn level_items(ctx: &Context<'_>) -> Vec<Item> {
    let Some(nerve) = nerve_of(ctx) else {
        return Vec::new();
    };
    levels(ctx.model, nerve)
        .into_iter()
        .filter(|l| !l.branches.is_empty())
        .map(|l| Item {
            fields: BTreeMap::from([
                ("label", format!("{} {}", l.level, l.branches)),
                ("key", key(&l.branches, &nerve.label)),
                ("level", l.level),
                ("branches", l.branches),
            ]),
            finding: None,
            source: nerve.source.clone(),
        })
        .collect()
}

/// The muscles that the nerve reaches by a branch of its own, the easiest to test first.
pub fn muscle_items(ctx: &Context<'_>) -> Vec<Item> {
    let Some(nerve) = nerve_of(ctx) else {
        return Vec::new();
    };
    let own = |supply: &Supply| always(supply, nerve);
    let mut found: Vec<_> = ctx
        .model
        .muscles
        .iter()
        .filter(|m| own(&m.supply) && m.testable)
        .collect();
    found.sort_by(|a, b| b.isolation.total_cmp(&a.isolation));
    found
        .into_iter()
        .map(|m| {
            let label = muscle_label(&m.label);
            Item {
                fields: BTreeMap::from([
                    ("key", key(&label, "")),
                    ("label", label),
                    ("action", m.action.clone()),
                    ("test", m.test.clone()),
                ]),
                finding: None,
                source: m.source.clone(),
            }
        })
        .collect()
}

/// What the nerve comes from, as one point.
pub fn origin_items(ctx: &Context<'_>) -> Vec<Item> {
    let Some(nerve) = nerve_of(ctx) else {
        return Vec::new();
    };
    let from = origin(ctx.model, nerve);
    if from.is_empty() {
        return Vec::new();
    }
    vec![Item {
        fields: BTreeMap::from([("key", key(&from, "")), ("label", from)]),
        finding: None,
        source: nerve.source.clone(),
    }]
}

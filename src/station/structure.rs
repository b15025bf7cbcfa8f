//! Turns one finding into the fields that a wording may use: names, how it is tested, its state and its reason.

use super::context::Context;
use super::english::{list, small};
use super::facts::root_shares;
use super::rivals::bedside;
use super::select::Item;
use super::terms::words;
use crate::anatomy::{Model, SkinKind};
use crate::findings::{self, Finding, Kind, Structure};
use std::collections::BTreeMap;

/// Can be named in an answer: testable, at the bedside, and for skin the map that fits the level of the lesion.
pub fn shown(ctx: &Context<'_>, f: &Finding) -> bool {
    match f.kind() {
        Kind::Muscle => ctx.model.testable(f.structure),
        Kind::Skin => {
            let dermatomes =
                ctx.model.skin_area(f.structure).map(|s| s.kind) == Some(SkinKind::Dermatome);
            dermatomes == ctx.by_dermatome || f.spared() && !dermatomes
        }
        _ => bedside(ctx.model, f),
    }
}

/// Can be named, and can be found on this patient: a newborn reports no numbness and follows no orders.
pub fn nameable(ctx: &Context<'_>, f: &Finding) -> bool {
    let willing = match f.kind() {
        Kind::Skin => !ctx.newborn,
        Kind::Sign => {
            let test = ctx
                .model
                .sign(f.structure)
                .is_some_and(|s| s.group == "special test");
            !(ctx.newborn && test)
        }
        _ => true,
    };
    willing && shown(ctx, f)
}

/// The one word of a phrase that says most: its longest telling word, but not the first of many, which is mostly a verb, and none that
/// `known` has said.
pub fn key(phrase: &str, known: &str) -> String {
    let known = words(known);
    let telling: Vec<&str> = phrase
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| words(w).iter().any(|stem| !known.contains(stem)))
        .collect();
    let from = usize::from(telling.len() > 2);
    telling
        .iter()
        .skip(from)
        .fold("", |best, w| {
            if w.chars().count() > best.chars().count() {
                w
            } else {
                best
            }
        })
        .to_string()
}

/// Why a finding is as it is. A movement that keeps its power is explained by its strongest muscle: that is what an
/// examiner would say, rather than what share of the torque is left.
fn reason(ctx: &Context<'_>, f: &Finding) -> String {
    let of = |f: &Finding| {
        let text = findings::reason_in(ctx.model, &ctx.case.lesion, ctx.fixed, f);
        // So that "because" can stand before it.
        match (f.kind(), text.starts_with("supplied by")) {
            (_, false) => text,
            (Kind::Reflex, true) => arc(ctx.model, f.structure),
            (_, true) => format!("it is {text}"),
        }
    };
    let dermatome = ctx
        .model
        .skin_area(f.structure)
        .filter(|s| f.kind() == Kind::Skin && f.spared() && s.kind == SkinKind::Dermatome);
    if let Some(area) = dermatome {
        return format!("it is chiefly the field of {}", area.nerve_label);
    }
    let strongest = (f.kind() == Kind::Movement && f.spared())
        .then(|| ctx.model.movement(f.structure))
        .flatten()
        .and_then(|m| m.shares.iter().max_by(|a, b| a.1.total_cmp(&b.1)))
        .and_then(|(ix, _)| ctx.found.muscles.get(*ix))
        .filter(|muscle| muscle.spared());
    match strongest.and_then(|muscle| ctx.model.muscle(muscle.structure).map(|m| (muscle, m))) {
        Some((finding, muscle)) => {
            format!("{} works: {}", muscle_label(&muscle.label), of(finding))
        }
        None => of(f),
    }
}

/// Why a reflex is untouched whose arc has nothing to do with the lesion.
fn arc(model: &Model, reflex: Structure) -> String {
    let muscles = model.reflex(reflex).map(|r| r.muscles.as_slice());
    let names: Vec<String> = muscles
        .unwrap_or_default()
        .iter()
        .filter_map(|&m| model.muscles.get(m))
        .map(|m| muscle_label(&m.label))
        .collect();
    format!("its arc through {} is whole", list(&names))
}

/// "triceps brachii, lateral head" as one name: "triceps brachii (lateral head)".
pub fn muscle_label(label: &str) -> String {
    match small(label).split_once(", ") {
        Some((muscle, part)) => format!("{muscle} ({part})"),
        None => small(label),
    }
}

/// The fields of a structure and its finding.
pub fn structure(ctx: &Context<'_>, f: &Finding) -> Item {
    let model = ctx.model;
    let mut fields: BTreeMap<&'static str, String> = BTreeMap::new();
    let mut source = String::new();
    let mut put = |name, value: &str| {
        if !value.is_empty() {
            fields.insert(name, value.to_string());
        }
    };
    let reason = reason(ctx, f);
    put("reason", &reason);
    put("state", f.word());
    match f.kind() {
        Kind::Muscle => {
            if let Some(m) = model.muscle(f.structure) {
                put("label", &muscle_label(&m.label));
                put("nerve", &m.nerve_label);
                put("action", &m.action);
                put("test", &m.test);
                put("part", &m.part);
                let roots: Vec<String> = root_shares(model, f.structure)
                    .into_iter()
                    .map(|(r, _)| r)
                    .collect();
                put("roots", &list(&roots));
                source.clone_from(&m.source);
            }
            put("power", &f.power.to_string());
        }
        Kind::Movement => {
            if let Some(m) = model.movement(f.structure) {
                put("label", &m.label);
                put("command", &m.command);
                put("test", &m.command);
                let mut by_share = m.shares.clone();
                by_share.sort_by(|a, b| b.1.total_cmp(&a.1));
                let names: Vec<String> = by_share
                    .iter()
                    .take(2)
                    .filter_map(|(ix, _)| model.muscles.get(*ix))
                    .map(|m| muscle_label(&m.label))
                    .collect();
                put("muscles", &list(&names));
                source.clone_from(&m.source);
            }
            put("power", &f.power.to_string());
        }
        Kind::Skin => {
            if let Some(s) = model.skin_area(f.structure) {
                put("label", &format!("sensation over {}", s.region));
                put("where", &s.region);
                put("nerve", &s.nerve_label);
                put("autonomous", s.autonomous.as_deref().unwrap_or_default());
                source.clone_from(&s.source);
            }
        }
        Kind::Reflex => {
            if let Some(r) = model.reflex(f.structure) {
                put("label", &r.label);
                source.clone_from(&r.source);
            }
        }
        Kind::Sign => {
            if let Some(s) = model.sign(f.structure) {
                put("label", &s.label);
                put("look", &s.look);
                put("test", &s.look);
                put("plain", &s.plain);
                source.clone_from(&s.source);
            }
        }
    }
    let named = match f.kind() {
        Kind::Skin => fields.get("where"),
        _ => fields.get("label"),
    };
    if let Some(key) = named.map(|n| key(n, "")) {
        fields.insert("key", key);
    }
    Item {
        fields,
        finding: Some(*f),
        source,
    }
}

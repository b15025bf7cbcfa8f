//! Turns the findings into what the candidate is told of this patient.

use super::context::Context;
use super::english::list;
use super::giveaway::Words;
use super::rivals::{Rival, bedside, decisive};
use super::structure::shown;
use super::{Line, Observation};
use crate::anatomy::SkinKind;
use crate::case::Level;
use crate::findings::{Finding, Kind, State};

/// How many affected movements and how many normal findings a candidate is told.
fn limits(level: Level) -> (usize, usize) {
    match level {
        Level::Early => (4, 4),
        Level::Clinical => (5, 5),
        Level::Trainee => (6, 6),
    }
}

/// How many areas of skin, and how many signs.
const AREAS: usize = 3;
const SIGNS: usize = 2;
/// The rivals that the findings told should rule out.
const RIVALS: usize = 12;

/// The findings that a candidate is told: what is affected, and the normal findings that rule out the nearest rivals.
pub fn choose(ctx: &Context<'_>, forbidden: &Words) -> Vec<Finding> {
    let (most_movements, most_normal) = limits(ctx.level);
    let usable = |f: &&Finding| tellable(ctx, forbidden, f);
    let mut chosen: Vec<Finding> = movements(ctx, most_movements, &usable);
    let affected = |kind: Kind, most: usize| {
        let mut all: Vec<&Finding> = ctx.found.of(kind).iter().collect();
        all.retain(|f| f.affected() && usable(f));
        all.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        all.into_iter().take(most).copied().collect::<Vec<_>>()
    };
    chosen.extend(affected(Kind::Skin, AREAS));
    chosen.extend(affected(Kind::Reflex, AREAS));
    chosen.extend(affected(Kind::Sign, SIGNS));
    rule_out(ctx, most_normal, &usable, &mut chosen);
    round_off(ctx, &usable, &mut chosen);
    chosen
}

/// May be told to a candidate: can be seen on this patient, follows the map of skin in use, and gives no answer away.
pub fn tellable(ctx: &Context<'_>, forbidden: &Words, f: &Finding) -> bool {
    let other_map = f.kind() == Kind::Skin && is_dermatome(ctx, f) != ctx.by_dermatome;
    observable(ctx, f)
        && shown(ctx, f)
        && !other_map
        && forbidden.found_in(&plain(ctx, f)).is_empty()
}

/// The chosen findings in the candidate's words.
pub fn told(ctx: &Context<'_>) -> Vec<Observation> {
    ctx.told.iter().map(|f| observation(ctx, f)).collect()
}

/// Affected movements, each adding muscles that those before it did not show.
fn movements(ctx: &Context<'_>, most: usize, usable: &dyn Fn(&&Finding) -> bool) -> Vec<Finding> {
    let mut covered: Vec<usize> = Vec::new();
    let mut chosen: Vec<Finding> = Vec::new();
    let open: Vec<&Finding> = ctx
        .found
        .movements
        .iter()
        .filter(|f| f.affected() && usable(f))
        .collect();
    while chosen.len() < most {
        let gain = |f: &Finding, covered: &[usize]| -> f64 {
            let shares = ctx.model.movement(f.structure).map(|m| m.shares.as_slice());
            let fresh: f64 = shares
                .unwrap_or_default()
                .iter()
                .filter(|(m, _)| ctx.found.muscles.get(*m).is_some_and(Finding::affected))
                // A second movement of the same muscle confirms the first.
                .map(|(m, share)| share * if covered.contains(m) { 0.15 } else { 1.0 })
                .sum();
            // A lost movement tells more than a weak one.
            fresh * (6.0 - f64::from(f.power))
        };
        let best = open
            .iter()
            .filter(|f| !chosen.iter().any(|c| c.structure == f.structure))
            .map(|f| (gain(f, &covered), *f))
            .filter(|(g, _)| *g > 0.05)
            // The first of equals, so the order of the model decides.
            .fold(None, |best: Option<(f64, &Finding)>, (g, f)| match best {
                Some((b, _)) if b >= g => best,
                _ => Some((g, f)),
            });
        let Some((_, f)) = best else {
            break;
        };
        if let Some(m) = ctx.model.movement(f.structure) {
            covered.extend(m.shares.iter().map(|(ix, _)| *ix));
        }
        chosen.push(*f);
    }
    chosen.sort_by_key(|f| (f.power, f.structure));
    chosen
}

/// Adds findings until the nearest rivals are ruled out; each added one rules out the most that are left.
fn rule_out(
    ctx: &Context<'_>,
    most: usize,
    usable: &dyn Fn(&&Finding) -> bool,
    chosen: &mut Vec<Finding>,
) {
    let refutes = |f: &Finding, r: &Rival| {
        r.findings
            .get(f.structure)
            .is_some_and(|there| decisive(f, there))
    };
    let mut open: Vec<&Rival> = ctx
        .rivals
        .apart
        .iter()
        .take(RIVALS)
        .filter(|r| !chosen.iter().any(|f| refutes(f, r)))
        .collect();
    let mut added = 0;
    let normal = |kind: Kind| {
        ctx.found
            .of(kind)
            .iter()
            .filter(move |f| f.spared() || kind == Kind::Muscle && f.affected())
            .filter(move |f| kind != Kind::Sign || f.state == State::Absent)
    };
    // Muscles last: the candidate should reason from movements to muscles.
    for kinds in [
        &[Kind::Movement, Kind::Skin, Kind::Reflex][..],
        &[Kind::Sign][..],
        &[Kind::Muscle][..],
    ] {
        while !open.is_empty() && added < most {
            let best = kinds
                .iter()
                .flat_map(|k| normal(*k))
                .filter(usable)
                .filter(|f| !chosen.iter().any(|c| c.structure == f.structure))
                .map(|f| {
                    let out: f64 = open
                        .iter()
                        .filter(|r| refutes(f, r))
                        .map(|r| nearness(r))
                        .sum();
                    (out * purity(ctx, f), f)
                })
                .filter(|(out, _)| *out > 0.0)
                .fold(None, |best: Option<(f64, &Finding)>, (out, f)| match best {
                    Some((b, _)) if b >= out => best,
                    _ => Some((out, f)),
                });
            let Some((_, f)) = best else {
                break;
            };
            open.retain(|r| !refutes(f, r));
            chosen.push(*f);
            added += 1;
        }
    }
}

/// What ruling a rival out is worth: the nearest count most.
fn nearness(rival: &Rival) -> f64 {
    (1.1 - rival.distance).max(0.05).powi(2)
}

/// A movement that one muscle carries says more than one that many share.
fn purity(ctx: &Context<'_>, f: &Finding) -> f64 {
    if f.kind() != Kind::Movement {
        return 1.0;
    }
    let shares = ctx.model.movement(f.structure).map(|m| m.shares.as_slice());
    let largest = shares
        .unwrap_or_default()
        .iter()
        .map(|(_, s)| *s)
        .fold(0.0, f64::max);
    0.2 + largest
}

/// Sees that a normal movement, a normal area and a normal reflex are told, each the one that speaks against most neighbours:
/// a candidate who hears of one normal finding only need not weigh it.
fn round_off(ctx: &Context<'_>, usable: &dyn Fn(&&Finding) -> bool, chosen: &mut Vec<Finding>) {
    for kind in [Kind::Movement, Kind::Skin, Kind::Reflex] {
        if chosen.iter().any(|f| f.kind() == kind && f.spared()) {
            continue;
        }
        let worth = |f: &Finding| -> f64 {
            ctx.rivals
                .apart
                .iter()
                .take(RIVALS)
                .filter(|r| r.findings.get(f.structure).is_some_and(|t| decisive(f, t)))
                .map(nearness)
                .sum::<f64>()
                * purity(ctx, f)
        };
        let best = ctx
            .found
            .of(kind)
            .iter()
            .filter(|f| f.spared() && usable(f))
            .map(|f| (worth(f), f))
            .filter(|(w, _)| *w > 0.0)
            .fold(None, |best: Option<(f64, &Finding)>, (w, f)| match best {
                Some((b, _)) if b >= w => best,
                _ => Some((w, f)),
            });
        chosen.extend(best.map(|(_, f)| *f));
    }
}

/// Can be found on this patient at all: a newborn follows no orders and reports no numbness.
pub(super) fn observable(ctx: &Context<'_>, f: &Finding) -> bool {
    if !bedside(ctx.model, f) {
        return false;
    }
    if !ctx.newborn {
        return true;
    }
    match f.kind() {
        Kind::Movement | Kind::Reflex => true,
        Kind::Muscle | Kind::Skin => false,
        Kind::Sign => ctx
            .model
            .sign(f.structure)
            .is_some_and(|s| s.group != "special test"),
    }
}

/// The finding as a lay observer would put it: no nerve, no root, no eponym.
pub fn plain(ctx: &Context<'_>, f: &Finding) -> String {
    let s = f.structure;
    match s.kind {
        Kind::Movement => ctx.model.label(s),
        _ => ctx.model.plain(s),
    }
    .to_string()
}

#[rustfmt::skip]
const GROUPS: [&str; 11] = [
    "lost", "weak", "strong", "numb", "dull", "felt",
    "jerk_absent", "jerk_reduced", "jerk_present", "seen", "not_seen",
];

/// One line for each group; a test and a sign stand alone, because each is a clause of its own.
pub fn lines(told: &[Observation]) -> Vec<Line> {
    let mut all = Vec::new();
    for group in GROUPS {
        let here: Vec<&Observation> = told.iter().filter(|o| o.group == group).collect();
        let (alone, together): (Vec<&Observation>, Vec<&Observation>) = here
            .into_iter()
            .partition(|o| o.tested || group.ends_with("seen"));
        let texts: Vec<String> = together.into_iter().map(graded).collect();
        if !texts.is_empty() {
            all.push(Line {
                group: group.to_string(),
                tested: false,
                text: list(&texts),
            });
        }
        all.extend(alone.into_iter().map(|o| Line {
            group: group.to_string(),
            tested: o.tested,
            text: graded(o),
        }));
    }
    all
}

fn graded(o: &Observation) -> String {
    match o.power {
        Some(power) => format!("{} ({power})", o.text),
        None => o.text.clone(),
    }
}

fn is_dermatome(ctx: &Context<'_>, f: &Finding) -> bool {
    ctx.model.skin_area(f.structure).map(|s| s.kind) == Some(SkinKind::Dermatome)
}

pub fn observation(ctx: &Context<'_>, f: &Finding) -> Observation {
    let group = match (f.kind(), f.state) {
        (Kind::Muscle | Kind::Movement, State::Lost) => "lost",
        (Kind::Muscle | Kind::Movement, State::Spared) => "strong",
        (Kind::Muscle | Kind::Movement, _) => "weak",
        (Kind::Skin, State::Lost) => "numb",
        (Kind::Skin, State::Spared) => "felt",
        (Kind::Skin, _) => "dull",
        (Kind::Reflex, State::Lost) => "jerk_absent",
        (Kind::Reflex, State::Spared) => "jerk_present",
        (Kind::Reflex, _) => "jerk_reduced",
        (Kind::Sign, State::Present) => "seen",
        (Kind::Sign, _) => "not_seen",
    };
    let tested = f.kind() == Kind::Muscle;
    Observation {
        group: group.to_string(),
        text: plain(ctx, f),
        tested,
        // A grade is for a power that was tested against resistance; a newborn's is only watched.
        power: (f.kind().motor() && ctx.level != Level::Early && !ctx.newborn).then_some(f.power),
    }
}

//! Turns a sign's rule into the degree, 0-1, to which it holds in one arrangement of a limb.

use super::scale::{SENSATION, chance_below, limit};
use super::share::{Arrival, torque};
use crate::anatomy::{Condition, Model, Structure};
use crate::lesion::Lesion;

/// A lesioned limb before its variants are chosen.
pub struct Limb<'a> {
    pub model: &'a Model,
    pub lesion: &'a Lesion,
    pub muscles: &'a [Arrival<'a>],
    pub skin: &'a [Arrival<'a>],
}

/// Adds the variants on which the condition depends to `all`.
pub fn needs(limb: &Limb, condition: &Condition, all: &mut Vec<usize>) {
    match condition {
        Condition::All(list) | Condition::Any(list) => {
            list.iter().for_each(|c| needs(limb, c, all))
        }
        Condition::Not(inner) => needs(limb, inner, all),
        Condition::PowerAtMost(s, _) | Condition::PowerAtLeast(s, _) => {
            match limb.model.movement(*s) {
                Some(m) => m
                    .shares
                    .iter()
                    .for_each(|(ix, _)| limb.muscles[*ix].variants(all)),
                None => limb.muscles[s.position].variants(all),
            }
        }
        Condition::SensationReduced(s) | Condition::SensationLost(s) => {
            limb.skin[s.position].variants(all);
        }
        Condition::LesionOn(_) => {}
    }
}

/// Errors in root shares move all muscles of a root together, so `all` is the least and `any` the greatest degree.
pub fn holds(
    limb: &Limb,
    condition: &Condition,
    variants: &[usize],
    alternatives: &[usize],
) -> f64 {
    let muscle = |m: usize| limb.muscles[m].share(variants, alternatives);
    let power = |s: &Structure| match limb.model.movement(*s) {
        Some(m) => torque(m, &muscle),
        None => muscle(s.position),
    };
    let skin = |s: &Structure| limb.skin[s.position].share(variants, alternatives);
    match condition {
        Condition::All(list) => list
            .iter()
            .map(|c| holds(limb, c, variants, alternatives))
            .fold(1.0, f64::min),
        Condition::Any(list) => list
            .iter()
            .map(|c| holds(limb, c, variants, alternatives))
            .fold(0.0, f64::max),
        Condition::Not(inner) => 1.0 - holds(limb, inner, variants, alternatives),
        Condition::PowerAtMost(s, grade) => chance_below(power(s), limit(*grade)),
        Condition::PowerAtLeast(s, grade) => at_least(power(s), *grade),
        Condition::SensationReduced(s) => chance_below(skin(s), SENSATION.1),
        Condition::SensationLost(s) => chance_below(skin(s), SENSATION.0),
        Condition::LesionOn(segments) => f64::from(u8::from(
            segments.iter().any(|&s| limb.lesion.set.contains(s)),
        )),
    }
}

fn at_least(share: f64, grade: u8) -> f64 {
    match grade.checked_sub(1) {
        Some(below) => 1.0 - chance_below(share, limit(below)),
        None => 1.0,
    }
}

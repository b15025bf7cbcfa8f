//! May these two stations stand in one form? Not when they are too much alike, or when one names the answer of the other.

use super::bank::Banked;
use super::similar::cosine;
use crate::circuit::blueprint::{Blueprint, Limbs};
use crate::wording::flat;
use std::collections::BTreeSet;

/// How alike two stations are, 0 to 1.
pub fn similarity(a: &Banked, b: &Banked) -> f64 {
    cosine(&a.telling, &b.telling)
}

/// Words on the candidate sheet of `b` that name the answer of `a`: its lesion's place. `None` when nothing is given away. A station whose
/// candidates are told the lesion has no place to give away.
pub fn leaks(limbs: &Limbs<'_>, a: &Banked, b: &Banked) -> Option<String> {
    if a.station.kind.tells_lesion {
        return None;
    }
    let sheet = flat(&b.sheet);
    let site = limbs.site(a.site)?;
    std::iter::once(&site.label)
        .chain(&site.synonyms)
        .chain([&a.station.lesion.place])
        .find(|name| !name.is_empty() && sheet.contains(&flat(name)))
        .cloned()
}

/// Prompts of `b` that speak the answer of `a` aloud.
pub fn spoken_leak(limbs: &Limbs<'_>, a: &Banked, b: &Banked) -> Option<String> {
    if a.station.kind.tells_lesion {
        return None;
    }
    let site = limbs.site(a.site)?;
    let said: String = b
        .station
        .questions
        .iter()
        .flat_map(|q| q.spoken())
        .fold(String::new(), |all, t| all + " " + t);
    let said = flat(&said);
    std::iter::once(&site.label)
        .chain(&site.synonyms)
        .find(|name| said.contains(&flat(name)))
        .cloned()
}

/// More than half of the questions of either open in the same words: a candidate who meets both hears one examiner twice.
pub fn echoes(a: &Banked, b: &Banked) -> bool {
    let openings = |s: &Banked| -> BTreeSet<String> {
        s.station
            .questions
            .iter()
            .map(|q| q.opening.clone())
            .collect()
    };
    let (one, other) = (openings(a), openings(b));
    one.intersection(&other).count() * 2 > one.len().min(other.len())
}

/// Pairs of bank stations within a form that may not meet; with those that open in the same words, if one is to `hear` that.
pub fn pairs(
    limbs: &Limbs<'_>,
    blueprint: &Blueprint,
    bank: &[Banked],
    owners: &[usize],
    forms: &[Vec<usize>],
    hear: bool,
) -> BTreeSet<(usize, usize)> {
    let mut all = BTreeSet::new();
    for form in forms {
        let own: Vec<usize> = form
            .iter()
            .filter_map(|i| owners.get(*i))
            .copied()
            .collect();
        for (n, &a) in own.iter().enumerate() {
            for &b in own.iter().skip(n + 1) {
                let (Some(x), Some(y)) = (bank.get(a), bank.get(b)) else {
                    continue;
                };
                let both_fixed = x.reused.is_some() && y.reused.is_some();
                let bad = similarity(x, y) > blueprint.limits.similarity
                    || (hear && echoes(x, y))
                    || leaks(limbs, x, y).is_some()
                    || leaks(limbs, y, x).is_some();
                if bad && !both_fixed {
                    all.insert((a.min(b), a.max(b)));
                }
            }
        }
    }
    all
}

//! Which stations lie in reserve: for each form, and for all examiners to mark before the day?

use super::bank::Banked;
use super::pairs::{leaks, similarity};
use crate::circuit::blueprint::{Blueprint, Limbs, Shape};
use std::collections::BTreeSet;

/// A site that another form meets costs as much as so many points of difficulty; ours.
const MET: f64 = 10.0;

/// Which of the bank stands in reserve for each form (as many as the blueprint asks for, or as there are), and which all examiners mark
/// before the day. `forms` are the stations of each form.
pub fn spares<'b>(
    limbs: &Limbs<'_>,
    blueprint: &Blueprint,
    bank: &'b [Banked],
    forms: &[Vec<&'b Banked>],
) -> (Vec<Vec<&'b Banked>>, Option<&'b Banked>) {
    let mut used: BTreeSet<&str> = forms
        .iter()
        .flatten()
        .map(|b| b.station.code.as_str())
        .collect();
    // The commonest sort of position first.
    let mut shapes = blueprint.shapes();
    shapes.sort_by_key(|(_, positions)| std::cmp::Reverse(positions.len()));
    let mut all: Vec<Vec<&Banked>> = vec![Vec::new(); forms.len()];
    for n in 0..blueprint.spares {
        let Some((shape, _)) = shapes.get(n % shapes.len().max(1)) else {
            break;
        };
        for (f, own) in forms.iter().enumerate() {
            let beside: Vec<&Banked> = own.iter().chain(&all[f]).copied().collect();
            let met = forms.iter().chain(&all).flatten();
            let met: BTreeSet<usize> = met.map(|b| b.site).collect();
            let fits = |b: &&Banked| {
                !used.contains(b.station.code.as_str())
                    && fits(b, shape)
                    && may_stand(limbs, blueprint, b, &beside)
            };
            if let Some(best) = nearest(bank.iter().filter(fits), own, &met) {
                used.insert(&best.station.code);
                all[f].push(best);
            }
        }
    }
    let calibration = match (blueprint.calibration, shapes.first()) {
        (true, Some((shape, _))) => {
            let met = forms.iter().chain(&all).flatten();
            let met: BTreeSet<usize> = met.map(|b| b.site).collect();
            let everything: Vec<&Banked> = forms.iter().flatten().copied().collect();
            let fits = |b: &&Banked| !used.contains(b.station.code.as_str()) && fits(b, shape);
            nearest(bank.iter().filter(fits), &everything, &met)
        }
        _ => None,
    };
    (all, calibration)
}

/// A station that can stand at a position of this shape.
pub fn fits(banked: &Banked, shape: &Shape) -> bool {
    let kind = &banked.station.kind.id;
    shape.holds(banked.level, banked.minutes, kind) && shape.reading == banked.reading
}

/// As hard as the others are on the average, at a site that nobody meets.
fn nearest<'b>(
    all: impl Iterator<Item = &'b Banked>,
    others: &[&Banked],
    met: &BTreeSet<usize>,
) -> Option<&'b Banked> {
    let figure = |b: &Banked| b.station.difficulty.figure;
    let mean = others.iter().map(|b| figure(b)).sum::<f64>() / others.len().max(1) as f64;
    let cost =
        |b: &Banked| (figure(b) - mean).abs() + if met.contains(&b.site) { MET } else { 0.0 };
    all.filter(|b| b.reused.is_none())
        .min_by(|a, b| cost(a).total_cmp(&cost(b)))
}

/// The rules of a form for two stations: sites that differ and may meet, not too much alike, and neither names the other's answer.
fn may_stand(limbs: &Limbs<'_>, blueprint: &Blueprint, spare: &Banked, form: &[&Banked]) -> bool {
    let id = |b: &Banked| limbs.id(b.site);
    form.iter().all(|b| {
        let (x, y) = (id(spare), id(b));
        let apart = blueprint.apart.iter();
        spare.site != b.site
            && !apart
                .into_iter()
                .any(|(p, q)| (p == x && q == y) || (p == y && q == x))
            && similarity(spare, b) <= blueprint.limits.similarity
            && leaks(limbs, spare, b).is_none()
            && leaks(limbs, b, spare).is_none()
    })
}

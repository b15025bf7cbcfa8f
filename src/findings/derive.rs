//! Turns a lesion into findings: for every structure, what arrives in every arrangement of a limb, weighed by how common it is.

use super::rule::{Limb, holds, needs};
use super::scale::{DECIDES, REFLEX, SENSATION, chance_below, grade, limit};
use super::share::{Arrival, Arrivals, Fixed, arrangements, arrival, torque};
use super::{Finding, Findings, State};
use crate::anatomy::{Kind, Model, Sign, SkinArea, SkinKind, Structure};
use crate::lesion::Lesion;
use std::iter::zip;

/// Derives all findings of a lesion. `fixed` holds variants at one alternative; all others are averaged over.
pub fn derive(model: &Model, lesion: &Lesion, fixed: &[Fixed]) -> Findings {
    let Arrivals { muscles, skin } = Arrivals::of(model, lesion);
    let limb = Limb {
        model,
        lesion,
        muscles: &muscles,
        skin: &skin,
    };
    Findings {
        muscles: zip(model.structures(Kind::Muscle), &muscles)
            .map(|(s, a)| power(model, fixed, s, &[a], &|share| share(a)))
            .collect(),
        movements: zip(model.structures(Kind::Movement), &model.movements)
            .map(|(s, m)| {
                let parts: Vec<&Arrival> = m.shares.iter().map(|(ix, _)| &muscles[*ix]).collect();
                let total = |share: &dyn Fn(&Arrival) -> f64| torque(m, &|ix| share(&muscles[ix]));
                power(model, fixed, s, &parts, &total)
            })
            .collect(),
        skin: zip(model.structures(Kind::Skin), &skin)
            .map(|(s, a)| sensation(model, lesion, fixed, s, a))
            .collect(),
        reflexes: zip(model.structures(Kind::Reflex), &model.reflexes)
            .map(|(s, r)| {
                let arc = arrival(&r.supply, lesion);
                let weighed = weigh(
                    model,
                    fixed,
                    &[&arc],
                    &|share| share(&arc),
                    REFLEX.0,
                    REFLEX.1,
                );
                let (affected, lost) = (
                    weighed.affected * r.reliability,
                    weighed.lost * r.reliability,
                );
                finding(s, affected, lost, weighed.share, 5)
            })
            .collect(),
        signs: zip(model.structures(Kind::Sign), &model.signs)
            .map(|(s, x)| sign(&limb, fixed, s, x))
            .collect(),
    }
}

/// Adds up what is left, given the share that arrives by each way.
type Total<'t> = dyn Fn(&dyn Fn(&Arrival) -> f64) -> f64 + 't;

struct Weighed {
    affected: f64,
    lost: f64,
    share: f64,
    /// Chance of each MRC grade.
    grades: [f64; 6],
}

/// Averages over the arrangements that matter: chance of being below two limits, mean share, grades.
fn weigh(
    model: &Model,
    fixed: &[Fixed],
    parts: &[&Arrival],
    total: &Total,
    low: f64,
    high: f64,
) -> Weighed {
    let mut sum = Weighed {
        affected: 0.0,
        lost: 0.0,
        share: 0.0,
        grades: [0.0; 6],
    };
    let mut add = |share: f64, p: f64| {
        sum.affected += p * chance_below(share, high);
        sum.lost += p * chance_below(share, low);
        sum.share += p * share;
        sum.grades[usize::from(grade(share))] += p;
    };
    let mut variants = Vec::new();
    for part in parts {
        part.variants(&mut variants);
    }
    if variants.is_empty() {
        add(total(&|a| a.share(&[], &[])), 1.0);
    } else {
        arrangements(model, &variants, fixed, |alternatives, p| {
            add(total(&|a| a.share(&variants, alternatives)), p);
        });
    }
    sum
}

fn power(
    model: &Model,
    fixed: &[Fixed],
    structure: Structure,
    parts: &[&Arrival],
    total: &Total,
) -> Finding {
    if parts
        .iter()
        .all(|a| matches!(a, Arrival::Sure(s) if *s >= 1.0))
    {
        return finding(structure, 0.0, 0.0, 1.0, 5);
    }
    let weighed = weigh(model, fixed, parts, total, limit(1), limit(4));
    let mut below = 0.0;
    let median = weighed
        .grades
        .iter()
        .position(|p| {
            below += p;
            below >= 0.5 - 1e-9
        })
        .map_or(5, |g| g as u8);
    finding(
        structure,
        weighed.affected,
        weighed.lost,
        weighed.share,
        median,
    )
}

fn sensation(
    model: &Model,
    lesion: &Lesion,
    fixed: &[Fixed],
    structure: Structure,
    a: &Arrival,
) -> Finding {
    let SkinArea {
        reliability, kind, ..
    } = &model.skin[structure.position];
    let whole = |share: &dyn Fn(&Arrival) -> f64| share(a);
    let weighed = weigh(model, fixed, &[a], &whole, SENSATION.0, SENSATION.1);
    // A lesion beyond the trunks never numbs a dermatome as such, only the part of it that its own skin overlaps:
    // the chance that a test inside the dermatome meets numb skin is the share that is cut.
    let (affected, lost) = if *kind == SkinKind::Dermatome && !lesion.radicular(model) {
        let numb = 1.0 - weighed.share;
        (
            numb.min(weighed.affected * reliability),
            numb.min(weighed.lost * reliability),
        )
    } else {
        (weighed.affected * reliability, weighed.lost * reliability)
    };
    finding(structure, affected, lost, weighed.share, 5)
}

fn sign(limb: &Limb, fixed: &[Fixed], structure: Structure, sign: &Sign) -> Finding {
    let mut variants = Vec::new();
    sign.cases
        .iter()
        .for_each(|c| needs(limb, &c.when, &mut variants));
    let mut present = 0.0;
    let mut add = |alternatives: &[usize], p: f64| {
        let mut open = 1.0;
        for case in &sign.cases {
            let met = holds(limb, &case.when, &variants, alternatives);
            present += p * open * met * case.probability;
            open *= 1.0 - met;
            if open <= 0.0 {
                break;
            }
        }
    };
    if variants.is_empty() {
        add(&[], 1.0);
    } else {
        arrangements(limb.model, &variants, fixed, add);
    }
    let state = match present {
        p if p >= DECIDES => State::Present,
        p if p <= 1.0 - DECIDES => State::Absent,
        _ => State::Variable,
    };
    Finding {
        structure,
        state,
        probability: clean(present),
        lost: 0.0,
        share: 1.0,
        power: 5,
    }
}

fn finding(structure: Structure, affected: f64, lost: f64, share: f64, power: u8) -> Finding {
    let state = if affected <= 1.0 - DECIDES {
        State::Spared
    } else if affected < DECIDES {
        State::Variable
    } else if lost >= 0.5 {
        State::Lost
    } else {
        State::Weak
    };
    let motor = structure.kind.motor();
    // The grade is the median limb's; the word weighs all limbs. Where they part, the word wins.
    let power = match state {
        State::Lost if motor => power.min(1),
        State::Weak if motor => power.clamp(2, 4),
        State::Spared => 5,
        _ => power,
    };
    Finding {
        structure,
        state,
        probability: clean(affected),
        lost: clean(lost),
        share,
        power,
    }
}

/// A probability without the dust of floating-point sums.
fn clean(p: f64) -> f64 {
    (p.clamp(0.0, 1.0) * 1e4).round() / 1e4
}

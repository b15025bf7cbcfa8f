//! Turns a supply and a lesion into the share of fibres that arrives, in every arrangement of a limb.

use crate::anatomy::{Fibres, Model, Movement, Supply};
use crate::lesion::Lesion;

/// A variant held at one alternative: (position of the variant, position of the alternative).
pub type Fixed = (usize, usize);

/// What arrives at one structure.
#[derive(Debug, Clone)]
pub enum Arrival<'m> {
    /// The same in every arrangement.
    Sure(f64),
    /// One share for each row of the supply's table.
    Depends(&'m Supply, Vec<f64>),
}

/// The share of these fibres that gets past the lesion, 0-1. A structure that the limb does not have counts as whole.
pub fn passing(fibres: &[Fibres], lesion: &Lesion) -> f64 {
    if fibres.is_empty() {
        return 1.0;
    }
    fibres
        .iter()
        .map(|f| {
            let mut left = f.weight;
            for cut in &lesion.cuts {
                if f.path.contains(cut.segment)
                    && (cut.roots.is_empty() || cut.roots.contains(&f.root))
                {
                    left *= cut.passes;
                }
            }
            left
        })
        .sum()
}

/// The part of the others with which helpers still do all they can (our judgement; common practice, no source).
const ENOUGH: f64 = 0.6;

/// The torque that is left of a movement, 0-1, when `arriving(muscle)` is left of each muscle. Helpers add theirs in step with what is left of the
/// others: alone they have `unaided` of it.
pub fn torque(movement: &Movement, arriving: &dyn Fn(usize) -> f64) -> f64 {
    let (mut main, mut whole, mut help) = (0.0, 0.0, 0.0);
    for (m, weight) in &movement.shares {
        let left = arriving(*m) * weight;
        if movement.helpers.contains(m) {
            help += left;
        } else {
            main += left;
            whole += weight;
        }
    }
    let aid = if whole > 0.0 {
        (main / (ENOUGH * whole)).min(1.0)
    } else {
        1.0
    };
    main + help * (movement.unaided + (1.0 - movement.unaided) * aid)
}

pub fn arrival<'m>(supply: &'m Supply, lesion: &Lesion) -> Arrival<'m> {
    if !supply.reach.meets(&lesion.set) {
        return Arrival::Sure(1.0);
    }
    let shares: Vec<f64> = supply
        .table
        .iter()
        .map(|row| passing(row, lesion))
        .collect();
    match shares.first() {
        Some(&first) if shares.iter().all(|s| (s - first).abs() < 1e-9) => Arrival::Sure(first),
        Some(_) => Arrival::Depends(supply, shares),
        None => Arrival::Sure(1.0),
    }
}

/// What arrives at every muscle and skin area of a region.
pub struct Arrivals<'m> {
    pub muscles: Vec<Arrival<'m>>,
    pub skin: Vec<Arrival<'m>>,
}

impl<'m> Arrivals<'m> {
    pub fn of(model: &'m Model, lesion: &Lesion) -> Self {
        Arrivals {
            muscles: model
                .muscles
                .iter()
                .map(|m| arrival(&m.supply, lesion))
                .collect(),
            skin: model
                .skin
                .iter()
                .map(|s| arrival(&s.supply, lesion))
                .collect(),
        }
    }
}

impl Arrival<'_> {
    /// The variants on which this arrival truly depends, added to `all`.
    pub fn variants(&self, all: &mut Vec<usize>) {
        let Arrival::Depends(supply, shares) = self else {
            return;
        };
        for choice in &supply.variants {
            let matters = (0..shares.len()).any(|row| {
                let way = row / choice.stride % choice.ways;
                way > 0 && (shares[row] - shares[row - way * choice.stride]).abs() > 1e-9
            });
            if matters && !all.contains(&choice.variant) {
                all.push(choice.variant);
            }
        }
    }

    /// The share in a limb with these alternatives (`alternatives[k]` belongs to `variants[k]`; others: usual).
    pub fn share(&self, variants: &[usize], alternatives: &[usize]) -> f64 {
        match self {
            Arrival::Sure(share) => *share,
            Arrival::Depends(supply, shares) => {
                let row: usize = supply
                    .variants
                    .iter()
                    .map(|choice| {
                        let alternative = variants
                            .iter()
                            .position(|v| *v == choice.variant)
                            .map_or(0, |k| alternatives[k]);
                        choice.way.get(alternative).copied().unwrap_or(0) * choice.stride
                    })
                    .sum();
                shares.get(row).copied().unwrap_or(1.0)
            }
        }
    }
}

/// Calls `each` with every combination of alternatives of `variants` and its chance; the chances add to 1.
pub fn arrangements(
    model: &Model,
    variants: &[usize],
    fixed: &[Fixed],
    mut each: impl FnMut(&[usize], f64),
) {
    let mut alternatives = vec![0; variants.len()];
    let chance = |v: usize, a: usize| match fixed.iter().find(|(fv, _)| *fv == v) {
        Some((_, fa)) => f64::from(u8::from(*fa == a)),
        None => model.variants[v].alternatives[a].prevalence,
    };
    loop {
        let p: f64 = variants
            .iter()
            .zip(&alternatives)
            .map(|(&v, &a)| chance(v, a))
            .product();
        if p > 0.0 {
            each(&alternatives, p);
        }
        let mut k = 0;
        loop {
            let Some(&v) = variants.get(k) else { return };
            alternatives[k] += 1;
            if alternatives[k] < model.variants[v].alternatives.len() {
                break;
            }
            alternatives[k] = 0;
            k += 1;
        }
    }
}

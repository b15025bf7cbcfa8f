//! Turns hypotheses and observations into probabilities.

use super::examiner::confusion;
use super::hypotheses::Hypothesis;
use super::observe::Observation;
use crate::anatomy::{Kind, Model, Structure, Variant};
use crate::findings::{Finding, Findings, Fixed, derive};
use crate::lesion::Lesion;

/// For one lesion: the chance that each structure is noted as lost, weak, spared; in the model's order of kinds.
///
/// A variant that moves the whole plexus touches every finding of a root lesion at once, so findings are not independent given the
/// lesion alone: one table is kept for each level of the plexus, and their products are averaged.
#[derive(Debug, Clone)]
pub struct Outcomes {
    tables: Vec<(f64, [Vec<[f32; 3]>; 5])>,
}

/// Hypotheses with what each predicts.
#[derive(Debug, Clone)]
pub struct Belief {
    pub hypotheses: Vec<Hypothesis>,
    outcomes: Vec<Outcomes>,
}

impl Outcomes {
    /// What an examiner would note after this lesion, misreading included, in a limb whose variants may be held.
    pub fn of(model: &Model, lesion: &Lesion, fixed: &[Fixed]) -> Self {
        let rooted = lesion
            .cuts
            .iter()
            .any(|c| model.segments[c.segment].kind.root);
        let free =
            |(v, x): &(usize, &Variant)| x.shifts_plexus && !fixed.iter().any(|(f, _)| f == v);
        let levels = model
            .variants
            .iter()
            .enumerate()
            .find(free)
            .filter(|_| rooted);
        let tables = match levels {
            Some((v, variant)) => variant
                .alternatives
                .iter()
                .enumerate()
                .filter(|(_, a)| a.prevalence > 0.0)
                .map(|(a, alternative)| {
                    let held = [fixed, &[(v, a)]].concat();
                    (alternative.prevalence, table(&derive(model, lesion, &held)))
                })
                .collect(),
            None => vec![(1.0, table(&derive(model, lesion, fixed)))],
        };
        Outcomes { tables }
    }

    /// Chances of lost, weak, spared.
    #[inline]
    pub fn at(&self, structure: Structure) -> [f64; 3] {
        let mut all = [0.0; 3];
        for (weight, rows) in &self.tables {
            let row = rows[structure.kind as usize]
                .get(structure.position)
                .copied()
                .unwrap_or([1.0 / 3.0; 3]);
            all.iter_mut()
                .zip(row)
                .for_each(|(a, r)| *a += weight * f64::from(r));
        }
        all
    }

    /// The chance of this very observation alone; 1 when it says nothing.
    #[inline]
    pub fn chance(&self, o: &Observation) -> f64 {
        match o.seen.column() {
            Some(c) => self.at(o.structure)[c].max(1e-6),
            None => 1.0,
        }
    }

    /// The natural logarithm of the chance of all these observations together.
    pub fn log_chance(&self, observations: &[Observation]) -> f64 {
        let logs: Vec<f64> = self
            .tables
            .iter()
            .map(|(weight, rows)| {
                let sum: f64 = observations
                    .iter()
                    .filter_map(|o| {
                        let row = rows[o.structure.kind as usize].get(o.structure.position)?;
                        Some(f64::from(row[o.seen.column()?]).max(1e-6).ln())
                    })
                    .sum();
                weight.ln() + sum
            })
            .collect();
        let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        best + logs.iter().map(|l| (l - best).exp()).sum::<f64>().ln()
    }
}

/// In the order of [`Kind::ALL`], so that a kind is its place.
fn table(findings: &Findings) -> [Vec<[f32; 3]>; 5] {
    Kind::ALL.map(|kind| findings.of(kind).iter().map(noted).collect())
}

fn noted(f: &Finding) -> [f32; 3] {
    let truly = if f.kind() == Kind::Sign {
        [f.probability, 0.0, 1.0 - f.probability]
    } else {
        [
            f.lost,
            (f.probability - f.lost).max(0.0),
            1.0 - f.probability,
        ]
    };
    let table = confusion(f.kind(), f.share);
    let mut all = [0.0f32; 3];
    for (t, row) in truly.iter().zip(&table) {
        for (a, c) in all.iter_mut().zip(row) {
            *a += (t * c) as f32;
        }
    }
    all
}

impl Belief {
    /// Derives what each hypothesis predicts, in a limb whose variants may be held.
    pub fn new(model: &Model, hypotheses: Vec<Hypothesis>, fixed: &[Fixed]) -> Self {
        let outcomes = hypotheses
            .iter()
            .map(|h| Outcomes::of(model, &h.lesion, fixed))
            .collect();
        Belief {
            hypotheses,
            outcomes,
        }
    }

    pub fn outcomes(&self, hypothesis: usize) -> &Outcomes {
        &self.outcomes[hypothesis]
    }

    /// Probability of each hypothesis after the observations; they add to 1.
    pub fn posterior(&self, observations: &[Observation]) -> Vec<f64> {
        let logs: Vec<f64> = self
            .hypotheses
            .iter()
            .zip(&self.outcomes)
            .map(|(h, o)| h.prior.max(1e-300).ln() + o.log_chance(observations))
            .collect();
        let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut all: Vec<f64> = logs.iter().map(|l| (l - best).exp()).collect();
        let sum: f64 = all.iter().sum();
        all.iter_mut().for_each(|p| *p /= sum);
        all
    }
}

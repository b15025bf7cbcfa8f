//! What would an examiner note after each lesion, and how likely is that?

use super::examiner::confusion;
use super::hypotheses::Hypothesis;
use super::observe::Observation;
use crate::anatomy::{Kind, Model, Structure, Variant};
use crate::findings::{Finding, Findings, Fixed, derive};
use crate::lesion::Lesion;
use std::collections::HashMap;
use std::sync::Arc;

/// Of one structure: the chance that it is noted as lost, weak, spared, and the share of its fibres that arrives.
type Row = [f32; 4];

/// For one lesion: what is noted of each structure; in the model's order of kinds.
///
/// A variant that moves the whole plexus touches every finding of a root lesion at once, so findings are not independent given the
/// lesion alone: one table is kept for each level of the plexus, and their products are averaged.
#[derive(Debug, Clone)]
pub struct Outcomes {
    tables: Vec<(f64, [Vec<Row>; 5])>,
}

/// Hypotheses with what each predicts.
#[derive(Debug, Clone)]
pub struct Belief {
    pub hypotheses: Vec<Hypothesis>,
    outcomes: Vec<Arc<Outcomes>>,
}

/// What is noted in limbs of one level of the plexus.
#[derive(Clone, Copy)]
pub struct Level<'o>(&'o [Vec<Row>; 5]);

impl Level<'_> {
    /// Chances of lost, weak, spared, and the share that arrives.
    #[inline]
    pub fn row(&self, s: Structure) -> [f64; 4] {
        let row = self.0[s.kind as usize].get(s.position);
        row.map_or([1.0 / 3.0; 4], |r| r.map(f64::from))
    }
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

    /// The levels of the plexus with their prevalence.
    pub fn levels(&self) -> impl Iterator<Item = (f64, Level<'_>)> {
        self.tables
            .iter()
            .map(|(weight, rows)| (*weight, Level(rows)))
    }

    /// Chances of lost, weak, spared, and the share that arrives, over all levels.
    #[inline]
    pub fn row(&self, structure: Structure) -> [f64; 4] {
        let mut all = [0.0; 4];
        for (weight, level) in self.levels() {
            let row = level.row(structure);
            all.iter_mut().zip(row).for_each(|(a, r)| *a += weight * r);
        }
        all
    }

    /// Chances of lost, weak, spared.
    #[inline]
    pub fn at(&self, structure: Structure) -> [f64; 3] {
        let [lost, weak, spared, _] = self.row(structure);
        [lost, weak, spared]
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
fn table(findings: &Findings) -> [Vec<Row>; 5] {
    Kind::ALL.map(|kind| findings.of(kind).iter().map(noted).collect())
}

fn noted(f: &Finding) -> Row {
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
    let mut all = [0.0, 0.0, 0.0, f.share as f32];
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
            .map(|h| Arc::new(Outcomes::of(model, &h.lesion, fixed)))
            .collect();
        Belief {
            hypotheses,
            outcomes,
        }
    }

    /// With more hypotheses.
    #[must_use]
    pub fn and(&self, more: Belief) -> Self {
        Belief {
            hypotheses: [&self.hypotheses[..], &more.hypotheses[..]].concat(),
            outcomes: [&self.outcomes[..], &more.outcomes[..]].concat(),
        }
    }

    pub fn outcomes(&self, hypothesis: usize) -> &Outcomes {
        &self.outcomes[hypothesis]
    }

    /// For each hypothesis a number that those of the same places share, whatever their severities: what a reader calls one answer.
    pub fn answers(&self) -> Vec<usize> {
        let mut known: HashMap<Vec<&str>, usize> = HashMap::new();
        let mut all = Vec::new();
        for h in &self.hypotheses {
            let places = h.lesion.parts.iter().map(|p| p.place.as_str()).collect();
            let next = known.len();
            all.push(*known.entry(places).or_insert(next));
        }
        all
    }
}

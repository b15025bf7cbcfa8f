//! Which two places at once may explain a report? Each pair is first judged by what its two lesions predict alone; only those that may
//! lead are derived.

use super::belief::{Belief, Outcomes};
use super::hypotheses::Hypothesis;
use super::told::{Told, log_chance, log_chance_at};
use crate::anatomy::{Kind, Model, Structure};
use crate::findings::Fixed;
use crate::lesion::join;
use std::collections::HashMap;

/// Share of all pairs together: two places at once are uncommon. Our judgement.
const PAIR_SHARE: f64 = 0.03;
/// Most pairs that are derived.
const MOST: usize = 40;
/// A pair that is judged this much (natural logarithm) below the best place alone is left out.
const BEHIND: f64 = 4.0;

/// The pairs of sites, complete and partial, that may explain a report, to be added to the `places`.
pub fn pairs(model: &Model, places: &Belief, told: &[Told], fixed: &[Fixed]) -> Belief {
    let singles: Vec<usize> = (0..places.hypotheses.len())
        .filter(|&h| places.hypotheses[h].sites.len() == 1)
        .collect();
    let rows: Vec<Rows> = singles
        .iter()
        .map(|&h| Rows::of(places.outcomes(h), told))
        .collect();
    let total: f64 = places.hypotheses.iter().map(|h| h.prior).sum();
    let best = (0..places.hypotheses.len())
        .map(|h| places.hypotheses[h].prior.ln() + log_chance(places.outcomes(h), told))
        .fold(f64::NEG_INFINITY, f64::max);
    // Priors of all pairs add to their share of the whole.
    let mut weights = 0.0;
    let mut promising: Vec<(f64, usize, usize)> = Vec::new();
    for (a, rows_a) in rows.iter().enumerate() {
        for (b, rows_b) in rows.iter().enumerate().skip(a + 1) {
            let (x, y) = (
                &places.hypotheses[singles[a]],
                &places.hypotheses[singles[b]],
            );
            if x.sites == y.sites {
                continue;
            }
            let weight = (x.prior * y.prior).sqrt();
            weights += weight;
            let chance = log_chance_at(told, |s| rows_a.hopeful(rows_b, s));
            promising.push((weight.ln() + chance, a, b));
        }
    }
    let scale = PAIR_SHARE * total / weights;
    promising.retain(|(score, ..)| score + scale.ln() > best - BEHIND);
    promising.sort_by(|x, y| y.0.total_cmp(&x.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    promising.truncate(MOST);
    let hypotheses = promising
        .into_iter()
        .map(|(_, a, b)| {
            let (x, y) = (
                &places.hypotheses[singles[a]],
                &places.hypotheses[singles[b]],
            );
            Hypothesis {
                lesion: join(&x.lesion, &y.lesion),
                prior: (x.prior * y.prior).sqrt() * scale,
                sites: [&x.sites[..], &y.sites[..]].concat(),
            }
        })
        .collect();
    Belief::new(model, hypotheses, fixed)
}

/// What one lesion predicts of the structures that a report speaks of.
struct Rows(HashMap<Structure, [f64; 4]>);

impl Rows {
    fn of(outcomes: &Outcomes, told: &[Told]) -> Self {
        let structures = told.iter().flat_map(|t| &t.structures);
        Rows(structures.map(|&s| (s, outcomes.row(s))).collect())
    }

    /// What both together may predict, judged on the hopeful side: each chance is the best of two fibres cut twice or never, so the
    /// three need not add to 1.
    fn hopeful(&self, other: &Rows, s: Structure) -> [f64; 4] {
        let missing = [0.0, 0.0, 1.0, 1.0];
        let x = self.0.get(&s).unwrap_or(&missing);
        let y = other.0.get(&s).unwrap_or(&missing);
        if s.kind == Kind::Sign {
            // A sign may need both, or be hidden by one of them.
            let both = x[0].max(y[0]).max(0.5);
            return [both, 0.0, x[2].max(y[2]), 1.0];
        }
        let [lost, spared] = [x[0].max(y[0]), x[2].min(y[2])];
        let apart = (x[3] + y[3] - 1.0).max(0.0);
        let lost = if apart < 0.1 { lost.max(0.9) } else { lost };
        let weak = x[1].max(y[1]).min(1.0 - spared);
        [lost, weak, spared, apart]
    }
}

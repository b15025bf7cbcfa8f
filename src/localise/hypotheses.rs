//! Turns the sites of a model into everything that may be wrong: each site at three severities, and pairs of sites.

use crate::anatomy::Model;
use crate::lesion::{Lesion, Severity, at, join};

/// Severities that every site is considered at, with their prior share. Our judgement: partial lesions are the commonest.
pub const SEVERITIES: [(f64, f64); 3] = [(1.0, 0.35), (0.85, 0.25), (0.5, 0.40)];
/// Prior share of all pairs together: two places at once are uncommon. Our judgement.
pub const PAIR_SHARE: f64 = 0.03;

/// How far to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// Single lesions at three severities.
    Singles,
    /// And every pair of sites, both complete.
    Pairs,
}

/// One thing that may be wrong.
#[derive(Debug, Clone)]
pub struct Hypothesis {
    pub lesion: Lesion,
    /// Adds to 1 over all hypotheses.
    pub prior: f64,
    /// Positions of its sites in the model.
    pub sites: Vec<usize>,
}

/// All hypotheses. `flat`: every single as likely as every other, instead of weighed by how common its site is.
pub fn hypotheses(model: &Model, scope: Scope, flat: bool) -> Vec<Hypothesis> {
    let weight = |i: usize| {
        if flat {
            1.0
        } else {
            model.sites[i].weight.max(1e-6)
        }
    };
    let total: f64 = (0..model.sites.len()).map(weight).sum();
    let mut all = Vec::new();
    let mut whole = Vec::new();
    for (i, site) in model.sites.iter().enumerate() {
        for (share, part) in SEVERITIES {
            let severity = if share >= 1.0 {
                Severity::Complete
            } else {
                Severity::Partial(share)
            };
            let Ok(lesion) = at(model, &site.id, severity) else {
                continue;
            };
            if share >= 1.0 {
                whole.push((i, lesion.clone()));
            }
            let part = if flat {
                1.0 / SEVERITIES.len() as f64
            } else {
                part
            };
            all.push(Hypothesis {
                lesion,
                prior: weight(i) / total * part,
                sites: vec![i],
            });
        }
    }
    if scope == Scope::Pairs {
        let mut pairs = Vec::new();
        for (k, (i, a)) in whole.iter().enumerate() {
            for (j, b) in &whole[k + 1..] {
                // A pair in which one place lies on the other's way adds nothing that can be found.
                pairs.push(Hypothesis {
                    lesion: join(a, b),
                    prior: weight(*i).sqrt() * weight(*j).sqrt(),
                    sites: vec![*i, *j],
                });
            }
        }
        let sum: f64 = pairs.iter().map(|p| p.prior).sum();
        if sum > 0.0 {
            all.iter_mut().for_each(|h| h.prior *= 1.0 - PAIR_SHARE);
            pairs.iter_mut().for_each(|p| p.prior *= PAIR_SHARE / sum);
            all.extend(pairs);
        }
    }
    let sum: f64 = all.iter().map(|h| h.prior).sum();
    if sum > 0.0 {
        all.iter_mut().for_each(|h| h.prior /= sum);
    }
    all
}

//! Turns probabilities into a list for a reader: best first, look-alikes grouped, with what fits, what contradicts and what nobody tested.

use super::belief::Belief;
use super::next::{NextTest, next_test, reliable};
use super::observe::{Observation, observation};
use crate::anatomy::Model;
use crate::findings::{Findings, Fixed, derive};
use crate::lesion::Lesion;

/// One lesion of the list.
#[derive(Debug, Clone)]
pub struct Ranked {
    pub lesion: Lesion,
    /// Position in the belief's hypotheses.
    pub hypothesis: usize,
    pub probability: f64,
    /// From 1; lesions of one group cannot be told apart by these findings.
    pub group: usize,
    pub fits: Vec<Observation>,
    pub contradicts: Vec<Observation>,
    /// Decisive for this lesion, at the bedside, and not among the observations.
    pub untested: Vec<Observation>,
}

#[derive(Debug, Clone)]
pub struct Ranking {
    pub rows: Vec<Ranked>,
    pub next: Option<NextTest>,
}

/// An observation with at least this chance fits; with less than `CONTRADICTS` it contradicts.
const FITS: f64 = 0.5;
const CONTRADICTS: f64 = 0.15;
/// Two lesions are alike when no observation's chance differs by more than this.
const ALIKE: f64 = 0.15;
/// The list ends when this much of the probability is shown, but has at least `LEAST` rows.
const SHOWN: f64 = 0.999;
const LEAST: usize = 10;

/// Ranks all hypotheses.
pub fn rank(
    model: &Model,
    belief: &Belief,
    observations: &[Observation],
    fixed: &[Fixed],
) -> Ranking {
    let posterior = belief.posterior(observations);
    let mut order: Vec<usize> = (0..posterior.len()).collect();
    order.sort_by(|&a, &b| posterior[b].total_cmp(&posterior[a]).then(a.cmp(&b)));
    let mut rows: Vec<Ranked> = Vec::new();
    let mut shown = 0.0;
    let mut groups = 0;
    for h in order {
        if shown >= SHOWN && rows.len() >= LEAST {
            break;
        }
        shown += posterior[h];
        let group = rows
            .iter()
            .find(|r| alike(belief, observations, r.hypothesis, h))
            .map_or_else(
                || {
                    groups += 1;
                    groups
                },
                |r| r.group,
            );
        let outcomes = belief.outcomes(h);
        let (mut fits, mut contradicts) = (Vec::new(), Vec::new());
        for o in observations.iter().filter(|o| o.seen.column().is_some()) {
            match outcomes.chance(o) {
                c if c >= FITS => fits.push(*o),
                c if c < CONTRADICTS => contradicts.push(*o),
                _ => {}
            }
        }
        let lesion = belief.hypotheses[h].lesion.clone();
        let untested = untested(model, &derive(model, &lesion, fixed), observations);
        rows.push(Ranked {
            lesion,
            hypothesis: h,
            probability: posterior[h],
            group,
            fits,
            contradicts,
            untested,
        });
    }
    Ranking {
        rows,
        next: next_test(model, belief, observations, &posterior),
    }
}

/// These observations say the same of both hypotheses.
fn alike(belief: &Belief, observations: &[Observation], a: usize, b: usize) -> bool {
    let (a, b) = (belief.outcomes(a), belief.outcomes(b));
    observations
        .iter()
        .all(|o| (a.chance(o) - b.chance(o)).abs() <= ALIKE)
}

fn untested(model: &Model, findings: &Findings, observations: &[Observation]) -> Vec<Observation> {
    findings
        .all()
        .filter(|f| f.affected() && reliable(model, f.structure))
        .filter(|f| !observations.iter().any(|o| o.structure == f.structure))
        .filter_map(observation)
        .collect()
}

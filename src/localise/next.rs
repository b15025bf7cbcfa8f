//! Turns probabilities into the one test not yet done that is expected to narrow the list most, in bits.

use super::belief::Belief;
use super::observe::{Observation, Seen};
use crate::anatomy::{Kind, Model, Structure};

/// What one outcome of a test would mean.
#[derive(Debug, Clone)]
pub struct Branch {
    pub seen: Seen,
    /// Chance of this outcome, 0-1.
    pub chance: f64,
    /// Position of the hypothesis that would lead, and its probability then.
    pub leads_to: usize,
    pub probability: f64,
}

#[derive(Debug, Clone)]
pub struct NextTest {
    pub structure: Structure,
    /// Expected information gain in bits: by how much the uncertainty over sites shrinks on average.
    pub gain: f64,
    pub outcomes: Vec<Branch>,
}

/// Can be examined at the bedside well enough to decide something.
pub fn reliable(model: &Model, s: Structure) -> bool {
    worth(model, s) >= 0.5
}

/// How much an examiner can rely on the test, 0-1: muscles that are hard to isolate count less, tests beyond the bedside nothing.
pub fn worth(model: &Model, s: Structure) -> f64 {
    if !model.testable(s) {
        return 0.0;
    }
    match s.kind {
        Kind::Muscle => model.muscles[s.position].isolation,
        Kind::Reflex => model.reflexes[s.position].reliability,
        Kind::Movement | Kind::Skin | Kind::Sign => 0.95,
    }
}

/// The most telling test that is not among the observations; `None` when nothing would tell more.
pub fn next_test(
    model: &Model,
    belief: &Belief,
    observations: &[Observation],
    posterior: &[f64],
) -> Option<NextTest> {
    let live: Vec<usize> = (0..posterior.len())
        .filter(|&h| posterior[h] > 1e-4)
        .collect();
    let kinds = [
        Kind::Muscle,
        Kind::Skin,
        Kind::Reflex,
        Kind::Sign,
        Kind::Movement,
    ];
    let mut best: Option<(f64, Structure)> = None;
    for s in kinds.into_iter().flat_map(|kind| model.structures(kind)) {
        let done = observations.iter().any(|o| o.structure == s);
        if done || !reliable(model, s) {
            continue;
        }
        let gain = gain(belief, &live, posterior, s) * worth(model, s);
        if best.is_none_or(|(b, _)| gain > b + 1e-9) {
            best = Some((gain, s));
        }
    }
    let (valued, structure) = best?;
    let gain = gain(belief, &live, posterior, structure);
    if valued < 0.005 {
        return None;
    }
    let outcomes = [Seen::Lost, Seen::Weak, Seen::Spared]
        .into_iter()
        .filter(|s| !(structure.kind == Kind::Sign && *s == Seen::Weak))
        .filter_map(|seen| branch(belief, &live, posterior, Observation { structure, seen }))
        .collect();
    Some(NextTest {
        structure,
        gain,
        outcomes,
    })
}

/// Mutual information between the site and the outcome, in bits. Severities of one set of sites count as one answer.
fn gain(belief: &Belief, live: &[usize], posterior: &[f64], s: Structure) -> f64 {
    let mut before: Vec<(&[usize], f64, [f64; 3])> = Vec::new();
    for &h in live {
        let p = posterior[h];
        let out = belief.outcomes(h).at(s);
        let sites = belief.hypotheses[h].sites.as_slice();
        match before.iter_mut().find(|(s, ..)| *s == sites) {
            Some((_, total, joint)) => {
                *total += p;
                joint.iter_mut().zip(out).for_each(|(j, o)| *j += p * o);
            }
            None => before.push((sites, p, out.map(|o| p * o))),
        }
    }
    let marginal: [f64; 3] = [0, 1, 2].map(|c| before.iter().map(|(_, _, j)| j[c]).sum());
    let mut bits = 0.0;
    for (_, p, joint) in &before {
        for c in 0..3 {
            if joint[c] > 0.0 && marginal[c] > 0.0 && *p > 0.0 {
                bits += joint[c] * (joint[c] / (p * marginal[c])).log2();
            }
        }
    }
    bits.max(0.0)
}

fn branch(belief: &Belief, live: &[usize], posterior: &[f64], o: Observation) -> Option<Branch> {
    let weighed: Vec<(usize, f64)> = live
        .iter()
        .map(|&h| (h, posterior[h] * belief.outcomes(h).chance(&o)))
        .collect();
    let chance: f64 = weighed.iter().map(|(_, w)| w).sum();
    let (leads_to, weight) = weighed.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    (chance > 0.0).then(|| Branch {
        seen: o.seen,
        chance,
        leads_to,
        probability: weight / chance,
    })
}

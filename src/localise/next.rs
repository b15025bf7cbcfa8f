//! Turns probabilities into the one test not yet done that is expected to narrow the list most, in bits.

use super::belief::Belief;
use super::observe::{Observation, Seen};
use crate::anatomy::Model;
use crate::findings::Kind;

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
    pub kind: Kind,
    pub index: usize,
    /// Expected information gain in bits: by how much the uncertainty over sites shrinks on average.
    pub gain: f64,
    pub outcomes: Vec<Branch>,
}

/// Can be examined at the bedside well enough to decide something.
pub fn testable(model: &Model, kind: Kind, index: usize) -> bool {
    worth(model, kind, index) >= 0.5
}

/// How much an examiner can rely on the test, 0-1: muscles that are hard to isolate and tests beyond the bedside count less.
pub fn worth(model: &Model, kind: Kind, index: usize) -> f64 {
    match kind {
        Kind::Muscle => model.muscles[index].isolation,
        Kind::Sign if model.signs[index].group == "electrodiagnosis" => 0.0,
        Kind::Reflex => model.reflexes[index].reliability,
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
    let sizes = [
        (Kind::Muscle, model.muscles.len()),
        (Kind::Skin, model.skin.len()),
        (Kind::Reflex, model.reflexes.len()),
        (Kind::Sign, model.signs.len()),
        (Kind::Movement, model.movements.len()),
    ];
    let mut best: Option<(f64, Kind, usize)> = None;
    for (kind, count) in sizes {
        for index in 0..count {
            let done = observations
                .iter()
                .any(|o| o.kind == kind && o.index == index);
            if done || !testable(model, kind, index) {
                continue;
            }
            let gain = gain(belief, &live, posterior, kind, index) * worth(model, kind, index);
            if best.is_none_or(|(b, ..)| gain > b + 1e-9) {
                best = Some((gain, kind, index));
            }
        }
    }
    let (valued, kind, index) = best?;
    let gain = gain(belief, &live, posterior, kind, index);
    if valued < 0.005 {
        return None;
    }
    let outcomes = [Seen::Lost, Seen::Weak, Seen::Spared]
        .into_iter()
        .filter(|s| !(kind == Kind::Sign && *s == Seen::Weak))
        .filter_map(|seen| branch(belief, &live, posterior, Observation { kind, index, seen }))
        .collect();
    Some(NextTest {
        kind,
        index,
        gain,
        outcomes,
    })
}

/// Mutual information between the site and the outcome, in bits. Severities of one set of sites count as one answer.
fn gain(belief: &Belief, live: &[usize], posterior: &[f64], kind: Kind, index: usize) -> f64 {
    let mut before: Vec<(&[usize], f64, [f64; 3])> = Vec::new();
    for &h in live {
        let p = posterior[h];
        let out = belief.outcomes(h).at(kind, index);
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

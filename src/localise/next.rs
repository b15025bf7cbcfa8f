//! Which test that is not yet done is expected to narrow the list most, and where would its outcomes lead?

use super::belief::Belief;
use super::observe::{Observation, Seen};
use super::told::Told;
use crate::anatomy::{Kind, Model, Structure};
use crate::lesion::Lesion;
use std::collections::BTreeMap;

/// What one outcome of a test would mean.
#[derive(Debug, Clone)]
pub struct Branch {
    pub seen: Seen,
    /// Chance of this outcome, 0-1.
    pub chance: f64,
    /// The lesion that would lead, and the probability then of its places at any severity.
    pub leads_to: Lesion,
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
    told: &[Told],
    posterior: &[f64],
) -> Option<NextTest> {
    let answers = belief.answers();
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
        let done = told.iter().any(|t| t.structures.contains(&s));
        if done || !reliable(model, s) {
            continue;
        }
        let gain = gain(belief, &answers, &live, posterior, s) * worth(model, s);
        if best.is_none_or(|(b, _)| gain > b + 1e-9) {
            best = Some((gain, s));
        }
    }
    let (valued, structure) = best?;
    let gain = gain(belief, &answers, &live, posterior, structure);
    if valued < 0.005 {
        return None;
    }
    let outcomes = [Seen::Lost, Seen::Weak, Seen::Spared]
        .into_iter()
        .filter(|s| !(structure.kind == Kind::Sign && *s == Seen::Weak))
        .filter_map(|seen| {
            let outcome = Observation { structure, seen };
            branch(belief, &answers, &live, posterior, outcome)
        })
        .collect();
    Some(NextTest {
        structure,
        gain,
        outcomes,
    })
}

/// Mutual information between the answer and the outcome, in bits. Severities of the same places count as one answer.
fn gain(
    belief: &Belief,
    answers: &[usize],
    live: &[usize],
    posterior: &[f64],
    s: Structure,
) -> f64 {
    let mut before: BTreeMap<usize, (f64, [f64; 3])> = BTreeMap::new();
    for &h in live {
        let (total, joint) = before.entry(answers[h]).or_default();
        *total += posterior[h];
        let out = belief.outcomes(h).at(s);
        joint
            .iter_mut()
            .zip(out)
            .for_each(|(j, o)| *j += posterior[h] * o);
    }
    let marginal: [f64; 3] = [0, 1, 2].map(|c| before.values().map(|(_, j)| j[c]).sum());
    let mut bits = 0.0;
    for (p, joint) in before.values() {
        for c in 0..3 {
            if joint[c] > 0.0 && marginal[c] > 0.0 && *p > 0.0 {
                bits += joint[c] * (joint[c] / (p * marginal[c])).log2();
            }
        }
    }
    bits.max(0.0)
}

fn branch(
    belief: &Belief,
    answers: &[usize],
    live: &[usize],
    posterior: &[f64],
    o: Observation,
) -> Option<Branch> {
    // Of each answer its weight after the outcome, and the likeliest of its hypotheses with that one's.
    let mut after: BTreeMap<usize, (f64, usize, f64)> = BTreeMap::new();
    for &h in live {
        let weight = posterior[h] * belief.outcomes(h).chance(&o);
        let (total, first, best) = after.entry(answers[h]).or_insert((0.0, h, weight));
        *total += weight;
        if weight > *best {
            (*first, *best) = (h, weight);
        }
    }
    let chance: f64 = after.values().map(|(total, ..)| total).sum();
    let (weight, first, _) = after.into_values().max_by(|a, b| a.0.total_cmp(&b.0))?;
    (chance > 0.0).then(|| Branch {
        seen: o.seen,
        chance,
        leads_to: belief.hypotheses[first].lesion.clone(),
        probability: weight / chance,
    })
}

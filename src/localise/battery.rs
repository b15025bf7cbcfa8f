//! Turns a lesion and its rivals into the shortest set of bedside tests that tells it from all of them.

use super::next::{reliable, worth};
use super::observe::{Observation, observation};
use crate::anatomy::Model;
use crate::findings::{Finding, Findings, derive};
use crate::lesion::{Severity, at};

/// The shortest set of tests.
#[derive(Debug, Clone)]
pub struct Battery {
    /// What to test, with what is found in the lesion itself.
    pub tests: Vec<Observation>,
    /// Positions of sites that no bedside test tells from it for certain.
    pub alike: Vec<usize>,
}

/// No battery is longer than this; a teacher's hand has five fingers.
const LONGEST: usize = 6;

/// The shortest battery that tells the complete lesion at `site` from the complete lesions at all other sites.
pub fn battery(model: &Model, site: usize) -> Battery {
    let all: Vec<usize> = (0..model.sites.len()).collect();
    battery_among(model, site, &all)
}

/// The same, with the rivals limited to `sites`.
pub fn battery_among(model: &Model, site: usize, sites: &[usize]) -> Battery {
    let Some(own) = findings_at(model, site) else {
        return Battery {
            tests: Vec::new(),
            alike: Vec::new(),
        };
    };
    let rivals: Vec<(usize, Findings)> = sites
        .iter()
        .filter(|&&s| s != site)
        .filter_map(|&s| Some((s, findings_at(model, s)?)))
        .collect();
    let theirs: Vec<&Findings> = rivals.iter().map(|(_, f)| f).collect();
    let usable = |f: &Finding| reliable(model, f.structure);
    let (chosen, alike) = battery_against(model, &own, &theirs, &usable);
    Battery {
        tests: chosen.iter().filter_map(observation).collect(),
        alike: alike
            .iter()
            .filter_map(|&k| rivals.get(k).map(|(s, _)| *s))
            .collect(),
    }
}

/// The shortest set of `usable` findings that tells `own` from all `rivals`, and the positions of the rivals that none of them tells
/// apart for certain.
pub fn battery_against(
    model: &Model,
    own: &Findings,
    rivals: &[&Findings],
    usable: &dyn Fn(&Finding) -> bool,
) -> (Vec<Finding>, Vec<usize>) {
    let mut candidates: Vec<&Finding> = own
        .all()
        .filter(|f| (f.affected() || f.spared()) && usable(f))
        .collect();
    // Of tests that tell the same apart, the most reliable is kept; the sort is stable, so the model's order breaks ties.
    candidates.sort_by(|a, b| worth(model, b.structure).total_cmp(&worth(model, a.structure)));
    // One bit a rival that the test tells apart for certain.
    let tells: Vec<u128> = candidates
        .iter()
        .map(|f| {
            rivals
                .iter()
                .enumerate()
                .take(128)
                .fold(0u128, |bits, (k, other)| {
                    let Some(theirs) = other.get(f.structure) else {
                        return bits;
                    };
                    let apart =
                        (f.affected() && theirs.spared()) || (f.spared() && theirs.affected());
                    bits | u128::from(apart) << k
                })
        })
        .collect();
    let reachable = tells.iter().fold(0, |all, t| all | t);
    let alike = rivals
        .iter()
        .enumerate()
        .filter(|(k, _)| reachable >> k & 1 == 0)
        .map(|(k, _)| k)
        .collect();
    // Of tests that tell the same rivals apart, only the first can be needed.
    let mut kept: Vec<usize> = Vec::new();
    for (i, t) in tells.iter().enumerate() {
        let covered = |&j: &usize| tells[j] | t == tells[j];
        if *t != 0 && !kept.iter().any(covered) {
            kept.retain(|&j| tells[j] | t != *t);
            kept.push(i);
        }
    }
    let mut chosen = Vec::new();
    for size in 0..=LONGEST {
        if search(&tells, &kept, reachable, size, &mut chosen) {
            break;
        }
    }
    if chosen.is_empty() && reachable != 0 {
        chosen = greedy(&tells, reachable);
    }
    let tests = chosen.iter().map(|&i| *candidates[i]).collect();
    (tests, alike)
}

fn findings_at(model: &Model, site: usize) -> Option<Findings> {
    let lesion = at(model, &model.sites.get(site)?.id, Severity::Complete).ok()?;
    Some(derive(model, &lesion, &[]))
}

/// Branches on the rival that fewest tests tell apart: one of those tests must be in the set.
fn search(
    tells: &[u128],
    kept: &[usize],
    open: u128,
    size: usize,
    chosen: &mut Vec<usize>,
) -> bool {
    if open == 0 {
        return true;
    }
    if size == 0 {
        return false;
    }
    let most = kept
        .iter()
        .map(|&t| (tells[t] & open).count_ones())
        .max()
        .unwrap_or(0);
    if most as usize * size < open.count_ones() as usize {
        return false;
    }
    let hardest = (0..128)
        .filter(|k| open >> k & 1 == 1)
        .min_by_key(|k| kept.iter().filter(|&&t| tells[t] >> k & 1 == 1).count());
    let Some(hardest) = hardest else { return false };
    let mut options: Vec<usize> = kept
        .iter()
        .copied()
        .filter(|&t| tells[t] >> hardest & 1 == 1)
        .collect();
    options.sort_by_key(|&t| (std::cmp::Reverse((tells[t] & open).count_ones()), t));
    for t in options {
        chosen.push(t);
        if search(tells, kept, open & !tells[t], size - 1, chosen) {
            return true;
        }
        chosen.pop();
    }
    false
}

fn greedy(tells: &[u128], mut open: u128) -> Vec<usize> {
    let mut chosen = Vec::new();
    while open != 0 {
        let Some(best) = (0..tells.len())
            .max_by_key(|&t| ((tells[t] & open).count_ones(), std::cmp::Reverse(t)))
        else {
            break;
        };
        if tells[best] & open == 0 {
            break;
        }
        open &= !tells[best];
        chosen.push(best);
    }
    chosen
}

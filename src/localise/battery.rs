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
    // The rivals that each test tells apart for certain.
    let tells: Vec<Rivals> = candidates
        .iter()
        .map(|f| {
            let apart = |other: &&Findings| {
                other.get(f.structure).is_some_and(|theirs| {
                    (f.affected() && theirs.spared()) || (f.spared() && theirs.affected())
                })
            };
            Rivals::of(rivals.iter().map(apart))
        })
        .collect();
    let mut reachable = Rivals::of(rivals.iter().map(|_| false));
    tells.iter().for_each(|t| reachable.add(t));
    let alike = (0..rivals.len()).filter(|&k| !reachable.holds(k)).collect();
    // Of tests that tell the same rivals apart, only the first can be needed.
    let mut kept: Vec<usize> = Vec::new();
    for (i, t) in tells.iter().enumerate() {
        if t.count() > 0 && !kept.iter().any(|&j| t.within(&tells[j])) {
            kept.retain(|&j| !tells[j].within(t));
            kept.push(i);
        }
    }
    let mut chosen = Vec::new();
    for size in 0..=LONGEST {
        if search(&tells, &kept, &reachable, size, &mut chosen) {
            break;
        }
    }
    if chosen.is_empty() && reachable.count() > 0 {
        chosen = greedy(&tells, reachable);
    }
    let tests = chosen.iter().map(|&i| *candidates[i]).collect();
    (tests, alike)
}

fn findings_at(model: &Model, site: usize) -> Option<Findings> {
    let lesion = at(model, &model.sites.get(site)?.id, Severity::Complete).ok()?;
    Some(derive(model, &lesion, &[]))
}

/// Some of the rivals, by their position; one bit each.
#[derive(Clone, PartialEq)]
struct Rivals(Vec<u64>);

impl Rivals {
    fn of(told: impl Iterator<Item = bool>) -> Self {
        let mut all = Vec::new();
        for (k, yes) in told.enumerate() {
            if k % 64 == 0 {
                all.push(0);
            }
            if let (true, Some(last)) = (yes, all.last_mut()) {
                *last |= 1 << (k % 64);
            }
        }
        Rivals(all)
    }

    fn holds(&self, k: usize) -> bool {
        self.0.get(k / 64).is_some_and(|w| w >> (k % 64) & 1 == 1)
    }

    fn count(&self) -> usize {
        self.0.iter().map(|w| w.count_ones() as usize).sum()
    }

    fn add(&mut self, other: &Rivals) {
        self.0.iter_mut().zip(&other.0).for_each(|(a, b)| *a |= b);
    }

    /// How many are in both.
    fn common(&self, other: &Rivals) -> usize {
        let both = self.0.iter().zip(&other.0).map(|(a, b)| a & b);
        both.map(|w| w.count_ones() as usize).sum()
    }

    fn without(&self, other: &Rivals) -> Rivals {
        Rivals(self.0.iter().zip(&other.0).map(|(a, b)| a & !b).collect())
    }

    fn within(&self, other: &Rivals) -> bool {
        self.common(other) == self.count()
    }

    fn all(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.0.len() * 64).filter(|&k| self.holds(k))
    }
}

/// Branches on the rival that fewest tests tell apart: one of those tests must be in the set.
fn search(
    tells: &[Rivals],
    kept: &[usize],
    open: &Rivals,
    size: usize,
    chosen: &mut Vec<usize>,
) -> bool {
    let left = open.count();
    if left == 0 {
        return true;
    }
    if size == 0 {
        return false;
    }
    let most = kept.iter().map(|&t| tells[t].common(open)).max();
    if most.unwrap_or(0) * size < left {
        return false;
    }
    let hardest = open
        .all()
        .min_by_key(|&k| kept.iter().filter(|&&t| tells[t].holds(k)).count());
    let Some(hardest) = hardest else { return false };
    let mut options: Vec<usize> = kept
        .iter()
        .copied()
        .filter(|&t| tells[t].holds(hardest))
        .collect();
    options.sort_by_key(|&t| (std::cmp::Reverse(tells[t].common(open)), t));
    for t in options {
        chosen.push(t);
        if search(tells, kept, &open.without(&tells[t]), size - 1, chosen) {
            return true;
        }
        chosen.pop();
    }
    false
}

fn greedy(tells: &[Rivals], mut open: Rivals) -> Vec<usize> {
    let mut chosen = Vec::new();
    while open.count() > 0 {
        let best = (0..tells.len()).max_by_key(|&t| (tells[t].common(&open), std::cmp::Reverse(t)));
        let Some(best) = best.filter(|&t| tells[t].common(&open) > 0) else {
            break;
        };
        open = open.without(&tells[best]);
        chosen.push(best);
    }
    chosen
}

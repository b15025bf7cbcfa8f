//! Turns a lesion and the findings a candidate is given into the proof that they lead back to it, or the finding that is missing.

use super::belief::{Belief, Outcomes};
use super::hypotheses::singles;
use super::next::reliable;
use super::observe::{Observation, observation};
use crate::anatomy::Model;
use crate::findings::{Finding, Findings, Fixed};
use crate::lesion::Lesion;

/// By how much the lesion must lead the runner-up: 3 bits, eight times as likely on the findings alone.
pub const MARGIN_BITS: f64 = 3.0;
/// Most findings that are added to make a lesion provable.
pub const MOST_ADDED: usize = 10;

/// The way back from the findings of a station.
#[derive(Debug, Clone)]
pub struct Proof {
    /// The findings given, the added ones last.
    pub given: Vec<Observation>,
    pub added: Vec<Observation>,
    /// Lead over the best lesion at another place that findings can tell apart, in bits (likelihood alone, no priors).
    pub margin_bits: f64,
    /// That lesion.
    pub runner_up: Option<Lesion>,
    /// Sites (positions in the model) that these findings cannot tell from the lesion; named in answer and grid.
    pub equals: Vec<usize>,
    /// First, ahead of the runner-up by the margin.
    pub holds: bool,
    /// All other sites with their distance in bits, nearest first: (site, bits).
    pub rivals: Vec<(usize, f64)>,
}

/// What a proof starts from.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    pub model: &'a Model,
    pub belief: &'a Belief,
    pub lesion: &'a Lesion,
    pub findings: &'a Findings,
    pub fixed: &'a [Fixed],
}

/// The rivals of every proof: single lesions at three severities, all sites alike, for a rare lesion must be provable too.
pub fn rivals(model: &Model, fixed: &[Fixed]) -> Belief {
    Belief::new(model, singles(model), fixed)
}

/// Proves the way back among `belief` (see [`rivals`]), adding findings that are `usable`, `most` at the most, until the margin is reached.
pub fn prove(
    known: &Known<'_>,
    given: &[Observation],
    most: usize,
    usable: &dyn Fn(&Finding) -> bool,
) -> Proof {
    let Known {
        model,
        belief,
        lesion,
        findings,
        fixed,
    } = *known;
    let own = Outcomes::of(model, lesion, fixed);
    let mut given = given.to_vec();
    let mut added = Vec::new();
    // What no finding can part is grouped, whatever is given.
    let everything: Vec<Observation> = findings
        .all()
        .filter(|f| reliable(model, f.structure))
        .filter_map(observation)
        .collect();
    let addable: Vec<Observation> = findings
        .all()
        .filter(|f| reliable(model, f.structure) && usable(f))
        .filter_map(observation)
        .collect();
    loop {
        let state = weigh(model, belief, lesion, &own, &given, &everything);
        if state.holds || added.len() >= most {
            return Proof {
                given,
                added,
                ..state
            };
        }
        match separating(belief, lesion, &own, &given, &addable, &state) {
            Some(o) => {
                given.push(o);
                added.push(o);
            }
            None => {
                return Proof {
                    given,
                    added,
                    ..state
                };
            }
        }
    }
}

fn bits(of: &Outcomes, observations: &[Observation]) -> f64 {
    of.log_chance(observations) / std::f64::consts::LN_2
}

/// The site a hypothesis stands for is one the lesion itself names.
fn own_site(model: &Model, lesion: &Lesion, sites: &[usize]) -> bool {
    sites.iter().any(|&s| {
        lesion.parts.iter().any(|p| p.place == model.sites[s].id)
            || (model.sites[s].segments.len() == lesion.cuts.len()
                && model.sites[s]
                    .segments
                    .iter()
                    .all(|seg| lesion.set.contains(*seg)))
    })
}

fn weigh(
    model: &Model,
    belief: &Belief,
    lesion: &Lesion,
    own: &Outcomes,
    given: &[Observation],
    everything: &[Observation],
) -> Proof {
    let lead = bits(own, given);
    let full = bits(own, everything);
    let mut best: Vec<(usize, f64, usize)> = Vec::new();
    let mut equals = Vec::new();
    for (h, hypothesis) in belief.hypotheses.iter().enumerate() {
        if own_site(model, lesion, &hypothesis.sites) {
            continue;
        }
        let Some(&site) = hypothesis.sites.first() else {
            continue;
        };
        let theirs = belief.outcomes(h);
        // Even with every bedside finding known, this lesion stays within the margin: an equal.
        let inseparable = full - bits(theirs, everything) < MARGIN_BITS;
        if inseparable && !equals.contains(&site) {
            equals.push(site);
        }
        let gap = lead - bits(theirs, given);
        match best.iter_mut().find(|(s, ..)| *s == site) {
            Some(row) if gap < row.1 => *row = (site, gap, h),
            Some(_) => {}
            None => best.push((site, gap, h)),
        }
    }
    best.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let nearest = best.iter().find(|(s, ..)| !equals.contains(s));
    let margin_bits = nearest.map_or(f64::INFINITY, |(_, gap, _)| *gap);
    Proof {
        given: Vec::new(),
        added: Vec::new(),
        margin_bits,
        runner_up: nearest.map(|(_, _, h)| belief.hypotheses[*h].lesion.clone()),
        holds: margin_bits >= MARGIN_BITS,
        rivals: best.iter().map(|(s, gap, _)| (*s, *gap)).collect(),
        equals,
    }
}

/// The finding of the lesion that widens the narrowest lead most.
fn separating(
    belief: &Belief,
    lesion: &Lesion,
    own: &Outcomes,
    given: &[Observation],
    addable: &[Observation],
    state: &Proof,
) -> Option<Observation> {
    let close: Vec<usize> = (0..belief.hypotheses.len())
        .filter(|&h| {
            let sites = &belief.hypotheses[h].sites;
            let same = sites.iter().all(|s| state.equals.contains(s))
                || belief.hypotheses[h].lesion.parts[0].place == lesion.parts[0].place;
            !same && (bits(own, given) - bits(belief.outcomes(h), given)) < MARGIN_BITS
        })
        .collect();
    // Gaps count up to the margin only: a rival already left behind earns nothing more.
    let led = |observations: &[Observation]| -> f64 {
        let mine = bits(own, observations);
        close
            .iter()
            .map(|&h| (mine - bits(belief.outcomes(h), observations)).min(MARGIN_BITS))
            .sum()
    };
    let now = led(given);
    addable
        .iter()
        .filter(|o| !given.iter().any(|g| g.structure == o.structure))
        .map(|o| (led(&[given, &[*o]].concat()), o))
        .filter(|(then, _)| *then > now + 1e-3)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, o)| *o)
}

//! What may be wrong: each site at three severities, and branches that no site stands for.

use crate::anatomy::{Kind, Model, SegmentIx};
use crate::lesion::{Lesion, Severity, at};

/// Shares of the fibres cut that every place is considered at.
pub const SEVERITIES: [f64; 3] = [1.0, 0.85, 0.5];
/// How likely a branch that no site stands for is, against a site. Our judgement: sites are where nerves are injured in practice, so
/// a branch leads only when the findings ask for it twenty-five times as loudly.
const BRANCH: f64 = 0.04;

/// A site that is a hundred times as common as another weighs 1.26 times as much: less than any finding does.
const NUDGE: f64 = 0.05;

/// One thing that may be wrong.
#[derive(Debug, Clone)]
pub struct Hypothesis {
    pub lesion: Lesion,
    /// Against other hypotheses; any unit.
    pub prior: f64,
    /// Positions of its sites in the model; none for a branch.
    pub sites: Vec<usize>,
}

/// Whether an examiner chose the site, or a patient came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Setting {
    /// All sites alike; but of two that nothing parts, the commoner leads ([`NUDGE`]).
    Exam,
    /// Common sites likelier, softened (the cube root of how common each is), so that what was seen wins: a few clear findings
    /// outweigh the commonest site.
    Clinic,
}

/// Every site at three severities.
pub fn singles(model: &Model) -> Vec<Hypothesis> {
    sites(model, Setting::Exam)
}

/// Every site, and every branch that no site stands for, at three severities.
pub fn places(model: &Model, setting: Setting) -> Vec<Hypothesis> {
    let mut all = sites(model, setting);
    let mean = all.iter().map(|h| h.prior).sum::<f64>() / all.len().max(1) as f64;
    for segment in branches(model) {
        all.extend(
            at_severities(model, &model.segments[segment].id).map(|lesion| Hypothesis {
                lesion,
                prior: BRANCH * mean,
                sites: Vec::new(),
            }),
        );
    }
    all
}

fn sites(model: &Model, setting: Setting) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    for (i, site) in model.sites.iter().enumerate() {
        let prior = match setting {
            Setting::Exam => site.weight.max(1e-6).powf(NUDGE),
            Setting::Clinic => site.weight.max(1e-6).cbrt(),
        };
        all.extend(at_severities(model, &site.id).map(|lesion| Hypothesis {
            lesion,
            prior,
            sites: vec![i],
        }));
    }
    all
}

fn at_severities(model: &Model, place: &str) -> impl Iterator<Item = Lesion> {
    SEVERITIES.into_iter().filter_map(move |share| {
        let severity = if share >= 1.0 {
            Severity::Complete
        } else {
            Severity::Partial(share)
        };
        at(model, place, severity).ok()
    })
}

/// Stretches beyond the roots that cut what no site and no stretch before them cuts alone.
fn branches(model: &Model) -> Vec<SegmentIx> {
    let mut known: Vec<Vec<i32>> = model
        .sites
        .iter()
        .map(|s| cut(model, &s.segments))
        .collect();
    let mut all = Vec::new();
    for (ix, segment) in model.segments.iter().enumerate() {
        if !(segment.kind.plexus || segment.kind.named) || segment.only_in_variant {
            continue;
        }
        let cut = cut(model, &[ix]);
        if cut.iter().any(|&c| c > 0) && !known.contains(&cut) {
            known.push(cut);
            all.push(ix);
        }
    }
    all
}

/// Of each muscle and each area of skin, the share (per mille) of the usual fibres that pass any of the segments.
fn cut(model: &Model, segments: &[SegmentIx]) -> Vec<i32> {
    [Kind::Muscle, Kind::Skin]
        .into_iter()
        .flat_map(|kind| model.structures(kind))
        .map(|s| {
            let share: f64 = model
                .routes(s)
                .iter()
                .flat_map(|(weight, supply)| supply.usual().iter().map(move |f| (weight, f)))
                .filter(|(_, f)| segments.iter().any(|g| f.path.contains(*g)))
                .map(|(weight, f)| weight * f.weight)
                .sum();
            (share * 1000.0).round() as i32
        })
        .collect()
}

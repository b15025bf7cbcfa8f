//! What changes when the lesion is moved one place up, down or to the side?

use super::differential::{Decider, Rival};
use super::routes::depth;
use crate::anatomy::{Model, SegmentIx};
use crate::lesion::Lesion;

/// The lesion moved to a neighbouring place.
#[derive(Debug, Clone)]
pub struct Shift<'r> {
    pub to: &'r Rival,
    /// Findings that flip, the plainest first; never empty.
    pub flips: Vec<Decider>,
}

/// The nearest place up, the nearest down and the nearest beside, in this order, as far as there are such places with a finding that flips.
pub fn shifts<'r>(model: &Model, own: &Lesion, rivals: &'r [Rival]) -> Vec<Shift<'r>> {
    let above = |a: &Lesion, b: &Lesion| {
        let leads = b
            .set
            .iter()
            .any(|s| a.set.iter().any(|t| leads_to(model, t, s)));
        leads && !b.set.iter().any(|s| a.set.contains(s))
    };
    let level = |l: &Lesion| l.set.iter().map(|s| depth(model, s)).min().unwrap_or(0);
    let own_level = level(own);
    let near = |r: &&Rival| (level(&r.lesion).abs_diff(own_level), r.site);
    let usable = |r: &&Rival| r.deciders.iter().any(|d| model.testable(d.structure()));
    let up = rivals
        .iter()
        .filter(usable)
        .filter(|r| above(&r.lesion, own))
        .min_by_key(near);
    let down = rivals
        .iter()
        .filter(usable)
        .filter(|r| above(own, &r.lesion))
        .min_by_key(near);
    // The list is sorted by likeness, so the first that is neither above nor below is the nearest beside.
    let beside = rivals
        .iter()
        .filter(usable)
        .find(|r| !above(&r.lesion, own) && !above(own, &r.lesion));
    [up, down, beside]
        .into_iter()
        .flatten()
        .map(|to| Shift {
            to,
            flips: to
                .deciders
                .iter()
                .filter(|d| model.testable(d.structure()))
                .copied()
                .collect(),
        })
        .collect()
}

/// Fibres pass `from` on their way to `to`.
fn leads_to(model: &Model, from: SegmentIx, to: SegmentIx) -> bool {
    let above = model.segments.get(to).map_or(&[][..], |s| &s.from);
    above.iter().any(|&f| f == from || leads_to(model, from, f))
}

//! How much of a nerve does a lesion leave? The share of fibres lost along every segment, and on the way into every structure.

use crate::anatomy::{Fibres, Model, SegmentIx, SegmentSet};
use crate::lesion::Lesion;
use std::collections::BTreeMap;

/// Shares lost, 0 to 1.
pub struct Loss {
    /// Of the fibres that enter the segment.
    pub before: Vec<f64>,
    /// Of the fibres that leave its far end: the segment's own cut counted in.
    pub after: Vec<f64>,
    /// Of the fibres that go from one segment on to another.
    edges: BTreeMap<(SegmentIx, SegmentIx), f64>,
}

impl Loss {
    pub fn edge(&self, from: SegmentIx, to: SegmentIx) -> f64 {
        self.edges.get(&(from, to)).copied().unwrap_or(0.0)
    }
}

/// Follows the textbook fibres of every muscle and skin area; each structure counts the same.
pub fn loss(model: &Model, lesion: Option<&Lesion>) -> Loss {
    let n = model.segments.len();
    let mut loss = Loss {
        before: vec![0.0; n],
        after: vec![0.0; n],
        edges: BTreeMap::new(),
    };
    let Some(lesion) = lesion else {
        return loss;
    };
    let above = ancestors(model);
    let mut whole = vec![0.0; n];
    let mut edges: BTreeMap<(SegmentIx, SegmentIx), (f64, f64)> = BTreeMap::new();
    let supplies = model
        .muscles
        .iter()
        .map(|m| &m.supply)
        .chain(model.skin.iter().map(|s| &s.supply));
    for fibres in supplies.flat_map(|s| s.usual()) {
        for segment in fibres.path.iter() {
            let upstream = |s: SegmentIx| above.get(segment).is_some_and(|set| set.contains(s));
            let before = passing(fibres, lesion, upstream);
            let after = passing(fibres, lesion, |s| s == segment || upstream(s));
            whole[segment] += fibres.weight;
            loss.before[segment] += fibres.weight * (1.0 - before);
            loss.after[segment] += fibres.weight * (1.0 - after);
            for &from in &model.segments[segment].from {
                if fibres.path.contains(from) {
                    let edge = edges.entry((from, segment)).or_default();
                    edge.0 += fibres.weight * (1.0 - before);
                    edge.1 += fibres.weight;
                }
            }
        }
    }
    for (segment, &all) in whole.iter().enumerate() {
        if all > 0.0 {
            loss.before[segment] /= all;
            loss.after[segment] /= all;
        }
    }
    loss.edges = edges
        .into_iter()
        .map(|(edge, (lost, all))| (edge, lost / all))
        .collect();
    silent(model, lesion, &above, &whole, &mut loss);
    loss
}

/// Segments that serve no muscle or skin of the model (a branch to a joint, the phrenic nerve) lose what their parents lose.
fn silent(model: &Model, lesion: &Lesion, above: &[SegmentSet], whole: &[f64], loss: &mut Loss) {
    let mut order: Vec<SegmentIx> = (0..model.segments.len())
        .filter(|&s| whole[s] == 0.0)
        .collect();
    // Parents first: whoever stands above has fewer above.
    order.sort_by_key(|&s| above[s].iter().count());
    for segment in order {
        let parents: Vec<SegmentIx> = model.segments[segment]
            .from
            .iter()
            .copied()
            .filter(|&f| !model.segments[f].only_in_variant)
            .collect();
        let sum: f64 = parents.iter().map(|&f| loss.after[f]).sum();
        loss.before[segment] = sum / parents.len().max(1) as f64;
        let passes: f64 = lesion
            .cuts
            .iter()
            .filter(|c| c.segment == segment && c.roots.is_empty())
            .map(|c| c.passes)
            .product();
        loss.after[segment] = 1.0 - (1.0 - loss.before[segment]) * passes;
        for f in parents {
            loss.edges.insert((f, segment), loss.after[f]);
        }
    }
}

/// The share of these fibres lost by the time they reach their structure, 0 to 1.
pub fn lost_on_the_way(fibres: &[Fibres], lesion: Option<&Lesion>) -> f64 {
    let Some(lesion) = lesion else {
        return 0.0;
    };
    let whole: f64 = fibres.iter().map(|f| f.weight).sum();
    if whole == 0.0 {
        return 0.0;
    }
    fibres
        .iter()
        .map(|f| f.weight * (1.0 - passing(f, lesion, |_| true)))
        .sum::<f64>()
        / whole
}

fn passing(fibres: &Fibres, lesion: &Lesion, counts: impl Fn(SegmentIx) -> bool) -> f64 {
    lesion
        .cuts
        .iter()
        .filter(|cut| {
            fibres.path.contains(cut.segment)
                && counts(cut.segment)
                && (cut.roots.is_empty() || cut.roots.contains(&fibres.root))
        })
        .map(|cut| cut.passes)
        .product()
}

/// For each segment, those above it.
pub fn ancestors(model: &Model) -> Vec<SegmentSet> {
    let mut above = vec![SegmentSet::default(); model.segments.len()];
    // The check has shown that there is no circle; a course is at most as long as there are segments.
    let mut changed = true;
    while changed {
        changed = false;
        for (ix, segment) in model.segments.iter().enumerate() {
            let mut set = above[ix];
            for &from in &segment.from {
                set = set.union(&above[from]);
                set.insert(from);
            }
            if set != above[ix] {
                above[ix] = set;
                changed = true;
            }
        }
    }
    above
}

/// How a stretch of nerve is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    Whole,
    /// Some of its fibres are cut.
    Part,
    Cut,
}

pub fn fate(lost: f64) -> Fate {
    // Shares below a hundredth are rounding in the root tables.
    if lost < 0.01 {
        Fate::Whole
    } else if lost > 0.99 {
        Fate::Cut
    } else {
        Fate::Part
    }
}

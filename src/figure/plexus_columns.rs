//! Which segments does the picture of a plexus show, and in which column stands each? As the region declares its kinds: roots to the left,
//! then every kind of the plexus that has segments, then the nerves.

use super::fibres::ancestors;
use crate::anatomy::{Model, SegmentIx, SegmentSet};

/// A nerve that springs from the plexus, by its position in `Model::nerves`, with all its parents.
pub type Springing = (usize, Vec<SegmentIx>);

#[derive(Debug)]
pub struct Column {
    /// Position in `Model::kinds`.
    pub kind: usize,
    /// How many segments of its own kind each of these has above it, at most.
    pub depth: usize,
    pub segments: Vec<SegmentIx>,
}

#[derive(Debug)]
pub struct Columns {
    /// The roots of the plexus first.
    pub all: Vec<Column>,
    /// Roots that only lend a twig to a nerve of the others.
    pub strays: Vec<SegmentIx>,
    pub nerves: Vec<Springing>,
    /// Segments whose fibres all pass a posterior division.
    pub posterior: SegmentSet,
    column_of: Vec<Option<usize>>,
    rank: Vec<f64>,
}

impl Columns {
    /// `None`: nothing lies between the roots and the nerves.
    pub fn of(model: &Model) -> Option<Columns> {
        let root = |s: &SegmentIx| is_root(model, *s);
        let mut all = inner_columns(model);
        let root_kind = model
            .kinds
            .iter()
            .find(|k| k.kind.root && !k.kind.preganglionic)?;
        let inner: Vec<SegmentIx> = all.iter().flat_map(|c| c.segments.clone()).collect();
        let nerves = springing(model);
        // Roots of the plexus feed it, or join a nerve with a part of it.
        let fed = inner.iter().flat_map(|&s| parents(model, s));
        let joined = nerves.iter().filter(|(_, from)| meet(from, &inner));
        let mut roots: Vec<SegmentIx> = fed
            .chain(joined.flat_map(|(_, from)| from.iter().copied()))
            .filter(root)
            .collect();
        roots.sort_unstable();
        roots.dedup();
        if inner.is_empty() || roots.is_empty() {
            return None;
        }
        let own: Vec<SegmentIx> = roots.iter().chain(&inner).copied().collect();
        let nerves: Vec<Springing> = nerves.into_iter().filter(|n| meet(&n.1, &own)).collect();
        let lent = nerves.iter().flat_map(|(_, from)| from.iter().copied());
        let mut strays: Vec<SegmentIx> = lent.filter(root).filter(|f| !roots.contains(f)).collect();
        strays.sort_unstable();
        strays.dedup();
        let above = ancestors(model);
        let rank = |ix: SegmentIx| {
            let among = roots.iter().enumerate();
            let own = among.filter(|&(_, &root)| root == ix || above[ix].contains(root));
            mean(own.map(|(i, _)| i as f64))
        };
        let rank = (0..model.segments.len()).map(rank).collect();
        all.insert(
            0,
            Column {
                kind: root_kind.kind.order,
                depth: 0,
                segments: roots,
            },
        );
        let mut column_of = vec![None; model.segments.len()];
        for (i, column) in all.iter().enumerate() {
            for &s in &column.segments {
                column_of[s] = Some(i);
            }
        }
        Some(Columns {
            all,
            strays,
            nerves,
            posterior: posterior(model),
            column_of,
            rank,
        })
    }

    /// The column of a segment of the plexus proper; none for a stray root.
    pub fn place(&self, segment: SegmentIx) -> Option<usize> {
        self.column_of.get(segment).copied().flatten()
    }

    /// Where a segment stands in the order of the roots it comes from.
    pub fn rank(&self, segment: SegmentIx) -> f64 {
        self.rank.get(segment).copied().unwrap_or_default()
    }

    /// The mean rank of those parents that belong to the plexus proper.
    pub fn rank_of(&self, parents: &[SegmentIx]) -> f64 {
        let known = parents.iter().filter(|&&f| self.place(f).is_some());
        mean(known.map(|&f| self.rank(f)))
    }

    /// The segments of the plexus that spring from this one.
    pub fn children(&self, model: &Model, segment: SegmentIx) -> Vec<SegmentIx> {
        let inner = self.all.iter().skip(1).flat_map(|c| &c.segments);
        inner
            .copied()
            .filter(|&s| model.segments[s].from.contains(&segment))
            .collect()
    }
}

/// The mean; of nothing, 0.
pub fn mean(numbers: impl Iterator<Item = f64>) -> f64 {
    let numbers: Vec<f64> = numbers.collect();
    numbers.iter().sum::<f64>() / numbers.len().max(1) as f64
}

pub fn is_root(model: &Model, segment: SegmentIx) -> bool {
    let kind = model.segments[segment].kind;
    kind.root && !kind.preganglionic
}

fn meet(some: &[SegmentIx], others: &[SegmentIx]) -> bool {
    some.iter().any(|s| others.contains(s))
}

/// The usual parents of a segment: no bridge that only some limbs have.
fn parents(model: &Model, segment: SegmentIx) -> impl Iterator<Item = SegmentIx> {
    let from = model.segments[segment].from.iter().copied();
    from.filter(|&f| !model.segments[f].only_in_variant)
}

fn springing(model: &Model) -> Vec<Springing> {
    let from = |first: &SegmentIx| parents(model, *first).collect();
    let nerves = model.nerves.iter().enumerate();
    nerves
        .filter_map(|(i, n)| Some((i, n.segments.first().map(from)?)))
        .collect()
}

/// The kinds between roots and nerves; what springs from its own kind stands in a further column.
fn inner_columns(model: &Model) -> Vec<Column> {
    let n = model.segments.len();
    let mut depth = vec![0usize; n];
    // The model has no circle, so a depth is below the number of segments.
    let mut grown = true;
    while grown {
        grown = false;
        for ix in 0..n {
            let kind = model.segments[ix].kind;
            let same = parents(model, ix).filter(|&f| model.segments[f].kind == kind);
            let own = same.map(|f| depth[f] + 1).max().unwrap_or(0);
            if own > depth[ix] {
                depth[ix] = own;
                grown = true;
            }
        }
    }
    let mut all: Vec<Column> = Vec::new();
    for (ix, s) in model.segments.iter().enumerate() {
        if !s.kind.plexus || s.only_in_variant {
            continue;
        }
        let here = (s.kind.order, depth[ix]);
        match all.iter_mut().find(|c| (c.kind, c.depth) == here) {
            Some(column) => column.segments.push(ix),
            None => all.push(Column {
                kind: here.0,
                depth: here.1,
                segments: vec![ix],
            }),
        }
    }
    all.sort_by_key(|c| (c.kind, c.depth));
    all
}

fn posterior(model: &Model) -> SegmentSet {
    let mut set = SegmentSet::default();
    let mut grown = true;
    while grown {
        grown = false;
        for (ix, s) in model.segments.iter().enumerate() {
            let all = !s.from.is_empty() && s.from.iter().all(|&f| set.contains(f));
            if (s.posterior || all) && !set.contains(ix) {
                set.insert(ix);
                grown = true;
            }
        }
    }
    set
}

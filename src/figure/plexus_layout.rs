//! Where on paper does each part of a plexus stand? Roots to the left, then trunks, divisions, cords, and a row for every branch.

use super::fibres::ancestors;
use crate::anatomy::{Model, Nerve, SegmentIx, SegmentSet};
use std::collections::BTreeMap;

pub const WIDTH: f64 = 170.0;
/// Distance of two rows of branches: two lines of the smallest type fit.
const PITCH: f64 = 6.3;
pub const ROOT: (f64, f64) = (9.5, 17.5);
pub const TRUNK: (f64, f64) = (41.0, 57.5);
pub const DIVISION: (f64, f64) = (67.0, 73.0);
pub const CORD: (f64, f64) = (87.0, 103.0);
/// Where roots shared by two cords join.
pub const JOIN: f64 = 112.0;
/// The straight end of every branch, where its own lesions are marked.
pub const TAIL: (f64, f64) = (126.5, 133.2);
pub const LABEL: f64 = 135.0;
/// Distance of two branches where they leave.
const CHANNEL: f64 = 2.8;

/// A level stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    pub from: f64,
    pub to: f64,
    pub y: f64,
}

/// A named nerve with its row and the places where it leaves its parents.
#[derive(Debug, Clone)]
pub struct Branch {
    /// Position in `Model::nerves`.
    pub nerve: usize,
    pub y: f64,
    pub exits: Vec<(SegmentIx, f64)>,
}

#[derive(Debug, Default)]
pub struct Places {
    pub bars: BTreeMap<SegmentIx, Bar>,
    /// Short cords that run from a cord to the row of a nerve: the two roots of the median nerve.
    pub slants: BTreeMap<SegmentIx, (Bar, f64)>,
    pub branches: Vec<Branch>,
    /// Segments whose fibres all pass a posterior division.
    pub posterior: SegmentSet,
    /// Lower edge of the drawing.
    pub bottom: f64,
    /// How far apart things stand from above down, as a multiple of the usual.
    spread: f64,
}

/// How far apart the rows must stand, as a multiple of the usual, for labels of this height in millimetres.
pub fn spread(tallest: f64) -> f64 {
    ((tallest + 1.2) / PITCH).max(1.0)
}

/// The column of a segment: 0 for roots, then the kinds of the plexus, from the spinal cord outwards.
pub fn column(model: &Model, ix: SegmentIx) -> Option<usize> {
    let kind = model.segments.get(ix)?.kind;
    if kind.root && !kind.preganglionic {
        return Some(0);
    }
    let mut kinds = model.kinds.iter().filter(|k| k.kind.plexus);
    kinds.position(|k| k.kind == kind).map(|i| i + 1)
}

/// The segments of the plexus proper, by column: roots, trunks, divisions, cords, cords that spring from cords.
fn columns(model: &Model) -> [Vec<SegmentIx>; 5] {
    let mut columns: [Vec<SegmentIx>; 5] = Default::default();
    for (ix, s) in model.segments.iter().enumerate() {
        if s.only_in_variant {
            continue;
        }
        match column(model, ix) {
            Some(1) => {
                for &f in s.from.iter().filter(|&&f| column(model, f) == Some(0)) {
                    if !columns[0].contains(&f) {
                        columns[0].push(f);
                    }
                }
                columns[1].push(ix);
            }
            Some(2) => columns[2].push(ix),
            Some(3) => {
                let deep = s.from.iter().all(|&f| column(model, f) == Some(3));
                columns[if deep { 4 } else { 3 }].push(ix);
            }
            _ => {}
        }
    }
    columns[0].sort_unstable();
    columns
}

/// Segments whose fibres all pass a division called posterior.
fn posterior(model: &Model) -> SegmentSet {
    let mut set = SegmentSet::default();
    let mut grown = true;
    while grown {
        grown = false;
        for (ix, s) in model.segments.iter().enumerate() {
            let own = column(model, ix) == Some(2) && s.label.starts_with("posterior");
            let all = !s.from.is_empty() && s.from.iter().all(|&f| set.contains(f));
            if (own || all) && !set.contains(ix) {
                set.insert(ix);
                grown = true;
            }
        }
    }
    set
}

pub fn places(model: &Model, spread: f64) -> Places {
    let pitch = PITCH * spread;
    let columns = columns(model);
    let mut places = Places {
        posterior: posterior(model),
        spread,
        ..Places::default()
    };
    let above = ancestors(model);
    // Height of a segment in the order of the roots it comes from.
    let rank = |ix: SegmentIx| -> f64 {
        let roots = columns[0].iter().enumerate();
        let own = roots.filter(|&(_, &root)| root == ix || above[ix].contains(root));
        mean(own.map(|(i, _)| i as f64))
    };
    let column_of = |ix: SegmentIx| columns.iter().position(|c| c.contains(&ix));
    let nerves = springing(model, &|f| column_of(f).is_some());
    let (inner, mut outer): (Vec<_>, Vec<_>) = nerves
        .into_iter()
        .partition(|(_, parents)| parents.iter().any(|&f| column_of(f) >= Some(3)));

    // Branches of roots and trunks leave upwards or downwards and run outside of all that lies further out.
    outer.sort_by_key(|(_, parents)| {
        let column = parents.iter().filter_map(|&f| column_of(f)).max();
        (column, parents.iter().copied().min())
    });
    let centre = (columns[0].len() as f64 - 1.0) / 2.0;
    let known = |parents: &[SegmentIx]| {
        let known = parents.iter().filter(|&&f| column_of(f).is_some());
        mean(known.map(|&f| rank(f)))
    };
    let (top, low): (Vec<_>, Vec<_>) = outer
        .into_iter()
        .partition(|(_, parents)| known(parents) <= centre);

    let mut y = 4.0 * spread;
    let mut taken = [0usize; 3];
    let mut exit = |column: usize| -> f64 {
        let k = taken[column.min(2)];
        taken[column.min(2)] += 1;
        let start = [25.0, TRUNK.1 + 0.5, DIVISION.1][column.min(2)];
        start + CHANNEL * k as f64
    };
    let mut strays: Vec<SegmentIx> = Vec::new();
    let mut leave = |places: &mut Places, (nerve, parents): &(usize, Vec<SegmentIx>), y: f64| {
        let column = parents.iter().filter_map(|&f| column_of(f)).max();
        let x = exit(column.unwrap_or(0));
        for &f in parents.iter().filter(|&&f| column_of(f).is_none()) {
            if !strays.contains(&f) {
                strays.push(f);
            }
        }
        places.branches.push(Branch {
            nerve: *nerve,
            y,
            exits: parents.iter().map(|&f| (f, x)).collect(),
        });
    };
    for entry in &top {
        leave(&mut places, entry, y);
        y += pitch;
    }
    y += 3.0 * spread;
    let inner_top = y;
    y = cords(model, &columns, &inner, &rank, &mut places, y);
    let inner_bottom = y - pitch;
    y += 2.0 * spread;
    let outer_bottom = y + pitch * (low.len() as f64 - 1.0);
    for (i, entry) in low.iter().enumerate() {
        leave(&mut places, entry, outer_bottom - pitch * i as f64);
    }
    y += pitch * low.len() as f64;

    stray_roots(strays, inner_top, &mut places);
    let span = (inner_top + 1.0, inner_bottom);
    core(model, &columns, &rank, &mut places, span, taken);
    slants(model, &columns[4], &mut places);
    places.bottom = y;
    places
}

/// The mean; of nothing, 0.
fn mean(numbers: impl Iterator<Item = f64>) -> f64 {
    let numbers: Vec<f64> = numbers.collect();
    numbers.iter().sum::<f64>() / numbers.len().max(1) as f64
}

/// The nerves that spring from the plexus proper, each with all its parents.
fn springing(model: &Model, proper: &impl Fn(SegmentIx) -> bool) -> Vec<(usize, Vec<SegmentIx>)> {
    let usual = |&f: &SegmentIx| !model.segments[f].only_in_variant;
    let parents = |nerve: &Nerve| -> Vec<SegmentIx> {
        let first = nerve.segments.first();
        let from = first.map_or(&[][..], |&first| &model.segments[first].from);
        from.iter().copied().filter(usual).collect()
    };
    let all = model.nerves.iter().map(parents).enumerate();
    all.filter(|(_, parents)| parents.iter().any(|&f| proper(f)))
        .collect()
}

/// Roots that only lend a twig stand above the others, short: nothing of theirs goes further.
fn stray_roots(mut strays: Vec<SegmentIx>, inner_top: f64, places: &mut Places) {
    strays.sort_unstable();
    for (i, &root) in strays.iter().rev().enumerate() {
        let exits = places.branches.iter().flat_map(|b| &b.exits);
        let own = exits.filter(|(f, _)| *f == root).map(|e| e.1);
        let bar = Bar {
            from: ROOT.0,
            to: own.fold(ROOT.0, f64::max),
            y: inner_top - 8.5 * places.spread * (i as f64 + 1.0),
        };
        places.bars.insert(root, bar);
    }
}

/// Rows of the branches of cords; returns the height of the next free row.
fn cords(
    model: &Model,
    columns: &[Vec<SegmentIx>; 5],
    inner: &[(usize, Vec<SegmentIx>)],
    rank: &impl Fn(SegmentIx) -> f64,
    places: &mut Places,
    mut y: f64,
) -> f64 {
    let pitch = PITCH * places.spread;
    let mut order = columns[3].clone();
    order.sort_by(|a, b| rank(*a).total_cmp(&rank(*b)));
    // The cord a parent belongs to: itself, or the cord it springs from.
    let home = |f: SegmentIx| -> Option<usize> {
        order
            .iter()
            .position(|&c| c == f || model.segments[f].from.contains(&c))
    };
    let last = order.len().saturating_sub(1);
    for (place, &cord) in order.iter().enumerate() {
        let mut own: Vec<&(usize, Vec<SegmentIx>)> = inner
            .iter()
            .filter(|(_, parents)| parents.iter().all(|&f| f == cord))
            .collect();
        let upwards = place * 2 < last;
        let count = own.len();
        if !upwards {
            own.reverse();
        }
        let mut straight = y;
        for (i, (nerve, parents)) in own.iter().enumerate() {
            let leaving = if upwards { i } else { count - 1 - i };
            if leaving + 1 == count {
                straight = y;
            }
            places.branches.push(Branch {
                nerve: *nerve,
                y,
                exits: parents
                    .iter()
                    .map(|&f| (f, JOIN + 1.2 + CHANNEL * leaving as f64))
                    .collect(),
            });
            y += pitch;
        }
        // A nerve with several parents has its row below the uppermost of its cords.
        for (nerve, parents) in inner {
            let shared = !parents
                .iter()
                .all(|&f| columns[3].contains(&f) && parents.len() == 1);
            let first = parents.iter().filter_map(|&f| home(f)).min();
            if shared && first == Some(place) {
                places.branches.push(Branch {
                    nerve: *nerve,
                    y,
                    exits: parents.iter().map(|&f| (f, JOIN)).collect(),
                });
                y += pitch;
            }
        }
        places.bars.insert(
            cord,
            Bar {
                from: CORD.0,
                to: CORD.1,
                y: straight,
            },
        );
    }
    y
}

fn core(
    model: &Model,
    columns: &[Vec<SegmentIx>; 5],
    rank: &impl Fn(SegmentIx) -> f64,
    places: &mut Places,
    span: (f64, f64),
    taken: [usize; 3],
) {
    let steps = columns[0].len().saturating_sub(1).max(1) as f64;
    let root_end = (25.0 + CHANNEL * taken[0] as f64).max(33.0);
    let height = |r: f64| span.0 + (span.1 - span.0) * r / steps;
    for (i, &root) in columns[0].iter().enumerate() {
        let y = height(i as f64);
        places.bars.insert(
            root,
            Bar {
                from: ROOT.1,
                to: root_end,
                y,
            },
        );
        for &f in &model.segments[root].from {
            places.bars.insert(
                f,
                Bar {
                    from: ROOT.0,
                    to: ROOT.1,
                    y,
                },
            );
        }
    }
    let trunk_end = TRUNK.1 + CHANNEL * taken[1] as f64;
    for &trunk in &columns[1] {
        let y = height(rank(trunk));
        let bar = Bar {
            from: TRUNK.0,
            to: trunk_end,
            y,
        };
        places.bars.insert(trunk, bar);
        // The division that goes higher stands higher.
        let target = |d: SegmentIx| {
            columns[3]
                .iter()
                .filter(|&&c| model.segments[c].from.contains(&d))
                .filter_map(|c| places.bars.get(c))
                .map(|b| b.y)
                .fold(f64::INFINITY, f64::min)
        };
        let mut own: Vec<(f64, SegmentIx)> = columns[2]
            .iter()
            .filter(|&&d| model.segments[d].from.contains(&trunk))
            .map(|&d| (target(d), d))
            .collect();
        own.sort_by(|a, b| a.0.total_cmp(&b.0));
        let middle = (own.len() as f64 - 1.0) / 2.0;
        for (i, (_, division)) in own.into_iter().enumerate() {
            places.bars.insert(
                division,
                Bar {
                    from: DIVISION.0,
                    to: DIVISION.1,
                    y: y + (i as f64 - middle) * 8.0 * places.spread,
                },
            );
        }
    }
}

/// The cords that spring from cords, on their way to the row of their nerve.
fn slants(model: &Model, short_cords: &[SegmentIx], places: &mut Places) {
    for &short in short_cords {
        let row = places
            .branches
            .iter()
            .find(|b| b.exits.iter().any(|(f, _)| *f == short))
            .map(|b| b.y);
        let from = model.segments[short]
            .from
            .iter()
            .find_map(|f| places.bars.get(f))
            .copied();
        if let (Some(row), Some(cord)) = (row, from) {
            let bar = Bar {
                from: cord.to - 6.0,
                to: JOIN,
                y: cord.y,
            };
            places.slants.insert(short, (bar, row));
        }
    }
}

//! How do nerves that gather fibres from several parts of a plexus run without a tangle? A line for every part that gives fibres off, a row for
//! every nerve between them, and a track for each nerve to gather in, with as few crossings as can be found.

use super::plexus_columns::{Columns, Springing, mean};
use crate::anatomy::{Model, SegmentIx};
use std::collections::BTreeMap;

#[derive(Debug)]
pub struct Weave {
    /// Lines and rows from above down.
    order: Vec<Item>,
    pub nerves: Vec<Woven>,
    pub tracks: usize,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Item {
    /// Of a part that gives fibres off.
    Line(SegmentIx),
    /// Of a nerve, by its position in [`Weave::nerves`].
    Row(usize),
}

#[derive(Debug)]
pub struct Woven {
    pub nerve: Springing,
    /// 0 is the one next to the plexus.
    pub track: usize,
}

/// Where everything of a weave stands from above down, in millimetres.
pub struct Heights {
    /// Of the parts that give fibres off, and of what they come from.
    pub parts: BTreeMap<SegmentIx, f64>,
    /// In the order of [`Weave::nerves`].
    pub rows: Vec<f64>,
    /// The lowest.
    pub bottom: f64,
}

/// Least distances from a line to a row, and to another line or from row to row.
const LINE_ROW: f64 = 4.0;
const ALIKE: f64 = 8.0;
const LINE_LINE: f64 = 6.0;

pub fn weave(model: &Model, columns: &Columns, mut nerves: Vec<Springing>) -> Weave {
    let lines = lines(model, columns, &nerves);
    let slot = |f: SegmentIx| lines.iter().position(|&l| l == f);
    // Rows by the roots of their nerves, from above downwards.
    nerves.sort_by(|a, b| columns.rank_of(&a.1).total_cmp(&columns.rank_of(&b.1)));
    let mut lowest = f64::NEG_INFINITY;
    let wishes: Vec<(f64, f64)> = nerves
        .iter()
        .map(|(_, parents)| {
            let slots = parents.iter().filter_map(|&f| slot(f));
            lowest = mean(slots.map(|s| s as f64)).max(lowest);
            (lowest, 1.0)
        })
        .collect();
    let rows = apart(&wishes, 1.0);
    let rows = rows.into_iter().enumerate().map(|(i, y)| (y, Item::Row(i)));
    let slots = lines.iter().enumerate();
    let mut order: Vec<(f64, Item)> = slots.map(|(i, &s)| (i as f64, Item::Line(s))).collect();
    // Where a row would lie on a line, it comes after it.
    order.extend(rows);
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let order: Vec<Item> = order.into_iter().map(|o| o.1).collect();
    let height = |item: Item| order.iter().position(|&o| o == item).map(|i| i as f64);
    let spans: Vec<Span> = nerves
        .iter()
        .enumerate()
        .map(|(i, (_, parents))| {
            let parents = parents.iter().filter_map(|&f| height(Item::Line(f)));
            Span::of(height(Item::Row(i)).unwrap_or_default(), parents.collect())
        })
        .collect();
    let found = tracks(&spans);
    Weave {
        order,
        tracks: found.iter().max().map_or(0, |t| t + 1),
        nerves: nerves
            .into_iter()
            .zip(found)
            .map(|(nerve, track)| Woven { nerve, track })
            .collect(),
    }
}

impl Weave {
    /// `room`: what two nerves need from row to row for their names.
    pub fn heights(
        &self,
        model: &Model,
        columns: &Columns,
        room: &dyn Fn(usize, usize) -> f64,
    ) -> Heights {
        let mut parts = BTreeMap::new();
        let mut rows: Vec<f64> = vec![0.0; self.nerves.len()];
        let mut bottom = 0.0;
        let mut last_row: Option<usize> = None;
        let mut before: Option<Item> = None;
        for &item in &self.order {
            bottom += match (before, item) {
                (None, _) => 0.0,
                (Some(Item::Line(_)), Item::Line(_)) => LINE_LINE,
                (Some(Item::Row(_)), Item::Row(_)) => ALIKE,
                _ => LINE_ROW,
            };
            before = Some(item);
            match item {
                Item::Line(segment) => {
                    parts.insert(segment, bottom);
                }
                Item::Row(i) => {
                    if let Some(last) = last_row {
                        let needed = room(self.nerves[last].nerve.0, self.nerves[i].nerve.0);
                        bottom = (rows[last] + needed).max(bottom);
                    }
                    rows[i] = bottom;
                    last_row = Some(i);
                }
            }
        }
        inner_heights(model, columns, &mut parts);
        Heights {
            parts,
            rows,
            bottom,
        }
    }
}

/// What needs a height of its own: parts nothing of the plexus springs from, and parts that give off a nerve.
fn lines(model: &Model, columns: &Columns, nerves: &[Springing]) -> Vec<SegmentIx> {
    let inner = columns.all.iter().flat_map(|c| &c.segments).copied();
    let mut lines: Vec<SegmentIx> = inner
        .filter(|&s| {
            let gives = nerves.iter().any(|(_, parents)| parents.contains(&s));
            gives || columns.children(model, s).is_empty()
        })
        .collect();
    // Of one root the posterior division stands above the anterior one.
    lines.sort_by(|&a, &b| {
        let rank = columns.rank(a).total_cmp(&columns.rank(b));
        let posterior = |s| columns.posterior.contains(s);
        rank.then(posterior(b).cmp(&posterior(a))).then(a.cmp(&b))
    });
    // Stray roots lie before or behind the others, as the roots are listed.
    let first = columns.all.first().and_then(|c| c.segments.first());
    let strays = columns.strays.iter().copied();
    let (mut above, below): (Vec<_>, Vec<_>) = strays.partition(|s| Some(s) < first);
    above.extend(lines);
    above.extend(below);
    above
}

/// What gives off divisions stands in the middle of those that are its own alone, else of all.
fn inner_heights(model: &Model, columns: &Columns, parts: &mut BTreeMap<SegmentIx, f64>) {
    for column in columns.all.iter().rev() {
        let mut wishes: Vec<(SegmentIx, f64, f64)> = Vec::new();
        for &s in &column.segments {
            if let Some(&line) = parts.get(&s) {
                // A line stays where it is.
                wishes.push((s, line, 1e6));
                continue;
            }
            let children = columns.children(model, s);
            let only = children
                .iter()
                .filter(|&&c| model.segments[c].from.len() == 1);
            let mut own: Vec<f64> = only.filter_map(|c| parts.get(c)).copied().collect();
            if own.is_empty() {
                let all = children.iter().filter_map(|c| parts.get(c));
                own = all.copied().collect();
            }
            wishes.push((s, mean(own.into_iter()), 1.0));
        }
        wishes.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        let weighed: Vec<(f64, f64)> = wishes.iter().map(|w| (w.1, w.2)).collect();
        for ((s, ..), y) in wishes.iter().zip(apart(&weighed, LINE_LINE)) {
            parts.entry(*s).or_insert(y);
        }
    }
}

/// The places nearest to the wished ones (each with its weight), in their order, with at least this distance: least squares, by pooling
/// neighbours that would come too close.
fn apart(wishes: &[(f64, f64)], distance: f64) -> Vec<f64> {
    // Sum of the weighed wishes, of the weights, and how many are pooled.
    let mut blocks: Vec<(f64, f64, usize)> = Vec::new();
    for (i, &(wish, weight)) in wishes.iter().enumerate() {
        let mut last = ((wish - distance * i as f64) * weight, weight, 1);
        while let Some(before) = blocks.last().copied()
            && before.0 / before.1 > last.0 / last.1
        {
            blocks.pop();
            last = (before.0 + last.0, before.1 + last.1, before.2 + last.2);
        }
        blocks.push(last);
    }
    let pooled = blocks
        .iter()
        .flat_map(|b| std::iter::repeat_n(b.0 / b.1, b.2));
    pooled
        .enumerate()
        .map(|(i, y)| y + distance * i as f64)
        .collect()
}

/// How far up and down a nerve runs in its track, in steps of the order.
struct Span {
    row: f64,
    top: f64,
    low: f64,
    parents: Vec<f64>,
}

impl Span {
    fn of(row: f64, parents: Vec<f64>) -> Span {
        Span {
            row,
            top: parents.iter().copied().fold(row, f64::min),
            low: parents.iter().copied().fold(row, f64::max),
            parents,
        }
    }

    fn meets(&self, other: &Span) -> bool {
        self.top <= other.low && other.top <= self.low
    }

    fn holds(&self, y: f64) -> bool {
        self.top < y && y < self.low
    }
}

/// A track for each nerve: those that stand beside each other have different ones. Starts from the order of the rows and moves one nerve at
/// a time for as long as that takes crossings away.
fn tracks(spans: &[Span]) -> Vec<usize> {
    let judged = |order: &[usize]| {
        let tracks = in_order(spans, order);
        let most = tracks.iter().max().copied().unwrap_or(0);
        (
            crossings(spans, &tracks),
            most,
            tracks.iter().sum::<usize>(),
        )
    };
    let mut order: Vec<usize> = (0..spans.len()).collect();
    let mut best = judged(&order);
    loop {
        let mut better: Option<(Vec<usize>, _)> = None;
        for from in 0..order.len() {
            for to in 0..order.len() {
                let mut tried = order.clone();
                let moved = tried.remove(from);
                tried.insert(to, moved);
                let cost = judged(&tried);
                if cost < better.as_ref().map_or(best, |b| b.1) {
                    better = Some((tried, cost));
                }
            }
        }
        match better {
            Some((found, cost)) => (order, best) = (found, cost),
            None => return in_order(spans, &order),
        }
    }
}

/// Each nerve in the first track behind all those before it in the order that it would run into.
fn in_order(spans: &[Span], order: &[usize]) -> Vec<usize> {
    let mut tracks = vec![0; spans.len()];
    for (k, &nerve) in order.iter().enumerate() {
        let met = order[..k]
            .iter()
            .filter(|&&o| spans[o].meets(&spans[nerve]));
        tracks[nerve] = met.map(|&o| tracks[o] + 1).max().unwrap_or(0);
    }
    tracks
}

/// How often a nerve in its track crosses the line of another part, or the row of another nerve.
fn crossings(spans: &[Span], tracks: &[usize]) -> usize {
    let mut count = 0;
    // A line runs on to the last nerve that springs from it.
    let mut lines: Vec<(f64, usize)> = Vec::new();
    for (span, &track) in spans.iter().zip(tracks) {
        for &y in &span.parents {
            match lines.iter_mut().find(|l| l.0 == y) {
                Some(line) => line.1 = line.1.max(track),
                None => lines.push((y, track)),
            }
        }
    }
    for (span, &track) in spans.iter().zip(tracks) {
        let over =
            |l: &&(f64, usize)| l.1 > track && span.holds(l.0) && !span.parents.contains(&l.0);
        count += lines.iter().filter(over).count();
        let others = spans.iter().zip(tracks);
        count += others
            .filter(|(o, t)| **t < track && span.holds(o.row))
            .count();
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(row: f64, parents: &[f64]) -> Span {
        Span::of(row, parents.to_vec())
    }

    #[test]
    fn places_keep_their_distance_and_as_near_as_can_be() {
        assert_eq!(apart(&[(0.0, 1.0), (5.0, 1.0)], 1.0), [0.0, 5.0]);
        // Three at one place share the push; a heavy one stays.
        assert_eq!(apart(&[(2.0, 1.0); 3], 1.0), [1.0, 2.0, 3.0]);
        let heavy = apart(&[(2.0, 1e9), (2.0, 1.0)], 1.0);
        assert!((heavy[0] - 2.0).abs() < 1e-6 && heavy[1] - heavy[0] >= 1.0 - 1e-9);
    }

    #[test]
    fn nerves_beside_each_other_have_tracks_of_their_own_and_few_crossings() {
        let spans = [
            span(1.0, &[0.0, 4.0]),
            span(2.0, &[0.0, 3.0]),
            span(9.0, &[8.0]),
            span(3.5, &[1.5, 5.0]),
        ];
        let found = tracks(&spans);
        for (i, a) in spans.iter().enumerate() {
            for (j, b) in spans.iter().enumerate() {
                assert!(i == j || !a.meets(b) || found[i] != found[j], "{found:?}");
            }
        }
        assert_eq!(found[2], 0, "far from the others the first track is free");
        let least = [
            [0, 1, 3],
            [0, 3, 1],
            [1, 0, 3],
            [1, 3, 0],
            [3, 0, 1],
            [3, 1, 0],
        ]
        .iter()
        .map(|order| {
            crossings(
                &spans,
                &in_order(&spans, &[order[0], order[1], order[2], 2]),
            )
        })
        .min();
        assert_eq!(Some(crossings(&spans, &found)), least);
        let worst = crossings(&spans, &in_order(&spans, &[3, 0, 1, 2]));
        assert!(Some(worst) > least, "an order that is worse is told apart");
    }
}

//! Where on paper does each part of a plexus stand? Roots to the left, then a column for every kind of the plexus, and a row for every branch.

use super::plexus_columns::{Columns, Springing, is_root};
use super::plexus_frame::{BEND, Frame, ROOT};
use super::plexus_weave::{Heights, Weave, weave};
use crate::anatomy::{Model, SegmentIx};
use std::collections::BTreeMap;

/// Distance of two rows of branches: two lines of the smallest type fit.
const PITCH: f64 = 6.3;
/// White between two names.
const BETWEEN: f64 = 1.2;

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
    /// Short stretches that run from one of their own kind to the row of a nerve: the two roots of the median nerve.
    pub slants: BTreeMap<SegmentIx, (Bar, f64)>,
    pub branches: Vec<Branch>,
    /// Lower edge of the drawing.
    pub bottom: f64,
    /// How far apart things stand from above down, as a multiple of the usual.
    spread: f64,
}

/// How the nerves beyond the plexus run.
#[derive(Debug)]
enum Beyond {
    /// Each from one part of the last column: they fan out from it, and one runs straight on.
    Fans(Vec<Springing>),
    /// Each gathers from several parts.
    Woven(Weave),
}

/// Everything of a layout that does not depend on the size of the type.
#[derive(Debug)]
pub struct Plan {
    pub columns: Columns,
    pub frame: Frame,
    beyond: Beyond,
    /// Branches of what lies further in; they run outside of all that lies further out: above, and below from the lowest row up.
    above: Vec<Springing>,
    below: Vec<Springing>,
}

impl Plan {
    /// `None`: the region has no plexus.
    pub fn of(model: &Model) -> Option<Plan> {
        let columns = Columns::of(model)?;
        // Where the last column springs from the one before of its own kind, that one is the last to fan out.
        let fanned = columns.all.iter().rposition(|c| c.depth == 0)?;
        let at_end = |f: &SegmentIx| columns.place(*f) >= Some(fanned);
        let fans = columns.nerves.iter().all(|(_, parents)| {
            let deep = |f: &SegmentIx| columns.place(*f) > Some(fanned);
            parents.len() == 1 || parents.iter().all(deep) || !parents.iter().any(at_end)
        });
        let (inner, mut outer): (Vec<Springing>, Vec<Springing>) =
            columns.nerves.iter().cloned().partition(|(_, parents)| {
                if fans {
                    parents.iter().any(at_end)
                } else {
                    parents.iter().any(|&f| !is_root(model, f))
                }
            });
        let column = |parents: &[SegmentIx]| parents.iter().filter_map(|&f| columns.place(f)).max();
        outer.sort_by(|(_, a), (_, b)| {
            let rank = columns.rank_of(a).total_cmp(&columns.rank_of(b));
            let first = a.iter().min().cmp(&b.iter().min());
            column(a).cmp(&column(b)).then(rank).then(first)
        });
        let centre = (columns.all.first()?.segments.len() as f64 - 1.0) / 2.0;
        let (above, mut below): (Vec<_>, Vec<_>) = outer
            .into_iter()
            .partition(|n| columns.rank_of(&n.1) <= centre);
        below.sort_by_key(|(_, parents)| {
            let lowest = parents.iter().copied().max();
            (column(parents), std::cmp::Reverse(lowest))
        });
        let mut exits = vec![0; columns.all.len()];
        for side in [&above, &below] {
            for (c, most) in exits.iter_mut().enumerate() {
                let own = side.iter().filter(|n| column(&n.1) == Some(c)).count();
                *most = own.max(*most);
            }
        }
        let (beyond, shown, channels) = if fans {
            let ends = columns.all.get(fanned)?.segments.iter();
            let own = |&s: &SegmentIx| inner.iter().filter(|n| n.1 == [s]).count();
            let most = ends.map(own).max().unwrap_or(0);
            (Beyond::Fans(inner), fanned + 1, most)
        } else {
            let weave = weave(model, &columns, inner);
            let tracks = weave.tracks;
            (Beyond::Woven(weave), columns.all.len(), tracks)
        };
        let frame = Frame::of(model, &columns.all[..shown], &exits, channels, fans);
        Some(Plan {
            columns,
            frame,
            beyond,
            above,
            below,
        })
    }

    /// `tall`: how many millimetres the name of a nerve takes, by its position in `Model::nerves`.
    pub fn places(&self, model: &Model, tall: &dyn Fn(usize) -> f64) -> Places {
        let tallest = self.columns.nerves.iter().map(|n| tall(n.0));
        let tallest = tallest.fold(0.0, f64::max);
        let even = if tallest > PITCH {
            (tallest + BETWEEN) / PITCH
        } else {
            1.0
        };
        let fans = matches!(self.beyond, Beyond::Fans(_));
        let spread = if fans { even } else { 1.0 };
        // Fans have their rows at equal distances.
        let room = |a: usize, b: usize| match fans {
            true => PITCH * spread,
            false => ((tall(a) + tall(b)) / 2.0 + BETWEEN).max(PITCH),
        };
        let mut places = Places {
            spread,
            ..Places::default()
        };
        let mut y = 4.0 * spread;
        let mut last: Option<usize> = None;
        for (nerve, x) in self.leaving(&self.above) {
            y += last.map_or(0.0, |last| room(last, nerve.0));
            places.branch(nerve, y, x);
            last = Some(nerve.0);
        }
        y += last.map_or(0.0, |last| room(last, last)) + 3.0 * spread;
        let top = y;
        let bottom = match &self.beyond {
            Beyond::Fans(inner) => self.fans(model, inner, &mut places, y) - PITCH * spread,
            Beyond::Woven(weave) => {
                let heights = weave.heights(model, &self.columns, &room);
                self.woven(model, weave, &heights, top, &mut places);
                top + heights.bottom
            }
        };
        y = bottom + 2.0 * spread;
        let mut below: Vec<(&Springing, f64)> = self.leaving(&self.below).collect();
        below.reverse();
        for (nerve, x) in below {
            let last = places.branches.last().map_or(nerve.0, |b| b.nerve);
            y += room(last, nerve.0);
            places.branch(nerve, y, x);
        }
        if fans {
            self.strays(model, (top, bottom), &mut places);
            self.ranked(model, (top + 1.0, bottom), &mut places);
            self.slants(model, &mut places);
        }
        places.bottom = y + PITCH * spread;
        places
    }

    /// The nerves of one side with where they leave: the first of each column nearest to the spinal cord.
    fn leaving<'p>(&'p self, side: &'p [Springing]) -> impl Iterator<Item = (&'p Springing, f64)> {
        let column = |n: &Springing| n.1.iter().filter_map(|&f| self.columns.place(f)).max();
        side.iter().enumerate().map(move |(i, nerve)| {
            let own = column(nerve);
            let before = side[..i].iter().filter(|n| column(n) == own).count();
            (nerve, self.frame.exit(own.unwrap_or(0), before))
        })
    }

    /// Rows of the nerves of the last column, which sets its heights; returns the height of the next free row.
    fn fans(&self, model: &Model, inner: &[Springing], places: &mut Places, mut y: f64) -> f64 {
        let pitch = PITCH * places.spread;
        let (columns, frame) = (&self.columns, &self.frame);
        let at = frame.columns.len() - 1;
        let mut order = columns.all[at].segments.clone();
        order.sort_by(|a, b| columns.rank(*a).total_cmp(&columns.rank(*b)));
        // The part a parent belongs to: itself, or the one it springs from.
        let home = |f: SegmentIx| -> Option<usize> {
            order
                .iter()
                .position(|&c| c == f || model.segments[f].from.contains(&c))
        };
        let last = order.len().saturating_sub(1);
        for (place, &part) in order.iter().enumerate() {
            let mut own: Vec<&Springing> = inner.iter().filter(|n| n.1 == [part]).collect();
            let upwards = place * 2 < last;
            let count = own.len();
            if !upwards {
                own.reverse();
            }
            let (start, mut straight) = (y, y);
            for (i, nerve) in own.iter().enumerate() {
                let leaving = if upwards { i } else { count - 1 - i };
                if leaving + 1 == count {
                    straight = y;
                }
                places.branch(nerve, y, frame.channel(leaving));
                y += pitch;
            }
            // A nerve that short stretches join in has its row below the uppermost of their homes.
            let joined = |n: &&Springing| !order.iter().any(|&c| n.1 == [c]);
            for nerve in inner.iter().filter(joined) {
                if nerve.1.iter().filter_map(|&f| home(f)).min() == Some(place) {
                    places.branch(nerve, y, frame.join);
                    y += pitch;
                }
            }
            if y == start {
                y += pitch;
            }
            let (from, to) = frame.columns[at];
            let bar = Bar {
                from,
                to,
                y: straight,
            };
            places.bars.insert(part, bar);
        }
        y
    }

    /// Everything where the weave wants it.
    fn woven(
        &self,
        model: &Model,
        weave: &Weave,
        heights: &Heights,
        top: f64,
        places: &mut Places,
    ) {
        for (woven, row) in weave.nerves.iter().zip(&heights.rows) {
            places.branch(&woven.nerve, top + row, self.frame.channel(woven.track));
        }
        for (&segment, height) in &heights.parts {
            match self.columns.place(segment) {
                None | Some(0) => self.root(model, segment, top + height, places),
                Some(c) => self.bar(segment, c, top + height, places),
            }
        }
        self.reach(model, places);
    }

    /// Roots evenly from above down, and what springs from them in the middle of its origins, beside its sisters.
    fn ranked(&self, model: &Model, (top, bottom): (f64, f64), places: &mut Places) {
        let columns = &self.columns;
        let roots = &columns.all[0].segments;
        let steps = roots.len().saturating_sub(1).max(1) as f64;
        let height = |rank: f64| top + (bottom - top) * rank / steps;
        for (i, &root) in roots.iter().enumerate() {
            self.root(model, root, height(i as f64), places);
        }
        let last = self.frame.columns.len() - 1;
        for c in 1..last {
            for &segment in &columns.all[c].segments {
                let y = match model.segments[segment].from.as_slice() {
                    &[parent] if places.bars.contains_key(&parent) => {
                        let mut sisters = columns.children(model, parent);
                        sisters.retain(|&s| model.segments[s].from == [parent]);
                        let goes = |s: SegmentIx| {
                            let targets = columns.children(model, s).into_iter();
                            let heights = targets.filter_map(|t| Some(places.bars.get(&t)?.y));
                            heights.fold(f64::INFINITY, f64::min)
                        };
                        // The one that goes higher stands higher.
                        sisters.sort_by(|&a, &b| goes(a).total_cmp(&goes(b)));
                        let i = sisters.iter().position(|&s| s == segment).unwrap_or(0);
                        let middle = (sisters.len() as f64 - 1.0) / 2.0;
                        places.bars[&parent].y + (i as f64 - middle) * 8.0 * places.spread
                    }
                    _ => height(columns.rank(segment)),
                };
                self.bar(segment, c, y, places);
            }
        }
        self.reach(model, places);
    }

    fn bar(&self, segment: SegmentIx, column: usize, y: f64, places: &mut Places) {
        let (from, to) = self.frame.columns[column];
        places.bars.insert(segment, Bar { from, to, y });
    }

    /// A root, behind its rootlets where the model has them; one from which nothing of the plexus springs ends where its nerves leave.
    fn root(&self, model: &Model, root: SegmentIx, y: f64, places: &mut Places) {
        let rootlets = &model.segments[root].from;
        for &f in rootlets {
            let (from, to) = ROOT;
            places.bars.insert(f, Bar { from, to, y });
        }
        let from = if rootlets.is_empty() { ROOT.0 } else { ROOT.1 };
        let to = if self.columns.children(model, root).is_empty() {
            let exits = places.branches.iter().flat_map(|b| &b.exits);
            let own = exits.filter(|(f, _)| *f == root).map(|e| e.1 - BEND);
            own.fold(from, f64::max)
        } else {
            self.frame.columns[0].1
        };
        places.bars.insert(root, Bar { from, to, y });
    }

    /// Lets every part run on to where the last of its children leaves, past columns in which it has none.
    fn reach(&self, model: &Model, places: &mut Places) {
        let ends: Vec<(SegmentIx, f64)> = places
            .bars
            .keys()
            .flat_map(|&s| {
                let from = &model.segments[s].from;
                from.iter().filter_map(move |&f| Some((f, self.start(s)?)))
            })
            .collect();
        for (parent, end) in ends {
            if let Some(bar) = places.bars.get_mut(&parent)
                && self.columns.place(parent).is_some()
            {
                bar.to = bar.to.max(end);
            }
        }
    }

    /// Where what springs from an earlier column leaves its parent.
    pub fn start(&self, segment: SegmentIx) -> Option<f64> {
        let before = self.columns.place(segment)?.checked_sub(1)?;
        self.frame.columns.get(before).map(|c| c.1)
    }

    /// Roots that only lend a twig stand above or below the others, short: nothing of theirs goes further.
    fn strays(&self, model: &Model, (top, bottom): (f64, f64), places: &mut Places) {
        let first = self.columns.all[0].segments.first();
        let strays = self.columns.strays.iter().copied();
        let (above, below): (Vec<_>, Vec<_>) = strays.partition(|s| Some(s) < first);
        let step = |i: usize| 8.5 * places.spread * (i as f64 + 1.0);
        let ups = above.iter().rev().enumerate();
        let ups = ups.map(|(i, &root)| (root, top - step(i)));
        let downs = below.iter().enumerate();
        let all: Vec<(SegmentIx, f64)> = ups
            .chain(downs.map(|(i, &root)| (root, bottom + step(i))))
            .collect();
        for (root, y) in all {
            self.root(model, root, y, places);
        }
    }

    /// What springs from its own kind, on its way to the row of its nerve.
    fn slants(&self, model: &Model, places: &mut Places) {
        let deep = self.columns.all.iter().skip(self.frame.columns.len());
        for &short in deep.flat_map(|c| &c.segments) {
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
            if let (Some(row), Some(part)) = (row, from) {
                let bar = Bar {
                    from: part.to - 6.0,
                    to: self.frame.join,
                    y: part.y,
                };
                places.slants.insert(short, (bar, row));
            }
        }
    }
}

impl Places {
    /// A row for a nerve whose fibres all leave at `x`.
    fn branch(&mut self, (nerve, parents): &Springing, y: f64, x: f64) {
        self.branches.push(Branch {
            nerve: *nerve,
            y,
            exits: parents.iter().map(|&f| (f, x)).collect(),
        });
    }
}

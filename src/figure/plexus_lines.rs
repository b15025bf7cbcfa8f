//! How do the nerves of a plexus run on paper, and which of them are cut? The lines of the schematic, without its words.

use super::draw::{Drawing, INK};
use super::fibres::{Fate, Loss, fate};
use super::figure_style::FigureStyle;
use super::plexus_frame::BEND;
use super::plexus_layout::{Bar, Branch, Places, Plan};
use super::shape::{BezPath, P, circle, line, p, path, s_curve, stroke};
use super::strokes::{self, Gauge};
use crate::anatomy::{Model, SegmentIx};
use crate::lesion::Lesion;
use kurbo::ParamCurve;

pub(super) struct Plexus<'m> {
    pub(super) model: &'m Model,
    pub(super) style: &'m FigureStyle,
    pub(super) plan: &'m Plan,
    pub(super) places: Places,
    pub(super) loss: Loss,
    pub(super) lesion: Option<&'m Lesion>,
    pub(super) blank: bool,
    pub(super) drawing: Drawing,
    /// Fates drawn, for the key.
    pub(super) seen: Vec<(Fate, bool)>,
    pub(super) marked: bool,
    /// Straight stretches drawn so far: what crosses one passes in front of it.
    pub(super) runs: Vec<(P, P)>,
}

impl Plexus<'_> {
    fn cut(&self, segment: SegmentIx) -> bool {
        self.lesion.is_some_and(|l| l.set.contains(segment))
    }

    fn nerve(&mut self, sub: BezPath, fate: Fate, posterior: bool) {
        if !self.seen.contains(&(fate, posterior)) {
            self.seen.push((fate, posterior));
        }
        strokes::nerve(&mut self.drawing, sub, fate, Gauge::of(posterior));
    }

    pub(super) fn layer(&mut self, posterior: bool) {
        let bars: Vec<(SegmentIx, Bar)> = self
            .places
            .bars
            .iter()
            .filter(|(s, _)| self.plan.columns.posterior.contains(**s) == posterior)
            .map(|(s, b)| (*s, *b))
            .collect();
        for &(segment, bar) in &bars {
            for &from in &self.model.segments[segment].from {
                if let Some(parent) = self.places.bars.get(&from).copied()
                    && (parent.to, parent.y) != (bar.from, bar.y)
                {
                    let start = self.plan.start(segment).unwrap_or(parent.to);
                    let curve = s_curve(p(start, parent.y), p(bar.from, bar.y));
                    strokes::clear(&mut self.drawing, &path(curve));
                    let lost = fate(self.loss.edge(from, segment));
                    self.nerve(path(curve), lost, posterior);
                }
            }
        }
        for (segment, bar) in bars {
            self.bar(segment, bar, posterior);
        }
        let slants: Vec<(SegmentIx, (Bar, f64))> = self
            .places
            .slants
            .iter()
            .filter(|(s, _)| self.plan.columns.posterior.contains(**s) == posterior)
            .map(|(s, b)| (*s, *b))
            .collect();
        for (segment, (bar, row)) in slants {
            let curve = s_curve(p(bar.from, bar.y), p(bar.to, row));
            strokes::clear(&mut self.drawing, &path(curve));
            let (before, after) = (
                fate(self.loss.before[segment]),
                fate(self.loss.after[segment]),
            );
            if before == after {
                self.nerve(path(curve), after, posterior);
            } else {
                let (first, second) = curve.subdivide();
                self.nerve(path(first), before, posterior);
                self.nerve(path(second), after, posterior);
            }
        }
        for branch in self.places.branches.clone() {
            let first = self.model.nerves[branch.nerve].segments.first();
            if first.is_some_and(|&f| self.plan.columns.posterior.contains(f) == posterior) {
                self.branch(&branch, posterior);
            }
        }
    }

    /// A level stretch, whole up to the lesion on it and cut beyond.
    fn bar(&mut self, segment: SegmentIx, bar: Bar, posterior: bool) {
        let (before, after) = (
            fate(self.loss.before[segment]),
            fate(self.loss.after[segment]),
        );
        // On to the last of its branches that bends away.
        let end = self
            .places
            .branches
            .iter()
            .filter(|b| b.y != bar.y)
            .flat_map(|b| &b.exits)
            .filter(|(f, _)| *f == segment && !self.places.slants.contains_key(f))
            .map(|e| e.1 - BEND)
            .fold(bar.to, f64::max);
        let middle = self.mark_at(segment, bar);
        self.pass(p(bar.from, bar.y), p(end, bar.y), &[]);
        if before == after {
            self.nerve(line(&[p(bar.from, bar.y), p(end, bar.y)]), after, posterior);
        } else {
            self.nerve(
                line(&[p(bar.from, bar.y), p(middle, bar.y)]),
                before,
                posterior,
            );
            self.nerve(line(&[p(middle, bar.y), p(end, bar.y)]), after, posterior);
        }
    }

    /// Where on a stretch its lesion is marked: before the first branch leaves.
    fn mark_at(&self, segment: SegmentIx, bar: Bar) -> f64 {
        match self.plan.columns.place(segment) {
            Some(c) if c > 0 => (bar.from + self.plan.frame.columns[c].1) / 2.0,
            Some(_) => bar.from + 4.0,
            None => (bar.from + bar.to) / 2.0,
        }
    }

    /// Clears the paper where a straight stretch passes in front of others that it does not join; `joins` are the heights of those it does.
    fn pass(&mut self, from: P, to: P, joins: &[f64]) {
        let upright = from.x == to.x;
        let within = |v: f64, a: f64, b: f64| a.min(b) + 0.9 < v && v < a.max(b) - 0.9;
        for (a, b) in self.runs.clone() {
            if (a.x == b.x) == upright {
                continue;
            }
            let at = if upright {
                p(from.x, a.y)
            } else {
                p(a.x, from.y)
            };
            let crosses = match upright {
                true => within(at.y, from.y, to.y) && within(at.x, a.x, b.x),
                false => within(at.x, from.x, to.x) && within(at.y, a.y, b.y),
            };
            if crosses && !(upright && joins.contains(&at.y)) {
                strokes::bridge(&mut self.drawing, at, upright);
            }
        }
        self.runs.push((from, to));
    }

    fn branch(&mut self, branch: &Branch, posterior: bool) {
        let course = self.model.nerves[branch.nerve].segments.clone();
        let Some(&first) = course.first() else {
            return;
        };
        let parents: Vec<(SegmentIx, f64, f64)> = branch
            .exits
            .iter()
            .filter(|(f, _)| !self.places.slants.contains_key(f))
            .filter_map(|&(f, x)| Some((f, x, self.places.bars.get(&f)?.y)))
            .collect();
        let mut start = branch.exits.iter().map(|e| e.1).fold(0.0, f64::max);
        for sign in [-1.0, 0.0, 1.0] {
            // From the furthest parent to the nearest, on each side of the row.
            let mut side: Vec<(SegmentIx, f64, f64)> = parents
                .iter()
                .copied()
                .filter(|&(.., y)| ((branch.y - y) * sign > 0.0) || (sign == 0.0 && y == branch.y))
                .collect();
            if sign == 0.0 {
                if let Some(bar) = side.first().and_then(|(f, ..)| self.places.bars.get(f)) {
                    start = bar.to;
                }
            } else if !side.is_empty() {
                side.sort_by(|a, b| (b.2 - branch.y).abs().total_cmp(&(a.2 - branch.y).abs()));
                start = side[0].1 + BEND;
                self.gather(&side, first, branch.y, posterior);
            }
        }
        self.tail(&course, start, branch.y, posterior);
    }

    /// From parents on one side of a row to the row; what has joined so far runs on together.
    fn gather(
        &mut self,
        parents: &[(SegmentIx, f64, f64)],
        first: SegmentIx,
        row: f64,
        posterior: bool,
    ) {
        let joins: Vec<f64> = parents.iter().map(|p| p.2).collect();
        let mut joined: Option<Fate> = None;
        for (i, &(f, x, y)) in parents.iter().enumerate() {
            let own = fate(self.loss.edge(f, first));
            let state = match joined {
                None => own,
                Some(so_far) if so_far == own => own,
                Some(_) => Fate::Part,
            };
            joined = Some(state);
            let sign = if row < y { -1.0 } else { 1.0 };
            let bend = BEND.min((row - y).abs() / 2.0);
            let mut arc = line(&[p(x - BEND, y)]);
            arc.curve_to(
                p(x - BEND / 2.0, y),
                p(x, y + sign * bend / 2.0),
                p(x, y + sign * bend),
            );
            let up = p(x, y + sign * bend);
            match parents.get(i + 1) {
                Some(next) => {
                    let end = p(x, next.2 + sign * BEND);
                    self.pass(up, end, &joins);
                    self.nerve(arc, own, posterior);
                    self.nerve(line(&[up, end]), state, posterior);
                }
                None => {
                    let end = p(x, row - sign * bend);
                    self.pass(up, end, &joins);
                    let mut rise = if state == own {
                        arc.line_to(end);
                        arc
                    } else {
                        self.nerve(arc, own, posterior);
                        line(&[up, end])
                    };
                    rise.curve_to(
                        p(x, row - sign * bend / 2.0),
                        p(x + BEND / 2.0, row),
                        p(x + BEND, row),
                    );
                    self.nerve(rise, state, posterior);
                }
            }
        }
    }

    /// The row of a branch: its own course, shortened, with each stretch drawn as what is left of it.
    fn tail(&mut self, course: &[SegmentIx], start: f64, y: f64, posterior: bool) {
        let mut runs: Vec<(f64, f64, Fate)> = Vec::new();
        let mut add = |from: f64, to: f64, fate: Fate| match runs.last_mut() {
            Some(last) if last.2 == fate => last.1 = to,
            _ => runs.push((from, to, fate)),
        };
        let mut from = start;
        for (i, &segment) in course.iter().enumerate() {
            let middle = self.tail_place(course.len(), i);
            let to = if i + 1 == course.len() {
                self.plan.frame.tail.1
            } else {
                (middle + self.tail_place(course.len(), i + 1)) / 2.0
            };
            add(from, middle, fate(self.loss.before[segment]));
            add(middle, to, fate(self.loss.after[segment]));
            from = to;
        }
        self.pass(p(start, y), p(from, y), &[]);
        for (from, to, fate) in runs {
            self.nerve(line(&[p(from, y), p(to, y)]), fate, posterior);
        }
    }

    /// The ganglion between rootlets and root, so that an avulsion is seen to lie before it.
    pub(super) fn ganglia(&mut self) {
        for (&segment, bar) in &self.places.bars {
            if self.model.segments[segment].kind.preganglionic {
                self.drawing.area(
                    circle(p(bar.to, bar.y), 1.2),
                    Some(1.0),
                    Some(stroke(0.4, INK)),
                );
            }
        }
    }

    pub(super) fn marks(&mut self) {
        // Where, and whether the nerve runs upright there.
        let mut spots: Vec<(P, bool)> = Vec::new();
        for segment in 0..self.model.segments.len() {
            if !self.cut(segment) {
                continue;
            }
            let spot = if let Some(bar) = self.places.bars.get(&segment) {
                Some((p(self.mark_at(segment, *bar), bar.y), false))
            } else if let Some((bar, row)) = self.places.slants.get(&segment) {
                let steep = (row - bar.y).abs() > bar.to - bar.from;
                let middle = p((bar.from + bar.to) / 2.0, (bar.y + row) / 2.0);
                Some((middle, steep))
            } else {
                self.on_branch(segment).map(|(x, y)| (p(x, y), false))
            };
            if let Some(spot) = spot
                && !spots.contains(&spot)
            {
                spots.push(spot);
            }
        }
        for &(at, upright) in &spots {
            strokes::lesion(&mut self.drawing, at, upright);
        }
        self.marked = !spots.is_empty();
    }

    /// On the branch that the segment belongs to, or at the end of the one it springs from.
    fn on_branch(&self, segment: SegmentIx) -> Option<(f64, f64)> {
        let mut at = segment;
        // A course is at most as long as there are segments.
        for _ in 0..self.model.segments.len() {
            for branch in &self.places.branches {
                let course = &self.model.nerves[branch.nerve].segments;
                if let Some(i) = course.iter().position(|&s| s == at) {
                    let x = if at == segment {
                        self.tail_place(course.len(), i)
                    } else {
                        self.plan.frame.tail.1 - 1.0
                    };
                    return Some((x, branch.y));
                }
            }
            at = *self.model.segments[at].from.first()?;
        }
        None
    }

    /// Middle of the i-th of n stretches on the straight end of a branch.
    fn tail_place(&self, n: usize, i: usize) -> f64 {
        // The last millimetre stays free, so that a mark keeps clear of the label.
        let (from, to) = self.plan.frame.tail;
        from + (to - 1.0 - from) * (i as f64 + 0.5) / n as f64
    }
}

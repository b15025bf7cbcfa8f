//! Where do the names of skin areas stand? In columns beside the outlines, with a line from each to its area.

use super::draw::{Drawing, INK, SMALL};
use super::shape::{Anchor, P, circle, line, p, stroke};

/// A label wanted for an area.
pub struct Wish {
    /// Areas with one id in one column share a label.
    pub id: usize,
    pub text: String,
    /// "lost", set in bold below the name.
    pub state: Option<String>,
    /// Point in the area.
    pub at: P,
    pub gutter: usize,
    /// The area lies left of the column.
    pub to_left: bool,
}

struct Entry {
    lines: Vec<String>,
    state: Option<String>,
    targets: Vec<(P, bool)>,
    top: f64,
    height: f64,
}

/// Space between a label and the outlines beside its column.
const CLEAR: f64 = 3.5;
const GAP: f64 = 1.8;

/// Sets all labels of one row of views; `edges` are the left and right edge of each column, `span` its top and bottom. Returns the
/// lower edge: a column that needs more room than the outlines hangs over below them.
pub fn place(
    drawing: &mut Drawing,
    wishes: Vec<Wish>,
    edges: &[(f64, f64)],
    span: (f64, f64),
) -> f64 {
    let mut bottom = span.1;
    for (gutter, &edge) in edges.iter().enumerate() {
        let mut entries: Vec<(usize, Entry)> = Vec::new();
        for wish in wishes.iter().filter(|w| w.gutter == gutter) {
            let target = (wish.at, wish.to_left);
            if let Some((_, entry)) = entries.iter_mut().find(|(id, _)| *id == wish.id) {
                entry.targets.push(target);
                continue;
            }
            let lines = drawing.wrap(&wish.text, edge.1 - edge.0 - 2.0 * CLEAR, SMALL, false);
            let count = lines.len() + usize::from(wish.state.is_some());
            entries.push((
                wish.id,
                Entry {
                    lines,
                    state: wish.state.clone(),
                    targets: vec![target],
                    top: 0.0,
                    height: drawing.leading(SMALL) * count as f64,
                },
            ));
        }
        let mut entries: Vec<Entry> = entries.into_iter().map(|(_, e)| e).collect();
        let needed: f64 = entries.iter().map(|e| e.height + GAP).sum();
        let end = span.1.max(span.0 + needed);
        bottom = bottom.max(end);
        spread(&mut entries, (span.0, end));
        let first = gutter == 0;
        let last = gutter + 1 == edges.len();
        for entry in entries {
            set(drawing, &entry, edge, first, last);
        }
    }
    bottom
}

/// Each label at the height of its areas, pushed apart as far as needed.
fn spread(entries: &mut [Entry], span: (f64, f64)) {
    for entry in entries.iter_mut() {
        let sum: f64 = entry.targets.iter().map(|t| t.0.y).sum();
        entry.top = sum / entry.targets.len() as f64 - entry.height / 2.0;
    }
    entries.sort_by(|a, b| (a.top + a.height / 2.0).total_cmp(&(b.top + b.height / 2.0)));
    let mut free = span.0;
    for entry in entries.iter_mut() {
        entry.top = entry.top.max(free);
        free = entry.top + entry.height + GAP;
    }
    let mut limit = span.1;
    for entry in entries.iter_mut().rev() {
        entry.top = entry.top.min(limit - entry.height);
        limit = entry.top - GAP;
    }
}

fn set(drawing: &mut Drawing, entry: &Entry, edge: (f64, f64), first: bool, last: bool) {
    let (x, anchor) = match (first, last) {
        (true, _) => (edge.1 - CLEAR, Anchor::End),
        (_, true) => (edge.0 + CLEAR, Anchor::Start),
        _ => ((edge.0 + edge.1) / 2.0, Anchor::Middle),
    };
    let mut widest: f64 = 0.0;
    let mut y = entry.top + drawing.leading(SMALL) / 2.0;
    for line in &entry.lines {
        drawing.block(std::slice::from_ref(line), x, y, anchor, SMALL, false);
        widest = widest.max(drawing.width(line, SMALL, false));
        y += drawing.leading(SMALL);
    }
    if let Some(state) = &entry.state {
        drawing.block(std::slice::from_ref(state), x, y, anchor, SMALL, true);
        widest = widest.max(drawing.width(state, SMALL, true));
    }
    let (left, right) = match anchor {
        Anchor::Start => (x, x + widest),
        Anchor::Middle => (x - widest / 2.0, x + widest / 2.0),
        Anchor::End => (x - widest, x),
    };
    let middle = entry.top + entry.height / 2.0;
    for &(at, to_left) in &entry.targets {
        // Level to the edge of the column, so that no line touches the label above or below.
        let leader = if to_left {
            [p(left - 0.8, middle), p(edge.0 + 1.5, middle), at]
        } else {
            [p(right + 0.8, middle), p(edge.1 - 1.5, middle), at]
        };
        drawing.line(line(&leader), stroke(0.9, 1.0));
        drawing.line(line(&leader), stroke(0.25, INK));
        drawing.area(circle(at, 0.65), Some(INK), Some(stroke(0.35, 1.0)));
    }
}

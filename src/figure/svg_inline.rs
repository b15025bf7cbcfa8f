//! How do a line and a label stand within a page of HTML? As compact elements of `svg`: whole numbers, steps from point to point.

use super::shape::{Anchor, Label, P, PT, Path, PathEl, Shape};
use super::simplify::{Node, simplify};
use super::svg::{colour, escape};
use std::fmt::Write;

/// Units of the picture in a millimetre: a tenth is a third of a dot of a screen at the size of a page.
const UNITS: f64 = 10.0;

/// How far a line of many straight steps may stray from its points, in units.
const STRAY: f32 = 0.4;

pub fn units(mm: f64) -> i64 {
    (mm * UNITS).round() as i64
}

/// A length of a look, to a tenth of a unit.
fn length(mm: f64) -> f64 {
    (10.0 * mm * UNITS).round() / 10.0
}

/// How a line or a label looks, as declarations of CSS that leave nothing to what stands round it.
pub fn look(shape: &Shape) -> String {
    match shape {
        Shape::Path(path) => {
            let fill = path.fill.map_or_else(|| "none".to_string(), short);
            let Some(stroke) = path.stroke else {
                return format!("fill:{fill};stroke:none");
            };
            let dash = match stroke.dash {
                [] => "none".to_string(),
                dash => dash
                    .iter()
                    .map(|d| length(*d).to_string())
                    .collect::<Vec<_>>()
                    .join(" "),
            };
            format!(
                "fill:{fill};stroke:{};stroke-width:{};stroke-dasharray:{dash}",
                short(stroke.grey),
                length(stroke.width)
            )
        }
        Shape::Label(label) => format!(
            "fill:{};text-anchor:{};font-weight:{};font-size:{}px",
            short(label.grey),
            match label.anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            },
            if label.bold { 700 } else { 400 },
            length(label.size * PT)
        ),
    }
}

/// "#000" for "#000000".
fn short(grey: f64) -> String {
    let long = colour(grey);
    match long.as_bytes() {
        [_, a, b, ..] if a == b => long.chars().take(4).collect(),
        _ => long,
    }
}

/// The element without its look.
pub fn element(shape: &Shape) -> String {
    match shape {
        Shape::Path(path) => line_element(path),
        Shape::Label(label) => label_element(label),
    }
}

fn line_element(path: &Path) -> String {
    if let Some((x, y, r)) = round(path) {
        return format!("<circle cx={} cy={} r={} />", units(x), units(y), length(r));
    }
    let mut out = String::from("<path d=\"");
    let mut pen = Pen::default();
    for element in simple(path) {
        pen.write(&mut out, element);
    }
    out + "\"/>"
}

/// The line without the corners that nobody sees.
fn simple(path: &Path) -> Vec<PathEl> {
    let mut out = Vec::new();
    let straight = |e: &PathEl| matches!(e, PathEl::MoveTo(_) | PathEl::LineTo(_));
    let together = |a: &PathEl, b: &PathEl| straight(a) && matches!(b, PathEl::LineTo(_));
    for run in path.line.elements().chunk_by(together) {
        let node = |e: &PathEl| {
            e.end_point()
                .map(|p| ((p.x * UNITS) as f32, (p.y * UNITS) as f32, false))
        };
        match run {
            [first, _, ..] if straight(first) => {
                let nodes: Vec<Node> = run.iter().filter_map(node).collect();
                out.push(*first);
                let kept = simplify(&nodes, STRAY).into_iter().skip(1);
                let at = |v: f32| f64::from(v) / UNITS;
                out.extend(kept.map(|(x, y, _)| PathEl::LineTo(P::new(at(x), at(y)))));
            }
            _ => out.extend(run),
        }
    }
    out
}

/// Centre and radius of a line that is a circle: four curves as far across as down, from the right and back.
fn round(path: &Path) -> Option<(f64, f64, f64)> {
    use PathEl::{ClosePath, CurveTo, MoveTo};
    let &[
        MoveTo(right),
        CurveTo(_, _, bottom),
        CurveTo(_, _, left),
        CurveTo(_, _, top),
        CurveTo(_, _, end),
        ClosePath,
    ] = path.line.elements()
    else {
        return None;
    };
    let (x, y, r) = (bottom.x, right.y, right.x - bottom.x);
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let all = right == end && near(left.y, y) && near(top.x, x);
    let all = all && near(x - left.x, r) && near(bottom.y - y, r) && near(y - top.y, r);
    all.then_some((x, y, r))
}

/// Where the line is, in units as they were written: what is rounded off once is made up for in the next step.
#[derive(Default)]
struct Pen {
    at: (i64, i64),
    start: (i64, i64),
    /// The letter that need not be said again.
    said: Option<char>,
}

impl Pen {
    fn write(&mut self, out: &mut String, element: PathEl) {
        match element {
            PathEl::MoveTo(to) => {
                let steps = self.steps(&[to]);
                self.say(out, 'm', &steps);
                // Numbers that follow those of a beginning lead on in straight lines.
                self.said = Some('l');
                self.start = self.at;
            }
            PathEl::LineTo(to) => match *self.steps(&[to]) {
                [x, 0] => self.say(out, 'h', &[x]),
                [0, y] => self.say(out, 'v', &[y]),
                ref steps => self.say(out, 'l', steps),
            },
            PathEl::QuadTo(bend, to) => {
                let steps = self.steps(&[bend, to]);
                self.say(out, 'q', &steps);
            }
            PathEl::CurveTo(leave, arrive, to) => {
                let steps = self.steps(&[leave, arrive, to]);
                self.say(out, 'c', &steps);
            }
            PathEl::ClosePath => {
                self.say(out, 'z', &[]);
                self.at = self.start;
            }
        }
    }

    /// From where the line is to each of the points; it is at the last of them then.
    fn steps(&mut self, points: &[P]) -> Vec<i64> {
        let (x, y) = self.at;
        let all: Vec<(i64, i64)> = points.iter().map(|p| (units(p.x), units(p.y))).collect();
        self.at = all.last().copied().unwrap_or(self.at);
        all.into_iter().flat_map(|(a, b)| [a - x, b - y]).collect()
    }

    fn say(&mut self, out: &mut String, letter: char, steps: &[i64]) {
        let again = self.said == Some(letter) && !steps.is_empty();
        if !again {
            out.push(letter);
        }
        self.said = Some(letter);
        let mut gap = if again { " " } else { "" };
        for step in steps {
            // A minus parts two numbers as well as a blank does. Writing to a String cannot fail.
            let _ = write!(out, "{}{step}", if *step < 0 { "" } else { gap });
            gap = " ";
        }
    }
}

fn label_element(label: &Label) -> String {
    format!(
        "<text x={} y={} textLength={}>{}</text>",
        units(label.at.x),
        units(label.at.y),
        units(label.width),
        escape(&label.text)
    )
}

#[cfg(test)]
mod tests {
    use super::super::shape::{BezPath, circle, line, p, stroke};
    use super::*;

    fn drawn(line: BezPath) -> Shape {
        Shape::Path(Path {
            line,
            fill: None,
            stroke: Some(stroke(0.2, 0.0)),
        })
    }

    #[test]
    fn steps_lead_to_the_points_without_drift() {
        let points: Vec<_> = (0..400)
            .map(|n| p(f64::from(n) * 0.333, f64::from(n % 7 / 2)))
            .collect();
        let text = element(&drawn(line(&points)));
        let (_, d) = text.split_once("d=\"m").expect("a path");
        let (d, _) = d.split_once('"').expect("its end");
        assert!(
            d.contains('h') && d.contains('-') && !d.contains('m'),
            "{d}"
        );
        let (mut x, mut y) = (0, 0);
        // Every number in its place: after h one, else two by two.
        let mut letter = 'l';
        let mut numbers: Vec<i64> = Vec::new();
        let spaced = d
            .replace('-', " -")
            .replace('l', " l ")
            .replace('h', " h ")
            .replace('v', " v ");
        for word in spaced.split_whitespace() {
            if let Some(c @ ('l' | 'h' | 'v')) = word.chars().next() {
                letter = c;
                continue;
            }
            numbers.push(word.parse().expect("a number"));
            match (letter, &numbers[..]) {
                ('h', [a]) => x += a,
                ('v', [b]) => y += b,
                ('l', [a, b]) => (x, y) = (x + a, y + b),
                _ => continue,
            }
            numbers.clear();
        }
        let last = points[399];
        assert_eq!((x, y), (units(last.x), units(last.y)));
    }

    #[test]
    fn a_circle_is_one() {
        let text = element(&drawn(circle(p(10.0, 20.0), 0.65)));
        assert_eq!(text, "<circle cx=100 cy=200 r=6.5 />");
    }
}

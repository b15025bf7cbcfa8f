//! How does a picture stand within a page of HTML? As a compact `svg` element: whole numbers, steps from point to point.

use super::shape::{Anchor, Figure, Label, PT, Path, PathEl, Shape, Stroke};
use super::svg::{colour, escape};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Units of the picture in a millimetre: a twentieth is less than a dot of any screen at the size of a page.
pub const UNITS: f64 = 20.0;

/// The figure as an element of an HTML page: it needs no name space and no ids, so it may stand there often. What is usual is said once; the
/// page's style sheet gives labels their black and takes the line from round them.
pub fn to_inline_svg(figure: &Figure) -> String {
    let mut out = String::with_capacity(16 * 1024);
    let size = most(figure.labels().map(|l| units(l.size * PT)));
    let width = most(figure.paths().filter_map(|p| Some(stroke_width(p.stroke?))));
    // Writing to a String cannot fail.
    let _ = write!(
        out,
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}. {}\"><g fill=\"none\" stroke=\"#000\" stroke-width=\"{width}\" stroke-linejoin=\"round\" font-size=\"{size}\">",
        units(figure.width_mm),
        units(figure.height_mm),
        escape(&figure.title),
        escape(&figure.alt)
    );
    // Lines of one look stand in one group.
    let mut look = String::new();
    let mut change = |out: &mut String, to: String| {
        if look != to {
            out.push_str(if look.is_empty() { "" } else { "</g>" });
            if !to.is_empty() {
                let _ = write!(out, "<g{to}>");
            }
            look = to;
        }
    };
    for shape in &figure.shapes {
        match shape {
            Shape::Path(path) => {
                change(&mut out, look_of(path, width));
                write_path(&mut out, path);
            }
            Shape::Label(label) => {
                change(&mut out, String::new());
                write_label(&mut out, label, size);
            }
        }
    }
    change(&mut out, String::new());
    out.push_str("</g></svg>");
    out
}

fn units(mm: f64) -> i64 {
    (mm * UNITS).round() as i64
}

fn write_path(out: &mut String, path: &Path) {
    out.push_str("<path d=\"");
    let mut pen = Pen::default();
    for element in path.line.iter() {
        pen.write(out, element);
    }
    out.push_str("\"/>");
}

fn stroke_width(stroke: Stroke) -> i64 {
    units(stroke.width).max(1)
}

/// What is unusual about the look of a line.
fn look_of(path: &Path, usual: i64) -> String {
    let mut out = String::new();
    if let Some(fill) = path.fill {
        let _ = write!(out, " fill=\"{}\"", short(fill));
    }
    let Some(stroke) = path.stroke else {
        return out + " stroke=\"none\"";
    };
    let colour = short(stroke.grey);
    if colour != BLACK {
        let _ = write!(out, " stroke=\"{colour}\"");
    }
    let width = stroke_width(stroke);
    if width != usual {
        let _ = write!(out, " stroke-width=\"{width}\"");
    }
    if !stroke.dash.is_empty() {
        let dashes: Vec<String> = stroke.dash.iter().map(|d| units(*d).to_string()).collect();
        let _ = write!(out, " stroke-dasharray=\"{}\"", dashes.join(" "));
    }
    out
}

/// The value that is met most; of several the largest.
fn most(values: impl Iterator<Item = i64>) -> i64 {
    let mut times: BTreeMap<i64, usize> = BTreeMap::new();
    for value in values {
        *times.entry(value).or_default() += 1;
    }
    let most = times.into_iter().max_by_key(|(_, times)| *times);
    most.map_or(0, |(value, _)| value)
}

const BLACK: &str = "#000";

/// "#000" for "#000000".
fn short(grey: f64) -> String {
    let long = colour(grey);
    match long.as_bytes() {
        [_, a, b, ..] if a == b => long.chars().take(4).collect(),
        _ => long,
    }
}

/// Where the line is, in units as they were written: what is rounded off once is made up for in the next step.
#[derive(Default)]
struct Pen {
    at: (i64, i64),
    start: (i64, i64),
}

impl Pen {
    fn write(&mut self, out: &mut String, element: PathEl) {
        let (letter, points) = match element {
            PathEl::MoveTo(to) => ('m', vec![to]),
            PathEl::LineTo(to) => ('l', vec![to]),
            PathEl::QuadTo(bend, to) => ('q', vec![bend, to]),
            PathEl::CurveTo(leave, arrive, to) => ('c', vec![leave, arrive, to]),
            PathEl::ClosePath => ('z', vec![]),
        };
        out.push(letter);
        let from = self.at;
        let mut gap = "";
        for point in points {
            let to = (units(point.x), units(point.y));
            for step in [to.0 - from.0, to.1 - from.1] {
                // A minus parts two numbers as well as a blank does.
                let _ = write!(out, "{}{step}", if step < 0 { "" } else { gap });
                gap = " ";
            }
            self.at = to;
        }
        match letter {
            'm' => self.start = self.at,
            'z' => self.at = self.start,
            _ => {}
        }
    }
}

fn write_label(out: &mut String, label: &Label, usual: i64) {
    let anchor = match label.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let weight = if label.bold {
        " font-weight=\"bold\""
    } else {
        ""
    };
    let size = match units(label.size * PT) {
        size if size == usual => String::new(),
        size => format!(" font-size=\"{size}\""),
    };
    let fill = match short(label.grey) {
        black if black == BLACK => String::new(),
        grey => format!(" fill=\"{grey}\""),
    };
    let _ = write!(
        out,
        "<text x=\"{}\" y=\"{}\"{anchor}{weight}{size}{fill} textLength=\"{}\">{}</text>",
        units(label.at.x),
        units(label.at.y),
        units(label.width),
        escape(&label.text)
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::shape::{line, p, stroke};

    #[test]
    fn steps_lead_to_the_points_without_drift() {
        let points: Vec<_> = (0..400)
            .map(|n| p(f64::from(n) * 0.333, f64::from(n) * 0.1))
            .collect();
        let figure = Figure {
            width_mm: 170.0,
            height_mm: 50.0,
            title: "A <line>".into(),
            alt: "\"straight\"".into(),
            shapes: vec![Shape::Path(Path {
                line: line(&points),
                fill: None,
                stroke: Some(stroke(0.2, 0.0)),
            })],
        };
        let text = to_inline_svg(&figure);
        assert!(text.contains("viewBox=\"0 0 3400 1000\""), "{text}");
        assert!(text.contains("aria-label=\"A &lt;line&gt;. &quot;straight&quot;\""));
        let (_, d) = text.split_once("d=\"m").expect("a path");
        let (d, _) = d.split_once('"').expect("its end");
        let (mut x, mut y) = (0, 0);
        for step in d.split('l') {
            let (dx, dy) = step.split_once(' ').expect("two numbers");
            x += dx.parse::<i64>().expect("a number");
            y += dy.parse::<i64>().expect("a number");
        }
        let last = points[399];
        assert_eq!((x, y), (units(last.x), units(last.y)));
    }
}

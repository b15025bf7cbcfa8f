//! How do the pictures of one page of HTML stand in it? As compact `svg` elements: whole numbers, steps from point to point, and once for all of
//! them what they have in common (lines and labels that are drawn again, looks, sentences of their words).

use super::shape::{Anchor, Figure, Label, P, PT, Path, PathEl, Shape};
use super::svg::{colour, escape};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Units of the picture in a millimetre: a twentieth is less than a dot of any screen at the size of a page.
const UNITS: f64 = 20.0;

/// What the pictures of a page share. It stands in the page once: [`Album::shared`] in its body, [`Album::style`] in its style sheet.
pub struct Album {
    /// Elements that are met more than once, with their numbers.
    again: BTreeMap<String, usize>,
    /// Looks as declarations of CSS, with their numbers; the usual ones have none.
    looks: BTreeMap<String, usize>,
    usual: [String; 2],
    /// Pieces of their words that are met more than once.
    pieces: Times,
    /// The stretches of the words of pictures that share some, with their numbers.
    words: BTreeMap<String, usize>,
}

impl Album {
    pub fn new(figures: &[&Figure]) -> Album {
        let (mut lines, mut labels) = (Times::new(), Times::new());
        let mut elements = Times::new();
        let mut pieces = Times::new();
        for figure in figures {
            for shape in &figure.shapes {
                let looks = match shape {
                    Shape::Path(_) => &mut lines,
                    Shape::Label(_) => &mut labels,
                };
                *looks.entry(look(shape)).or_default() += 1;
                *elements.entry(element(shape)).or_default() += 1;
            }
            for piece in split(&words(figure)) {
                *pieces.entry(piece.to_string()).or_default() += 1;
            }
        }
        let usual = [most(&lines), most(&labels)];
        lines.append(&mut labels);
        lines.retain(|look, _| !usual.contains(look));
        elements.retain(|element, times| pays(element, *times));
        pieces.retain(|piece, times| *times > 1 && piece.len() > SHORT);
        let own = figures.iter().map(|f| stretches(&words(f), &pieces));
        let shared = own.filter(|own| own.len() > 1).flatten();
        Album {
            again: numbered(elements),
            looks: numbered(lines),
            usual,
            words: numbered(shared.map(|w| (w, 1)).collect()),
            pieces,
        }
    }

    /// The element that stands once in the body of the page, before all pictures.
    pub fn shared(&self) -> String {
        let mut out = String::new();
        // Writing to a String cannot fail.
        for (words, n) in &self.words {
            let _ = write!(out, "<i id=w{n}>{}</i>", escape(words));
        }
        let mut out = match out.is_empty() {
            true => out,
            false => format!("<div hidden>{out}</div>\n"),
        };
        if !self.again.is_empty() {
            out.push_str("<svg class=\"unseen\" aria-hidden=\"true\"><defs>");
            for (element, n) in &self.again {
                out.push_str(&self.classed(element, &format!(" id=l{n}")));
            }
            out.push_str("</defs></svg>\n");
        }
        out
    }

    /// Rules for the looks of lines and labels.
    pub fn style(&self) -> String {
        let [line, label] = &self.usual;
        let mut out = format!("\nsvg{{{line}}}svg text{{{label}}}");
        for (look, n) in &self.looks {
            let _ = write!(out, ".k{n}{{{look}}}");
        }
        out
    }

    /// The figure as an element of the page.
    pub fn svg(&self, figure: &Figure) -> String {
        let mut out = String::with_capacity(16 * 1024);
        let words = words(figure);
        let own = stretches(&words, &self.pieces);
        let ids = own.iter().filter_map(|w| self.words.get(w));
        let ids: Vec<String> = ids.map(|n| format!("w{n}")).collect();
        let name = match ids.len() == own.len() {
            true => format!("labelledby=\"{}\"", ids.join(" ")),
            false => format!("label=\"{}\"", escape(&words)),
        };
        let _ = write!(
            out,
            "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-{name}\">",
            units(figure.width_mm),
            units(figure.height_mm)
        );
        let alike = |a: &Shape, b: &Shape| {
            matches!((a, b), (Shape::Path(_), Shape::Path(_))) && look(a) == look(b)
        };
        for run in figure.shapes.chunk_by(alike) {
            let class = match run {
                [Shape::Path(_), ..] => self.class(&run.first().map(look).unwrap_or_default()),
                _ => String::new(),
            };
            let (open, own, close) = match run.len() > 1 && !class.is_empty() {
                true => (format!("<g{class}>"), String::new(), "</g>"),
                false => (String::new(), class, ""),
            };
            out.push_str(&open);
            for shape in run {
                let element = element(shape);
                match self.again.get(&element) {
                    Some(n) => {
                        let _ = write!(out, "<use{own} href=#l{n} />");
                    }
                    None => out.push_str(&self.classed(&element, &own)),
                }
            }
            out.push_str(close);
        }
        out.push_str("</svg>");
        out
    }

    /// An element with its look, or one that is given to it.
    fn classed(&self, element: &str, own: &str) -> String {
        let (look, element) = element.split_once('\n').unwrap_or(("", element));
        let class = self.class(look) + own;
        let (name, rest) = element.split_once(' ').unwrap_or((element, ""));
        format!("{name}{class} {rest}")
    }

    fn class(&self, look: &str) -> String {
        let number = self.looks.get(look);
        number.map_or_else(String::new, |n| format!(" class=k{n}"))
    }
}

/// How often each is met.
type Times = BTreeMap<String, usize>;

/// Words so short that their number would take as much.
const SHORT: usize = 16;

fn numbered(met: Times) -> Times {
    let keys = met.into_keys().enumerate();
    keys.map(|(n, key)| (key, n)).collect()
}

/// What is met most; of several the last.
fn most(met: &Times) -> String {
    let most = met.iter().max_by_key(|(_, times)| **times);
    most.map(|(key, _)| key.clone()).unwrap_or_default()
}

/// Whether it takes less to write an element once and to point at it from each place.
fn pays(element: &str, times: usize) -> bool {
    const POINTER: usize = "<use href=#l100 />".len();
    const NAME: usize = " id=l100".len();
    element.len() + NAME + times * POINTER < times * element.len()
}

/// All that is said in place of the picture.
fn words(figure: &Figure) -> String {
    format!("{}. {}", figure.title, figure.alt)
}

/// Sentences and their parts: joined by blanks they are the whole again.
fn split(text: &str) -> Vec<&str> {
    let mut out = Vec::new();
    let mut from = 0;
    for (at, _) in text.match_indices(' ') {
        if text.get(..at).is_some_and(|t| t.ends_with(['.', ':', ';'])) {
            out.extend(text.get(from..at));
            from = at + 1;
        }
    }
    out.extend(text.get(from..));
    out
}

/// The words in stretches: each piece that is known by itself, and what lies between.
fn stretches(text: &str, known: &Times) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut between = false;
    for piece in split(text) {
        let own = !known.contains_key(piece);
        match out.last_mut() {
            Some(last) if own && between => {
                last.push(' ');
                last.push_str(piece);
            }
            _ => out.push(piece.to_string()),
        }
        between = own;
    }
    out
}

fn units(mm: f64) -> i64 {
    (mm * UNITS).round() as i64
}

/// A length of a look, to a tenth of a unit.
fn length(mm: f64) -> f64 {
    (10.0 * mm * UNITS).round() / 10.0
}

/// How a line or a label looks, as declarations of CSS that leave nothing to what stands round it.
fn look(shape: &Shape) -> String {
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

/// The element of a line without its look, or of a label: its look and, on a line of its own, the rest.
fn element(shape: &Shape) -> String {
    match shape {
        Shape::Path(path) => line_element(path),
        Shape::Label(label) => label_element(label, &look(shape)),
    }
}

fn line_element(path: &Path) -> String {
    if let Some((x, y, r)) = round(path) {
        return format!("<circle cx={} cy={} r={} />", units(x), units(y), length(r));
    }
    let mut out = String::from("<path d=\"");
    let mut pen = Pen::default();
    for element in path.line.iter() {
        pen.write(&mut out, element);
    }
    out + "\"/>"
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

fn label_element(label: &Label, look: &str) -> String {
    format!(
        "{look}\n<text x={} y={} textLength={}>{}</text>",
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

    fn figure(alt: &str, shapes: Vec<Shape>) -> Figure {
        Figure {
            width_mm: 170.0,
            height_mm: 50.0,
            title: "A <line>".into(),
            alt: alt.into(),
            shapes,
        }
    }

    fn drawn(line: BezPath, width: f64) -> Shape {
        Shape::Path(Path {
            line,
            fill: None,
            stroke: Some(stroke(width, 0.0)),
        })
    }

    #[test]
    fn steps_lead_to_the_points_without_drift() {
        let points: Vec<_> = (0..400)
            .map(|n| p(f64::from(n) * 0.333, f64::from(n % 7) * 0.1))
            .collect();
        let figure = figure("\"straight\"", vec![drawn(line(&points), 0.2)]);
        let text = Album::new(&[&figure]).svg(&figure);
        assert!(text.contains("viewBox=\"0 0 3400 1000\""), "{text}");
        assert!(text.contains("aria-label=\"A &lt;line&gt;. &quot;straight&quot;\""));
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
        let figure = figure("round", vec![drawn(circle(p(10.0, 20.0), 0.65), 0.2)]);
        let text = Album::new(&[&figure]).svg(&figure);
        assert!(text.contains("<circle cx=200 cy=400 r=13 />"), "{text}");
    }

    #[test]
    fn what_pictures_share_stands_once() {
        let long: Vec<_> = (0..30).map(|n| p(f64::from(n), f64::from(n * n))).collect();
        let both = "Outlines of the limb, front and back; a long part that both have.";
        let one = figure(
            &format!("{both} Lost: this."),
            vec![drawn(line(&long), 0.2)],
        );
        let two = figure(
            &format!("{both} Lost: that."),
            vec![
                drawn(line(&long), 0.2),
                drawn(line(&long), 0.9),
                drawn(line(&long), 0.2),
            ],
        );
        let album = Album::new(&[&one, &two]);
        let shared = album.shared();
        assert_eq!(shared.matches("<path id=l0 d=").count(), 1, "{shared}");
        assert_eq!(shared.matches("a long part that both have.").count(), 1);
        let (one, two) = (album.svg(&one), album.svg(&two));
        assert!(
            one.contains("><use href=#l0 /><"),
            "the usual look needs no name: {one}"
        );
        assert!(two.contains("<use class=k0 href=#l0 />"), "{two}");
        assert!(
            album
                .style()
                .contains(".k0{fill:none;stroke:#000;stroke-width:18;")
        );
        // What is said of each is whole.
        for (svg, end) in [(one, "Lost: this."), (two, "Lost: that.")] {
            let (_, ids) = svg.split_once("aria-labelledby=\"").expect("names");
            let (ids, _) = ids.split_once('"').expect("their end");
            let said: Vec<&str> = ids
                .split(' ')
                .map(|id| {
                    let (_, rest) = shared.split_once(&format!("<i id={id}>")).expect(id);
                    rest.split_once("</i>").expect("an end").0
                })
                .collect();
            assert_eq!(said.join(" "), format!("A &lt;line&gt;. {both} {end}"));
        }
    }
}

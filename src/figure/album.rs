//! What do the pictures of one page of HTML have in common? Lines, labels, whole runs of them, looks, sentences of their words: each stands once.

use super::repeated::{NAME, POINTER, join};
use super::shape::Figure;
use super::svg::escape;
use super::svg_inline::{element, look, units};
use std::collections::BTreeMap;

/// The pictures of a page.
pub struct Album {
    /// An element for each picture.
    pub svgs: Vec<String>,
    /// What they point at; it stands once in the body of the page.
    pub shared: String,
    /// Rules for their looks; they stand in the style sheet of the page.
    pub style: String,
}

impl Album {
    pub fn new(figures: &[&Figure]) -> Album {
        let (parts, rows) = Parts::new(figures);
        let words = Words::new(figures);
        let svg = |(figure, row): (&&Figure, &Vec<usize>)| {
            let (wide, high) = (units(figure.width_mm), units(figure.height_mm));
            let (name, drawn) = (words.name(figure), parts.drawn(row));
            format!("<svg viewBox=\"0 0 {wide} {high}\" role=\"img\" {name}>{drawn}</svg>")
        };
        Album {
            svgs: figures.iter().zip(&rows).map(svg).collect(),
            shared: words.shared() + &parts.shared(),
            style: parts.style(),
        }
    }
}

/// How often each is met.
type Times<K> = BTreeMap<K, usize>;

/// A number for each, the smallest for what is met most.
fn numbered<K: Ord>(met: Times<K>) -> BTreeMap<K, usize> {
    let mut all: Vec<(K, usize)> = met.into_iter().collect();
    all.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    let keys = all.into_iter().enumerate();
    keys.map(|(n, (key, _))| (key, n)).collect()
}

fn counted<K: Ord>(all: impl Iterator<Item = K>) -> Times<K> {
    let mut times = Times::new();
    for key in all {
        *times.entry(key).or_default() += 1;
    }
    times
}

/// What pictures are drawn with. Parts go by numbers: first the leaves, then groups of two parts.
struct Parts {
    /// Look and element of a line or a label.
    leaves: Vec<(String, String)>,
    groups: Vec<[usize; 2]>,
    /// The usual look is 0.
    looks: BTreeMap<String, usize>,
    elements: BTreeMap<String, usize>,
    named: BTreeMap<usize, usize>,
}

impl Parts {
    fn new(figures: &[&Figure]) -> (Parts, Vec<Vec<usize>>) {
        let mut known = BTreeMap::new();
        let mut leaves = Vec::new();
        let mut rows = vec![Vec::new(); figures.len()];
        for (figure, row) in figures.iter().zip(&mut rows) {
            for shape in &figure.shapes {
                let leaf = (look(shape), element(shape));
                let part = known.entry(leaf).or_insert_with_key(|leaf| {
                    leaves.push(leaf.clone());
                    leaves.len() - 1
                });
                row.push(*part);
            }
        }
        let all = rows.concat();
        let of = |part: &usize| leaves.get(*part);
        let looks = numbered(counted(all.iter().filter_map(of).map(|l| l.0.clone())));
        let times = counted(all.iter().filter_map(of).map(|l| l.1.clone()));
        let cost = |(_, element): &(String, String)| {
            let pays = times.get(element).is_some_and(|n| pays(element, *n));
            if pays { POINTER } else { element.len() }
        };
        let groups = join(&mut rows, leaves.iter().map(cost).collect());
        let mut parts = Parts {
            leaves,
            groups,
            looks,
            elements: BTreeMap::new(),
            named: BTreeMap::new(),
        };
        let placed = || rows.iter().flatten().chain(parts.groups.iter().flatten());
        let mut named = counted(placed().filter(|p| **p >= parts.leaves.len()).copied());
        named.retain(|_, times| *times > 1);
        let written = placed().filter_map(|p| parts.leaves.get(*p));
        let mut elements = counted(written.map(|l| l.1.clone()));
        elements.retain(|element, times| pays(element, *times));
        let first = elements.len();
        parts.named = numbered(named)
            .into_iter()
            .map(|(p, n)| (p, first + n))
            .collect();
        parts.elements = numbered(elements);
        (parts, rows)
    }

    /// Parts in their order; a group that stands in one place only is its members.
    fn spelled(&self, parts: &[usize], out: &mut Vec<usize>) {
        for part in parts {
            let group = part.checked_sub(self.leaves.len());
            match group.and_then(|g| self.groups.get(g)) {
                Some(members) if !self.named.contains_key(part) => self.spelled(members, out),
                _ => out.push(*part),
            }
        }
    }

    fn drawn(&self, parts: &[usize]) -> String {
        let mut all = Vec::new();
        self.spelled(parts, &mut all);
        let class = |part: &usize| {
            let look = self.leaves.get(*part).and_then(|l| self.looks.get(&l.0));
            look.filter(|n| **n > 0).copied()
        };
        let mut out = String::new();
        for run in all.chunk_by(|a, b| class(a) == class(b)) {
            let class = run.first().and_then(class);
            let class = class.map_or_else(String::new, |n| format!(" class=k{n}"));
            let together = run.len() > 1 && !class.is_empty();
            let (open, own, close) = match together {
                true => (format!("<g{class}>"), "", "</g>"),
                false => (String::new(), class.as_str(), ""),
            };
            out.push_str(&open);
            for part in run {
                out.push_str(&self.one(*part, own));
            }
            out.push_str(close);
        }
        out
    }

    /// A leaf with its class, or what points at it or at a group.
    fn one(&self, part: usize, class: &str) -> String {
        let element = self.leaves.get(part).map_or("", |l| l.1.as_str());
        match self.elements.get(element).or(self.named.get(&part)) {
            Some(n) => format!("<use{class} href=#l{n} />"),
            None => with(element, class),
        }
    }

    fn shared(&self) -> String {
        let elements = self.elements.iter();
        let mut all: Vec<String> = elements
            .map(|(e, n)| with(e, &format!(" id=l{n}")))
            .collect();
        for (part, n) in &self.named {
            let group = part.checked_sub(self.leaves.len());
            let members = group
                .and_then(|g| self.groups.get(g))
                .map_or(&[][..], |g| g);
            all.push(format!("<g id=l{n}>{}</g>", self.drawn(members)));
        }
        match all.is_empty() {
            true => String::new(),
            false => format!(
                "<svg class=\"unseen\" aria-hidden=\"true\"><defs>{}</defs></svg>\n",
                all.concat()
            ),
        }
    }

    fn style(&self) -> String {
        let rule = |(look, n): (&String, &usize)| match n {
            0 => format!("\nsvg{{{look}}}"),
            n => format!("\n.k{n}{{{look}}}"),
        };
        self.looks.iter().map(rule).collect()
    }
}

/// The element with one more attribute, or several.
fn with(element: &str, attributes: &str) -> String {
    let (name, rest) = element.split_once(' ').unwrap_or((element, ""));
    format!("{name}{attributes} {rest}")
}

/// Whether it takes less to write an element once and to point at it from each place.
fn pays(element: &str, times: usize) -> bool {
    element.len() + NAME + times * POINTER < times * element.len()
}

/// What is said in place of pictures.
struct Words {
    /// Pieces that are said more than once.
    pieces: Times<String>,
    /// Stretches of the words of pictures that share some, with their numbers.
    numbers: BTreeMap<String, usize>,
}

impl Words {
    /// A piece so short that its number would take as much.
    const SHORT: usize = 16;

    fn new(figures: &[&Figure]) -> Words {
        let all: Vec<String> = figures.iter().map(|f| words(f)).collect();
        let mut pieces = counted(all.iter().flat_map(|w| split(w)).map(String::from));
        pieces.retain(|piece, times| *times > 1 && piece.len() > Words::SHORT);
        let own = all.iter().map(|w| stretches(w, &pieces));
        let shared = own.filter(|own| own.len() > 1).flatten();
        let numbers = numbered(counted(shared));
        Words { pieces, numbers }
    }

    /// The attribute that names a picture.
    fn name(&self, figure: &Figure) -> String {
        let words = words(figure);
        let own = stretches(&words, &self.pieces);
        let ids = own.iter().filter_map(|w| self.numbers.get(w));
        let ids: Vec<String> = ids.map(|n| format!("w{n}")).collect();
        match ids.len() == own.len() {
            true => format!("aria-labelledby=\"{}\"", ids.join(" ")),
            false => format!("aria-label=\"{}\"", escape(&words)),
        }
    }

    fn shared(&self) -> String {
        let one = |(words, n): (&String, &usize)| format!("<i id=w{n}>{}</i>", escape(words));
        match self.numbers.is_empty() {
            true => String::new(),
            false => format!(
                "<div hidden>{}</div>\n",
                self.numbers.iter().map(one).collect::<String>()
            ),
        }
    }
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
fn stretches(text: &str, known: &Times<String>) -> Vec<String> {
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

#[cfg(test)]
mod tests {
    use super::super::shape::{BezPath, Path, Shape, line, p, stroke};
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
        let shared = album.shared;
        assert_eq!(shared.matches("<path id=l0 d=").count(), 1, "{shared}");
        assert_eq!(shared.matches("a long part that both have.").count(), 1);
        let (one, two) = (&album.svgs[0], &album.svgs[1]);
        assert!(
            one.contains("><use href=#l0 /><"),
            "the usual look needs no name: {one}"
        );
        assert!(two.contains("<use class=k1 href=#l0 />"), "{two}");
        assert!(
            album
                .style
                .contains(".k1{fill:none;stroke:#000;stroke-width:9;")
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

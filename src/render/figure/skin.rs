//! Turns the charts of a region, and the findings in skin, into outlines of the limb with the areas that are lost hatched.

use super::Kind;
use super::draw::{Drawing, HEAD, INK, SOFT};
use super::geometry::{Lean, clip, flatten, hatch, smooth};
use super::pen::{self, Sample};
use super::shape::{Anchor, Figure, P, Stroke, p, stroke};
use super::skin_labels::{Wish, place};
use super::words::bare;
use crate::anatomy::{Chart, Model, SkinKind};
use crate::diagnostic::Problem;
use crate::findings::join_and;
use crate::findings::{Finding, Findings, State};
use crate::station::capital;

const WIDTH: f64 = 170.0;
/// Room for the name above a view.
const NAME: f64 = 6.0;

/// Which map of the skin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Map {
    /// Fields of the nerves.
    Peripheral,
    Dermatome,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Side {
    #[default]
    Right,
    Left,
}

/// How an affected area is hatched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shade {
    Lost,
    Reduced,
    Variable,
}

/// Front and back of the limb, palm and back of the hand. `findings` are only shown by [`Kind::Lesion`]; the picture never
/// names the lesion, so it can stand before a candidate.
///
/// # Errors
/// When the region has no charts, or the labels do not fit.
pub fn skin(
    model: &Model,
    findings: Option<&Findings>,
    map: Map,
    kind: Kind,
    side: Side,
) -> Result<Figure, Problem> {
    if model.charts.views.is_empty() {
        return Err(
            Problem::new(format!("the {} has no charts to draw", model.label))
                .hint("add a charts.yaml to the region's folder"),
        );
    }
    let findings = findings.filter(|_| kind == Kind::Lesion);
    let mut sheet = Sheet {
        model,
        findings,
        map,
        side,
        kind,
        drawing: Drawing::new()?,
    };
    let mut rows: Vec<u8> = model.charts.views.iter().map(|v| v.row).collect();
    rows.sort_unstable();
    rows.dedup();
    let mut y = 0.0;
    for row in rows {
        y = sheet.row(row, y) + 3.0;
    }
    let bottom = sheet.key(y);
    let (title, alt) = (sheet.title(), sheet.alt());
    sheet.drawing.finish(WIDTH, bottom, title, alt)
}

/// Hatches an area: inside all rings of `within`, outside all of `without`. The kinds differ in lean, in number of lines
/// and in dash, so that they survive a poor copier.
pub fn shade(drawing: &mut Drawing, shade: Shade, within: &[&[P]], without: &[&[P]]) {
    let thin = stroke(0.28, INK);
    match shade {
        Shade::Lost => {
            for lean in [Lean::Up, Lean::Down] {
                drawing.lines(hatch(within, without, lean, 1.25), thin);
            }
        }
        Shade::Reduced => drawing.lines(hatch(within, without, Lean::Up, 1.5), thin),
        Shade::Variable => drawing.lines(
            hatch(within, without, Lean::Level, 1.3),
            Stroke {
                dash: &[0.45, 0.75],
                ..thin
            },
        ),
    }
}

struct Sheet<'m> {
    model: &'m Model,
    findings: Option<&'m Findings>,
    map: Map,
    side: Side,
    kind: Kind,
    drawing: Drawing,
}

impl Sheet<'_> {
    fn finding(&self, skin: usize) -> Option<&Finding> {
        self.findings?.skin.iter().find(|f| f.index == skin)
    }

    fn shade_of(&self, skin: usize) -> Option<Shade> {
        match self.finding(skin)?.state {
            State::Lost => Some(Shade::Lost),
            State::Weak => Some(Shade::Reduced),
            State::Variable => Some(Shade::Variable),
            _ => None,
        }
    }

    fn on_map(&self, skin: usize) -> bool {
        self.model
            .skin
            .get(skin)
            .is_some_and(|s| (s.kind == SkinKind::Peripheral) == (self.map == Map::Peripheral))
    }

    /// Views side by side with room for labels left, right and between; returns the lower edge.
    fn row(&mut self, row: u8, top: f64) -> f64 {
        let views: Vec<Chart> = self
            .model
            .charts
            .views
            .iter()
            .filter(|v| v.row == row)
            .cloned()
            .collect();
        let mut order: Vec<&Chart> = views.iter().collect();
        if self.side == Side::Left {
            // A left limb is the mirror image of a right one, and so is the row.
            order.reverse();
        }
        let taken: f64 = order.iter().map(|v| v.width).sum();
        let gutter = (WIDTH - taken) / (order.len() as f64 + 1.0);
        let mut x = gutter;
        let mut bottom: f64 = top;
        let mut wishes: Vec<Wish> = Vec::new();
        for (i, view) in order.iter().enumerate() {
            self.drawing.label(
                &format!("{}, {}", capital(&view.label), self.side_word()),
                p(x + view.width / 2.0, top + 3.6),
                Anchor::Middle,
                HEAD,
                true,
            );
            self.view(view, p(x, top + NAME), i, &mut wishes);
            bottom = bottom.max(top + NAME + view.height);
            x += gutter + view.width;
        }
        let edges: Vec<(f64, f64)> = (0..=order.len())
            .map(|i| {
                let before: f64 = order.iter().take(i).map(|v| v.width).sum();
                let left = before + gutter * i as f64;
                (left, left + gutter)
            })
            .collect();
        if self.kind != Kind::Blank {
            place(&mut self.drawing, wishes, &edges, (top + NAME, bottom));
        }
        bottom
    }

    fn view(&mut self, view: &Chart, origin: P, column: usize, wishes: &mut Vec<Wish>) {
        let put = |&(x, y): &(f64, f64)| {
            let x = match self.side {
                Side::Right => x,
                Side::Left => view.width - x,
            };
            p(origin.x + x, origin.y + y)
        };
        let points = |line: &[(f64, f64)]| -> Vec<P> { line.iter().map(put).collect() };
        let outline = smooth(&points(&view.outline), true);
        let ring = flatten(&outline);
        let shown: Vec<(usize, Vec<P>, Option<P>)> = view
            .regions
            .iter()
            .filter(|r| self.on_map(r.skin) && self.kind != Kind::Blank)
            .map(|r| {
                let line = flatten(&smooth(&points(&r.points), true));
                (r.skin, line, r.label.as_ref().map(put))
            })
            .collect();
        let details: Vec<_> = view
            .details
            .iter()
            .map(|d| smooth(&points(d), false))
            .collect();
        for (i, (skin, line, _)) in shown.iter().enumerate() {
            let over: Vec<&[P]> = shown
                .iter()
                .skip(i + 1)
                .map(|(_, l, _)| l.as_slice())
                .collect();
            if let Some(how) = self.shade_of(*skin) {
                shade(&mut self.drawing, how, &[&ring, line], &over);
            }
            self.drawing
                .lines(clip(line, &[&ring], &over), stroke(0.35, INK));
        }
        // Broken and thin, so that no crease reads as the border of an area.
        self.drawing.lines(
            details,
            Stroke {
                dash: &[0.7, 0.5],
                ..stroke(0.2, SOFT)
            },
        );
        self.drawing.area(outline, None, Some(stroke(0.45, INK)));
        for (skin, _, label) in shown {
            let Some(at) = label else {
                continue;
            };
            let right = at.x > origin.x + view.width / 2.0;
            wishes.push(Wish {
                id: skin,
                text: self.name(skin),
                state: self
                    .shade_of(skin)
                    .and_then(|_| self.finding(skin))
                    .map(|f| f.word().to_string()),
                at,
                gutter: column + usize::from(right),
                to_left: right,
            });
        }
    }

    fn name(&self, skin: usize) -> String {
        self.model
            .skin
            .get(skin)
            .map(|s| bare(&s.label, &s.nerve_label).to_string())
            .unwrap_or_default()
    }

    fn key(&mut self, top: f64) -> f64 {
        let words = |shade: Shade| match shade {
            Shade::Lost => "sensation lost",
            Shade::Reduced => "sensation reduced",
            Shade::Variable => "variable: may not decide a mark",
        };
        if self.kind != Kind::Lesion {
            return top - 2.0;
        }
        let entries: Vec<(Sample, String)> = [Shade::Lost, Shade::Reduced, Shade::Variable]
            .into_iter()
            .map(|s| (Sample::Hatch(s), words(s).to_string()))
            .collect();
        let mut entries = entries;
        for (i, _) in self.model.skin.iter().enumerate() {
            let drawn = self
                .model
                .charts
                .views
                .iter()
                .any(|v| v.regions.iter().any(|r| r.skin == i));
            if let Some(shade) = self.shade_of(i).filter(|_| self.on_map(i) && !drawn) {
                entries.push((
                    Sample::Hatch(shade),
                    format!("{} (not drawn)", self.name(i)),
                ));
            }
        }
        pen::key(&mut self.drawing, &entries, WIDTH, top) + 1.0
    }

    fn side_word(&self) -> &'static str {
        match self.side {
            Side::Right => "right",
            Side::Left => "left",
        }
    }

    fn limb(&self) -> String {
        format!("{} {}", self.side_word(), self.model.label)
    }

    fn title(&self) -> String {
        let limb = self.limb();
        match (self.kind, self.map) {
            (Kind::Blank, _) => format!("Outline of the {limb}, to be shaded"),
            (Kind::Plain, Map::Peripheral) => format!("Skin of the {limb} by nerve"),
            (Kind::Plain, Map::Dermatome) => format!("Dermatomes of the {limb}"),
            (Kind::Lesion, Map::Peripheral) => format!("Sensation of the {limb} by nerve"),
            (Kind::Lesion, Map::Dermatome) => format!("Sensation of the {limb} by dermatome"),
        }
    }

    fn alt(&self) -> String {
        let views: Vec<String> = self
            .model
            .charts
            .views
            .iter()
            .map(|v| v.label.clone())
            .collect();
        let mut text = format!("Outlines of the {}: {}.", self.limb(), join_and(&views));
        if self.kind == Kind::Blank {
            text.push_str(" No areas are drawn; they are to be shaded by hand.");
            return text;
        }
        let mut spared = Vec::new();
        let mut affected: [(Shade, &str, Vec<String>); 3] = [
            (Shade::Lost, "Lost", Vec::new()),
            (Shade::Reduced, "Reduced", Vec::new()),
            (
                Shade::Variable,
                "Variable, so that it may not decide a mark",
                Vec::new(),
            ),
        ];
        for (i, area) in self.model.skin.iter().enumerate() {
            if !self.on_map(i) {
                continue;
            }
            let name = format!("{} ({})", self.name(i), area.region);
            match self.shade_of(i) {
                None => spared.push(name),
                Some(shade) => affected
                    .iter_mut()
                    .filter(|(s, ..)| *s == shade)
                    .for_each(|(.., names)| names.push(name.clone())),
            }
        }
        if self.kind == Kind::Plain {
            text.push_str(&format!(" Areas: {}.", spared.join("; ")));
            return text;
        }
        for (_, word, names) in affected {
            if !names.is_empty() {
                text.push_str(&format!(" {word}: {}.", names.join("; ")));
            }
        }
        if !spared.is_empty() {
            text.push_str(&format!(" Normal: {}.", spared.join("; ")));
        }
        text
    }
}

//! Which skin is lost? Outlines of the limb with the areas of the findings hatched, their title, key and alternative text.

use std::collections::BTreeMap;

use super::Kind;
use super::draw::{Drawing, HEAD, INK, SOFT};
use super::figure_style::{FigureStyle, PAGE};
use super::geometry::{Ring, clip, flatten, smooth};
use super::shape::{Anchor, BezPath, Figure, P, Stroke, p, stroke};
use super::skin_labels::{Wish, place};
use super::strokes::{self, Sample, Shade, dotted, hatched};
use crate::anatomy::{Chart, Model, SkinKind};
use crate::case::Side;
use crate::diagnostic::Problem;
use crate::findings::{Finding, Findings, State};
use crate::wording::capital;

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

/// Front and back of the limb, palm and back of the hand, as large as a page allows: [`skin_within`].
///
/// # Errors
/// As [`skin_within`].
pub fn skin(
    model: &Model,
    findings: Option<&Findings>,
    map: Map,
    kind: Kind,
    side: Side,
    style: &FigureStyle,
) -> Result<Figure, Problem> {
    skin_within(model, findings, map, kind, side, style, PAGE.1)
}

/// Front and back of the limb, palm and back of the hand. `findings` are only shown by [`Kind::Lesion`] and [`Kind::Unnamed`]; the
/// picture never names the lesion, so it can stand before a candidate. `tallest`: the outlines become smaller until the picture is
/// about so high, in millimetres, as far as its names then still find room; its type keeps its size.
///
/// # Errors
/// When the region has no charts, or the labels do not fit.
pub fn skin_within(
    model: &Model,
    findings: Option<&Findings>,
    map: Map,
    kind: Kind,
    side: Side,
    style: &FigureStyle,
    tallest: f64,
) -> Result<Figure, Problem> {
    if model.charts.views.is_empty() {
        return Err(
            Problem::new(format!("the {} has no charts to draw", model.label))
                .hint("add a charts.yaml to the region's folder"),
        );
    }
    let subject = Subject {
        model,
        findings: findings.filter(|_| kind.shows_lesion()),
        map,
        side,
        kind,
        style,
    };
    style.fit(&|factor| shrunk(&subject, factor, tallest.min(PAGE.1)))
}

/// Larger type, and a lower picture, get their room from the outlines.
fn shrunk(subject: &Subject<'_>, factor: f64, tallest: f64) -> Result<Figure, Problem> {
    const STEP: usize = 5;
    if tallest >= PAGE.1 {
        // A page of its own: as large as it can be.
        for percent in (60..=100).rev().step_by(STEP).filter(|_| factor > 1.0) {
            if let Ok(figure) = chart(subject, factor, f64::from(percent) / 100.0)
                && figure.height_mm <= PAGE.1
            {
                return Ok(figure);
            }
        }
        return chart(subject, factor, 1.0);
    }
    // Where the names find no room the outlines grow until they do, and the picture gets higher than it should.
    for percent in (percent(subject, factor, tallest)..100).step_by(STEP) {
        if let Ok(figure) = chart(subject, factor, percent as f64 / 100.0) {
            return Ok(figure);
        }
    }
    chart(subject, factor, 1.0)
}

/// How large the outlines may be, in hundredths, for the picture to be so high.
fn percent(subject: &Subject<'_>, factor: f64, tallest: f64) -> usize {
    const LEAST: f64 = 22.0;
    let views = &subject.model.charts.views;
    let mut heights: BTreeMap<u8, f64> = BTreeMap::new();
    for view in views {
        let row = heights.entry(view.row).or_default();
        *row = row.max(view.height);
    }
    let lines = key(subject).len().div_ceil(3) as f64;
    let beside = heights.len() as f64 * (NAME * factor + 3.0) + (2.0 + 5.0 * lines) * factor;
    let scale = (tallest - beside) / heights.values().sum::<f64>().max(1.0);
    (100.0 * scale).clamp(LEAST, 100.0) as usize
}

fn chart(subject: &Subject<'_>, factor: f64, scale: f64) -> Result<Figure, Problem> {
    let mut sheet = Sheet {
        subject,
        factor,
        scale,
        drawing: Drawing::new(subject.style, factor),
    };
    let views = &subject.model.charts.views;
    let mut rows: Vec<u8> = views.iter().map(|v| v.row).collect();
    rows.sort_unstable();
    rows.dedup();
    let mut y = 0.0;
    for row in rows {
        y = sheet.row(row, y) + 3.0;
    }
    let entries = key(subject);
    let bottom = if entries.is_empty() {
        y - 2.0
    } else {
        strokes::key(&mut sheet.drawing, &entries, WIDTH, y) + 1.0
    };
    let (title, alt) = (title(subject), alt(subject));
    sheet.drawing.finish(WIDTH, bottom, title, alt)
}

/// What a chart shows.
struct Subject<'m> {
    model: &'m Model,
    findings: Option<&'m Findings>,
    map: Map,
    side: Side,
    kind: Kind,
    style: &'m FigureStyle,
}

impl Subject<'_> {
    fn finding(&self, skin: usize) -> Option<&Finding> {
        self.findings?.skin.get(skin)
    }

    fn shade_of(&self, skin: usize) -> Option<Shade> {
        match self.finding(skin)?.state {
            State::Lost => Some(Shade::Lost),
            State::Weak => Some(Shade::Reduced),
            State::Variable => Some(Shade::Variable),
            _ => None,
        }
    }

    /// "lost", as it stands beside an area.
    fn state_word(&self, skin: usize) -> Option<String> {
        let shade = self.shade_of(skin)?;
        let (_, key, ..) = SHADES.iter().find(|(own, ..)| *own == shade)?;
        Some(self.style.say(key, &[]))
    }

    fn on_map(&self, skin: usize) -> bool {
        self.model
            .skin
            .get(skin)
            .is_some_and(|s| (s.kind == SkinKind::Peripheral) == (self.map == Map::Peripheral))
    }

    /// Who plays the patient needs no border but those of the areas that are lost.
    fn draws(&self, skin: usize) -> bool {
        match self.kind {
            Kind::Blank => false,
            Kind::Unnamed => self.shade_of(skin).is_some_and(|s| s != Shade::Variable),
            Kind::Plain | Kind::Lesion => true,
        }
    }

    /// Patches belong to nerves: dermatomes overlap too much to have any.
    fn shows_patches(&self) -> bool {
        self.map == Map::Peripheral && matches!(self.kind, Kind::Plain | Kind::Lesion)
    }

    fn name(&self, skin: usize) -> String {
        self.model
            .skin
            .get(skin)
            .map(|s| bare(&s.label, &s.nerve_label).to_string())
            .unwrap_or_default()
    }

    fn side_word(&self) -> String {
        let key = match self.side {
            Side::Right => "fig_right",
            Side::Left => "fig_left",
        };
        self.style.say(key, &[])
    }
}

struct Sheet<'m> {
    subject: &'m Subject<'m>,
    /// How much larger than usual the type is, and how large the outlines.
    factor: f64,
    scale: f64,
    drawing: Drawing,
}

impl Sheet<'_> {
    /// Views side by side with room for labels left, right and between; returns the lower edge.
    fn row(&mut self, row: u8, top: f64) -> f64 {
        let subject = self.subject;
        let views = subject.model.charts.views.iter();
        let mut order: Vec<&Chart> = views.filter(|v| v.row == row).collect();
        let name = NAME * self.factor;
        if subject.side == Side::Left {
            // A left limb is the mirror image of a right one, and so is the row.
            order.reverse();
        }
        let scale = self.scale;
        let wide = |v: &Chart| v.width * scale;
        let taken: f64 = order.iter().map(|v| wide(v)).sum();
        let gutter = (WIDTH - taken) / (order.len() as f64 + 1.0);
        let mut x = gutter;
        let mut bottom: f64 = top;
        let mut wishes: Vec<Wish> = Vec::new();
        for (i, view) in order.iter().enumerate() {
            let label = capital(&view.label);
            let head = [("view", label.as_str()), ("side", &subject.side_word())];
            self.drawing.label(
                &subject.style.say("fig_view", &head),
                p(x + wide(view) / 2.0, top + 3.6 * self.factor),
                Anchor::Middle,
                HEAD,
                true,
            );
            self.view(view, p(x, top + name), i, &mut wishes);
            bottom = bottom.max(top + name + view.height * self.scale);
            x += gutter + wide(view);
        }
        let edges: Vec<(f64, f64)> = (0..=order.len())
            .map(|i| {
                let before: f64 = order.iter().take(i).map(|v| wide(v)).sum();
                let left = before + gutter * i as f64;
                (left, left + gutter)
            })
            .collect();
        if matches!(subject.kind, Kind::Blank | Kind::Unnamed) {
            return bottom;
        }
        place(&mut self.drawing, wishes, &edges, (top + name, bottom))
    }

    fn view(&mut self, view: &Chart, origin: P, column: usize, wishes: &mut Vec<Wish>) {
        let (subject, scale) = (self.subject, self.scale);
        let put = |&(x, y): &(f64, f64)| {
            let x = match subject.side {
                Side::Right => x,
                Side::Left => view.width - x,
            };
            p(origin.x + x * scale, origin.y + y * scale)
        };
        let points = |line: &[(f64, f64)]| -> Vec<P> { line.iter().map(put).collect() };
        let outline = smooth(&points(&view.outline), true);
        let ring = Ring::of(flatten(&outline));
        let shown: Vec<(usize, Ring, Option<P>)> = view
            .regions
            .iter()
            .filter(|r| subject.on_map(r.skin) && subject.draws(r.skin))
            .map(|r| {
                let line = flatten(&smooth(&points(&r.points), true));
                (r.skin, Ring::of(line), r.label.as_ref().map(put))
            })
            .collect();
        let details = view.details.iter().map(|d| smooth(&points(d), false));
        for (i, (skin, line, _)) in shown.iter().enumerate() {
            let over = || shown.iter().skip(i + 1).map(|(_, l, _)| l);
            if let Some(how) = subject.shade_of(*skin) {
                let over: Vec<&BezPath> = over().map(|l| &l.flat).collect();
                hatched(&mut self.drawing, how, &[&ring.flat, &line.flat], &over);
            }
            self.drawing
                .line(clip(line, &ring, over()), stroke(0.35, INK));
        }
        // Broken and thin, so that no crease reads as the border of an area.
        self.drawing.line(
            details.flatten().collect(),
            Stroke {
                dash: &[0.7, 0.5],
                ..stroke(0.2, SOFT)
            },
        );
        self.drawing.area(outline, None, Some(stroke(0.45, INK)));
        if subject.shows_patches() {
            for (_, patch) in &view.patches {
                let line = flatten(&smooth(&points(patch), true));
                let patch = clip(&Ring::of(line), &ring, [].iter());
                dotted(&mut self.drawing, patch);
            }
        }
        for (skin, _, label) in shown {
            let Some(at) = label else {
                continue;
            };
            let right = at.x > origin.x + view.width * scale / 2.0;
            wishes.push(Wish {
                id: skin,
                text: subject.name(skin),
                state: subject.state_word(skin),
                at,
                gutter: column + usize::from(right),
                to_left: right,
            });
        }
    }
}

/// The phrases of each shade: beside the area, in the key, in the alternative text.
const SHADES: [(Shade, &str, &str, &str); 3] = [
    (Shade::Lost, "fig_lost", "fig_key_lost", "fig_skin_alt_lost"),
    (
        Shade::Reduced,
        "fig_reduced",
        "fig_key_reduced",
        "fig_skin_alt_reduced",
    ),
    (
        Shade::Variable,
        "fig_variable",
        "fig_key_variable",
        "fig_skin_alt_variable",
    ),
];

fn title(subject: &Subject<'_>) -> String {
    let key = match (subject.kind, subject.map) {
        (Kind::Blank, _) => "fig_skin_title_blank",
        (Kind::Unnamed, _) => "fig_skin_title_unnamed",
        (Kind::Plain, Map::Peripheral) => "fig_skin_title_nerves",
        (Kind::Plain, Map::Dermatome) => "fig_skin_title_dermatomes",
        (Kind::Lesion, Map::Peripheral) => "fig_skin_title_lost_nerves",
        (Kind::Lesion, Map::Dermatome) => "fig_skin_title_lost_dermatomes",
    };
    let (side, region) = (subject.side_word(), &subject.model.label);
    subject
        .style
        .say(key, &[("side", &side), ("region", region)])
}

/// Samples of what is drawn, with their words.
fn key(subject: &Subject<'_>) -> Vec<(Sample, String)> {
    let say = |key: &str, values: &[(&str, &str)]| subject.style.say(key, values);
    let mut entries = Vec::new();
    if subject.kind == Kind::Unnamed {
        for (shade, key) in [
            (Shade::Lost, "fig_key_unnamed_lost"),
            (Shade::Reduced, "fig_key_unnamed_reduced"),
        ] {
            if (0..subject.model.skin.len())
                .any(|i| subject.on_map(i) && subject.shade_of(i) == Some(shade))
            {
                entries.push((Sample::Hatch(shade), say(key, &[])));
            }
        }
    }
    if subject.kind == Kind::Lesion {
        for (shade, _, key, _) in SHADES {
            entries.push((Sample::Hatch(shade), say(key, &[])));
        }
        for i in 0..subject.model.skin.len() {
            let views = subject.model.charts.views.iter();
            let drawn = views.flat_map(|v| &v.regions).any(|r| r.skin == i);
            let shade = subject.shade_of(i);
            if let Some(shade) = shade.filter(|_| subject.on_map(i) && !drawn) {
                let words = say("fig_key_not_drawn", &[("area", &subject.name(i))]);
                entries.push((Sample::Hatch(shade), words));
            }
        }
    }
    if !patches(subject).is_empty() {
        entries.push((Sample::Patch, say("fig_key_patch", &[])));
    }
    entries
}

/// The areas of which a patch is drawn, in the model's order.
fn patches(subject: &Subject<'_>) -> Vec<usize> {
    let views = &subject.model.charts.views;
    (0..subject.model.skin.len())
        .filter(|&i| subject.shows_patches() && subject.on_map(i))
        .filter(|&i| views.iter().flat_map(|v| &v.patches).any(|p| p.0 == i))
        .collect()
}

fn alt(subject: &Subject<'_>) -> String {
    let model = subject.model;
    let say = |key: &str, values: &[(&str, &str)]| subject.style.say(key, values);
    let views: Vec<String> = model.charts.views.iter().map(|v| v.label.clone()).collect();
    let mut all = vec![say(
        "fig_skin_alt",
        &[
            ("side", &subject.side_word()),
            ("region", &model.label),
            ("views", &subject.style.list(&views)),
        ],
    )];
    if subject.kind == Kind::Blank {
        all.push(say("fig_skin_alt_blank", &[]));
        return all.join(" ");
    }
    let areas = |wanted: Option<Shade>| -> Vec<String> {
        let skin = model.skin.iter().enumerate();
        skin.filter(|(i, _)| subject.on_map(*i) && subject.shade_of(*i) == wanted)
            .map(|(i, area)| match subject.kind {
                Kind::Unnamed => area.region.clone(),
                _ => format!("{} ({})", subject.name(i), area.region),
            })
            .collect()
    };
    let mut list = |key: &str, names: Vec<String>| {
        if !names.is_empty() {
            all.push(say(key, &[("areas", &names.join("; "))]));
        }
    };
    if subject.kind == Kind::Unnamed {
        list("fig_skin_alt_lost", areas(Some(Shade::Lost)));
        list("fig_skin_alt_reduced", areas(Some(Shade::Reduced)));
        return all.join(" ");
    }
    if subject.kind == Kind::Plain {
        list("fig_skin_alt_areas", areas(None));
    } else {
        for (shade, _, _, key) in SHADES {
            list(key, areas(Some(shade)));
        }
        list("fig_skin_alt_normal", areas(None));
    }
    let patch = |&i: &usize| {
        let area = model.skin.get(i)?;
        let place = area.autonomous.as_deref().unwrap_or(&area.region);
        Some(format!("{place} ({})", area.nerve_label))
    };
    let named = patches(subject).iter().filter_map(patch).collect();
    list("fig_skin_alt_patches", named);
    all.join(" ")
}

/// "Skin of the posterior cutaneous nerve of the arm" without its first words; other texts as they are.
pub fn bare<'t>(label: &'t str, nerve: &'t str) -> &'t str {
    label
        .strip_prefix("Skin of the ")
        .or_else(|| label.ends_with(" dermatome").then_some(nerve))
        .unwrap_or(label)
}

//! Where in the plexus is the lesion, and what does it cut off? A schematic that reads from the roots on the left to the branches on
//! the right, with its labels (or the empty boxes for them), key, title and alternative text.

use super::Kind;
use super::draw::{Drawing, HEAD, NORMAL, SMALL, SOFT};
use super::fibres::{Fate, Loss, fate, loss};
use super::figure_style::{FigureStyle, PAGE};
use super::plexus_columns::is_root;
use super::plexus_frame::{ROOT, ROOTS_END, WIDTH};
use super::plexus_layout::{Bar, Branch, Places, Plan};
use super::plexus_lines::Plexus;
use super::shape::{Anchor, Figure, line, p, stroke};
use super::strokes::{self, Gauge, Sample};
use crate::anatomy::{Model, SegmentIx};
use crate::diagnostic::Problem;
use crate::lesion::Lesion;
use crate::wording::capital;

/// The plexus of the region as a schematic, some 170 x 135 mm. `lesion` is only shown by [`Kind::Lesion`].
///
/// # Errors
/// When the region has no plexus, or its labels do not fit.
pub fn plexus(
    model: &Model,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
) -> Result<Figure, Problem> {
    let lesion = lesion.filter(|_| kind.shows_lesion());
    let plan = Plan::of(model).ok_or_else(|| {
        Problem::new(format!("the {} has no plexus to draw", model.label)).hint(
            "a plexus needs segments of a kind between the roots and the nerves in plexus.yaml",
        )
    })?;
    let figure = style.fit(&|factor| schematic(model, &plan, lesion, kind, style, factor))?;
    if figure.height_mm > PAGE.1 {
        let title = &figure.title;
        return Err(Problem::new(format!(
            "the picture \u{201c}{title}\u{201d} has no room for its labels: it is taller than a page"
        ))
        .hint("shorten the labels in the model, or draw fewer of them"));
    }
    Ok(figure)
}

fn schematic(
    model: &Model,
    plan: &Plan,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
    factor: f64,
) -> Result<Figure, Problem> {
    let drawing = Drawing::new(style, factor);
    let room = WIDTH - plan.frame.label;
    let tall = |nerve: usize| {
        let name = &model.nerves[nerve].label;
        let lines = drawing.wrap(name, room, SMALL, false).len();
        drawing.leading(SMALL) * lines as f64
    };
    let places = plan.places(model, &tall);
    let mut plexus = Plexus {
        model,
        style,
        loss: loss(model, lesion),
        lesion,
        blank: kind == Kind::Blank,
        drawing,
        seen: Vec::new(),
        marked: false,
        runs: Vec::new(),
        plan,
        places,
    };
    // Posterior first: the roots of the median nerve pass in front.
    for posterior in [true, false] {
        plexus.layer(posterior);
    }
    plexus.ganglia();
    plexus.marks();
    plexus.labels();
    let bottom = plexus.heads_and_key();
    let title = title(model, lesion, plexus.blank, style);
    let alt = alt(
        model,
        plan,
        &plexus.places,
        &plexus.loss,
        lesion,
        plexus.blank,
        style,
    );
    plexus.drawing.finish(WIDTH, bottom, title, alt)
}

/// Widest name of a part of the plexus before it is broken, in millimetres, and of one beyond which the branches rise.
const NAME: f64 = 16.0;
const LAST_NAME: f64 = 19.0;

impl Plexus<'_> {
    fn labels(&mut self) {
        let bars: Vec<(SegmentIx, Bar)> = self.places.bars.iter().map(|(s, b)| (*s, *b)).collect();
        for (segment, bar) in bars {
            let place = self.plan.columns.place(segment);
            if is_root(self.model, segment) {
                self.root_name(segment, bar);
            } else if let Some(column) = place.filter(|&c| self.named(c)) {
                self.name(segment, column, bar);
            }
        }
        for branch in self.places.branches.clone() {
            let label = self.plan.frame.label;
            if self.blank {
                strokes::empty_box(&mut self.drawing, label, branch.y, WIDTH - label - 0.5);
            } else {
                let name = &self.model.nerves[branch.nerve].label;
                let lines = self.drawing.wrap(name, WIDTH - label, SMALL, false);
                self.drawing
                    .block(&lines, label, branch.y, Anchor::Start, SMALL, false);
            }
        }
    }

    /// Whether the segments of this column have their names beside them.
    fn named(&self, column: usize) -> bool {
        !self.model.kinds[self.plan.columns.all[column].kind].unnamed
    }

    fn root_name(&mut self, root: SegmentIx, bar: Bar) {
        if self.blank {
            strokes::empty_box(&mut self.drawing, 0.3, bar.y, 7.0);
            return;
        }
        let s = &self.model.segments[root];
        // A root behind its rootlets begins with them.
        let begins = s.from.iter().find_map(|&f| self.model.segments[f].root);
        let name = s.root.or(begins).and_then(|r| self.model.roots.get(r));
        let name = name.unwrap_or(&s.label).clone();
        self.drawing
            .block(&[name], 0.0, bar.y, Anchor::Start, HEAD, true);
    }

    /// The name of a stretch: above it, unless a root of another nerve climbs there.
    fn name(&mut self, segment: SegmentIx, column: usize, bar: Bar) {
        let climbs =
            self.places.slants.iter().any(|(s, (_, row))| {
                self.model.segments[*s].from.contains(&segment) && *row < bar.y
            });
        if self.blank {
            let middle = bar.y + if climbs { 4.6 } else { -4.6 };
            strokes::empty_box(&mut self.drawing, bar.from + 0.5, middle, 13.0);
            return;
        }
        let last = column + 1 == self.plan.frame.columns.len();
        let room = if last { LAST_NAME } else { NAME };
        let label = &self.model.segments[segment].label;
        let lines = self.drawing.wrap(label, room, SMALL, false);
        // Clear of the bars of the lesion's mark, from the descenders of the last line on.
        let leading = self.drawing.leading(SMALL);
        let extra = lines.len().saturating_sub(1) as f64;
        let away = 2.6 + leading * (0.53 + extra / 2.0);
        let middle = bar.y + if climbs { away } else { -away };
        self.drawing
            .block(&lines, bar.from + 0.5, middle, Anchor::Start, SMALL, false);
    }

    /// The columns from left to right: how far their bracket reaches, and what it is called.
    fn heads(&self) -> Vec<(f64, f64, String)> {
        let frame = &self.plan.frame;
        let plural = |c: usize| {
            self.model.kinds[self.plan.columns.all[c].kind]
                .plural
                .clone()
        };
        let mut heads = vec![(ROOT.0, ROOTS_END, plural(0))];
        for (c, &(from, to)) in frame.columns.iter().enumerate().skip(1) {
            let last = c + 1 == frame.columns.len();
            let nominal = to - frame.taken(c);
            let (from, to) = match (self.named(c), last) {
                (false, _) => (from - 4.0, nominal + 3.0),
                (true, true) => (from + 1.0, nominal + 4.0),
                (true, false) => (from, nominal + 3.0),
            };
            // What springs from its own kind has the same head.
            match heads.last_mut() {
                Some(head) if self.plan.columns.all[c].depth > 0 => head.1 = to,
                _ => heads.push((from, to, plural(c))),
            }
        }
        let branches = self.style.say("fig_branches", &[]);
        heads.push((frame.tail.0 - 6.0, WIDTH, branches));
        heads
    }

    /// Names of the columns and the key below the drawing; returns the lower edge.
    fn heads_and_key(&mut self) -> f64 {
        let y = self.places.bottom;
        for (from, to, name) in self.heads() {
            self.drawing.line(
                line(&[p(from, y), p(from, y + 1.2), p(to, y + 1.2), p(to, y)]),
                stroke(0.25, SOFT),
            );
            let middle = (from + to) / 2.0;
            if self.blank {
                strokes::empty_box(&mut self.drawing, middle - 8.0, y + 5.0, 16.0);
            } else {
                self.drawing
                    .label(&name, p(middle, y + 5.0), Anchor::Middle, NORMAL, true);
            }
        }
        let mut entries = Vec::new();
        if self.seen.iter().any(|s| s.1) {
            for (gauge, key) in [
                (Gauge::Nerve, "fig_key_anterior"),
                (Gauge::Double, "fig_key_posterior"),
            ] {
                let sample = Sample::Line(Fate::Whole, gauge);
                entries.push((sample, self.style.say(key, &[])));
            }
        }
        let saw = |f: Fate| self.seen.iter().any(|s| s.0 == f);
        if saw(Fate::Cut) {
            entries.push((
                Sample::Line(Fate::Cut, Gauge::Nerve),
                self.style.say("fig_key_cut", &[]),
            ));
        }
        if saw(Fate::Part) {
            entries.push((
                Sample::Line(Fate::Part, Gauge::Nerve),
                self.style.say("fig_key_part", &[]),
            ));
        }
        if let Some(lesion) = self.lesion {
            let key = if self.marked {
                "fig_key_lesion"
            } else {
                "fig_key_lesion_outside"
            };
            let words = self.style.say(key, &[("lesion", &lesion.sentence())]);
            entries.push((Sample::Lesion, words));
        }
        if self.blank {
            entries.clear();
        }
        let top = y + if self.blank { 9.0 } else { 8.0 };
        strokes::key(&mut self.drawing, &entries, WIDTH, top) + 1.0
    }
}

fn title(model: &Model, lesion: Option<&Lesion>, blank: bool, style: &FigureStyle) -> String {
    let region = ("region", model.label.as_str());
    match lesion {
        Some(lesion) => style.say(
            "fig_plexus_title_lesion",
            &[region, ("lesion", &lesion.sentence())],
        ),
        None if blank => style.say("fig_plexus_title_blank", &[region]),
        None => style.say("fig_plexus_title", &[region]),
    }
}

fn alt(
    model: &Model,
    plan: &Plan,
    places: &Places,
    loss: &Loss,
    lesion: Option<&Lesion>,
    blank: bool,
    style: &FigureStyle,
) -> String {
    if blank {
        return alt_blank(model, plan, places, style);
    }
    let drawn: Vec<SegmentIx> = places
        .bars
        .keys()
        .chain(places.slants.keys())
        .copied()
        .collect();
    let the = |s: SegmentIx| style.say("fig_the", &[("thing", &model.segments[s].label)]);
    let mut all = vec![style.say("fig_plexus_alt", &[("region", &model.label)])];
    let columns = plan.columns.all.iter().enumerate().skip(1);
    for (place, _) in columns.filter(|(_, c)| !model.kinds[c.kind].unnamed) {
        for &s in &drawn {
            if plan.columns.place(s) == Some(place) {
                let segment = &model.segments[s];
                let from = segment.from.iter().copied();
                let from: Vec<String> = from
                    .filter(|f| places.bars.contains_key(f))
                    .map(the)
                    .collect();
                let stretch = ("stretch", segment.label.as_str());
                let origins = ("origins", &*style.list(&from));
                all.push(style.say("fig_plexus_alt_stretch", &[stretch, origins]));
            }
        }
    }
    for branch in &places.branches {
        let from: Vec<String> = branch.exits.iter().map(|&(f, _)| the(f)).collect();
        let nerve = capital(&model.nerves[branch.nerve].label);
        all.push(style.say(
            "fig_plexus_alt_branch",
            &[("nerve", &nerve), ("origins", &style.list(&from))],
        ));
    }
    if let Some(lesion) = lesion {
        all.push(style.say("fig_alt_marked", &[("lesion", &lesion.sentence())]));
        for (state, key) in [
            (Fate::Cut, "fig_plexus_alt_cut"),
            (Fate::Part, "fig_plexus_alt_part"),
        ] {
            let stretches = drawn.iter().copied();
            let mut names: Vec<String> = stretches
                .filter(|&s| fate(loss.after[s]) == state)
                .map(the)
                .collect();
            names.extend(harmed_branches(model, places, loss, state, style));
            if !names.is_empty() {
                all.push(style.say(key, &[("places", &style.list(&names))]));
            }
        }
    }
    all.join(" ")
}

fn alt_blank(model: &Model, plan: &Plan, places: &Places, style: &FigureStyle) -> String {
    let mut columns: Vec<String> = Vec::new();
    for (c, column) in plan.columns.all.iter().enumerate() {
        let drawn = |s: &&SegmentIx| {
            let stray = c == 0 && is_root(model, **s);
            places.bars.contains_key(*s) && (stray || plan.columns.place(**s) == Some(c))
        };
        let kind = &model.kinds[column.kind];
        let count = places.bars.keys().filter(drawn).count();
        let name = if count == 1 { &kind.id } else { &kind.plural };
        if count > 0 {
            columns.push(format!("{count} {}", name.replace('_', " ")));
        }
    }
    style.say(
        "fig_plexus_alt_blank",
        &[
            ("region", &model.label),
            ("columns", &style.list(&columns)),
            ("branches", &places.branches.len().to_string()),
        ],
    )
}

/// The nerves that are in this state from their beginning or further on.
fn harmed_branches(
    model: &Model,
    places: &Places,
    loss: &Loss,
    state: Fate,
    style: &FigureStyle,
) -> Vec<String> {
    let harmed = |branch: &Branch| {
        let nerve = &model.nerves[branch.nerve];
        let mut fates = nerve.segments.iter().map(|&s| fate(loss.after[s]));
        let begins = fates.clone().next() == Some(state);
        let worse = state == Fate::Part && fates.clone().any(|f| f == Fate::Cut);
        if begins {
            Some(style.say("fig_the", &[("thing", &nerve.label)]))
        } else if fates.any(|f| f == state) && !worse {
            Some(style.say("fig_plexus_alt_further", &[("nerve", &nerve.label)]))
        } else {
            None
        }
    };
    places.branches.iter().filter_map(harmed).collect()
}

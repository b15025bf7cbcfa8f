//! Where in the plexus is the lesion, and what does it cut off? A schematic that reads from the roots on the left to the branches on
//! the right, with its labels (or the empty boxes for them), key, title and alternative text.

use super::Kind;
use super::draw::{Drawing, HEAD, NORMAL, SMALL, SOFT};
use super::fibres::{Fate, Loss, fate, loss};
use super::figure_style::FigureStyle;
use super::plexus_layout::{
    Bar, Branch, CORD, DIVISION, LABEL, Places, ROOT, TAIL, TRUNK, WIDTH, column, places, spread,
};
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
    style.fit(&|factor| schematic(model, lesion, kind, style, factor))
}

fn schematic(
    model: &Model,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
    factor: f64,
) -> Result<Figure, Problem> {
    let drawing = Drawing::new(style, factor);
    let tallest = places(model, 1.0)
        .branches
        .iter()
        .map(|b| &model.nerves[b.nerve].label)
        .map(|name| drawing.wrap(name, WIDTH - LABEL, SMALL, false).len())
        .max()
        .unwrap_or(0);
    let apart = if factor > 1.0 {
        spread(drawing.leading(SMALL) * tallest as f64)
    } else {
        1.0
    };
    let places = places(model, apart);
    if places.branches.is_empty() {
        return Err(
            Problem::new(format!("the {} has no plexus to draw", model.label))
                .hint("a plexus needs segments of kind trunk, division and cord in plexus.yaml"),
        );
    }
    let mut plexus = Plexus {
        model,
        style,
        loss: loss(model, lesion),
        lesion,
        blank: kind == Kind::Blank,
        drawing,
        seen: Vec::new(),
        marked: false,
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
        &plexus.places,
        &plexus.loss,
        lesion,
        plexus.blank,
        style,
    );
    plexus.drawing.finish(WIDTH, bottom, title, alt)
}

/// Widest name of a trunk and of a cord before it is broken, in millimetres: beyond it their branches rise.
const TRUNK_NAME: f64 = 16.0;
const CORD_NAME: f64 = 19.0;

impl Plexus<'_> {
    fn labels(&mut self) {
        let bars: Vec<(SegmentIx, Bar)> = self.places.bars.iter().map(|(s, b)| (*s, *b)).collect();
        for (segment, bar) in bars {
            let s = &self.model.segments[segment];
            match column(self.model, segment) {
                Some(0) => {
                    let name = s
                        .label
                        .strip_suffix(" root")
                        .unwrap_or(&s.label)
                        .to_string();
                    if self.blank {
                        strokes::empty_box(&mut self.drawing, 0.3, bar.y, 7.0);
                    } else {
                        self.drawing
                            .block(&[name], 0.0, bar.y, Anchor::Start, HEAD, true);
                    }
                }
                Some(place @ (1 | 3)) => {
                    // Above the stretch, unless a root of another nerve climbs there.
                    let climbs = self.places.slants.iter().any(|(s, (_, row))| {
                        self.model.segments[*s].from.contains(&segment) && *row < bar.y
                    });
                    if self.blank {
                        let middle = bar.y + if climbs { 4.6 } else { -4.6 };
                        strokes::empty_box(&mut self.drawing, bar.from + 0.5, middle, 13.0);
                    } else {
                        let room = match place {
                            1 => TRUNK_NAME,
                            _ => CORD_NAME,
                        };
                        let lines = self.drawing.wrap(&s.label, room, SMALL, false);
                        // Clear of the bars of the lesion's mark, from the descenders of the last line on.
                        let leading = self.drawing.leading(SMALL);
                        let extra = lines.len().saturating_sub(1) as f64;
                        let away = 2.6 + leading * (0.53 + extra / 2.0);
                        let middle = bar.y + if climbs { away } else { -away };
                        self.drawing.block(
                            &lines,
                            bar.from + 0.5,
                            middle,
                            Anchor::Start,
                            SMALL,
                            false,
                        );
                    }
                }
                _ => {}
            }
        }
        for branch in self.places.branches.clone() {
            if self.blank {
                strokes::empty_box(&mut self.drawing, LABEL, branch.y, WIDTH - LABEL - 0.5);
            } else {
                let name = &self.model.nerves[branch.nerve].label;
                let lines = self.drawing.wrap(name, WIDTH - LABEL, SMALL, false);
                self.drawing
                    .block(&lines, LABEL, branch.y, Anchor::Start, SMALL, false);
            }
        }
    }

    /// Names of the columns and the key below the drawing; returns the lower edge.
    fn heads_and_key(&mut self) -> f64 {
        let y = self.places.bottom;
        for (from, to, name) in [
            (ROOT.0, 33.0, "fig_roots"),
            (TRUNK.0, TRUNK.1 + 3.0, "fig_trunks"),
            (DIVISION.0 - 4.0, DIVISION.1 + 3.0, "fig_divisions"),
            (CORD.0 + 1.0, CORD.1 + 4.0, "fig_cords"),
            (TAIL.0 - 6.0, WIDTH, "fig_branches"),
        ] {
            self.drawing.line(
                line(&[p(from, y), p(from, y + 1.2), p(to, y + 1.2), p(to, y)]),
                stroke(0.25, SOFT),
            );
            let middle = (from + to) / 2.0;
            if self.blank {
                strokes::empty_box(&mut self.drawing, middle - 8.0, y + 5.0, 16.0);
            } else {
                let name = self.style.say(name, &[]);
                self.drawing
                    .label(&name, p(middle, y + 5.0), Anchor::Middle, NORMAL, true);
            }
        }
        let mut entries = vec![
            (
                Sample::Line(Fate::Whole, Gauge::Nerve),
                self.style.say("fig_key_anterior", &[]),
            ),
            (
                Sample::Line(Fate::Whole, Gauge::Double),
                self.style.say("fig_key_posterior", &[]),
            ),
        ];
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
    places: &Places,
    loss: &Loss,
    lesion: Option<&Lesion>,
    blank: bool,
    style: &FigureStyle,
) -> String {
    if blank {
        return alt_blank(model, places, style);
    }
    let drawn: Vec<SegmentIx> = places
        .bars
        .keys()
        .chain(places.slants.keys())
        .copied()
        .collect();
    let the = |s: SegmentIx| style.say("fig_the", &[("thing", &model.segments[s].label)]);
    let mut all = vec![style.say("fig_plexus_alt", &[("region", &model.label)])];
    for place in [1, 3] {
        for &s in &drawn {
            if column(model, s) == Some(place) {
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

fn alt_blank(model: &Model, places: &Places, style: &FigureStyle) -> String {
    // The cords that spring from cords have no box of their own.
    let boxed = |place: usize| {
        let bars = places.bars.keys();
        let count = bars.filter(|&&s| column(model, s) == Some(place)).count();
        count.to_string()
    };
    style.say(
        "fig_plexus_alt_blank",
        &[
            ("region", &model.label),
            ("roots", &boxed(0)),
            ("trunks", &boxed(1)),
            ("divisions", &boxed(2)),
            ("cords", &boxed(3)),
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

//! What leaves a nerve where, and what does a lesion cut off? A strip from its origin down to its last branch, with title and
//! alternative text.

use super::Kind;
use super::draw::{Drawing, HEAD, NORMAL, SMALL};
use super::fibres::{Fate, Loss, fate, loss};
use super::figure_style::FigureStyle;
use super::nerve_rows::{Course, Ends, Stretch, Twig, course};
use super::shape::{Anchor, BezPath, Figure, line, p};
use super::strokes::{self, Gauge, Sample};

use crate::anatomy::{Model, fold};
use crate::diagnostic::{Problem, did_you_mean, short};
use crate::lesion::Lesion;
use crate::wording::capital;

const WIDTH: f64 = 170.0;
/// Right edge of the levels, and where the nerve itself runs.
const LEVELS: f64 = 42.0;
const STEM: f64 = 48.0;
/// How far a side branch stands out from the nerve it springs from.
const STEP: f64 = 9.0;
const ROW: f64 = 4.9;
/// With boxes to write in.
const BLANK_ROW: f64 = 6.4;
/// Room for the lesion's mark on an upright line.
const MARK: f64 = 5.0;

/// One nerve with its branches by level, some 170 mm wide. `lesion` is only shown by [`Kind::Lesion`].
///
/// # Errors
/// When no nerve has this id, or its labels do not fit.
pub fn nerve(
    model: &Model,
    id: &str,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
) -> Result<Figure, Problem> {
    let index = nerve_named(model, id)?;
    let lesion = lesion.filter(|_| kind.shows_lesion());
    let course = course(model, index, lesion, style);
    style.fit(&|factor| strip(model, &course, lesion, kind, style, factor))
}

/// The place in `Model::nerves` of the nerve of this id, label or synonym.
///
/// # Errors
/// With the nearest id, or all of them.
pub fn nerve_named(model: &Model, word: &str) -> Result<usize, Problem> {
    let folded = fold(word);
    let found = model.nerves.iter().position(|n| {
        n.id == folded || fold(&n.label) == folded || n.synonyms.iter().any(|s| fold(s) == folded)
    });
    found.ok_or_else(|| {
        let known = || model.nerves.iter().map(|n| n.id.as_str());
        let all: Vec<&str> = known().collect();
        let otherwise = format!("choose one of: {}", all.join(", "));
        Problem::new(format!("no nerve has the id `{}`", short(word))).hint(did_you_mean(
            word,
            known(),
            &otherwise,
        ))
    })
}

fn strip(
    model: &Model,
    course: &Course,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
    factor: f64,
) -> Result<Figure, Problem> {
    let mut strip = Strip {
        model,
        style,
        loss: loss(model, lesion),
        blank: kind == Kind::Blank,
        names: STEM + STEP * course.depth() as f64 + 14.0,
        drawing: Drawing::new(style, factor),
        seen: Vec::new(),
        above: false,
        marks: Vec::new(),
        y: 0.0,
    };
    strip.origin(course);
    strip.course(course, STEM);
    for &(x, y) in &strip.marks {
        strokes::lesion(&mut strip.drawing, p(x, y), true);
    }
    let bottom = strip.key(lesion);
    let title = title(model, course, lesion, kind, style);
    let alt = alt(model, course, lesion, strip.blank, style);
    strip.drawing.finish(WIDTH, bottom, title, alt)
}

struct Strip<'m> {
    model: &'m Model,
    style: &'m FigureStyle,
    loss: Loss,
    blank: bool,
    /// Left edge of the names of muscles and skin.
    names: f64,
    drawing: Drawing,
    seen: Vec<Fate>,
    above: bool,
    marks: Vec<(f64, f64)>,
    y: f64,
}

impl Strip<'_> {
    fn nerve(&mut self, sub: BezPath, fate: Fate) {
        self.line(sub, fate, Gauge::Nerve);
    }

    fn line(&mut self, sub: BezPath, fate: Fate, gauge: Gauge) {
        if !self.seen.contains(&fate) {
            self.seen.push(fate);
        }
        strokes::nerve(&mut self.drawing, sub, fate, gauge);
    }

    fn row(&self) -> f64 {
        if self.blank {
            BLANK_ROW
        } else {
            (self.drawing.leading(NORMAL) + 0.9).max(ROW)
        }
    }

    /// Where the nerve comes from, above its first stretch.
    fn origin(&mut self, course: &Course) {
        let Some(first) = course.stretches.first() else {
            return;
        };
        let from = origins(self.model, first, self.style);
        let text = self
            .style
            .say("fig_nerve_from", &[("origins", &self.style.list(&from))]);
        let lines = self.drawing.wrap(&text, WIDTH - STEM - 4.0, NORMAL, false);
        let height = self.drawing.leading(NORMAL) * lines.len() as f64;
        if self.blank {
            strokes::empty_box(&mut self.drawing, STEM + 4.0, 3.0, 60.0);
        } else {
            self.drawing.block(
                &lines,
                STEM + 4.0,
                height / 2.0 + 0.5,
                Anchor::Start,
                NORMAL,
                false,
            );
        }
        let before = fate(self.loss.before[first.segment]);
        let bottom = height.max(5.0) + 2.0 + f64::from(u8::from(self.blank));
        if before == Fate::Whole {
            self.nerve(line(&[p(STEM, 0.6), p(STEM, bottom)]), before);
        } else {
            // The lesion lies higher up: its mark stands at the upper end.
            self.above = true;
            self.nerve(line(&[p(STEM, 0.6), p(STEM, 3.0)]), Fate::Whole);
            self.nerve(line(&[p(STEM, 3.0), p(STEM, bottom)]), before);
            self.marks.push((STEM, 3.0));
        }
        self.y = bottom;
    }

    fn course(&mut self, course: &Course, x: f64) {
        let mut last_level = "";
        for stretch in &course.stretches {
            let before = fate(self.loss.before[stretch.segment]);
            let after = fate(self.loss.after[stretch.segment]);
            let top = self.y;
            let mut level = if stretch.level == last_level {
                Vec::new()
            } else {
                self.drawing.wrap(&stretch.level, LEVELS, SMALL, false)
            };
            last_level = &stretch.level;
            let tall = self
                .row()
                .max(self.drawing.leading(SMALL) * level.len() as f64 + 1.6);
            if stretch.cut {
                self.put_level(&mut level, top + tall / 2.0);
                let middle = top + tall.max(MARK) / 2.0;
                self.nerve(line(&[p(x, top), p(x, middle)]), before);
                self.marks.push((x, middle));
                self.y = top + tall.max(MARK);
                self.nerve(line(&[p(x, middle), p(x, self.y)]), after);
            }
            let start = self.y;
            let mut end = start;
            for twig in &stretch.twigs {
                let lines = self.twig_lines(twig);
                let tall = self
                    .row()
                    .max(self.drawing.leading(SMALL) * level.len() as f64 + 1.6)
                    .max(self.drawing.leading(NORMAL) * lines.len() as f64 + 0.9);
                let middle = self.y + tall / 2.0;
                self.put_level(&mut level, middle);
                self.twig(twig, &lines, x, middle);
                end = middle;
                self.y += tall;
            }
            let mut below = Vec::new();
            for side in &stretch.sides {
                let tall = self
                    .row()
                    .max(self.drawing.leading(SMALL) * level.len() as f64 + 1.6);
                let middle = self.y + tall / 2.0;
                self.put_level(&mut level, middle);
                self.y += tall;
                below.push((middle, self.y));
                end = middle;
                self.side(side, x, middle);
            }
            if !level.is_empty() {
                let middle = self.y + tall / 2.0;
                self.put_level(&mut level, middle);
                self.y += tall;
                end = self.y;
            }
            if end > start {
                self.nerve(line(&[p(x, start), p(x, end)]), after);
            }
            // The next stretch begins where the last branch left.
            if end < self.y
                && let Some(next) = next_of(course, stretch)
            {
                let onward = fate(self.loss.before[next.segment]);
                self.nerve(line(&[p(x, end), p(x, self.y)]), onward);
            }
        }
    }

    fn put_level(&mut self, level: &mut Vec<String>, middle: f64) {
        let lines = std::mem::take(level);
        self.drawing
            .block(&lines, LEVELS, middle, Anchor::End, SMALL, false);
    }

    fn twig_lines(&self, twig: &Twig) -> Vec<String> {
        if self.blank {
            return Vec::new();
        }
        let branch = [("branch", twig.text.as_str())];
        let text = match twig.fate {
            Fate::Whole => twig.text.clone(),
            Fate::Part => self.style.say("fig_nerve_twig_part", &branch),
            Fate::Cut => self.style.say("fig_nerve_twig_cut", &branch),
        };
        let bold = twig.fate == Fate::Cut;
        self.drawing.wrap(&text, WIDTH - self.names, NORMAL, bold)
    }

    fn twig(&mut self, twig: &Twig, lines: &[String], x: f64, y: f64) {
        let end = self.names - 3.0;
        self.line(line(&[p(x, y), p(end, y)]), twig.fate, Gauge::Twig);
        match twig.ends {
            Ends::Muscle => strokes::muscle(&mut self.drawing, p(end, y)),
            Ends::Skin => strokes::skin(&mut self.drawing, p(end, y)),
        }
        if self.blank {
            strokes::empty_box(&mut self.drawing, self.names, y, WIDTH - self.names - 12.0);
            return;
        }
        let bold = twig.fate == Fate::Cut;
        self.drawing
            .block(lines, self.names, y, Anchor::Start, NORMAL, bold);
    }

    fn side(&mut self, side: &Course, x: f64, y: f64) {
        let out = x + STEP;
        let Some(first) = side.stretches.first() else {
            return;
        };
        let before = fate(self.loss.before[first.segment]);
        let mut arm = line(&[p(x, y), p(out - 1.6, y)]);
        arm.curve_to(p(out - 0.8, y), p(out, y + 0.6), p(out, self.y));
        self.nerve(arm, before);
        let label = &self.model.nerves[side.nerve].label;
        // The other name of the nerve, in brackets at the end, has no room here; the alternative text has it.
        let name = match label.strip_suffix(')').and_then(|l| l.rsplit_once(" (")) {
            Some((name, _)) => name,
            None => label,
        };
        if self.blank {
            strokes::empty_box(&mut self.drawing, out + 3.0, y - 0.3, 60.0);
        } else {
            self.drawing
                .block(&[capital(name)], out + 3.0, y, Anchor::Start, HEAD, true);
        }
        self.course(side, out);
        self.y += 0.8;
    }

    fn key(&mut self, lesion: Option<&Lesion>) -> f64 {
        let top = self.y + 3.0;
        let mut entries = vec![
            (Sample::Muscle, self.style.say("fig_key_muscle", &[])),
            (Sample::Skin, self.style.say("fig_key_skin", &[])),
        ];
        for (fate, key) in [(Fate::Cut, "fig_key_cut"), (Fate::Part, "fig_key_part")] {
            if self.seen.contains(&fate) {
                let words = self.style.say(key, &[]);
                entries.push((Sample::Line(fate, Gauge::Nerve), words));
            }
        }
        if let Some(lesion) = lesion {
            let key = match (self.above, self.marks.is_empty()) {
                (true, _) => "fig_key_lesion_above",
                (false, false) => "fig_key_lesion",
                (false, true) => "fig_key_lesion_beside",
            };
            let words = self.style.say(key, &[("lesion", &lesion.sentence())]);
            entries.push((Sample::Lesion, words));
        }
        strokes::key(&mut self.drawing, &entries, WIDTH, top) + 1.0
    }
}

fn next_of<'c>(course: &'c Course, stretch: &Stretch) -> Option<&'c Stretch> {
    let at = course
        .stretches
        .iter()
        .position(|s| s.segment == stretch.segment)?;
    course.stretches.get(at + 1)
}

fn title(
    model: &Model,
    course: &Course,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
) -> String {
    let nerve = capital(&model.nerves[course.nerve].label);
    let nerve = ("nerve", nerve.as_str());
    match lesion {
        Some(lesion) => style.say(
            "fig_nerve_title_lesion",
            &[nerve, ("lesion", &lesion.sentence())],
        ),
        None if kind == Kind::Blank => style.say("fig_nerve_title_blank", &[nerve]),
        None => style.say("fig_nerve_title", &[nerve]),
    }
}

/// "the lateral root of the median nerve", one for each segment the first stretch continues.
fn origins(model: &Model, first: &Stretch, style: &FigureStyle) -> Vec<String> {
    model.segments[first.segment]
        .from
        .iter()
        .filter(|&&f| !model.segments[f].only_in_variant)
        .map(|&f| style.say("fig_the", &[("thing", &model.segments[f].label)]))
        .collect()
}

fn alt(
    model: &Model,
    course: &Course,
    lesion: Option<&Lesion>,
    blank: bool,
    style: &FigureStyle,
) -> String {
    let label = &model.nerves[course.nerve].label;
    let mut twigs = 0;
    let mut sentences = Vec::new();
    let mut cut: Vec<String> = Vec::new();
    let mut part: Vec<String> = Vec::new();
    course.walk(&mut |own, stretch| {
        twigs += stretch.twigs.len();
        for twig in &stretch.twigs {
            match twig.fate {
                Fate::Cut => cut.push(twig.text.clone()),
                Fate::Part => part.push(twig.text.clone()),
                Fate::Whole => {}
            }
        }
        let mut names: Vec<String> = stretch.twigs.iter().map(|t| t.text.clone()).collect();
        names.extend(
            stretch
                .sides
                .iter()
                .map(|s| style.say("fig_the", &[("thing", &model.nerves[s.nerve].label)])),
        );
        if !names.is_empty() {
            sentences.push(style.say(
                "fig_nerve_alt_level",
                &[
                    ("nerve", &capital(&model.nerves[own.nerve].label)),
                    ("level", &stretch.level),
                    ("branches", &style.list(&names)),
                ],
            ));
        }
    });
    if blank {
        return style.say(
            "fig_nerve_alt_blank",
            &[("nerve", label), ("branches", &twigs.to_string())],
        );
    }
    let from = course
        .stretches
        .first()
        .map(|first| style.list(&origins(model, first, style)))
        .unwrap_or_default();
    let mut all = vec![style.say("fig_nerve_alt", &[("nerve", label), ("origins", &from)])];
    all.extend(sentences);
    if let Some(lesion) = lesion {
        all.push(style.say("fig_alt_marked", &[("lesion", &lesion.sentence())]));
        for (names, key) in [(cut, "fig_nerve_alt_cut"), (part, "fig_nerve_alt_part")] {
            if !names.is_empty() {
                all.push(style.say(key, &[("branches", &style.list(&names))]));
            }
        }
    }
    all.join(" ")
}

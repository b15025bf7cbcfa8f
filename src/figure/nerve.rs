//! What leaves a nerve where, and what does a lesion cut off? A strip from its origin down to its last branch, with title and
//! alternative text.

use super::Kind;
use super::draw::{Drawing, HEAD, NORMAL, SMALL};
use super::fibres::{Fate, Loss, fate, loss};
use super::figure_style::{FigureStyle, PAGE};
use super::nerve_rows::{Course, Ends, Stretch, Twig, course};
use super::nerve_words::{alt, origins, the_nerves, title};
use super::shape::{Anchor, BezPath, Figure, line, p};
use super::strokes::{self, Gauge, Sample};

use crate::anatomy::{Model, Nerve, fold};
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
    nerve_within(model, id, lesion, kind, style, PAGE.1)
}

/// [`nerve`], about so high at most, in millimetres: where it would be higher, the branches of its branches are only named.
///
/// # Errors
/// As [`nerve`].
pub fn nerve_within(
    model: &Model,
    id: &str,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
    tallest: f64,
) -> Result<Figure, Problem> {
    let shown = nerves_named(model, id)?;
    let lesion = lesion.filter(|_| kind.shows_lesion());
    let several = shown.len() > 1;
    let mut courses: Vec<Course> = shown
        .into_iter()
        .map(|n| course(model, n, lesion, style, several))
        .collect();
    let draw = |courses: &[Course]| {
        style.fit(&|factor| strip(model, courses, lesion, kind, style, factor))
    };
    let whole = draw(&courses)?;
    if whole.height_mm <= tallest || courses.iter().all(|c| c.depth() < 2) {
        return Ok(whole);
    }
    let loss = loss(model, lesion);
    let stretches = courses.iter_mut().flat_map(|c| &mut c.stretches);
    let sides = stretches.flat_map(|s| &mut s.sides);
    for stretch in sides.flat_map(|side| &mut side.stretches) {
        // A branch that is cut is drawn.
        let (kept, named) = std::mem::take(&mut stretch.sides)
            .into_iter()
            .partition(Course::is_cut);
        stretch.sides = kept;
        let named: Vec<Course> = named;
        stretch.twigs.extend(named.iter().filter_map(|side| {
            let first = side.stretches.first()?;
            Some(Twig {
                ends: side.ends(),
                text: capital(&model.nerves[side.nerve].label),
                fate: fate(loss.before[first.segment]),
            })
        }));
    }
    draw(&courses)
}

/// The place in `Model::nerves` of the nerve of this id, label or synonym, or of all those that are bound in what is called so.
///
/// # Errors
/// With the nearest id, or all of them.
pub fn nerves_named(model: &Model, word: &str) -> Result<Vec<usize>, Problem> {
    let folded = fold(word);
    if let Some(one) = model.nerve_called(word) {
        return Ok(vec![one]);
    }
    // "sciatic" is enough for the sciatic nerve.
    let bound = |n: &Nerve| {
        let sheath = n.bound_in.as_deref().map(fold).unwrap_or_default();
        let rest = sheath.strip_prefix(&folded).filter(|_| !folded.is_empty());
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('_'))
    };
    let all = model.nerves.iter().enumerate();
    let all: Vec<usize> = all.filter(|(_, n)| bound(n)).map(|(i, _)| i).collect();
    if !all.is_empty() {
        return Ok(all);
    }
    let known = || model.nerves.iter().map(|n| n.id.as_str());
    let ids: Vec<&str> = known().collect();
    let otherwise = format!("choose one of: {}", ids.join(", "));
    let hint = did_you_mean(word, known(), &otherwise);
    Err(Problem::new(format!("no nerve has the id `{}`", short(word))).hint(hint))
}

fn strip(
    model: &Model,
    courses: &[Course],
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
    factor: f64,
) -> Result<Figure, Problem> {
    let depth = courses.iter().map(Course::depth).max().unwrap_or(0);
    let mut strip = Strip {
        model,
        style,
        loss: loss(model, lesion),
        blank: kind == Kind::Blank,
        names: STEM + STEP * depth as f64 + 14.0,
        drawing: Drawing::new(style, factor),
        seen: Vec::new(),
        above: false,
        marks: Vec::new(),
        y: 0.0,
    };
    for course in courses {
        if courses.len() > 1 {
            strip.heading(course);
        }
        strip.origin(course);
        strip.course(course, STEM);
    }
    for &(x, y) in &strip.marks {
        strokes::lesion(&mut strip.drawing, p(x, y), true);
    }
    let bottom = strip.key(lesion);
    let title = title(model, courses, lesion, kind, style);
    let alt = alt(model, courses, &strip.loss, lesion, strip.blank, style);
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

    /// The name of one of several nerves, above it.
    fn heading(&mut self, course: &Course) {
        if self.y > 0.0 {
            self.y += 4.0;
        }
        let tall = self.row();
        let middle = self.y + tall / 2.0;
        if self.blank {
            strokes::empty_box(&mut self.drawing, 0.3, middle, 80.0);
        } else {
            let name = capital(&self.model.nerves[course.nerve].label);
            self.drawing
                .block(&[name], 0.0, middle, Anchor::Start, HEAD, true);
        }
        self.y += tall;
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
        let top = self.y;
        let height = self.drawing.leading(NORMAL) * lines.len() as f64;
        if self.blank {
            strokes::empty_box(&mut self.drawing, STEM + 4.0, top + 3.0, 60.0);
        } else {
            self.drawing.block(
                &lines,
                STEM + 4.0,
                top + height / 2.0 + 0.5,
                Anchor::Start,
                NORMAL,
                false,
            );
        }
        let before = fate(self.loss.before[first.segment]);
        let bottom = top + height.max(5.0) + 2.0 + f64::from(u8::from(self.blank));
        if before == Fate::Whole {
            self.nerve(line(&[p(STEM, top + 0.6), p(STEM, bottom)]), before);
        } else {
            // The lesion lies higher up: its mark stands at the upper end.
            self.above = true;
            self.nerve(line(&[p(STEM, top + 0.6), p(STEM, top + 3.0)]), Fate::Whole);
            self.nerve(line(&[p(STEM, top + 3.0), p(STEM, bottom)]), before);
            self.marks.push((STEM, top + 3.0));
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
        self.gives(side, out);
        self.y += 0.8;
    }

    /// What a nerve that is named alone gives further on.
    fn gives(&mut self, side: &Course, x: f64) {
        if side.gives.is_empty() {
            return;
        }
        let left = x + 3.0;
        let names = the_nerves(self.model, &side.gives, self.style);
        let branches = self.style.list(&names);
        let text = self
            .style
            .say("fig_nerve_gives", &[("branches", &branches)]);
        let lines = self.drawing.wrap(&text, WIDTH - left, NORMAL, false);
        let tall = match self.blank {
            true => self.row(),
            false => self.drawing.leading(NORMAL) * lines.len() as f64 + 0.9,
        };
        let middle = self.y + tall / 2.0;
        if self.blank {
            strokes::empty_box(&mut self.drawing, left, middle, 60.0);
        } else {
            self.drawing
                .block(&lines, left, middle, Anchor::Start, NORMAL, false);
        }
        self.y += tall;
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

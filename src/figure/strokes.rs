//! How is a nerve, a cut, a hatched area drawn? Told apart by line style and tint together, and shown by samples in the key.

use super::draw::{Drawing, INK, NORMAL, SOFT, TINT};
use super::fibres::Fate;
use super::geometry::{Lean, flatten, hatch};
use super::shape::{Anchor, BezPath, P, Stroke, circle, line, p, rectangle, stroke};

/// How thick a nerve is drawn, and whether as a double line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gauge {
    /// A branch to one muscle or patch of skin.
    Twig,
    Nerve,
    /// A nerve with fibres of the posterior divisions.
    Double,
}

impl Gauge {
    pub fn of(posterior: bool) -> Gauge {
        if posterior {
            Gauge::Double
        } else {
            Gauge::Nerve
        }
    }

    /// Thickness of the line and of the tint behind it when its fibres are cut, in millimetres.
    fn widths(self) -> (f64, f64) {
        match self {
            Gauge::Twig => (0.5, 2.2),
            Gauge::Nerve => (0.8, BAND),
            Gauge::Double => (DOUBLE, BAND),
        }
    }
}

const DOUBLE: f64 = 1.5;
/// White between the two lines of a double one.
const CORE: f64 = 0.7;
/// Width of the tint behind cut fibres.
const BAND: f64 = 3.0;
const CUT_INK: f64 = 0.2;
const PART: &[f64] = &[2.6, 1.0];
const CUT: &[f64] = &[0.7, 0.8];

/// A stretch of nerve.
pub fn nerve(drawing: &mut Drawing, path: BezPath, fate: Fate, gauge: Gauge) {
    let (width, band) = gauge.widths();
    let (ink, dash, core) = match fate {
        Fate::Whole => (INK, &[][..], 1.0),
        Fate::Part => (CUT_INK, PART, TINT),
        Fate::Cut => (CUT_INK, CUT, TINT),
    };
    if fate != Fate::Whole {
        drawing.line(path.clone(), stroke(band, TINT));
    }
    let pen = Stroke {
        width,
        grey: ink,
        dash,
    };
    if gauge == Gauge::Double {
        drawing.line(path.clone(), pen);
        drawing.line(path, stroke(CORE, core));
    } else {
        drawing.line(path, pen);
    }
}

/// Clears the paper under the middle of a slanting line that passes in front of others, not where it joins them.
pub fn clear(drawing: &mut Drawing, path: &BezPath) {
    let points: Vec<P> = flatten(path).iter().filter_map(|e| e.end_point()).collect();
    let (Some(&first), Some(&last)) = (points.first(), points.last()) else {
        return;
    };
    let middle: Vec<P> = points
        .into_iter()
        .filter(|q| (q.y - first.y).abs() > 1.8 && (q.y - last.y).abs() > 1.8)
        .collect();
    if middle.len() > 1 {
        drawing.line(line(&middle), stroke(DOUBLE + 1.6, 1.0));
    }
}

/// Clears the paper where a straight line passes in front of another one.
pub fn bridge(drawing: &mut Drawing, at: P, upright: bool) {
    let half = 1.7;
    let ends = match upright {
        true => [p(at.x, at.y - half), p(at.x, at.y + half)],
        false => [p(at.x - half, at.y), p(at.x + half, at.y)],
    };
    drawing.line(line(&ends), stroke(DOUBLE + 1.6, 1.0));
}

/// Half the length of the bars of the lesion mark, and their distance from its middle.
const BAR: f64 = 2.1;
const APART: f64 = 0.85;

/// The lesion: two bars across the nerve, and nothing between them.
pub fn lesion(drawing: &mut Drawing, at: P, upright: bool) {
    let turn = |along: f64, across: f64| {
        if upright {
            p(at.x + across, at.y + along)
        } else {
            p(at.x + along, at.y + across)
        }
    };
    let between = line(&[turn(-APART, 0.0), turn(APART, 0.0)]);
    drawing.line(between, stroke(BAND + 0.1, 1.0));
    let mut bars = BezPath::new();
    for along in [-APART, APART] {
        bars.extend(line(&[turn(along, -BAR), turn(along, BAR)]));
    }
    drawing.line(bars, stroke(0.8, INK));
}

/// An empty box for a candidate to write in, centred on the height `middle`.
pub fn empty_box(drawing: &mut Drawing, x: f64, middle: f64, width: f64) {
    drawing.area(
        rectangle(x, middle - BOX / 2.0, width, BOX),
        Some(1.0),
        Some(stroke(0.25, SOFT)),
    );
}

/// Height of an empty box in millimetres: one line of handwriting.
pub const BOX: f64 = 5.0;

/// How an affected area is hatched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shade {
    Lost,
    Reduced,
    Variable,
}

/// Hatches an area: inside all rings of `within`, outside all of `without`. The kinds differ in lean, in number of lines
/// and in dash, so that they survive a poor copier.
pub fn hatched(drawing: &mut Drawing, shade: Shade, within: &[&BezPath], without: &[&BezPath]) {
    let thin = stroke(0.28, INK);
    match shade {
        Shade::Lost => {
            for lean in [Lean::Up, Lean::Down] {
                drawing.line(hatch(within, without, lean, 1.25), thin);
            }
        }
        Shade::Reduced => drawing.line(hatch(within, without, Lean::Up, 1.5), thin),
        Shade::Variable => drawing.line(
            hatch(within, without, Lean::Level, 1.3),
            Stroke {
                dash: &[0.45, 0.75],
                ..thin
            },
        ),
    }
}

/// The line round the patch where a loss is surest: dots on white, so that it reads on any hatch.
pub fn dotted(drawing: &mut Drawing, path: BezPath) {
    drawing.line(path.clone(), stroke(1.5, 1.0));
    drawing.line(
        path,
        Stroke {
            dash: &[0.65, 0.55],
            ..stroke(0.65, INK)
        },
    );
}

/// A sample in the key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sample {
    Line(Fate, Gauge),
    Lesion,
    Muscle,
    Skin,
    Hatch(Shade),
    /// The patch where a loss is surest.
    Patch,
}

/// Width of a sample with the space after it.
const SAMPLE: f64 = 12.0;

/// Sets samples with their texts in rows from `y` down; returns the lower edge.
pub fn key(drawing: &mut Drawing, entries: &[(Sample, String)], width: f64, y: f64) -> f64 {
    let row = (drawing.leading(NORMAL) + 1.0).max(5.6);
    let (mut x, mut top) = (0.0, y);
    for (sample, text) in entries {
        let lines = drawing.wrap(text, width - SAMPLE, NORMAL, false);
        let wide = lines
            .iter()
            .map(|l| drawing.width(l, NORMAL, false))
            .fold(0.0, f64::max);
        if x > 0.0 && x + SAMPLE + wide > width {
            x = 0.0;
            top += row;
        }
        let middle = top + row / 2.0;
        draw_sample(drawing, *sample, x, middle);
        let extra = drawing.leading(NORMAL) * (lines.len().saturating_sub(1)) as f64;
        drawing.block(
            &lines,
            x + SAMPLE,
            middle + extra / 2.0,
            Anchor::Start,
            NORMAL,
            false,
        );
        x += SAMPLE + wide + 6.0;
        if extra > 0.0 {
            x = 0.0;
            top += row + extra;
        }
    }
    if x > 0.0 { top + row } else { top }
}

fn draw_sample(drawing: &mut Drawing, sample: Sample, x: f64, middle: f64) {
    let level = line(&[p(x, middle), p(x + 9.5, middle)]);
    match sample {
        Sample::Line(fate, gauge) => nerve(drawing, level, fate, gauge),
        Sample::Lesion => {
            nerve(drawing, level, Fate::Whole, Gauge::Nerve);
            lesion(drawing, p(x + 4.75, middle), false);
        }
        Sample::Muscle => muscle(drawing, p(x + 4.75, middle)),
        Sample::Skin => skin(drawing, p(x + 4.75, middle)),
        Sample::Patch => {
            let ring = rectangle(x + 1.0, middle - 1.7, 7.5, 3.4);
            dotted(drawing, ring);
        }
        Sample::Hatch(shade) => {
            let frame = rectangle(x, middle - 2.0, 9.5, 4.0);
            hatched(drawing, shade, &[&flatten(&frame)], &[]);
            drawing.area(frame, None, Some(stroke(0.3, INK)));
        }
    }
}

/// The end of a branch in a muscle.
pub fn muscle(drawing: &mut Drawing, at: P) {
    drawing.area(rectangle(at.x - 1.0, at.y - 1.0, 2.0, 2.0), Some(INK), None);
}

/// The end of a branch in skin.
pub fn skin(drawing: &mut Drawing, at: P) {
    drawing.area(circle(at, 1.1), Some(1.0), Some(stroke(0.4, INK)));
}

//! How do the marks of a station stand to its grades? A panel a station: a dot for each mark and grade, larger where several candidates
//! have both; the line, and where it is read at the borderline grade.

use super::draw::{Drawing, INK, NORMAL, SMALL, SOFT};
use super::figure_style::FigureStyle;
use super::shape::{Anchor, Figure, Stroke, circle, line, p, rectangle, stroke};
use crate::diagnostic::Problem;
use std::collections::BTreeMap;

/// One station.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    pub title: String,
    /// How many grades there are; they count up from 1, the worst.
    pub grades: usize,
    pub border: f64,
    pub max: f64,
    /// Grade and marks.
    pub points: Vec<(f64, f64)>,
    /// Slope and intercept.
    pub line: Option<(f64, f64)>,
    pub cut: Option<f64>,
}

/// Most panels of one picture.
pub const PANELS: usize = 6;

const WIDTH: f64 = 170.0;
const ACROSS: f64 = 82.0;
const GAP: f64 = 6.0;
const PLOT: f64 = 40.0;
/// Room for the figures of the upright axis.
const LEFT: f64 = 10.0;

/// # Errors
/// When a title finds no room.
pub fn marks_on_grades(panels: &[Panel], style: &FigureStyle) -> Result<Figure, Problem> {
    style.fit(&|factor| drawn(panels, style, factor))
}

fn drawn(panels: &[Panel], style: &FigureStyle, factor: f64) -> Result<Figure, Problem> {
    let mut drawing = Drawing::new(style, factor);
    let mut top = 1.0;
    for pair in panels.chunks(2) {
        let titles: Vec<Vec<String>> = pair
            .iter()
            .map(|panel| drawing.wrap(&panel.title, ACROSS - 2.0, NORMAL, true))
            .collect();
        let lines = titles.iter().map(Vec::len).max().unwrap_or(1) as f64;
        let head = drawing.leading(NORMAL) * lines + 2.0;
        let foot = drawing.leading(SMALL) * 2.0 + 3.0;
        for (column, (panel, title)) in pair.iter().zip(&titles).enumerate() {
            let left = column as f64 * (ACROSS + GAP);
            for (row, text) in title.iter().enumerate() {
                let y = top + drawing.leading(NORMAL) * (row as f64 + 0.8);
                drawing.label(text, p(left, y), Anchor::Start, NORMAL, true);
            }
            draw(&mut drawing, panel, left + LEFT, top + head, style);
        }
        top += head + PLOT + foot + 3.0;
    }
    let words: Vec<String> = panels.iter().map(|panel| panel.title.clone()).collect();
    let alt = style.say("fig_marks_alt", &[("stations", &words.join("; "))]);
    drawing.finish(WIDTH, top, style.phrase("fig_marks_title").to_string(), alt)
}

const FINE: Stroke = stroke(0.2, SOFT);
const DASHED: Stroke = Stroke {
    width: 0.25,
    grey: INK,
    dash: &[1.2, 0.8],
};

fn draw(drawing: &mut Drawing, panel: &Panel, left: f64, top: f64, style: &FigureStyle) {
    let width = ACROSS - LEFT - 2.0;
    let (first, last) = (0.5, panel.grades as f64 + 0.5);
    let x = |grade: f64| left + width * (grade - first) / (last - first);
    let y = |marks: f64| top + PLOT * (1.0 - marks.clamp(0.0, panel.max) / panel.max.max(1.0));
    drawing.area(rectangle(left, top, width, PLOT), None, Some(FINE));
    let size = drawing.leading(SMALL);
    for marks in [0.0, panel.max] {
        drawing.label(
            &format!("{marks}"),
            p(left - 1.0, y(marks) + size * 0.3),
            Anchor::End,
            SMALL,
            false,
        );
    }
    for grade in 1..=panel.grades {
        let at = p(x(grade as f64), top + PLOT + size);
        drawing.label(&grade.to_string(), at, Anchor::Middle, SMALL, false);
    }
    let middle = p(left + width / 2.0, top + PLOT + 2.0 * size + 0.5);
    drawing.label(
        style.phrase("fig_marks_axes"),
        middle,
        Anchor::Middle,
        SMALL,
        false,
    );
    if let Some((slope, intercept)) = panel.line {
        // The part of the line that lies within the marks that can be had.
        let at = |grade: f64| intercept + slope * grade;
        let inside = |marks: f64| (0.0..=panel.max).contains(&marks);
        let steps = (0..=100).map(|i| first + (last - first) * f64::from(i) / 100.0);
        let points: Vec<_> = steps
            .filter(|g| inside(at(*g)))
            .map(|g| p(x(g), y(at(g))))
            .collect();
        if let (Some(a), Some(b)) = (points.first(), points.last()) {
            drawing.line(line(&[*a, *b]), stroke(0.4, INK));
        }
    }
    if let Some(cut) = panel.cut.filter(|c| (0.0..=panel.max).contains(c)) {
        let corner = p(x(panel.border), y(cut));
        drawing.line(
            line(&[p(left, corner.y), corner, p(corner.x, top + PLOT)]),
            DASHED,
        );
    }
    let mut counted: BTreeMap<(u64, u64), usize> = BTreeMap::new();
    for (grade, marks) in &panel.points {
        *counted
            .entry((grade.to_bits(), marks.to_bits()))
            .or_default() += 1;
    }
    for ((grade, marks), count) in counted {
        let radius = (0.45 + 0.2 * (count as f64).sqrt()).min(1.6);
        let at = p(x(f64::from_bits(grade)), y(f64::from_bits(marks)));
        drawing.area(circle(at, radius), Some(SOFT), None);
    }
}

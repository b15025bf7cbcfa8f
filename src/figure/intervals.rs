//! How surely does a figure differ from none? A row each: its name, a dot where it stands, and a bar over the interval around it.

use super::draw::{Drawing, INK, NORMAL, SMALL, SOFT};
use super::figure_style::FigureStyle;
use super::shape::{Anchor, Figure, Stroke, circle, line, p, stroke};
use crate::diagnostic::Problem;

#[derive(Debug, Clone, PartialEq)]
pub struct Interval {
    pub name: String,
    pub middle: f64,
    /// Half its length; None: not known.
    pub half: Option<f64>,
}

/// Most rows of one picture.
pub const ROWS: usize = 30;

const WIDTH: f64 = 170.0;
const NAMES: f64 = 40.0;
const ZERO: Stroke = Stroke {
    width: 0.25,
    grey: SOFT,
    dash: &[1.2, 0.8],
};

/// # Errors
/// When a name finds no room.
pub fn intervals(rows: &[Interval], style: &FigureStyle) -> Result<Figure, Problem> {
    style.fit(&|factor| drawn(rows, style, factor))
}

fn drawn(rows: &[Interval], style: &FigureStyle, factor: f64) -> Result<Figure, Problem> {
    let mut drawing = Drawing::new(style, factor);
    let reach = |row: &Interval| row.middle.abs() + row.half.unwrap_or(0.0);
    // A round figure that holds everything.
    let widest = rows.iter().map(reach).fold(0.5, f64::max);
    let limit = (widest * 2.0).ceil() / 2.0;
    let x = |value: f64| NAMES + (WIDTH - NAMES - 8.0) * (value + limit) / (2.0 * limit);
    let step = drawing.leading(NORMAL) + 0.8;
    let bottom = 1.0 + step * rows.len() as f64;
    drawing.line(line(&[p(x(0.0), 1.0), p(x(0.0), bottom)]), ZERO);
    for (at, row) in rows.iter().enumerate() {
        let y = 1.0 + step * (at as f64 + 0.5);
        drawing.block(
            std::slice::from_ref(&row.name),
            1.0,
            y,
            Anchor::Start,
            NORMAL,
            false,
        );
        if let Some(half) = row.half {
            let ends = [p(x(row.middle - half), y), p(x(row.middle + half), y)];
            drawing.line(line(&ends), stroke(0.4, INK));
        }
        drawing.area(circle(p(x(row.middle), y), 0.9), Some(INK), None);
    }
    drawing.line(
        line(&[p(x(-limit), bottom + 0.5), p(x(limit), bottom + 0.5)]),
        stroke(0.2, SOFT),
    );
    let size = drawing.leading(SMALL);
    for value in [-limit, 0.0, limit] {
        let text = if value > 0.0 {
            format!("+{value}")
        } else {
            format!("{value}").replace('-', "\u{2212}")
        };
        drawing.label(
            &text,
            p(x(value), bottom + 1.0 + size),
            Anchor::Middle,
            SMALL,
            false,
        );
    }
    let under = p(x(0.0), bottom + 1.5 + 2.0 * size);
    drawing.label(
        style.phrase("fig_intervals_axis"),
        under,
        Anchor::Middle,
        SMALL,
        false,
    );
    let words: Vec<String> = rows
        .iter()
        .map(|r| format!("{} {:+.2}", r.name, r.middle))
        .collect();
    let alt = style.say("fig_intervals_alt", &[("rows", &words.join(", "))]);
    let height = bottom + 3.0 + 2.0 * size;
    drawing.finish(
        WIDTH,
        height,
        style.phrase("fig_intervals_title").to_string(),
        alt,
    )
}

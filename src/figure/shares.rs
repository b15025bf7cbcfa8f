//! Which share of something was won? A bar each, from nothing to all.

use super::draw::{Drawing, NORMAL, SOFT, TINT};
use super::figure_style::FigureStyle;
use super::shape::{Anchor, Figure, rectangle, stroke};
use crate::diagnostic::Problem;

#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    pub name: String,
    /// Per cent.
    pub won: f64,
}

const WIDTH: f64 = 170.0;
const NAMES: f64 = 62.0;
const FIGURES: f64 = 16.0;

/// Most bars of one picture.
pub const BARS: usize = 20;

/// # Errors
/// When a name finds no room.
pub fn shares(rows: &[Share], style: &FigureStyle) -> Result<Figure, Problem> {
    style.fit(&|factor| drawn(rows, style, factor))
}

fn drawn(rows: &[Share], style: &FigureStyle, factor: f64) -> Result<Figure, Problem> {
    let mut drawing = Drawing::new(style, factor);
    let whole = WIDTH - NAMES - FIGURES;
    let mut top = 1.0;
    for row in rows {
        let name = drawing.wrap(&row.name, NAMES - 3.0, NORMAL, false);
        let height = drawing.leading(NORMAL) * name.len() as f64 + 1.6;
        let middle = top + height / 2.0;
        drawing.block(&name, 1.0, middle, Anchor::Start, NORMAL, false);
        let thick = drawing.leading(NORMAL) * 0.8;
        let won = row.won.clamp(0.0, 100.0);
        drawing.area(
            rectangle(NAMES, middle - thick / 2.0, whole, thick),
            Some(TINT),
            Some(stroke(0.2, SOFT)),
        );
        drawing.area(
            rectangle(NAMES, middle - thick / 2.0, whole * won / 100.0, thick),
            Some(SOFT),
            None,
        );
        let figure = [format!("{won:.0} %")];
        drawing.block(&figure, WIDTH - 1.0, middle, Anchor::End, NORMAL, false);
        top += height;
    }
    let words: Vec<String> = rows
        .iter()
        .map(|r| format!("{} {:.0} %", r.name, r.won))
        .collect();
    let alt = style.say("fig_shares_alt", &[("rows", &words.join(", "))]);
    drawing.finish(
        WIDTH,
        top + 1.0,
        style.phrase("fig_shares_title").to_string(),
        alt,
    )
}

//! How do lines and measured labels become a picture that can be read?

use super::check;
use super::figure_style::FigureStyle;
use super::shape::{Anchor, BezPath, Figure, Label, P, PT, Path, Shape, Stroke, p};
use crate::diagnostic::Problem;

/// Type sizes in points, before they are enlarged; none is smaller than [`SMALL`].
pub const SMALL: f64 = 7.0;
pub const NORMAL: f64 = 7.5;
pub const HEAD: f64 = 8.5;

/// Greys: ink for lines that count, a softer ink for helping lines, and the tint behind cut fibres.
pub const INK: f64 = 0.0;
pub const SOFT: f64 = 0.35;
pub const TINT: f64 = 0.87;

/// A picture in the making.
pub struct Drawing {
    measure: fn(&str, bool) -> f64,
    shapes: Vec<Shape>,
    /// How much larger than named all type is set.
    factor: f64,
}

impl Drawing {
    /// With all type `factor` times as large as its size says.
    pub fn new(style: &FigureStyle, factor: f64) -> Drawing {
        Drawing {
            measure: style.measure,
            shapes: Vec::new(),
            factor,
        }
    }

    /// Distance of two baselines in millimetres.
    pub fn leading(&self, size: f64) -> f64 {
        size * self.factor * PT * 1.16
    }

    pub fn line(&mut self, line: BezPath, stroke: Stroke) {
        if !line.is_empty() {
            self.area(line, None, Some(stroke));
        }
    }

    pub fn area(&mut self, line: BezPath, fill: Option<f64>, stroke: Option<Stroke>) {
        self.shapes.push(Shape::Path(Path { line, fill, stroke }));
    }

    /// Width in millimetres of one line of text.
    pub fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        (self.measure)(text, bold) / 1000.0 * size * self.factor * PT
    }

    /// Puts one line of text; `at` is on the baseline.
    pub fn label(&mut self, text: &str, at: P, anchor: Anchor, size: f64, bold: bool) {
        let width = self.width(text, size, bold);
        self.shapes.push(Shape::Label(Label {
            at,
            anchor,
            size: size * self.factor,
            bold,
            grey: INK,
            text: text.to_string(),
            width,
        }));
    }

    /// Breaks a text between words into as few lines as fit `width` millimetres, about equally long.
    pub fn wrap(&self, text: &str, width: f64, size: f64, bold: bool) -> Vec<String> {
        let mut best = self.fill(text, width, size, bold);
        let mut narrower = width;
        while best.len() > 1 && narrower > width / 2.0 {
            narrower -= 1.0;
            let lines = self.fill(text, narrower, size, bold);
            let fits = lines.iter().all(|l| self.width(l, size, bold) <= narrower);
            if lines.len() > best.len() || !fits {
                break;
            }
            best = lines;
        }
        best
    }

    fn fill(&self, text: &str, width: f64, size: f64, bold: bool) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            if let Some(last) = lines.last_mut() {
                let longer = format!("{last} {word}");
                if self.width(&longer, size, bold) <= width {
                    *last = longer;
                    continue;
                }
            }
            lines.push(word.to_string());
        }
        lines
    }

    /// Puts lines below each other, the block centred on the height `middle`.
    pub fn block(
        &mut self,
        lines: &[String],
        x: f64,
        middle: f64,
        anchor: Anchor,
        size: f64,
        bold: bool,
    ) {
        let leading = self.leading(size);
        // Half the height of a capital (0.729 em) below the middle is where the baseline of a single line stands.
        let first =
            middle + 0.365 * size * self.factor * PT - leading * (lines.len() as f64 - 1.0) / 2.0;
        for (i, line) in lines.iter().enumerate() {
            let y = first + leading * i as f64;
            self.label(line, p(x, y), anchor, size, bold);
        }
    }

    /// The finished picture.
    ///
    /// # Errors
    /// When labels overlap each other or a line, or leave the picture: the texts of the model are too long for it.
    pub fn finish(
        self,
        width: f64,
        height: f64,
        title: String,
        alt: String,
    ) -> Result<Figure, Problem> {
        let figure = Figure {
            width_mm: width,
            height_mm: height,
            title,
            alt,
            shapes: self.shapes,
        };
        match check::collisions(&figure).first() {
            None => Ok(figure),
            Some(first) => Err(Problem::new(format!(
                "the picture \u{201c}{}\u{201d} has no room for its labels: {first}",
                figure.title
            ))
            .hint("shorten the labels in the model, or draw fewer of them")),
        }
    }
}

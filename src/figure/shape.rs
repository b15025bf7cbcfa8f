//! What is a picture made of? Paths of straight and curved lines, filled areas, labels; and the whole figure.

use kurbo::{CubicBez, Rect, Shape as _};

pub use kurbo::{BezPath, PathEl};

/// A point in millimetres from the upper left corner; `y` runs down.
pub type P = kurbo::Point;

pub const fn p(x: f64, y: f64) -> P {
    P::new(x, y)
}

/// Straight lines from point to point.
pub fn line(points: &[P]) -> BezPath {
    let element = |(i, &at)| match i {
        0 => PathEl::MoveTo(at),
        _ => PathEl::LineTo(at),
    };
    points.iter().enumerate().map(element).collect()
}

/// An S-curve that leaves and arrives level.
pub fn s_curve(a: P, b: P) -> CubicBez {
    let middle = (a.x + b.x) / 2.0;
    CubicBez::new(a, p(middle, a.y), p(middle, b.y), b)
}

/// One curve as a path.
pub fn path(curve: CubicBez) -> BezPath {
    curve.to_path(0.0)
}

pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> BezPath {
    Rect::new(x, y, x + width, y + height).to_path(0.0)
}

pub fn circle(centre: P, radius: f64) -> BezPath {
    // The usual factor for four cubics that look round (error below 0.03 %).
    let k = 0.5523 * radius;
    let (x, y, r) = (centre.x, centre.y, radius);
    let mut path = line(&[p(x + r, y)]);
    path.curve_to(p(x + r, y + k), p(x + k, y + r), p(x, y + r));
    path.curve_to(p(x - k, y + r), p(x - r, y + k), p(x - r, y));
    path.curve_to(p(x - r, y - k), p(x - k, y - r), p(x, y - r));
    path.curve_to(p(x + k, y - r), p(x + r, y - k), p(x + r, y));
    path.close_path();
    path
}

/// Lengths of dashes and gaps in millimetres; empty: unbroken.
pub type Dash = &'static [f64];

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Millimetres.
    pub width: f64,
    /// 0 is black, 1 is white.
    pub grey: f64,
    pub dash: Dash,
}

pub const fn stroke(width: f64, grey: f64) -> Stroke {
    Stroke {
        width,
        grey,
        dash: &[],
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// One line or several.
    pub line: BezPath,
    pub fill: Option<f64>,
    pub stroke: Option<Stroke>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// On the baseline, at the anchor.
    pub at: P,
    pub anchor: Anchor,
    /// Points (1/72 inch).
    pub size: f64,
    pub bold: bool,
    pub grey: f64,
    pub text: String,
    /// Millimetres, as the embedded font sets it.
    pub width: f64,
}

impl Label {
    pub fn left(&self) -> f64 {
        match self.anchor {
            Anchor::Start => self.at.x,
            Anchor::Middle => self.at.x - self.width / 2.0,
            Anchor::End => self.at.x - self.width,
        }
    }

    /// In millimetres, from the ascenders to the descenders.
    pub fn area(&self) -> Rect {
        let (left, size) = (self.left(), self.size * PT);
        let (top, bottom) = (self.at.y - 0.76 * size, self.at.y + 0.24 * size);
        Rect::new(left, top, left + self.width, bottom)
    }
}

/// Millimetres in a point.
pub const PT: f64 = 25.4 / 72.0;

#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    Path(Path),
    Label(Label),
}

/// A picture: what it shows, in words and in shapes, painted in this order.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    pub width_mm: f64,
    pub height_mm: f64,
    pub title: String,
    /// Says in words what the picture shows.
    pub alt: String,
    pub shapes: Vec<Shape>,
}

impl Figure {
    pub fn labels(&self) -> impl Iterator<Item = &Label> {
        self.shapes.iter().filter_map(|s| match s {
            Shape::Label(label) => Some(label),
            Shape::Path(_) => None,
        })
    }

    pub fn paths(&self) -> impl Iterator<Item = &Path> {
        self.shapes.iter().filter_map(|s| match s {
            Shape::Path(path) => Some(path),
            Shape::Label(_) => None,
        })
    }
}

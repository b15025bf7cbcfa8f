//! Turns what a picture is made of into types: paths of straight and curved lines, filled areas, labels, and the whole figure.

/// A point in millimetres from the upper left corner; `y` runs down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct P {
    pub x: f64,
    pub y: f64,
}

pub const fn p(x: f64, y: f64) -> P {
    P { x, y }
}

/// A point of a path; two `control` points in a row bend the line to the next point (cubic Bézier).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Node {
    pub at: P,
    pub control: bool,
}

/// One unbroken line.
#[derive(Debug, Clone, PartialEq)]
pub struct Sub {
    pub nodes: Vec<Node>,
    pub closed: bool,
}

impl Sub {
    pub fn line(points: &[P]) -> Sub {
        Sub {
            nodes: points
                .iter()
                .map(|&at| Node { at, control: false })
                .collect(),
            closed: false,
        }
    }

    /// An S-curve that leaves and arrives level.
    pub fn s_curve(a: P, b: P) -> Sub {
        let middle = (a.x + b.x) / 2.0;
        let mut sub = Sub::line(&[a]);
        sub.bend(p(middle, a.y), p(middle, b.y), b);
        sub
    }

    pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Sub {
        let mut sub = Sub::line(&[
            p(x, y),
            p(x + width, y),
            p(x + width, y + height),
            p(x, y + height),
        ]);
        sub.closed = true;
        sub
    }

    pub fn circle(centre: P, radius: f64) -> Sub {
        // The usual factor for four cubics that look round (error below 0.03 %).
        let k = 0.5523 * radius;
        let (x, y, r) = (centre.x, centre.y, radius);
        let mut sub = Sub::line(&[p(x + r, y)]);
        sub.bend(p(x + r, y + k), p(x + k, y + r), p(x, y + r));
        sub.bend(p(x - k, y + r), p(x - r, y + k), p(x - r, y));
        sub.bend(p(x - r, y - k), p(x - k, y - r), p(x, y - r));
        sub.bend(p(x + k, y - r), p(x + r, y - k), p(x + r, y));
        sub.closed = true;
        sub
    }

    pub fn to(&mut self, at: P) {
        self.nodes.push(Node { at, control: false });
    }

    pub fn bend(&mut self, first: P, second: P, to: P) {
        self.nodes.push(Node {
            at: first,
            control: true,
        });
        self.nodes.push(Node {
            at: second,
            control: true,
        });
        self.to(to);
    }
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
    pub subs: Vec<Sub>,
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

    /// Left, top, right, bottom in millimetres, from the ascenders to the descenders.
    pub fn area(&self) -> (f64, f64, f64, f64) {
        let size = self.size * PT;
        (
            self.left(),
            self.at.y - 0.76 * size,
            self.left() + self.width,
            self.at.y + 0.24 * size,
        )
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

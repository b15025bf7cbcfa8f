//! What stands on a page? Words, rules and boxes with their place, and the whole laid-out sheet.

use super::part::{PartIx, Parts};

/// What a mark on the page is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    Heading(u8),
    Paragraph,
    ListMark,
    ListBody,
    Quote,
    Code,
    TableHead,
    TableCell,
    /// Tick boxes and writing lines: places the reader fills in.
    Form,
    /// Header, footer, rules and shades: not part of the text.
    Artifact,
}

/// What a mark is for, and which part of the text it belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tag {
    pub role: Role,
    pub part: Option<PartIx>,
}

impl Tag {
    pub const ARTIFACT: Tag = Tag {
        role: Role::Artifact,
        part: None,
    };
}

/// One run of text in one face on one baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    pub x: f32,
    /// Baseline.
    pub y: f32,
    pub width: f32,
    pub size: f32,
    /// Index of the face in [`super::fonts::Fonts`].
    pub face: usize,
    pub grey: f32,
    pub text: String,
    /// Painted with no ink: the text behind a drawn tick box, there to be copied and read aloud.
    pub hidden: bool,
    /// In the wider letters of spaced print.
    pub spaced: bool,
    pub role: Role,
    /// The part of the text it belongs to; none for headers, footers and repeated table heads.
    pub part: Option<PartIx>,
}

/// One mark on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    Words(Words),
    /// A straight rule from one point to the other.
    Rule {
        from: (f32, f32),
        to: (f32, f32),
        thickness: f32,
        grey: f32,
        role: Role,
    },
    /// A filled area.
    Shade {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
        grey: f32,
    },
    /// A drawn outline; `y` is its upper edge.
    Outline {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
        thickness: f32,
        grey: f32,
        role: Role,
    },
    /// A path of a picture.
    Drawing(Drawing),
}

/// Lines of a picture that share one pen. Points count as in [`Words`]; `true` marks a control point of a cubic curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    pub lines: Vec<Vec<(f32, f32, bool)>>,
    /// All lines return to their first point.
    pub closed: bool,
    pub fill: Option<f32>,
    /// Thickness and grey.
    pub stroke: Option<(f32, f32)>,
    /// Dash, gap, dash ...; empty: unbroken.
    pub dash: Vec<f32>,
    pub role: Role,
    pub part: Option<PartIx>,
}

impl Item {
    /// A level rule that is no part of the text.
    pub fn level(left: f32, right: f32, y: f32, thickness: f32, grey: f32) -> Item {
        Item::rule((left, y), (right, y), thickness, grey)
    }

    /// A straight rule that is no part of the text.
    pub fn rule(from: (f32, f32), to: (f32, f32), thickness: f32, grey: f32) -> Item {
        Item::Rule {
            from,
            to,
            thickness,
            grey,
            role: Role::Artifact,
        }
    }

    /// How far down the mark reaches; words to their baseline.
    pub fn lowest(&self) -> f32 {
        match self {
            Item::Words(words) => words.y,
            Item::Rule { from, to, .. } => from.1.max(to.1),
            Item::Shade { y, height, .. } | Item::Outline { y, height, .. } => y + height,
            Item::Drawing(drawing) => {
                let points = drawing.lines.iter().flatten();
                points.map(|(_, y, _)| *y).fold(0.0, f32::max)
            }
        }
    }

    /// The same mark, lower on the page.
    #[must_use]
    pub fn lowered(mut self, by: f32) -> Item {
        self.change(&|_, y| *y += by, &|_| ());
        self
    }

    /// The same mark, `by` times as large, seen from the upper left corner of the page.
    #[must_use]
    pub fn scaled(mut self, by: f32) -> Item {
        let times = |length: &mut f32| *length *= by;
        self.change(&|x, y| (*x, *y) = (*x * by, *y * by), &times);
        self
    }

    /// Changes every point and every length of the mark.
    fn change(&mut self, point: &dyn Fn(&mut f32, &mut f32), length: &dyn Fn(&mut f32)) {
        match self {
            Item::Words(words) => {
                point(&mut words.x, &mut words.y);
                length(&mut words.width);
                length(&mut words.size);
            }
            Item::Rule {
                from,
                to,
                thickness,
                ..
            } => {
                point(&mut from.0, &mut from.1);
                point(&mut to.0, &mut to.1);
                length(thickness);
            }
            Item::Shade {
                x,
                y,
                width,
                height,
                ..
            } => {
                point(x, y);
                length(width);
                length(height);
            }
            Item::Outline {
                x,
                y,
                width,
                height,
                thickness,
                ..
            } => {
                point(x, y);
                [width, height, thickness].into_iter().for_each(length);
            }
            Item::Drawing(drawing) => {
                for (x, y, _) in drawing.lines.iter_mut().flatten() {
                    point(x, y);
                }
                if let Some((thickness, _)) = &mut drawing.stroke {
                    length(thickness);
                }
                drawing.dash.iter_mut().for_each(length);
            }
        }
    }

    /// Takes the mark out of the text: it says again what stands elsewhere.
    #[must_use]
    pub fn repeated(mut self) -> Item {
        match &mut self {
            Item::Words(words) => words.part = None,
            Item::Drawing(drawing) => drawing.part = None,
            _ => {}
        }
        self
    }

    pub fn part(&self) -> Option<PartIx> {
        match self {
            Item::Words(words) => words.part,
            Item::Drawing(drawing) => drawing.part,
            _ => None,
        }
    }

    /// The area the mark covers: left, top, right, bottom. Text counts from its ascenders to its descenders.
    pub fn area(&self) -> (f32, f32, f32, f32) {
        match self {
            Item::Words(w) => (w.x, w.y - 0.76 * w.size, w.x + w.width, w.y + 0.24 * w.size),
            Item::Rule { from, to, .. } => (
                from.0.min(to.0),
                from.1.min(to.1),
                from.0.max(to.0),
                from.1.max(to.1),
            ),
            Item::Shade {
                x,
                y,
                width,
                height,
                ..
            }
            | Item::Outline {
                x,
                y,
                width,
                height,
                ..
            } => (*x, *y, x + width, y + height),
            Item::Drawing(drawing) => drawing.lines.iter().flatten().fold(
                (f32::MAX, f32::MAX, f32::MIN, f32::MIN),
                |(left, top, right, bottom), &(x, y, _)| {
                    (left.min(x), top.min(y), right.max(x), bottom.max(y))
                },
            ),
        }
    }
}

/// The paper and the part of it the text may fill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    pub paper_width: f32,
    pub paper_height: f32,
    pub left: f32,
    pub right: f32,
    pub top: f32,
    pub bottom: f32,
}

impl Frame {
    pub fn width(&self) -> f32 {
        self.right - self.left
    }

    pub fn height(&self) -> f32 {
        self.bottom - self.top
    }
}

/// A page: the text, and apart from it the header and footer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    pub body: Vec<Item>,
    pub edge: Vec<Item>,
}

/// A heading as the bookmarks show it.
#[derive(Debug, Clone, PartialEq)]
pub struct Bookmark {
    /// 1 to 4.
    pub level: u8,
    pub title: String,
    /// Counts from 0.
    pub page: usize,
    /// Upper edge of the heading.
    pub y: f32,
}

/// A sheet laid out on pages.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    pub frame: Frame,
    pub pages: Vec<Page>,
    pub bookmarks: Vec<Bookmark>,
    /// The parts the marks belong to.
    pub parts: Parts,
}

impl Layout {
    /// The same pages `by` times as large.
    #[must_use]
    pub fn scaled(mut self, by: f32) -> Layout {
        if by == 1.0 {
            return self;
        }
        let frame = &mut self.frame;
        for length in [
            &mut frame.paper_width,
            &mut frame.paper_height,
            &mut frame.left,
            &mut frame.right,
            &mut frame.top,
            &mut frame.bottom,
        ] {
            *length *= by;
        }
        for page in &mut self.pages {
            for items in [&mut page.body, &mut page.edge] {
                *items = std::mem::take(items)
                    .into_iter()
                    .map(|item| item.scaled(by))
                    .collect();
            }
        }
        for bookmark in &mut self.bookmarks {
            bookmark.y *= by;
        }
        self
    }
}

//! Turns "what is on a page" into data: words, rules and boxes with their place, and the whole laid-out sheet.

/// What a mark on the page is for, so that a tagged file can be written from the same layout later.
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
    pub role: Role,
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
}

impl Item {
    /// The same mark, lower on the page.
    #[must_use]
    pub fn lowered(mut self, by: f32) -> Item {
        match &mut self {
            Item::Words(words) => words.y += by,
            Item::Rule { from, to, .. } => {
                from.1 += by;
                to.1 += by;
            }
            Item::Shade { y, .. } | Item::Outline { y, .. } => *y += by,
            Item::Drawing(drawing) => {
                for (_, y, _) in drawing.lines.iter_mut().flatten() {
                    *y += by;
                }
            }
        }
        self
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
}

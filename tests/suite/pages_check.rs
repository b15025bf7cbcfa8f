//! Turns pixels and places of text into complaints: ink where none belongs, pages without any, marks that left no ink, words on words.

use crate::pages_raster::{Area, Ink};
use vivasmith::typeset::item::{Frame, Item, Page};
use vivasmith::typeset::style::MM;

/// A mark may reach one pixel further than its numbers say: half for smoothing, half for the slant of an italic letter.
const SLACK: f32 = 1.5;
/// Header and footer keep this much of the paper's upper and lower edge white. Common practice, no source: office printers
/// leave 4 to 6 mm blank.
const EDGE: f32 = 9.0 * MM;
const DENSE_EDGE: f32 = 5.0 * MM;
/// White between the text and the header or footer.
const APART: f32 = 3.0 * MM;
/// The same on a sheet with narrow margins, whose footer stands closer.
const DENSE_APART: f32 = 1.0 * MM;
/// Sheets with narrower margins are dense.
const DENSE: f32 = 15.0 * MM;
/// Fewer dark pixels than ten letters leave is an empty page.
const LEAST_BODY: usize = 60;

/// Ink beside the text, at the edge of the paper, or between the text and the header or footer.
pub fn outside(ink: &Ink, frame: &Frame) -> Vec<String> {
    let (wide, high) = (ink.width as f32, ink.height as f32);
    let dense = frame.left < DENSE;
    let edge = if dense { DENSE_EDGE } else { EDGE };
    let apart = if dense { DENSE_APART } else { APART };
    let strips = [
        ("the left margin", (0.0, 0.0, frame.left - SLACK, high)),
        ("the right margin", (frame.right + SLACK, 0.0, wide, high)),
        ("the upper edge", (0.0, 0.0, wide, edge)),
        ("the lower edge", (0.0, high - edge, wide, high)),
        (
            "the space below the header",
            (0.0, frame.top - apart, wide, frame.top - SLACK),
        ),
        (
            "the space above the footer",
            (0.0, frame.bottom + SLACK, wide, frame.bottom + apart),
        ),
    ];
    strips
        .into_iter()
        .filter_map(|(name, area)| {
            // Whole pixels inside the strip only.
            let inner = (area.0.ceil(), area.1.ceil(), area.2.floor(), area.3.floor());
            let (x, y, dark) = ink.first_ink(inner)?;
            Some(format!("ink ({dark}) in {name} at {x}, {y}"))
        })
        .collect()
}

/// Whether the text's frame has less ink than a few words. Shades are too light to count.
pub fn empty(ink: &Ink, frame: &Frame) -> bool {
    let body = (frame.left, frame.top, frame.right, frame.bottom);
    let dark = ink.pixels(body).filter(|dark| *dark > 30);
    dark.take(LEAST_BODY).count() < LEAST_BODY
}

/// The areas that a mark may darken: of a frame its four sides, of a picture's path the box around each of its lines.
fn reach(item: &Item) -> Vec<Area> {
    let (left, top, right, bottom) = item.area();
    match item {
        // A hidden sign lies over a drawn box and leaves no ink.
        Item::Words(w) if w.hidden => Vec::new(),
        // Accents and mathematical signs stand higher than capitals.
        Item::Words(w) => vec![(
            left - 1.0,
            top - 0.2 * w.size,
            right + 0.12 * w.size,
            bottom,
        )],
        Item::Outline { thickness, .. } => {
            let t = thickness / 2.0;
            vec![
                (left - t, top - t, right + t, top + t),
                (left - t, bottom - t, right + t, bottom + t),
                (left - t, top - t, left + t, bottom + t),
                (right - t, top - t, right + t, bottom + t),
            ]
        }
        Item::Rule { thickness, .. } => {
            let t = thickness / 2.0;
            vec![(left - t, top - t, right + t, bottom + t)]
        }
        Item::Shade { .. } => vec![(left, top, right, bottom)],
        Item::Drawing(drawing) => {
            let t = drawing.stroke.map_or(0.0, |(thickness, _)| thickness / 2.0);
            drawing
                .lines
                .iter()
                .map(|line| {
                    line.iter().fold(
                        (f32::MAX, f32::MAX, f32::MIN, f32::MIN),
                        |(l, t0, r, b), &(x, y, _)| {
                            (l.min(x - t), t0.min(y - t), r.max(x + t), b.max(y + t))
                        },
                    )
                })
                .collect()
        }
    }
}

/// Ink where the layout has no mark: what a writer draws on its own.
pub fn stray(ink: &Ink, page: &Page) -> Option<String> {
    let mut rest = ink.clone();
    for (left, top, right, bottom) in page.body.iter().chain(&page.edge).flat_map(reach) {
        rest.whiten((left - 1.0, top - 1.0, right + 1.0, bottom + 1.0));
    }
    let (x, y, dark) = rest.first_ink(rest.page())?;
    Some(format!(
        "ink ({dark}) without a mark of the layout at {x}, {y}"
    ))
}

/// Marks of the layout that are not on the paper: words too pale to read or on dark ground, rules that left nothing.
pub fn missing(ink: &Ink, page: &Page) -> Vec<String> {
    page.body
        .iter()
        .chain(&page.edge)
        .filter_map(|item| match item {
            Item::Words(w) if !w.hidden => {
                let letters = w.text.chars().filter(|c| c.is_alphanumeric()).count();
                let area = (w.x, w.y - 0.76 * w.size, w.x + w.width, w.y + 0.1 * w.size);
                let pixels: Vec<u8> = ink.pixels(area).collect();
                let sum: f32 = pixels.iter().map(|d| f32::from(*d) / 255.0).sum();
                let least = 0.05 * w.size * w.size * (1.0 - w.grey) * letters as f32;
                let light = pixels.iter().filter(|d| **d < 60).count();
                let fault = match () {
                    _ if letters == 0 => return None,
                    _ if sum < least => format!("ink for {sum:.1} of at least {least:.1} points"),
                    _ if 3 * light < pixels.len() => "no light ground".to_string(),
                    _ => return None,
                };
                Some(format!("{:?} at {:.0}, {:.0}: {fault}", w.text, w.x, w.y))
            }
            Item::Rule { from, to, grey, .. } if *grey < 0.8 => {
                let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
                let near = (
                    middle.0 - 1.0,
                    middle.1 - 1.0,
                    middle.0 + 1.0,
                    middle.1 + 1.0,
                );
                let seen = ink.first_ink(near).is_some();
                (!seen).then(|| format!("the rule from {from:?} to {to:?} is not to be seen"))
            }
            _ => None,
        })
        .collect()
}

/// Where a piece of text stands on its page, in points from the upper left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct TextBox {
    pub left: f32,
    pub top: f32,
    pub right: f32,
    pub bottom: f32,
    pub text: String,
}

/// Pairs of texts that stand on each other. Boxes may touch; they count from ascender to descender, so two lines may also
/// share a tenth of their height.
pub fn overlaps(boxes: &[TextBox]) -> Vec<String> {
    let mut shown: Vec<&TextBox> = boxes.iter().filter(|b| !b.text.trim().is_empty()).collect();
    shown.sort_by(|a, b| a.top.total_cmp(&b.top));
    let mut found = Vec::new();
    for (n, a) in shown.iter().enumerate() {
        for b in &shown[n + 1..] {
            let height = (a.bottom - a.top).min(b.bottom - b.top);
            if b.top >= a.bottom {
                break;
            }
            let across = a.right.min(b.right) - a.left.max(b.left);
            let down = a.bottom.min(b.bottom) - b.top;
            if across > 0.6 && down > 0.1 * height {
                found.push(format!("{a:?} and {b:?}"));
            }
        }
    }
    found
}

/// The texts of a page as the layout has them.
pub fn laid_out(page: &Page) -> Vec<TextBox> {
    page.body
        .iter()
        .chain(&page.edge)
        .filter_map(|item| match item {
            Item::Words(w) => Some(TextBox {
                left: w.x,
                top: w.y - 0.76 * w.size,
                right: w.x + w.width,
                bottom: w.y + 0.24 * w.size,
                text: w.text.clone(),
            }),
            _ => None,
        })
        .collect()
}

/// Rules that run through words of the text, as an underline would; pictures are checked where they are drawn.
pub fn struck(page: &Page) -> Vec<String> {
    let mut found = Vec::new();
    for item in &page.body {
        let Item::Rule { from, to, .. } = item else {
            continue;
        };
        for word in laid_out(page) {
            let inset = 0.2 * (word.bottom - word.top);
            let across = from.0.max(to.0).min(word.right) - from.0.min(to.0).max(word.left);
            let down =
                from.1.max(to.1).min(word.bottom - inset) - from.1.min(to.1).max(word.top + inset);
            let box_mark = word.text.starts_with(['☐', '☑', '☒']);
            if across >= 0.0 && down >= 0.0 && !box_mark && !word.text.trim().is_empty() {
                found.push(format!(
                    "a rule from {from:?} to {to:?} runs through {word:?}"
                ));
            }
        }
    }
    found
}

//! What goes on a page whole? A piece with the space above it and what it holds on to.

use super::item::Item;
use super::part::Parts;

/// How strongly a piece holds on to the one after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Keep {
    /// A page may end here.
    Free,
    /// Parts of one question: together where they fit a page, and the first to be parted.
    Near,
    /// Better not, but a group that fills more than a page may be broken here.
    Together,
    /// Never, unless the chain alone is higher than a page: headings, first and last lines of paragraphs.
    Must,
}

/// Something that goes on a page whole. Its marks count from its upper edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Space above, dropped at the head of a page.
    pub gap: f32,
    pub height: f32,
    pub keep: Keep,
    pub items: Vec<Item>,
    /// Bars and frames the piece stands in, as indices into [`Flow::holders`].
    pub holders: Vec<usize>,
    /// The head to repeat when the piece begins a page, as an index into [`Flow::heads`].
    pub head: Option<usize>,
    /// Level and text of the heading that begins here.
    pub bookmark: Option<(u8, String)>,
    /// The piece starts a page.
    pub starts_page: bool,
}

impl Piece {
    pub fn of_height(height: f32) -> Piece {
        Piece {
            gap: 0.0,
            height,
            keep: Keep::Free,
            items: Vec::new(),
            holders: Vec::new(),
            head: None,
            bookmark: None,
            starts_page: false,
        }
    }
}

/// Drawn beside or around the pieces it holds, on each page from the first to the last of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Holder {
    /// The bar of a quote.
    Bar { x: f32 },
    /// The frame of a box.
    Frame { x: f32, width: f32 },
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Flow {
    pub pieces: Vec<Piece>,
    pub holders: Vec<Holder>,
    pub heads: Vec<Piece>,
    pub parts: Parts,
}

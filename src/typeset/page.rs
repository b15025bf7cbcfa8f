//! Where does a page end? What must stay together does, table heads come back, bars and frames are drawn.

use super::item::{Bookmark, Frame, Item, Layout, Page, Role};
use super::piece::{Flow, Holder, Keep, Piece};
use super::style::{GREY_RULE, RULE};

/// Fills pages of the frame's height with the pieces, in order. Always makes at least one page.
pub fn paginate(flow: Flow, frame: Frame) -> Layout {
    let mut pager = Pager {
        frame,
        holders: &flow.holders,
        heads: &flow.heads,
        y: frame.top,
        reach: Vec::new(),
        pages: Vec::new(),
        page: Page::default(),
        filled: false,
        bookmarks: Vec::new(),
    };
    let pieces = &flow.pieces;
    let mut i = 0;
    // For each strength, how far a group reaches that was found too tall for a page: it is not tried again within it.
    let mut levels = [(Keep::Near, 0), (Keep::Together, 0), (Keep::Must, 0)];
    while let Some(piece) = pieces.get(i) {
        if piece.starts_page {
            pager.turn();
        }
        // The largest group that still fits on a page: all that should stay together, else what must.
        let mut end = i + 1;
        for (strength, until) in &mut levels {
            let group = group_end(pieces, i, *strength);
            // Rather than leave most of a page empty, what is only better together is parted.
            let worth =
                *strength == Keep::Must || pager.half_full() || pager.fits_here(pieces, i, group);
            if i >= *until && worth && pager.fits_a_page(pieces, i, group) {
                end = group;
                break;
            }
            *until = group.max(*until);
        }
        if !pager.fits_here(pieces, i, end) {
            pager.turn();
        }
        for piece in pieces.get(i..end).unwrap_or_default() {
            pager.put(piece);
        }
        i = end;
    }
    pager.turn();
    if pager.pages.is_empty() {
        pager.pages.push(Page::default());
    }
    Layout {
        frame,
        pages: pager.pages,
        bookmarks: pager.bookmarks,
        parts: flow.parts,
    }
}

/// One past the last piece held by a chain of at least this strength that begins at `start`.
fn group_end(pieces: &[Piece], start: usize, strength: Keep) -> usize {
    let mut end = start + 1;
    while let (Some(last), Some(next)) = (pieces.get(end - 1), pieces.get(end)) {
        if last.keep < strength || next.starts_page {
            break;
        }
        end += 1;
    }
    end
}

struct Pager<'a> {
    frame: Frame,
    holders: &'a [Holder],
    heads: &'a [Piece],
    y: f32,
    /// Bars and frames on this page: which, from where, to where.
    reach: Vec<(usize, f32, f32)>,
    pages: Vec<Page>,
    page: Page,
    filled: bool,
    bookmarks: Vec<Bookmark>,
}

impl Pager<'_> {
    fn head_of(&self, piece: &Piece) -> Option<&Piece> {
        self.heads.get(piece.head?)
    }

    /// Height of pieces below each other; the space above the first counts unless it heads a page.
    fn height(pieces: &[Piece], start: usize, end: usize, heads_page: bool) -> f32 {
        let group = pieces.get(start..end).unwrap_or_default();
        let sum: f32 = group.iter().map(|p| p.gap + p.height).sum();
        match group.first() {
            Some(first) if heads_page => sum - first.gap,
            _ => sum,
        }
    }

    fn fits_a_page(&self, pieces: &[Piece], start: usize, end: usize) -> bool {
        let head = pieces
            .get(start)
            .and_then(|p| self.head_of(p))
            .map_or(0.0, |h| h.height);
        Self::height(pieces, start, end, true) + head <= self.frame.height() + 0.01
    }

    fn fits_here(&self, pieces: &[Piece], start: usize, end: usize) -> bool {
        !self.filled || self.y + Self::height(pieces, start, end, false) <= self.frame.bottom + 0.01
    }

    fn half_full(&self) -> bool {
        self.y - self.frame.top > self.frame.height() / 2.0
    }

    fn put(&mut self, piece: &Piece) {
        if self.filled {
            self.y += piece.gap;
        } else if let Some(head) = self.head_of(piece).cloned() {
            self.filled = true;
            self.set(&head);
        }
        self.filled = true;
        if let Some((level, title)) = &piece.bookmark {
            self.bookmarks.push(Bookmark {
                level: *level,
                title: title.clone(),
                page: self.pages.len(),
                y: self.y,
            });
        }
        self.set(piece);
    }

    fn set(&mut self, piece: &Piece) {
        let (top, bottom) = (self.y, self.y + piece.height);
        self.page
            .body
            .extend(piece.items.iter().map(|item| item.clone().lowered(top)));
        for &holder in &piece.holders {
            match self.reach.iter_mut().find(|(h, ..)| *h == holder) {
                Some((_, _, end)) => *end = bottom,
                None => self.reach.push((holder, top, bottom)),
            }
        }
        self.y = bottom;
    }

    /// Ends the page, if anything stands on it.
    fn turn(&mut self) {
        if !self.filled {
            return;
        }
        for (holder, top, bottom) in std::mem::take(&mut self.reach) {
            let drawn = match self.holders.get(holder) {
                Some(Holder::Bar { x }) => Item::rule((*x, top), (*x, bottom), 2.0, 0.7),
                Some(Holder::Frame { x, width }) => Item::Outline {
                    x: *x,
                    y: top,
                    width: *width,
                    height: bottom - top,
                    thickness: RULE,
                    grey: GREY_RULE,
                    role: Role::Artifact,
                },
                None => continue,
            };
            self.page.body.push(drawn);
        }
        self.pages.push(std::mem::take(&mut self.page));
        self.filled = false;
        self.y = self.frame.top;
    }
}

//! Turns what is neither text nor table into pieces: a line to write on, a drawn picture.

use super::column::Place;
use super::item::{Item, Role};
use super::part::PartIx;
use super::picture::{items, scale_to_fit};
use super::piece::Piece;
use super::style::{GREY_WRITING, HAIRLINE, MM, TABLE_BEFORE};
use crate::figure::Figure;

/// A picture may fill so much of a page's height; more would leave no room for its heading.
const TALLEST: f32 = 0.86;

/// Type in a picture may not become smaller than this on paper, in points.
const SMALLEST_TYPE: f32 = 7.0;

/// One ruled line to write on; `rule` draws a level rule at that height, that thick, that grey.
pub fn writing_line(height: f32, rule: impl Fn(f32, f32, f32) -> Item) -> Piece {
    let mut piece = Piece::of_height(height);
    let mut line = rule(height - HAIRLINE, HAIRLINE, GREY_WRITING);
    if let Item::Rule { role, .. } = &mut line {
        *role = Role::Form;
    }
    piece.items.push(line);
    piece
}

/// A picture in its place, as large as the width and the page allow, but never larger than drawn. It gives way to what stands
/// above it, unless its type became too small to read.
/// `enlarged`: how many times as large as the layout the paper is.
pub fn picture(
    figure: &Figure,
    part: PartIx,
    place: &Place,
    (page, above): (f32, f32),
    enlarged: f32,
) -> Piece {
    let alone = scale_to_fit(figure, place.width, page * TALLEST);
    let below = scale_to_fit(figure, place.width, page - above - TABLE_BEFORE - 1.0);
    let smallest = figure
        .labels()
        .map(|l| l.size as f32)
        .fold(f32::MAX, f32::min);
    let scale = if below * smallest * enlarged >= SMALLEST_TYPE {
        alone.min(below)
    } else {
        alone
    };
    let mut piece = Piece::of_height(figure.height_mm as f32 * MM * scale);
    piece.items = items(figure, Some(part), (place.x, 0.0), scale);
    piece
}

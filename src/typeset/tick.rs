//! Turns the tick box characters into squares a pen can hit, all of one size and weight.

use super::item::{Item, Role};
use super::style::{TICK, TICK_RULE};

/// The empty tick box, drawn as a square a pen can hit.
const BOX: char = '☐';

/// Boxes of every kind are drawn alike: empty, ticked and crossed.
pub fn is_box(c: char) -> bool {
    matches!(c, BOX | '☑' | '☒')
}

/// A square of [`TICK`] with its upper left corner here, ticked or crossed as the character says.
pub fn draw_box(items: &mut Vec<Item>, text: &str, x: f32, y: f32) {
    let half = TICK_RULE / 2.0;
    items.push(Item::Outline {
        x: x + half,
        y: y + half,
        width: TICK - TICK_RULE,
        height: TICK - TICK_RULE,
        thickness: TICK_RULE,
        grey: 0.15,
        role: Role::Form,
    });
    let strokes: &[[f32; 4]] = if text.starts_with('☑') {
        &[[0.22, 0.52, 0.42, 0.74], [0.42, 0.74, 0.80, 0.24]]
    } else if text.starts_with('☒') {
        &[[0.25, 0.25, 0.75, 0.75], [0.25, 0.75, 0.75, 0.25]]
    } else {
        &[]
    };
    for [x1, y1, x2, y2] in strokes {
        items.push(Item::Rule {
            from: (x + x1 * TICK, y + y1 * TICK),
            to: (x + x2 * TICK, y + y2 * TICK),
            thickness: 1.2,
            grey: 0.0,
            role: Role::Form,
        });
    }
}

//! What looks the same in every kind of print? Greys, rules, spaces and tick boxes, in points.

/// Points in a millimetre.
pub const MM: f32 = 72.0 / 25.4;

/// Hundredths of a point are finer than any printer, and keep the file small.
pub fn round(value: f32) -> f32 {
    (value * 100.0).round() / 100.0
}

/// Size, line height and voice of a piece of text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Type {
    pub size: f32,
    pub leading: f32,
    pub bold: bool,
    pub italic: bool,
    /// 0 is black, 1 is white.
    pub grey: f32,
    /// Set with the wider letters and words of [`WIDER_LETTER`] and [`WIDER_WORD`], slanted words as bold ones.
    pub spaced: bool,
}

pub const fn plain(size: f32, leading: f32) -> Type {
    Type {
        size,
        leading,
        bold: false,
        italic: false,
        grey: 0.0,
        spaced: false,
    }
}

pub const fn bold(size: f32, leading: f32) -> Type {
    Type {
        bold: true,
        ..plain(size, leading)
    }
}

/// Added to every letter of spaced text, in thousandths of the type size: the 0.12 of success criterion 1.4.12 of the Web
/// Content Accessibility Guidelines 2.2 (W3C, 2023).
pub const WIDER_LETTER: u16 = 120;
/// Added to every space besides: the 0.16 of the same criterion.
pub const WIDER_WORD: u16 = 160;

/// Share of the type size from the baseline up to half the height of a capital (DejaVu capitals stand 0.729 em).
pub const HALF_CAPITAL: f32 = 0.729 / 2.0;

/// Side of a tick box over all: 4.4 mm, more than 4 mm between the middles of its rules, which a pen can hit.
pub const TICK: f32 = 4.4 * MM;
pub const TICK_RULE: f32 = 0.8;
/// Space left and right of a tick box.
pub const TICK_SIDE: f32 = 1.2;
/// Space before a tick box that follows other words.
pub const TICK_APART: f32 = 8.0;
/// Height of a line that holds a tick box, so that two boxes below each other never touch.
pub const TICK_LINE: f32 = TICK + 3.6;

/// Least width kept for the numbers and bullets of a list.
pub const LIST_INDENT: f32 = 17.0;
pub const MARKER_GAP: f32 = 5.5;
pub const QUOTE_INDENT: f32 = 12.0;
pub const QUOTE_EDGE: f32 = 7.0;
pub const CODE_INDENT: f32 = 10.0;
pub const FRAME_PAD: f32 = 8.0;
pub const FRAME_EDGE: f32 = 9.0;
pub const TABLE_BEFORE: f32 = 5.0;
pub const TABLE_AFTER: f32 = 10.0;
pub const CELL_X: f32 = 5.0;
pub const CELL_Y: f32 = 3.6;
/// Text narrower than this cannot be read; the layout stops with a message instead.
pub const LEAST_WIDTH: f32 = 110.0;
/// Least width of a table column: a tick box between its paddings.
pub const LEAST_COLUMN: f32 = 25.0;

pub const HAIRLINE: f32 = 0.4;
pub const RULE: f32 = 0.8;
/// Between the rows of a table that is worked from.
pub const ROW_RULE: f32 = 0.6;
pub const GREY_RULE: f32 = 0.55;
pub const GREY_SHADE: f32 = 0.91;
pub const GREY_WRITING: f32 = 0.6;

//! What does the plexus, a nerve or the skin look like on paper? Draws the model, a lesion or its findings as a [`Figure`], and that as SVG.
//!
//! ```text
//! model (+ lesion | findings) --plexus | nerve | skin--> Figure --svg--> text of an SVG file
//!                                                              `typeset` puts it on pages
//! ```
//!
//! Lengths of a [`Figure`] are millimetres, `y` runs down. Everything is black, grey and white: what a picture says, it
//! says by line style, hatch and words, never by colour.

pub mod shape;
pub mod geometry;
pub mod check;
mod figure_style;
mod draw;
pub mod fibres;
mod strokes;
mod plexus_columns;
mod plexus_frame;
mod plexus_weave;
mod plexus_layout;
mod plexus_lines;
mod plexus;
mod nerve_rows;
mod nerve_words;
mod nerve;
mod skin;
mod skin_labels;
pub mod marks_on_grades;
pub mod intervals;
pub mod shares;
pub mod simplify;
mod svg;
mod svg_inline;
mod repeated;
mod album;

pub use crate::case::Side;
pub use album::Album;
pub use figure_style::{FigureStyle, Lettering, PAGE};
pub use nerve::{nerve, nerve_within, nerves_named};
pub use plexus::plexus;
pub use shape::Figure;
pub use skin::{Map, skin, skin_within};
pub use svg::{escape, to_svg};

/// What a picture shows of its subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Labelled, without any lesion.
    Plain,
    /// Labelled, with the lesion and what it cuts off; a skin chart: with the areas hatched.
    Lesion,
    /// For a candidate to fill in: empty boxes instead of labels; a skin chart: the outlines alone.
    Blank,
    /// A skin chart with the areas hatched and no name beside them, for who plays the patient; else as [`Kind::Lesion`].
    Unnamed,
}

impl Kind {
    /// Whether what is lost can be seen.
    pub fn shows_lesion(self) -> bool {
        matches!(self, Kind::Lesion | Kind::Unnamed)
    }
}

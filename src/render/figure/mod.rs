//! Turns the model, a lesion or its findings into pictures: the plexus, one nerve, the skin; and pictures into SVG and page marks.
//!
//! ```text
//! model (+ lesion | findings) --plexus | nerve | skin--> Figure --svg--> text of an SVG file
//!                                                              --place--> marks on a page --ops--> PDF operators
//! ```
//!
//! Lengths of a [`Figure`] are millimetres, `y` runs down. Everything is black, grey and white: what a picture says, it
//! says by line style, hatch and words, never by colour.

pub mod shape;
pub mod geometry;
pub mod check;
pub mod ops;
mod words;
mod look;
mod draw;
pub mod fibres;
mod pen;
mod plexus_layout;
mod plexus;
mod plexus_labels;
mod plexus_words;
mod nerve_rows;
mod nerve_words;
mod nerve;
mod skin;
mod skin_words;
mod skin_labels;
mod svg;
mod simplify;
mod place;

pub use look::{Lettering, Look, PAGE};
pub use nerve::nerve;
pub use place::{figure_pdf, items, scale_to_fit};
pub use plexus::plexus;
pub use shape::Figure;
pub use skin::{Map, Side, skin};
pub use svg::to_svg;

/// What a picture shows of its subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Labelled, without any lesion.
    Plain,
    /// Labelled, with the lesion and what it cuts off; a skin chart: with the areas hatched.
    Lesion,
    /// For a candidate to fill in: empty boxes instead of labels; a skin chart: the outlines alone.
    Blank,
}

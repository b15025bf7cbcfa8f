//! Turns the Markdown of a sheet into the bytes of a PDF, in pure stages: blocks, lines, pieces, pages, file.
//!
//! ```text
//! Markdown --blocks--> Block tree --flow (inline, table)--> pieces --page--> pages --furniture, outline, pdf--> bytes
//! ```
//!
//! Lengths are points (1/72 inch), `f32`; `y` runs down from the top of the page until `pdf` turns it round.

pub mod comments;
pub mod blocks;
pub mod flow;
pub mod fonts;
pub mod furniture;
pub mod inline;
pub mod item;
pub mod outline;
pub mod page;
pub mod pdf;
pub mod style;
pub mod table;

use crate::diagnostic::Problem;
use item::Layout;

/// The paper a sheet is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 x 11 inches (ANSI/ASME Y14.1 size A).
    Letter,
}

/// What the file and the edge of every page say about the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PdfMeta {
    /// Document title, shown in the window of the viewer and at the head of the second and later pages.
    pub title: String,
    /// Document subject, one line.
    pub subject: String,
    /// BCP 47 language tag, for example `en-GB`.
    pub language: String,
    /// Station code, in the footer of every page.
    pub code: String,
    /// One or two sentences in small type in the footer of every page; wraps.
    pub caution: String,
    /// Kind of sheet, for example `Candidate sheet`, at the head of every page.
    pub sheet: String,
    pub paper: Paper,
}

/// Lays the Markdown out on pages: every word, rule and box with its place, before any file is written.
///
/// # Errors
/// As [`to_pdf`].
pub fn lay_out(markdown: &str, meta: &PdfMeta) -> Result<Layout, Problem> {
    let fonts = fonts::Fonts::load()?;
    let blocks = blocks::parse(markdown)?;
    let frame = furniture::frame(meta, fonts)?;
    let flow = flow::flow(&blocks, &frame, fonts)?;
    let mut layout = page::paginate(flow, frame);
    furniture::furnish(&mut layout, meta, fonts)?;
    Ok(layout)
}

/// Prints the Markdown as a PDF 1.7 file. The same input gives the same bytes, on any number of threads.
///
/// # Errors
/// A character that no embedded face can draw, a layout comment that cannot be followed (`box` left open, `columns`
/// without its table), lists or quotes nested too deep, a table with more columns than the page can hold, a caution too
/// long for the footer.
pub fn to_pdf(markdown: &str, meta: &PdfMeta) -> Result<Vec<u8>, Problem> {
    let layout = lay_out(markdown, meta)?;
    pdf::write(&layout, meta, markdown)
}

//! How does Markdown become a PDF, or a part of an HTML page? In pure stages: blocks, pieces, pages, file. Knows nothing of anatomy, stations or exams.
//!
//! ```text
//! Markdown --parse--> blocks --flow (inline, table)--> pieces --page--> pages --header_footer--> layout --pdf (outline)--> bytes
//!                     blocks --html--> elements
//! ```
//!
//! Lengths are points (1/72 inch), `f32`; `y` runs down from the top of the page until `pdf` turns it round.

pub mod escape;
pub mod meta;
pub mod style;
pub mod setting;
pub mod part;
pub mod item;
mod cut;
mod letter_spacing;
pub mod fonts;
pub mod blocks;
pub mod comments;
pub mod parse;
pub mod html;
pub mod inline;
pub mod piece;
pub mod column;
pub mod columns;
pub mod table;
pub mod flow;
pub mod page;
pub mod header_footer;
pub mod outline;
pub mod embed;
mod picture;
mod tree;
mod paint;
mod recompress;
pub mod pdf;

use crate::diagnostic::Problem;
use crate::figure::Figure;
use blocks::{Block, plain_text};
use item::{Item, Layout};

pub use meta::{Format, PageStyle, Paper, PdfMeta, Print};
pub use picture::figure_pdf;

/// Lays the Markdown out on pages: every word, rule and box with its place, before any file is written.
///
/// # Errors
/// As [`to_pdf`].
pub fn lay_out(markdown: &str, meta: &PdfMeta) -> Result<Layout, Problem> {
    lay_out_with(markdown, meta, &[])
}

/// The same with drawn pictures: `![words](NAME.svg)` alone in a paragraph is replaced by the picture of that name.
///
/// # Errors
/// As [`to_pdf`].
pub fn lay_out_with(
    markdown: &str,
    meta: &PdfMeta,
    figures: &[(&str, &Figure)],
) -> Result<Layout, Problem> {
    let fonts = fonts::Fonts::load()?;
    let blocks = parse::parse(markdown)?;
    let foot = blocks.iter().find_map(|block| match block {
        Block::Foot(text) => Some(plain_text(text)),
        _ => None,
    });
    let meta = &PdfMeta {
        caution: foot.unwrap_or_else(|| meta.caution.clone()),
        ..meta.clone()
    };
    let most = meta.most_pages.unwrap_or(usize::MAX);
    let usual = setting::Setting::of(meta.print, meta.format);
    let lay = |setting: &setting::Setting| {
        let frame = header_footer::frame(meta, setting, fonts)?;
        let flow = flow::flow(&blocks, &frame, setting, fonts, figures)?;
        Ok(page::paginate(flow, frame))
    };
    let (mut setting, mut layout) = (usual, lay(&usual)?);
    if layout.pages.len() > most && !meta.print.spaced {
        // What is too long by a few lines gives of its white space before it is refused; its type never.
        setting = usual.closer();
        layout = lay(&setting)?;
    }
    let takes = layout.pages.len();
    if takes > most {
        let pages = if most == 1 { "page" } else { "pages" };
        return Err(Problem::new(format!(
            "{} ({}): it takes {takes} pages, and may take {most} {pages}",
            meta.sheet, meta.code
        )));
    }
    header_footer::furnish(&mut layout, meta, &setting, fonts)?;
    Ok(layout.scaled(setting.scale))
}

/// How many ruled lines more the last page could hold.
pub fn free_lines(layout: &Layout, meta: &PdfMeta) -> usize {
    let setting = setting::Setting::of(meta.print, meta.format);
    let marks = layout.pages.last().map_or(&[][..], |p| p.body.as_slice());
    let lowest = marks
        .iter()
        .map(Item::lowest)
        .fold(layout.frame.top, f32::max);
    // What follows the last mark, such as the rest of its line, needs less than one more.
    let room = (layout.frame.bottom - lowest) / (setting.writing_line * setting.scale) - 1.0;
    room.max(0.0) as usize
}

/// Prints the Markdown as a PDF 1.7 file. The same input gives the same bytes, on any number of threads.
///
/// # Errors
/// A character that no embedded face can draw, a layout comment that cannot be followed (`box` left open, `columns`
/// without its table), lists or quotes nested too deep, a table with more columns than the page can hold, a caution too
/// long for the footer.
pub fn to_pdf(markdown: &str, meta: &PdfMeta) -> Result<Vec<u8>, Problem> {
    to_pdf_with(markdown, meta, &[])
}

/// [`to_pdf`] with drawn pictures, as vectors; see [`lay_out_with`].
///
/// # Errors
/// As [`to_pdf`].
pub fn to_pdf_with(
    markdown: &str,
    meta: &PdfMeta,
    figures: &[(&str, &Figure)],
) -> Result<Vec<u8>, Problem> {
    let layout = lay_out_with(markdown, meta, figures)?;
    pdf::write(&layout, meta, markdown)
}

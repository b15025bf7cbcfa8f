//! How do many sheets become one file with a contents page that knows its pages?

use crate::diagnostic::{Failure, Problem};
use crate::figure::Figure;
use crate::typeset::{PdfMeta, lay_out_with, pdf};

/// One part of a pack: its sheets, under one heading.
#[derive(Debug, Clone)]
pub struct Part {
    pub heading: String,
    /// Each on a page of its own; their headings move down by one level.
    pub sheets: Vec<String>,
}

/// Headings one level lower, so that a sheet can stand under a heading of the pack.
fn lowered(markdown: &str) -> String {
    let mut out = String::with_capacity(markdown.len() + 64);
    for line in markdown.lines() {
        if line.starts_with('#') {
            out.push('#');
        }
        out.push_str(line);
        out.push('\n');
    }
    out
}

/// Without its first heading.
pub fn headless(markdown: &str) -> String {
    let mut lines = markdown.lines();
    if markdown.starts_with("# ") {
        lines.next();
    }
    lines.fold(String::new(), |all, l| all + l + "\n")
}

/// A pack: the contents page, made by `contents` from the page of each part, then the parts. The outline has the parts on top.
///
/// # Errors
/// As [`crate::typeset::to_pdf`], and what `contents` says.
pub fn pack(
    parts: &[Part],
    meta: &PdfMeta,
    figures: &[(&str, &Figure)],
    contents: &dyn Fn(&[usize]) -> Result<String, Failure>,
) -> Result<Vec<u8>, Failure> {
    let mut body = String::new();
    for part in parts {
        body.push_str("\n<!-- page break -->\n\n# ");
        body.push_str(&part.heading);
        body.push_str("\n\n");
        for (n, sheet) in part.sheets.iter().enumerate() {
            if n > 0 {
                body.push_str("\n<!-- page break -->\n\n");
            }
            body.push_str(&lowered(sheet));
        }
    }
    // Laid out twice: the numbers on the contents page do not move what follows it.
    let draft = contents(&vec![999; parts.len()])? + &body;
    let pages: Vec<usize> = lay_out_with(&draft, meta, figures)
        .map_err(Failure::content)?
        .bookmarks
        .iter()
        .filter(|b| b.level == 1)
        .skip(1)
        .map(|b| b.page + 1)
        .collect();
    if pages.len() != parts.len() {
        return Err(Failure::content(
            Problem::new("a sheet of the pack has a heading of the first level too many")
                .hint("let a template of a sheet open with one `#` heading"),
        ));
    }
    let text = contents(&pages)? + &body;
    let layout = lay_out_with(&text, meta, figures).map_err(Failure::content)?;
    pdf::write(&layout, meta, &text).map_err(Failure::content)
}

//! Turns the parts of a circuit into Markdown by templates, and many sheets into one pack with a contents page that knows its pages.

use super::engine::engine;
use super::figure::Figure;
use super::guard::render;
use super::house::{House, house};
use super::words::tidy;
use super::{PdfMeta, lay_out_with, pdf};
use crate::diagnostic::{Failure, Problem};
use crate::files::Content;
use serde::Serialize;
use std::sync::Arc;
use tera::{Context, Tera};

/// The templates and phrases, read once for a whole circuit.
pub struct Printer<'c> {
    content: &'c Content,
    engine: Arc<Tera>,
    house: House,
}

impl<'c> Printer<'c> {
    /// # Errors
    /// Exit code 2 when the phrases are no YAML of their shape; 1 when a template is wrong.
    pub fn new(content: &'c Content) -> Result<Self, Failure> {
        let house = house(content)?;
        Ok(Printer {
            engine: Arc::new(engine(content, &house)?),
            content,
            house,
        })
    }

    /// A page by the template of that name, with its values by name.
    ///
    /// # Errors
    /// Exit code 1 when the template or a phrase is wrong.
    pub fn page(
        &self,
        template: &str,
        values: &[(&'static str, &dyn Value)],
    ) -> Result<String, Failure> {
        let mut context = Context::new();
        for (name, value) in values {
            value.put(name, &mut context);
        }
        context.insert("institution", &self.house.settings.institution);
        let name = format!("{template}.md.tera");
        let text = render(self.content, &self.engine, &name, &Arc::new(context))?;
        Ok(tidy(&text))
    }

    /// A fixed phrase; empty when there is none of that key.
    pub fn phrase(&self, key: &str) -> &str {
        self.house.phrase(key)
    }
}

/// Anything that a template can read.
pub trait Value {
    fn put(&self, name: &'static str, context: &mut Context);
}

impl<T: Serialize> Value for T {
    fn put(&self, name: &'static str, context: &mut Context) {
        context.insert(name, self);
    }
}

/// One part of a pack: its sheets, under one heading.
#[derive(Debug, Clone)]
pub struct Part {
    pub heading: String,
    /// Each on a page of its own; their headings move down by one level.
    pub sheets: Vec<String>,
}

/// Headings one level lower, so that a sheet can stand under a heading of the pack.
pub fn lowered(markdown: &str) -> String {
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

/// A pack: the contents page, made by `contents` from the page of each part, then the parts. The outline has the parts on top.
///
/// # Errors
/// As [`super::to_pdf`], and what `contents` says.
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

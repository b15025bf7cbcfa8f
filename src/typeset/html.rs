//! How does the Markdown of a sheet stand within a page of HTML? The blocks that are printed, as elements; every text is escaped.

use super::blocks::{Align, Block, Entry, Span, Table, plain_text};
use super::parse::parse;
use crate::diagnostic::Problem;
use crate::figure::escape;
use std::fmt::Write;

/// Height of a line to write on, in the units of an inline picture (a tenth of a millimetre), and the width of a page.
const LINE: usize = 80;
const WIDE: usize = 1700;

/// The element that stands for a picture, by the name of its file; `None`: its words stand there.
pub type Pictures<'p> = dyn Fn(&str) -> Option<String> + 'p;

/// `first` is the level of the sheet's own heading on the page. What a sheet says to paper alone (page breaks, widths of columns) is
/// left out; room to draw in becomes an empty picture.
///
/// # Errors
/// A layout comment that cannot be followed, as [`super::to_pdf`] says.
pub fn to_html(markdown: &str, first: u8, pictures: &Pictures<'_>) -> Result<String, Problem> {
    let mut out = String::with_capacity(2 * markdown.len());
    let writer = Writer { first, pictures };
    writer.blocks(&mut out, &parse(markdown)?);
    Ok(out)
}

/// Words in the marks of Markdown: bold, slanted, code.
pub fn inline(markdown: &str) -> String {
    let mut out = String::new();
    let pictures = |_: &str| None;
    let writer = Writer {
        first: 1,
        pictures: &pictures,
    };
    match parse(markdown).as_deref() {
        Ok([Block::Paragraph { text, .. }]) => writer.spans(&mut out, text),
        _ => out.push_str(&escape(markdown)),
    }
    out
}

struct Writer<'p> {
    first: u8,
    pictures: &'p Pictures<'p>,
}

impl Writer<'_> {
    fn blocks(&self, out: &mut String, blocks: &[Block]) {
        for block in blocks {
            self.block(out, block);
        }
    }

    // Writing to a String cannot fail.
    fn block(&self, out: &mut String, block: &Block) {
        match block {
            Block::Heading { level, text } => {
                let level = (level + self.first - 1).min(6);
                self.around(out, &format!("h{level}"), text);
            }
            Block::Paragraph { text, tight: true } => self.spans(out, text),
            Block::Paragraph { text, .. } => self.around(out, "p", text),
            Block::List { first, entries } => self.list(out, first.is_some(), entries),
            Block::Quote(inner) => {
                out.push_str("<blockquote>");
                self.blocks(out, inner);
                out.push_str("</blockquote>\n");
            }
            Block::Code(code) => {
                let _ = writeln!(out, "<pre>{}</pre>", escape(code));
            }
            Block::Table(table) => self.table(out, table),
            Block::Rule => out.push_str("<hr>\n"),
            Block::Space(_) | Block::PageBreak => {}
            Block::Blank(lines) => {
                let _ = writeln!(
                    out,
                    "<div class=\"blank\"><svg viewBox=\"0 0 {WIDE} {}\" aria-hidden=\"true\"></svg></div>",
                    lines * LINE
                );
            }
            Block::Foot(text) => {
                out.push_str("<p class=\"foot\">");
                self.spans(out, text);
                out.push_str("</p>\n");
            }
            Block::Frame(inner) => self.blocks(out, inner),
            Block::Figure { file, alt } => match (self.pictures)(file) {
                Some(picture) => out.push_str(&picture),
                None => self.around(out, "p", alt),
            },
        }
    }

    fn around(&self, out: &mut String, name: &str, text: &[Span]) {
        let _ = write!(out, "<{name}>");
        self.spans(out, text);
        let _ = writeln!(out, "</{name}>");
    }

    fn list(&self, out: &mut String, numbered: bool, entries: &[Entry]) {
        let name = if numbered { "ol" } else { "ul" };
        let _ = writeln!(out, "<{name}>");
        for entry in entries {
            out.push_str("<li>");
            out.push_str(match entry.ticked {
                None => "",
                Some(false) => "\u{2610} ",
                Some(true) => "\u{2611} ",
            });
            self.blocks(out, &entry.blocks);
            out.push_str("</li>\n");
        }
        let _ = writeln!(out, "</{name}>");
    }

    /// The first cell of a row names it.
    fn table(&self, out: &mut String, table: &Table) {
        out.push_str("<table>\n");
        if table
            .head
            .iter()
            .any(|cell| !plain_text(cell).trim().is_empty())
        {
            out.push_str("<thead><tr>");
            for cell in &table.head {
                out.push_str("<th scope=\"col\">");
                self.spans(out, cell);
                out.push_str("</th>");
            }
            out.push_str("</tr></thead>\n");
        }
        out.push_str("<tbody>\n");
        for row in &table.rows {
            out.push_str("<tr>");
            for (column, cell) in row.iter().enumerate() {
                let right = table.align.get(column) == Some(&Align::Right);
                let (open, close) = match (column, right) {
                    (0, _) => ("<th scope=\"row\">", "</th>"),
                    (_, true) => ("<td class=\"right\">", "</td>"),
                    _ => ("<td>", "</td>"),
                };
                out.push_str(open);
                self.spans(out, cell);
                out.push_str(close);
            }
            out.push_str("</tr>\n");
        }
        out.push_str("</tbody></table>\n");
    }

    fn spans(&self, out: &mut String, spans: &[Span]) {
        for span in spans {
            let text = escape(&span.text).replace('\n', "<br>");
            let text = match (span.bold, span.italic) {
                (false, false) => text,
                (true, false) => format!("<strong>{text}</strong>"),
                (false, true) => format!("<em>{text}</em>"),
                (true, true) => format!("<strong><em>{text}</em></strong>"),
            };
            out.push_str(&text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn html(markdown: &str) -> String {
        let pictures = |file: &str| (file == "a.svg").then(|| "<svg></svg>".to_string());
        to_html(markdown, 2, &pictures).unwrap_or_else(|p| panic!("{p:?}"))
    }

    #[test]
    fn what_is_printed_stands_in_elements() {
        let text = html(
            "# Head\n\nOne **two** *three*.\n\n- a\n- b\n\n> said\n\n1. x\n\n![words](a.svg)\n\n![words](b.svg)\n",
        );
        for part in [
            "<h2>Head</h2>",
            "<p>One <strong>two</strong> <em>three</em>.</p>",
            "<ul>\n<li>a</li>\n<li>b</li>\n</ul>",
            "<blockquote><p>said</p>\n</blockquote>",
            "<ol>\n<li>x</li>\n</ol>",
            "<svg></svg>",
            "<p>words</p>",
        ] {
            assert!(text.contains(part), "{part} in {text}");
        }
    }

    #[test]
    fn tables_have_heads_of_columns_and_rows() {
        let text = html("<!-- columns: 1 2 -->\n| A | B |\n|---|--:|\n| a | 1<br>2 |\n");
        assert!(
            text.contains("<thead><tr><th scope=\"col\">A</th>"),
            "{text}"
        );
        assert!(text.contains("<th scope=\"row\">a</th><td class=\"right\">1<br>2</td>"));
        assert!(!html("| | |\n|---|---|\n| a | b |\n").contains("thead"));
    }

    #[test]
    fn no_text_becomes_an_element() {
        let text =
            html("a <script>alert(1)</script> & \\<b>\n\n<iframe src=x></iframe>\n\n`<i>`\n");
        for tag in ["<script", "<b>", "<iframe", "<i>"] {
            assert!(!text.contains(tag), "{text}");
        }
        assert!(text.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &lt;b&gt;"));
    }

    #[test]
    fn words_alone_keep_their_voices() {
        assert_eq!(inline("**A.** b < c"), "<strong>A.</strong> b &lt; c");
    }
}

//! What can a comment in the Markdown ask of the layout? Every other viewer leaves comments out of sight.
//!
//! | Comment | On paper |
//! |---|---|
//! | `<!-- columns: 8 60 12 20 -->` | relative widths of the columns of the table that follows |
//! | `<!-- space: 6 lines -->` | ruled lines to write on |
//! | `<!-- blank: 20 lines -->` | the same height without lines, to draw in |
//! | `<!-- page break -->` | what follows starts a page |
//! | `<!-- box -->` ... `<!-- /box -->` | a thin frame around what is between |
//! | `<!-- foot -->` | the paragraph that follows stands in small type at the foot of every page |

use crate::diagnostic::Problem;

/// Ruled lines one comment may ask for: some three pages.
pub const MOST_LINES: usize = 100;
/// The height of an empty space is never split, so it must fit a page of the smaller paper.
pub const MOST_BLANK: usize = 24;

#[derive(Debug, Clone, PartialEq)]
pub enum Comment {
    Columns(Vec<f32>),
    Space(usize),
    Blank(usize),
    PageBreak,
    Foot,
    Box,
    BoxEnd,
    /// Any other HTML, to be shown as it is.
    Other(String),
}

/// Reads a block of HTML.
///
/// # Errors
/// An order that is known but cannot be followed, such as `space` without a number.
pub fn read(html: &str) -> Result<Vec<Comment>, Problem> {
    let mut found = Vec::new();
    let mut rest = html.trim();
    while !rest.is_empty() {
        let end = match rest
            .strip_prefix("<!--")
            .and_then(|inner| inner.find("-->"))
        {
            Some(end) => end,
            None => {
                found.push(Comment::Other(rest.to_string()));
                break;
            }
        };
        let whole = rest.get(..end + 7).unwrap_or(rest);
        let inner = rest.get(4..end + 4).unwrap_or("");
        found.push(order(inner.trim())?.unwrap_or_else(|| Comment::Other(whole.to_string())));
        rest = rest.get(end + 7..).unwrap_or("").trim_start();
    }
    Ok(found)
}

fn order(inner: &str) -> Result<Option<Comment>, Problem> {
    let (name, value) = match inner.split_once(':') {
        Some((name, value)) => (name.trim(), Some(value.trim())),
        None => (inner, None),
    };
    Ok(Some(match (name, value) {
        ("page break", None) => Comment::PageBreak,
        ("foot", None) => Comment::Foot,
        ("box", None) => Comment::Box,
        ("/box", None) => Comment::BoxEnd,
        ("columns", Some(value)) => Comment::Columns(widths(value)?),
        ("space", Some(value)) => Comment::Space(lines(value)?),
        ("blank", Some(value)) => match lines(value)? {
            tall if tall <= MOST_BLANK => Comment::Blank(tall),
            tall => return Err(too_tall(tall)),
        },
        _ => return Ok(None),
    }))
}

fn widths(value: &str) -> Result<Vec<f32>, Problem> {
    value
        .split_whitespace()
        .map(|word| match word.parse::<f32>() {
            Ok(width) if (0.01..=10_000.0).contains(&width) => Ok(width),
            _ => Err(Problem::new(format!(
                "the `columns` comment has a width that is no number above 0: `{}`",
                crate::diagnostic::short(word)
            ))
            .hint("give one number for each column, for example <!-- columns: 8 60 12 20 -->")),
        })
        .collect()
}

fn lines(value: &str) -> Result<usize, Problem> {
    let number = value
        .strip_suffix("lines")
        .or_else(|| value.strip_suffix("line"))
        .unwrap_or(value)
        .trim();
    match number.parse::<usize>() {
        Ok(lines) if (1..=MOST_LINES).contains(&lines) => Ok(lines),
        _ => Err(Problem::new(format!(
            "the `space` comment asks for `{}`, not for 1 to {MOST_LINES} lines",
            crate::diagnostic::short(value)
        ))
        .hint("write for example <!-- space: 6 lines -->")),
    }
}

fn too_tall(lines: usize) -> Problem {
    Problem::new(format!(
        "the `blank` comment asks for {lines} lines, more than the {MOST_BLANK} of a page"
    ))
    .hint("write for example <!-- blank: 20 lines -->")
}

pub fn wrong_count(widths: usize, columns: usize) -> Problem {
    Problem::new(format!(
        "the `columns` comment gives {widths} widths, but its table has {columns} columns"
    ))
    .hint("give one number for each column")
}

pub fn no_table() -> Problem {
    Problem::new("the `columns` comment has no table after it")
        .hint("put the comment on the line before the table")
}

pub fn box_left_open() -> Problem {
    Problem::new("this `box` comment is not closed in the same list entry, quote or sheet")
        .hint("write <!-- /box --> where the frame ends")
}

pub fn no_box_to_close() -> Problem {
    Problem::new("this `/box` comment closes nothing")
        .hint("write <!-- box --> where the frame begins, in the same list entry, quote or sheet")
}

/// True for `<br>`, the only way to break a line within a table cell.
pub fn is_line_end(tag: &str) -> bool {
    tag.strip_prefix('<')
        .and_then(|t| t.strip_suffix('>'))
        .map(|t| t.trim_end_matches('/').trim_end())
        .is_some_and(|t| t.eq_ignore_ascii_case("br"))
}

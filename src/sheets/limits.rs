//! How long may a sheet be? What its reader can hold: words and pages in normal print, and what to shorten when it is too long.

use super::rows::Row;
use crate::diagnostic::Problem;
use crate::typeset::Print;
use crate::wording::count_words;

/// Lines named in a message.
const NAMED: usize = 3;
/// Words of a line shown in a message.
const SHOWN: usize = 8;

/// The pieces of a sheet that are read in one go: lines, cells, lines of cells. Comments and words that stand for pictures are none.
fn pieces(markdown: &str) -> impl Iterator<Item = &str> {
    markdown
        .lines()
        .filter(|line| !line.starts_with("<!--") && !line.starts_with("!["))
        .flat_map(|line| line.split(" | "))
        .flat_map(|cell| cell.split("<br>"))
}

/// The words that a reader sees.
pub fn printed_words(markdown: &str) -> usize {
    pieces(markdown).map(count_words).sum()
}

/// What to shorten first.
pub fn longest(markdown: &str) -> String {
    let mut all: Vec<(usize, &str)> = pieces(markdown).map(|p| (count_words(p), p)).collect();
    all.sort_by_key(|(words, _)| std::cmp::Reverse(*words));
    let line = |(words, text): &(usize, &str)| {
        let start: Vec<&str> = text.split_whitespace().take(SHOWN).collect();
        let start = start.join(" ").replace(['*', '|', '\\'], "");
        format!("\u{201c}{}\u{2026}\u{201d} ({words} words)", start.trim())
    };
    let named: Vec<String> = all.iter().take(NAMED).map(line).collect();
    format!("shorten first: {}", named.join("; "))
}

/// Says by how much a sheet has too many words.
pub fn too_long(row: &Row, code: &str, markdown: &str) -> Option<Problem> {
    let words = printed_words(markdown);
    // A tenth more is let pass, so that no teacher is refused for two words.
    let over = words.checked_sub(row.words)?;
    if over <= row.words / 10 {
        return None;
    }
    Some(
        Problem::new(format!(
            "the {} sheet of {code} has {words} words, {over} more than the {} that its reader can hold",
            row.id, row.words
        ))
        .hint(longest(markdown)),
    )
}

/// Pages that the sheet may fill: its own, one for each page break, and more where the print is larger or wider.
pub fn pages(row: &Row, markdown: &str, print: Print) -> usize {
    let parts = 1 + markdown.matches("<!-- page break -->").count();
    let times = match (print.large, print.spaced) {
        (false, false) => 1,
        (false, true) => 3,
        (true, false) => 5,
        (true, true) => 8,
    };
    (row.pages + parts - 1) * times
}

//! Reads every sheet back with two independent readers and compares words and reading order with the Markdown beside it.

use crate::pages_check::TextBox;
use crate::pages_runs::{Run, runs};
use crate::pages_sheets::{odd, sheets};
use crate::pages_words::{ReadWord, Said, split};
use crate::typeset_support::load;
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};
use vivasmith::typeset::item::Frame;

/// The words of each page between header and footer, from the runs of the file. Runs that touch are one word.
pub fn from_runs(pages: &[Vec<Run>], frame: &Frame) -> Vec<Vec<ReadWord>> {
    let body = |run: &&Run| run.y > frame.top && run.y < frame.bottom + 1.0;
    pages
        .iter()
        .map(|page| {
            let mut lines: Vec<String> = Vec::new();
            let mut end: Option<(f32, f32)> = None;
            for run in page.iter().filter(body) {
                match (end, lines.last_mut()) {
                    (Some((x, y)), Some(line)) if y == run.y && (run.x - x).abs() < 0.1 => {
                        line.push_str(&run.text)
                    }
                    _ => lines.push(run.text.clone()),
                }
                end = Some((run.x + run.width, run.y));
            }
            lines.iter().flat_map(|line| ended(split(line))).collect()
        })
        .collect()
}

/// The last word of a line may go on in the next.
fn ended(words: Vec<String>) -> Vec<ReadWord> {
    let last = words.len();
    (1..)
        .zip(words)
        .map(|(n, text)| ReadWord {
            text,
            open: n == last,
        })
        .collect()
}

/// The words of each page with their boxes as poppler reads them, in the order of the file; `None` where poppler is not
/// installed and nobody insists.
pub fn poppler(pdf: &[u8]) -> Option<Vec<Vec<TextBox>>> {
    static FILES: AtomicUsize = AtomicUsize::new(0);
    let number = FILES.fetch_add(1, Ordering::Relaxed);
    let path = std::env::temp_dir().join(format!(
        "vivasmith-pages-{number}-{}.pdf",
        std::process::id()
    ));
    std::fs::write(&path, pdf).expect("write");
    let out = Command::new("pdftotext")
        .args(["-bbox", "-raw", "-enc", "UTF-8"])
        .arg(&path)
        .arg("-")
        .output();
    let _ = std::fs::remove_file(&path);
    match out {
        Ok(out) if out.status.success() => {
            Some(boxes(&String::from_utf8(out.stdout).expect("UTF-8")))
        }
        _ => {
            assert!(
                std::env::var_os("VIVASMITH_NEEDS_POPPLER").is_none(),
                "pdftotext is needed here (Debian: poppler-utils)"
            );
            None
        }
    }
}

/// `<word xMin="1" yMin="2" xMax="3" yMax="4">text</word>`, page by page.
fn boxes(html: &str) -> Vec<Vec<TextBox>> {
    let plain = |text: &str| {
        let text = text.replace("&lt;", "<").replace("&gt;", ">");
        text.replace("&quot;", "\"")
            .replace("&apos;", "'")
            .replace("&amp;", "&")
    };
    html.split("<page ")
        .skip(1)
        .map(|page| {
            page.split("<word ")
                .skip(1)
                .map(|word| {
                    let number = |key: &str| -> f32 {
                        let from = word
                            .split_once(key)
                            .expect("a key")
                            .1
                            .trim_start_matches("=\"");
                        from.split('"')
                            .next()
                            .and_then(|v| v.parse().ok())
                            .expect("a number")
                    };
                    let text = word
                        .split_once('>')
                        .and_then(|(_, t)| t.split_once("</word>"))
                        .expect("a word")
                        .0;
                    TextBox {
                        left: number("xMin"),
                        top: number("yMin"),
                        right: number("xMax"),
                        bottom: number("yMax"),
                        text: plain(text),
                    }
                })
                .collect()
        })
        .collect()
}

#[test]
fn the_file_says_the_words_of_the_markdown_in_their_order() {
    let mut words = 0;
    for sheet in sheets().iter().chain(odd()) {
        let said = Said::of(&sheet.markdown, &sheet.svg(), &sheet.lists());
        words += said.len();
        let read = from_runs(&runs(&load(&sheet.pdf)), &sheet.layout.frame);
        said.compare(&read, false)
            .unwrap_or_else(|e| panic!("{}, {e}", sheet.name));
    }
    assert!(words > 40_000, "{words} words in all");
}

#[test]
fn poppler_reads_the_words_of_the_markdown_in_their_order() {
    for sheet in sheets() {
        let Some(pages) = poppler(&sheet.pdf) else {
            return;
        };
        let frame = sheet.layout.frame;
        let read: Vec<Vec<ReadWord>> = pages
            .iter()
            .map(|page| {
                let body = page
                    .iter()
                    .filter(|b| b.top > frame.top - 3.0 && b.bottom < frame.bottom + 6.0);
                body.flat_map(|b| ended(split(&b.text))).collect()
            })
            .collect();
        let said = Said::of(&sheet.markdown, &sheet.svg(), &sheet.lists());
        said.compare(&read, true)
            .unwrap_or_else(|e| panic!("{}, {e}", sheet.name));
    }
}

/// No type on any page, pictures included, is smaller than 7 points, in large print than 9.
#[test]
fn no_type_on_a_page_is_smaller_than_seven_points() {
    for sheet in sheets() {
        let pages = runs(&load(&sheet.pdf));
        for (n, page) in pages.iter().enumerate() {
            for run in page {
                let least = if sheet.meta.print.large { 9.0 } else { 6.98 };
                assert!(run.size >= least, "{}, page {}: {run:?}", sheet.name, n + 1);
            }
        }
    }
}

//! Looks at the pixels of real sheets: margins are white, no page is empty, every mark of the layout is there and nothing else.

use crate::pages_check::{empty, missing, outside, stray};
use crate::pages_raster::{Ink, rasterise};
use crate::pages_sheets::{Printed, booklets, odd, sheets};
use std::sync::OnceLock;
use vivasmith::typeset::Format;
use vivasmith::typeset::item::Item;
use vivasmith::typeset::style::MM;

/// Every sheet with the pixels of its pages, made once.
pub fn looked_at() -> &'static [(&'static Printed, Vec<Ink>)] {
    static SEEN: OnceLock<Vec<(&Printed, Vec<Ink>)>> = OnceLock::new();
    SEEN.get_or_init(|| {
        sheets()
            .iter()
            .chain(odd())
            .chain(booklets())
            .map(|sheet| (sheet, rasterise(&sheet.pdf)))
            .collect()
    })
}

/// Runs a check on every page; tells what it found by sheet and page.
fn each_page(check: impl Fn(&Printed, usize, &Ink) -> Vec<String>) {
    let mut found = Vec::new();
    for (sheet, pages) in looked_at() {
        assert_eq!(pages.len(), sheet.layout.pages.len(), "{}", sheet.name);
        for (n, ink) in pages.iter().enumerate() {
            let faults = check(sheet, n, ink);
            found.extend(
                faults
                    .iter()
                    .take(3)
                    .map(|f| format!("{}, page {}: {f}", sheet.name, n + 1)),
            );
        }
    }
    assert!(
        found.is_empty(),
        "{} faults\n{}",
        found.len(),
        found.join("\n")
    );
}

#[test]
fn the_margins_are_white() {
    each_page(|sheet, _, ink| {
        let frame = &sheet.layout.frame;
        // A dense sheet uses the paper to what any printer reaches.
        let least = if sheet.meta.format == Format::Held {
            11.9
        } else {
            15.0
        } * MM;
        assert!(
            frame.left >= least && frame.right <= frame.paper_width - least,
            "{frame:?}"
        );
        outside(ink, frame)
    });
}

#[test]
fn no_page_is_empty() {
    each_page(|sheet, _, ink| {
        let none = empty(ink, &sheet.layout.frame);
        none.then(|| "no text".to_string()).into_iter().collect()
    });
}

#[test]
fn all_ink_comes_from_a_mark_of_the_layout() {
    each_page(|sheet, n, ink| stray(ink, &sheet.layout.pages[n]).into_iter().collect());
}

#[test]
fn words_are_dark_on_light_and_rules_are_drawn() {
    each_page(|sheet, n, ink| missing(ink, &sheet.layout.pages[n]));
}

#[test]
fn pictures_leave_ink() {
    let mut pictures = 0;
    for (sheet, pages) in looked_at() {
        let mut dark = 0;
        for (page, ink) in sheet.layout.pages.iter().zip(pages) {
            let drawn = page.body.iter().filter(|i| matches!(i, Item::Drawing(_)));
            let around = drawn
                .map(Item::area)
                .reduce(|a, b| (a.0.min(b.0), a.1.min(b.1), a.2.max(b.2), a.3.max(b.3)));
            dark += around.map_or(0, |area| ink.pixels(area).filter(|d| *d > 60).count());
        }
        let count = sheet.pictures.len();
        pictures += count;
        assert!(
            dark >= 400 * count && (dark == 0) == (count == 0),
            "{}: {dark} dark pixels",
            sheet.name
        );
    }
    assert!(pictures >= 18, "{pictures} pictures in all");
}

#[test]
fn a_sheet_printed_again_has_the_same_pixels() {
    // Every fourth sheet: the kinds of sheet, three to a station, take turns.
    for (sheet, pages) in looked_at().iter().step_by(4) {
        assert!(rasterise(&sheet.again()) == *pages, "{}", sheet.name);
    }
}

//! Looks for words on words: in the layout, in the positions that the file's operators give, and in those that poppler reads.

use crate::pages_check::{TextBox, laid_out, overlaps, struck};
use crate::pages_runs::runs;
use crate::pages_sheets::{Printed, odd, sheets};
use crate::typeset_support::load;

fn each_page(boxes: impl Fn(&Printed) -> Vec<Vec<TextBox>>) {
    let (mut found, mut texts) = (Vec::new(), 0);
    for sheet in sheets().iter().chain(odd()) {
        let pages = boxes(sheet);
        assert_eq!(pages.len(), sheet.layout.pages.len(), "{}", sheet.name);
        for (n, page) in pages.iter().enumerate() {
            texts += page.len();
            // Code, page number and caution stand on every page, and something between.
            assert!(page.len() > 3, "{}, page {}: {page:?}", sheet.name, n + 1);
            found.extend(
                overlaps(page)
                    .into_iter()
                    .map(|f| format!("{}, page {}: {f}", sheet.name, n + 1)),
            );
        }
    }
    assert!(texts > 10_000, "{texts} texts in all");
    assert!(
        found.is_empty(),
        "{} overlaps\n{}",
        found.len(),
        found.join("\n")
    );
}

#[test]
fn no_two_texts_of_the_layout_stand_on_each_other() {
    each_page(|sheet| sheet.layout.pages.iter().map(laid_out).collect());
}

#[test]
fn no_rule_runs_through_words() {
    for sheet in sheets().iter().chain(odd()) {
        for (n, page) in sheet.layout.pages.iter().enumerate() {
            let found = struck(page);
            assert!(
                found.is_empty(),
                "{}, page {}: {}",
                sheet.name,
                n + 1,
                found.join("\n")
            );
        }
    }
}

#[test]
fn no_two_texts_of_the_file_stand_on_each_other() {
    each_page(|sheet| {
        let pages = runs(&load(&sheet.pdf));
        pages
            .iter()
            .map(|page| page.iter().map(crate::pages_runs::Run::as_box).collect())
            .collect()
    });
}

/// The layout measures what the file says: each text at its place, as wide as the widths in the file make it.
#[test]
fn the_file_has_each_text_where_the_layout_has_it() {
    for sheet in sheets() {
        for (n, (page, read)) in sheet
            .layout
            .pages
            .iter()
            .zip(runs(&load(&sheet.pdf)))
            .enumerate()
        {
            let laid = laid_out(page);
            let read: Vec<TextBox> = read.iter().map(crate::pages_runs::Run::as_box).collect();
            assert_eq!(laid.len(), read.len(), "{}, page {}", sheet.name, n + 1);
            for (a, b) in laid.iter().zip(&read) {
                let near = |a: f32, b: f32| (a - b).abs() < 0.05;
                // Pictures are set in the width that was measured for them in exact numbers; the rest in thousandths.
                // A drawn tick box, and the space before one, are wider than the sign behind them.
                let beside_box = a.text == "☐" || a.text.ends_with(' ');
                let wide = (a.right - b.right).abs() < 0.3 || beside_box;
                assert!(
                    a.text == b.text
                        && near(a.left, b.left)
                        && near(a.top, b.top)
                        && near(a.bottom, b.bottom)
                        && wide,
                    "{}, page {}: {a:?} became {b:?}",
                    sheet.name,
                    n + 1
                );
            }
        }
    }
}

#[test]
fn poppler_sees_no_two_words_on_each_other() {
    if crate::pages_read::poppler(&sheets()[0].pdf).is_none() {
        return;
    }
    each_page(|sheet| crate::pages_read::poppler(&sheet.pdf).expect("as above"));
}

//! Spoils good pages, one fault at a time, and sees that each check of the pages finds its fault: a check must be able to fail.

use crate::pages_check::{empty, laid_out, missing, outside, overlaps, stray, struck};
use crate::pages_raster::{Ink, rasterise};
use crate::pages_read::from_runs;
use crate::pages_runs::{Run, runs};
use crate::pages_sheets::{Printed, sheets};
use crate::pages_words::Said;
use crate::typeset_support::load;
use lopdf::content::Content;
use lopdf::{Document, Object};
use vivasmith::typeset::Format;
use vivasmith::typeset::item::{Item, Page, Role};

/// A sheet with a picture on its second page.
fn good() -> &'static Printed {
    let long = |s: &&Printed| {
        !s.pictures.is_empty() && s.meta.format != Format::Held && s.layout.pages.len() > 1
    };
    sheets().iter().find(long).expect("a sheet with a picture")
}

fn saved(mut file: Document) -> Vec<u8> {
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).expect("saved");
    bytes
}

/// The second page of the good file with these operators drawn at its end.
fn drawn(operators: &str) -> Ink {
    let mut file = load(&good().pdf);
    let page = file.get_pages()[&2];
    file.add_page_contents(page, operators.as_bytes().to_vec())
        .expect("a page");
    rasterise(&saved(file)).remove(1)
}

/// The operators of the second page through a function.
fn changed(change: impl Fn(&mut Content)) -> Document {
    let mut file = load(&good().pdf);
    let page = file.get_pages()[&2];
    let mut content = Content::decode(&file.get_page_content(page)).expect("operators");
    change(&mut content);
    file.change_page_content(page, content.encode().expect("bytes"))
        .expect("changed");
    file
}

#[test]
fn ink_in_each_margin_is_found() {
    let frame = &good().layout.frame;
    assert!(outside(&drawn(""), frame).is_empty());
    let (w, h) = (frame.paper_width, frame.paper_height);
    for (spot, where_) in [
        ((frame.left - 8.0, h / 2.0), "left margin"),
        ((2.0, h / 2.0), "left margin"),
        ((frame.right + 4.0, 300.0), "right margin"),
        ((w - 4.0, 300.0), "right margin"),
        ((w / 2.0, h - 10.0), "upper edge"),
        ((w / 2.0, 10.0), "lower edge"),
        ((w / 2.0, h - frame.top + 5.0), "below the header"),
        ((w / 2.0, h - frame.bottom - 6.0), "above the footer"),
    ] {
        // Two points wide, as pale as the caution; `y` of the file runs up.
        let found = outside(
            &drawn(&format!("q 0.3 g {} {} 2 2 re f Q", spot.0, spot.1)),
            frame,
        );
        assert!(
            found.len() == 1 && found[0].contains(where_),
            "{spot:?}: {found:?}"
        );
    }
}

#[test]
fn a_page_with_header_and_footer_only_is_empty() {
    let frame = &good().layout.frame;
    assert!(!empty(&drawn(""), frame));
    let white = format!(
        "q 1 g {} {} {} {} re f Q",
        frame.left - 2.0,
        frame.paper_height - frame.bottom - 2.0,
        frame.width() + 4.0,
        frame.height() + 4.0
    );
    assert!(empty(&drawn(&white), frame));
    // A shade alone, or a single full stop, is no text either.
    assert!(empty(
        &drawn(&format!(
            "{white} q 0.91 g 100 300 300 90 re f 0 g 100 200 2 2 re f Q"
        )),
        frame
    ));
}

#[test]
fn a_mark_that_the_layout_does_not_know_is_found() {
    let page = &good().layout.pages[1];
    assert_eq!(stray(&drawn(""), page), None);
    // Somewhere within the text's frame where nothing stands.
    let frame = &good().layout.frame;
    let mut bare = page.clone();
    let last = bare
        .body
        .iter()
        .rposition(|i| matches!(i, Item::Words(w) if w.text.len() > 3))
        .expect("words");
    bare.body.remove(last);
    assert!(stray(&drawn(""), &bare).is_some(), "a word the layout lost");
    let below = frame.paper_height - frame.bottom - 3.0;
    assert!(stray(&drawn(&format!("q 0 g 300 {below} 3 2 re f Q")), page).is_some());
}

#[test]
fn words_without_ink_and_words_on_dark_ground_are_found() {
    let page = &good().layout.pages[1];
    let Some(Item::Words(word)) = page
        .body
        .iter()
        .find(|i| matches!(i, Item::Words(w) if w.text.len() > 4))
    else {
        panic!("a word");
    };
    let bottom = good().layout.frame.paper_height - word.y - 0.24 * word.size;
    let over = |grey: &str| {
        let (x, width, height) = (word.x - 1.0, word.width + 2.0, word.size);
        missing(
            &drawn(&format!("q {grey} g {x} {bottom} {width} {height} re f Q")),
            page,
        )
    };
    for (grey, fault) in [
        ("1", "ink for"),
        ("0", "no light ground"),
        ("0.6", "no light ground"),
    ] {
        let found = over(grey);
        assert!(
            found
                .iter()
                .any(|f| f.starts_with(&format!("{:?}", word.text)) && f.contains(fault)),
            "{grey}: {found:?}"
        );
    }
}

fn page_with(more: Item) -> Page {
    let mut page = good().layout.pages[1].clone();
    page.body.push(more);
    page
}

#[test]
fn a_text_on_another_is_found_in_the_layout_and_in_the_file() {
    let page = &good().layout.pages[1];
    let word = page
        .body
        .iter()
        .find_map(|i| match i {
            Item::Words(w) if w.text.len() > 4 => Some(w.clone()),
            _ => None,
        })
        .expect("a word");
    let mut lower = word.clone();
    lower.y += 0.8 * word.size;
    lower.text = "lower".into();
    assert!(!overlaps(&laid_out(&page_with(Item::Words(lower)))).is_empty());
    let through = Item::Rule {
        from: (word.x, word.y - 2.0),
        to: (word.x + 9.0, word.y - 2.0),
        thickness: 0.5,
        grey: 0.0,
        role: Role::Artifact,
    };
    assert!(struck(page).is_empty() && struck(&page_with(through)).len() == 1);

    // Line after line at the place of the first.
    let boxes = |file: &Document| -> usize {
        let page: Vec<_> = runs(file)[1].iter().map(Run::as_box).collect();
        overlaps(&page).len()
    };
    assert_eq!(boxes(&load(&good().pdf)), 0);
    let piled = changed(|content| {
        let place = [1, 0, 0, 1, 100, 300].map(lopdf::Object::from).to_vec();
        let place = lopdf::content::Operation::new("Tm", place);
        let texts = content.operations.iter().enumerate();
        let texts: Vec<usize> = texts
            .filter(|(_, o)| o.operator == "Tj" || o.operator == "TJ")
            .map(|(n, _)| n)
            .take(3)
            .collect();
        for n in texts.into_iter().rev() {
            content.operations.insert(n, place.clone());
        }
    });
    assert!(
        boxes(&piled) >= 3,
        "three texts at one place are three pairs"
    );
}

#[test]
fn words_lost_doubled_or_out_of_order_are_found() {
    let sheet = good();
    let said = Said::of(&sheet.markdown, &sheet.svg(), &sheet.lists());
    let read = |file: &Document| said.compare(&from_runs(&runs(file), &sheet.layout.frame), false);
    let shown = |content: &Content| -> Vec<usize> {
        let all = content.operations.iter().enumerate();
        all.filter(|(_, o)| o.operator == "Tj" || o.operator == "TJ")
            .map(|(n, _)| n)
            .collect()
    };
    assert_eq!(read(&load(&sheet.pdf)), Ok(()));
    let lost = changed(|content| {
        let at = shown(content)[3];
        content.operations.remove(at);
    });
    let doubled = changed(|content| {
        let at = shown(content)[3];
        let again = content.operations[at].clone();
        content.operations.insert(at, again);
    });
    let swapped = changed(|content| {
        let at = shown(content);
        content.operations.swap(at[3], at[4]);
    });
    // Of all the words on the page only the letters of one change: the first two codes of a text trade places.
    let garbled = changed(|content| {
        let at = shown(content)[5];
        let Object::String(bytes, _) = (match &mut content.operations[at].operands[0] {
            Object::Array(list) => &mut list[0],
            string => string,
        }) else {
            panic!("a string");
        };
        bytes.rotate_left(2);
    });
    for (name, file) in [
        ("lost", lost),
        ("doubled", doubled),
        ("swapped", swapped),
        ("garbled", garbled),
    ] {
        assert!(read(&file).is_err(), "{name}");
    }
}

#[test]
fn the_words_expected_of_a_sheet_are_those_a_person_reads() {
    let markdown = "# 1. *Weak* wrist\n\n- one\n- [x] two\n\n3. three\n   1. four\n\n| A | B |\n|---|---|\n| c ☐yes | d\\|e |\n\n![alt](p.svg)\n\n![left out](q.svg)\n";
    let svg = vec![(
        "p.svg".to_string(),
        "<svg><text x=\"1\">C5 &amp;</text>\n<text y=\"2\">C6</text></svg>".to_string(),
    )];
    let said = Said::of(markdown, &svg, &[]);
    let page = |text: &str| {
        let words = text.split(' ');
        vec![
            words
                .map(|w| crate::pages_words::ReadWord {
                    text: w.into(),
                    open: false,
                })
                .collect::<Vec<_>>(),
        ]
    };
    let right = "1. Weak wrist • one ☑ two 3. three 1. four A B c ☐ yes d|e C5 & C6 left out";
    assert_eq!(said.compare(&page(right), false), Ok(()));
    assert!(
        said.compare(&page(&right.replace("four", "fo ur")), false)
            .is_err(),
        "a word torn in a line"
    );
    assert!(
        said.compare(&page(&right.replace("Weak wrist", "Weakwrist")), false)
            .is_err(),
        "two words joined"
    );
    assert!(
        said.compare(&page(&right.replace("A B", "A B A B")), false)
            .is_err(),
        "a head twice on one page"
    );
}

//! Large and spaced print: the sizes and spaces on paper, nothing lost, nothing outside the frame.
//!
//! Spaced print is held against success criterion 1.4.12 "Text Spacing" of the Web Content Accessibility Guidelines 2.2
//! (W3C Recommendation, 2023), cited from memory: line height 1.5, space after paragraphs 2, letters 0.12, words 0.16 times the
//! type size. Large print: 16 points at least, common practice, no source.

use lopdf::Object;
use vivasmith::typeset::item::{Layout, Role};
use vivasmith::typeset::{Paper, PdfMeta, Print, lay_out, to_pdf};

use crate::typeset_support::{assert_inside, find, load, meta, page_texts, words};

const LARGE: Print = Print {
    large: true,
    spaced: false,
};
const SPACED: Print = Print {
    large: false,
    spaced: true,
};
const BOTH: Print = Print {
    large: true,
    spaced: true,
};
const ALL: [Print; 4] = [
    Print {
        large: false,
        spaced: false,
    },
    LARGE,
    SPACED,
    BOTH,
];

const SHEET: &str = "# Weak wrist after a night on a coach, with numb fingers

A paragraph that is long enough to need more than one line on every paper and in every print, with an *emphasis* within it.

A second paragraph.

*A paragraph that is slanted as a whole.*

## 1. Which nerve is affected, and which findings tell you so?

- one entry of a list
- another entry

<!-- columns: 6 44 40 10 -->
| ✓ | Expected | Why | Marks |
|---|---|---|--:|
| ☐ | Extensor pollicis longus, extensor digitorum | its branch leaves below the lesion | 2 |

<!-- box -->

**Ask:** \u{201c}Where is it?\u{201d}

<!-- /box -->

<!-- space: 3 lines -->
";

fn meta_in(print: Print, paper: Paper) -> PdfMeta {
    PdfMeta {
        print,
        paper,
        ..meta()
    }
}

fn laid_out(print: Print) -> Layout {
    lay_out(SHEET, &meta_in(print, Paper::A4)).expect("it flows")
}

#[test]
fn the_paper_stays_and_the_text_stays_inside_it() {
    for paper in [Paper::A4, Paper::Letter] {
        let usual = lay_out(SHEET, &meta_in(Print::default(), paper)).unwrap();
        for print in ALL {
            let layout = lay_out(SHEET, &meta_in(print, paper)).unwrap();
            assert!((layout.frame.paper_width - usual.frame.paper_width).abs() < 0.01);
            assert!((layout.frame.paper_height - usual.frame.paper_height).abs() < 0.01);
            assert_inside(&layout);
        }
    }
}

#[test]
fn no_word_is_lost_in_any_print() {
    let squeezed = |print: Print| {
        let bytes = to_pdf(SHEET, &meta_in(print, Paper::A4)).unwrap();
        let layout = laid_out(print);
        let body: Vec<String> = layout
            .pages
            .iter()
            .flat_map(|p| words(&p.body))
            .flat_map(|w| {
                w.text
                    .split_whitespace()
                    .map(String::from)
                    .collect::<Vec<_>>()
            })
            .collect();
        // What an independent reader takes out of the file has every word, whole: wider letters do not tear it.
        let text = page_texts(&bytes).concat();
        let read: Vec<&str> = text.split_whitespace().collect();
        for word in &body {
            assert!(
                read.contains(&word.as_str()),
                "{word:?} in {print:?}: {text}"
            );
        }
        body
    };
    let usual = squeezed(Print::default());
    for print in [LARGE, SPACED, BOTH] {
        assert_eq!(squeezed(print), usual, "{print:?}");
    }
}

#[test]
fn large_print_is_large_everywhere() {
    for print in [LARGE, BOTH] {
        let layout = laid_out(print);
        for page in &layout.pages {
            for w in words(&page.body).filter(|w| !w.hidden) {
                assert!(w.size >= 15.99, "{w:?}");
            }
            // Header and footer are no text of the sheet, but no small print either.
            for w in words(&page.edge) {
                assert!(w.size >= 12.0, "{w:?}");
            }
        }
    }
}

#[test]
fn spaced_print_keeps_the_spaces_of_the_guideline() {
    for print in [SPACED, BOTH] {
        let layout = laid_out(print);
        let body: Vec<_> = words(&layout.pages[0].body).collect();
        let (_, first) = find(&layout, "A paragraph that is long");
        assert!(first.size >= 11.99);
        let at = body.iter().position(|w| w.text == first.text).unwrap();
        let next = body[at..].iter().find(|w| w.y > first.y + 1.0).unwrap();
        assert!(
            next.y - first.y >= 1.5 * first.size - 0.01,
            "{} lines",
            next.y - first.y
        );
        let (page, second) = find(&layout, "A second paragraph");
        let (other, third) = find(&layout, "slanted as a whole");
        assert_eq!((page, other), (0, 0));
        // From baseline to baseline: the line itself, and twice the type size after it.
        assert!(
            third.y - second.y >= 3.5 * second.size - 0.1,
            "{}",
            third.y - second.y
        );
    }
}

/// The advance of each glyph in the file: plain plus 0.12 em, spaces 0.16 em more.
#[test]
fn letters_and_words_stand_apart_by_the_width_table_of_the_font() {
    // Both sheets hold the same characters, so that their cut fonts have the same glyphs in the same order.
    let widths = |print: Print| -> Vec<i64> {
        let file = load(&to_pdf("Wide words here", &meta_in(print, Paper::A4)).unwrap());
        let font = file
            .objects
            .values()
            .filter_map(|o| {
                o.as_dict()
                    .ok()?
                    .get(b"DescendantFonts")
                    .ok()?
                    .as_array()
                    .ok()
            })
            .filter_map(|list| {
                let first = file.dereference(list.first()?).ok()?.1;
                first.as_dict().ok().cloned()
            })
            .find(|font| {
                let name = font.get(b"BaseFont").and_then(Object::as_name).unwrap();
                let name = String::from_utf8_lossy(name).into_owned();
                name.ends_with("+DejaVuSansCondensed")
                    || name.ends_with("+DejaVuSansCondensed-Wider")
            })
            .expect("the upright face");
        font.get(b"W")
            .unwrap()
            .as_array()
            .unwrap()
            .iter()
            .flat_map(|entry| match entry {
                Object::Array(list) => list.iter().map(|w| w.as_float().unwrap() as i64).collect(),
                _ => Vec::new(),
            })
            .collect()
    };
    let (usual, wide) = (widths(Print::default()), widths(SPACED));
    assert_eq!(usual.len(), wide.len());
    let mut letters = 0;
    let mut spaces = 0;
    for (usual, wide) in usual.iter().zip(&wide) {
        match wide - usual {
            120 => letters += 1,
            280 => spaces += 1,
            other => panic!("{usual} became {wide}: {other} more"),
        }
    }
    assert!(
        letters > 10 && spaces == 1,
        "{letters} letters, {spaces} spaces"
    );
}

#[test]
fn spaced_print_stresses_by_weight_and_sets_nothing_slanted() {
    use vivasmith::typeset::fonts::{BOLD, REGULAR};
    let layout = laid_out(SPACED);
    for page in &layout.pages {
        for w in words(&page.body).chain(words(&page.edge)) {
            assert!(w.face == REGULAR || w.face == BOLD, "{w:?}");
        }
    }
    assert_eq!(find(&layout, "emphasis").1.face, BOLD);
    // A whole paragraph in bold would stress nothing.
    assert_eq!(find(&layout, "slanted as a whole").1.face, REGULAR);
}

#[test]
fn tick_boxes_grow_with_the_text_and_never_touch() {
    use vivasmith::typeset::item::Item;
    let side = |print: Print| {
        let layout = laid_out(print);
        layout
            .pages
            .iter()
            .flat_map(|p| &p.body)
            .find_map(|i| match i {
                Item::Outline {
                    width,
                    role: Role::Form,
                    ..
                } => Some(*width),
                _ => None,
            })
    };
    let (usual, large) = (side(Print::default()).unwrap(), side(LARGE).unwrap());
    assert!((large / usual - 16.0 / 9.5).abs() < 0.01, "{usual} {large}");
}

#[test]
fn prints_differ_in_bytes_and_identity_and_each_repeats_itself() {
    let mut seen = std::collections::BTreeSet::new();
    for print in ALL {
        let bytes = to_pdf(SHEET, &meta_in(print, Paper::A4)).unwrap();
        assert_eq!(bytes, to_pdf(SHEET, &meta_in(print, Paper::A4)).unwrap());
        let id = load(&bytes).trailer.get(b"ID").unwrap().as_array().unwrap()[0].clone();
        seen.insert(id.as_str().unwrap().to_vec());
    }
    assert_eq!(seen.len(), 4);
}

/// The tallest space that can be asked for, in a box, fits a page of every print and paper; lines to write on keep a hand's
/// distance (8 mm, 10 mm in large print).
#[test]
fn spaces_for_a_hand_keep_their_measure() {
    use vivasmith::typeset::item::Item;
    use vivasmith::typeset::style::MM;
    let markdown =
        "<!-- box -->\n\n<!-- blank: 24 lines -->\n\n<!-- /box -->\n\n<!-- space: 4 lines -->\n";
    for paper in [Paper::A4, Paper::Letter] {
        for print in ALL {
            let layout = lay_out(markdown, &meta_in(print, paper)).unwrap();
            assert_inside(&layout);
            let frames: Vec<f32> = layout
                .pages
                .iter()
                .flat_map(|p| &p.body)
                .filter_map(|item| match item {
                    Item::Outline { height, .. } => Some(*height),
                    _ => None,
                })
                .collect();
            assert_eq!(
                frames.len(),
                1,
                "{print:?} {paper:?}: the box is in one piece"
            );
            assert!(
                frames[0] > 170.0 * MM,
                "{print:?} {paper:?}: {} mm",
                frames[0] / MM
            );
            let lines: Vec<f32> = layout
                .pages
                .iter()
                .flat_map(|p| &p.body)
                .filter_map(|item| match item {
                    Item::Rule {
                        from,
                        role: Role::Form,
                        ..
                    } => Some(from.1),
                    _ => None,
                })
                .collect();
            let apart = if print.large { 10.0 } else { 8.0 };
            assert!((lines[1] - lines[0] - apart * MM).abs() < 0.01, "{lines:?}");
        }
    }
}

const WIDE: &str = "| Place | Told apart by | Here | There | Why |
|---|---|---|---|---|
| musculocutaneous nerve at the coracoid process | sensation over the outer forearm | spared | reduced | it is supplied by the lateral cutaneous nerve of the forearm |
| posterior interosseous nerve | extensor digitorum | spared | lost | its branch leaves below the lesion |
";

/// In large print a table whose columns would break words stands as a list; in normal print it is a table.
#[test]
fn a_table_too_wide_for_its_print_becomes_a_list_with_whole_words() {
    use vivasmith::typeset::part::PartKind;
    let heads = |print: Print| {
        let layout = lay_out(WIDE, &meta_in(print, Paper::A4)).unwrap();
        assert_inside(&layout);
        let text = layout
            .pages
            .iter()
            .flat_map(|p| words(&p.body))
            .map(|w| w.text.clone())
            .collect::<Vec<_>>()
            .join(" ");
        for word in ["musculocutaneous", "interosseous", "reduced", "digitorum"] {
            assert!(
                text.contains(word),
                "{word:?} is broken in {print:?}: {text}"
            );
        }
        let list = text.contains("Told apart by: ") && text.contains("Here: ");
        (
            layout
                .parts
                .iter()
                .filter(|p| p.kind == PartKind::HeadCell)
                .count(),
            list,
        )
    };
    assert_eq!(heads(Print::default()), (5, false));
    assert_eq!(heads(BOTH), (0, true));
}

/// A table to be filled in keeps its columns: a list would have nowhere to write.
#[test]
fn a_table_with_room_to_write_stays_a_table() {
    use vivasmith::typeset::part::PartKind;
    let form = "| Candidate number | Musculocutaneous examiner | Interosseous date |\n|---|---|---|\n| | | |\n";
    let layout = lay_out(form, &meta_in(BOTH, Paper::A4)).unwrap();
    assert_eq!(
        layout
            .parts
            .iter()
            .filter(|p| p.kind == PartKind::HeadCell)
            .count(),
        3
    );
}

//! The printed file, read back with lopdf: words, order, fonts, bookmarks, identity.

use std::collections::BTreeSet;

use lopdf::{Document, Object, ObjectId};
use vivasmith::typeset::fonts::{BOLD, Fonts, ITALIC, REGULAR};
use vivasmith::typeset::{Paper, PdfMeta, to_pdf};

use crate::typeset_support::{load, meta, page_texts, pdf};

const SHEET: &str = "# Weak wrist

Naïve café – pain ≥ 33.5 °C → rest ✓ \u{201c}quoted\u{201d} 5 µm

## 1. Findings

| Sign | Yes | No |
|---|:-:|:-:|
| Triceps | ☐ | ☐ |
| Supinator | ☐ | ☐ |

Then *slanted*, **strong** and ***both***.
";

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_sign_of_the_sheet_copies_out_as_it_went_in() {
    let text = page_texts(&pdf(SHEET)).concat();
    for sign in [
        'ï', 'é', '–', '≥', '°', '→', '✓', 'µ', '\u{201c}', '\u{201d}',
    ] {
        assert_eq!(
            text.matches(sign).count(),
            SHEET.matches(sign).count(),
            "{sign:?} in {text}"
        );
    }
    assert_eq!(text.matches('☐').count(), 4, "{text}");
}

#[test]
fn words_come_out_in_reading_order() {
    let text = squeezed(&page_texts(&pdf(SHEET)).concat());
    let order = [
        "Weak wrist",
        "Naïve café",
        "Findings",
        "Sign",
        "Yes",
        "Triceps",
        "Supinator",
        "Then",
        "slanted",
        "strong",
        "both",
    ];
    let mut from = 0;
    for word in order {
        let at = text[from..]
            .find(word)
            .unwrap_or_else(|| panic!("{word:?} is not after the others in {text}"));
        from += at + word.len();
    }
}

#[test]
fn each_page_says_which_it_is_of_how_many_with_code_and_caution() {
    let markdown = "One\n\n<!-- page break -->\n\nTwo\n\n<!-- page break -->\n\nThree\n";
    let pages = page_texts(&pdf(markdown));
    assert_eq!(pages.len(), 3);
    for (n, page) in pages.iter().enumerate() {
        assert!(page.contains(&format!("Page {} of 3", n + 1)), "{page}");
        assert!(page.contains("UL-07-K3F9"), "{page}");
        assert!(squeezed(page).contains("not clinical guidance"), "{page}");
        assert!(page.contains("Examiner sheet"), "{page}");
    }
    assert!(pages[1].contains("Two") && !pages[1].contains("Three"));
}

#[test]
fn nothing_at_all_is_still_one_page() {
    for nothing in [
        "",
        "\n\n",
        "\u{feff}",
        "<!-- page break -->",
        "<!-- box -->\n\n<!-- /box -->\n",
    ] {
        assert_eq!(page_texts(&pdf(nothing)).len(), 1, "{nothing:?}");
    }
}

/// ISO 32000-1, 9.6.4: six capitals and a plus sign before the name of a font that is cut down; 9.9: the font program
/// of a TrueType font stands in FontFile2.
#[test]
fn fonts_are_embedded_and_cut_down() {
    let bytes = pdf(SHEET);
    let file = load(&bytes);
    let mut names = BTreeSet::new();
    for object in file.objects.values() {
        let Ok(font) = object.as_dict() else { continue };
        if font.has(b"FontName") {
            let name =
                String::from_utf8(font.get(b"FontName").unwrap().as_name().unwrap().to_vec())
                    .unwrap();
            let (tag, face) = name.split_once('+').expect("a subset tag");
            assert!(
                tag.len() == 6 && tag.bytes().all(|b| b.is_ascii_uppercase()),
                "{name}"
            );
            let program = font.get(b"FontFile2").unwrap().as_reference().unwrap();
            let program = file.get_object(program).unwrap().as_stream().unwrap();
            let size = program.decompressed_content().unwrap().len();
            // The whole face has some 700 kB; so few characters take a few kB.
            assert!(size > 1000 && size < 40_000, "{name}: {size} bytes");
            names.insert(face.to_string());
        }
    }
    let expected = [
        "DejaVuSansCondensed",
        "DejaVuSansCondensed-Bold",
        "DejaVuSansCondensed-BoldOblique",
        "DejaVuSansCondensed-Oblique",
    ];
    assert_eq!(names, expected.map(String::from).into());
    assert!(bytes.len() < 60_000, "{} bytes", bytes.len());
}

#[test]
fn the_file_states_version_title_language_and_nothing_it_does_not_mean() {
    let bytes = pdf(SHEET);
    assert!(bytes.starts_with(b"%PDF-1.7"));
    let file = load(&bytes);
    let catalog = file.catalog().unwrap();
    assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en-GB");
    assert_eq!(
        catalog.get(b"PageMode").unwrap().as_name().unwrap(),
        b"UseOutlines"
    );
    let viewer = catalog
        .get(b"ViewerPreferences")
        .unwrap()
        .as_dict()
        .unwrap();
    assert!(viewer.get(b"DisplayDocTitle").unwrap().as_bool().unwrap());
    let info = file.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let info = file.get_dictionary(info).unwrap();
    assert_eq!(text_string(info.get(b"Title").unwrap()), meta().title);
    assert_eq!(text_string(info.get(b"Subject").unwrap()), "Viva station");
    for absent in [
        "CreationDate",
        "ModDate",
        "GTS_PDFXVersion",
        "Trapped",
        "Identifier",
    ] {
        assert!(!info.has(absent.as_bytes()), "{absent}");
    }
}

fn text_string(object: &Object) -> String {
    let bytes = object.as_str().unwrap();
    let units: Vec<u16> = bytes[2..]
        .chunks(2)
        .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
        .collect();
    assert_eq!(&bytes[..2], [0xfe, 0xff], "UTF-16 with its mark");
    String::from_utf16(&units).unwrap()
}

/// The bookmark tree as lines, two spaces for each level; checks every link of the chain on the way.
fn tree(file: &Document, parent: ObjectId, depth: usize, out: &mut Vec<String>) {
    let dictionary = file.get_dictionary(parent).unwrap();
    let mut next = dictionary
        .get(b"First")
        .ok()
        .map(|o| o.as_reference().unwrap());
    let mut before = None;
    while let Some(id) = next {
        let entry = file.get_dictionary(id).unwrap();
        assert_eq!(
            entry.get(b"Parent").unwrap().as_reference().unwrap(),
            parent
        );
        assert_eq!(
            entry.get(b"Prev").ok().map(|o| o.as_reference().unwrap()),
            before
        );
        let page = entry.get(b"Dest").unwrap().as_array().unwrap()[0]
            .as_reference()
            .unwrap();
        let number = file
            .get_pages()
            .into_iter()
            .find(|(_, p)| *p == page)
            .unwrap()
            .0;
        let title = text_string(entry.get(b"Title").unwrap());
        out.push(format!("{}{title} @{number}", "  ".repeat(depth)));
        tree(file, id, depth + 1, out);
        before = Some(id);
        next = entry.get(b"Next").ok().map(|o| o.as_reference().unwrap());
    }
    assert_eq!(
        dictionary
            .get(b"Last")
            .ok()
            .map(|o| o.as_reference().unwrap()),
        before
    );
}

#[test]
fn bookmarks_follow_the_headings_in_order_and_nested() {
    let markdown = "# Zeta\n\n## Beta *slanted*\n\n### Omega\n\n### Alpha\n\n## Apex\n\n<!-- page break -->\n\n#### Deep\n\ntext\n\n# Äther → end\n";
    let file = load(&pdf(markdown));
    let root = file
        .catalog()
        .unwrap()
        .get(b"Outlines")
        .unwrap()
        .as_reference()
        .unwrap();
    let mut lines = Vec::new();
    tree(&file, root, 0, &mut lines);
    let expected = [
        "Zeta @1",
        "  Beta slanted @1",
        "    Omega @1",
        "    Alpha @1",
        "  Apex @1",
        "    Deep @2",
        "Äther → end @2",
    ];
    assert_eq!(lines, expected);
    let count = file
        .get_dictionary(root)
        .unwrap()
        .get(b"Count")
        .unwrap()
        .as_i64()
        .unwrap();
    assert_eq!(count, 7, "all entries are open");
}

#[test]
fn a_sheet_without_headings_has_no_bookmarks() {
    let file = load(&pdf("Only text."));
    assert!(!file.catalog().unwrap().has(b"Outlines"));
    assert_eq!(
        file.catalog()
            .unwrap()
            .get(b"PageMode")
            .unwrap()
            .as_name()
            .unwrap(),
        b"UseNone"
    );
}

#[test]
fn the_same_sheet_gives_the_same_bytes_on_every_thread() {
    let first = pdf(SHEET);
    let other = pdf("# Another sheet\n\nin between");
    assert_ne!(first, other);
    assert_eq!(first, pdf(SHEET));
    let threads: Vec<_> = (0..4)
        .map(|n| {
            std::thread::spawn(move || {
                // A different number of files before it on each thread.
                for _ in 0..n {
                    pdf("# Noise");
                }
                pdf(SHEET)
            })
        })
        .collect();
    for thread in threads {
        assert_eq!(first, thread.join().unwrap());
    }
}

#[test]
fn the_identity_of_a_file_follows_its_content() {
    let id = |bytes: &[u8]| {
        let file = load(bytes);
        let ids = file.trailer.get(b"ID").unwrap().as_array().unwrap().clone();
        assert_eq!(ids.len(), 2);
        ids[0].as_str().unwrap().to_vec()
    };
    let one = id(&pdf("one"));
    assert_eq!(one.len(), 16);
    assert_ne!(one, id(&pdf("two")));
    let other = PdfMeta {
        code: "UL-08".into(),
        ..meta()
    };
    assert_ne!(one, id(&to_pdf("one", &other).unwrap()));
}

/// ISO 216: A4 is 210 x 297 mm; US Letter is 8.5 x 11 inches. In points of 1/72 inch.
#[test]
fn the_paper_has_its_size() {
    for (paper, width, height) in [(Paper::A4, 595.28, 841.89), (Paper::Letter, 612.0, 792.0)] {
        let file = load(&to_pdf("x", &PdfMeta { paper, ..meta() }).unwrap());
        let page = file.get_pages()[&1];
        let sheet: Vec<f32> = file
            .get_dictionary(page)
            .and_then(|p| p.get(b"MediaBox"))
            .and_then(Object::as_array)
            .unwrap()
            .iter()
            .map(|v| v.as_float().unwrap())
            .collect();
        assert_eq!(&sheet[..2], [0.0, 0.0]);
        assert!(
            (sheet[2] - width).abs() < 0.01 && (sheet[3] - height).abs() < 0.01,
            "{sheet:?}"
        );
    }
}

#[test]
fn a_sign_only_another_face_has_is_shown_from_there() {
    // The bold letters of mathematics stand in the bold face only.
    let fonts = Fonts::load().unwrap();
    assert_eq!(fonts.face(REGULAR).unwrap().advance('\u{1d5d4}'), None);
    assert_eq!(fonts.draw('\u{1d5d4}', ITALIC).unwrap().face, BOLD);
    let text = page_texts(&pdf("*a \u{1d5d4} b*")).concat();
    assert!(text.contains('\u{1d5d4}'), "{text}");
}

#[test]
fn a_sign_no_face_has_is_named_and_stops_the_print() {
    for (markdown, sign, code) in [
        ("Latin 日 Latin", '日', "U+65E5"),
        ("| a |\n|---|\n| 👍🏽 |\n", '👍', "U+1F44D"),
        ("שלום", 'ש', "U+05E9"),
    ] {
        let problem = to_pdf(markdown, &meta()).expect_err("must not print .notdef");
        assert!(
            problem.message.contains(sign) && problem.message.contains(code),
            "{problem}"
        );
        assert!(!problem.hint.is_empty());
    }
    let odd = PdfMeta {
        code: "日".into(),
        ..meta()
    };
    assert!(to_pdf("x", &odd).is_err(), "the footer is checked too");
}

#[test]
fn signs_without_ink_are_left_out_not_shown_as_boxes() {
    let text = page_texts(&pdf(
        "ab\u{ad}cd\u{200d}ef\u{feff}gh\u{0007}ij\u{200b}kl\u{202e}mn",
    ))
    .concat();
    assert!(text.contains("abcdefghijklmn"), "{text}");
}

#[test]
fn a_caution_that_would_eat_the_page_is_refused() {
    let long = PdfMeta {
        caution: "Teaching material, not guidance. ".repeat(60),
        ..meta()
    };
    let problem = to_pdf("x", &long).expect_err("too long");
    assert!(problem.message.contains("caution"), "{problem}");
}

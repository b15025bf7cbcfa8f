//! The structure tree of the printed file, read back with lopdf and, where it is installed, with poppler's `pdfinfo`.
//!
//! Source of the rules: ISO 32000-1:2008, 14.6 (marked content), 14.7 (logical structure), 14.8 (tagged PDF), cited from memory.

use std::collections::{BTreeMap, BTreeSet};

use lopdf::{Dictionary, Document, Object, ObjectId};
use vivasmith::figure::{self, Kind};
use vivasmith::typeset::to_pdf_with;

use crate::typeset_support::{load, meta, pdf};

const SHEET: &str = "# Weak wrist

A first paragraph that is long enough to need more than one line of the page, so that its words stand in two places.

## 1. Findings

- one
- two

| Sign | Yes |
|---|:-:|
| Triceps | ☐ |

> quoted
";

fn dictionary(file: &Document, id: ObjectId) -> &Dictionary {
    file.get_dictionary(id).expect("a dictionary")
}

fn reference(dictionary: &Dictionary, key: &str) -> ObjectId {
    dictionary
        .get(key.as_bytes())
        .and_then(Object::as_reference)
        .unwrap_or_else(|_| panic!("{key} in {dictionary:?}"))
}

/// All structure elements below one, depth first, as "depth type"; checks the way back up.
fn outline(file: &Document, id: ObjectId, depth: usize, out: &mut Vec<(usize, String, ObjectId)>) {
    let element = dictionary(file, id);
    let name = element.get(b"S").unwrap().as_name().unwrap();
    out.push((depth, String::from_utf8(name.to_vec()).unwrap(), id));
    for kid in element
        .get(b"K")
        .and_then(Object::as_array)
        .into_iter()
        .flatten()
    {
        if let Ok(below) = kid.as_reference() {
            assert_eq!(reference(dictionary(file, below), "P"), id, "the way up");
            outline(file, below, depth + 1, out);
        }
    }
}

fn tree(file: &Document) -> Vec<(usize, String, ObjectId)> {
    let root = dictionary(file, reference(file.catalog().unwrap(), "StructTreeRoot"));
    let mut out = Vec::new();
    outline(file, reference(root, "K"), 0, &mut out);
    out
}

#[test]
fn headings_lists_tables_and_quotes_are_told_apart() {
    let file = load(&pdf(SHEET));
    let lines: Vec<String> = tree(&file)
        .iter()
        .map(|(depth, name, _)| format!("{}{name}", "  ".repeat(*depth)))
        .collect();
    let expected = "Document
  H1
  P
  H2
  L
    LI
      Lbl
      LBody
    LI
      Lbl
      LBody
  Table
    TR
      TH
      TH
    TR
      TH
      TD
  BlockQuote
    P";
    assert_eq!(lines.join("\n"), expected);
    let marked = file.catalog().unwrap().get(b"MarkInfo").unwrap();
    assert!(
        marked
            .as_dict()
            .unwrap()
            .get(b"Marked")
            .unwrap()
            .as_bool()
            .unwrap()
    );
}

#[test]
fn a_head_says_whether_it_heads_its_column_or_its_row() {
    let file = load(&pdf(SHEET));
    let mut scopes = Vec::new();
    for (_, name, id) in tree(&file) {
        let attributes = dictionary(&file, id).get(b"A");
        assert_eq!(attributes.is_ok(), name == "TH");
        if let Ok(attributes) = attributes {
            let scope = attributes.as_dict().unwrap().get(b"Scope").unwrap();
            scopes.push(scope.as_name().unwrap().to_vec());
        }
    }
    assert_eq!(scopes, [&b"Column"[..], b"Column", b"Row"]);
}

/// Every mark on a page is within exactly one marked sequence: a numbered one or an artifact; numbers start from 0 and each
/// is found again in the tree, under the element that the page's row of the parent tree names.
#[test]
fn every_mark_belongs_to_the_text_or_is_an_artifact() {
    let long = format!("{SHEET}\n\n{}", "- word after word after word\n".repeat(90));
    let file = load(&pdf(&long));
    let root = dictionary(&file, reference(file.catalog().unwrap(), "StructTreeRoot"));
    let numbers = dictionary(&file, reference(root, "ParentTree"))
        .get(b"Nums")
        .unwrap()
        .as_array()
        .unwrap()
        .clone();
    let mut claimed: BTreeMap<(ObjectId, i64), ObjectId> = BTreeMap::new();
    for (_, _, id) in tree(&file) {
        let element = dictionary(&file, id);
        for kid in element
            .get(b"K")
            .and_then(Object::as_array)
            .into_iter()
            .flatten()
        {
            let (page, number) = match kid {
                Object::Integer(n) => (reference(element, "Pg"), *n),
                Object::Dictionary(elsewhere) => (
                    reference(elsewhere, "Pg"),
                    elsewhere.get(b"MCID").unwrap().as_i64().unwrap(),
                ),
                _ => continue,
            };
            assert!(
                claimed.insert((page, number), id).is_none(),
                "claimed twice"
            );
        }
    }
    let pages = file.get_pages();
    assert!(pages.len() > 1);
    let mut seen = 0;
    for page in pages.values() {
        let row = dictionary(&file, *page)
            .get(b"StructParents")
            .unwrap()
            .as_i64()
            .unwrap();
        let parents = numbers[2 * row as usize + 1].as_reference().unwrap();
        let parents = file.get_object(parents).unwrap().as_array().unwrap();
        let content = file.get_and_decode_page_content(*page).unwrap();
        let mut open = false;
        let mut here = BTreeSet::new();
        for operation in &content.operations {
            match operation.operator.as_str() {
                "BMC" | "BDC" => {
                    assert!(!open, "sequences do not nest");
                    open = true;
                    if let Some(Object::Dictionary(properties)) = operation.operands.get(1) {
                        let number = properties.get(b"MCID").unwrap().as_i64().unwrap();
                        assert_eq!(number, here.len() as i64);
                        here.insert(number);
                        let owner = claimed[&(*page, number)];
                        assert_eq!(parents[number as usize].as_reference().unwrap(), owner);
                        let tag = dictionary(&file, owner).get(b"S").unwrap();
                        assert_eq!(&operation.operands[0], tag);
                    } else {
                        assert_eq!(operation.operands[0].as_name().unwrap(), b"Artifact");
                    }
                }
                "EMC" => {
                    assert!(open);
                    open = false;
                }
                "Tj" | "TJ" | "S" | "f" | "B" | "b" | "s" | "f*" | "B*" => {
                    assert!(open, "{operation:?} belongs to nothing");
                }
                _ => {}
            }
        }
        assert!(!open);
        seen += here.len();
    }
    assert_eq!(seen, claimed.len(), "the tree claims what is on no page");
}

/// ISO 32000-1, 14.8.2.2.2: a table head that is repeated on the next page is an artifact there.
#[test]
fn a_head_that_comes_back_overleaf_is_read_once() {
    let rows = "| | b |\n".repeat(120);
    let file = load(&pdf(&format!("| First | Second |\n|---|---|\n{rows}")));
    assert!(file.get_pages().len() > 2);
    let heads: Vec<_> = tree(&file)
        .into_iter()
        .filter(|(_, name, _)| name == "TH")
        .collect();
    assert_eq!(heads.len(), 2);
    for (_, _, id) in heads {
        let kids = dictionary(&file, id)
            .get(b"K")
            .unwrap()
            .as_array()
            .unwrap()
            .len();
        assert_eq!(kids, 1, "one place on paper");
    }
}

#[test]
fn a_picture_carries_its_words_and_its_place() {
    let model =
        vivasmith::anatomy::load(&vivasmith::files::Content::embedded(), "upper_limb").unwrap();
    let drawn = figure::plexus(&model, None, Kind::Plain, crate::draw_figures::style()).unwrap();
    let markdown = format!("# Picture\n\n![{}](plexus.svg)\n", drawn.alt);
    let bytes = to_pdf_with(&markdown, &meta(), &[("plexus.svg", &drawn)]).unwrap();
    let file = load(&bytes);
    let tree = tree(&file);
    let (_, _, id) = tree
        .iter()
        .find(|(_, name, _)| name == "Figure")
        .expect("a picture");
    let element = dictionary(&file, *id);
    let bytes = element.get(b"Alt").unwrap().as_str().unwrap();
    let units: Vec<u16> = bytes[2..]
        .chunks(2)
        .map(|p| u16::from_be_bytes([p[0], p[1]]))
        .collect();
    assert_eq!(String::from_utf16(&units).unwrap(), drawn.alt);
    let place = element
        .get(b"A")
        .unwrap()
        .as_dict()
        .unwrap()
        .get(b"BBox")
        .unwrap();
    let corners: Vec<f32> = place
        .as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_float().unwrap())
        .collect();
    // A4 with margins of 20 mm: inside the paper, wider than high is not sure, but neither side is nothing.
    assert!(
        corners[0] >= 50.0 && corners[2] <= 595.0 - 50.0,
        "{corners:?}"
    );
    assert!(
        corners[2] - corners[0] > 200.0 && corners[3] - corners[1] > 100.0,
        "{corners:?}"
    );
}

/// Words at the end of one line and the start of the next stay two words for who listens.
#[test]
fn the_space_at_a_line_end_stays_in_the_file() {
    let layout = crate::typeset_support::layout(SHEET);
    let words: Vec<_> = crate::typeset_support::words(&layout.pages[0].body).collect();
    let first = words
        .iter()
        .position(|w| w.text.starts_with("A first"))
        .unwrap();
    assert!(words[first].text.ends_with(' '), "{:?}", words[first]);
    assert!(
        !words[first + 1].text.ends_with(' '),
        "{:?}",
        words[first + 1]
    );
}

/// poppler (`pdfinfo`, an independent reader) lists the same tree with the same words. Skipped where it is not installed,
/// except in `.ci/run`, which asks for it.
#[test]
fn an_independent_reader_sees_the_same_tree() {
    let folder = std::env::temp_dir().join(format!("vivasmith-tags-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join("sheet.pdf");
    std::fs::write(&path, pdf(SHEET)).unwrap();
    let ran = std::process::Command::new("pdfinfo")
        .arg("-struct-text")
        .arg(&path)
        .output();
    let _ = std::fs::remove_dir_all(&folder);
    let Ok(ran) = ran else {
        assert!(
            std::env::var_os("VIVASMITH_NEEDS_POPPLER").is_none(),
            "pdfinfo is missing"
        );
        return;
    };
    let text = String::from_utf8_lossy(&ran.stdout).into_owned();
    let mut from = 0;
    for line in [
        "H1 (block)",
        "\"Weak wrist\"",
        "P (block)",
        "more than one line of the page, so that its words",
        "H2 (block)",
        "1.",
        "Findings",
        "LI (block)",
        "\"one\"",
        "Table (block)",
        "TH",
        "\"Sign\"",
        "TH",
        "\"Triceps\"",
        "☐",
        "BlockQuote",
        "\"quoted\"",
    ] {
        let at = text[from..]
            .find(line)
            .unwrap_or_else(|| panic!("{line:?} is not next in\n{text}"));
        from += at + line.len();
    }
}

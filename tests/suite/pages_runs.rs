//! Turns the content streams of a PDF into runs of text with their places, by the rules of ISO 32000-1 (8.3, 9.3, 9.4) alone.

use lopdf::content::Content;
use lopdf::{Dictionary, Document, Encoding, Object};
use std::collections::BTreeMap;

use crate::pages_check::TextBox;

/// One shown string.
#[derive(Debug, Clone)]
pub struct Run {
    pub x: f32,
    /// Baseline, down from the upper edge of the paper.
    pub y: f32,
    pub width: f32,
    pub size: f32,
    pub text: String,
}

impl Run {
    pub fn as_box(&self) -> TextBox {
        TextBox {
            left: self.x,
            top: self.y - 0.76 * self.size,
            right: self.x + self.width,
            bottom: self.y + 0.24 * self.size,
            text: self.text.clone(),
        }
    }
}

/// The six numbers of a matrix, in the order in which PDF writes them.
type Matrix = [f32; 6];
const SAME: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];

/// First by `a`, then by `b`.
fn times(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

/// A font of two-byte codes: how wide each glyph is, in thousandths of the size, and what it says.
struct Face<'a> {
    widths: BTreeMap<u16, f32>,
    default: f32,
    encoding: Encoding<'a>,
}

impl<'a> Face<'a> {
    fn read(file: &'a Document, font: &'a Dictionary) -> Face<'a> {
        assert_eq!(
            font.get(b"Encoding").and_then(Object::as_name).ok(),
            Some(&b"Identity-H"[..]),
            "a font that this reader does not know"
        );
        let (_, below) = file
            .dereference(font.get(b"DescendantFonts").expect("a descendant"))
            .expect("it is there");
        let (_, below) = file
            .dereference(&below.as_array().expect("a list")[0])
            .expect("it is there");
        let below = below.as_dict().expect("a font");
        let mut widths = BTreeMap::new();
        let (_, list) = file
            .dereference(below.get(b"W").expect("widths"))
            .expect("they are there");
        let list = list.as_array().expect("a list");
        let mut at = 0;
        // 9.7.4.3: `first [w w ...]` or `first last w`.
        while at + 1 < list.len() {
            let first = list[at].as_i64().expect("a code") as u16;
            match &list[at + 1] {
                Object::Array(each) => {
                    widths.extend(each.iter().zip(first..).map(|(w, code)| (code, number(w))));
                    at += 2;
                }
                last => {
                    let last = last.as_i64().expect("a code") as u16;
                    widths.extend((first..=last).map(|code| (code, number(&list[at + 2]))));
                    at += 3;
                }
            }
        }
        Face {
            widths,
            default: below.get(b"DW").map_or(1000.0, number),
            encoding: font.get_font_encoding(file).expect("a map to Unicode"),
        }
    }
}

fn number(object: &Object) -> f32 {
    object
        .as_float()
        .unwrap_or_else(|_| panic!("{object:?} is no number"))
}

/// What a text operator finds set.
#[derive(Clone)]
struct State {
    page: Matrix,
    font: Vec<u8>,
    size: f32,
    letter: f32,
    stretch: f32,
    leading: f32,
    rise: f32,
}

/// The runs of each page, in the order of the file.
pub fn runs(file: &Document) -> Vec<Vec<Run>> {
    file.get_pages()
        .into_values()
        .map(|page| page_runs(file, page))
        .collect()
}

fn page_runs(file: &Document, page: lopdf::ObjectId) -> Vec<Run> {
    let fonts = file.get_page_fonts(page).expect("fonts");
    let faces: BTreeMap<Vec<u8>, Face<'_>> = fonts
        .into_iter()
        .map(|(name, font)| (name, Face::read(file, font)))
        .collect();
    let height = number(
        &file
            .get_dictionary(page)
            .and_then(|p| p.get(b"MediaBox"))
            .and_then(Object::as_array)
            .expect("a box")[3],
    );
    let content = Content::decode(&file.get_page_content(page)).expect("operators");
    let mut state = State {
        page: SAME,
        font: Vec::new(),
        size: 0.0,
        letter: 0.0,
        stretch: 1.0,
        leading: 0.0,
        rise: 0.0,
    };
    let (mut kept, mut line, mut text, mut out) = (Vec::new(), SAME, SAME, Vec::new());
    for operation in &content.operations {
        let n = |i: usize| number(&operation.operands[i]);
        let matrix = || [n(0), n(1), n(2), n(3), n(4), n(5)];
        match operation.operator.as_str() {
            "q" => kept.push(state.clone()),
            "Q" => state = kept.pop().expect("a state that was kept"),
            "cm" => state.page = times(matrix(), state.page),
            "BT" => (line, text) = (SAME, SAME),
            "Tf" => {
                state.font = operation.operands[0].as_name().expect("a name").to_vec();
                state.size = n(1);
            }
            "Tc" => state.letter = n(0),
            "Tz" => state.stretch = n(0) / 100.0,
            "TL" => state.leading = n(0),
            "Ts" => state.rise = n(0),
            "Tm" => (line, text) = (matrix(), matrix()),
            "Td" | "TD" => {
                if operation.operator == "TD" {
                    state.leading = -n(1);
                }
                line = times([1.0, 0.0, 0.0, 1.0, n(0), n(1)], line);
                text = line;
            }
            "T*" => {
                line = times([1.0, 0.0, 0.0, 1.0, 0.0, -state.leading], line);
                text = line;
            }
            "Tj" => out.extend(show(
                &state,
                &faces,
                &mut text,
                &operation.operands[..1],
                height,
            )),
            "TJ" => out.extend(show(
                &state,
                &faces,
                &mut text,
                operation.operands[0].as_array().expect("a list"),
                height,
            )),
            "'" | "\"" | "Do" | "BI" => panic!(
                "{} may hold text that this reader does not follow",
                operation.operator
            ),
            _ => {}
        }
    }
    out
}

/// 9.4.4: shows the strings of one operator and moves the text matrix on. (Word spacing does not touch two-byte codes.)
fn show(
    state: &State,
    faces: &BTreeMap<Vec<u8>, Face<'_>>,
    text: &mut Matrix,
    shown: &[Object],
    height: f32,
) -> Option<Run> {
    let face = faces.get(&state.font).expect("a font of the page");
    let (mut advance, mut said) = (0.0, String::new());
    for piece in shown {
        match piece {
            Object::String(bytes, _) => {
                said.push_str(&Document::decode_text(&face.encoding, bytes).expect("text"));
                for code in bytes.chunks_exact(2) {
                    let code = u16::from_be_bytes([code[0], code[1]]);
                    let width = face.widths.get(&code).copied().unwrap_or(face.default);
                    advance += (width / 1000.0 * state.size + state.letter) * state.stretch;
                }
            }
            back => advance -= number(back) / 1000.0 * state.size * state.stretch,
        }
    }
    let place = times(
        [1.0, 0.0, 0.0, 1.0, 0.0, state.rise],
        times(*text, state.page),
    );
    let upright = place[1] == 0.0 && place[2] == 0.0 && place[0] > 0.0 && place[3] > 0.0;
    assert!(upright, "{said:?} is turned");
    *text = times([1.0, 0.0, 0.0, 1.0, advance, 0.0], *text);
    (!said.is_empty()).then(|| Run {
        x: place[4],
        y: height - place[5],
        width: advance * place[0],
        size: state.size * place[3],
        text: said,
    })
}

//! Which fonts stand in the file? Those that the layout uses, cut down to its characters, with a name that tells them apart.

use std::collections::BTreeSet;

use printpdf::{FontId, ParsedFont, PdfDocument, PdfFont};

use super::fonts::{COUNT, Fonts};
use super::item::{Item, Layout};
use crate::diagnostic::Problem;

pub fn broken(error: &dyn std::fmt::Display) -> Problem {
    Problem::new(format!("the PDF could not be put together: {error}"))
}

/// 64-bit FNV-1a (Fowler, Noll, Vo): names, not secrets.
pub fn hash(seed: u64, parts: &[&str]) -> u64 {
    let mut state = 0xcbf2_9ce4_8422_2325 ^ seed;
    for part in parts {
        for byte in part.bytes().chain([0xff]) {
            state = (state ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }
    state
}

/// The six capitals that mark a font as cut down (ISO 32000-1, 9.6.4); different for different sets of characters.
fn subset_tag(name: &str, characters: &BTreeSet<char>) -> String {
    let all: String = characters.iter().collect();
    let mut rest = hash(3, &[name, &all]);
    (0..6)
        .map(|_| {
            let letter = b'A' + (rest % 26) as u8;
            rest /= 26;
            char::from(letter)
        })
        .collect()
}

pub fn font_id(face: usize, spaced: bool) -> FontId {
    // printpdf takes F1 to F14 for the fonts built into viewers; these names keep clear of them.
    let kind = if spaced { "Wide" } else { "Face" };
    FontId(format!("{kind}{face}"))
}

pub fn embed(document: &mut PdfDocument, layout: &Layout) -> Result<(), Problem> {
    let fonts = Fonts::load()?;
    let mut used: [BTreeSet<char>; 2 * COUNT] = Default::default();
    for page in &layout.pages {
        for item in page.body.iter().chain(&page.edge) {
            if let Item::Words(words) = item
                && let Some(set) = used.get_mut(words.face + COUNT * usize::from(words.spaced))
            {
                set.extend(words.text.chars());
            }
        }
    }
    for (slot, characters) in used.iter().enumerate() {
        let (index, spaced) = (slot % COUNT, slot >= COUNT);
        let Some(face) = fonts.face(index).filter(|_| !characters.is_empty()) else {
            continue;
        };
        let (bytes, glyphs) = face.subset(characters, spaced)?;
        let mut font = ParsedFont::from_bytes(&bytes, 0, &mut Vec::new())
            .ok_or_else(|| broken(&format!("the font {} cannot be cut down", face.name)))?;
        let name = if spaced {
            format!("{}-Wider", face.name)
        } else {
            face.name.to_string()
        };
        font.font_name = Some(format!("{}+{name}", subset_tag(&name, characters)));
        // Two characters may share a glyph, of which the cut file would keep only one; this list has them all.
        font.codepoint_to_glyph = glyphs;
        document
            .resources
            .fonts
            .map
            .insert(font_id(index, spaced), PdfFont::new(font));
    }
    Ok(())
}

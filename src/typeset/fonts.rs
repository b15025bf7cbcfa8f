//! Which glyph draws a character, and how wide is it? The embedded DejaVu faces, and subsets of them for the file.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{LazyLock, OnceLock};

use allsorts::binary::read::ReadScope;
use allsorts::tables::{FontTableProvider, HeadTable, HheaTable, HmtxTable, MaxpTable};
use allsorts::tag;

use super::{cut, letter_spacing};
use crate::diagnostic::Problem;

pub const REGULAR: usize = 0;
pub const BOLD: usize = 1;
pub const ITALIC: usize = 2;
pub const BOLD_ITALIC: usize = 3;
pub const COUNT: usize = 4;

/// Glyphs of characters below this are looked up by index; it takes in Latin, Greek, arrows, signs and tick boxes.
const DIRECT: usize = 0x2800;

/// One face: its usual characters, cut out by the build, and the whole of it for what else a name may need.
pub struct Face {
    /// PostScript name without the subset tag.
    pub name: &'static str,
    usual: Letters,
    rest: LazyLock<Option<Letters>, Box<dyn FnOnce() -> Option<Letters> + Send>>,
}

/// The glyphs of one font file.
struct Letters {
    font: &'static [u8],
    direct: Vec<u16>,
    others: BTreeMap<u32, u16>,
    /// Advance by glyph in thousandths of the type size, cut off as the file's width table cuts it, so that the layout
    /// measures exactly what a viewer will set.
    advance: Vec<u16>,
}

impl Letters {
    fn read(font: &'static [u8]) -> Option<Letters> {
        let tables = cut::tables(font)?;
        let table = |which| tables.read_table_data(which).ok();
        let head = ReadScope::new(&table(tag::HEAD)?)
            .read::<HeadTable>()
            .ok()?;
        let maxp = ReadScope::new(&table(tag::MAXP)?)
            .read::<MaxpTable>()
            .ok()?;
        let hhea = ReadScope::new(&table(tag::HHEA)?)
            .read::<HheaTable>()
            .ok()?;
        let hmtx_data = table(tag::HMTX)?;
        let hmtx = ReadScope::new(&hmtx_data)
            .read_dep::<HmtxTable<'_>>((
                usize::from(maxp.num_glyphs),
                usize::from(hhea.num_h_metrics),
            ))
            .ok()?;
        let em = f32::from(head.units_per_em.max(1));
        let advance = (0..maxp.num_glyphs)
            .map(|g| (f32::from(hmtx.horizontal_advance(g).unwrap_or(0)) * 1000.0 / em) as u16)
            .collect();

        let mut direct = vec![0; DIRECT];
        let mut others = BTreeMap::new();
        cut::characters(&tables, |character, glyph| {
            match direct.get_mut(character as usize) {
                Some(slot) => *slot = glyph,
                None => {
                    others.insert(character, glyph);
                }
            };
        })?;
        Some(Letters {
            font,
            direct,
            others,
            advance,
        })
    }

    /// The glyph that draws a character; `None` when the file has none.
    fn glyph(&self, c: char) -> Option<u16> {
        let code = u32::from(c);
        let glyph = match self.direct.get(code as usize) {
            Some(glyph) => *glyph,
            None => self.others.get(&code).copied().unwrap_or(0),
        };
        (glyph != 0).then_some(glyph)
    }

    fn advance(&self, c: char) -> Option<u16> {
        self.advance.get(usize::from(self.glyph(c)?)).copied()
    }
}

impl Face {
    fn read(
        name: &'static str,
        usual: &'static [u8],
        whole: fn() -> &'static [u8],
    ) -> Option<Face> {
        Some(Face {
            name,
            usual: Letters::read(usual)?,
            rest: LazyLock::new(Box::new(move || Letters::read(whole()))),
        })
    }

    /// Thousandths of the type size; `None` when the face cannot draw the character.
    pub fn advance(&self, c: char) -> Option<u16> {
        self.usual
            .advance(c)
            .or_else(|| self.rest.as_ref()?.advance(c))
    }

    /// The file to cut: the usual characters, if they will do.
    fn letters(&self, characters: &BTreeSet<char>) -> &Letters {
        let usual = characters.iter().all(|c| self.usual.glyph(*c).is_some());
        let rest = || self.rest.as_ref();
        (!usual).then(rest).flatten().unwrap_or(&self.usual)
    }

    /// A font file with only these characters, and the glyph of each in that file; `spaced`: with the wider letters and
    /// spaces of spaced print in its table of widths, so that every viewer and every reader that copies the text out sees
    /// words, not letters set apart.
    ///
    /// # Errors
    /// When the face cannot be cut down (the embedded font is damaged).
    pub fn subset(
        &self,
        characters: &BTreeSet<char>,
        spaced: bool,
    ) -> Result<(Vec<u8>, BTreeMap<u32, u16>), Problem> {
        let letters = self.letters(characters);
        let glyphs: BTreeSet<u16> = characters
            .iter()
            .filter_map(|c| letters.glyph(*c))
            .collect();
        // Glyph 0 must come first and no glyph twice; the new number of a glyph is its place in this list.
        let list: Vec<u16> = std::iter::once(0).chain(glyphs).collect();
        let place = |c: char| list.binary_search(&letters.glyph(c)?).ok();
        let mut cut = cut::cut(letters.font, &list, false).ok_or_else(|| damaged(self.name))?;
        if spaced {
            let spaces = [' ', '\u{a0}'].map(place);
            letter_spacing::widen(&mut cut, &spaces).ok_or_else(|| damaged(self.name))?;
        }
        let places = characters
            .iter()
            .filter_map(|c| Some((u32::from(*c), place(*c)? as u16)))
            .collect();
        Ok((cut, places))
    }
}

/// All faces a sheet may use.
pub struct Fonts {
    faces: [Face; COUNT],
}

/// A character with the face that can draw it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Drawn {
    pub face: usize,
    /// Thousandths of the type size.
    pub advance: u16,
}

impl Fonts {
    /// The faces, read on first use and kept for the life of the process.
    ///
    /// # Errors
    /// When an embedded font cannot be read (a damaged build).
    pub fn load() -> Result<&'static Fonts, Problem> {
        static FONTS: OnceLock<Option<Fonts>> = OnceLock::new();
        FONTS
            .get_or_init(|| {
                use dejavu::sans_condensed as condensed;
                macro_rules! face {
                    ($name:literal, $whole:path) => {
                        Face::read(
                            $name,
                            include_bytes!(concat!(env!("OUT_DIR"), "/faces/", $name, ".ttf")),
                            $whole,
                        )?
                    };
                }
                Some(Fonts {
                    faces: [
                        face!("DejaVuSansCondensed", condensed::regular),
                        face!("DejaVuSansCondensed-Bold", condensed::bold),
                        face!("DejaVuSansCondensed-Oblique", condensed::oblique),
                        face!("DejaVuSansCondensed-BoldOblique", condensed::bold_oblique),
                    ],
                })
            })
            .as_ref()
            .ok_or_else(|| damaged("DejaVu"))
    }

    pub fn face(&self, index: usize) -> Option<&Face> {
        self.faces.get(index)
    }

    /// Finds a face for a character: the one asked for, else the first of the others that has it. (The wide, serif and
    /// monospaced faces of the family are not linked: they add nothing but signs of mathematics and of APL.)
    pub fn draw(&self, c: char, wanted: usize) -> Option<Drawn> {
        [wanted, REGULAR, BOLD, ITALIC, BOLD_ITALIC]
            .into_iter()
            .find_map(|index| {
                Some(Drawn {
                    face: index,
                    advance: self.faces.get(index)?.advance(c)?,
                })
            })
    }
}

/// Width of a text in the regular or the bold face, in thousandths of the type size; a character without a glyph counts 600.
pub fn width(text: &str, bold: bool) -> f64 {
    let fonts = Fonts::load();
    let face = if bold { BOLD } else { REGULAR };
    let advance = |c| fonts.as_ref().ok().and_then(|fonts| fonts.draw(c, face));
    text.chars()
        .map(|c| advance(c).map_or(600.0, |drawn| f64::from(drawn.advance)))
        .sum()
}

fn damaged(name: &str) -> Problem {
    Problem::new(format!("the embedded font {name} cannot be read"))
        .hint("the program file is damaged; install it again")
}

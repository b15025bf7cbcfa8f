//! How is a font cut down to some of its glyphs? The build does so once for the usual characters, a file for its own.

use allsorts::binary::read::ReadScope;
use allsorts::font::read_cmap_subtable;
use allsorts::font_data::FontData;
use allsorts::subset::{CmapTarget, SubsetProfile, subset};
use allsorts::tables::FontTableProvider;
use allsorts::tables::cmap::Cmap;
use allsorts::tag;

/// What a viewer needs of a TrueType font in a PDF (ISO 32000-1, 9.9), and the weight for the font's description. The
/// programs `cvt`, `fpgm` and `prep` stay, since glyphs call them; the names go: 15 kB of licence text in each face.
const TABLES: [u32; 9] = [
    tag::CMAP,
    tag::HEAD,
    tag::HHEA,
    tag::HMTX,
    tag::MAXP,
    tag::OS_2,
    tag::CVT,
    tag::FPGM,
    tag::PREP,
];

/// The tables of a font file.
pub fn tables(font: &[u8]) -> Option<impl FontTableProvider + '_> {
    let file = ReadScope::new(font).read::<FontData<'_>>().ok()?;
    file.table_provider(0).ok()
}

/// Calls `with` for each character that the font can draw, with the number of its glyph.
pub fn characters(font: &impl FontTableProvider, with: impl FnMut(u32, u16)) -> Option<()> {
    let table = font.read_table_data(tag::CMAP).ok()?;
    let cmap = ReadScope::new(&table).read::<Cmap<'_>>().ok()?;
    let (_, map) = read_cmap_subtable(&cmap).ok()??;
    map.mappings_fn(with).ok()
}

/// A font file with only these glyphs, 0 first and none twice; the new number of a glyph is its place in the list. `again`: it
/// may be cut once more, for which its table of names must be there, if empty.
pub fn cut(font: &[u8], glyphs: &[u16], again: bool) -> Option<Vec<u8>> {
    let mut kept = TABLES.to_vec();
    kept.extend(again.then_some(tag::POST));
    let profile = SubsetProfile::Custom(kept);
    subset(&tables(font)?, glyphs, &profile, CmapTarget::Unicode).ok()
}

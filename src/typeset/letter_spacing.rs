//! How do letters stand further apart in every viewer? A TrueType file gets wider letters: [`WIDER_LETTER`] added to every advance,
//! [`WIDER_WORD`] to the spaces.

use super::style::{WIDER_LETTER, WIDER_WORD};

/// A table's place in the file: the offset of its record in the directory, its own offset, its length (OpenType 1.9, "Table
/// directory": 12 bytes of header, then 16 bytes each of tag, checksum, offset, length).
fn table(font: &[u8], tag: [u8; 4]) -> Option<(usize, usize, usize)> {
    let count = usize::from(u16_at(font, 4)?);
    (0..count).map(|n| 12 + 16 * n).find_map(|record| {
        let name = font.get(record..record + 4)?;
        (name == tag).then_some((
            record,
            u32_at(font, record + 8)?,
            u32_at(font, record + 12)?,
        ))
    })
}

fn u16_at(font: &[u8], at: usize) -> Option<u16> {
    let pair = font.get(at..at.checked_add(2)?)?;
    pair.try_into().ok().map(u16::from_be_bytes)
}

fn u32_at(font: &[u8], at: usize) -> Option<usize> {
    let four = font.get(at..at.checked_add(4)?)?;
    four.try_into().ok().map(|b| u32::from_be_bytes(b) as usize)
}

/// Widens every glyph; `spaces` are the glyphs of the space and the no-break space. `None` when a table is missing.
///
/// The width table of the PDF cuts thousandths off; the new advances are the least that come out as the old thousandths plus
/// the addition, so that the layout and the viewer agree.
pub fn widen(font: &mut [u8], spaces: &[Option<usize>]) -> Option<()> {
    let em = u64::from(u16_at(font, table(font, *b"head")?.1 + 18)?.max(1));
    let count = usize::from(u16_at(font, table(font, *b"hhea")?.1 + 34)?);
    let (record, start, length) = table(font, *b"hmtx")?;
    for glyph in 0..count {
        let at = start + 4 * glyph;
        let own = u64::from(u16_at(font, at)?) * 1000 / em;
        let word = if spaces.contains(&Some(glyph)) {
            WIDER_WORD
        } else {
            0
        };
        let wider = ((own + u64::from(WIDER_LETTER + word)) * em).div_ceil(1000);
        let wider = u16::try_from(wider).unwrap_or(u16::MAX);
        font.get_mut(at..at + 2)?
            .copy_from_slice(&wider.to_be_bytes());
    }
    // The sum of the table's 32-bit words, as its record states it.
    let words = font.get(
        start
            ..start
                .checked_add(length.next_multiple_of(4))?
                .min(font.len()),
    )?;
    let sum = words.chunks(4).fold(0u32, |sum, chunk| {
        let mut four = [0; 4];
        for (to, from) in four.iter_mut().zip(chunk) {
            *to = *from;
        }
        sum.wrapping_add(u32::from_be_bytes(four))
    });
    font.get_mut(record + 4..record + 8)?
        .copy_from_slice(&sum.to_be_bytes());
    Some(())
}

//! How wide is each column of a table? As its texts need, or as its comment asks for.

use super::blocks::Align;
use super::inline::Text;
use super::style::LEAST_COLUMN;

/// Widths in the proportions asked for; only a column too narrow for its longest word takes from the others, so that
/// tables with the same comment line up.
pub fn from_hint(
    hint: &[f32],
    head: &[Text],
    rows: &[Vec<Text>],
    width: f32,
    pad: f32,
) -> Vec<f32> {
    let (least, _) = extents(head, rows, pad);
    if least.iter().sum::<f32>() <= width {
        share(hint, &least, width)
    } else {
        share(hint, &vec![LEAST_COLUMN; hint.len()], width)
    }
}

/// For each column the width of its longest word and of its longest line, with the space beside it.
fn extents(head: &[Text], rows: &[Vec<Text>], pad: f32) -> (Vec<f32>, Vec<f32>) {
    let mut least = vec![LEAST_COLUMN; head.len()];
    let mut natural = least.clone();
    for row in rows.iter().map(Vec::as_slice).chain(std::iter::once(head)) {
        for ((cell, least), natural) in row.iter().zip(&mut least).zip(&mut natural) {
            // Half a point more, lest rounding break a word that just fits.
            *least = least.max(cell.word_width() + 2.0 * pad + 0.5);
            *natural = natural.max(cell.natural_width() + 2.0 * pad + 0.5);
        }
    }
    (least, natural)
}

/// The width below which a table breaks words.
pub fn word_widths(head: &[Text], rows: &[Vec<Text>], pad: f32) -> f32 {
    extents(head, rows, pad).0.iter().sum()
}

/// Every column gets its longest word; the rest of the width goes where the text is long.
pub fn from_content(
    head: &[Text],
    rows: &[Vec<Text>],
    align: &[Align],
    width: f32,
    pad: f32,
) -> Vec<f32> {
    let (least, natural) = extents(head, rows, pad);
    let sum: f32 = natural.iter().sum();
    if sum <= width {
        // All fits on one line each. What is left goes to the columns of words: numbers and ticks stay near their neighbours.
        let grows = |align: &Align| matches!(align, Align::Auto | Align::Left);
        let words: f32 = natural
            .iter()
            .zip(align)
            .filter(|(_, align)| grows(align))
            .map(|(natural, _)| natural)
            .sum();
        let spare = width - sum;
        return natural
            .iter()
            .zip(align)
            .map(|(natural, align)| match (words > 0.0, grows(align)) {
                (true, true) => natural + spare * natural / words,
                (true, false) => *natural,
                (false, _) => natural + spare * natural / sum,
            })
            .collect();
    }
    let least_sum: f32 = least.iter().sum();
    if least_sum >= width {
        // Even the words do not fit; they will break. Narrow columns keep their words, wide ones share what is left.
        return share(&least, &vec![LEAST_COLUMN; least.len()], width);
    }
    // A column of short entries is not squeezed for one of sentences: long texts count with a cap.
    let wish: Vec<f32> = natural.iter().map(|n| n.min(width * 0.6)).collect();
    share(&wish, &least, width)
}

/// Shares `width` out in the proportions of `wish`; who would fall below its floor gets the floor, and the others share
/// the rest. The floors together must fit.
fn share(wish: &[f32], floor: &[f32], width: f32) -> Vec<f32> {
    let mut fixed = vec![false; wish.len()];
    loop {
        let open: f32 = wish
            .iter()
            .zip(&fixed)
            .filter(|(_, f)| !**f)
            .map(|(w, _)| w)
            .sum();
        let taken: f32 = floor
            .iter()
            .zip(&fixed)
            .filter(|(_, f)| **f)
            .map(|(w, _)| w)
            .sum();
        let factor = if open > 0.0 {
            (width - taken) / open
        } else {
            0.0
        };
        let mut changed = false;
        for ((wish, floor), fixed) in wish.iter().zip(floor).zip(&mut fixed) {
            if !*fixed && wish * factor < *floor {
                *fixed = true;
                changed = true;
            }
        }
        if !changed {
            return wish
                .iter()
                .zip(floor)
                .zip(&fixed)
                .map(|((wish, floor), fixed)| if *fixed { *floor } else { wish * factor })
                .collect();
        }
    }
}

//! How alike are the words of two texts? The cosine of their binary word vectors, 0 to 1.

use std::collections::BTreeSet;

/// The words of a text, each once, in small letters; runs of letters and digits.
pub fn words(text: &str) -> BTreeSet<String> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// Words in common, divided by the root of the product of both counts (Gierl, Lai and Tanygin 2021, Advanced Methods in Automatic
/// Item Generation, cosine similarity index). 0 when a text has no words.
pub fn cosine<T: Ord>(a: &BTreeSet<T>, b: &BTreeSet<T>) -> f64 {
    if a.is_empty() || b.is_empty() {
        return 0.0;
    }
    let common = a.intersection(b).count();
    common as f64 / ((a.len() * b.len()) as f64).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_word_lists_give_one_third() {
        // csi_01: word lists and formula from Gierl, Lai and Tanygin 2021; the printed value was cut off, the arithmetic gives 1/3.
        let similarity = cosine(&words("run jog crawl"), &words("move, jog; motion"));
        assert!((similarity - 0.333_333).abs() < 1e-6, "{similarity}");
    }

    #[test]
    fn a_text_is_wholly_like_itself_and_not_at_all_like_nothing() {
        let a = words("Weak wrist, weak fingers");
        assert!((cosine(&a, &a) - 1.0).abs() < 1e-12);
        assert!(cosine(&a, &words("")).abs() < 1e-12);
        assert!(cosine(&a, &words("strong toes")).abs() < 1e-12);
    }
}

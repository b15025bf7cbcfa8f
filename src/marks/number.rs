//! Which number does a cell hold?

/// A plain decimal number with a point or a comma.
pub(super) fn number(word: &str) -> Option<f64> {
    let plain = word.replacen(',', ".", 1);
    let digits = plain
        .bytes()
        .all(|b| b.is_ascii_digit() || b == b'.' || b == b'-');
    digits
        .then(|| plain.parse().ok())
        .flatten()
        .filter(|n: &f64| n.is_finite())
}

//! Turns a text with placeholders into a sentence about one patient.

use super::Side;
use crate::wording::{capital, opens_sentence};

/// The placeholders a story may use.
pub const PLACEHOLDERS: [&str; 6] = ["name", "side", "other_side", "they", "them", "their"];

/// A piece of a text with placeholders.
enum Piece<'t> {
    Plain(&'t str),
    /// What stands between the braces.
    Slot(&'t str),
    /// A brace without its partner.
    Stray,
}

/// Fills in a text. The patient is always "they"; a placeholder that opens a sentence gets a capital.
pub fn fill(text: &str, name: &str, side: Side) -> String {
    let mut out = String::with_capacity(text.len() + 32);
    for piece in pieces(text.trim()) {
        match piece {
            Piece::Plain(plain) => out.push_str(plain),
            Piece::Slot(slot) => {
                let word = match slot {
                    "name" => name,
                    "side" => side.word(),
                    "other_side" => side.other().word(),
                    // They, them, their stand for themselves; the check has refused all others.
                    word => word,
                };
                if opens_sentence(&out) {
                    out.push_str(&capital(word));
                } else {
                    out.push_str(word);
                }
            }
            Piece::Stray => {}
        }
    }
    out
}

/// The placeholders of a text that mean nothing; a brace without its partner comes back as `{`.
pub fn unknown(text: &str) -> Vec<String> {
    pieces(text)
        .filter_map(|piece| match piece {
            Piece::Slot(slot) if !PLACEHOLDERS.contains(&slot) => Some(slot.to_string()),
            Piece::Stray => Some("{".to_string()),
            _ => None,
        })
        .collect()
}

fn pieces(text: &str) -> impl Iterator<Item = Piece<'_>> {
    let mut rest = text;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let (piece, after) = match rest.find(['{', '}']) {
            None => (Piece::Plain(rest), ""),
            Some(0) => match rest[1..].find(['{', '}']) {
                Some(end) if rest.starts_with('{') && rest[1 + end..].starts_with('}') => {
                    (Piece::Slot(&rest[1..=end]), &rest[end + 2..])
                }
                _ => (Piece::Stray, &rest[1..]),
            },
            Some(start) => (Piece::Plain(&rest[..start]), &rest[start..]),
        };
        rest = after;
        Some(piece)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_story_is_filled_in_with_a_capital_where_a_sentence_opens() {
        let text =
            "{name} fell on the {side} arm. {they} had raised {their} {other_side} arm\nto {them}.";
        assert_eq!(
            fill(text, "Amdrow Bucklefen", Side::Left),
            "Amdrow Bucklefen fell on the left arm. They had raised their right arm\nto them."
        );
    }

    #[test]
    fn unknown_placeholders_and_stray_braces_are_found() {
        assert_eq!(unknown("{name} and {nme} {} {they}"), ["nme", ""]);
        assert_eq!(unknown("a { b"), ["{"]);
        assert_eq!(unknown("a } b {name"), ["{", "{"]);
        assert_eq!(unknown("{é{name}"), ["{"]);
        assert!(unknown("plain").is_empty());
    }
}

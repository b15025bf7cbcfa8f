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

/// The story for who is told everything: without the brackets round what tells of the loss.
pub fn whole(story: &str) -> String {
    story.replace(['[', ']'], "")
}

/// The story for who is told the lesion and is to say what it takes: without what stands in brackets and what the patient says, both of which
/// tell of the loss.
pub fn bare(story: &str) -> String {
    let outside = story
        .split('[')
        .map(|part| part.split_once(']').map_or(part, |(_, rest)| rest));
    let mut out = String::new();
    let mut rest = outside.collect::<String>();
    while let Some((before, after)) = rest.split_once('\u{201c}') {
        out.push_str(before);
        // A sentence of its own; words within another one are part of what happened.
        let alone = before.trim_end().is_empty()
            || before.trim_end().ends_with(['.', '?', '!', '\u{201d}']);
        match after.split_once('\u{201d}') {
            Some((said, next)) if alone && said.ends_with(['.', '?', '!']) => {
                rest = next.to_string()
            }
            _ => {
                out.push('\u{201c}');
                rest = after.to_string();
            }
        }
    }
    out.push_str(&rest);
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Brackets that do not pair.
pub fn unpaired(story: &str) -> bool {
    let mut open = false;
    let paired = story.chars().filter(|c| matches!(c, '[' | ']')).all(|c| {
        let fits = open == (c == ']');
        open = c == '[';
        fits
    });
    !paired || open
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
    fn what_tells_of_the_loss_is_left_out_where_it_is_to_be_said() {
        let story = "Ash fell. [The foot drags.] \u{201c}It slaps.\u{201d} \u{201c}Ice,\u{201d} said Ash, and limped[, toes down], home.";
        assert_eq!(
            bare(story),
            "Ash fell. \u{201c}Ice,\u{201d} said Ash, and limped, home."
        );
        assert!(whole(story).starts_with("Ash fell. The foot drags. "));
        assert!(!unpaired(story) && unpaired("a [b") && unpaired("a] b") && unpaired("[a [b] c]"));
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

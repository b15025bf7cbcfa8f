//! Turns everything that decides a station's bytes into its short code and the command that prints it again.

use super::kind::StationKind;
use super::text::level_id;
use crate::case::Level;
use crate::files::fnv1a;

/// Letters and digits that no one mistakes for another when read aloud or copied by hand.
const DIGITS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// What decides a station.
#[derive(Debug, Clone)]
pub struct Recipe<'a> {
    pub kind: &'a StationKind,
    pub level: Level,
    pub minutes: u32,
    pub seed: u64,
    /// The argument that gives the lesion or its site again.
    pub place: &'a str,
    pub variants: &'a [String],
    pub content_version: &'a str,
}

/// "VS-TC-7Q4M9XK": kind, level (its first letter: a figure would read as a root, T2) and 35 bits of a fingerprint of the whole recipe.
pub fn code(recipe: &Recipe<'_>) -> String {
    let mut text = command(recipe);
    text.push('\0');
    text.push_str(recipe.content_version);
    let mut hash = fnv1a(text.as_bytes());
    // The low bits of FNV-1a mix least: fold the halves together first.
    hash ^= hash >> 29;
    let mut out = format!("VS-{}{}-", recipe.kind.letter, level_letter(recipe.level));
    for i in 0..7 {
        let digit = (hash >> (5 * i)) & 31;
        out.push(DIGITS.get(digit as usize).copied().map_or('0', char::from));
    }
    out
}

fn level_letter(level: Level) -> String {
    level_id(level)
        .chars()
        .take(1)
        .flat_map(char::to_uppercase)
        .collect()
}

/// The command that prints the station again, with the same content.
pub fn command(recipe: &Recipe<'_>) -> String {
    let mut out = format!(
        "vivasmith station {} --kind {} --level {} --minutes {} --seed {}",
        recipe.place,
        recipe.kind.id,
        level_id(recipe.level),
        recipe.minutes,
        recipe.seed
    );
    for variant in recipe.variants {
        out.push_str(" --variant ");
        out.push_str(variant);
    }
    out
}

//! What is a station called, and which command prints it again?

use super::draft::Origin;
use super::kind::StationKind;
use super::levels::level_id;
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
    pub origin: &'a Origin,
    pub content_version: String,
}

/// "VS-TC-7Q4M9XK": kind, level (its first letter: a figure would read as a root, T2) and 35 bits of a fingerprint of the whole recipe.
pub fn code(recipe: &Recipe<'_>) -> String {
    let mut text = command(recipe);
    text.push('\0');
    text.push_str(&recipe.content_version);
    let letter = &recipe.kind.letter;
    format!(
        "VS-{letter}{}-{}",
        level_letter(recipe.level),
        print_of(&text)
    )
}

/// "7Q4M9XK": 35 bits of a fingerprint of the text.
pub fn print_of(text: &str) -> String {
    let mut hash = fnv1a(text.as_bytes());
    // The low bits of FNV-1a mix least: fold the halves together first.
    hash ^= hash >> 29;
    let digit = |i: usize| DIGITS.get((hash >> (5 * i)) as usize & 31).copied();
    (0..7).map(|i| digit(i).map_or('0', char::from)).collect()
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
    let (place, variants) = match recipe.origin {
        Origin::Own(own) => return format!("vivasmith station own:{}", own.id),
        Origin::Drawn { place, variants } => (place, variants),
    };
    let mut out = format!(
        "vivasmith station {place} --kind {} --level {} --minutes {} --seed {}",
        recipe.kind.id,
        level_id(recipe.level),
        recipe.minutes,
        recipe.seed
    );
    for variant in variants {
        out.push_str(" --variant ");
        out.push_str(variant);
    }
    out
}

//! What does the YAML library want to say? Its message in words for whoever wrote the file, and what to change.

use crate::diagnostic::{did_you_mean, short};

/// The message without the library's own words, and a hint.
pub(super) fn in_words(message: &str, extra: bool) -> (String, String) {
    let (message, hint) = translated(message, extra);
    (readable(&message), readable(&hint))
}

fn translated(message: &str, extra: bool) -> (String, String) {
    // A path may stand in front; the place says it better.
    let cut = |start: &str| message.find(start).map(|at| &message[at + start.len()..]);
    if let Some((word, known)) = cut("unknown field `").and_then(|r| r.split_once('`')) {
        let otherwise = format!("remove the line, or use one of these: {}", listed(known));
        return (
            format!("there is no key `{}` here", short(word)),
            meant(word, known, &otherwise),
        );
    }
    if let Some((word, known)) = cut("unknown variant `").and_then(|r| r.split_once('`')) {
        return (
            format!("the word `{}` cannot stand here", short(word)),
            format!(
                "{} ({})",
                meant(word, known, "use one of the words listed"),
                listed(known)
            ),
        );
    }
    if let Some((key, _)) = cut("missing field `").and_then(|r| r.split_once('`')) {
        let hint = match extra {
            true => {
                "an entry of an .extra.yaml takes the place of the whole shipped entry: copy that one with all its keys, then change it"
            }
            false => "add the missing key to this entry",
        };
        return (format!("the key `{key}` is missing"), hint.into());
    }
    if let Some((key, _)) = cut("duplicate field `").and_then(|r| r.split_once('`')) {
        let hint = "keep one of the two and remove the other";
        return (format!("duplicate key `{}`", short(key)), hint.into());
    }
    for start in ["invalid type: ", "invalid value: ", "invalid length "] {
        if let Some((found, needed)) = cut(start).and_then(|r| r.rsplit_once(", expected ")) {
            return (
                format!(
                    "{}here stands {}, but {} is needed",
                    key_of(message, start),
                    found_in_words(found),
                    needed_in_words(needed)
                ),
                "the value has the wrong form: compare it with its neighbours in the shipped files"
                    .into(),
            );
        }
    }
    if message.contains("did not match any variant") {
        let hint = "compare it with its neighbours in the shipped files";
        return ("this value cannot be understood".into(), hint.into());
    }
    let hint = HINTS.iter().find(|(part, _)| message.contains(part));
    let usual = "compare this entry with the shipped files of the same name";
    (message.into(), hint.map_or(usual, |(_, h)| h).into())
}

/// "time.station: invalid type": the last key of the path in front, as a beginning of the message.
fn key_of(message: &str, start: &str) -> String {
    let path = message.split(start).next().unwrap_or_default();
    let path = path.trim_end_matches(": ");
    let last = path.rsplit('.').find(|part| !part.is_empty());
    match last.and_then(|part| part.split('[').next()) {
        Some(key) if !key.is_empty() => format!("`{}`: ", short(key)),
        _ => String::new(),
    }
}

/// ", expected one of `a`, `b`": the word that was meant, or all of them.
fn meant(word: &str, known: &str, otherwise: &str) -> String {
    let words = known.split('`').skip(1).step_by(2);
    did_you_mean(&short(word), words, otherwise)
}

fn listed(known: &str) -> String {
    let words = known.split('`').skip(1).step_by(2);
    words.collect::<Vec<_>>().join(", ")
}

fn found_in_words(found: &str) -> String {
    match found {
        "map" => "a group of keys".into(),
        "sequence" => "a list".into(),
        "unit value" | "null" => "nothing".into(),
        _ => {
            let plain = found.replace('`', "");
            for (start, word) in [
                ("integer ", "the number "),
                ("floating point ", "the number "),
                ("boolean ", "the word "),
                ("string ", "the text "),
                ("character ", "the text "),
            ] {
                if let Some(value) = plain.strip_prefix(start) {
                    return word.to_string() + value;
                }
            }
            match plain.parse::<usize>() {
                Ok(n) => format!("a list of {n}"),
                Err(_) => plain,
            }
        }
    }
}

fn needed_in_words(needed: &str) -> String {
    let first = needed.split(' ').next().unwrap_or_default();
    match first {
        "f32" | "f64" => "a number",
        "u8" | "u16" | "u32" | "u64" | "usize" => "a whole number that is not negative",
        "i8" | "i16" | "i32" | "i64" | "isize" => "a whole number",
        "struct" | "map" => "a group of keys with their values",
        "option" | "unit" => "another value",
        "enum" | "variant" => "one of the words that are known here",
        "bool" => "true or false",
        _ => match needed {
            "a boolean" => "true or false",
            "a string" => "a text",
            "a map" => "a group of keys with their values",
            "a sequence" => "a list (lines that begin with -, or [ ])",
            "string or map" => "a word",
            _ => {
                if let Some(n) = needed.strip_prefix("a tuple of size ") {
                    return format!("a list of {n}");
                }
                return needed.to_string();
            }
        },
    }
    .to_string()
}

const HINTS: [(&str, &str); 6] = [
    ("duplicate", "keep one of the two and remove the other"),
    (
        "did not find expected",
        "check the indentation (blanks, no tabs), the quotes and the brackets near this line",
    ),
    (
        "mapping values are not allowed",
        "put the text in double quotes: it holds a colon followed by a blank",
    ),
    (
        "recursion limit",
        "the file is nested too deeply: flatten it",
    ),
    (
        "repetition limit",
        "the file repeats itself through aliases (&, *) too often: write the entries out",
    ),
    (
        "cannot start any token",
        "a tab or a stray character stands here: use blanks for indentation",
    ),
];

/// A message that quotes a hostile file can neither fill the screen nor steer the terminal.
fn readable(message: &str) -> String {
    const MOST: usize = 400;
    let clean = |c: char| if c.is_control() { ' ' } else { c };
    let mut out: String = message.chars().take(MOST).map(clean).collect();
    if message.chars().count() > MOST {
        out.push_str(" ...");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_of_the_library_is_left() {
        for (said, words) in [
            (
                "time.station: invalid type: string \"eight\", expected f64",
                "`station`: here stands the text \"eight\", but a number is needed",
            ),
            (
                "invalid type: sequence, expected struct OwnFile",
                "here stands a list, but a group of keys with their values is needed",
            ),
            (
                "seed: invalid value: integer `-1`, expected u64",
                "`seed`: here stands the number -1, but a whole number that is not negative is needed",
            ),
            (
                "age: invalid length 1, expected a tuple of size 2",
                "`age`: here stands a list of 1, but a list of 2 is needed",
            ),
            (
                "invalid type: unit value, expected a sequence",
                "here stands nothing, but a list (lines that begin with -, or [ ]) is needed",
            ),
        ] {
            assert_eq!(in_words(said, false).0, words);
        }
    }

    #[test]
    fn a_slip_is_answered_with_the_word_meant() {
        let said = "a[0]: unknown field `leest`, expected one of `least`, `most`";
        let (message, hint) = in_words(said, false);
        assert_eq!(message, "there is no key `leest` here");
        assert_eq!(hint, "did you mean `least`?");
        let (_, hint) = in_words("missing field `test`", true);
        assert!(hint.contains("takes the place of the whole"), "{hint}");
    }
}

//! What does a content text say? Typed data, or one message with file, line, column and hint.

use super::content::Source;
use super::json::precompiled;
use super::yaml_message::in_words;
use crate::diagnostic::{Failure, Place, Problem, short};
use serde::de::{Deserialize, DeserializeOwned, Deserializer, MapAccess, Visitor};
use serde::ser::{Serialize, Serializer};
use std::collections::BTreeSet;
use std::fmt;
use std::marker::PhantomData;

/// Deepest nesting of a file. Real content needs eight; the YAML library slows down with the square of the depth.
const MAX_NESTING: usize = 64;

/// Parses one content file. Shipped files are taken from what the build made of them, which is the same and faster.
///
/// # Errors
/// Exit code 2 with the place and what to change.
pub fn parse<T: DeserializeOwned>(source: &Source) -> Result<T, Failure> {
    if let Some(value) = precompiled(source) {
        return Ok(value);
    }
    nesting(source)?;
    serde_yaml::from_str::<T>(&source.text).map_err(|e| {
        let mut message = e.to_string();
        let place = e.location().map(|l| Place {
            file: source.shown.clone(),
            line: l.line(),
            column: l.column(),
        });
        // The library repeats the place at the end of the text; ours stands in front.
        if let Some(cut) = message.rfind(" at line ") {
            message.truncate(cut);
        }
        // A path in front says that the key stands deeper, and then its place is known.
        let place = match message.starts_with("duplicate field") {
            true => written_twice(source, &message).or(place),
            false => place,
        };
        let (message, hint) = in_words(&message, source.is_extra());
        Failure::usage(Problem::new(message).hint(hint).at(place.unwrap_or(Place {
            file: source.shown.clone(),
            line: 1,
            column: 1,
        })))
    })
}

/// A value as YAML text.
///
/// # Errors
/// What the YAML library cannot write, in its words.
pub fn to_yaml<T: Serialize>(value: &T) -> Result<String, String> {
    serde_yaml::to_string(value).map_err(|e| e.to_string())
}

/// A key written twice at the top of a file is reported without a place: find its second line.
fn written_twice(source: &Source, message: &str) -> Option<Place> {
    let key = message
        .split_once("duplicate field `")?
        .1
        .split_once('`')?
        .0;
    let mut lines = source.text.lines().enumerate().filter(|(_, line)| {
        let rest = line.strip_prefix(key).map(str::trim_start);
        rest.is_some_and(|r| r.starts_with(':'))
    });
    lines.nth(1).map(|(row, _)| Place {
        file: source.shown.clone(),
        line: row + 1,
        column: 1,
    })
}

/// Refuses a text whose brackets open much further than they close, before the YAML library meets it.
fn nesting(source: &Source) -> Result<(), Failure> {
    let mut depth = 0usize;
    for (row, line) in source.text.lines().enumerate() {
        for (column, c) in line.char_indices() {
            match c {
                '[' | '{' => depth += 1,
                ']' | '}' => depth = depth.saturating_sub(1),
                _ => {}
            }
            if depth > MAX_NESTING {
                let problem = Problem::new(format!(
                    "the brackets are nested more than {MAX_NESTING} deep here"
                ));
                return Err(Failure::usage(
                    problem
                        .hint("close the brackets, or flatten the file")
                        .at(Place {
                            file: source.shown.clone(),
                            line: row + 1,
                            column: line[..column].chars().count() + 1,
                        }),
                ));
            }
        }
    }
    Ok(())
}

/// A map in file order that refuses a key written twice (the YAML library alone lets the last one win).
#[derive(Debug, Clone, PartialEq)]
pub struct UniqueMap<V>(pub Vec<(String, V)>);

impl<V> UniqueMap<V> {
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<V: Serialize> Serialize for UniqueMap<V> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(key, value)| (key, value)))
    }
}

impl<V> Default for UniqueMap<V> {
    fn default() -> Self {
        UniqueMap(Vec::new())
    }
}

impl<'de, V: Deserialize<'de>> Deserialize<'de> for UniqueMap<V> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct V1<V>(PhantomData<V>);
        impl<'de, V: Deserialize<'de>> Visitor<'de> for V1<V> {
            type Value = UniqueMap<V>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a list of `key: value` pairs")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut all: Vec<(String, V)> = Vec::new();
                let mut seen = BTreeSet::new();
                while let Some((key, value)) = map.next_entry::<String, V>()? {
                    if !seen.insert(key.clone()) {
                        let key = short(&key);
                        return Err(serde::de::Error::custom(format!("duplicate key `{key}`")));
                    }
                    all.push((key, value));
                }
                Ok(UniqueMap(all))
            }
        }
        deserializer.deserialize_map(V1(PhantomData))
    }
}

//! Turns a model into the look-up from ids and synonyms to what they name.

use super::model::{Entry, Model};
use std::collections::HashMap;

/// A word as it is looked up: lower case, blanks and hyphens as `_`.
pub fn fold(word: &str) -> String {
    word.trim()
        .chars()
        .flat_map(char::to_lowercase)
        .map(|c| {
            if matches!(c, ' ' | '-' | '\u{2013}') {
                '_'
            } else {
                c
            }
        })
        .collect()
}

pub fn of(model: &Model) -> HashMap<String, Vec<Entry>> {
    let mut index: HashMap<String, Vec<Entry>> = HashMap::new();
    let mut add = |word: &str, entry: Entry| {
        for key in [word.to_string(), fold(word)] {
            let list = index.entry(key).or_default();
            if !list.contains(&entry) {
                list.push(entry);
            }
        }
    };
    for (i, x) in model.sites.iter().enumerate() {
        add(&x.id, Entry::Site(i));
        x.synonyms.iter().for_each(|s| add(s, Entry::Site(i)));
    }
    for (i, x) in model.segments.iter().enumerate() {
        add(&x.id, Entry::Segment(i));
    }
    for (i, x) in model.muscles.iter().enumerate() {
        add(&x.id, Entry::Muscle(i));
        add(&x.label, Entry::Muscle(i));
        x.synonyms.iter().for_each(|s| add(s, Entry::Muscle(i)));
    }
    for (i, x) in model.movements.iter().enumerate() {
        add(&x.id, Entry::Movement(i));
    }
    for (i, x) in model.skin.iter().enumerate() {
        add(&x.id, Entry::Skin(i));
    }
    for (i, x) in model.reflexes.iter().enumerate() {
        add(&x.id, Entry::Reflex(i));
        x.synonyms.iter().for_each(|s| add(s, Entry::Reflex(i)));
    }
    for (i, x) in model.signs.iter().enumerate() {
        add(&x.id, Entry::Sign(i));
        x.synonyms.iter().for_each(|s| add(s, Entry::Sign(i)));
    }
    for (i, x) in model.variants.iter().enumerate() {
        add(&x.id, Entry::Variant(i));
        x.synonyms.iter().for_each(|s| add(s, Entry::Variant(i)));
    }
    index
}

//! Turns a model into the look-up from ids and synonyms to what they name.

use super::model::{Entry, Model};
use super::structure::Kind;
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
    for kind in Kind::ALL {
        for s in model.structures(kind) {
            let entry = Entry::Structure(s);
            add(model.id(s), entry);
            if kind == Kind::Muscle {
                add(model.label(s), entry);
            }
            model.synonyms(s).iter().for_each(|w| add(w, entry));
        }
    }
    for (i, x) in model.variants.iter().enumerate() {
        add(&x.id, Entry::Variant(i));
        x.synonyms.iter().for_each(|s| add(s, Entry::Variant(i)));
    }
    index
}

impl Model {
    /// The place in `nerves` of the nerve of this id, label or synonym.
    pub fn nerve_called(&self, word: &str) -> Option<usize> {
        let wanted = fold(word);
        let called = |name: &String| fold(name) == wanted;
        self.nerves
            .iter()
            .position(|n| n.id == wanted || called(&n.label) || n.synonyms.iter().any(called))
    }
}

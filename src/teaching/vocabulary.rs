//! Which words of a text name a part of an answer: muscles, nerves, roots, the plexus?

use crate::anatomy::{Kind, Model};
use std::collections::BTreeSet;

/// The telling words of the model's names.
pub struct Vocabulary(BTreeSet<String>);

/// Words of names that by themselves name nothing.
const COMMON: &[&str] = &[
    "above",
    "alone",
    "and",
    "ankle",
    "anterior",
    "arising",
    "arm",
    "axilla",
    "back",
    "behind",
    "below",
    "beside",
    "between",
    "beyond",
    "both",
    "branch",
    "branches",
    "brevis",
    "calf",
    "common",
    "cord",
    "cutaneous",
    "deep",
    "digital",
    "direct",
    "directly",
    "division",
    "dorsal",
    "elbow",
    "fibres",
    "fibula",
    "fifth",
    "finger",
    "fingers",
    "first",
    "foot",
    "forearm",
    "fossa",
    "fourth",
    "from",
    "front",
    "groove",
    "hand",
    "head",
    "heads",
    "heel",
    "hip",
    "index",
    "inferior",
    "inner",
    "just",
    "knee",
    "lateral",
    "leaving",
    "leg",
    "level",
    "little",
    "long",
    "longus",
    "lower",
    "lowest",
    "major",
    "medial",
    "middle",
    "minor",
    "motor",
    "muscle",
    "neck",
    "nerve",
    "nerves",
    "notch",
    "often",
    "only",
    "origin",
    "outer",
    "palm",
    "palmar",
    "part",
    "plantar",
    "posterior",
    "proper",
    "ring",
    "root",
    "roots",
    "second",
    "short",
    "shoulder",
    "side",
    "skin",
    "small",
    "sole",
    "space",
    "superficial",
    "superior",
    "thigh",
    "third",
    "thumb",
    "toe",
    "toes",
    "trunk",
    "tunnel",
    "upper",
    "white",
    "with",
    "wrist",
];

impl Vocabulary {
    pub fn of(model: &Model) -> Self {
        let mut all = BTreeSet::new();
        let mut add =
            |text: &str| all.extend(words(text).filter(|w| !COMMON.contains(&w.as_str())));
        for s in model.structures(Kind::Muscle) {
            add(model.spoken(s));
            add(model.label(s));
        }
        for nerve in &model.nerves {
            add(&nerve.label);
            nerve.synonyms.iter().for_each(|s| add(s));
        }
        for segment in &model.segments {
            add(&segment.nerve_label);
        }
        for root in &model.roots {
            all.insert(root.to_lowercase());
        }
        Vocabulary(all)
    }

    /// Every word of it.
    pub fn all(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(String::as_str)
    }

    /// The words of a text that name something, in small letters, each once.
    pub fn named(&self, text: &str) -> BTreeSet<String> {
        words(text).filter(|w| self.0.contains(w)).collect()
    }
}

fn words(text: &str) -> impl Iterator<Item = String> + '_ {
    text.split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase)
        .filter(|w| w.chars().count() > 3 || w.ends_with(|c: char| c.is_ascii_digit()))
}

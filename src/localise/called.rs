//! What may a person mean by a few words of a report: which muscles, movements, areas of skin, reflexes or signs?

use super::lexicon::{Role, role, stem};
use crate::anatomy::{Kind, Model, Structure};
use std::collections::{BTreeMap, BTreeSet};

/// More structures than this are too many to be meant by one name.
const MOST: usize = 8;

/// Everything that a model's structures are called.
pub struct Names {
    names: Vec<Name>,
    /// Every word of a name, by its stem.
    vocabulary: BTreeMap<String, String>,
}

struct Name {
    /// As it is written, for messages.
    text: String,
    stems: BTreeSet<String>,
    structures: Vec<Structure>,
    /// Where it lies or how it looks, and no name proper.
    described: bool,
}

impl Names {
    pub fn of(model: &Model) -> Self {
        let mut all = Names {
            names: Vec::new(),
            vocabulary: BTreeMap::new(),
        };
        for name in &model.names {
            for word in &name.words {
                all.add(word, &name.structures, false);
            }
        }
        for s in Kind::ALL
            .into_iter()
            .flat_map(|kind| model.structures(kind))
        {
            all.add(model.id(s), &[s], false);
            all.add(model.label(s), &[s], false);
            if s.kind == Kind::Muscle {
                all.add(model.spoken(s), &[s], false);
            }
            for synonym in model.synonyms(s) {
                all.add(synonym, &[s], false);
            }
            match s.kind {
                Kind::Movement | Kind::Sign => all.add(model.plain(s), &[s], true),
                Kind::Skin => {
                    all.add(model.plain(s), &[s], true);
                    all.add(model.test(s), &[s], true);
                }
                Kind::Muscle | Kind::Reflex => {}
            }
        }
        all
    }

    fn add(&mut self, text: &str, structures: &[Structure], described: bool) {
        let words: Vec<&str> = text
            .split(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '\u{2019}'))
            .filter(|w| names_something(w))
            .collect();
        for word in &words {
            let word = word.to_lowercase();
            self.vocabulary.entry(stem(&word)).or_insert(word);
        }
        self.names.push(Name {
            text: text.replace('_', " ").to_lowercase(),
            stems: words.iter().map(|w| stem(w)).collect(),
            structures: structures.to_vec(),
            described,
        });
    }

    pub fn knows(&self, word: &str) -> bool {
        self.vocabulary.contains_key(&stem(word))
    }

    /// Every word of a name.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.vocabulary.values().map(String::as_str)
    }

    /// The structures that these words, all of them, may mean; `fits`: what the rest of the statement allows. Nothing where no name has
    /// them all, or too many have.
    pub fn meant(&self, words: &[String], fits: &dyn Fn(Structure) -> bool) -> Vec<Structure> {
        let asked: BTreeSet<String> = words.iter().map(|w| stem(w)).collect();
        if asked.is_empty() {
            return Vec::new();
        }
        let collect = |keep: &dyn Fn(&Name) -> bool| {
            let mut all: Vec<Structure> = Vec::new();
            let kept = self.names.iter().filter(|n| keep(n));
            for s in kept.flat_map(|n| &n.structures).filter(|s| fits(**s)) {
                if !all.contains(s) {
                    all.push(*s);
                }
            }
            all
        };
        let whole = collect(&|n| !n.described && n.stems == asked);
        if !whole.is_empty() {
            return whole;
        }
        let part = collect(&|n| !n.described && n.stems.is_superset(&asked));
        let part = if part.is_empty() {
            collect(&|n| n.stems.is_superset(&asked))
        } else {
            part
        };
        if part.len() > MOST { Vec::new() } else { part }
    }

    /// The signs whose name is these words and nothing else, if no other kind of structure has that name.
    pub fn whole_signs(&self, words: &[String]) -> Vec<Structure> {
        let asked: BTreeSet<String> = words.iter().map(|w| stem(w)).collect();
        let named = |n: &&Name| !n.described && n.stems == asked;
        let mut all: Vec<Structure> = Vec::new();
        for s in self.names.iter().filter(named).flat_map(|n| &n.structures) {
            if !all.contains(s) {
                all.push(*s);
            }
        }
        if all.iter().any(|s| s.kind != Kind::Sign) {
            all.clear();
        }
        all
    }

    /// The names that share most of these words.
    pub fn nearest(&self, words: &[String], count: usize) -> Vec<&str> {
        let asked: BTreeSet<String> = words.iter().map(|w| stem(w)).collect();
        let mut all: Vec<(usize, usize, &str)> = self
            .names
            .iter()
            .filter(|n| !n.described)
            .map(|n| {
                (
                    n.stems.intersection(&asked).count(),
                    n.stems.len(),
                    n.text.as_str(),
                )
            })
            .filter(|(common, ..)| *common > 0)
            .collect();
        all.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)).then(a.2.cmp(b.2)));
        all.dedup_by(|a, b| a.2 == b.2);
        all.into_iter().take(count).map(|(.., text)| text).collect()
    }
}

/// Words that a report leaves out are no part of a name either.
fn names_something(word: &str) -> bool {
    let kept = |w: &str| {
        matches!(
            role(w),
            Role::Name | Role::Say(_) | Role::Degree(_) | Role::Kind(_, Some(_))
        ) && !["and", "or"].contains(&w)
    };
    !word.is_empty() && kept(&word.to_lowercase())
}

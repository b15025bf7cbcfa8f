//! What does a sentence claim of the anatomy, and does the model say so too: a muscle with its nerve, its root, its movement or its state?
//!
//! Only plain claims are read: two names side by side as in "triceps; radial nerve", or one clause with a verb between them. What is
//! negated, asked or only supposed claims nothing.

use crate::anatomy::{Kind, Model, SegmentSet, Structure};
use crate::findings::{Finding, Findings};
use crate::wording;

/// What a name stands for.
#[derive(Debug, Clone)]
enum Named {
    /// A muscle with all its heads.
    Muscle(Vec<Structure>),
    Movement(Structure),
    Nerve(SegmentSet),
    Root(usize),
}

/// A claim that the model contradicts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wrong {
    pub message: String,
    pub hint: &'static str,
}

/// The names of a model, as people write them.
pub struct Claims<'m> {
    model: &'m Model,
    /// Small letters, single blanks; the longest first.
    names: Vec<(String, Named)>,
}

/// With one of these a clause claims nothing.
const UNSURE: [&str; 22] = [
    "not", "no", "never", "neither", "nor", "without", "would", "could", "might", "may", "if",
    "unless", "suppose", "were", "instead", "than", "rather", "else", "unlike", "against", "only",
    "expect",
];
/// Verbs that join a muscle to what serves it.
const SERVES: [&str; 12] = [
    "serves",
    "serve",
    "supplies",
    "feeds",
    "feed",
    "served",
    "supplied",
    "fed",
    "share",
    "shares",
    "chiefly",
    "innervates",
];
const AFFECTED: [&str; 12] = [
    "lost",
    "weak",
    "weaker",
    "paralysed",
    "fails",
    "fail",
    "failed",
    "gone",
    "absent",
    "dead",
    "wasted",
    "denervated",
];
const KEPT: [&str; 9] = [
    "strong", "normal", "kept", "spared", "works", "work", "full", "whole", "intact",
];
/// With one of these the state is that of another place or time.
const ELSEWHERE: [&str; 14] = [
    "in", "there", "cut", "higher", "lower", "above", "below", "first", "second", "other", "until",
    "before", "after", "when",
];

impl<'m> Claims<'m> {
    pub fn of(model: &'m Model) -> Self {
        let mut names: Vec<(String, Named)> = Vec::new();
        let mut add = |text: &str, what: Named| {
            let name = flat(text);
            if name.is_empty() {
                return;
            }
            let Some(known) = names.iter().position(|(n, _)| *n == name) else {
                names.push((name, what));
                return;
            };
            match (&mut names[known].1, what) {
                // Heads share a name; so do the stretches of a nerve.
                (Named::Muscle(all), Named::Muscle(more)) => all.extend(more),
                (Named::Nerve(set), Named::Nerve(more)) => *set = set.union(&more),
                _ => {}
            }
        };
        for s in model.structures(Kind::Muscle) {
            add(model.spoken(s), Named::Muscle(vec![s]));
            if model.label(s) != model.spoken(s) {
                add(model.label(s), Named::Muscle(vec![s]));
            }
            for synonym in model.synonyms(s) {
                add(synonym, Named::Muscle(vec![s]));
            }
        }
        for s in model.structures(Kind::Movement) {
            add(model.plain(s), Named::Movement(s));
            add(model.label(s), Named::Movement(s));
        }
        for nerve in &model.nerves {
            let mut set = SegmentSet::default();
            nerve.segments.iter().for_each(|&s| set.insert(s));
            for name in nerve.synonyms.iter().chain([&nerve.label]) {
                add(name, Named::Nerve(set));
            }
        }
        for (i, segment) in model.segments.iter().enumerate() {
            let mut set = SegmentSet::default();
            set.insert(i);
            if segment.nerve_label.ends_with("nerve") {
                add(&segment.nerve_label, Named::Nerve(set));
            }
        }
        for (i, root) in model.roots.iter().enumerate() {
            add(root, Named::Root(i));
        }
        names.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then(a.0.cmp(&b.0)));
        Claims { model, names }
    }

    /// The claims of a text that are wrong. `found`: what this lesion gives, where the text speaks of this patient.
    pub fn wrong_in(&self, text: &str, found: Option<&Findings>) -> Vec<Wrong> {
        let mut all = Vec::new();
        let ends = |c: char| matches!(c, '.' | '!' | '?' | '\u{201c}' | '\u{201d}');
        for sentence in text.split_inclusive(ends) {
            if sentence.ends_with('?') {
                continue;
            }
            self.side_by_side(sentence, &mut all);
            for clause in sentence.split([',', ';', ':', '.']) {
                self.clause(clause, found, &mut all);
            }
        }
        all.dedup();
        all
    }

    /// "straightening the elbow: triceps; radial nerve".
    fn side_by_side(&self, sentence: &str, all: &mut Vec<Wrong>) {
        let pieces: Vec<&str> = sentence.split([':', ';', ',', '(', ')']).collect();
        for pair in pieces.windows(2) {
            let (Some(a), Some(b)) = (self.exactly(pair[0]), self.exactly(pair[1])) else {
                continue;
            };
            match (a, b) {
                (Named::Muscle(m), Named::Nerve(n)) | (Named::Nerve(n), Named::Muscle(m)) => {
                    self.nerve(pair[0], pair[1], m, n, all);
                }
                (Named::Movement(v), Named::Muscle(m)) => self.movement(pair[1], *v, m, all),
                (Named::Muscle(m), Named::Root(r)) => self.root(pair[0], m, *r, all),
                _ => {}
            }
        }
    }

    /// One clause with a verb.
    fn clause(&self, clause: &str, found: Option<&Findings>, all: &mut Vec<Wrong>) {
        let words: Vec<String> = flat(clause).split(' ').map(str::to_string).collect();
        let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
        if has(&UNSURE) {
            return;
        }
        let named = self.named(clause);
        let muscles: Vec<&(String, &Named)> = named
            .iter()
            .filter(|(_, n)| matches!(n, Named::Muscle(_)))
            .collect();
        let ([(name, Named::Muscle(m))], true) = (muscles.as_slice(), named.len() > 1) else {
            self.states(&words, &named, found, all);
            return;
        };
        let nerves: Vec<_> = named
            .iter()
            .filter_map(|(text, n)| match n {
                Named::Nerve(n) => Some((text, n)),
                _ => None,
            })
            .collect();
        if let ([(text, nerve)], true) = (nerves.as_slice(), has(&SERVES)) {
            self.nerve(name, text, m, nerve, all);
        }
        if nerves.is_empty()
            && (has(&SERVES) || has(&["is", "are"]))
            && !has(&AFFECTED)
            && !has(&KEPT)
        {
            for (_, n) in &named {
                if let Named::Root(r) = n {
                    self.root(name, m, *r, all);
                }
            }
        }
    }

    /// One structure and words for its state.
    fn states(
        &self,
        words: &[String],
        named: &[(String, &Named)],
        found: Option<&Findings>,
        all: &mut Vec<Wrong>,
    ) {
        let (Some(found), [(name, what)]) = (found, named) else {
            return;
        };
        let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
        let structures = match what {
            Named::Muscle(m) => m.clone(),
            Named::Movement(v) => vec![*v],
            _ => return,
        };
        let is = |test: fn(&Finding) -> bool| {
            let mut all = structures.iter().filter_map(|s| found.get(*s));
            all.all(test)
        };
        let elsewhere: Vec<&str> = ELSEWHERE
            .iter()
            .copied()
            .filter(|w| !flat(name).split(' ').any(|n| n == *w))
            .collect();
        if has(&elsewhere) {
            return;
        }
        let (said, really) = match (has(&AFFECTED), has(&KEPT)) {
            (true, false) if is(Finding::spared) => ("affected", "normal"),
            (false, true) if is(Finding::affected) => ("normal", "affected"),
            _ => return,
        };
        all.push(Wrong {
            message: format!("{name} is called {said}, and in this lesion it is {really}"),
            hint: "correct the words, or the lesion; `vivasmith findings` shows what is found",
        });
    }

    /// The text is this one name and nothing else.
    fn exactly(&self, text: &str) -> Option<&Named> {
        let text = flat(text);
        let found = self.names.iter().find(|(n, _)| *n == text);
        found.map(|(_, what)| what)
    }

    /// Every name in the text, the longest where several begin alike.
    fn named(&self, text: &str) -> Vec<(String, &Named)> {
        let mut rest = format!(" {} ", flat(text));
        let mut all = Vec::new();
        for (name, what) in &self.names {
            let sought = format!(" {name} ");
            while let Some(at) = rest.find(&sought) {
                all.push((name.clone(), what));
                rest.replace_range(at..at + sought.len(), " | ");
            }
        }
        all
    }

    fn nerve(&self, a: &str, b: &str, m: &[Structure], n: &SegmentSet, all: &mut Vec<Wrong>) {
        let muscles = m.iter().filter_map(|s| self.model.muscle(*s));
        if muscles.clone().any(|m| m.supply.reach.meets(n)) {
            return;
        }
        let nerve = muscles.map(|m| m.nerve_label.clone()).next();
        all.push(Wrong {
            message: format!(
                "\u{201c}{}\u{201d} with \u{201c}{}\u{201d}: the nerve of this muscle is the {}",
                a.trim(),
                b.trim(),
                nerve.unwrap_or_default()
            ),
            hint: "name the nerve that serves it, or another muscle",
        });
    }

    fn movement(&self, muscle: &str, v: Structure, m: &[Structure], all: &mut Vec<Wrong>) {
        let Some(movement) = self.model.movement(v) else {
            return;
        };
        let takes_part = |s: &Structure| {
            let mut shares = movement.shares.iter();
            shares.any(|(i, _)| *i == s.position) || movement.helpers.contains(&s.position)
        };
        if !m.iter().any(takes_part) {
            all.push(Wrong {
                message: format!("{} takes no part in {}", muscle.trim(), movement.plain),
                hint: "name a muscle that makes this movement",
            });
        }
    }

    fn root(&self, muscle: &str, m: &[Structure], root: usize, all: &mut Vec<Wrong>) {
        let fed = |s: &Structure| {
            let muscle = self.model.muscle(*s);
            let mut fibres = muscle
                .into_iter()
                .flat_map(|m| m.supply.table.iter().flatten());
            fibres.any(|f| f.root == root)
        };
        if !m.iter().any(fed) {
            let name = self.model.roots.get(root).map_or("", String::as_str);
            let of = m
                .first()
                .map_or_else(Vec::new, |s| self.model.root_shares(*s));
            let roots: Vec<&str> = of
                .iter()
                .filter_map(|(r, _)| self.model.roots.get(*r).map(String::as_str))
                .collect();
            all.push(Wrong {
                message: format!(
                    "{} has no fibres of {name}: its roots are {}",
                    muscle.trim(),
                    crate::wording::list(&roots)
                ),
                hint: "name a root that it has, or another muscle",
            });
        }
    }
}

/// As [`wording::flat`], without the blanks at its ends and without a leading article.
fn flat(text: &str) -> String {
    let flat = wording::flat(text);
    let bare = flat.trim();
    bare.strip_prefix("the ").unwrap_or(bare).to_string()
}

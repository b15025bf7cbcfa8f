//! Which statements does a text make, one after the other, whatever region it speaks of?

use super::lexicon::{Role, Say, role};
use crate::anatomy::Kind;

/// One statement, cut into words.
#[derive(Debug, Clone, PartialEq)]
pub struct Clause {
    /// As it was written.
    pub text: String,
    /// Words that name what was examined.
    pub names: Vec<String>,
    /// All words but the fillers, for names that hold a word such as "failed".
    pub words: Vec<String>,
    pub say: Option<Say>,
    /// From a neighbour: "biceps, deltoid weak". A sign needs none.
    pub borrowed: Option<Say>,
    /// "no winging": nothing is said but that it is not there.
    pub denied: bool,
    pub kind: Option<Kind>,
    /// The last name of the words that follow after "and": "wrist and finger extension".
    pub tail: Option<String>,
}

/// Cuts a text at commas, full stops and the like, and at "and".
pub fn clauses(text: &str) -> Vec<Clause> {
    let mut all: Vec<Clause> = Vec::new();
    for sentence in text.split([',', ';', '\n']).flat_map(split_stops) {
        for part in split_words(&sentence, &["but", "however", "while", "whereas"]) {
            all.extend(items(&part));
        }
    }
    borrow(&mut all);
    all
}

/// A full stop ends a sentence, except within a number.
fn split_stops(text: &str) -> Vec<String> {
    text.split(". ")
        .map(|s| s.trim_end_matches('.').to_string())
        .collect()
}

fn split_words(text: &str, at: &[&str]) -> Vec<String> {
    let mut all = vec![Vec::new()];
    for word in text.split_whitespace() {
        if at.contains(&word.to_lowercase().as_str()) {
            all.push(Vec::new());
        } else if let Some(last) = all.last_mut() {
            last.push(word);
        }
    }
    all.retain(|words: &Vec<&str>| !words.is_empty());
    all.iter().map(|words| words.join(" ")).collect()
}

/// "wrist and finger extension weak" is two statements that share what was found and the last word of the name.
fn items(part: &str) -> Vec<Clause> {
    let mut items: Vec<Clause> = split_words(part, &["and", "or", "&", "plus"])
        .iter()
        .map(|text| clause(text))
        .collect();
    let kind = items.iter().rev().find_map(|i| i.kind);
    let tail = items.last().and_then(|i| i.names.last().cloned());
    let count = items.len();
    let first_denied = items.first().is_some_and(|i| i.denied && i.say.is_none());
    for (i, item) in items.iter_mut().enumerate() {
        item.kind = item.kind.or(kind);
        if i + 1 < count {
            item.tail.clone_from(&tail);
        }
        // "no winging or wasting".
        item.denied |= first_denied && item.say.is_none();
    }
    items
}

fn clause(text: &str) -> Clause {
    let mut clause = Clause {
        text: text.trim().to_string(),
        names: Vec::new(),
        words: Vec::new(),
        say: None,
        borrowed: None,
        denied: false,
        kind: None,
        tail: None,
    };
    let mut degree = None;
    let strip = |c: char| matches!(c, '.' | ':' | '(' | ')' | '"' | '?' | '!' | '=');
    for word in text.split_whitespace() {
        let word = word.trim_matches(strip);
        let lower = word.to_lowercase();
        let role = role(&lower);
        if !matches!(role, Role::Filler | Role::Not) && !word.is_empty() {
            clause.words.push(word.to_string());
        }
        match role {
            Role::Say(say) => clause.say = Some(clause.say.map_or(say, |s| firmer(s, say))),
            Role::Kind(kind, say) => {
                clause.kind = Some(kind);
                clause.say = clause.say.or(say);
                if say.is_none() {
                    clause.names.extend(names_of(&lower));
                }
            }
            Role::Not => clause.denied = true,
            Role::Degree(grade) => degree = Some(grade),
            Role::Name if !word.is_empty() => clause.names.extend(names_of(word)),
            Role::Name | Role::Filler => {}
        }
    }
    if let (Some(say), Some(degree)) = (clause.say, degree) {
        clause.say = Some(say.by_degree(degree));
    }
    if let (true, Some(say)) = (clause.denied, clause.say) {
        clause.say = Some(say.denied());
    }
    clause
}

/// Of two words the one that says more: "weak 3/5", "sensory loss: absent".
fn firmer(a: Say, b: Say) -> Say {
    match (a, b) {
        (Say::Weak | Say::Affected, b) => b,
        (a, _) => a,
    }
}

/// "first-web" is two words, "dermatome" itself belongs to a name only after a root.
fn names_of(word: &str) -> Vec<String> {
    if [
        "sensation",
        "sensory",
        "skin",
        "feeling",
        "pinprick",
        "touch",
    ]
    .contains(&word)
        || [
            "jerk",
            "jerks",
            "reflex",
            "reflexes",
            "dermatome",
            "dermatomes",
        ]
        .contains(&word)
    {
        return Vec::new();
    }
    word.split(['-', '_', '/', '\u{2013}'])
        .filter(|w| !w.is_empty() && role(&w.to_lowercase()) != Role::Filler)
        .map(str::to_string)
        .collect()
}

/// A statement that does not say what was found takes it from the next that does ("biceps, deltoid weak"), else from the one before
/// ("weak biceps, deltoid").
fn borrow(all: &mut [Clause]) {
    let mut after: Option<Say> = None;
    for clause in all.iter_mut().rev() {
        match clause.say {
            Some(say) => after = Some(say),
            None => clause.borrowed = after,
        }
    }
    let mut before: Option<Say> = None;
    for clause in all.iter_mut() {
        match clause.say {
            Some(say) => before = Some(say),
            None => clause.borrowed = clause.borrowed.or(before),
        }
    }
}

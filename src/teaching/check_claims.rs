//! Which sentences of notes does the model contradict?

use super::check::{Checker, located};
use super::claims::{Claims, Wrong};
use super::notes::Notes;
use crate::files::Step;
use crate::findings::Findings;

impl Checker<'_> {
    /// Sentences that the model contradicts.
    pub fn claims(&mut self) {
        for (path, wrong) in claims(self.against.claims, self.notes, self.found) {
            self.add(&path, wrong.message, wrong.hint);
        }
    }
}

/// The questions whose lines say what this lesion gives.
pub const OF_THIS_LESION: [&str; 3] = ["muscles", "lost", "kept"];

/// The sentences of notes that the model contradicts, with their places. `found`: what the injured site gives.
pub fn claims(
    claims: &Claims<'_>,
    notes: &Notes,
    found: Option<&Findings>,
) -> Vec<(Vec<Step>, Wrong)> {
    let mut all: Vec<(Vec<Step>, Wrong)> = Vec::new();
    let mut look = |path: Vec<Step>, text: &str, found: Option<&Findings>| {
        let wrong = claims.wrong_in(text, found).into_iter();
        all.extend(wrong.map(|w| (path.clone(), w)));
    };
    for (key, text) in [
        ("idea", &notes.idea),
        ("why_one", &notes.why_one),
        ("vulnerable", &notes.vulnerable),
        ("mimic", &notes.mimic),
        ("rule", &notes.rule),
    ] {
        look(vec![key.into()], text, None);
    }
    for (i, step) in notes.steps.iter().enumerate() {
        for (key, text) in [("say", &step.say), ("then", &step.then)] {
            look(vec!["steps".into(), Step::Item(i), key.into()], text, None);
        }
    }
    for (id, block) in &notes.ask.0 {
        let at = |key: &str| vec!["ask".into(), Step::from(id.as_str()), Step::from(key)];
        for (key, prompt) in [("p", &block.probe), ("l", &block.lead)] {
            look(at(key), prompt.as_deref().unwrap_or_default(), None);
        }
        let found = found.filter(|_| OF_THIS_LESION.contains(&id.as_str()));
        for (path, line) in located(id, block) {
            look([&path[..], &["say".into()]].concat(), &line.say, found);
        }
    }
    all
}

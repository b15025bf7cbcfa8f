//! Are the words of notes short enough to be spoken and ticked, and are replies questions?

use super::block::Block;
use super::check::{Checker, LINE, located};
use crate::diagnostic::short;
use crate::files::Step;
use crate::wording::count_words;

/// Most words of what is said, so that a room sheet keeps to its two sides.
const OPENING: usize = 18;
const CLARIFY: usize = 9;
const PROBE: usize = 24;
const LEAD: usize = 22;
const REPLY: usize = 12;
const CARD: usize = 8;

impl Checker<'_> {
    pub fn lengths(&mut self, block: &Block, at: &[Step]) {
        let path = |key: &str| [at, &[Step::from(key)]].concat();
        let mut too_long = Vec::new();
        let mut look = |path: Vec<Step>, text: &str, most: usize| {
            let words = count_words(text);
            if words > most {
                too_long.push((path, words, most));
            }
        };
        for (i, say) in block.say.iter().enumerate() {
            look([&path("say")[..], &[Step::Item(i)]].concat(), say, OPENING);
        }
        for (key, prompt, most) in [
            ("c", &block.clarify, CLARIFY),
            ("p", &block.probe, PROBE),
            ("l", &block.lead, LEAD),
        ] {
            look(path(key), prompt.as_deref().unwrap_or_default(), most);
        }
        let id = match at.last() {
            Some(Step::Key(id)) => id.clone(),
            _ => String::new(),
        };
        for (line, text) in located(&id, block) {
            look(line, &text.say, LINE);
        }
        for (path, words, most) in too_long {
            self.add(
                &path,
                format!("{words} words, {} too many", words - most),
                format!("say it in {most} words: it is spoken once or ticked in a second"),
            );
        }
    }

    pub fn words(&mut self) {
        for (i, r) in self.notes.replies.iter().enumerate() {
            let path = ["replies".into(), Step::Item(i), "ask".into()];
            if !r.ask.trim_end_matches(['\u{201d}', '"']).ends_with('?') {
                self.add(
                    &path,
                    "this reply is no question",
                    "end it with a question mark: a reply asks, it does not tell",
                );
            }
            let words = count_words(&r.ask);
            if words > REPLY {
                self.add(
                    &path,
                    format!("{words} words, {} too many", words - REPLY),
                    format!("ask it in {REPLY} words"),
                );
            }
            if self.notes.block(&r.at).is_none() {
                self.add(
                    &["replies".into(), Step::Item(i), "at".into()],
                    format!("`{}` is no question of these notes", short(&r.at)),
                    "name the question in which it is heard, such as place",
                );
            }
        }
        if self.notes.card.len() > CARD {
            self.add(
                &["card".into()],
                format!(
                    "{} lines for the patient, {} too many",
                    self.notes.card.len(),
                    self.notes.card.len() - CARD
                ),
                format!("keep {CARD}: nobody can remember more"),
            );
        }
        if !self.notes.candidates.is_empty() && self.notes.candidates.len() != 3 {
            self.add(
                &["candidates".into()],
                format!("{} usual candidates", self.notes.candidates.len()),
                "describe three",
            );
        }
        if !self.notes.anchors.is_empty() && self.notes.anchors.len() != 5 {
            self.add(
                &["anchors".into()],
                format!("{} anchors", self.notes.anchors.len()),
                "write five lines, the best first, or leave the key out",
            );
        }
    }
}

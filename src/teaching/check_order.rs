//! Is anything given away or paid twice within one kind of station?

use super::check::{Checker, Plan, located, same};
use crate::anatomy::Structure;
use crate::files::Step;
use std::collections::BTreeSet;

impl Checker<'_> {
    /// Within one kind of station: nothing is paid twice, and no prompt says what its own points or those before it pay.
    pub fn order(&mut self, plan: &Plan) {
        let vocabulary = self.against.vocabulary;
        // What the candidate has read is no answer.
        let label = |site: usize| self.model.sites.get(site).map(|s| s.label.as_str());
        let own = self.model.sites.iter().find(|s| s.id == self.notes.site);
        let told: BTreeSet<String> = own
            .map(|s| s.label.as_str())
            .into_iter()
            .chain(self.notes.compare_with.and_then(label))
            .filter(|_| plan.tells_place)
            .flat_map(|label| vocabulary.named(label))
            .collect();
        let mut paid: Vec<(Structure, &str)> = Vec::new();
        let mut answers: BTreeSet<String> = BTreeSet::new();
        for (id, _) in &plan.asks {
            let Some((id, block)) = self.notes.ask.0.iter().find(|(k, _)| k == id) else {
                continue;
            };
            let words = block.lines().flat_map(|l| vocabulary.named(&l.say));
            answers.extend(words.filter(|w| !told.contains(w)));
            for (key, prompt) in [
                ("c", &block.clarify),
                ("p", &block.probe),
                ("l", &block.lead),
            ] {
                let said = vocabulary.named(prompt.as_deref().unwrap_or_default());
                let given: Vec<&str> = said.intersection(&answers).map(String::as_str).collect();
                if !given.is_empty() {
                    let path = ["ask".into(), Step::from(id.as_str()), Step::from(key)];
                    let message = format!(
                        "this prompt says \u{201c}{}\u{201d}, for which a mark is paid in this question or in one before it",
                        given.join(", ")
                    );
                    self.add(&path, message, "ask for it without naming it");
                }
            }
            for (path, line) in located(id, block) {
                let Some(s) = line.about else { continue };
                if let Some((_, first)) = paid.iter().find(|(p, _)| same(self.model, *p, s)) {
                    let message = format!("{} is paid in `{first}` already", self.name(s));
                    self.add(
                        &[&path[..], &["about".into()]].concat(),
                        message,
                        "pay each finding once in a station: take another here",
                    );
                }
            }
            paid.extend(block.lines().filter_map(|l| Some((l.about?, id.as_str()))));
        }
    }
}

//! Turns a lesion into the words that would hand its answer to the candidate, and finds them in a text.

use super::branches;
use super::context::Context;
use super::facts::named_segments;
use super::kind::Tells;
use crate::findings::{Findings, Kind};

/// Words and phrases, in small letters, with what each would give away.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Words(Vec<(String, &'static str)>);

impl Words {
    /// The words that stand in the text, whole words only.
    pub fn found_in(&self, text: &str) -> Vec<(&str, &'static str)> {
        let folded = flat(text);
        self.0
            .iter()
            .filter(|(w, _)| folded.contains(&format!(" {w} ")))
            .map(|(w, why)| (w.as_str(), *why))
            .collect()
    }

    fn add(&mut self, word: &str, why: &'static str) {
        let word = flat(word).trim().to_string();
        if word.len() > 1 && !self.0.iter().any(|(w, _)| *w == word) {
            self.0.push((word, why));
        }
    }
}

/// The words that may not stand in this station's candidate sheet.
pub fn forbidden(ctx: &Context<'_>, tells: Tells) -> Words {
    let mut words = Words::default();
    if matches!(tells, Tells::Findings | Tells::Complaint | Tells::Approach) {
        lesion_words(ctx, &mut words);
    }
    // An eponym names the answer in either direction: it stands for the sign and for the lesion behind it.
    // So does one that is absent here: a candidate is told what is seen, never what it is called.
    for sign in &ctx.model.signs {
        words.add(&sign.label, "names a sign");
        for synonym in &sign.synonyms {
            words.add(synonym, "names a sign");
        }
    }
    match tells {
        Tells::Lesion => affected_words(ctx, ctx.found, &mut words),
        Tells::Pair => {
            affected_words(ctx, ctx.found, &mut words);
            if let Some(rival) = &ctx.rival {
                affected_words(ctx, &rival.findings, &mut words);
            }
        }
        Tells::Nerve => branch_words(ctx, &mut words),
        Tells::Findings | Tells::Complaint | Tells::Approach => {}
    }
    words
}

/// What the lesion takes away, for a candidate who is to say so.
fn affected_words(ctx: &Context<'_>, found: &Findings, words: &mut Words) {
    for f in found.of(Kind::Muscle).iter().filter(|f| f.affected()) {
        if let Some(muscle) = ctx.model.muscle(f.structure) {
            words.add(&muscle.label, "names an affected muscle");
        }
    }
    for f in found.of(Kind::Movement).iter().filter(|f| f.affected()) {
        if let Some(movement) = ctx.model.movement(f.structure) {
            words.add(&movement.label, "names an affected movement");
        }
    }
    for f in found.of(Kind::Skin).iter().filter(|f| f.affected()) {
        if let Some(area) = ctx.model.skin_area(f.structure) {
            words.add(&area.region, "names a numb area");
        }
    }
    for f in found.of(Kind::Reflex).iter().filter(|f| f.affected()) {
        if let Some(reflex) = ctx.model.reflex(f.structure) {
            words.add(&reflex.label, "names a changed reflex");
        }
    }
}

/// The branches of the nerve and what they reach.
fn branch_words(ctx: &Context<'_>, words: &mut Words) {
    for item in branches::muscle_items(ctx) {
        if let Some(label) = item.fields.get("label") {
            words.add(label, "names a muscle of this nerve");
        }
    }
    for level in branches::info(ctx).iter().flat_map(|n| &n.levels) {
        words.add(&level.level, "names a level of this nerve");
    }
    affected_words(ctx, ctx.found, words);
}

fn lesion_words(ctx: &Context<'_>, words: &mut Words) {
    for part in &ctx.case.lesion.parts {
        words.add(&part.label, "names the lesion");
        words.add(&part.place.replace('_', " "), "names the lesion");
        if let Some(site) = ctx.model.site(&part.place) {
            for word in site.giveaways.iter().chain(&site.synonyms) {
                words.add(word, "is listed as a giveaway of this site");
            }
        }
    }
    for s in named_segments(ctx.model, ctx.case) {
        let Some(segment) = ctx.model.segments.get(s) else {
            continue;
        };
        words.add(&segment.label, "names the lesion");
        words.add(&segment.nerve_label, "names the nerve");
        words.add(&segment.id.replace('_', " "), "names the lesion");
        if let Some(nerve) = ctx.model.nerve(&segment.nerve) {
            for synonym in &nerve.synonyms {
                words.add(synonym, "names the nerve");
            }
        }
    }
    // Whatever the lesion, a root or a "palsy" named beforehand does the candidate's thinking.
    for root in &ctx.model.roots {
        words.add(root, "names a root");
    }
    words.add("plexus", "names the plexus");
    words.add("palsy", "names a diagnosis");
    words.add("dermatome", "names a root's field");
}

/// Small letters, everything but letters and digits as one blank, a blank at both ends.
pub fn flat(text: &str) -> String {
    let mut out = String::from(" ");
    for c in text.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() {
            out.push(c);
        } else if !out.ends_with(' ') {
            out.push(' ');
        }
    }
    if !out.ends_with(' ') {
        out.push(' ');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_words_are_found_whatever_stands_round_them() {
        let mut words = Words::default();
        words.add("Radial nerve", "x");
        words.add("C7", "x");
        assert_eq!(words.found_in("The radial-nerve, said Ash.").len(), 1);
        assert_eq!(words.found_in("c7?").len(), 1);
        assert!(words.found_in("Radial nerves of C75").is_empty());
    }
}

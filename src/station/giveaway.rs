//! Which words would hand the answer to a candidate, and do they stand in a text?

use super::context::Context;
use super::kind::Tells;
use crate::findings::{Finding, Findings};
use crate::reasoning;
use crate::teaching::Vocabulary;
use crate::wording::flat;

/// Words and phrases, in small letters between blanks, with what each would give away.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Words(Vec<(String, &'static str)>);

impl Words {
    /// The words that stand in the text, whole words only.
    pub fn found_in(&self, text: &str) -> Vec<(&str, &'static str)> {
        let folded = flat(text);
        let standing = self.0.iter().filter(|(w, _)| folded.contains(w.as_str()));
        standing.map(|(w, why)| (w.trim(), *why)).collect()
    }

    fn add(&mut self, word: &str, why: &'static str) {
        let word = format!(" {} ", flat(word).trim());
        if word.len() > 3 && !self.0.iter().any(|(w, _)| *w == word) {
            self.0.push((word, why));
        }
    }
}

/// The words that may not stand in this station's candidate sheet. `rival`: the findings of the other place of a pair.
pub fn forbidden(ctx: &Context<'_>, tells: Tells, rival: Option<&Findings>) -> Words {
    let mut words = Words::default();
    if tells.hides_the_place() {
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
        Tells::Lesion | Tells::Pair => {
            affected_words(ctx, ctx.found, &mut words);
            if let Some(found) = rival {
                affected_words(ctx, found, &mut words);
            }
        }
        Tells::Nerve => {
            branch_words(ctx, &mut words);
            affected_words(ctx, ctx.found, &mut words);
        }
        Tells::Findings | Tells::Complaint | Tells::Approach => {}
    }
    words
}

/// The words that a patient's card may not hold: it is read by somebody who is no doctor, in front of the candidate.
pub fn medical(ctx: &Context<'_>) -> Words {
    let mut words = Words::default();
    lesion_words(ctx, &mut words);
    for name in Vocabulary::of(ctx.model).all() {
        words.add(name, "is a name from anatomy");
    }
    words
}

/// What the lesion takes away, for a candidate who is to say so.
fn affected_words(ctx: &Context<'_>, found: &Findings, words: &mut Words) {
    let model = ctx.model;
    for f in found.all().filter(|f| Finding::affected(f)) {
        let why = match f.structure.kind {
            crate::anatomy::Kind::Muscle => "names an affected muscle",
            crate::anatomy::Kind::Movement => "names an affected movement",
            crate::anatomy::Kind::Skin => "names a numb area",
            crate::anatomy::Kind::Reflex => "names a changed reflex",
            crate::anatomy::Kind::Sign => continue,
        };
        words.add(model.label(f.structure), why);
        if f.structure.kind != crate::anatomy::Kind::Muscle {
            words.add(model.plain(f.structure), why);
        }
    }
}

/// The branches of the nerve and its levels.
fn branch_words(ctx: &Context<'_>, words: &mut Words) {
    let Some(nerve) = reasoning::one_nerve(ctx.model, &ctx.case.lesion) else {
        return;
    };
    for level in reasoning::levels(ctx.model, nerve) {
        words.add(&level.level, "names a level of this nerve");
        for branch in &level.branches {
            words.add(branch, "names a branch of this nerve");
        }
    }
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
    for s in reasoning::heads(ctx.model, &ctx.case.lesion) {
        let Some(segment) = ctx.model.segments.get(s) else {
            continue;
        };
        words.add(&segment.label, "names the lesion");
        words.add(&segment.nerve_label, "names the nerve");
        words.add(&segment.id.replace('_', " "), "names the lesion");
        for synonym in ctx
            .model
            .nerve(&segment.nerve)
            .map_or(&[][..], |n| &n.synonyms)
        {
            words.add(synonym, "names the nerve");
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

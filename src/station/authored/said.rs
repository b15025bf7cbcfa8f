//! Does what an own station says agree with the model, with its patient and with itself?

use super::Report;
use super::raw::{OwnFile, SideWord};
use crate::anatomy::Model;
use crate::files::Step;
use crate::findings::Findings;
use crate::teaching::{self, Claims, Line, Notes, OF_THIS_LESION, Vocabulary};
use std::collections::BTreeSet;

/// Parts of a limb: "right" before one of them is a side.
const PARTS: [&str; 24] = [
    "arm", "hand", "elbow", "shoulder", "wrist", "finger", "fingers", "thumb", "forearm", "palm",
    "leg", "foot", "knee", "hip", "thigh", "calf", "ankle", "toe", "toes", "heel", "buttock",
    "groin", "limb", "side",
];

/// Everything that does not agree.
pub fn check(
    model: &Model,
    file: &OwnFile,
    own: &Notes,
    found: &Findings,
    report: &mut Report<'_>,
) {
    let claims = Claims::of(model);
    for (path, wrong) in teaching::claims(&claims, own, Some(found)) {
        let path = [&["teaching".into()], &path[..]].concat();
        report.add(&path, wrong.message, wrong.hint);
    }
    for (i, q) in file.questions.iter().enumerate() {
        let here = OF_THIS_LESION.contains(&q.ask.as_str());
        for (path, line) in lines(i, &q.points, q.any.as_ref().map(|c| &c.of[..])) {
            let found = Some(found).filter(|_| here);
            for wrong in claims.wrong_in(&line.say, found) {
                report.add(&path, wrong.message, wrong.hint);
            }
            side(&line.say, file, &path, report);
        }
        let prompts = [("c", Some(&q.c)), ("p", Some(&q.p)), ("l", q.l.as_ref())];
        for (key, text) in [("say", Some(&q.say))].into_iter().chain(prompts) {
            let path: [Step; 3] = ["questions".into(), i.into(), key.into()];
            let Some(text) = text else { continue };
            for wrong in claims.wrong_in(text, None) {
                report.add(&path, wrong.message, wrong.hint);
            }
            side(text, file, &path, report);
        }
    }
    for (key, text) in [
        ("stem", &file.stem),
        ("stem_note", &file.stem_note),
        ("examiner_note", &file.examiner_note),
    ] {
        for wrong in claims.wrong_in(text, None) {
            report.add(&[key.into()], wrong.message, wrong.hint);
        }
        side(text, file, &[key.into()], report);
    }
    name(file, report);
    given(model, file, report);
}

/// Every line of a question with its place.
fn lines<'q>(
    question: usize,
    points: &'q [Line<String, String>],
    any: Option<&'q [Line<String, String>]>,
) -> Vec<(Vec<Step>, &'q Line<String, String>)> {
    let at = |keys: &[Step], i: usize| {
        let start: [Step; 2] = ["questions".into(), Step::Item(question)];
        [&start[..], keys, &[Step::Item(i), "say".into()]].concat()
    };
    let fixed = points.iter().enumerate();
    let fixed = fixed.map(|(i, l)| (at(&["points".into()], i), l));
    let any = any.unwrap_or_default().iter().enumerate();
    let any = any.map(|(i, l)| (at(&["any".into(), "of".into()], i), l));
    fixed.chain(any).collect()
}

/// The other side of the patient's is named, and not called the other one.
fn side(text: &str, file: &OwnFile, path: &[Step], report: &mut Report<'_>) {
    let (own, wrong) = match file.patient.side {
        SideWord::Left => ("left", "right"),
        SideWord::Right => ("right", "left"),
    };
    for sentence in text.split_inclusive(['.', '?', '!']) {
        let words = words(sentence);
        // Who compares sides names both.
        if words
            .iter()
            .any(|w| w == own || w == "other" || w == "both")
        {
            continue;
        }
        let named = words
            .windows(2)
            .any(|w| w[0] == wrong && PARTS.contains(&w[1].as_str()));
        if named {
            report.add(
                path,
                format!("this speaks of the {wrong} side, and the patient is hurt on the {own}"),
                "correct the words, or `side:` of the patient",
            );
        }
    }
}

/// Words of a name that stand for nobody.
const TITLES: [&str; 7] = ["baby", "mr", "mrs", "ms", "dr", "miss", "the"];

/// A sentence about somebody else: two capitals in a row that are neither the patient's nor the setting's.
fn name(file: &OwnFile, report: &mut Report<'_>) {
    let patient = words(&file.patient.name);
    let known: BTreeSet<String> = words(&file.setting)
        .into_iter()
        .chain(patient.clone())
        .collect();
    for (key, text) in [("stem", &file.stem), ("stem_note", &file.stem_note)] {
        let spoken: Vec<&str> = text.split_whitespace().collect();
        let capital = |w: &str| w.chars().next().is_some_and(char::is_uppercase);
        let bare = |w: &str| {
            w.trim_matches(|c: char| !c.is_alphanumeric())
                .to_lowercase()
        };
        let other = spoken.windows(2).find(|w| {
            let both = w.iter().all(|w| capital(w) && w.chars().count() > 2);
            let ends = w[0].ends_with(['.', ',', ';', ':', '!', '?']);
            let strange = w.iter().all(|w| {
                let bare = bare(w);
                let base = bare.strip_suffix("\u{2019}s").or(bare.strip_suffix("'s"));
                !known.contains(base.unwrap_or(&bare))
            });
            both && !ends && strange && !TITLES.contains(&bare(w[0]).as_str())
        });
        if let Some(pair) = other {
            report.add(
                &[key.into()],
                format!(
                    "this speaks of {}, and the patient is called {}",
                    pair.join(" ").trim_end_matches(['.', ',', ';']),
                    file.patient.name.trim()
                ),
                "give both the same name",
            );
        }
    }
}

/// What a line pays may not stand in what the candidate reads.
fn given(model: &Model, file: &OwnFile, report: &mut Report<'_>) {
    let vocabulary = Vocabulary::of(model);
    let mut paid: BTreeSet<String> = BTreeSet::new();
    for q in &file.questions {
        let any = q.any.iter().flat_map(|c| &c.of);
        for line in q.points.iter().chain(any) {
            paid.extend(vocabulary.named(&line.say));
        }
    }
    let task = file.task.join(" ");
    for (key, text) in [
        ("setting", &file.setting),
        ("stem", &file.stem),
        ("stem_note", &file.stem_note),
        ("task", &task),
    ] {
        let said = vocabulary.named(text);
        let given: Vec<&str> = said.intersection(&paid).map(String::as_str).collect();
        if !given.is_empty() {
            report.add(
                &[key.into()],
                format!(
                    "the candidate reads \u{201c}{}\u{201d}, for which a line pays a mark",
                    given.join(", ")
                ),
                "say it in other words, or pay for something else",
            );
        }
    }
}

fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric() && c != '-')
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect()
}

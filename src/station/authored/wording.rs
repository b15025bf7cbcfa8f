//! Is an own station worded as published rules for reviewing written and oral questions advise?
//!
//! The rules, recalled from memory:
//! - one question at a time, positively worded, no vague frequencies: Haladyna, Downing and Rodriguez, Applied Measurement in
//!   Education 15:309 (2002), rules on content, stem and style; Paniagua and Swygert (eds), Constructing Written Test Questions for
//!   the Basic and Clinical Sciences, NBME, 4th edition (2016), on absolute and vague terms and on needless patient details.
//! - open questions first, the same wording for every candidate, no feedback during the examination: Wakeford, Southgate and Wass,
//!   Improving oral examinations, BMJ 311:931 (1995); Tekian and Yudkowsky, Oral examinations, in Assessment in Health Professions
//!   Education, Routledge (2009).

use super::Report;
use super::raw::OwnFile;
use crate::files::Step;
use crate::wording::count_words;

/// Longest question that can be taken in by ear (common practice, no source).
const LONGEST: usize = 35;

/// Starts of a question that yes or no answers.
const CLOSED: [&str; 16] = [
    "is", "are", "was", "does", "do", "did", "can", "could", "would", "will", "has", "have",
    "should", "may", "might", "am",
];
const VAGUE: [&str; 12] = [
    "usually",
    "often",
    "sometimes",
    "frequently",
    "rarely",
    "generally",
    "typically",
    "always",
    "never",
    "commonly",
    "occasionally",
    "normally",
];
const PRAISE: [&str; 7] = [
    "well done",
    "good answer",
    "excellent",
    "that is right",
    "that's right",
    "unfortunately",
    "are you sure",
];
/// Words that tell more of a person than the anatomy needs.
const NEEDLESS: [&str; 16] = [
    "he",
    "she",
    "his",
    "her",
    "him",
    "man",
    "woman",
    "gentleman",
    "lady",
    "male",
    "female",
    "caucasian",
    "asian",
    "african",
    "foreign",
    "accent",
];

/// Advice on the whole file; two questions in one line are a problem, as in the shipped questions.
pub fn check(file: &OwnFile, report: &mut Report<'_>) {
    for (i, q) in file.questions.iter().enumerate() {
        let at = |key: &str| -> Vec<Step> { vec!["questions".into(), i.into(), key.into()] };
        opening(&q.say, &at("say"), report);
        let c = Some(&q.c).filter(|_| !q.says_again());
        let prompts = [("c", c), ("p", Some(&q.p)), ("l", q.l.as_ref())];
        for (key, text) in [("say", Some(&q.say))].into_iter().chain(prompts) {
            if let Some(text) = text {
                spoken(text, &at(key), report);
            }
        }
    }
    let texts = [("stem", &file.stem), ("setting", &file.setting)];
    for (key, text) in texts {
        if let Some(word) = NEEDLESS.iter().find(|w| has(text, w)) {
            report.advise(
                &[key.into()],
                format!(
                    "\u{201c}{word}\u{201d} tells of sex or origin, which the anatomy does not need"
                ),
                "write \u{201c}they\u{201d}, or the name (NBME 2016, on needless patient details)",
            );
        }
        if let Some(word) = VAGUE.iter().find(|w| has(text, w)) {
            vague(word, &[key.into()], report);
        }
    }
}

fn opening(text: &str, path: &[Step], report: &mut Report<'_>) {
    let first = text
        .split(|c: char| !c.is_alphanumeric())
        .find(|w| !w.is_empty())
        .unwrap_or_default()
        .to_lowercase();
    if CLOSED.contains(&first.as_str()) {
        report.advise(
            path,
            format!("a question that starts with \u{201c}{first}\u{201d} can be answered with yes or no"),
            "ask what, where, which, how or why first, and keep the closed form for the leading prompt (Wakeford 1995)",
        );
    }
    if let Some(word) = ["not", "except", "cannot", "don't", "doesn't"]
        .iter()
        .find(|w| has(text, w))
    {
        report.advise(
            path,
            format!("the question is worded negatively: \u{201c}{word}\u{201d}"),
            "ask for what is there, not for what is not (Haladyna 2002)",
        );
    }
}

/// Rules for everything that the examiner says.
fn spoken(text: &str, path: &[Step], report: &mut Report<'_>) {
    if text.matches('?').count() > 2 {
        report.add(
            path,
            "three questions are asked at once",
            "ask one thing at a time, with its reason at most: make it two questions (Haladyna 2002)",
        );
    }
    if text.trim().is_empty() || text.contains(['{', '}']) {
        report.add(
            path,
            "this is no finished sentence",
            "write it as it is to be spoken, without braces",
        );
    }
    let words = count_words(text);
    if words > LONGEST {
        report.advise(
            path,
            format!("{words} words are hard to take in by ear"),
            format!("say it in {LONGEST} words or fewer (common practice, no source)"),
        );
    }
    if let Some(word) = VAGUE.iter().find(|w| has(text, w)) {
        vague(word, path, report);
    }
    if let Some(word) = PRAISE.iter().find(|w| has(text, w)) {
        report.advise(
            path,
            format!("\u{201c}{word}\u{201d} tells the candidate how they are doing"),
            "keep the wording neutral: no praise and no blame during the examination (Wakeford 1995)",
        );
    }
}

fn vague(word: &str, path: &[Step], report: &mut Report<'_>) {
    report.advise(
        path,
        format!("\u{201c}{word}\u{201d} means something else to every reader"),
        "leave it out or give the figure (NBME 2016, on vague and absolute terms)",
    );
}

/// Whole words only.
fn has(text: &str, word: &str) -> bool {
    let lower = text.to_lowercase();
    lower.match_indices(word).any(|(at, _)| {
        let edge = |c: Option<char>| !c.is_some_and(char::is_alphanumeric);
        edge(lower[..at].chars().next_back()) && edge(lower[at + word.len()..].chars().next())
    })
}

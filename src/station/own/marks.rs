//! Turns the questions of an own station into what does not add up: marks, minutes, caps, a ladder that does not climb.

use super::Report;
use super::raw::{OwnFile, OwnQuestion};
use crate::files::Step;
use crate::station::checks::{READING_WPM, SPEAKING_WPM};
use crate::station::count_words;
use crate::station::family::RungName;
use crate::station::plan::{CLOSING, OPENING, figure};
use crate::station::terms::{Term, revealed, words};

/// Shortest and longest station and reading time, in minutes.
const MINUTES: std::ops::RangeInclusive<u32> = 4..=20;
const READING: std::ops::RangeInclusive<u32> = 1..=5;
const MARKS: std::ops::RangeInclusive<u32> = 4..=100;
const QUESTIONS: std::ops::RangeInclusive<usize> = 1..=12;

/// Everything that does not add up.
pub fn check(file: &OwnFile, report: &mut Report<'_>) {
    range(report, "minutes", file.minutes, MINUTES, "minutes");
    range(
        report,
        "reading_minutes",
        file.reading_minutes,
        READING,
        "minutes of reading",
    );
    range(report, "marks", file.marks, MARKS, "marks");
    if !QUESTIONS.contains(&file.questions.len()) {
        report.add(
            &["questions".into()],
            format!("{} questions make no station", file.questions.len()),
            "write 1 to 12",
        );
    }
    for (i, q) in file.questions.iter().enumerate() {
        points(q, i, report);
        ladder(q, i, report);
        speaking(q, i, report);
    }
    let sum: u32 = file
        .questions
        .iter()
        .map(marks)
        .fold(0, u32::saturating_add);
    if sum != file.marks {
        report.add(
            &["marks".into()],
            format!(
                "the points of all questions make {sum} marks, not {}",
                file.marks
            ),
            format!("write `marks: {sum}`, or change the marks of the points"),
        );
    }
    let halves: u32 = file
        .questions
        .iter()
        .map(half_minutes)
        .fold(0, u32::saturating_add);
    let all = halves.saturating_add(OPENING + CLOSING);
    if all != file.minutes.saturating_mul(2) {
        let text = |h: u32| figure(f64::from(h) / 2.0);
        report.add(
            &["minutes".into()],
            format!(
                "the questions take {} minutes; with {} for the greeting and {} for the end that is {}, not {}",
                text(halves), text(OPENING), text(CLOSING), text(all), file.minutes
            ),
            "change the minutes of the questions or of the station",
        );
    }
    reading(file, report);
}

fn range(
    report: &mut Report<'_>,
    key: &str,
    value: u32,
    allowed: std::ops::RangeInclusive<u32>,
    what: &str,
) {
    if !allowed.contains(&value) {
        report.add(
            &[key.into()],
            format!("{value} {what} cannot be"),
            format!("write {} to {}", allowed.start(), allowed.end()),
        );
    }
}

/// The marks of a question.
pub fn marks(q: &OwnQuestion) -> u32 {
    q.points
        .iter()
        .map(|p| p.marks)
        .fold(0, u32::saturating_add)
}

/// The time of a question in half minutes.
pub fn half_minutes(q: &OwnQuestion) -> u32 {
    (q.minutes * 2.0).round().clamp(0.0, 1000.0) as u32
}

fn at(i: usize, key: &str) -> Vec<Step> {
    vec!["questions".into(), i.into(), key.into()]
}

fn points(q: &OwnQuestion, i: usize, report: &mut Report<'_>) {
    if !(q.minutes.is_finite() && q.minutes >= 0.5 && (q.minutes * 2.0).fract() == 0.0) {
        report.add(
            &at(i, "minutes"),
            "the minutes are not counted in halves",
            "write 0.5, 1, 1.5 ...",
        );
    }
    if q.domain.trim().is_empty() {
        report.add(
            &at(i, "domain"),
            "the question belongs to no domain",
            "write for instance localisation, anatomy, clinical reasoning, examination or safety",
        );
    }
    if q.points.is_empty() {
        report.add(
            &at(i, "points"),
            "there is nothing to mark",
            "add expected points",
        );
    }
    for (k, p) in q.points.iter().enumerate() {
        let path = [&at(i, "points")[..], &[k.into(), "say".into()]].concat();
        if words(&p.say).is_empty() || p.say.contains(['{', '}']) {
            report.add(
                &path,
                "the mark line has no answer",
                "write what the candidate has to say for the mark",
            );
        }
        if p.marks == 0 || p.marks > 10 {
            let path = [&at(i, "points")[..], &[k.into(), "marks".into()]].concat();
            report.add(
                &path,
                format!("{} marks for one point", p.marks),
                "write 1 to 10; split a point that is worth more",
            );
        }
        if q.points[..k].iter().any(|o| o.say.trim() == p.say.trim()) {
            report.add(
                &path,
                "the same point stands twice",
                "remove one of the two",
            );
        }
    }
}

/// The words of the expected points, as a prompt may give them away.
pub fn terms(q: &OwnQuestion) -> Vec<Term> {
    q.points
        .iter()
        .map(|p| Term {
            answer: words(&p.say),
            hints: words(&p.because),
            marks: p.marks,
        })
        .collect()
}

fn ladder(q: &OwnQuestion, i: usize, report: &mut Report<'_>) {
    let order = [RungName::Clarify, RungName::Probe, RungName::Lead];
    if !q.prompts.iter().map(|p| p.rung).eq(order) {
        report.add(
            &at(i, "prompts"),
            "the prompts are not clarify, probe, lead",
            "write these three rungs in this order, each giving away more than the one before",
        );
        return;
    }
    let terms = terms(q);
    let whole = f64::from(marks(q));
    let mut said: Vec<&str> = vec![&q.ask];
    let mut before: Option<(f64, f64)> = None;
    for (k, prompt) in q.prompts.iter().enumerate() {
        let path = |key: &str| [&at(i, "prompts")[..], &[k.into(), key.into()]].concat();
        let name = prompt.rung.word();
        let fresh = revealed(&prompt.say, &terms, &said);
        let gives = revealed(&prompt.say, &terms, &[&q.ask]);
        let Some(cap) = prompt.cap else {
            report.add(
                &[&at(i, "prompts")[..], &[k.into()]].concat(),
                format!("the prompt \u{201c}{name}\u{201d} has no cap"),
                "add `cap:`, the marks of the question still in reach after it",
            );
            said.push(&prompt.say);
            continue;
        };
        if !(0.0..=whole).contains(&cap) || (cap * 2.0).fract() != 0.0 {
            report.add(
                &path("cap"),
                format!("a cap of {cap} does not fit a question of {whole} marks"),
                "write marks from 0 up to the marks of the question, in halves",
            );
        }
        if k > 0 && fresh < 0.5 {
            report.add(
                &path("say"),
                format!(
                    "the prompt \u{201c}{name}\u{201d} gives away no more than those before it"
                ),
                "let it name more of the expected points",
            );
        }
        if let Some((less, higher)) = before {
            if gives + 1e-9 < less {
                report.add(
                    &path("say"),
                    format!(
                        "the prompt \u{201c}{name}\u{201d} gives away less than the one before it"
                    ),
                    "exchange the two or change their wording",
                );
            }
            if cap >= higher {
                report.add(
                    &path("cap"),
                    format!("the prompt \u{201c}{name}\u{201d} costs nothing: its cap of {cap} is not below {higher}"),
                    "let the caps fall from prompt to prompt",
                );
            }
        }
        before = Some((gives, cap));
        said.push(&prompt.say);
    }
}

fn speaking(q: &OwnQuestion, i: usize, report: &mut Report<'_>) {
    let said: usize = std::iter::once(&q.ask)
        .chain(q.prompts.iter().map(|p| &p.say))
        .map(|t| count_words(t))
        .sum();
    // The examiner may use at most half of the time: the rest is the candidate's.
    let most = SPEAKING_WPM * half_minutes(q) as usize / 4;
    if said > most {
        report.add(
            &at(i, "minutes"),
            format!("question and prompts have {said} words, more than the {most} that half of the time allows at {SPEAKING_WPM} words a minute"),
            "shorten them or give the question more minutes",
        );
    }
}

fn reading(file: &OwnFile, report: &mut Report<'_>) {
    let count: usize = std::iter::once(&file.setting)
        .chain([&file.stem])
        .chain(&file.task)
        .chain(&file.not_required)
        .map(|t| count_words(t))
        .sum();
    let most = READING_WPM * file.reading_minutes.min(60) as usize;
    if count > most {
        report.add(
            &["stem".into()],
            format!(
                "setting, stem and task have {count} words, but {} minutes at {READING_WPM} words a minute allow {most}",
                file.reading_minutes
            ),
            "shorten the stem, or give more reading time",
        );
    }
}

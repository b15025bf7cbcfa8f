//! Do the marks, minutes and prompts of an own station add up?

use super::Report;
use super::raw::{OwnFile, OwnQuestion};
use crate::diagnostic::{did_you_mean, short};
use crate::files::Step;
use crate::station::kind::StationKind;
use crate::station::{LONGEST, READING_WPM, SHORTEST, SPEAKING_WPM};
use crate::teaching::{DOMAINS, Families};
use crate::wording::count_words;
use std::ops::RangeInclusive;

const READING: RangeInclusive<u32> = 1..=5;
const MARKS: RangeInclusive<u32> = 4..=100;
const QUESTIONS: RangeInclusive<usize> = 1..=12;
/// Seconds for the greeting, and for the end.
const EDGE: u32 = 30;

/// Everything that does not add up.
pub fn check(
    file: &OwnFile,
    kind: Option<&StationKind>,
    families: &Families,
    report: &mut Report<'_>,
) {
    range(
        report,
        "minutes",
        file.minutes,
        SHORTEST..=LONGEST,
        "minutes",
    );
    range(
        report,
        "reading_minutes",
        file.reading_minutes,
        READING,
        "minutes of reading",
    );
    range(report, "marks", file.marks, MARKS, "marks");
    reading(file, report);
    if file.questions.is_empty() {
        return;
    }
    if !QUESTIONS.contains(&file.questions.len()) {
        let message = format!("{} questions make no station", file.questions.len());
        report.add(&["questions".into()], message, "write 1 to 12");
    }
    for (i, q) in file.questions.iter().enumerate() {
        names(q, i, kind, families, report);
        lines(q, i, report);
        prompts(q, i, report);
        speaking(q, i, report);
    }
    let sum = file
        .questions
        .iter()
        .map(OwnQuestion::marks)
        .fold(0, u32::saturating_add);
    if sum != file.marks {
        let message = format!(
            "the lines of all questions make {sum} marks, not {}",
            file.marks
        );
        report.add(
            &["marks".into()],
            message,
            format!("write `marks: {sum}`, or change the marks of the lines"),
        );
    }
    let seconds = file
        .questions
        .iter()
        .map(OwnQuestion::seconds)
        .fold(0, u32::saturating_add);
    let all = seconds.saturating_add(2 * EDGE);
    if all != file.minutes.saturating_mul(60) {
        let text = |s: u32| f64::from(s) / 60.0;
        let message = format!(
            "the questions take {} minutes; with half a minute for the greeting and half a minute for the end that is {}, not {}",
            text(seconds),
            text(all),
            file.minutes
        );
        report.add(
            &["minutes".into()],
            message,
            "change the minutes of the questions or of the station",
        );
    }
}

fn range(report: &mut Report<'_>, key: &str, value: u32, allowed: RangeInclusive<u32>, what: &str) {
    if !allowed.contains(&value) {
        let hint = format!("write {} to {}", allowed.start(), allowed.end());
        report.add(&[key.into()], format!("{value} {what} cannot be"), hint);
    }
}

fn at(i: usize, key: &str) -> Vec<Step> {
    vec!["questions".into(), i.into(), key.into()]
}

fn names(
    q: &OwnQuestion,
    i: usize,
    kind: Option<&StationKind>,
    families: &Families,
    report: &mut Report<'_>,
) {
    if families.get(&q.ask).is_none() {
        let known = families.all().iter().map(|f| f.id.as_str());
        let hint = did_you_mean(&q.ask, known, "the questions are the files of questions/");
        report.add(
            &at(i, "ask"),
            format!("no question is called `{}`", short(&q.ask)),
            hint,
        );
    } else if let Some(kind) = kind.filter(|k| !k.asks(&q.ask)) {
        let message = format!("the kind `{}` does not ask `{}`", kind.id, short(&q.ask));
        report.add(
            &at(i, "ask"),
            message,
            format!(
                "choose another question, or another kind; {} asks: {}",
                kind.id,
                kind.questions().join(", ")
            ),
        );
    }
    if let Some(domain) = q.domain.as_deref().filter(|d| !DOMAINS.contains(d)) {
        let hint = did_you_mean(
            domain,
            DOMAINS,
            &format!("use one of: {}", DOMAINS.join(", ")),
        );
        report.add(
            &at(i, "domain"),
            format!("`{}` is no domain", short(domain)),
            hint,
        );
    }
    if !(q.minutes.is_finite() && q.minutes >= 0.5 && (q.minutes * 4.0).fract() == 0.0) {
        report.add(
            &at(i, "minutes"),
            "the minutes are not counted in quarters",
            "write 0.5, 0.75, 1 ...",
        );
    }
}

fn lines(q: &OwnQuestion, i: usize, report: &mut Report<'_>) {
    let of = q.any.as_ref().map_or(&[][..], |c| &c.of);
    if q.points.is_empty() && of.is_empty() {
        report.add(
            &at(i, "points"),
            "there is nothing to mark",
            "add lines to tick",
        );
    }
    let fixed = q
        .points
        .iter()
        .enumerate()
        .map(|(k, l)| (vec![Step::from("points"), Step::Item(k)], l));
    let chosen = of
        .iter()
        .enumerate()
        .map(|(k, l)| (vec![Step::from("any"), "of".into(), Step::Item(k)], l));
    let mut seen: Vec<&str> = Vec::new();
    for (path, line) in fixed.chain(chosen) {
        let path = [
            &[Step::from("questions"), i.into()],
            &path[..],
            &["say".into()],
        ]
        .concat();
        let say = line.say.trim();
        if !say.chars().any(char::is_alphanumeric) || say.contains(['{', '}']) {
            report.add(
                &path,
                "the line has no answer",
                "write what the candidate has to say for the mark",
            );
        }
        if line.marks == 0 || line.marks > 10 {
            report.add(
                &path,
                format!("{} marks for one line", line.marks),
                "write 1 to 10; split a line that is worth more",
            );
        }
        if seen.contains(&say) {
            report.add(&path, "the same line stands twice", "remove one of the two");
        }
        seen.push(say);
    }
    if let Some(c) = &q.any {
        if c.choose == 0 || c.choose as usize > c.of.len() {
            let message = format!("{} of {} lines cannot be chosen", c.choose, c.of.len());
            report.add(
                &[&at(i, "any")[..], &["choose".into()]].concat(),
                message,
                "write how many of the lines are enough",
            );
        }
        if c.each == 0 || c.each > 10 {
            report.add(
                &[&at(i, "any")[..], &["each".into()]].concat(),
                format!("{} marks for one line", c.each),
                "write 1 to 10",
            );
        }
    }
}

fn prompts(q: &OwnQuestion, i: usize, report: &mut Report<'_>) {
    let whole = f64::from(q.marks());
    let prompts = 1 + usize::from(!q.says_again()) + usize::from(q.l.is_some());
    if !q.caps.is_empty() && q.caps.len() != prompts {
        let message = format!("{} caps for {prompts} prompts", q.caps.len());
        report.add(
            &at(i, "caps"),
            message,
            "write one figure for each prompt, or leave `caps` out",
        );
    }
    let fits = |cap: &f64| (0.0..=whole).contains(cap) && (cap * 2.0).fract() == 0.0;
    if let Some(cap) = q.caps.iter().find(|c| !fits(c)) {
        let message = format!("a cap of {cap} does not fit a question of {whole} marks");
        report.add(
            &at(i, "caps"),
            message,
            "write marks from 0 up to the marks of the question, in halves",
        );
    }
    if q.caps.windows(2).any(|w| w[1] >= w[0]) {
        report.add(
            &at(i, "caps"),
            "a prompt costs nothing: its cap is not below the one before it",
            "let the caps fall from prompt to prompt",
        );
    }
}

/// The examiner may use at most half of the time: the rest is the candidate's.
fn speaking(q: &OwnQuestion, i: usize, report: &mut Report<'_>) {
    let texts = [&q.say, &q.c, &q.p].into_iter().chain(&q.l);
    let said: usize = texts.map(|t| count_words(t)).sum();
    let most = SPEAKING_WPM * q.seconds() as usize / 120;
    if said > most {
        let message = format!(
            "question and prompts have {said} words, {} too many: half of the time allows {most} at {SPEAKING_WPM} words a minute",
            said - most
        );
        report.add(
            &at(i, "minutes"),
            message,
            "shorten them or give the question more minutes",
        );
    }
}

fn reading(file: &OwnFile, report: &mut Report<'_>) {
    let texts = [
        &file.setting,
        &file.stem,
        &file.stem_note,
        &file.not_required,
    ]
    .into_iter()
    .chain(&file.task);
    let count: usize = texts.map(|t| count_words(t)).sum();
    let most = READING_WPM * file.reading_minutes.min(60) as usize;
    if count > most {
        let message = format!(
            "setting, stem and task have {count} words, but {} minutes at {READING_WPM} words a minute allow {most}",
            file.reading_minutes
        );
        report.add(
            &["stem".into()],
            message,
            "shorten the stem, or give more reading time",
        );
    }
}

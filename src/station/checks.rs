//! What is wrong with a station? One with a problem is not printed.

use super::station::{Question, Rung, Station};
use crate::anatomy::Model;
use crate::diagnostic::Problem;
use crate::teaching::{Vocabulary, same};
use crate::wording::{count_words, flat};
use std::collections::BTreeSet;

/// Words a minute a candidate reads (the reading pace that the sheets are held to).
pub const READING_WPM: usize = 175;
/// Words a minute an examiner speaks when reading a script aloud (common practice, no source: 120 to 150).
pub const SPEAKING_WPM: usize = 130;

/// Every problem at once.
pub fn check(model: &Model, station: &Station) -> Vec<Problem> {
    let mut found = Vec::new();
    let told = told_words(model, station);
    let vocabulary = Vocabulary::of(model);
    let mut answers: BTreeSet<String> = BTreeSet::new();
    for q in &station.questions {
        wording(q, &mut found);
        speaking(q, &mut found);
        prompts(q, &vocabulary, &told, &mut answers, &mut found);
    }
    paid_once(model, station, &mut found);
    card(station, &mut found);
    sums(station, &mut found);
    found
}

fn in_question(q: &Question, message: String) -> Problem {
    Problem::new(format!("question {} ({}): {message}", q.number, q.id))
}

fn wording(q: &Question, found: &mut Vec<Problem>) {
    let texts = std::iter::once(&q.opening).chain(q.prompts.iter().map(|p| &p.say));
    for text in texts.filter(|t| t.trim().is_empty() || t.contains(['{', '}'])) {
        let problem = in_question(
            q,
            format!("this is no finished sentence: \u{201c}{text}\u{201d}"),
        );
        found.push(problem.hint("check its placeholders"));
    }
    let lines = q.groups.iter().flat_map(|g| &g.points);
    for line in lines.filter(|p| p.say.trim().is_empty() || p.marks == 0) {
        let problem = in_question(
            q,
            format!(
                "this line earns nothing or says nothing: \u{201c}{}\u{201d}",
                line.say
            ),
        );
        found.push(problem.hint("write what is to be ticked, and its marks"));
    }
    let rungs: Vec<Rung> = q.prompts.iter().map(|p| p.rung).collect();
    // For two marks the question is said again where the first prompt would stand.
    let first = q.marks <= 2 || rungs.contains(&Rung::Clarify);
    let ordered = rungs.is_sorted() && first && rungs.contains(&Rung::Probe);
    let falling = q.prompts.windows(2).all(|w| w[1].cap < w[0].cap);
    let possible = q
        .prompts
        .iter()
        .all(|p| p.cap >= 0.0 && p.cap <= f64::from(q.marks));
    if !(ordered && falling && possible) {
        let problem = in_question(
            q,
            "its prompts are not C, P and L with falling figures".to_string(),
        );
        found.push(problem.hint("write at least c and p; each prompt leaves fewer marks than the one before, the first at most all"));
    }
}

/// The examiner may use at most half of the time: the rest is the candidate's.
fn speaking(q: &Question, found: &mut Vec<Problem>) {
    let said: usize = std::iter::once(&q.opening)
        .chain(q.prompts.iter().map(|p| &p.say))
        .map(|t| count_words(t))
        .sum();
    let most = SPEAKING_WPM * q.seconds as usize / 120;
    if said > most {
        let problem = in_question(
            q,
            format!(
                "opening and prompts have {said} words, {} too many: half of its time allows {most} at {SPEAKING_WPM} words a minute",
                said - most
            ),
        );
        found.push(problem.hint("shorten them, or give the station more minutes"));
    }
}

/// The names that the candidate has read, and so are no answer.
fn told_words(model: &Model, station: &Station) -> BTreeSet<String> {
    let c = &station.candidate;
    let mut text = format!("{} {} {}", c.told_lesion, c.told_places.join(" "), c.story);
    for row in &c.rows {
        for item in &row.items {
            text.push(' ');
            text.push_str(&item.text);
        }
    }
    if let Some(approach) = &c.approach {
        text.push_str(&approach.told);
    }
    Vocabulary::of(model).named(&text)
}

/// No prompt says what its own lines or those of an earlier question pay.
fn prompts(
    q: &Question,
    vocabulary: &Vocabulary,
    told: &BTreeSet<String>,
    answers: &mut BTreeSet<String>,
    found: &mut Vec<Problem>,
) {
    let lines = q.groups.iter().flat_map(|g| &g.points);
    answers.extend(
        lines
            .flat_map(|p| vocabulary.named(&p.say))
            .filter(|w| !told.contains(w)),
    );
    for prompt in &q.prompts {
        let said = vocabulary.named(&prompt.say);
        let given: Vec<&str> = said.intersection(answers).map(String::as_str).collect();
        if !given.is_empty() {
            let problem = in_question(
                q,
                format!(
                    "the prompt \u{201c}{}\u{201d} says \u{201c}{}\u{201d}, which a line of this or an earlier question pays",
                    prompt.say,
                    given.join(", ")
                ),
            );
            found.push(problem.hint("ask for it without naming it"));
        }
    }
}

/// Whoever plays the patient is no doctor, and the candidate may see the card.
fn card(station: &Station, found: &mut Vec<Problem>) {
    let Some(card) = &station.card else { return };
    let lines = card.lines.iter().map(|l| &l.say);
    for text in lines.chain([&card.says, &card.strong, &card.if_asked, &card.stop]) {
        for (word, why) in card.forbidden.found_in(text) {
            let problem = Problem::new(format!(
                "the patient's card says \u{201c}{word}\u{201d}, which {why}"
            ));
            found.push(problem.hint("say it in plain words in the notes of the place: card, strong, if_asked, says, stop"));
        }
    }
}

/// A finding pays once in a station; a muscle and its own movement are one.
fn paid_once(model: &Model, station: &Station, found: &mut Vec<Problem>) {
    let mut paid: Vec<(crate::anatomy::Structure, usize)> = Vec::new();
    for q in &station.questions {
        for s in q
            .groups
            .iter()
            .flat_map(|g| &g.points)
            .filter_map(|p| p.about)
        {
            if let Some((_, first)) = paid.iter().find(|(p, _)| same(model, *p, s)) {
                let problem = in_question(
                    q,
                    format!("{} is paid in question {first} already", model.plain(s)),
                );
                found.push(problem.hint("pay each finding once in a station"));
            }
            paid.push((s, q.number));
        }
    }
}

fn sums(station: &Station, found: &mut Vec<Problem>) {
    for q in &station.questions {
        let sum: u32 = q.groups.iter().map(super::station::Group::marks).sum();
        if sum != q.marks {
            found.push(
                in_question(q, format!("its lines make {sum} marks, not {}", q.marks))
                    .hint("add or remove a line"),
            );
        }
    }
    let all: u32 = station.questions.iter().map(|q| q.marks).sum();
    if all != station.total_marks {
        let problem = Problem::new(format!(
            "the questions make {all} marks, not {}",
            station.total_marks
        ));
        found.push(problem.hint("the marks of a station must add up to its total"));
    }
    let end = station.questions.last().map_or(0, |q| q.from + q.seconds);
    if end > station.minutes * 60 {
        let problem = Problem::new(format!(
            "the questions end {} seconds after the station",
            end - station.minutes * 60
        ));
        found.push(problem.hint("ask for more minutes, or fewer questions"));
    }
}

/// A picture on the candidate sheet: no answer word in its title, its labels or the words that stand for it.
pub fn check_candidate_picture(station: &Station, file: &str, text: &str) -> Vec<Problem> {
    let given = |(word, why): &(String, &str)| {
        let problem = Problem::new(format!(
            "{}: the picture {file} on the candidate sheet says \u{201c}{word}\u{201d}, which {why}",
            station.code
        ));
        problem.hint("leave the picture out under `pictures:` of the kind, or put its phrases and labels in other words")
    };
    giveaways(station, text).iter().map(given).collect()
}

/// The words of the text that the candidate may not read, each with what it would give away.
pub fn giveaways(station: &Station, text: &str) -> Vec<(String, &'static str)> {
    let c = &station.candidate;
    // The code is letters and digits by chance: "T1" in it is no root. What the kind tells is told, each in its own words only.
    let mut free = flat(&text.replace(&station.code, " "));
    for said in c
        .told_places
        .iter()
        .chain([&c.told_lesion, &station.lesion.sentence])
    {
        let said = flat(said);
        let tells = station.kind.tells == super::Tells::Lesion
            || c.told_places.iter().any(|p| flat(p) == said);
        if tells && !said.trim().is_empty() {
            free = free.replace(said.trim(), " ");
        }
    }
    let found = c.forbidden.found_in(&free);
    found
        .into_iter()
        .map(|(w, why)| (w.to_string(), why))
        .collect()
}

/// The candidate sheet as printed: no answer word.
pub fn check_candidate_text(station: &Station, text: &str) -> Vec<Problem> {
    let given = giveaways(station, text).into_iter();
    given
        .map(|(word, why)| {
            let problem = Problem::new(format!("{}: the candidate sheet says \u{201c}{word}\u{201d}, which {why}", station.code));
            problem.hint("put it in other words in the scenario, the kind or the template; or choose another seed")
        })
        .collect()
}

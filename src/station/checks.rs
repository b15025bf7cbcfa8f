//! Turns a station into the list of what is wrong with it; a station with a problem is not printed.

use super::english::count_words;
use super::giveaway::flat;
use super::terms::{revealed, words};
use super::{Question, Station};
use crate::diagnostic::Problem;

/// Words a minute a candidate reads (the reading pace that the sheets are held to).
pub const READING_WPM: usize = 175;
/// Words a minute an examiner speaks when reading a script aloud (common practice, no source: 120 to 150).
pub const SPEAKING_WPM: usize = 130;

/// Every problem at once.
pub fn check(station: &Station) -> Vec<Problem> {
    let mut found = Vec::new();
    for q in &station.questions {
        wording(q, &mut found);
        ladder(q, &mut found);
        points(q, &mut found);
        speaking(q, &mut found);
    }
    sums(station, &mut found);
    super::acting::check(station, &mut found);
    let c = &station.candidate;
    let mut text = [c.setting.as_str(), c.story.as_str(), c.note.as_str()].join(" ");
    for line in c.task.iter().chain(&c.not_required) {
        text.push(' ');
        text.push_str(line);
    }
    for o in &c.told {
        text.push(' ');
        text.push_str(&o.text);
    }
    found.extend(check_candidate_text(station, &text));
    found
}

/// A picture on the candidate sheet: no answer word in its title, its labels or the words that stand for it.
pub fn check_candidate_picture(station: &Station, file: &str, text: &str) -> Vec<Problem> {
    let given = |(word, why): &(String, &str)| {
        Problem::new(format!(
            "{}: the picture {file} on the candidate sheet says \u{201c}{word}\u{201d}, which {why}",
            station.code
        ))
        .hint("leave the picture out under `pictures:` of the kind, or put its phrases and labels in other words")
    };
    giveaways(station, text).iter().map(given).collect()
}

/// The words of the text that the candidate may not read, each with what it would give away.
fn giveaways(station: &Station, text: &str) -> Vec<(String, &'static str)> {
    let told = flat(&station.candidate.told_lesion);
    // The code is letters and digits by chance: "T1" in it is no root.
    let mut free = flat(&text.replace(&station.code, " "));
    if told.trim() != "" {
        free = free.replace(told.trim(), " ");
    }
    // So is whatever else the kind tells, each in its own words only.
    for said in &station.candidate.told_places {
        free = free.replace(flat(said).trim(), " ");
    }
    let found = station.candidate.forbidden.found_in(&free);
    found
        .into_iter()
        .map(|(w, why)| (w.to_string(), why))
        .collect()
}

/// The candidate sheet as printed: no answer word, and short enough for the reading time.
pub fn check_candidate_text(station: &Station, text: &str) -> Vec<Problem> {
    let mut found = Vec::new();
    for (word, why) in giveaways(station, text) {
        found.push(
            Problem::new(format!(
                "{}: the candidate sheet says \u{201c}{word}\u{201d}, which {why}",
                station.code
            ))
            .hint("put it in other words in the scenario, the kind or the template; or choose another seed"),
        );
    }
    let words = count_words(text);
    let most = READING_WPM * station.reading_minutes as usize;
    if words > most {
        found.push(
            Problem::new(format!(
                "{}: the candidate sheet has {words} words, but {} minutes at {READING_WPM} words a minute allow {most}",
                station.code, station.reading_minutes
            ))
            .hint("shorten the scenario or the task"),
        );
    }
    found
}

fn in_question(q: &Question, message: String) -> Problem {
    Problem::new(format!("question {} ({}): {message}", q.number, q.family))
}

fn wording(q: &Question, found: &mut Vec<Problem>) {
    let texts = std::iter::once(("opening", &q.opening))
        .chain(q.ladder.iter().map(|r| (r.rung.as_str(), &r.say)));
    for (name, text) in texts {
        if text.matches('?').count() > 1 {
            found.push(
                in_question(
                    q,
                    format!("the {name} asks two questions at once: \u{201c}{text}\u{201d}"),
                )
                .hint(format!(
                    "keep one question in questions/{}.yaml, or make it two families",
                    q.family
                )),
            );
        }
        if text.trim().is_empty() || text.contains(['{', '}']) {
            found.push(
                in_question(
                    q,
                    format!("the {name} is not a finished sentence: \u{201c}{text}\u{201d}"),
                )
                .hint("check its placeholders"),
            );
        }
    }
}

fn ladder(q: &Question, found: &mut Vec<Problem>) {
    let file = format!("questions/{}.yaml", q.family);
    if q.ladder
        .iter()
        .map(|r| r.rung.as_str())
        .ne(["clarify", "probe", "lead"])
    {
        found.push(
            in_question(
                q,
                "the ladder has lost a rung: no wording of it fits this case".into(),
            )
            .hint(format!("add a wording with fewer placeholders to {file}")),
        );
    }
    // A word that was told counts all the same when a prompt points at it: that it matters is a part of the answer.
    let mut said: Vec<&str> = vec![&q.opening];
    let mut before: Option<(f64, f64)> = None;
    for (i, rung) in q.ladder.iter().enumerate() {
        let fresh = revealed(&rung.say, &q.terms, &said);
        let whole = revealed(&rung.say, &q.terms, &[&q.opening]);
        let Some(cap) = rung.cap else {
            found.push(
                in_question(
                    q,
                    format!("the rung \u{201c}{}\u{201d} has no cap", rung.rung),
                )
                .hint(format!(
                    "give it `cap:` in {file}: the share of the marks still in reach"
                )),
            );
            continue;
        };
        if i > 0 && fresh < 0.5 {
            found.push(
                in_question(
                    q,
                    format!(
                        "the rung \u{201c}{}\u{201d} gives away no more than those before it: \u{201c}{}\u{201d}",
                        rung.rung, rung.say
                    ),
                )
                .hint(format!("let it name more of the answer in {file}")),
            );
        }
        if let Some((less, higher)) = before {
            if whole + 1e-9 < less {
                found.push(
                    in_question(
                        q,
                        format!(
                            "the rung \u{201c}{}\u{201d} gives away less than the one before (a weight of {whole:.1} after {less:.1})",
                            rung.rung
                        ),
                    )
                    .hint(format!("exchange the two or change their wording in {file}")),
                );
            }
            if cap >= higher {
                found.push(
                    in_question(q, format!("the rung \u{201c}{}\u{201d} costs nothing: its cap of {cap} marks is not below {higher}", rung.rung))
                        .hint(format!("let the caps fall from rung to rung in {file}")),
                );
            }
        }
        if cap > f64::from(q.marks) || cap < 0.0 {
            found.push(
                in_question(
                    q,
                    format!("a cap of {cap} marks does not fit {} marks", q.marks),
                )
                .hint(format!("write shares from 0 to 1 in {file}")),
            );
        }
        before = Some((whole, cap));
        said.push(&rung.say);
    }
}

fn points(q: &Question, found: &mut Vec<Problem>) {
    if q.points.is_empty() {
        found.push(in_question(q, "there is nothing to mark".into()).hint("add expected points"));
    }
    for (i, p) in q.points.iter().enumerate() {
        if words(&p.text).is_empty() || p.text.contains(['{', '}']) {
            found.push(
                in_question(
                    q,
                    format!(
                        "mark line {} has no answer: \u{201c}{}\u{201d}",
                        i + 1,
                        p.text
                    ),
                )
                .hint(format!(
                    "check `say:` of its source in questions/{}.yaml",
                    q.family
                )),
            );
        }
        if p.marks == 0 {
            found.push(
                in_question(q, format!("mark line {} carries no mark", i + 1))
                    .hint("give it a mark or drop it"),
            );
        }
    }
}

fn speaking(q: &Question, found: &mut Vec<Problem>) {
    let said: usize = std::iter::once(&q.opening)
        .chain(q.ladder.iter().map(|r| &r.say))
        .map(|t| count_words(t))
        .sum();
    // The examiner may use at most half of the time: the rest is the candidate's.
    let most = SPEAKING_WPM * q.half_minutes as usize / 4;
    if said > most {
        found.push(
            in_question(
                q,
                format!("opening and prompts have {said} words, more than the {most} that half of its time allows at {SPEAKING_WPM} words a minute"),
            )
            .hint(format!("shorten them in questions/{}.yaml or give the family more minutes", q.family)),
        );
    }
}

fn sums(station: &Station, found: &mut Vec<Problem>) {
    let mut all = 0;
    for q in &station.questions {
        let sum: u32 = q.points.iter().map(|p| p.marks).sum();
        all += sum;
        if sum != q.marks {
            found.push(
                in_question(q, format!("its points make {sum} marks, not {}", q.marks))
                    .hint("add or remove a point"),
            );
        }
    }
    let by_domain: u32 = station.domains.iter().map(|d| d.marks).sum();
    for (what, sum) in [("questions", all), ("domains", by_domain)] {
        if sum != station.total_marks {
            found.push(
                Problem::new(format!(
                    "the {what} make {sum} marks, not {}",
                    station.total_marks
                ))
                .hint("the marks of a station must add up to its total"),
            );
        }
    }
    let planned: u32 = station.plan.iter().map(|s| s.half_minutes).sum();
    if planned != station.minutes * 2 {
        found.push(
            Problem::new(format!(
                "the plan takes {} minutes, not {}",
                f64::from(planned) / 2.0,
                station.minutes
            ))
            .hint("change the minutes of the question families"),
        );
    }
}

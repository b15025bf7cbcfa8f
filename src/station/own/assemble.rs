//! Turns a proofread own file and its case into the station data that every sheet is printed from.

use super::marks::{half_minutes, marks, terms};
use super::raw::{OwnQuestion, OwnWrong};
use super::stated::{Stated, named};
use super::{Parts, Report, stem};
use crate::case::Level;
use crate::diagnostic::Failure;
use crate::files::{Step, fnv1a};
use crate::findings::derive;
use crate::lesion;
use crate::station::acting::brief;
use crate::station::answer::{answer, either_way, sources};
use crate::station::build::{domains, lesion_info, patient, time};
use crate::station::code::{Recipe, code};
use crate::station::context::Context;
use crate::station::english::{article, capital};
use crate::station::family::LevelWord;
use crate::station::fit;
use crate::station::giveaway::forbidden;
use crate::station::kind::{StationKind, Tells};
use crate::station::observe::plain;
use crate::station::plan::{figure, slots};
use crate::station::rivals::{self, bedside};
use crate::station::structure::{shown, structure};
use crate::station::telling::{candidate, kind_info};
use crate::station::text::{level_id, level_number};
use crate::station::{Authored, LevelInfo, Point, Question, Rung, Station, Stock, Wrong, check};
use crate::station::{difficulty, proof};

/// Builds the station; what is wrong goes into the report, and then nobody may print it.
///
/// # Errors
/// As [`rivals::rank`]; exit code 1 when the kind's own texts are wrong.
pub fn station(
    parts: &Parts<'_>,
    stock: &Stock<'_>,
    kind: &StationKind,
    stated: &[Stated],
    report: &mut Report<'_>,
) -> Result<Station, Failure> {
    let (file, case) = (parts.file, parts.case);
    let level = level_of(file.level);
    let rivals = rivals::rank(parts.model, &case.lesion, &case.findings, parts.fixed)?;
    let mut ctx = Context::new(parts.model, case, parts.fixed, level, rivals);
    let bank = stock.approaches()?;
    fit::furnish(&mut ctx, kind, bank, 0);
    if !ctx.facts.all_hold(&kind.when) {
        return Err(fit::unfit(case, kind));
    }
    let words = forbidden(&ctx, kind.tells);
    let told_lesion = match kind.tells {
        Tells::Lesion => case.lesion.sentence(),
        _ => String::new(),
    };
    stem::check(file, &words, &told_lesion, report);
    if kind.tells == Tells::Findings {
        ctx.told = told(&ctx, parts, stated, &words, report);
    }
    let mut own_kind = kind.clone();
    if !file.task.is_empty() {
        own_kind.task.clone_from(&file.task);
    }
    if !file.not_required.is_empty() {
        own_kind.not_required.clone_from(&file.not_required);
    }
    if let Some(pictures) = &file.pictures {
        own_kind.pictures.clone_from(pictures);
    }
    let belief = stock.belief_with(parts.fixed);
    let all_told = ctx.told.clone();
    let proof = proof::prove(&mut ctx, &belief, kind.tells == Tells::Findings, &|_| false);
    fit::furnish(&mut ctx, kind, bank, 0);
    // The author decides what is told, however much it is.
    ctx.told = all_told;
    let questions: Vec<Question> = file
        .questions
        .iter()
        .enumerate()
        .map(|(i, q)| question(&ctx, q, i, report))
        .collect();
    author(&ctx, parts, report);
    let mut printed = fit::parts(&ctx, kind);
    let brief = brief(&ctx, &own_kind, &mut printed, &questions);
    let version = stock.version().to_string();
    let (answer, (either_way, open)) = (answer(&ctx), either_way(&ctx));
    let difficulty = difficulty::declare(
        difficulty::steps(&answer),
        &questions,
        proof.margin_bits,
        open,
        proof.equals.len(),
    );
    let place = format!("own:{}", file.id);
    let recipe = Recipe {
        kind,
        level,
        minutes: file.minutes,
        seed: fnv1a(report.source.text.as_bytes()),
        place: &place,
        variants: &file.variants,
        content_version: &version,
    };
    let station = Station {
        code: code(&recipe),
        command: format!("vivasmith station {place}{}", stock.content.argument()),
        seed: 0,
        level: LevelInfo {
            id: level_id(level).to_string(),
            number: level_number(level),
        },
        minutes: file.minutes,
        reading_minutes: file.reading_minutes,
        total_marks: file.marks,
        region: parts.model.label.clone(),
        patient: patient(case),
        candidate: candidate(&ctx, &own_kind, file.minutes, words)?,
        lesion: lesion_info(&ctx),
        time: time(&ctx),
        brief,
        plan: slots(
            questions
                .iter()
                .map(|q| (q.half_minutes, q.domain.as_str())),
        ),
        domains: domains(&questions),
        questions,
        either_way,
        dangers: file.dangers.clone(),
        proof,
        difficulty,
        parts: printed,
        answer,
        sources: sources(&ctx),
        kind: kind_info(&ctx, &own_kind, level)?,
        content_version: stock.content.version_with(report.source),
        own: Some(Authored {
            id: file.id.clone(),
            title: file.title.trim().to_string(),
            author: file.author.trim().to_string(),
            answer: file.answer.iter().map(|p| p.trim().to_string()).collect(),
        }),
    };
    // Whatever the checks above have not said with a place is still refused.
    if report.problems.is_empty() {
        for problem in check(&station) {
            report.add(&["questions".into()], problem.message, problem.hint);
        }
    }
    Ok(station)
}

fn level_of(word: LevelWord) -> Level {
    match word {
        LevelWord::Early => Level::Early,
        LevelWord::Clinical => Level::Clinical,
        LevelWord::Trainee => Level::Trainee,
    }
}

/// The stated findings that the candidate reads.
fn told(
    ctx: &Context<'_>,
    parts: &Parts<'_>,
    stated: &[Stated],
    words: &crate::station::Words,
    report: &mut Report<'_>,
) -> Vec<crate::findings::Finding> {
    let mut kept = Vec::new();
    for (i, key) in parts.file.keep_back.iter().enumerate() {
        let names = named(parts.model, key);
        let known = stated.iter().any(|s| names.contains(&s.seen.structure));
        if !known {
            report.add(
                &["keep_back".into(), i.into()],
                format!(
                    "`{}` is none of the findings",
                    crate::diagnostic::short(key)
                ),
                "write a key of `findings:`",
            );
        }
        kept.extend(names);
    }
    let mut told = Vec::new();
    for s in stated {
        let f = s.derived;
        if kept.contains(&f.structure) || !(f.affected() || f.spared()) {
            continue;
        }
        let path = [Step::from("findings"), Step::from(s.key.as_str())];
        if !bedside(parts.model, &f) {
            report.add(
                &path,
                "no candidate finds this at the bedside",
                "list it under `keep_back:`, so that only the examiner has it",
            );
        }
        if let Some((word, why)) = words.found_in(&plain(ctx, &f)).first() {
            report.add(
                &path,
                format!("the candidate would read \u{201c}{word}\u{201d}, which {why}"),
                "list it under `keep_back:`, or state what is lost in its place",
            );
        }
        told.push(f);
    }
    if told.is_empty() {
        report.add(
            &["findings".into()],
            "the candidate is told no finding",
            "state at least one, and do not keep them all back",
        );
    }
    told
}

fn question(ctx: &Context<'_>, q: &OwnQuestion, i: usize, report: &mut Report<'_>) -> Question {
    let wrong = q
        .wrong
        .iter()
        .enumerate()
        .filter_map(|(k, w)| {
            let path: Vec<Step> = vec!["questions".into(), i.into(), "wrong".into(), k.into()];
            wrong(ctx, w, &path, report)
        })
        .collect();
    Question {
        number: i + 1,
        family: "own".to_string(),
        domain: q.domain.trim().to_string(),
        half_minutes: half_minutes(q),
        opening: q.ask.trim().to_string(),
        ladder: q
            .prompts
            .iter()
            .map(|p| Rung {
                rung: p.rung.word().to_string(),
                say: p.say.trim().to_string(),
                cap: p.cap,
                cap_text: p.cap.map(figure).unwrap_or_default(),
            })
            .collect(),
        points: q
            .points
            .iter()
            .map(|p| Point {
                text: capital(p.say.trim()),
                reason: p.because.trim().to_string(),
                marks: p.marks,
                about: None,
            })
            .collect(),
        marks: marks(q),
        wrong,
        terms: terms(q),
    }
}

/// The finding that refutes a wrong answer, derived where its lesion is named.
fn wrong(ctx: &Context<'_>, w: &OwnWrong, path: &[Step], report: &mut Report<'_>) -> Option<Wrong> {
    let answer = w.answer.trim().trim_end_matches('.').to_string();
    if let Some(reason) = &w.because {
        if w.lesion.is_some() {
            report.add(
                path,
                "a wrong answer has `lesion` or `because`, not both",
                "remove one of the two",
            );
        }
        return Some(Wrong {
            answer,
            place: true,
            finding: String::new(),
            here: String::new(),
            there: String::new(),
            elsewhere: String::new(),
            reason: reason.trim().trim_end_matches('.').to_string(),
        });
    }
    let Some(text) = &w.lesion else {
        report.add(
            path,
            "nothing refutes this wrong answer",
            "add `lesion:` (where it would be right; the finding is derived), or `because:` with the reason",
        );
        return None;
    };
    let at = [path, &["lesion".into()]].concat();
    let other = match lesion::parse(ctx.model, text) {
        Ok(other) => other,
        Err(failure) => {
            report.failed(&at, &failure);
            return None;
        }
    };
    let theirs = derive(ctx.model, &other, ctx.fixed);
    let differs = rivals::differences(ctx.model, ctx.found, &theirs);
    let best = differs
        .iter()
        .find(|d| bedside(ctx.model, &d.here) && shown(ctx, &d.here));
    let Some(d) = best else {
        report.add(
            &at,
            format!(
                "no finding tells {} from the stated lesion",
                article(&other.sentence())
            ),
            "then this answer is not wrong: accept it, or name another lesion",
        );
        return None;
    };
    let fields = structure(ctx, &d.here).fields;
    let get = |n: &str| fields.get(n).cloned().unwrap_or_default();
    Some(Wrong {
        answer,
        place: true,
        finding: get("label"),
        here: d.here.word().to_string(),
        there: d.there.word().to_string(),
        elsewhere: article(&other.sentence()),
        reason: get("reason"),
    })
}

/// The author's own words: they must be there, and should name the answer.
fn author(ctx: &Context<'_>, parts: &Parts<'_>, report: &mut Report<'_>) {
    let file = parts.file;
    for (key, text) in [("title", &file.title), ("author", &file.author)] {
        if text.trim().is_empty() || text.contains('\n') {
            report.add(
                &[key.into()],
                format!("the {key} is not one line"),
                "write one line",
            );
        }
    }
    if file.answer.iter().all(|p| p.trim().is_empty()) {
        report.add(
            &["answer".into()],
            "there is no answer",
            "write at least one paragraph",
        );
    }
    let nerve = ctx.facts.get("nerve").unwrap_or_default();
    let all = file.answer.join(" ").to_lowercase();
    if !nerve.is_empty() && !all.contains(&nerve.to_lowercase()) {
        report.advise(
            &["answer".into()],
            format!("the answer never names the {nerve}"),
            "name the structure that the stated lesion cuts",
        );
    }
}

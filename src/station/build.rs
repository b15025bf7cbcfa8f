//! Turns a case and a request into a checked station.

use super::acting::{brief, shows};
use super::answer::{answer, either_way, sources};
use super::ask::{Draft, drafts, question};
use super::checks::check;
use super::code::{Recipe, code, command};
use super::context::Context;
use super::english::{article, capital, fill};
use super::facts::injury_word;
use super::family::Family;
use super::fit;
use super::giveaway::forbidden;
use super::kind::{StationKind, Tells};
use super::observe::{choose, tellable};
use super::plan::{self, Ask, TOTAL};
use super::stock::Stock;
use super::telling::{candidate, kind_info};
use super::text::{level_id, level_number};
use super::*;
use super::{difficulty, proof, rivals};
use crate::anatomy::Model;
use crate::case::{Age, Case, Level, Stream};
use crate::diagnostic::{Failure, Problem};
use crate::files::Content;
use crate::findings::{Finding, Fixed};

/// Reading time before every station, in minutes (common practice, no source: one to two minutes).
pub const READING_MINUTES: u32 = 2;
const SHORTEST: u32 = 4;
const LONGEST: u32 = 20;

/// What is asked for beside the case.
#[derive(Debug, Clone)]
pub struct StationRequest {
    /// `None`: drawn from the seed.
    pub kind: Option<StationKind>,
    pub level: Level,
    /// `None`: what is usual at the level.
    pub minutes: Option<u32>,
    pub seed: u64,
    /// The place argument that gives this case again with the same seed; `None`: the id of the case's site.
    pub place: Option<String>,
    /// The variants held, as in the arguments, and as derived.
    pub variants: Vec<String>,
    pub fixed: Vec<Fixed>,
}

/// Minutes of a station when none are asked for.
pub fn default_minutes(level: Level) -> u32 {
    match level {
        Level::Early => 6,
        Level::Clinical => 8,
        Level::Trainee => 10,
    }
}

/// Builds one station; [`build_from`] builds many. Same model, content, case and request: same station.
///
/// # Errors
/// As [`build_from`].
pub fn build(
    model: &Model,
    content: &Content,
    case: &Case,
    request: &StationRequest,
) -> Result<Station, Failure> {
    let stock = Stock::new(model, content, &request.fixed);
    build_from(&stock, case, request, &mut |_, _| {})
}

/// Builds a station from what several share. `chosen` is told the kind and the names of
/// its blanks as soon as they are known, so that pictures can be drawn
/// meanwhile.
///
/// # Errors
/// Exit code 2 when the minutes are out of range; 1 when the content or the station breaks a rule (all problems at once).
pub fn build_from(
    stock: &Stock<'_>,
    case: &Case,
    request: &StationRequest,
    chosen: &mut dyn FnMut(&StationKind, Vec<String>),
) -> Result<Station, Failure> {
    let model = stock.model;
    let minutes = request
        .minutes
        .unwrap_or_else(|| default_minutes(request.level));
    if !(SHORTEST..=LONGEST).contains(&minutes) {
        return Err(Failure::usage(
            Problem::new(format!("{minutes} minutes are no length for a station"))
                .hint(format!("ask for {SHORTEST} to {LONGEST} minutes")),
        ));
    }
    let all_kinds = stock.kinds()?;
    let bank = stock.approaches()?;
    let bare = fit::bare(model, case, request.place.as_deref(), &request.fixed);
    let mut wanted: Vec<StationKind> = match &request.kind {
        Some(kind) => vec![kind.clone()],
        None => all_kinds.to_vec(),
    };
    Stream::new(request.seed, "station/kind").shuffle(&mut wanted);
    let mut found = None;
    for kind in &wanted {
        let case = if kind.patient { case } else { &bare };
        let rivals = rivals::rank(model, &case.lesion, &case.findings, &request.fixed)?;
        let mut ctx = Context::new(model, case, &request.fixed, request.level, rivals);
        fit::furnish(&mut ctx, kind, bank, request.seed);
        if ctx.facts.all_hold(&kind.when) {
            found = Some((kind, case, ctx));
            break;
        }
    }
    let Some((kind, case, mut ctx)) = found else {
        return Err(wanted.first().map_or_else(
            || super::text::missing_file(super::kind::FILE),
            |kind| fit::unfit(case, kind),
        ));
    };
    chosen(kind, super::telling::blanks(&ctx, kind));
    let fitting: Vec<&Family> = stock
        .families()?
        .iter()
        .filter(|f| f.fits(kind, request.level))
        .collect();
    let words = forbidden(&ctx, kind.tells);
    if kind.tells == Tells::Findings {
        ctx.told = choose(&ctx, &words);
    }
    if shows(&ctx, &[]).is_empty() {
        return Err(Failure::content(
            Problem::new(format!(
                "{}: no finding is certain enough to examine on",
                case.lesion.sentence()
            ))
            .hint("take the complete lesion, or another site: what may go either way can carry no mark"),
        ));
    }
    let belief = stock.belief_with(&request.fixed);
    let allowed: Vec<Finding> = case
        .findings
        .all()
        .filter(|f| kind.tells == Tells::Findings && tellable(&ctx, &words, f))
        .copied()
        .collect();
    let usable = |f: &Finding| allowed.iter().any(|a| a.structure == f.structure);
    let proof = proof::prove(&mut ctx, &belief, kind.tells == Tells::Findings, &usable);
    // The proof may have put the rivals into another order.
    fit::furnish(&mut ctx, kind, bank, request.seed);
    let (questions, dangers) = script(&ctx, &fitting, minutes, kind)?;
    let mut parts = fit::parts(&ctx, kind);
    let brief = brief(&ctx, kind, &mut parts, &questions);
    let version = stock.version().to_string();
    let (answer, (either_way, open)) = (answer(&ctx), either_way(&ctx));
    let difficulty = difficulty::declare(
        difficulty::steps(&answer),
        &questions,
        proof.margin_bits,
        open,
        proof.equals.len(),
    );
    let recipe = Recipe {
        kind,
        level: request.level,
        minutes,
        seed: request.seed,
        place: request.place.as_deref().unwrap_or(&case.site),
        variants: &request.variants,
        content_version: &version,
    };
    let station = Station {
        code: code(&recipe),
        command: command(&recipe) + &stock.content.argument(),
        seed: request.seed,
        level: LevelInfo {
            id: level_id(request.level).to_string(),
            number: level_number(request.level),
        },
        minutes,
        reading_minutes: READING_MINUTES,
        total_marks: TOTAL,
        region: model.label.clone(),
        patient: patient(case),
        candidate: candidate(&ctx, kind, minutes, words)?,
        lesion: lesion_info(&ctx),
        time: time(&ctx),
        brief,
        plan: plan::slots(
            questions
                .iter()
                .map(|q| (q.half_minutes, q.domain.as_str())),
        ),
        domains: domains(&questions),
        questions,
        either_way,
        dangers,
        parts,
        proof,
        difficulty,
        answer,
        sources: sources(&ctx),
        kind: kind_info(&ctx, kind, request.level)?,
        content_version: version,
        own: None,
    };
    match check(&station) {
        problems if problems.is_empty() => Ok(station),
        problems => Err(Failure::Content(problems)),
    }
}

/// The questions with their marks and minutes, and the dangerous answers that belong to them.
fn script(
    ctx: &Context<'_>,
    families: &[&Family],
    minutes: u32,
    kind: &StationKind,
) -> Result<(Vec<Question>, Vec<String>), Failure> {
    let drafts: Vec<Draft<'_>> = drafts(ctx, families);
    let asks: Vec<Ask> = drafts.iter().map(|d| d.ask(ctx.level)).collect();
    let chosen = plan::choose(&asks, minutes * 2);
    let drafts: Vec<&Draft<'_>> = chosen.iter().filter_map(|&i| drafts.get(i)).collect();
    let asks: Vec<Ask> = drafts.iter().map(|d| d.ask(ctx.level)).collect();
    let marks = plan::share(&asks, TOTAL).ok_or_else(|| {
        Failure::content(
            Problem::new(format!(
                "no question family of kind {} and level {} has anything to ask about the {}",
                kind.id,
                level_id(ctx.level),
                ctx.case.lesion.sentence()
            ))
            .hint("choose another kind, level or site, or write a question family for it"),
        )
    })?;
    let least: Vec<u32> = asks.iter().map(|a| a.least).collect();
    let times = plan::times(&least, minutes * 2);
    let questions: Vec<Question> = drafts
        .iter()
        .zip(marks.iter().zip(&times))
        .enumerate()
        .map(|(i, (d, (marks, half)))| question(ctx, d, i + 1, *half, marks))
        .collect();
    let mut dangers: Vec<String> = Vec::new();
    for danger in drafts.iter().flat_map(|d| &d.family.dangers) {
        if ctx.facts.all_hold(&danger.when)
            && let Ok(text) = fill(&danger.say, &|n| ctx.facts.get(n))
            && !dangers.contains(&text)
        {
            dangers.push(text);
        }
    }
    Ok((questions, dangers))
}

pub(super) fn domains(questions: &[Question]) -> Vec<Domain> {
    let mut all: Vec<Domain> = Vec::new();
    for q in questions {
        let number = q.number.to_string();
        match all.iter_mut().find(|d| d.name == q.domain) {
            Some(d) => {
                d.marks += q.marks;
                d.questions = format!("{}, {number}", d.questions);
            }
            None => all.push(Domain {
                name: q.domain.clone(),
                marks: q.marks,
                questions: number,
            }),
        }
    }
    all
}

pub(super) fn patient(case: &Case) -> PatientInfo {
    let p = &case.patient;
    let age = match p.age {
        Age::Years(1) => "1 year old".to_string(),
        Age::Years(y) => format!("{y} years old"),
        Age::Days(1) => "1 day old".to_string(),
        Age::Days(d) => format!("{d} days old"),
    };
    PatientInfo {
        name: p.name.clone(),
        age,
        newborn: matches!(p.age, Age::Days(_)),
        side: p.side.word().to_string(),
        handed: p
            .dominant
            .map_or_else(String::new, |d| format!("{}-handed", d.word())),
        dominant_side_injured: p.dominant.map(|d| d == p.side),
        occupation: p.occupation.as_deref().map(article).unwrap_or_default(),
    }
}

pub(super) fn lesion_info(ctx: &Context<'_>) -> LesionInfo {
    let get = |n: &str| ctx.facts.get(n).unwrap_or_default();
    LesionInfo {
        sentence: ctx.case.lesion.sentence(),
        sentence_capital: capital(&ctx.case.lesion.sentence()),
        text: ctx.case.lesion.text(),
        place: get("place"),
        nerve: get("nerve"),
        nerve_capital: capital(&get("nerve")),
        level: get("level"),
        origin: get("origin"),
        destination: get("destination"),
    }
}

pub(super) fn time(ctx: &Context<'_>) -> TimeInfo {
    let t = &ctx.case.timeline;
    TimeInfo {
        since: t.since.clone(),
        gradual: t.gradual,
        wasting: t.wasting,
        denervation: t.denervation,
        injury: injury_word(t.injury).to_string(),
        recovery: t.recovery.clone(),
        motor: ctx.found.muscles.iter().any(|f| f.affected()),
    }
}

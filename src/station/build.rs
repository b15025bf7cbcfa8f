//! The one way from a draft to a station that can be printed.

use super::build_cache::BuildCache;
use super::checks::check;
use super::code::{Recipe, code, command};
use super::context::Context;
use super::draft::{Draft, Origin, Told};
use super::giveaway::{Words, forbidden};
use super::questions::{self, question, timed};
use super::station::*;
use super::usable::Usable;
use super::{Tells, level_id, level_number};
use super::{answer, briefing, candidate, card, difficulty, fit, moved, proof, room, spread};
use crate::anatomy::{Kind, Model, Structure};
use crate::case::{Age, Case, NerveInjury};
use crate::diagnostic::Failure;
use crate::findings::Finding;
use crate::lesion::with_article;
use crate::reasoning;
use crate::teaching::{Line, Situation, Vocabulary};
use crate::wording::{article, list};
use std::collections::BTreeSet;

/// The station of a draft, checked.
///
/// # Errors
/// Exit code 1 with everything that is wrong with it.
pub fn station(cache: &BuildCache<'_>, mut draft: Draft) -> Result<Station, Failure> {
    let model = cache.model;
    let proof = proof::prove(cache, &mut draft)?;
    let mut questions = script(cache, &draft, &proof)?;
    let ctx = Context::new(model, &draft.case, draft.level);
    let rival = match &draft.told {
        Told::Pair { rival, .. } => Some(&rival.findings),
        _ => None,
    };
    let words = forbidden(&ctx, draft.kind.tells, rival);
    let recipe = recipe(cache, &draft);
    let situation = situation(model, &draft);
    let mut room = room::room(&ctx, &draft, &questions, &proof, &situation);
    // What a teacher wrote is printed, or they are told that it is too long.
    if matches!(draft.origin, Origin::Drawn { .. }) {
        fit::fit(&mut questions, &mut room, &draft);
    } else {
        fit::fit_authored(&questions, &mut room, draft.kind.tells.played());
    }
    let difficulty = difficulty::declare(&draft, &questions, &proof);
    let built = Station {
        code: code(&recipe),
        command: command(&recipe) + &cache.content.argument(),
        seed: draft.seed,
        level: LevelInfo {
            id: level_id(draft.level),
            number: level_number(draft.level),
        },
        minutes: draft.minutes,
        reading_minutes: draft.reading_minutes,
        total_marks: draft.total_marks,
        region: model.label.clone(),
        patient: patient_info(&draft.case),
        time: time(&draft.case),
        lesion: lesion(model, &draft),
        candidate: candidate::candidate(&ctx, &draft, &situation, words)?,
        room,
        card: card::card(&ctx, &draft, &questions),
        briefing: briefing::briefing(&ctx, &draft, &proof, &situation),
        answer: answer::answer(&ctx, &draft, &proof),
        kind: KindInfo {
            id: draft.kind.id.clone(),
            label: draft.kind.label.clone(),
            tells: draft.kind.tells,
            patient: draft.kind.patient,
            played: draft.kind.tells.played(),
            tells_lesion: draft.kind.tells.forwards(),
            blanks: blanks(model, &draft),
        },
        content_version: version(cache, &draft),
        own: match &draft.origin {
            Origin::Own(authored) => Some(authored.clone()),
            Origin::Drawn { .. } => None,
        },
        questions,
        proof,
        difficulty,
    };
    match check(model, &built) {
        problems if problems.is_empty() => Ok(built),
        problems => Err(Failure::Content(problems)),
    }
}

/// The questions with their words, marks and times.
fn script(cache: &BuildCache<'_>, draft: &Draft, proof: &Proof) -> Result<Vec<Question>, Failure> {
    let families = cache.families()?;
    let base = situation(cache.model, draft);
    let usable = Usable::of(cache.model, draft, proof);
    let marks = spread::marks(&draft.asked, families, &usable);
    let vocabulary = Vocabulary::of(cache.model);
    let mut answers: BTreeSet<String> = BTreeSet::new();
    let mut problems = Vec::new();
    let mut all = Vec::new();
    let flipped = moved::flipped(&draft.asked, &marks, &|a, l| usable.line(a, l));
    for (asked, marks) in draft.asked.iter().zip(marks) {
        answers.extend(asked.block.lines().flat_map(|l| vocabulary.named(&l.say)));
        let gives = |text: &str| !vocabulary.named(text).is_disjoint(&answers);
        let Some(asking) = families.get(&asked.slot.ask) else {
            continue;
        };
        let mut situation = base.clone();
        let usable = |line: &Line| usable.line(asked, line);
        let places = asked.block.points.iter().filter(|l| usable(l));
        situation.moves = moves(cache.model, places, marks);
        let block = moved::unflipped(cache.model, asked, marks, &flipped, &usable);
        let parts = questions::Parts {
            id: &asked.slot.ask,
            marks,
            asking,
            block: &block,
            situation: &situation,
            usable: &usable,
            seed: draft.seed,
            derived: draft.derived,
            gives: &gives,
            choose: asked.choose,
        };
        match question(&parts) {
            Ok(mut q) => {
                own_words(&mut q, asked);
                all.push(q);
            }
            Err(lack) => problems.push(super::drawn::lacking(draft, &asked.slot, &lack)),
        }
    }
    if !problems.is_empty() {
        return Err(Failure::Content(problems));
    }
    let seconds: Option<Vec<u32>> = draft.asked.iter().map(|a| a.seconds).collect();
    match seconds {
        Some(seconds) => questions::numbered(&mut all, &seconds),
        None => {
            let parts: Vec<u32> = draft.asked.iter().map(|a| a.slot.time).collect();
            timed(&mut all, &parts, draft.minutes);
        }
    }
    Ok(all)
}

/// What the author of a station set differently from the bank.
fn own_words(q: &mut Question, asked: &super::draft::Asked) {
    if let Some(domain) = &asked.domain {
        q.domain.clone_from(domain);
    }
    let Some(caps) = asked.caps else { return };
    for prompt in &mut q.prompts {
        if let Some(cap) = caps[prompt.rung as usize] {
            prompt.cap = cap;
            prompt.cap_text = questions::halves(cap);
        }
    }
}

/// The places of the lines that make the marks: "(a) the radial nerve in the axilla, (b) the C6 root".
fn moves<'l>(model: &Model, points: impl Iterator<Item = &'l Line>, marks: u32) -> String {
    let mut sum = 0;
    let mut places = Vec::new();
    for line in points {
        if sum >= marks {
            break;
        }
        sum += line.marks;
        if let Some(site) = line.to.and_then(|s| model.sites.get(s)) {
            let letter = char::from(b'a' + u8::try_from(places.len()).unwrap_or(0).min(25));
            places.push(format!("({letter}) {}", with_article(&site.label)));
        }
    }
    match places.as_slice() {
        [one] => one.trim_start_matches("(a) ").to_string(),
        many => many.join(", "),
    }
}

/// What wordings depend on.
pub fn situation(model: &Model, draft: &Draft) -> Situation {
    let found = &draft.case.findings;
    let mut muscles: Vec<&str> = found
        .muscles
        .iter()
        .filter(|f| f.affected())
        .map(|f| model.spoken(f.structure))
        .collect();
    muscles.dedup();
    let cardinal = |spared: bool| {
        let all = draft
            .notes
            .cardinal
            .iter()
            .map(|c| c.finding)
            .chain(draft.notes.negatives.iter().map(|n| n.finding));
        all.filter(move |s| {
            found
                .get(*s)
                .is_some_and(|f| if spared { f.spared() } else { f.affected() })
        })
    };
    let movements: Vec<Structure> = cardinal(false)
        .filter(|s| s.kind == Kind::Movement)
        .collect();
    let first = movements.first().copied();
    let other_nerve = |s: &&Structure| {
        first.is_some_and(|f| reasoning::nerve_of(model, f) != reasoning::nerve_of(model, **s))
    };
    let second = movements
        .iter()
        .skip(1)
        .find(other_nerve)
        .or(movements.get(1))
        .copied();
    let plain = |s: Option<Structure>| s.map(|s| model.plain(s).to_string()).unwrap_or_default();
    let decider = draft
        .notes
        .block("deciders")
        .and_then(|b| b.lines().find_map(|l| l.about));
    let patient = &draft.case.patient;
    Situation {
        newborn: matches!(patient.age, Age::Days(_)),
        examined: draft.kind.tells.played(),
        told_lesion: draft.kind.tells.forwards(),
        one_nerve: reasoning::one_nerve(model, &draft.case.lesion).is_some(),
        muscles: muscles.len(),
        sensory: found.skin.iter().any(Finding::affected),
        rival: matches!(draft.told, Told::Pair { .. })
            || (draft.kind.tells != Tells::Pair && !draft.rivals.is_empty()),
        at_risk: matches!(draft.told, Told::Approach(_)),
        name: given(&patient.name).to_string(),
        side: patient.side.word().to_string(),
        since: draft.case.timeline.since.clone(),
        minutes: draft.minutes.to_string(),
        short: draft.notes.short.clone(),
        first: plain(first),
        second: plain(second),
        kept: plain(cardinal(true).next()),
        first_decider: plain(decider),
        moves: String::new(),
    }
}

/// The name by which one speaks of somebody: the first part, of a baby both.
fn given(name: &str) -> &str {
    match name.split_once(' ') {
        Some(("Baby", _)) | None => name,
        Some((given, _)) => given,
    }
}

/// Of a station of one's own its file counts too.
fn version(cache: &BuildCache<'_>, draft: &Draft) -> String {
    let own = draft.content_version.clone();
    own.unwrap_or_else(|| cache.version().to_string())
}

fn recipe<'d>(cache: &BuildCache<'_>, draft: &'d Draft) -> Recipe<'d> {
    Recipe {
        kind: &draft.kind,
        level: draft.level,
        minutes: draft.minutes,
        seed: draft.seed,
        origin: &draft.origin,
        content_version: version(cache, draft),
    }
}

fn patient_info(case: &Case) -> PatientInfo {
    let p = &case.patient;
    let (age, newborn) = match p.age {
        Age::Years(y) => (y, false),
        Age::Days(d) => (d, true),
    };
    PatientInfo {
        name: p.name.clone(),
        given: given(&p.name).to_string(),
        age,
        newborn,
        side: p.side.word(),
        handed: p.dominant.map_or("", |d| d.word()),
        occupation: p.occupation.as_deref().map(article).unwrap_or_default(),
    }
}

fn time(case: &Case) -> TimeInfo {
    let t = &case.timeline;
    TimeInfo {
        since: t.since.clone(),
        gradual: t.gradual,
        wasting: t.wasting,
        injury: match t.injury {
            NerveInjury::Neurapraxia => "neurapraxia",
            NerveInjury::Axonotmesis => "axonotmesis",
            NerveInjury::Neurotmesis => "neurotmesis",
        },
    }
}

fn lesion(model: &Model, draft: &Draft) -> LesionInfo {
    let lesion = &draft.case.lesion;
    let places: Vec<&str> = lesion.parts.iter().map(|p| p.label.as_str()).collect();
    let nerve = reasoning::one_nerve(model, lesion);
    LesionInfo {
        sentence: lesion.sentence(),
        short: draft.notes.short.clone(),
        text: lesion.text(),
        place: list(&places),
        nerve: nerve.map(|n| n.label.clone()).unwrap_or_default(),
    }
}

/// Nothing in skin is asked of a newborn, so there is nothing to shade, and a region may have no charts. Whether anything is numb never
/// decides: the blank itself would say so.
pub fn blanks(model: &Model, draft: &Draft) -> Vec<String> {
    let ctx = Context::new(model, &draft.case, draft.level);
    let newborn = draft.kind.patient && ctx.newborn;
    let uncharted = ctx.model.charts.views.is_empty();
    let wanted = draft.kind.pictures.candidate.iter();
    let drawable = |name: &&String| **name != super::blank::SKIN || !(newborn || uncharted);
    wanted.filter(drawable).cloned().collect()
}

/// The words that a candidate of this draft may not read.
pub fn forbidden_words(model: &Model, draft: &Draft) -> Words {
    let ctx = Context::new(model, &draft.case, draft.level);
    forbidden(&ctx, draft.kind.tells, None)
}

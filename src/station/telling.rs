//! Turns a kind's texts and the view of a case into what the candidate is told and what the examiner reads of the kind.

use super::blank;
use super::context::Context;
use super::english::{article, fill};
use super::examination::complaint;
use super::giveaway::Words;
use super::kind::{StationKind, Tells};
use super::observe::{lines as as_lines, told};
use super::{Candidate, KindInfo};
use crate::case::{Age, Level};
use crate::diagnostic::{Failure, Problem};

fn filled(
    ctx: &Context<'_>,
    kind: &StationKind,
    minutes: u32,
    text: &str,
) -> Result<String, Failure> {
    let fact = |name: &str| match name {
        "minutes" => Some(minutes.to_string()),
        _ => ctx.facts.get(name),
    };
    fill(text, &fact).map_err(|missing| {
        Failure::content(
            Problem::new(format!(
                "{}: kind {}: `{{{}}}` stands for nothing in this case",
                super::kind::FILE,
                kind.id,
                missing.join("}`, `{")
            ))
            .hint("use a fact that every case has, such as {name} or {side}"),
        )
    })
}

pub(super) fn kind_info(
    ctx: &Context<'_>,
    kind: &StationKind,
    level: Level,
) -> Result<KindInfo, Failure> {
    Ok(KindInfo {
        id: kind.id.clone(),
        label: kind.label.clone(),
        aim: filled(ctx, kind, 0, kind.aim(level))?,
        tells: kind.tells.word().to_string(),
        patient: kind.patient,
        tells_lesion: matches!(kind.tells, Tells::Lesion | Tells::Nerve | Tells::Approach),
        resources: kind.resources.clone(),
        blanks: blanks(ctx, kind),
    })
}

/// Nothing in skin is asked of a newborn, so there is nothing to shade, and a region may have no charts. Whether anything is numb never decides: the blank itself
/// would say so.
pub fn blanks(ctx: &Context<'_>, kind: &StationKind) -> Vec<String> {
    let newborn = kind.patient && matches!(ctx.case.patient.age, Age::Days(_));
    let uncharted = ctx.model.charts.views.is_empty();
    let wanted = kind.pictures.candidate.iter();
    wanted
        .filter(|name| *name != blank::SKIN || !(newborn || uncharted))
        .cloned()
        .collect()
}

pub(super) fn candidate(
    ctx: &Context<'_>,
    kind: &StationKind,
    minutes: u32,
    forbidden: Words,
) -> Result<Candidate, Failure> {
    let lines = |texts: &[String]| {
        texts
            .iter()
            .map(|t| filled(ctx, kind, minutes, t))
            .collect::<Result<Vec<_>, _>>()
    };
    let told_lesion = match kind.tells {
        Tells::Lesion => ctx.case.lesion.sentence(),
        _ => String::new(),
    };
    let told_places = match kind.tells {
        Tells::Pair => ctx.pair.clone(),
        Tells::Nerve => ctx.facts.get("whole_nerve").into_iter().collect(),
        _ => Vec::new(),
    };
    let told = match kind.tells {
        Tells::Complaint => complaint(ctx, &forbidden),
        _ => told(ctx),
    };
    Ok(Candidate {
        setting: ctx.case.setting.clone(),
        story: ctx.case.story.clone(),
        note: ctx.case.stem_note.clone(),
        lines: as_lines(&told),
        graded: told.iter().any(|o| o.power.is_some()),
        told,
        told_lesion_phrase: match told_lesion.as_str() {
            "" => String::new(),
            told => article(told),
        },
        told_lesion,
        told_places,
        task: lines(&kind.task)?,
        not_required: lines(&kind.not_required)?,
        forbidden,
    })
}

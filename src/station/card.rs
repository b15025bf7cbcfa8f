//! What does whoever plays the patient do and say?

use super::context::Context;
use super::draft::{Draft, Told};
use super::giveaway::medical;
use super::station::{Card, CardLine};
use super::told::observable;
use crate::anatomy::Kind;
use crate::case::Stream;
use crate::findings::{Finding, State};

/// The card; `None` where nobody plays the patient.
pub fn card(ctx: &Context<'_>, draft: &Draft) -> Option<Card> {
    if !draft.kind.tells.played() {
        return None;
    }
    let notes = &draft.notes;
    let says = match &draft.told {
        Told::Complaint(says) => says.clone(),
        _ => Stream::new(draft.seed, "station/complaint")
            .pick(&notes.says)
            .cloned()
            .unwrap_or_default(),
    };
    let lines = notes.card.iter().filter_map(|line| {
        let found = line
            .of
            .iter()
            .filter_map(|s| ctx.found.get(*s))
            .filter(|f| f.affected());
        let worst = found.min_by_key(|f| f.power)?;
        let say = match line.say.trim() {
            "" => ctx.model.test(worst.structure),
            own => own,
        };
        Some(CardLine {
            say: say.to_string(),
            power: worst.structure.kind.motor().then_some(worst.power),
        })
    });
    let areas = |state: State| {
        let skin = ctx
            .found
            .skin
            .iter()
            .filter(move |f| f.state == state && ctx.shown(f));
        skin.map(|f| ctx.model.plain(f.structure).to_string())
            .collect()
    };
    let silent =
        |f: &&Finding| f.affected() && observable(ctx, f) && f.structure.kind != Kind::Movement;
    let unacted = ctx
        .found
        .reflexes
        .iter()
        .chain(&ctx.found.signs)
        .filter(silent);
    Some(Card {
        says,
        lines: lines.collect(),
        strong: notes.strong.clone(),
        numb: areas(State::Lost),
        dull: areas(State::Weak),
        if_asked: notes.if_asked.clone(),
        stop: notes.stop.clone(),
        wasting: ctx.case.timeline.wasting,
        unacted: unacted
            .map(|f| ctx.model.plain(f.structure).to_string())
            .collect(),
        forbidden: medical(ctx),
    })
}

//! What does whoever plays the patient do and say?

use super::context::Context;
use super::draft::{Draft, Told};
use super::giveaway::{Words, medical};
use super::station::{Card, CardLine, Question};
use super::told::observable;
use crate::anatomy::{Kind, Structure};
use crate::case::Stream;
use crate::findings::{Finding, State};
use crate::teaching::Notes;

/// The card; `None` where nobody plays the patient.
pub fn card(ctx: &Context<'_>, draft: &Draft, questions: &[Question]) -> Option<Card> {
    if !draft.kind.tells.played() {
        return None;
    }
    let notes = &draft.notes;
    let forbidden = medical(ctx);
    let says = match &draft.told {
        Told::Complaint(says) => says.clone(),
        _ => complaint(ctx, notes, &Words::default(), draft.seed),
    };
    let lines = notes.card.iter().filter_map(|line| {
        let found = line
            .of
            .iter()
            .filter_map(|s| ctx.found.get(*s))
            .filter(|f| f.affected());
        let worst = found.min_by_key(|f| f.power)?;
        let (test, plain) = (
            ctx.model.test(worst.structure),
            ctx.model.plain(worst.structure),
        );
        let say = match line.say.trim() {
            "" => [test, plain]
                .into_iter()
                .find(|t| forbidden.found_in(t).is_empty())?,
            own => own,
        };
        Some(CardLine {
            say: say.to_string(),
            power: worst.structure.kind.motor().then_some(worst.power),
        })
    });
    let paid = questions.iter().flat_map(|q| &q.groups);
    let paid = paid.flat_map(|g| &g.points).filter_map(|p| p.about);
    let cardinal = notes.cardinal.iter().map(|c| c.finding);
    let cited: Vec<Structure> = cardinal.chain(paid).collect();
    let areas = |state: State| {
        let skin = ctx.found.skin.iter();
        let mut all: Vec<String> = Vec::new();
        for f in skin.filter(|f| f.state == state && ctx.touched(f, &cited)) {
            let words = ctx.model.plain(f.structure).to_string();
            if !all.contains(&words) {
                all.push(words);
            }
        }
        all
    };
    let silent =
        |f: &Finding| f.affected() && observable(ctx, f) && f.structure.kind != Kind::Movement;
    let mut seen = ctx.found.reflexes.iter().chain(&ctx.found.signs);
    let unacted = seen.any(silent);
    Some(Card {
        says,
        lines: lines.collect(),
        strong: notes.strong.clone(),
        numb: areas(State::Lost),
        dull: areas(State::Weak),
        if_asked: notes.if_asked.clone(),
        stop: notes.stop.clone(),
        leave: unacted || ctx.case.timeline.wasting,
        forbidden,
    })
}

/// What the patient says of it: one of the sentences of the notes that gives nothing away and holds no medical word. `told`: the words that
/// the candidate may not read.
pub fn complaint(ctx: &Context<'_>, notes: &Notes, told: &Words, seed: u64) -> String {
    let medical = medical(ctx);
    let clean = |say: &&String| medical.found_in(say).is_empty() && told.found_in(say).is_empty();
    let says: Vec<&String> = notes.says.iter().filter(clean).collect();
    // Where none is clean, the checks say what is wrong with the first.
    let pick = Stream::new(seed, "station/complaint").pick(&says).copied();
    pick.or(notes.says.first()).cloned().unwrap_or_default()
}

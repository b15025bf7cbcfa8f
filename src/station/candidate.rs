//! What stands on the candidate sheet?

use super::context::Context;
use super::draft::{Draft, Told};
use super::station::{Candidate, Words};
use super::told;
use crate::diagnostic::{Failure, Problem};
use crate::teaching::{KINDS_FILE, Situation};
use crate::wording::{article, fill};

pub fn candidate(
    ctx: &Context<'_>,
    draft: &Draft,
    situation: &Situation,
    forbidden: Words,
) -> Result<Candidate, Failure> {
    let filled = |text: &str| {
        fill(text, &|name| situation.fact(name)).map_err(|missing| {
            let what = missing.join("}`, `{");
            let problem = Problem::new(format!(
                "{KINDS_FILE}: kind {}: `{{{what}}}` stands for nothing in this case",
                draft.kind.id
            ));
            Failure::content(
                problem.hint("use a fact that every case has, such as {name} or {side}"),
            )
        })
    };
    let mut own = Candidate {
        setting: draft.case.setting.clone(),
        story: draft.case.story.clone(),
        note: draft.case.stem_note.clone(),
        task: draft
            .task
            .iter()
            .map(|t| filled(t))
            .collect::<Result<_, _>>()?,
        not_required: filled(&draft.not_required)?,
        forbidden,
        ..Candidate::default()
    };
    match &draft.told {
        Told::Findings(all) => {
            own.rows = told::rows(ctx, all);
            own.graded = own
                .rows
                .iter()
                .flat_map(|r| &r.items)
                .any(|i| i.power.is_some());
        }
        Told::Complaint(says) => own.says.clone_from(says),
        Told::Lesion => own.told_lesion = article(&ctx.case.lesion.sentence()),
        Told::Pair { places, .. } => own.told_places = places.to_vec(),
        Told::Nerve(nerve) => own.told_places = vec![nerve.clone()],
        Told::Approach(approach) => own.approach = Some((**approach).clone()),
    }
    Ok(own)
}

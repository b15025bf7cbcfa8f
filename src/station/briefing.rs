//! What does the examiner read the day before?

use super::context::Context;
use super::draft::{Draft, Told};
use super::station::{Briefing, EqualLine, OpenLine, Proof, UsualCandidate};
use crate::findings::State;
use crate::teaching::{Situation, filled};

pub fn briefing(
    ctx: &Context<'_>,
    draft: &Draft,
    proof: &Proof,
    situation: &Situation,
) -> Briefing {
    let notes = &draft.notes;
    Briefing {
        aim: filled(std::slice::from_ref(&draft.kind.aim), situation).concat(),
        idea: notes.idea.clone(),
        why_one: notes.why_one.trim().to_string(),
        classic: notes.classic.clone(),
        equals: equals(ctx, draft, proof),
        open: open(ctx, draft),
        candidates: notes
            .candidates
            .iter()
            .map(|c| UsualCandidate {
                says: c.says.clone(),
                shows: c.shows.clone(),
                then: c.then.clone(),
            })
            .collect(),
        ready: draft.kind.ready.clone(),
        note: draft.case.examiner_note.clone(),
        also_damaged: draft.case.also_damaged.clone(),
        causes: draft.case.causes.clone(),
        sources: notes.source.clone(),
        derived: draft.derived,
    }
}

/// What is accepted as the answer too: as the notes say, and what these findings leave within the margin of the proof.
pub fn equals(ctx: &Context<'_>, draft: &Draft, proof: &Proof) -> Vec<EqualLine> {
    // Where the lesion is not what is asked for, nothing is like it; and of two places that are told one is meant.
    if !draft.kind.patient || matches!(draft.told, Told::Pair { .. }) {
        return Vec::new();
    }
    let label = |site: usize| {
        ctx.model
            .sites
            .get(site)
            .map(|s| s.label.clone())
            .unwrap_or_default()
    };
    let cited = draft.notes.equals.iter().map(|e| EqualLine {
        place: e.site.map_or_else(|| e.say.clone(), label),
        parted_by: e.parted_by.clone(),
    });
    let mut all: Vec<EqualLine> = cited.collect();
    for &site in &proof.equal_sites {
        let place = label(site);
        if all.iter().all(|e| e.place != place) {
            all.push(EqualLine {
                place,
                parted_by: String::new(),
            });
        }
    }
    all
}

/// Findings that earn and lose nothing, with the reason; where nobody has written any, those that are open by the model.
fn open(ctx: &Context<'_>, draft: &Draft) -> Vec<OpenLine> {
    const MOST: usize = 6;
    let plain = |s: &crate::anatomy::Structure| ctx.model.named(*s).to_string();
    if !draft.notes.open.is_empty() {
        let cited = draft.notes.open.iter();
        return cited
            .map(|o| OpenLine {
                findings: o.findings.iter().map(plain).collect(),
                because: o.because.clone(),
            })
            .collect();
    }
    let variable = ctx
        .found
        .all()
        .filter(|f| f.state == State::Variable && ctx.shown(f));
    let findings: Vec<String> = variable.take(MOST).map(|f| plain(&f.structure)).collect();
    match findings.is_empty() {
        true => Vec::new(),
        false => vec![OpenLine {
            findings,
            because: String::new(),
        }],
    }
}

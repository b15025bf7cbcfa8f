//! What does the examiner look up in the room, beside the questions?

use super::context::Context;
use super::draft::{Draft, Told};
use super::fit::fit_found;
use super::station::*;
use super::told;
use crate::anatomy::{Kind, Model, Nerve, SkinKind, Structure};
use crate::findings::{Finding, Findings};
use crate::reasoning;
use crate::teaching::{Situation, filled, same};

/// Most deciders side by side, signs if asked, and findings that neither earn nor lose.
const PAIR: usize = 6;
const SIGNS: usize = 4;
const NEITHER: usize = 7;

pub fn room(
    ctx: &Context<'_>,
    draft: &Draft,
    questions: &[Question],
    proof: &Proof,
    situation: &Situation,
) -> Room {
    let notes = &draft.notes;
    let mut room = Room {
        equals: super::briefing::equals(ctx, draft, proof)
            .into_iter()
            .map(|e| e.place)
            .collect(),
        whole: true,
        if_asked: notes.if_asked.clone(),
        neither: neither(ctx, draft, questions),
        replies: replies(draft, questions),
        dangers: notes.danger.clone(),
        second_chance: notes.second_chance.clone(),
        anchors: match notes.anchors.is_empty() {
            true => filled(&draft.kind.anchors, situation),
            false => notes.anchors.clone(),
        },
        ..Room::default()
    };
    match &draft.told {
        Told::Findings(all) => room.found = told::rows(ctx, all),
        Told::Complaint(_) => {
            room.found = told::rows(ctx, &to_find(ctx, draft));
            fit_found(&mut room);
        }
        Told::Pair { rival, .. } => {
            let rows = pair(ctx, &rival.findings, questions);
            let mut also = affected(ctx, draft);
            also.retain(|s| !rows.iter().any(|(about, _)| *about == Some(*s)));
            room.found = told::rows(ctx, &also);
            room.pair = rows.into_iter().map(|(_, row)| row).collect();
            fit_found(&mut room);
        }
        Told::Lesion => room.found = told::rows(ctx, &expected_skin(ctx, draft)),
        Told::Nerve(_) => {
            room.key = reasoning::one_nerve(ctx.model, &ctx.case.lesion)
                .map(|n| key(ctx.model, n))
                .unwrap_or_default()
        }
        Told::Approach(approach) => {
            room.risk = Some(RiskRow {
                place: approach.place.clone(),
                relation: approach.relation.clone(),
                test: approach.test.clone(),
                protect: approach.protect.clone(),
            });
        }
    }
    room
}

/// Everything affected that an examiner may be asked for, cardinal first: what is not named is normal.
fn affected(ctx: &Context<'_>, draft: &Draft) -> Vec<Structure> {
    let affected = ctx.found.all().filter(|f| {
        f.affected() && f.structure.kind != Kind::Muscle && told::observable(ctx, f) && ctx.shown(f)
    });
    let cardinal = draft.notes.cardinal.iter().map(|c| c.finding);
    let cited = |s: &Structure| ctx.found.get(*s).is_some_and(Finding::affected);
    let mut all: Vec<Structure> = Vec::new();
    let mut signs = 0;
    for s in cardinal.filter(cited).chain(affected.map(|f| f.structure)) {
        // A sign is worth a look; what is not looked for is not called normal.
        let sign = s.kind == Kind::Sign;
        if !all.contains(&s) && (!sign || signs < SIGNS) {
            signs += usize::from(sign);
            all.push(s);
        }
    }
    all
}

/// What is affected, and what is kept and decides.
fn to_find(ctx: &Context<'_>, draft: &Draft) -> Vec<Structure> {
    let mut all = affected(ctx, draft);
    let seen = |s: &Structure| ctx.found.get(*s).is_some_and(|f| told::observable(ctx, f));
    let kept = draft.notes.negatives.iter().map(|n| n.finding);
    all.extend(kept.filter(seen));
    all
}

/// The key to the shading: what changes, what may, and what stays beside it.
fn expected_skin(ctx: &Context<'_>, draft: &Draft) -> Vec<Structure> {
    let skin = ctx
        .found
        .skin
        .iter()
        .filter(|f| !f.spared() && ctx.shown(f))
        .map(|f| f.structure);
    let reflexes = ctx
        .found
        .reflexes
        .iter()
        .filter(|f| f.affected())
        .map(|f| f.structure);
    let kept = draft
        .notes
        .negatives
        .iter()
        .map(|n| n.finding)
        .filter(|s| s.kind == Kind::Skin);
    skin.chain(reflexes).chain(kept).collect()
}

/// What decides between the two places, a row for each line that pays it: as the model has it where that is sure in both, else as the line says.
fn pair(
    ctx: &Context<'_>,
    there: &Findings,
    questions: &[Question],
) -> Vec<(Option<Structure>, PairRow)> {
    let asked = questions.iter().filter(|q| q.id == "deciders");
    let points = asked.flat_map(|q| &q.groups).flat_map(|g| &g.points);
    let rows = points.filter_map(|p| {
        let modelled = p.about.and_then(|s| side_by_side(ctx, there, s));
        let by = p
            .about
            .map_or("", |s| reasoning::served_by(ctx.model, ctx.found, s));
        Some((p.about, modelled.or_else(|| as_said(&p.say, by))?))
    });
    rows.take(PAIR).collect()
}

fn side_by_side(ctx: &Context<'_>, there: &Findings, s: Structure) -> Option<PairRow> {
    let (h, t) = ctx.found.get(s).zip(there.get(s))?;
    let sure = |f: &Finding| f.affected() || f.spared();
    if !sure(h) || !sure(t) || h.affected() == t.affected() {
        return None;
    }
    let hurt = if h.affected() { ctx.found } else { there };
    Some(PairRow {
        finding: ctx.model.named(s).to_string(),
        here: shown(h),
        there: shown(t),
        by: reasoning::served_by(ctx.model, hurt, s).to_string(),
    })
}

/// "Touch the top of the foot: normal, dull".
fn as_said(line: &str, by: &str) -> Option<PairRow> {
    let (finding, results) = line.split_once(": ")?;
    let (here, there) = results.split_once(", ")?;
    let said = |text: &str| Shown {
        power: None,
        state: "said",
        said: text.to_string(),
    };
    Some(PairRow {
        finding: finding.to_string(),
        here: said(here),
        there: said(there),
        by: by.to_string(),
    })
}

fn shown(f: &Finding) -> Shown {
    Shown {
        power: f.structure.kind.motor().then_some(f.power),
        state: f.word(),
        said: String::new(),
    }
}

fn neither(ctx: &Context<'_>, draft: &Draft, questions: &[Question]) -> Vec<String> {
    // What a line of this station pays earns.
    let paid = |s: Structure, plain: &str| {
        let mut points = questions
            .iter()
            .flat_map(|q| &q.groups)
            .flat_map(|g| &g.points);
        points.any(|p| {
            let about = p.about.is_some_and(|a| same(ctx.model, a, s));
            about || p.say.to_lowercase().contains(plain)
        })
    };
    let cited = draft.notes.neither.iter().copied();
    // Who writes a station lists them all.
    let listed = draft.authored() && !draft.notes.neither.is_empty();
    let open = draft
        .notes
        .open
        .iter()
        .filter(|_| !listed)
        .flat_map(|o| o.findings.iter().copied());
    let mut all: Vec<String> = Vec::new();
    for s in cited.chain(open) {
        // The map of a root lies over the skin of nerves that such a station pays.
        let map = |i: usize| {
            let area = ctx.model.skin.get(i);
            area.is_some_and(|a| a.kind == SkinKind::Dermatome)
        };
        let of_nerves = !draft.kind.patient || !draft.case.lesion.radicular(ctx.model);
        if of_nerves && s.kind == Kind::Skin && map(s.position) {
            continue;
        }
        let plain = ctx.model.named(s).to_string();
        if all.len() < NEITHER && !all.contains(&plain) && !paid(s, &plain) {
            all.push(plain);
        }
    }
    all
}

/// Each reply with the question in which it is heard; a reply to a question that is not asked has no place.
fn replies(draft: &Draft, questions: &[Question]) -> Vec<ReplyLine> {
    let number = |at: &str| {
        // The verdict of a comparison is its question of the place.
        let same = |q: &&Question| q.id == at || (at == "place" && q.id == "verdict");
        questions.iter().find(same).map(|q| q.number)
    };
    let lines = draft.notes.replies.iter().filter_map(|r| {
        Some(ReplyLine {
            to: r.to.clone(),
            ask: r.ask.clone(),
            question: number(&r.at)?,
            credit: r.credit,
        })
    });
    lines.collect()
}

/// The key to a drawing of a nerve: each level with what leaves there.
pub fn key(model: &Model, nerve: &Nerve) -> Vec<KeyRow> {
    let levels = reasoning::levels(model, nerve).into_iter();
    let rows = levels.filter(|l| !l.branches.is_empty() || !l.open.is_empty());
    rows.map(|l| KeyRow {
        landmark: l.level,
        leaves: l.branches.join(", "),
        mostly: l.open.join(", "),
    })
    .collect()
}

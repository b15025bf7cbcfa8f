//! What do students read afterwards?

use super::context::Context;
use super::draft::{Draft, Told};
use super::drawn::today;
use super::room::key;
use super::station::*;
use super::usable::complete;
use super::{briefing, told};
use crate::anatomy::{Kind, Structure};
use crate::findings::{Finding, derive};
use crate::reasoning;

/// Most findings in the grouped table, and places in the differential.
const FINDINGS: usize = 14;
const PLACES: usize = 6;
/// A root with less of the fibres than this is not named as the one that something works through.
const ROOT: f64 = 0.2;

pub fn answer(ctx: &Context<'_>, draft: &Draft, proof: &Proof) -> Answer {
    let notes = &draft.notes;
    let nerve = reasoning::one_nerve(ctx.model, &ctx.case.lesion);
    let about_nerve = matches!(draft.told, Told::Nerve(_));
    Answer {
        steps: notes
            .steps
            .iter()
            .map(|s| Step {
                say: s.say.clone(),
                then: s.then.clone(),
            })
            .collect(),
        groups: groups(ctx, draft),
        spared: spared(ctx, draft, proof),
        differential: differential(ctx, draft, proof),
        equals: briefing::equals(ctx, draft, proof),
        key: nerve
            .filter(|_| about_nerve)
            .map(|n| key(ctx.model, n))
            .unwrap_or_default(),
        course: nerve
            .filter(|_| about_nerve)
            .map(|n| n.course.clone())
            .unwrap_or_default(),
        protect: match &draft.told {
            Told::Approach(a) => a.protect.clone(),
            _ => Vec::new(),
        },
        daily: notes.daily.clone(),
        vulnerable: notes.vulnerable.clone(),
        mimic: notes.mimic.clone(),
        first_steps: if draft.kind.patient {
            first_steps(draft)
        } else {
            Vec::new()
        },
        red_flags: if draft.kind.patient {
            notes.red_flags.clone()
        } else {
            String::new()
        },
        revise: notes.revise.clone(),
        rule: notes.rule.clone(),
        sources: notes.source.clone(),
    }
}

/// What fails, by the nerve that serves it: cardinal findings first.
fn groups(ctx: &Context<'_>, draft: &Draft) -> Vec<AnswerGroup> {
    let cited = draft.notes.cardinal.iter().map(|c| c.finding);
    let all = ctx
        .found
        .all()
        .filter(|f| f.structure.kind != Kind::Muscle)
        .map(|f| f.structure);
    let mut seen: Vec<Structure> = Vec::new();
    let mut groups: Vec<AnswerGroup> = Vec::new();
    for s in cited.chain(all) {
        let Some(f) = ctx.found.get(s) else { continue };
        if seen.len() >= FINDINGS
            || seen.contains(&s)
            || !f.affected()
            || !ctx.shown(f)
            || !told::observable(ctx, f)
        {
            continue;
        }
        seen.push(s);
        let by = reasoning::served_by(ctx.model, ctx.found, s).to_string();
        let row = AnswerRow {
            finding: reasoning::in_full(ctx.model, ctx.found, s),
            state: f.word(),
            power: (s.kind.motor() && !ctx.newborn).then_some(f.power),
        };
        match groups.iter_mut().find(|g| g.by == by) {
            Some(group) => group.rows.push(row),
            None => groups.push(AnswerGroup {
                by,
                rows: vec![row],
            }),
        }
    }
    groups
}

/// Nerve and roots through which something works: "axillary nerve, C5, C6".
fn through(ctx: &Context<'_>, s: Structure) -> String {
    let model = ctx.model;
    let of = reasoning::main_muscle(model, s).unwrap_or(s);
    let roots = model
        .root_shares(of)
        .into_iter()
        .filter(|(_, share)| *share >= ROOT);
    let mut roots: Vec<usize> = roots.map(|(r, _)| r).collect();
    roots.sort_unstable();
    let names = roots
        .into_iter()
        .filter_map(|r| model.roots.get(r))
        .cloned();
    let nerve = reasoning::served_by(model, ctx.found, s).to_string();
    // The label of a dermatome is its root.
    let rooted = model.roots.contains(&nerve);
    (!nerve.is_empty() && !rooted)
        .then_some(nerve)
        .into_iter()
        .chain(names)
        .collect::<Vec<_>>()
        .join(", ")
}

/// What is kept and what that excludes: never a place that is accepted as equal, from which only studies part it.
fn spared(ctx: &Context<'_>, draft: &Draft, proof: &Proof) -> Vec<Spared> {
    let sure = |s: Structure| ctx.found.get(s).is_some_and(Finding::spared);
    let other = |s: &&usize| !proof.equal_sites.contains(s);
    let kept = draft.notes.negatives.iter().filter(|n| sure(n.finding));
    let kept = kept.filter(|n| n.clears.is_empty() || n.clears.iter().any(|s| other(&s)));
    kept.map(|n| Spared {
        finding: reasoning::in_full(ctx.model, ctx.found, n.finding),
        absent: n.finding.kind == Kind::Sign,
        through: through(ctx, n.finding),
        so_not: n
            .clears
            .iter()
            .filter(other)
            .filter_map(|&s| ctx.model.sites.get(s))
            .map(|s| s.label.clone())
            .collect(),
    })
    .collect()
}

/// One deciding finding a rival: the teacher's where it is certain here and a complete lesion there gives the other result, else the best
/// derived one that no teacher calls open. Never a place that is accepted as equal.
fn differential(ctx: &Context<'_>, draft: &Draft, proof: &Proof) -> Vec<Differential> {
    let notes = &draft.notes;
    let open = notes.open.iter().flat_map(|o| &o.findings);
    let open: Vec<Structure> = open.chain(&notes.neither).copied().collect();
    let mut used: Vec<Structure> = Vec::new();
    let mut all = Vec::new();
    for note in draft
        .notes
        .rivals
        .iter()
        .filter(|r| !proof.equal_sites.contains(&r.site))
    {
        let Some(rival) = draft.rivals.iter().find(|r| r.site == note.site) else {
            continue;
        };
        let cited = reasoning::decider(ctx.found, &rival.findings, note.decides).or_else(|| {
            let whole = complete(ctx.model, &rival.lesion);
            let there = derive(ctx.model, &whole, &draft.fixed);
            reasoning::decider(ctx.found, &there, note.decides)
        });
        // Studies may part two places on paper; of a newborn only what is seen.
        let cited = cited.filter(|d| !ctx.newborn || told::observable(ctx, &d.here));
        let other = || {
            let usable = rival
                .deciders
                .iter()
                .filter(|d| told::observable(ctx, &d.here) && ctx.shown(&d.here))
                .filter(|d| !open.contains(&d.structure()));
            usable
                .clone()
                .find(|d| !used.contains(&d.structure()))
                .or(usable.clone().next())
                .copied()
        };
        let Some(d) = cited.or_else(other) else {
            continue;
        };
        used.push(d.structure());
        all.push(Differential {
            place: ctx
                .model
                .sites
                .get(note.site)
                .map(|s| s.label.clone())
                .unwrap_or_default(),
            finding: ctx.model.named(d.structure()).to_string(),
            here: d.here.word(),
            there: if d.there.affected() || d.there.spared() {
                d.there.word()
            } else {
                opposite(&d.here)
            },
        });
        if all.len() == PLACES {
            break;
        }
    }
    all
}

/// What a finding that is only likely elsewhere would be there.
fn opposite(here: &Finding) -> &'static str {
    match (here.structure.kind, here.affected()) {
        (Kind::Reflex, false) => "reduced",
        (Kind::Sign, false) => "present",
        (Kind::Reflex, true) => "present",
        (Kind::Sign, true) => "absent",
        (Kind::Skin, false) => "reduced",
        (_, true) => "spared",
        (_, false) => "weak",
    }
}

/// The rows of this way of injury, or the general ones; this patient's day is marked.
fn first_steps(draft: &Draft) -> Vec<TimeRow> {
    let now = today(draft);
    let all = &draft.notes.first_steps;
    let own = all.iter().any(|r| r.only.contains(&draft.case.mechanism));
    let shown = all.iter().filter(|r| {
        if own {
            r.only.contains(&draft.case.mechanism)
        } else {
            r.only.is_empty()
        }
    });
    let mut rows: Vec<&crate::teaching::FirstStep> = shown.collect();
    if let Some(now) = now
        && !rows.iter().any(|r| std::ptr::eq(*r, now))
    {
        rows.push(now);
        rows.sort_by_key(|r| r.from);
    }
    rows.into_iter()
        .map(|r| TimeRow {
            when: r.when.clone(),
            then: r.then.clone(),
            now: now.is_some_and(|n| std::ptr::eq(n, r)),
        })
        .collect()
}

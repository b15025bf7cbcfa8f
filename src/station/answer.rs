//! Turns the findings into the model answer's tables: what is affected, open and spared, the differential and the course.

use super::context::Context;
use super::english::{article, list};
use super::select::{Item, best_difference, select};
use super::structure::{shown, structure};
use super::{Answer, Course, Differential, Group, Open, Row, Source};
use crate::findings::{Finding, Kind, State};

const KINDS: [Kind; 5] = [
    Kind::Muscle,
    Kind::Movement,
    Kind::Skin,
    Kind::Reflex,
    Kind::Sign,
];
/// Rows of what is spared, and places in the differential.
const SPARED: usize = 8;
const PLACES: usize = 6;

pub fn answer(ctx: &Context<'_>) -> Answer {
    let joined = |kind| list(&labels(ctx, kind));
    let (muscles, more_muscles) = main_labels(ctx, Kind::Muscle);
    let (movements, more_movements) = main_labels(ctx, Kind::Movement);
    Answer {
        affected: groups(ctx, |f| f.affected()),
        variable: together(
            ctx,
            &KINDS
                .iter()
                .flat_map(|kind| ctx.found.of(*kind))
                .filter(|f| f.state == State::Variable)
                .filter(|f| f.kind() != Kind::Skin || shown(ctx, f))
                .collect::<Vec<_>>(),
        ),
        spared: spared(ctx),
        muscles,
        more_muscles,
        movements,
        more_movements,
        skin: joined(Kind::Skin),
        reflexes: joined(Kind::Reflex),
        signs: joined(Kind::Sign),
        course: ctx
            .course_of_lesion()
            .iter()
            .map(|n| Course {
                nerve: n.label.clone(),
                steps: n.course.clone(),
            })
            .collect(),
        differential: differential(ctx),
        alike: ctx
            .rivals
            .alike
            .iter()
            .filter(|r| r.differs.is_empty())
            .map(|r| r.label.clone())
            .collect(),
        alike_text: list(
            &ctx.rivals
                .alike
                .iter()
                .filter(|r| r.differs.is_empty())
                .map(|r| article(&r.label))
                .collect::<Vec<_>>(),
        ),
        alike_but_for_studies: ctx
            .rivals
            .alike
            .iter()
            .filter_map(|r| r.differs.first().map(|d| (r, d)))
            .map(|(r, d)| difference(ctx, &r.label, &d.here, &d.there))
            .collect(),
        care: ctx.care(),
    }
}

/// What carries no mark because limbs or books differ, and how many findings that are.
pub fn either_way(ctx: &Context<'_>) -> (Vec<Open>, usize) {
    let mut all: Vec<&Finding> = ctx
        .found
        .all()
        .filter(|f| f.state == State::Variable)
        .filter(|f| f.kind() != Kind::Skin || shown(ctx, f))
        .collect();
    // Closest to even chances first: these are the ones a candidate may argue about.
    all.sort_by(|a, b| {
        let away = |f: &Finding| (f.probability - 0.5).abs();
        away(a).total_cmp(&away(b))
    });
    all.truncate(12);
    (together(ctx, &all), all.len())
}

/// One row for all findings that are open for the same reason, where the first of them stands.
fn together(ctx: &Context<'_>, findings: &[&Finding]) -> Vec<Open> {
    struct Gathered {
        kind: Kind,
        labels: Vec<String>,
        low: u32,
        high: u32,
        reason: String,
    }
    let mut rows: Vec<Gathered> = Vec::new();
    for f in findings {
        let item = structure(ctx, f);
        let (reason, percent) = (field(&item, "reason"), percent(f));
        let known = rows
            .iter_mut()
            .find(|row| row.kind == f.kind() && row.reason == reason);
        match known {
            Some(row) => {
                row.labels.push(field(&item, "label"));
                row.low = row.low.min(percent);
                row.high = row.high.max(percent);
            }
            None => rows.push(Gathered {
                kind: f.kind(),
                labels: vec![field(&item, "label")],
                low: percent,
                high: percent,
                reason,
            }),
        }
    }
    rows.into_iter()
        .map(|row| Open {
            label: row.labels.join(", "),
            percent: row.low,
            percent_to: (row.high > row.low).then_some(row.high),
            reason: row.reason,
        })
        .collect()
}

fn field(item: &Item, name: &str) -> String {
    item.fields.get(name).cloned().unwrap_or_default()
}

fn percent(f: &Finding) -> u32 {
    (f.probability.clamp(0.0, 1.0) * 100.0).round() as u32
}

fn labels(ctx: &Context<'_>, kind: Kind) -> Vec<String> {
    ctx.found
        .of(kind)
        .iter()
        .filter(|f| f.affected() && (kind == Kind::Muscle || shown(ctx, f)))
        .map(|f| {
            let item = structure(ctx, f);
            match kind {
                Kind::Skin => field(&item, "where"),
                _ => field(&item, "label"),
            }
        })
        .collect()
}

/// The weakest in one list, and how many are left out of it: two dozen names in a sentence explain nothing.
fn main_labels(ctx: &Context<'_>, kind: Kind) -> (String, usize) {
    const MOST: usize = 12;
    let all = labels(ctx, kind);
    if all.len() <= MOST {
        return (list(&all), 0);
    }
    let source = match kind {
        Kind::Muscle => "muscles_lost",
        _ => "movements_lost",
    };
    let main: Vec<String> = select(source, ctx)
        .iter()
        .take(MOST - 4)
        .map(|i| field(i, "label"))
        .collect();
    let left = all.len() - main.len();
    (main.join(", "), left)
}

fn groups(ctx: &Context<'_>, keep: impl Fn(&Finding) -> bool) -> Vec<Group> {
    KINDS
        .into_iter()
        .map(|kind| Group {
            kind: kind.word().to_string(),
            rows: ctx
                .found
                .of(kind)
                .iter()
                .filter(|f| keep(f) && (kind != Kind::Skin || shown(ctx, f)))
                .map(|f| row(ctx, f, String::new()))
                .collect(),
        })
        .filter(|g| !g.rows.is_empty())
        .collect()
}

fn row(ctx: &Context<'_>, f: &Finding, against: String) -> Row {
    let item = structure(ctx, f);
    Row {
        label: field(&item, "label"),
        state: f.word().to_string(),
        power: f.kind().motor().then_some(f.power),
        percent: percent(f),
        reason: field(&item, "reason"),
        against,
    }
}

/// Spared findings that matter: those that rule out a near rival, then the branches just above the lesion.
fn spared(ctx: &Context<'_>) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    let items = select("clue_spared", ctx)
        .into_iter()
        .chain(select("muscles_spared_near", ctx).into_iter().take(4));
    for item in items {
        let Some(f) = item.finding else {
            continue;
        };
        let ruled_out = ctx
            .rivals
            .apart
            .iter()
            .find(|r| r.differs.iter().any(|d| d.here.structure == f.structure));
        let row = row(
            ctx,
            &f,
            ruled_out.map(|r| r.label.clone()).unwrap_or_default(),
        );
        if rows.len() < SPARED && rows.iter().all(|r| r.label != row.label) {
            rows.push(row);
        }
    }
    rows
}

fn differential(ctx: &Context<'_>) -> Vec<Differential> {
    ctx.rivals
        .apart
        .iter()
        .filter(|r| r.distance < 0.999)
        .filter_map(|r| best_difference(ctx, r).map(|d| (r, d)))
        .take(PLACES)
        .map(|(r, d)| difference(ctx, &r.label, &d.here, &d.there))
        .collect()
}

fn difference(ctx: &Context<'_>, place: &str, here: &Finding, there: &Finding) -> Differential {
    let item = structure(ctx, here);
    Differential {
        place: place.to_string(),
        finding: field(&item, "label"),
        here: here.word().to_string(),
        there: there.word().to_string(),
        reason: field(&item, "reason"),
    }
}

/// The citations behind the codes, each once, in the order of their codes.
pub fn sources(ctx: &Context<'_>) -> Vec<Source> {
    let mut codes: Vec<&str> = Vec::new();
    let mut add = |text: &'_ str| {
        for (code, _) in &ctx.model.sources {
            if text.split_whitespace().any(|w| w == code) && !codes.contains(&code.as_str()) {
                codes.push(code);
            }
        }
    };
    for f in ctx.found.all().filter(|f| !f.spared()) {
        add(&structure(ctx, f).source);
    }
    for nerve in ctx.course_of_lesion() {
        add(&nerve.source);
    }
    for part in &ctx.case.lesion.parts {
        if let Some(site) = ctx.model.site(&part.place) {
            add(&site.source);
        }
    }
    let mut all: Vec<Source> = ctx
        .model
        .sources
        .iter()
        .filter(|(code, _)| codes.contains(&code.as_str()))
        .map(|(code, citation)| Source {
            code: code.clone(),
            // The editors' note of how a source was seen is of use to them alone; what was recalled stays marked.
            citation: citation.trim_end_matches(" (seen today)").to_string(),
        })
        .collect();
    all.sort();
    all
}

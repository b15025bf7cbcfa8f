//! Turns what is tested and marked into the table that whoever plays the patient acts from, and refuses one that contradicts the grid.

use super::context::Context;
use super::english::list;
use super::kind::StationKind;
use super::observe::observable;
use super::structure::{muscle_label, shown};
use super::{Brief, Parts, Question, Show, Station};
use crate::diagnostic::Problem;
use crate::findings::{Finding, Kind, Structure};

/// What the examiner reads of the patient. Marks in `parts` which results are found by touch.
pub(super) fn brief(
    ctx: &Context<'_>,
    kind: &StationKind,
    parts: &mut Parts,
    questions: &[Question],
) -> Brief {
    let used: Vec<Finding> = if kind.patient {
        used(parts, questions)
    } else {
        Vec::new()
    };
    let shows = shows(ctx, &used);
    let by_touch = |f: &Finding| row(&shows, f).is_some_and(|s| !s.felt.is_empty());
    for t in &mut parts.tests {
        t.felt = by_touch(&t.about);
    }
    for d in &mut parts.deciders {
        d.felt = by_touch(&d.about);
    }
    Brief {
        also_damaged: ctx.case.also_damaged.clone(),
        also_damaged_text: list(&ctx.case.also_damaged),
        causes_text: list(&ctx.case.causes),
        note: ctx.case.examiner_note.clone(),
        shows,
    }
}

/// The findings that a test, a decider or a mark is about.
fn used(parts: &Parts, questions: &[Question]) -> Vec<Finding> {
    let tests = parts.tests.iter().map(|t| t.about);
    let deciders = parts.deciders.iter().map(|d| d.about);
    let points = questions.iter().flat_map(|q| &q.points);
    tests
        .chain(deciders)
        .chain(points.filter_map(|p| p.about))
        .collect()
}

fn row<'s>(shows: &'s [Show], f: &Finding) -> Option<&'s Show> {
    shows.iter().find(|s| s.structure == f.structure)
}

/// Every affected movement, skin area, reflex and sign that is certain, and the muscles among `used`; what is normal needs no row, but for a
/// muscle whose movement is not.
pub(super) fn shows(ctx: &Context<'_>, used: &[Finding]) -> Vec<Show> {
    let is_used = |f: &Finding| used.iter().any(|u| u.structure == f.structure);
    let mut all = Vec::new();
    let movements_first = ctx.found.movements.iter().chain(&ctx.found.muscles);
    let rest = [Kind::Skin, Kind::Reflex, Kind::Sign];
    for f in movements_first.chain(rest.iter().flat_map(|k| ctx.found.of(*k))) {
        if f.kind() == Kind::Muscle {
            if is_used(f) && observable(ctx, f) {
                all.extend(muscle(ctx, f, &all));
            }
        } else if f.affected() && observable(ctx, f) && (shown(ctx, f) || is_used(f)) {
            all.push(plain(ctx, f));
        }
    }
    all
}

fn show(f: &Finding, label: &str, act: &str) -> Show {
    Show {
        kind: f.kind().word().to_string(),
        label: label.to_string(),
        act: act.to_string(),
        state: f.word().to_string(),
        power: f.power,
        felt: String::new(),
        movement: String::new(),
        movement_power: f.power,
        structure: f.structure,
    }
}

fn plain(ctx: &Context<'_>, f: &Finding) -> Show {
    let (m, s) = (ctx.model, f.structure);
    let (label, act) = match s.kind {
        Kind::Skin => (
            m.plain(s),
            m.skin_area(s).and_then(|x| x.autonomous.as_deref()),
        ),
        Kind::Reflex => (m.label(s), None),
        Kind::Sign => (m.label(s), Some(m.plain(s))),
        Kind::Movement | Kind::Muscle => (m.label(s), Some(m.test(s))),
    };
    show(f, label, act.unwrap_or_default())
}

/// A grade, where the movement of its test has the same; else what can be felt, because the movement has a row and a grade of its own.
fn muscle(ctx: &Context<'_>, f: &Finding, movements: &[Show]) -> Option<Show> {
    let m = ctx.model.muscle(f.structure)?;
    let row = m.movement.and_then(|i| {
        let test = Structure {
            kind: Kind::Movement,
            position: i,
        };
        movements.iter().find(|s| s.structure == test)
    });
    if f.spared() && row.is_none_or(|r| r.power == f.power) {
        return None;
    }
    let mut show = show(f, &muscle_label(&m.label), &m.test);
    let whole = m.movement.filter(|_| row.is_none() && f.power < 2);
    let (label, power) = match (row, whole) {
        (Some(r), _) if r.power != f.power => (r.label.clone(), r.power),
        (None, Some(i)) => (ctx.model.movements.get(i)?.label.clone(), 5),
        _ => return Some(show),
    };
    show.felt = match f.power {
        0 => "none",
        1 => "flicker",
        5 => "same",
        _ => "less",
    }
    .to_string();
    (show.movement, show.movement_power) = (label, power);
    Some(show)
}

/// Whatever is tested or marked can be shown, and as the grid says.
pub(super) fn check(station: &Station, found: &mut Vec<Problem>) {
    if !station.kind.patient {
        return;
    }
    let shows = &station.brief.shows;
    let mut complain = |what: String| {
        found.push(
            Problem::new(what)
                .hint("the table of what the patient shows must follow from the same findings as tests and marks; report this station's command"),
        );
    };
    let tests = station.parts.tests.iter();
    let deciders = station.parts.deciders.iter();
    let points = station.questions.iter().flat_map(|q| &q.points);
    let claims = tests
        .map(|t| (&t.about, t.state.as_str(), t.label.as_str()))
        .chain(deciders.map(|d| (&d.about, d.here.as_str(), d.label.as_str())))
        .chain(points.filter_map(|p| {
            let about = p.about.as_ref()?;
            Some((about, about.word(), p.text.as_str()))
        }));
    for (f, state, label) in claims {
        // An infant shows what is seen; the rest is said.
        if station.patient.newborn && !matches!(f.kind(), Kind::Movement | Kind::Reflex) {
            continue;
        }
        match row(shows, f) {
            None if f.affected() => complain(format!(
                "\u{201c}{label}\u{201d} is to be found {state}, but the patient shows nothing of it"
            )),
            Some(s) if s.state != state || s.power != f.power => complain(format!(
                "\u{201c}{label}\u{201d} is to be found {state} ({}), but the patient shows it {} ({})",
                f.power, s.state, s.power
            )),
            _ => {}
        }
    }
    let of = |word: &'static str| shows.iter().filter(move |s| s.kind == word);
    for muscle in of("muscle").filter(|s| !s.movement.is_empty()) {
        let other = of("movement").find(|s| s.label == muscle.movement);
        let shown = other.map_or(5, |s| s.power);
        if muscle.felt.is_empty() || muscle.movement_power != shown {
            complain(format!(
                "the patient shows {} at {}, and the movement of its test at {shown}",
                muscle.label, muscle.power
            ));
        }
    }
}

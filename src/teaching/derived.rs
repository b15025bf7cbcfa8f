//! What would a teacher's notes say where nobody has written any?

use super::block::Block;
use super::check::{STEP, same};
use super::derived_questions::*;
use super::family::Asking;
use super::ground::{Ground, choice, fixed, points, short};
use super::notes::{CardLine, Cardinal, FirstStep, LATER, Negative, Notes, RivalNote};
use crate::anatomy::{Kind, Structure};
use crate::files::UniqueMap;
use crate::findings::Finding;
use crate::reasoning;
use crate::wording::count_words;

/// Most findings that a candidate would be told, affected and kept.
const CARDINAL: usize = 6;
const KEPT: usize = 6;
const RIVALS: usize = 5;
/// First steps that are paid.
const PAID: usize = 5;

/// Notes made of derived moves; [`Notes::over`] fills a teacher's notes with them.
pub fn derived(ground: &Ground<'_>) -> Notes {
    let affected = cardinal(ground);
    let kept = negatives(ground);
    let mut notes = Notes {
        short: short(ground),
        cardinal: affected
            .iter()
            .map(|&finding| Cardinal {
                finding,
                say: String::new(),
            })
            .collect(),
        rivals: rivals(ground),
        card: card(&affected),
        ..Notes::default()
    };
    notes.negatives = kept;
    notes.compare_with = notes.rivals.first().map(|r| r.site);
    let ready = |id: &str| ground.families.get(id);
    notes.says = ready("plan").map_or_else(Vec::new, |q| complaints(ground, q, &affected));
    notes.first_steps = first_steps(ground, ready("act"));
    let mut ask: Vec<(String, Block)> = Vec::new();
    let mut add = |id: &str, make: &dyn Fn(&Asking) -> Block| {
        if let Some(asking) = ground.families.get(id) {
            ask.push((id.to_string(), make(asking)));
        }
    };
    add("muscles", &|q| muscles(ground, q, &affected));
    add("kept", &|q| kept_lines(ground, q, &notes.negatives));
    add("move", &|q| moves(ground, q));
    add("further", &|q| further(ground, q));
    add("act", &|q| points(q, "more"));
    add("plan", &|q| plan(ground, q));
    add("perform", &|q| fixed(q, "all"));
    if let Some(asking) = ready("place") {
        let with = ["muscles", "kept", "plan"];
        let paid: Vec<Structure> = ask
            .iter()
            .filter(|(id, _)| with.contains(&id.as_str()))
            .flat_map(|(_, block)| block.lines().filter_map(|l| l.about))
            .collect();
        ask.push(("place".into(), place(ground, asking, &notes, &paid)));
    }
    let mut add = |id: &str, make: &dyn Fn(&Asking) -> Block| {
        if let Some(asking) = ground.families.get(id) {
            ask.push((id.to_string(), make(asking)));
        }
    };
    add("lost", &|q| lost(ground, q, &affected));
    add("skin", &|q| skin(ground, q));
    add("shared", &|q| shared(ground, q, &notes));
    add("deciders", &|q| deciders(ground, q, &notes));
    add("verdict", &|q| verdict(q, &notes));
    if let Some(nerve) = ground.nerve {
        add("draw", &|q| branches(ground, nerve, q));
        add("neighbours", &|q| points(q, "all"));
        add("cuts", &|q| fixed(q, "all"));
        add("jerk", &|q| points(q, "all"));
    }
    if let Some(approach) = ground.approach {
        add("danger_place", &|q| danger(ground, approach, q));
        add("moments", &|q| moments(approach, q));
        add("loss", &|q| lost_and_kept(ground, q, &notes));
        add("level", &|q| points(q, "all"));
        add("first_hour", &|q| choice(q, 1, points(q, "all").points));
    }
    // A question of somebody's own brings its lines with it.
    for asking in ground.families.all() {
        if ask.iter().all(|(id, _)| *id != asking.id) && !asking.lines("more").is_empty() {
            let of = points(asking, "more").points;
            ask.push((asking.id.clone(), choice(asking, 1, of)));
        }
    }
    notes.ask = UniqueMap(ask);
    notes
}

/// What is affected for certain and seen most plainly: movements that add muscles to those before, then reflex, skin and sign.
fn cardinal(ground: &Ground<'_>) -> Vec<Structure> {
    let (model, found) = (ground.model, ground.found);
    let usable = |f: &&Finding| f.affected() && (ground.usable)(f);
    let mut movements: Vec<&Finding> = found.movements.iter().filter(usable).collect();
    movements.sort_by_key(|f| f.power);
    let mut covered: Vec<Structure> = Vec::new();
    let mut all: Vec<Structure> = Vec::new();
    for f in movements {
        let main = reasoning::main_muscle(model, f.structure);
        if let Some(muscle) = main.filter(|m| !covered.contains(m))
            && all.len() + 2 < CARDINAL
        {
            covered.push(muscle);
            all.push(f.structure);
        }
    }
    let one = |of: &[Finding]| {
        of.iter()
            .find(|f| f.affected() && (ground.usable)(f))
            .map(|f| f.structure)
    };
    all.extend(one(&found.reflexes));
    all.extend(
        found
            .skin
            .iter()
            .filter(usable)
            .take(2)
            .map(|f| f.structure),
    );
    if all.len() < CARDINAL {
        all.extend(one(&found.signs));
    }
    all
}

/// For each near rival the kept finding that speaks most plainly against it.
fn negatives(ground: &Ground<'_>) -> Vec<Negative<Structure, usize>> {
    let mut all: Vec<Negative<Structure, usize>> = Vec::new();
    for rival in ground.rivals {
        let kept = rival.deciders.iter().find(|d| {
            d.here.spared()
                && d.there.affected()
                && d.structure().kind != Kind::Sign
                && (ground.usable)(&d.here)
        });
        let Some(d) = kept else { continue };
        let known = all
            .iter()
            .position(|n| same(ground.model, n.finding, d.structure()));
        if let Some(known) = known.and_then(|i| all.get_mut(i)) {
            known.clears.push(rival.site);
        } else if all.len() < KEPT {
            all.push(Negative {
                finding: d.structure(),
                clears: vec![rival.site],
                say: String::new(),
            });
        }
    }
    all
}

/// Near rivals, each with a decider that no rival before it has.
fn rivals(ground: &Ground<'_>) -> Vec<RivalNote<Structure, usize>> {
    let mut used: Vec<Structure> = Vec::new();
    let mut all = Vec::new();
    for rival in ground
        .rivals
        .iter()
        .filter(|r| r.distance < 0.999)
        .take(RIVALS)
    {
        let mut usable = rival
            .deciders
            .iter()
            .filter(|d| (ground.usable)(&d.here))
            .map(|d| d.structure());
        let Some(decides) = usable.find(|s| !used.contains(s)) else {
            continue;
        };
        used.push(decides);
        all.push(RivalNote {
            site: rival.site,
            decides,
            tempts: String::new(),
        });
    }
    all
}

/// The care that the injured sites name, for every time, then what is right at any place.
fn first_steps(ground: &Ground<'_>, asking: Option<&Asking>) -> Vec<FirstStep> {
    let mut care: Vec<String> = Vec::new();
    for part in &ground.lesion.parts {
        for step in ground.model.site(&part.place).map_or(&[][..], |s| &s.care) {
            if !care.contains(step) {
                care.push(step.clone());
            }
        }
    }
    let then = care.join("; ");
    let ready = asking.map_or(&[][..], |q| q.lines("more")).iter().cloned();
    let short = |step: &String| count_words(step) <= STEP;
    let pay: Vec<String> = care.into_iter().filter(short).chain(ready).collect();
    if pay.is_empty() {
        return Vec::new();
    }
    vec![FirstStep {
        from: 0,
        to: LATER,
        when: String::new(),
        then,
        pay: pay.into_iter().take(PAID).collect(),
        only: Vec::new(),
    }]
}

fn card(affected: &[Structure]) -> Vec<CardLine<Structure>> {
    let motor = affected.iter().filter(|s| s.kind == Kind::Movement);
    motor
        .map(|&s| CardLine {
            of: vec![s],
            say: String::new(),
        })
        .collect()
}

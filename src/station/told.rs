//! Which findings is a candidate told, and in which words?

use super::context::Context;
use super::station::{Found, FoundRow, Words};
use crate::anatomy::{Kind, Structure};
use crate::case::Level;
use crate::findings::{Finding, State};
use crate::teaching::Notes;

/// Most findings that are told, so that the sheet can be held in the head, and how many of them are amiss; what the place is paid by is told in
/// any case. The early level asks for one more thing that is kept.
const MOST: usize = 8;
const AMISS: usize = 5;
/// Cardinal ones come before those that a line is about.
const CARDINAL: usize = 3;
/// What is kept and decides against so many rivals is told in any case.
const RIVALS: usize = 3;

/// The findings that a candidate is told: what is affected and cardinal first, then what is kept and decides.
pub fn choose(ctx: &Context<'_>, notes: &Notes, forbidden: &Words) -> Vec<Structure> {
    let affected = |s: &Structure| ctx.found.get(*s).is_some_and(|f| f.affected());
    let block = |question: &str| notes.block(question).into_iter().flat_map(|b| b.lines());
    let about = |question: &str| block(question).filter_map(|l| l.about);
    let negatives = || notes.negatives.iter().map(|n| n.finding);
    let usable = |s: &Structure| {
        let found = ctx.found.get(*s);
        found.is_some_and(|f| tellable(ctx, forbidden, f) && says(notes, f))
    };
    let mut told: Vec<Structure> = Vec::new();
    let mut add = |all: &mut dyn Iterator<Item = Structure>, most: usize| {
        for s in all.filter(|s| usable(s)) {
            if told.len() < most && !told.contains(&s) {
                told.push(s);
            }
        }
    };
    let cardinal = || notes.cardinal.iter().map(|c| c.finding).filter(affected);
    add(&mut cardinal(), CARDINAL);
    add(&mut about("place"), usize::MAX);
    add(&mut about("muscles").filter(affected), AMISS);
    add(&mut cardinal(), AMISS);
    // What is kept is paid here only as far as it does not flip where the lesion is moved to.
    let flips: Vec<Structure> = block("move")
        .flat_map(|l| l.flips.iter().copied())
        .collect();
    let (twice, once): (Vec<_>, Vec<_>) = about("kept").partition(|s| flips.contains(s));
    let kept = once.into_iter().chain(twice).chain(negatives());
    let most = MOST + usize::from(ctx.level == Level::Early);
    add(&mut kept.filter(|s| !affected(s)), most);
    // Without what decides against its nearest rivals a place cannot be found.
    let decides = notes.rivals.iter().map(|r| r.decides).take(RIVALS);
    add(&mut decides.filter(|s| !affected(s)), usize::MAX);
    // Losses first: a colleague reports them so.
    told.sort_by_key(|s| !affected(s));
    told
}

/// May be told: can be seen on this patient, and gives no answer away.
pub fn tellable(ctx: &Context<'_>, forbidden: &Words, f: &Finding) -> bool {
    (f.affected() || f.spared())
        && observable(ctx, f)
        && forbidden.found_in(ctx.model.plain(f.structure)).is_empty()
}

/// A sign that is not seen says something only where the notes say what that excludes; else it would say the loss of something else in
/// other words.
pub fn says(notes: &Notes, f: &Finding) -> bool {
    let excludes = |s: Structure| {
        let kept = notes.block("kept").into_iter().flat_map(|b| b.lines());
        let negatives = notes.negatives.iter().map(|n| n.finding);
        negatives
            .chain(kept.filter_map(|l| l.about))
            .any(|n| n == s)
    };
    f.structure.kind != Kind::Sign || f.affected() || excludes(f.structure)
}

/// Can be found at the bedside on this patient: no needle is at hand, and a newborn follows no orders and reports no numbness.
pub fn observable(ctx: &Context<'_>, f: &Finding) -> bool {
    if !ctx.model.testable(f.structure) {
        return false;
    }
    let studied = |group: &str| group == "electrodiagnosis";
    if ctx
        .model
        .sign(f.structure)
        .is_some_and(|s| studied(&s.group))
    {
        return false;
    }
    if !ctx.newborn {
        return true;
    }
    match f.structure.kind {
        Kind::Movement | Kind::Reflex => true,
        Kind::Muscle | Kind::Skin => false,
        Kind::Sign => ctx
            .model
            .sign(f.structure)
            .is_some_and(|s| s.group != "special test"),
    }
}

/// In which row a finding stands.
const GROUPS: [&str; 12] = [
    "lost",
    "weak",
    "full",
    "numb",
    "dull",
    "may",
    "felt",
    "jerk_absent",
    "jerk_reduced",
    "jerk_present",
    "seen",
    "not_seen",
];

fn group(f: &Finding) -> &'static str {
    match (f.structure.kind, f.state) {
        (Kind::Muscle | Kind::Movement, State::Lost) => "lost",
        (Kind::Muscle | Kind::Movement, State::Spared) => "full",
        (Kind::Muscle | Kind::Movement, _) => "weak",
        (Kind::Skin, State::Lost) => "numb",
        (Kind::Skin, State::Spared) => "felt",
        (Kind::Skin, State::Variable) => "may",
        (Kind::Skin, _) => "dull",
        (Kind::Reflex, State::Lost) => "jerk_absent",
        (Kind::Reflex, State::Spared) => "jerk_present",
        (Kind::Reflex, _) => "jerk_reduced",
        (Kind::Sign, State::Present) => "seen",
        (Kind::Sign, _) => "not_seen",
    }
}

/// The findings in rows, one for each kind and state, in a fixed order.
pub fn rows(ctx: &Context<'_>, all: &[Structure]) -> Vec<FoundRow> {
    let found: Vec<&Finding> = all.iter().filter_map(|s| ctx.found.get(*s)).collect();
    let row = |group_id: &'static str| {
        let items: Vec<Found> = found
            .iter()
            .filter(|f| group(f) == group_id)
            .map(|f| Found {
                text: ctx.model.plain(f.structure).to_string(),
                power: graded(ctx, f),
                about: f.structure,
            })
            .collect();
        (!items.is_empty()).then_some(FoundRow {
            group: group_id,
            items,
        })
    };
    GROUPS.into_iter().filter_map(row).collect()
}

/// A grade is for a power that was tested against resistance: a newborn's is only watched; and the early level needs none.
fn graded(ctx: &Context<'_>, f: &Finding) -> Option<u8> {
    let tested = f.structure.kind.motor() && f.affected() && !ctx.newborn;
    (tested && ctx.level != Level::Early).then_some(f.power)
}

//! Turns a mechanism and the people's names into one patient: age, handedness, side, occupation.

use super::mechanism::{Mechanism, People, SideRule};
use super::{Age, Patient, Side, Stream, timeline};

/// From this age on a person may have an occupation.
pub const WORKS_FROM: u32 = 16;
pub const OLDEST: u32 = 110;
/// A child is a newborn here up to its first birthday; from then on its age is given in years.
pub const NEWBORN_TO: u32 = 365;
/// A "retired" occupation of the list is given from this age on, and from the later age every occupation is one retired from.
const MAY_RETIRE_FROM: u32 = 60;
const RETIRED_FROM: u32 = 75;
/// Handedness is settled by about this age (common practice, no source).
pub const HANDED_FROM: u32 = 4;
/// Nine people in ten are right-handed (common practice, no source).
const RIGHT_HANDED_IN_TEN: u32 = 9;

impl Side {
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }

    #[must_use]
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }
}

/// Draws the patient. `None` when there is no name to give; each choice has a stream of its own.
pub fn draw(mechanism: &Mechanism, people: &People, seed: u64) -> Option<Patient> {
    let mut ages = Stream::new(seed, "case/age");
    let age = match (mechanism.age, mechanism.age_days) {
        (Some((low, high)), _) => Age::Years(ages.between(low, high)),
        (None, Some(days)) => {
            let (low, high) = newborn_days(mechanism, days);
            Age::Days(ages.between(low, high))
        }
        (None, None) => return None,
    };
    let years = match age {
        Age::Years(years) => Some(years),
        Age::Days(_) => None,
    };
    let mut names = Stream::new(seed, "case/name");
    let name = match years {
        Some(_) => {
            let person = names.pick(&people.people)?;
            format!("{} {}", person.given, person.family)
        }
        None => format!("Baby {}", names.pick(&people.newborns)?),
    };
    let dominant = years.filter(|&y| y >= HANDED_FROM).map(|_| {
        if Stream::new(seed, "case/handedness").below(10) < RIGHT_HANDED_IN_TEN {
            Side::Right
        } else {
            Side::Left
        }
    });
    let occupation = years
        .filter(|&y| y >= WORKS_FROM)
        .and_then(|y| occupation(&mechanism.occupations, y, seed));
    Some(Patient {
        name,
        side: side(mechanism.side, dominant, seed),
        age,
        dominant,
        occupation,
    })
}

/// A birth injury is as old as the child, so the age obeys what the time since injury must obey.
fn newborn_days(mechanism: &Mechanism, age: (u32, u32)) -> (u32, u32) {
    let low = age.0.max(mechanism.since_days.0);
    let high = age.1.min(mechanism.since_days.1);
    let last = timeline::latest(mechanism.nerve_injury, mechanism.onset);
    (low, last.map_or(high, |last| high.min(last)))
}

fn side(rule: SideRule, dominant: Option<Side>, seed: u64) -> Side {
    let any = if Stream::new(seed, "case/side").below(2) == 0 {
        Side::Left
    } else {
        Side::Right
    };
    match rule {
        SideRule::Left => Side::Left,
        SideRule::Right => Side::Right,
        SideRule::Any => any,
        SideRule::Dominant => dominant.unwrap_or(any),
        SideRule::NonDominant => dominant.map_or(any, Side::other),
    }
}

/// One of the occupations that fits the age.
fn occupation(all: &[String], years: u32, seed: u64) -> Option<String> {
    let retired = |work: &str| work.to_lowercase().starts_with("retired");
    let fitting: Vec<&String> = all
        .iter()
        .filter(|work| years >= MAY_RETIRE_FROM || !retired(work))
        .collect();
    let mut stream = Stream::new(seed, "case/occupation");
    let work = match stream.pick(&fitting) {
        Some(work) => (*work).clone(),
        // Nothing but retired people in the list: the age range is the author's word against it.
        None => stream.pick(all)?.clone(),
    };
    Some(if years >= RETIRED_FROM && !retired(&work) {
        format!("retired {work}")
    } else {
        work
    })
}

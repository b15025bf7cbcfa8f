//! What is to be laid out, who plays whom, and how many copies are to be printed?

use super::equality::{Head, head};
use crate::circuit::plan::Circuit;
use crate::circuit::timetable::Track;
use serde::Serialize;

/// What to lay out, and who plays whom.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lists {
    pub head: Head,
    pub equipment: Vec<Thing>,
    pub chairs: Vec<Chair>,
    pub patients: Vec<Player>,
    pub sheets: Vec<SheetRow>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Thing {
    /// As the kind has it; empty for a blank.
    pub label: String,
    /// The blank for each candidate, by its name; else empty.
    pub blank: String,
    /// The positions that need it: "2, 5", or "A: 2, 5; B: 3" where the forms differ.
    pub positions: String,
    pub all: bool,
    /// How many for one track.
    pub count: usize,
    /// How many for the busiest time of day.
    pub at_once: usize,
}

/// Where candidates sit who are at no station.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Chair {
    /// The rest; empty for those who wait for their first bell.
    pub position: String,
    pub count: usize,
    pub at_once: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Player {
    pub group: String,
    pub position: String,
    pub code: String,
    pub name: String,
    pub age: u32,
    pub side: String,
    pub newborn: bool,
    /// Movements, skin areas, reflexes and signs to act or show.
    pub shows: usize,
}

/// Copies to print.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetRow {
    pub group: String,
    pub tracks: usize,
    pub candidates: usize,
    /// One marking grid for each candidate at each station.
    pub grids: usize,
}

/// Resource or blank, and for each form the positions that need it.
type Needed<'c> = ((&'c str, &'c str), Vec<Vec<usize>>);

pub fn lists(circuit: &Circuit) -> Lists {
    let blueprint = &circuit.blueprint;
    let stations = blueprint.stations();
    Lists {
        head: head(circuit),
        equipment: needed(circuit).iter().map(|n| thing(circuit, n)).collect(),
        chairs: chairs(circuit),
        patients: circuit
            .forms
            .iter()
            .zip(&blueprint.groups)
            .flat_map(|(form, group)| {
                let played = form.used().filter(|(_, b)| b.station.kind.played);
                played.map(move |(p, b)| Player {
                    group: group.id.clone(),
                    position: blueprint.name(p).to_string(),
                    code: b.station.code.clone(),
                    name: b.station.patient.name.clone(),
                    age: b.station.patient.age,
                    side: b.station.patient.side.to_string(),
                    newborn: b.station.patient.newborn,
                    shows: b.station.card.as_ref().map_or(0, |c| c.lines.len()),
                })
            })
            .collect(),
        sheets: blueprint
            .groups
            .iter()
            .map(|g| SheetRow {
                group: g.id.clone(),
                tracks: g.sittings.iter().map(|s| s.tracks).max().unwrap_or(0),
                candidates: g.candidates.len(),
                grids: g.candidates.len() * stations,
            })
            .collect(),
    }
}

fn needed(circuit: &Circuit) -> Vec<Needed<'_>> {
    let mut all: Vec<Needed<'_>> = Vec::new();
    for (f, form) in circuit.forms.iter().enumerate() {
        for (p, banked) in form.used() {
            let kind = &banked.station.kind;
            let ready = &banked.station.briefing.ready;
            let resources = ready.iter().map(|label| (label.as_str(), ""));
            let blanks = kind.blanks.iter().map(|blank| ("", blank.as_str()));
            for thing in resources.chain(blanks) {
                let at = all
                    .iter()
                    .position(|(t, _)| *t == thing)
                    .unwrap_or_else(|| {
                        all.push((thing, vec![Vec::new(); circuit.forms.len()]));
                        all.len() - 1
                    });
                all[at].1[f].push(p);
            }
        }
    }
    all
}

/// Forms that run one after another share what they need; those that run together do not.
fn thing(circuit: &Circuit, ((label, blank), by_form): &Needed<'_>) -> Thing {
    let blueprint = &circuit.blueprint;
    // A blank is written on: each candidate of the track needs one.
    let of_track = |t: &Track| {
        let positions = by_form.get(t.group).map_or(0, Vec::len);
        let each = if blank.is_empty() { 1 } else { t.taken() };
        positions * each
    };
    let (count, at_once) = busiest(circuit, &of_track);
    let names = |positions: &[usize]| {
        let all: Vec<&str> = positions.iter().map(|p| blueprint.name(*p)).collect();
        all.join(", ")
    };
    let same = by_form.windows(2).all(|w| w[0] == w[1]);
    let positions = match (same, by_form.first()) {
        (true, Some(first)) => names(first),
        _ => {
            let groups = blueprint.groups.iter().zip(by_form);
            let used = groups.filter(|(_, positions)| !positions.is_empty());
            let each = used.map(|(g, positions)| format!("{}: {}", g.id, names(positions)));
            each.collect::<Vec<_>>().join("; ")
        }
    };
    Thing {
        label: label.to_string(),
        blank: blank.to_string(),
        all: by_form.iter().all(|p| p.len() == blueprint.stations()),
        positions,
        count,
        at_once,
    }
}

/// The most that a track needs, and that all running at one time need together.
fn busiest(circuit: &Circuit, of_track: &dyn Fn(&Track) -> usize) -> (usize, usize) {
    let blueprint = &circuit.blueprint;
    let at_start = |t: &Track| {
        let now = t.start(blueprint);
        let running = circuit.tracks.iter();
        running
            .filter(|o| o.start(blueprint) <= now && now < o.end(blueprint))
            .map(of_track)
            .sum::<usize>()
    };
    let tracks = || circuit.tracks.iter();
    (
        tracks().map(of_track).max().unwrap_or(0),
        tracks().map(at_start).max().unwrap_or(0),
    )
}

fn chairs(circuit: &Circuit) -> Vec<Chair> {
    let blueprint = &circuit.blueprint;
    let chair = |position: &str, of_track: &dyn Fn(&Track) -> usize| {
        let (count, at_once) = busiest(circuit, of_track);
        Chair {
            position: position.to_string(),
            count,
            at_once,
        }
    };
    let rests = blueprint.positions.iter().filter(|p| p.station.is_none());
    let mut all: Vec<Chair> = rests.map(|p| chair(&p.name, &|_| 1)).collect();
    let waiting = |t: &Track| {
        let taken = t.candidates.iter().zip(&t.table.starts);
        taken
            .filter(|(c, from)| c.is_some() && **from > t.start(blueprint))
            .count()
    };
    all.push(chair("", &waiting));
    all.retain(|c| c.count > 0);
    all
}

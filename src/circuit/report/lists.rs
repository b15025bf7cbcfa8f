//! Turns a planned circuit into the lists of the day: what to lay out, who plays whom, which sheets to print.

use super::equality::{Head, head};
use crate::circuit::plan::Circuit;
use crate::circuit::timetable::Track;
use serde::Serialize;

/// What to lay out, and who plays whom.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lists {
    pub head: Head,
    pub equipment: Vec<Thing>,
    pub patients: Vec<Player>,
    pub sheets: Vec<SheetRow>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Thing {
    /// As the kind has it; empty for a blank.
    pub label: String,
    /// The blank for each candidate, by its name; else empty.
    pub blank: String,
    /// "all", or the positions that need it.
    pub positions: String,
    pub all: bool,
    /// How many for one track.
    pub count: usize,
    /// How many for the busiest time of day.
    pub at_once: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Player {
    pub group: String,
    pub position: String,
    pub code: String,
    pub name: String,
    pub age: String,
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

pub fn lists(circuit: &Circuit) -> Lists {
    let blueprint = &circuit.blueprint;
    let mut things: Vec<((&str, &str), Vec<usize>)> = Vec::new();
    for (p, banked) in circuit.forms.iter().flat_map(|f| f.used()) {
        let kind = &banked.station.kind;
        let resources = kind.resources.iter().map(|label| (label.as_str(), ""));
        let blanks = kind.blanks.iter().map(|blank| ("", blank.as_str()));
        for thing in resources.chain(blanks) {
            match things.iter_mut().find(|(t, _)| *t == thing) {
                Some((_, positions)) if positions.contains(&p) => {}
                Some((_, positions)) => positions.push(p),
                None => things.push((thing, vec![p])),
            }
        }
    }
    let busiest = busiest(circuit);
    let stations = blueprint.stations();
    Lists {
        head: head(circuit),
        equipment: things
            .into_iter()
            .map(|((label, blank), mut positions)| {
                positions.sort_unstable();
                let names: Vec<&str> = positions
                    .iter()
                    .filter_map(|p| blueprint.positions.get(*p))
                    .map(|p| p.name.as_str())
                    .collect();
                Thing {
                    label: label.to_string(),
                    blank: blank.to_string(),
                    all: positions.len() == stations,
                    positions: names.join(", "),
                    count: positions.len(),
                    at_once: positions.len() * busiest,
                }
            })
            .collect(),
        patients: circuit
            .forms
            .iter()
            .zip(&blueprint.groups)
            .flat_map(|(form, group)| {
                let played = form.used().filter(|(_, b)| b.station.kind.patient);
                played.map(move |(p, b)| Player {
                    group: group.id.clone(),
                    position: blueprint
                        .positions
                        .get(p)
                        .map_or(String::new(), |x| x.name.clone()),
                    code: b.station.code.clone(),
                    name: b.station.patient.name.clone(),
                    age: b.station.patient.age.clone(),
                    side: b.station.patient.side.clone(),
                    newborn: b.station.patient.newborn,
                    shows: b.station.brief.shows.len(),
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

/// Most tracks that run at the same time.
fn busiest(circuit: &Circuit) -> usize {
    let span = |t: &Track| {
        let group = circuit.blueprint.groups.get(t.group);
        let start = group
            .and_then(|g| g.sittings.get(t.sitting))
            .map_or(0, |s| s.start);
        (start, start + t.table.length)
    };
    let spans: Vec<(u32, u32)> = circuit.tracks.iter().map(span).collect();
    spans
        .iter()
        .map(|(from, _)| spans.iter().filter(|(a, b)| a <= from && from < b).count())
        .max()
        .unwrap_or(1)
}

//! What is printed, on how many sides, how often, in which order?

use super::seats::seats;
use super::visits::rows;
use super::{Head, head};
use crate::circuit::plan::Circuit;
use serde::Serialize;
use std::collections::BTreeSet;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PrintPlan {
    pub head: Head,
    pub stations: Vec<StationRow>,
    pub desks: Vec<DeskRow>,
    pub of_the_day: Vec<DayRow>,
}

/// A file of the day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DayRow {
    pub file: &'static str,
    pub copies: usize,
    /// Whom they are for: a phrase `c_for_...`.
    pub whom: &'static str,
}

/// The sheets of one station of one form.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationRow {
    pub group: String,
    pub position: String,
    pub code: String,
    /// At the door and on the table of each track.
    pub candidate: usize,
    /// For each person who plays the patient; none where nobody does.
    pub patient: usize,
    /// For each examiner who marks here.
    pub briefing: usize,
}

/// The room sheets of one examiner: one file, both sides.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DeskRow {
    pub name: String,
    pub leaves: usize,
}

pub fn plan(circuit: &Circuit) -> PrintPlan {
    let all = rows(circuit);
    let mut stations: Vec<StationRow> = Vec::new();
    for (f, form) in circuit.forms.iter().enumerate() {
        let Some(group) = circuit.blueprint.groups.get(f) else {
            continue;
        };
        let tracks = circuit.tracks.iter().filter(|t| t.group == f);
        // Sittings follow each other: what lies on the tables of one lies there for the next.
        let tracks: BTreeSet<usize> = tracks.map(|t| t.number).collect();
        for (position, banked) in form.used() {
            let Some(place) = circuit.blueprint.positions.get(position) else {
                continue;
            };
            let here = all
                .iter()
                .filter(|r| r.track.group == f && r.visit.position == position);
            let examiners: BTreeSet<(Option<usize>, usize)> = here
                .map(|r| (r.examiner, r.examiner.map_or(r.track.number, |_| 0)))
                .collect();
            let station = &banked.station;
            stations.push(StationRow {
                group: group.id.clone(),
                position: place.name.clone(),
                code: station.code.clone(),
                candidate: 2 * tracks.len(),
                patient: station.card.as_ref().map_or(0, |_| tracks.len()),
                briefing: examiners.len(),
            });
        }
    }
    let desks = seats(circuit).into_iter().map(|desk| DeskRow {
        leaves: desk.visits.len(),
        name: desk.name,
    });
    PrintPlan {
        head: head(circuit),
        stations,
        desks: desks.collect(),
        of_the_day: of_the_day(circuit),
    }
}

fn of_the_day(circuit: &Circuit) -> Vec<DayRow> {
    let row = |file, copies, whom| DayRow { file, copies, whom };
    let mut all = vec![
        row("sign_in", 1, "desk"),
        row("labels", 1, "desk"),
        row("timetable_candidates", 1, "candidates"),
        row("timetable_examiners", 1, "examiners"),
        row("timetable_timekeeper", 1, "timekeeper"),
        row("equipment_and_patients", 1, "rooms"),
        row("quarantine", 1, "desk"),
    ];
    if circuit.calibration.is_some() {
        let examiners = circuit.blueprint.examiners.iter().filter(|e| !e.absent);
        all.push(row("calibration/room", examiners.count(), "calibration"));
        all.push(row("calibration/sheet", 1, "calibration"));
    }
    all
}

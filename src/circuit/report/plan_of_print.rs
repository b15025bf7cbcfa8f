//! What is printed, on how many sides, how often, in which order?

use super::seats::seats;
use super::visits::rows;
use super::{Head, head};
use crate::circuit::plan::Circuit;
use crate::station::Station;
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
    pub file: String,
    pub copies: usize,
    /// Whom they are for: a phrase `c_for_...`.
    pub whom: &'static str,
}

/// The sheets of one station of one form.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationRow {
    pub group: String,
    /// Empty for a station in reserve.
    pub position: String,
    pub code: String,
    /// At the door and on the table of each track; where it is written on, a fresh one for each candidate.
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
        let present = group.candidates.iter().filter(|c| !c.absent).count();
        let mut row = |position: &str, station: &Station, briefing: usize| {
            let on_tables = match station.is_written_on() {
                true => present,
                false => tracks.len(),
            };
            stations.push(StationRow {
                group: group.id.clone(),
                position: position.to_string(),
                code: station.code.clone(),
                candidate: tracks.len() + on_tables,
                patient: station.card.as_ref().map_or(0, |_| tracks.len()),
                briefing,
            });
        };
        for (position, banked) in form.used() {
            let here = all
                .iter()
                .filter(|r| r.track.group == f && r.visit.position == position);
            let examiners: BTreeSet<(Option<usize>, usize)> = here
                .map(|r| (r.examiner, r.examiner.map_or(r.track.number, |_| 0)))
                .collect();
            let name = circuit.blueprint.name(position);
            row(name, &banked.station, examiners.len());
        }
        for spare in &form.spares {
            row("", &spare.station, tracks.len());
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
    let row = |file: &str, copies, whom| DayRow {
        file: file.to_string(),
        copies,
        whom,
    };
    let mut all = vec![
        row("sign_in", 1, "desk"),
        row("labels", 1, "desk"),
        row("timetable_candidates", 1, "candidates"),
        row("timetable_examiners", 1, "examiners"),
        row("timetable_timekeeper", 1, "timekeeper"),
        row("equipment_and_patients", 1, "rooms"),
        row("quarantine", 1, "desk"),
        row("mark_sheet_legend", 1, "marks"),
    ];
    let blueprint = &circuit.blueprint;
    let tracks = circuit.tracks.iter().map(|t| t.number + 1).max();
    let rests = blueprint.positions.iter().filter(|p| p.station.is_none());
    all.extend(rests.map(|p| row(&format!("rest_{}", p.name), tracks.unwrap_or(1), "doors")));
    for group in &blueprint.groups {
        for sitting in group.sittings.iter().filter(|s| s.extra > 0) {
            let file = format!("group_{}/*/door-{}", group.id, sitting.id);
            all.push(row(&file, sitting.tracks, "longer"));
        }
    }
    if circuit.calibration.is_some() {
        let examiners = circuit.blueprint.examiners.iter().filter(|e| !e.absent);
        all.push(row("calibration/room", examiners.count(), "calibration"));
        all.push(row("calibration/sheet", 1, "calibration"));
    }
    all
}

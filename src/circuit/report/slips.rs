//! Who goes where when, on paper? Slips for candidates and examiners.

use super::visits::rows;
use crate::circuit::blueprint::clock;
use crate::circuit::plan::Circuit;
use serde::Serialize;
use std::collections::BTreeMap;

/// One candidate's way round.
#[derive(Serialize)]
pub struct CandidateSlip<'c> {
    pub id: &'c str,
    pub name: &'c str,
    pub group: &'c str,
    pub sitting: &'c str,
    pub track: usize,
    /// How many tracks the sitting has.
    pub tracks: usize,
    pub starts: String,
    pub ends: String,
    pub rows: Vec<Stop<'c>>,
}

#[derive(Serialize)]
pub struct Stop<'c> {
    /// First bell, second bell (empty when there is no reading), last bell.
    pub read: String,
    pub begin: String,
    pub stop: String,
    pub position: &'c str,
    pub rest: bool,
}

/// One examiner's day, or that of a station nobody is named for.
#[derive(Serialize)]
pub struct ExaminerSlip<'c> {
    /// Id, or empty for a station nobody is named for.
    pub id: &'c str,
    pub name: &'c str,
    /// "3", for a station nobody is named for.
    pub station: &'c str,
    pub rows: Vec<Seat<'c>>,
}

#[derive(Serialize)]
pub struct Seat<'c> {
    pub sitting: &'c str,
    pub track: usize,
    pub begin: String,
    pub stop: String,
    pub position: &'c str,
    pub code: &'c str,
    pub candidate: &'c str,
    /// Not their own station: they stand in.
    pub stands_in: bool,
}

/// All candidates by group and id.
pub fn candidate_slips(circuit: &Circuit) -> Vec<CandidateSlip<'_>> {
    let mut all: BTreeMap<(&str, &str), CandidateSlip<'_>> = BTreeMap::new();
    for r in rows(circuit) {
        let key = (r.group.id.as_str(), r.candidate.id.as_str());
        let slip = all.entry(key).or_insert_with(|| CandidateSlip {
            id: &r.candidate.id,
            name: &r.candidate.name,
            group: &r.group.id,
            sitting: &r.sitting.id,
            track: r.track.number + 1,
            tracks: r.sitting.tracks,
            starts: clock::show(r.visit.from),
            ends: String::new(),
            rows: Vec::new(),
        });
        // Visits stand in the order of time: the last one ends the way round.
        slip.ends = clock::show(r.stop());
        let reads = r.position.reading > 0 && r.position.station.is_some();
        slip.rows.push(Stop {
            read: clock::show(r.visit.from),
            begin: if reads {
                clock::show(r.begin())
            } else {
                String::new()
            },
            stop: clock::show(r.stop()),
            position: &r.position.name,
            rest: r.position.station.is_none(),
        });
    }
    all.into_values().collect()
}

/// Each examiner by the order of the blueprint; stations without one by track and position.
pub fn examiner_slips(circuit: &Circuit) -> Vec<ExaminerSlip<'_>> {
    let examiners = circuit.blueprint.examiners.iter();
    let mut named: Vec<ExaminerSlip<'_>> = examiners
        .map(|e| ExaminerSlip {
            id: &e.id,
            name: &e.name,
            station: "",
            rows: Vec::new(),
        })
        .collect();
    let mut unnamed: BTreeMap<(&str, usize, usize), ExaminerSlip<'_>> = BTreeMap::new();
    let mut seats = rows(circuit);
    seats.sort_by_key(|r| (r.visit.from, r.visit.position, r.track.number));
    for r in seats {
        let Some(station) = r.station else { continue };
        let seat = Seat {
            sitting: &r.sitting.id,
            track: r.track.number + 1,
            begin: clock::show(r.begin()),
            stop: clock::show(r.stop()),
            position: &r.position.name,
            code: &station.station.code,
            candidate: &r.candidate.id,
            stands_in: r.stands_in,
        };
        let key = (seat.sitting, seat.track, r.visit.position);
        let slip = match r.examiner.and_then(|e| named.get_mut(e)) {
            Some(slip) => slip,
            None => unnamed.entry(key).or_insert_with(|| ExaminerSlip {
                id: "",
                name: "",
                station: &r.position.name,
                rows: Vec::new(),
            }),
        };
        slip.rows.push(seat);
    }
    let comes = |id: &str| {
        circuit
            .blueprint
            .examiners
            .iter()
            .any(|e| e.id == id && !e.absent)
    };
    named.retain(|slip| comes(slip.id));
    named.extend(unnamed.into_values());
    named
}

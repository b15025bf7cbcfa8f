//! Turns a circuit into the rows of its timetables: for candidates, for examiners, for whoever rings the bell, and for mark entry.

use crate::circuit::blueprint::{Position, Starts, clock};
use crate::circuit::plan::Circuit;
use crate::circuit::timetable::Track;
use crate::circuit::timetable::rotation::{Bell, Visit, bells};
use serde::Serialize;

/// One candidate's way round.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CandidateSlip {
    pub id: String,
    pub name: String,
    pub group: String,
    pub sitting: String,
    pub track: usize,
    /// How many tracks the sitting has.
    pub tracks: usize,
    pub starts: String,
    pub ends: String,
    pub rows: Vec<Stop>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stop {
    /// First bell, second bell (empty when there is no reading), last bell.
    pub read: String,
    pub begin: String,
    pub stop: String,
    pub position: String,
    pub rest: bool,
}

/// One examiner's day, or that of a station nobody is named for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExaminerSlip {
    /// Id, or empty for a station nobody is named for.
    pub id: String,
    pub name: String,
    /// "3", for a station nobody is named for.
    pub station: String,
    pub rows: Vec<Seat>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Seat {
    pub sitting: String,
    pub track: usize,
    pub begin: String,
    pub stop: String,
    pub position: String,
    pub code: String,
    pub candidate: String,
    /// Not their own station: they stand in.
    pub stands_in: bool,
}

/// The bells of one sitting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BellTable {
    pub sitting: String,
    pub group: String,
    pub tracks: usize,
    pub first: String,
    pub last: String,
    pub minutes: String,
    pub rows: Vec<BellRow>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BellRow {
    pub at: String,
    /// "read", "begin", "warn", "stop".
    pub bell: &'static str,
    /// "1, 2, R1"; empty: all.
    pub positions: String,
}

/// A line of the mark sheet: ids, no names.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkRow {
    pub candidate: String,
    pub group: String,
    pub sitting: String,
    pub track: usize,
    pub position: String,
    pub code: String,
    pub examiner: String,
    pub at: String,
    pub most: u32,
}

struct Seen<'a> {
    track: &'a Track,
    group: &'a str,
    sitting: &'a str,
    tracks: usize,
    start: u32,
}

fn seen<'a>(circuit: &'a Circuit, track: &'a Track) -> Option<Seen<'a>> {
    let group = circuit.blueprint.groups.get(track.group)?;
    let sitting = group.sittings.get(track.sitting)?;
    Some(Seen {
        track,
        group: &group.id,
        sitting: &sitting.id,
        tracks: sitting.tracks,
        start: sitting.start,
    })
}

fn times(position: &Position, visit: &Visit) -> (String, String, String) {
    let begin = visit.from + position.reading;
    let second = if position.reading > 0 && position.station.is_some() {
        clock::show(begin)
    } else {
        String::new()
    };
    (
        clock::show(visit.from),
        second,
        clock::show(begin + position.length),
    )
}

fn candidate<'a>(circuit: &'a Circuit, track: &Track, number: usize) -> (&'a str, &'a str) {
    let found = track
        .candidates
        .get(number)
        .and_then(|&c| circuit.blueprint.groups.get(track.group)?.candidates.get(c));
    found.map_or(("", ""), |c| (c.id.as_str(), c.name.as_str()))
}

/// All candidates by group and id.
pub fn candidate_slips(circuit: &Circuit) -> Vec<CandidateSlip> {
    let mut all = Vec::new();
    for s in circuit.tracks.iter().filter_map(|t| seen(circuit, t)) {
        for number in 0..s.track.candidates.len() {
            let (id, name) = candidate(circuit, s.track, number);
            let mut ends = s.start;
            let own = s
                .track
                .table
                .visits
                .iter()
                .filter(|v| v.candidate == number);
            let rows = own
                .filter_map(|v| Some((v, circuit.blueprint.positions.get(v.position)?)))
                .map(|(v, p)| {
                    let (read, begin, stop) = times(p, v);
                    ends = ends.max(v.from + p.reading + p.length);
                    Stop {
                        read,
                        begin,
                        stop,
                        position: p.name.clone(),
                        rest: p.station.is_none(),
                    }
                })
                .collect();
            all.push(CandidateSlip {
                id: id.to_string(),
                name: name.to_string(),
                group: s.group.to_string(),
                sitting: s.sitting.to_string(),
                track: s.track.number + 1,
                tracks: s.tracks,
                starts: clock::show(s.track.table.starts.get(number).copied().unwrap_or(s.start)),
                ends: clock::show(ends),
                rows,
            });
        }
    }
    all.sort_by(|a, b| (&a.group, &a.id).cmp(&(&b.group, &b.id)));
    all
}

/// Each examiner by the order of the blueprint; stations without one by track and position.
pub fn examiner_slips(circuit: &Circuit) -> Vec<ExaminerSlip> {
    let blueprint = &circuit.blueprint;
    let mut named: Vec<ExaminerSlip> = blueprint
        .examiners
        .iter()
        .map(|e| ExaminerSlip {
            id: e.id.clone(),
            name: e.name.clone(),
            station: String::new(),
            rows: Vec::new(),
        })
        .collect();
    let mut unnamed: Vec<((String, usize, usize), ExaminerSlip)> = Vec::new();
    let mut seats: Vec<(u32, usize, Option<usize>, Seat)> = Vec::new();
    for s in circuit.tracks.iter().filter_map(|t| seen(circuit, t)) {
        for (visit, marks) in s.track.table.visits.iter().zip(&s.track.marks) {
            let Some(p) = blueprint
                .positions
                .get(visit.position)
                .filter(|p| p.station.is_some())
            else {
                continue;
            };
            let begin = visit.from + p.reading;
            let home = s.track.home.get(visit.position).copied().flatten();
            seats.push((
                visit.from,
                visit.position,
                *marks,
                Seat {
                    sitting: s.sitting.to_string(),
                    track: s.track.number + 1,
                    begin: clock::show(begin),
                    stop: clock::show(begin + p.length),
                    position: p.name.clone(),
                    code: code(circuit, s.track.group, visit.position),
                    candidate: candidate(circuit, s.track, visit.candidate).0.to_string(),
                    stands_in: home != *marks,
                },
            ));
        }
    }
    seats.sort_by_key(|a| (a.0, a.1, a.3.track));
    for (_, position, marks, seat) in seats {
        match marks.and_then(|e| named.get_mut(e)) {
            Some(slip) => slip.rows.push(seat),
            None => {
                let key = (seat.sitting.clone(), seat.track, position);
                match unnamed.iter_mut().find(|(k, _)| *k == key) {
                    Some((_, slip)) => slip.rows.push(seat),
                    None => unnamed.push((
                        key,
                        ExaminerSlip {
                            id: String::new(),
                            name: String::new(),
                            station: seat.position.clone(),
                            rows: vec![seat],
                        },
                    )),
                }
            }
        }
    }
    unnamed.sort_by(|a, b| a.0.cmp(&b.0));
    named.extend(unnamed.into_iter().map(|(_, slip)| slip));
    named
}

fn code(circuit: &Circuit, group: usize, position: usize) -> String {
    let form = circuit.forms.get(group);
    let station = form
        .and_then(|f| f.stations.get(position))
        .and_then(Option::as_ref);
    station.map_or(String::new(), |s| s.station.code.clone())
}

/// One table for each sitting, in order of time.
pub fn bell_tables(circuit: &Circuit) -> Vec<BellTable> {
    let blueprint = &circuit.blueprint;
    let mut all: Vec<(u32, BellTable)> = Vec::new();
    // The first track of a sitting holds the most candidates: its bells are the bells of all.
    for s in circuit.tracks.iter().filter_map(|t| seen(circuit, t)) {
        if s.track.number != 0 {
            continue;
        }
        let name = |p: &usize| blueprint.positions.get(*p).map_or("", |x| x.name.as_str());
        let rows = bells(&s.track.table, &blueprint.positions, blueprint.pace)
            .iter()
            .map(|ring| BellRow {
                at: clock::show(ring.at),
                bell: match ring.bell {
                    Bell::Read => "read",
                    Bell::Begin => "begin",
                    Bell::Warn => "warn",
                    Bell::Stop => "stop",
                },
                positions: match blueprint.pace.starts {
                    Starts::Together => String::new(),
                    Starts::Staggered => ring
                        .positions
                        .iter()
                        .map(name)
                        .collect::<Vec<_>>()
                        .join(", "),
                },
            })
            .collect();
        all.push((
            s.start,
            BellTable {
                sitting: s.sitting.to_string(),
                group: s.group.to_string(),
                tracks: s.tracks,
                first: clock::show(s.start),
                last: clock::show(s.start + s.track.table.length),
                minutes: clock::minutes(s.track.table.length),
                rows,
            },
        ));
    }
    all.sort_by_key(|(start, _)| *start);
    all.into_iter().map(|(_, table)| table).collect()
}

/// A line for each mark to be entered: by candidate, then by time.
pub fn mark_rows(circuit: &Circuit) -> Vec<MarkRow> {
    let blueprint = &circuit.blueprint;
    let mut all = Vec::new();
    for s in circuit.tracks.iter().filter_map(|t| seen(circuit, t)) {
        for (visit, marks) in s.track.table.visits.iter().zip(&s.track.marks) {
            let station = circuit
                .forms
                .get(s.track.group)
                .and_then(|f| f.stations.get(visit.position))
                .and_then(Option::as_ref);
            let (Some(p), Some(station)) = (blueprint.positions.get(visit.position), station)
            else {
                continue;
            };
            let examiner = marks.and_then(|e| blueprint.examiners.get(e));
            all.push((
                visit.from,
                MarkRow {
                    candidate: candidate(circuit, s.track, visit.candidate).0.to_string(),
                    group: s.group.to_string(),
                    sitting: s.sitting.to_string(),
                    track: s.track.number + 1,
                    position: p.name.clone(),
                    code: station.station.code.clone(),
                    examiner: examiner.map_or(String::new(), |e| e.id.clone()),
                    at: clock::show(visit.from + p.reading),
                    most: station.station.total_marks,
                },
            ));
        }
    }
    all.sort_by(|(s, a), (t, b)| (&a.group, &a.candidate, s).cmp(&(&b.group, &b.candidate, t)));
    all.into_iter().map(|(_, row)| row).collect()
}

/// The mark sheet as CSV (RFC 4180: commas, CR LF; no cell needs quotes, because ids hold none).
pub fn mark_sheet(circuit: &Circuit) -> String {
    let mut out = String::from(
        "candidate,group,sitting,track,position,station_code,examiner,time,max_marks,marks,global_rating,dangerous_answer\r\n",
    );
    for r in mark_rows(circuit) {
        out.push_str(&format!(
            "{},{},{},{},{},{},{},{},{},,,\r\n",
            r.candidate, r.group, r.sitting, r.track, r.position, r.code, r.examiner, r.at, r.most
        ));
    }
    out
}

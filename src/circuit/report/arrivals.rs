//! Who has to be there when? The sheets to sign, and a label for everybody.

use super::equality::{Head, head};
use super::visits::{Row, rows};
use crate::circuit::blueprint::clock;
use crate::circuit::plan::Circuit;
use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SignIn {
    pub head: Head,
    pub sittings: Vec<SittingIn>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SittingIn {
    pub group: String,
    pub sitting: String,
    /// First bell.
    pub start: String,
    /// Since names are printed only where they are asked for, a column of them may have to be left out.
    pub named: bool,
    pub candidates: Vec<CandidateIn>,
    pub examiners: Vec<ExaminerIn>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CandidateIn {
    pub id: String,
    pub name: String,
    pub group: String,
    pub sitting: String,
    pub track: usize,
    pub tracks: usize,
    /// The first position, when it begins there, and whether it is a rest.
    pub position: String,
    pub rest: bool,
    pub from: String,
    /// More time in per cent; empty for none.
    pub extra: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ExaminerIn {
    pub id: String,
    pub name: String,
    /// The stations they sit at, with the track where there are several; empty: in reserve.
    pub stations: String,
}

/// Everybody by sitting, in the order of time.
pub fn sign_in(circuit: &Circuit) -> SignIn {
    let all = rows(circuit);
    let mut by_sitting: BTreeMap<(u32, usize, usize), Vec<&Row<'_>>> = BTreeMap::new();
    for row in &all {
        let start = row.sitting.start;
        by_sitting
            .entry((start, row.track.group, row.track.sitting))
            .or_default()
            .push(row);
    }
    let sittings = by_sitting.into_values().filter_map(|own| {
        let first = own.first()?;
        let candidates = candidates(&own);
        let examiners = examiners(circuit, &own);
        let named = candidates.iter().any(|c| !c.name.is_empty())
            || examiners.iter().any(|e| !e.name.is_empty());
        Some(SittingIn {
            group: first.group.id.clone(),
            sitting: first.sitting.id.clone(),
            start: clock::show(first.sitting.start),
            named,
            candidates,
            examiners,
        })
    });
    SignIn {
        head: head(circuit),
        sittings: sittings.collect(),
    }
}

fn candidates(own: &[&Row<'_>]) -> Vec<CandidateIn> {
    let mut all: BTreeMap<&str, &Row<'_>> = BTreeMap::new();
    // Visits of a track stand in the order of time.
    for row in own {
        all.entry(&row.candidate.id).or_insert(row);
    }
    let line = |row: &Row<'_>| CandidateIn {
        id: row.candidate.id.clone(),
        name: row.candidate.name.clone(),
        group: row.group.id.clone(),
        sitting: row.sitting.id.clone(),
        track: row.track.number + 1,
        tracks: row.sitting.tracks,
        position: row.position.name.clone(),
        rest: row.position.station.is_none(),
        from: clock::show(row.visit.from),
        extra: match row.sitting.extra {
            0 => String::new(),
            extra => format!("{}", f64::from(extra) / 10.0),
        },
    };
    all.into_values().map(line).collect()
}

/// Who marks in the sitting, and who is in reserve for it.
fn examiners(circuit: &Circuit, own: &[&Row<'_>]) -> Vec<ExaminerIn> {
    let Some(first) = own.first() else {
        return Vec::new();
    };
    let several = first.sitting.tracks > 1;
    // In the order of time: who changes at a break sits at several.
    let mut seats: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
    for row in own {
        if let (Some(e), false) = (row.examiner, row.stands_in) {
            let seat = (row.track.number, row.visit.position);
            let all = seats.entry(e).or_default();
            if !all.contains(&seat) {
                all.push(seat);
            }
        }
    }
    let all = circuit.blueprint.examiners.iter().enumerate();
    let here =
        all.filter(|(e, x)| seats.contains_key(e) || first.track.takes(&circuit.blueprint, x));
    here.map(|(e, x)| {
        let seat = |(track, position): &(usize, usize)| {
            let name = circuit.blueprint.name(*position);
            match several {
                true => format!("{name} ({})", track + 1),
                false => name.to_string(),
            }
        };
        let stations: Vec<String> = seats.get(&e).into_iter().flatten().map(seat).collect();
        ExaminerIn {
            id: x.id.clone(),
            name: x.name.clone(),
            stations: stations.join(", "),
        }
    })
    .collect()
}

//! Who must be kept from whom, from when till when? For each pair of sittings of which the earlier could tell the later something.

use super::equality::{Head, head};
use crate::circuit::blueprint::{Limbs, clock};
use crate::circuit::plan::Circuit;
use crate::circuit::timetable::Track;
use serde::Serialize;
use std::collections::BTreeSet;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Quarantine {
    pub head: Head,
    pub pairs: Vec<Pair>,
}

/// What one sitting could tell a later one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Pair {
    pub earlier: String,
    pub later: String,
    /// Both sit the same stations.
    pub same: bool,
    /// Sites that both meet, where the stations differ.
    pub sites: Vec<String>,
    /// The first of the earlier sitting comes out then.
    pub out: String,
    /// The last of the later sitting goes in then.
    pub into: String,
    /// Minutes for which somebody waits, whichever of the two it is.
    pub wait: u32,
}

/// The tracks of one sitting: when they come out and go in.
struct Span<'c> {
    group: usize,
    name: String,
    quarantined: bool,
    tracks: Vec<&'c Track>,
}

impl Span<'_> {
    /// When the first candidate is through.
    fn first_out(&self) -> Option<u32> {
        let ends = self.tracks.iter().flat_map(|t| {
            (0..t.candidates.len()).filter_map(|seat| {
                let last = t.table.visits.iter().rfind(|v| v.candidate == seat)?;
                let p = t.positions.get(last.position)?;
                Some(last.from + p.reading + p.length)
            })
        });
        ends.min()
    }

    fn last_in(&self) -> Option<u32> {
        let starts = self.tracks.iter().flat_map(|t| {
            (0..t.candidates.len()).filter_map(|seat| {
                let first = t.table.visits.iter().find(|v| v.candidate == seat)?;
                Some(first.from)
            })
        });
        starts.max()
    }
}

fn spans(circuit: &Circuit) -> Vec<Span<'_>> {
    let blueprint = &circuit.blueprint;
    let mut all: Vec<Span<'_>> = Vec::new();
    for track in &circuit.tracks {
        let (Some(group), Some(sitting)) =
            (blueprint.groups.get(track.group), track.sitting(blueprint))
        else {
            continue;
        };
        match all.iter_mut().find(|s| s.name == sitting.id) {
            Some(span) => span.tracks.push(track),
            None => all.push(Span {
                group: track.group,
                name: sitting.id.clone(),
                quarantined: group.quarantined,
                tracks: vec![track],
            }),
        }
    }
    all.sort_by_key(|s| s.tracks.first().map_or(0, |t| t.start(blueprint)));
    all
}

/// Every pair of which the later one goes in after the earlier one has begun to come out; and all whom the blueprint keeps apart.
pub fn quarantine(limbs: &Limbs<'_>, circuit: &Circuit) -> Quarantine {
    let all = spans(circuit);
    let sites = |group: usize| -> BTreeSet<&str> {
        let form = circuit.forms.get(group);
        let used = form.into_iter().flat_map(|f| f.used());
        used.filter_map(|(_, b)| limbs.site(b.site))
            .map(|s| s.label.as_str())
            .collect()
    };
    let mut pairs = Vec::new();
    for (n, a) in all.iter().enumerate() {
        for b in &all[n + 1..] {
            let (Some(out), Some(into)) = (a.first_out(), b.last_in()) else {
                continue;
            };
            let same = a.group == b.group;
            let both: Vec<String> = match same {
                true => Vec::new(),
                false => sites(a.group)
                    .intersection(&sites(b.group))
                    .map(|s| (*s).to_string())
                    .collect(),
            };
            if out > into || !(same || !both.is_empty() || b.quarantined) {
                continue;
            }
            pairs.push(Pair {
                earlier: a.name.clone(),
                later: b.name.clone(),
                same,
                sites: both,
                out: clock::show(out),
                into: clock::show(into),
                wait: (into - out).div_ceil(60),
            });
        }
    }
    Quarantine {
        head: head(circuit),
        pairs,
    }
}

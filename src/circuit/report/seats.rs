//! Whose room sheets lie together? Each examiner's, in the order of the day; where nobody is named, those of a station of a track.

use super::visits::rows;
use crate::circuit::blueprint::clock;
use crate::circuit::plan::Circuit;
use crate::station::Station;
use std::collections::BTreeMap;

/// The visits that one examiner marks.
pub struct Desk<'c> {
    /// Of its file: the examiner, or group, track and position.
    pub name: String,
    pub visits: Vec<Seated<'c>>,
}

pub struct Seated<'c> {
    pub station: &'c Station,
    pub candidate: String,
    pub examiner: String,
    /// "09:42", when the candidate goes in.
    pub start: String,
    pub position: String,
    /// Minutes inside, where the sitting gives more time than the station has; else empty.
    pub longer: String,
}

/// All desks by name.
pub fn seats(circuit: &Circuit) -> Vec<Desk<'_>> {
    let mut all = rows(circuit);
    all.sort_by_key(|r| (r.visit.from, r.visit.position, r.track.number));
    let mut desks: BTreeMap<String, Vec<Seated<'_>>> = BTreeMap::new();
    for r in all {
        let Some(banked) = r.station else { continue };
        let examiner = r.examiner.and_then(|e| circuit.blueprint.examiners.get(e));
        let name = match examiner {
            Some(examiner) => examiner.id.clone(),
            None => format!(
                "{}-{}-{:0>2}",
                r.group.id,
                r.track.number + 1,
                r.position.name
            ),
        };
        desks.entry(name).or_default().push(Seated {
            station: &banked.station,
            candidate: r.candidate.id.clone(),
            examiner: examiner.map_or_else(String::new, |e| e.id.clone()),
            start: clock::show(r.begin()),
            position: r.position.name.clone(),
            longer: match r.sitting.extra {
                0 => String::new(),
                _ => clock::minutes(r.position.length),
            },
        });
    }
    let desk = |(name, visits)| Desk { name, visits };
    desks.into_iter().map(desk).collect()
}

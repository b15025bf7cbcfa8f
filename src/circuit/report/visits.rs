//! Who meets which station when, with whom? Each visit of the timetable with everything that a slip or sheet may say of it.

use crate::circuit::blueprint::{Candidate, Group, Position, Sitting, clock};
use crate::circuit::choose::Banked;
use crate::circuit::plan::Circuit;
use crate::circuit::timetable::Track;
use crate::circuit::timetable::rotation::Visit;

/// A visit with everything that a slip may say of it.
pub(super) struct Row<'c> {
    pub track: &'c Track,
    pub group: &'c Group,
    pub sitting: &'c Sitting,
    pub position: &'c Position,
    pub visit: &'c Visit,
    pub candidate: &'c Candidate,
    pub station: Option<&'c Banked>,
    /// Position in the blueprint's examiners.
    pub examiner: Option<usize>,
    pub stands_in: bool,
}

impl Row<'_> {
    pub fn begin(&self) -> clock::Second {
        self.visit.from + self.position.reading
    }

    pub fn stop(&self) -> clock::Second {
        self.begin() + self.position.length
    }
}

/// All visits, rests too, in the order of the tracks and of time.
pub(super) fn rows(circuit: &Circuit) -> Vec<Row<'_>> {
    let blueprint = &circuit.blueprint;
    let mut all = Vec::new();
    for track in &circuit.tracks {
        let row = |v: usize| -> Option<Row<'_>> {
            let visit = track.table.visits.get(v)?;
            let stations = &circuit.forms.get(track.group)?.stations;
            let examiner = track.marks.get(v).copied().flatten();
            Some(Row {
                track,
                group: blueprint.groups.get(track.group)?,
                sitting: track.sitting(blueprint)?,
                position: track.positions.get(visit.position)?,
                visit,
                candidate: track.candidate(blueprint, visit.candidate)?,
                station: stations.get(visit.position)?.as_ref(),
                examiner,
                stands_in: track.home_at(blueprint, visit) != examiner,
            })
        };
        all.extend((0..track.table.visits.len()).filter_map(row));
    }
    all
}

/// The visits to stations by candidate, then by time: a line of the mark sheet each.
pub(super) fn marked(circuit: &Circuit) -> Vec<Row<'_>> {
    let mut all = rows(circuit);
    all.retain(|r| r.station.is_some());
    all.sort_by_key(|r| (&r.group.id, &r.candidate.id, r.visit.from));
    all
}

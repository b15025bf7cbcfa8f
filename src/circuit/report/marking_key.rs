//! What must be known of a circuit to make results of its marks? Stations with their questions and caps, forms, people, seats and the rule.

use super::equality::head;
use super::visits::marked;
use crate::circuit::blueprint::{
    Kept, KeptForm, KeptStation, KeptTrack, Limbs, MOST_POSITIONS, Passing, Want,
};
use crate::circuit::choose::{Banked, counts_for};
use crate::circuit::plan::Circuit;
use crate::files::Grade;
use crate::station::{Question, Rung, level_id};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Its name in the folder of a circuit.
pub const KEY_FILE: &str = "marking_key.json";

/// The record that a circuit leaves for `vivasmith marks`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkingKey {
    pub circuit: String,
    pub title: String,
    pub date: String,
    pub place: String,
    pub content_version: String,
    #[serde(default)]
    pub seed: u64,
    /// Best first.
    pub grades: Vec<KeyGrade>,
    pub passing: Passing,
    pub stations: Vec<KeyStation>,
    /// What all examiners mark before the day.
    #[serde(default)]
    pub calibration: Option<KeptStation>,
    pub forms: Vec<KeyForm>,
    pub examiners: Vec<KeyExaminer>,
    pub candidates: Vec<KeyCandidate>,
    /// In the order of the mark sheet.
    pub seats: Vec<KeySeat>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyGrade {
    pub grade: String,
    pub borderline: bool,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyStation {
    pub code: String,
    /// Id and label.
    pub kind: [String; 2],
    pub site: [String; 2],
    /// Id of the nerve that the injured one comes from.
    pub nerve: String,
    pub level: String,
    pub minutes: u32,
    #[serde(default)]
    pub seed: u64,
    /// Declared.
    pub difficulty: f64,
    pub marks: u32,
    pub questions: Vec<KeyQuestion>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyQuestion {
    pub id: String,
    pub domain: String,
    pub opening: String,
    pub marks: u32,
    /// Prompts with the marks that each leaves, in the order they are given.
    pub caps: Vec<(Rung, f64)>,
    /// Lines to tick.
    pub points: Vec<String>,
}

/// What a group of candidates met.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyForm {
    pub group: String,
    /// The name of the position and the station there (position in [`MarkingKey::stations`]).
    pub route: Vec<(String, usize)>,
    pub cells: Vec<KeyCell>,
    /// Stations in reserve, and positions at which one stands already.
    #[serde(default)]
    pub spares: Vec<KeptStation>,
    #[serde(default)]
    pub replaced: Vec<String>,
}

/// A cell of the blueprint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyCell {
    pub label: String,
    /// The stations that count for it.
    pub stations: Vec<usize>,
    /// Of a cell about a domain only the questions of that domain count.
    pub domain: Option<String>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyExaminer {
    pub id: String,
    /// Candidates whom they may not mark.
    pub knows: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyCandidate {
    pub id: String,
    pub form: usize,
    pub sitting: String,
    /// From 1.
    pub track: usize,
    /// Place in the track, from 0.
    #[serde(default)]
    pub seat: usize,
}

/// Candidate, station, and the examiner where one is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeySeat(pub usize, pub usize, pub Option<usize>);

pub fn marking_key(limbs: &Limbs<'_>, circuit: &Circuit, grades: &[Grade]) -> MarkingKey {
    let head = head(circuit);
    let mut stations: Vec<KeyStation> = Vec::new();
    let mut number: BTreeMap<&str, usize> = BTreeMap::new();
    let used = circuit.forms.iter().flat_map(|f| f.used());
    for (_, banked) in used {
        number.entry(&banked.station.code).or_insert_with(|| {
            stations.push(station(limbs, banked));
            stations.len() - 1
        });
    }
    let of = |banked: &Banked| number.get(banked.station.code.as_str()).copied();
    let mut key = MarkingKey {
        circuit: head.id,
        title: head.title,
        date: head.date,
        place: head.place,
        content_version: head.content_version,
        seed: circuit.seed,
        grades: grades
            .iter()
            .map(|g| KeyGrade {
                grade: g.grade.clone(),
                borderline: g.borderline,
            })
            .collect(),
        passing: circuit.blueprint.passing,
        stations,
        calibration: circuit.calibration.as_ref().map(|b| kept(limbs, b)),
        forms: forms(limbs, circuit, &of),
        examiners: circuit
            .blueprint
            .examiners
            .iter()
            .map(|e| KeyExaminer {
                id: e.id.clone(),
                knows: e.knows.clone(),
            })
            .collect(),
        candidates: Vec::new(),
        seats: Vec::new(),
    };
    for row in marked(circuit) {
        let new = key
            .candidates
            .last()
            .is_none_or(|c| c.id != row.candidate.id);
        if new {
            key.candidates.push(KeyCandidate {
                id: row.candidate.id.clone(),
                form: row.track.group,
                sitting: row.sitting.id.clone(),
                track: row.track.number + 1,
                seat: row.visit.candidate,
            });
        }
        if let Some(station) = row.station.and_then(&of) {
            let candidate = key.candidates.len() - 1;
            key.seats.push(KeySeat(candidate, station, row.examiner));
        }
    }
    key
}

fn station(limbs: &Limbs<'_>, banked: &Banked) -> KeyStation {
    let station = &banked.station;
    let site = limbs.site(banked.site);
    let kind = &station.kind;
    KeyStation {
        code: station.code.clone(),
        kind: [kind.id.clone(), kind.label.clone()],
        site: site.map_or_else(Default::default, |s| [s.id.clone(), s.label.clone()]),
        nerve: limbs.main_nerve(banked.site).0.to_string(),
        level: level_id(banked.level).to_string(),
        minutes: banked.minutes,
        seed: banked.seed,
        difficulty: station.difficulty.figure,
        marks: station.total_marks,
        questions: station.questions.iter().map(question).collect(),
    }
}

fn question(question: &Question) -> KeyQuestion {
    let lines = question.groups.iter().flat_map(|g| &g.points);
    KeyQuestion {
        id: question.id.clone(),
        domain: question.domain.clone(),
        opening: question.opening.clone(),
        marks: question.marks,
        caps: question.prompts.iter().map(|p| (p.rung, p.cap)).collect(),
        points: lines.map(|p| p.say.clone()).collect(),
    }
}

/// What the station can be made again from.
fn kept(limbs: &Limbs<'_>, banked: &Banked) -> KeptStation {
    KeptStation {
        code: banked.station.code.clone(),
        site: limbs.id(banked.site).to_string(),
        kind: banked.station.kind.id.clone(),
        level: level_id(banked.level).to_string(),
        minutes: banked.minutes,
        seed: banked.seed,
    }
}

impl MarkingKey {
    /// What stays when the day is planned again.
    pub fn kept(&self) -> Kept {
        let made = |s: &KeyStation| KeptStation {
            code: s.code.clone(),
            site: s.site[0].clone(),
            kind: s.kind[0].clone(),
            level: s.level.clone(),
            minutes: s.minutes,
            seed: s.seed,
        };
        let form = |f: &KeyForm| KeptForm {
            group: f.group.clone(),
            stations: f
                .route
                .iter()
                .filter_map(|(name, s)| Some((name.clone(), made(self.stations.get(*s)?))))
                .collect(),
            spares: f.spares.clone(),
            replaced: f.replaced.clone(),
        };
        Kept {
            seed: self.seed,
            forms: self.forms.iter().map(form).collect(),
            calibration: self.calibration.clone(),
            tracks: self.kept_tracks(),
        }
    }

    fn kept_tracks(&self) -> Vec<KeptTrack> {
        let mut all: BTreeMap<(usize, &str, usize), KeptTrack> = BTreeMap::new();
        for c in &self.candidates {
            let (form, track) = (c.form, c.track);
            let group = self.forms.get(form).map_or("", |f| f.group.as_str());
            let own = all
                .entry((form, c.sitting.as_str(), track))
                .or_insert_with(|| KeptTrack {
                    group: group.to_string(),
                    sitting: c.sitting.clone(),
                    number: track.saturating_sub(1),
                    ..KeptTrack::default()
                });
            // No track seats more than a route has positions.
            if c.seat < MOST_POSITIONS {
                let seats = own.seats.len().max(c.seat + 1);
                own.seats.resize(seats, None);
                own.seats[c.seat] = Some(c.id.clone());
            }
        }
        for KeySeat(candidate, station, examiner) in &self.seats {
            let found = || {
                let c = self.candidates.get(*candidate)?;
                let form = self.forms.get(c.form)?;
                let (position, _) = form.route.iter().find(|(_, s)| s == station)?;
                let examiner = &self.examiners.get((*examiner)?)?.id;
                Some((c, position.clone(), examiner.clone()))
            };
            if let Some((c, position, examiner)) = found()
                && let Some(own) = all.get_mut(&(c.form, c.sitting.as_str(), c.track))
            {
                own.marks.push((c.id.clone(), position, examiner));
            }
        }
        all.into_values().collect()
    }
}

fn forms(
    limbs: &Limbs<'_>,
    circuit: &Circuit,
    of: &dyn Fn(&Banked) -> Option<usize>,
) -> Vec<KeyForm> {
    let blueprint = &circuit.blueprint;
    let cells = || circuit.made.wanted.iter().filter(|w| w.line > 0);
    let both = circuit.forms.iter().zip(&blueprint.groups);
    both.map(|(form, group)| KeyForm {
        spares: form.spares.iter().map(|b| kept(limbs, b)).collect(),
        replaced: form.replaced.clone(),
        group: group.id.clone(),
        route: form
            .used()
            .filter_map(|(p, b)| Some((blueprint.name(p).to_string(), of(b)?)))
            .collect(),
        cells: cells()
            .map(|want: &Want| KeyCell {
                label: want.label.clone(),
                stations: form
                    .used()
                    .filter(|(_, b)| counts_for(want, b))
                    .filter_map(|(_, b)| of(b))
                    .collect(),
                domain: want.filter.domain.clone(),
            })
            .collect(),
    })
    .collect()
}

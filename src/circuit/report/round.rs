//! Who goes round how, for a mock on a screen: each station's recipe, each visit with its bells, and the way of each who takes part.

use super::equality::head;
use super::mark_sheet::planned;
use super::visits::{Row, rows};
use crate::circuit::blueprint::{Limbs, clock};
use crate::circuit::plan::Circuit;
use crate::station::level_id;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Its name in the folder of a circuit.
pub const ROUND_FILE: &str = "round.json";

/// The record that a circuit leaves for `vivasmith mock`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Round {
    pub circuit: String,
    pub title: String,
    pub content_version: String,
    pub seed: u64,
    pub groups: Vec<GroupRound>,
}

/// What the candidates of one group meet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GroupRound {
    pub id: String,
    pub stations: Vec<Recipe>,
    pub visits: Vec<Visit>,
    pub ways: Vec<Way>,
}

/// What it takes to build a station again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Recipe {
    pub code: String,
    pub region: String,
    pub site: String,
    pub kind: String,
    pub level: String,
    pub minutes: u32,
    pub reading: u32,
    pub seed: u64,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Visit {
    /// Position in [`GroupRound::stations`]; `None`: a rest.
    pub station: Option<usize>,
    /// The first columns of its line in the mark sheet.
    pub planned: Vec<String>,
    /// "17:30", when reading begins.
    pub clock: String,
    pub bells: Bells,
}

/// When bells ring, in seconds from the first of the sitting (of a station alone: from the beginning).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bells {
    pub read: u32,
    pub begin: u32,
    /// As `stop` where none warns.
    pub warn: u32,
    pub stop: u32,
}

/// The way of one who takes part in one sitting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Way {
    /// Candidate or examiner; the position where nobody is named.
    pub id: String,
    pub part: Part,
    /// Empty where the group has one sitting.
    pub sitting: String,
    /// Positions in [`GroupRound::visits`], in order of time.
    pub visits: Vec<usize>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    Candidate,
    Examiner,
    /// The examiner of a station for which nobody is named.
    Open,
}

/// The rounds of all groups.
pub fn round(limbs: &Limbs<'_>, circuit: &Circuit) -> Round {
    let blueprint = &circuit.blueprint;
    let all = rows(circuit);
    let groups = blueprint.groups.iter().enumerate().map(|(g, group)| {
        let own: Vec<&Row<'_>> = all.iter().filter(|r| r.track.group == g).collect();
        GroupRound {
            id: group.id.clone(),
            stations: recipes(limbs, circuit, g),
            ..of_group(circuit, &own, group.sittings.len() > 1)
        }
    });
    Round {
        circuit: blueprint.id.clone(),
        title: blueprint.title.clone(),
        content_version: head(circuit).content_version,
        seed: circuit.seed,
        groups: groups.collect(),
    }
}

fn recipes(limbs: &Limbs<'_>, circuit: &Circuit, group: usize) -> Vec<Recipe> {
    let form = circuit.forms.get(group);
    let used = form.into_iter().flat_map(|f| f.used());
    used.map(|(_, b)| Recipe {
        code: b.station.code.clone(),
        region: limbs
            .model_of(b.site)
            .map_or_else(String::new, |m| m.region.clone()),
        site: limbs.id(b.site).to_string(),
        kind: b.station.kind.id.clone(),
        level: level_id(b.level).to_string(),
        minutes: b.minutes,
        reading: b.reading,
        seed: b.seed,
    })
    .collect()
}

/// Visits and ways of a group; its name and stations are left out.
fn of_group(circuit: &Circuit, own: &[&Row<'_>], many: bool) -> GroupRound {
    // By part, sitting and name, so that those who go round stand before those who sit.
    let mut ways: BTreeMap<(Part, usize, String), Vec<usize>> = BTreeMap::new();
    let mut visits = Vec::new();
    for r in own {
        let at = visits.len();
        visits.push(visit(circuit, r));
        let mut add = |part, id: String| {
            let key = (part, r.track.sitting, id);
            ways.entry(key).or_default().push(at);
        };
        add(Part::Candidate, r.candidate.id.clone());
        let examiner = r.examiner.and_then(|e| circuit.blueprint.examiners.get(e));
        match (r.station, examiner) {
            (None, _) => {}
            (_, Some(examiner)) => add(Part::Examiner, examiner.id.clone()),
            (_, None) if r.sitting.tracks > 1 => add(
                Part::Open,
                format!("{}/{}", r.position.name, r.track.number + 1),
            ),
            _ => add(Part::Open, r.position.name.clone()),
        }
    }
    let way = |((part, sitting, id), mut visits_of): ((Part, usize, String), Vec<usize>)| {
        visits_of.sort_by_key(|v| visits.get(*v).map_or(0, |v: &Visit| v.bells.read));
        let named = own.iter().find(|r| r.track.sitting == sitting && many);
        Way {
            id,
            part,
            sitting: named.map_or_else(String::new, |r| r.sitting.id.clone()),
            visits: visits_of,
        }
    };
    let ways = ways.into_iter().map(way).collect();
    GroupRound {
        id: String::new(),
        stations: Vec::new(),
        visits,
        ways,
    }
}

fn visit(circuit: &Circuit, r: &Row<'_>) -> Visit {
    let form = circuit.forms.get(r.track.group);
    let mut used = form.into_iter().flat_map(|f| f.used());
    let since = |at: clock::Second| at.saturating_sub(r.sitting.start);
    let warning = circuit.blueprint.pace.warning;
    let warned = r.station.is_some() && warning > 0 && warning < r.position.length;
    Visit {
        station: r
            .station
            .and_then(|_| used.position(|(p, _)| p == r.visit.position)),
        planned: planned(circuit, r),
        clock: clock::show(r.visit.from),
        bells: Bells {
            read: since(r.visit.from),
            begin: since(r.begin()),
            warn: since(r.stop() - if warned { warning } else { 0 }),
            stop: since(r.stop()),
        },
    }
}

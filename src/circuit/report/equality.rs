//! Is the blueprint kept, and how equal are the parallel forms? The report, and the record for the next circuit.

use super::notes::{Note, review};
use crate::circuit::blueprint::{Exposure, Limbs, Met, Starts, clock};
use crate::circuit::choose::counts_for;
use crate::circuit::choose::mip::End;
use crate::circuit::plan::Circuit;
use crate::station::level_id;
use serde::Serialize;

/// What every page of a circuit may say about it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Head {
    pub id: String,
    pub title: String,
    pub date: String,
    pub place: String,
    pub seed: u64,
    pub content_version: String,
    pub groups: Vec<String>,
    pub stations: usize,
    pub rests: usize,
    pub candidates: usize,
    /// Of one candidate's way round, in minutes.
    pub round: String,
    pub staggered: bool,
    pub changeover: String,
    pub warning: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    pub head: Head,
    pub cells: Vec<CellRow>,
    pub forms: Vec<FormRow>,
    /// Highest less lowest of the forms.
    pub spread: Spread,
    pub search: Search,
    pub route: Vec<RouteRow>,
    pub domains: Vec<CountRow>,
    pub repeats: Vec<Again>,
    pub notes: Vec<Note>,
    pub warnings: usize,
}

/// A cell with what it asks for and what each form holds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CellRow {
    pub label: String,
    pub least: usize,
    pub most: usize,
    pub counts: Vec<usize>,
    pub met: bool,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CountRow {
    pub label: String,
    pub counts: Vec<u32>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormRow {
    pub group: String,
    /// Sum and mean of the declared difficulty.
    pub difficulty: String,
    pub mean: String,
    pub words: usize,
    pub spoken: usize,
    pub marks: u32,
    /// Sites shared with other forms.
    pub shared: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spread {
    pub difficulty: String,
    pub mean: String,
    pub words: usize,
    pub marks: u32,
}

/// How sure it is that no better set of forms exists.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Search {
    pub cost: String,
    pub bound: String,
    pub gap: String,
    pub proven: bool,
    /// Nothing was searched: the stations are those of an earlier plan.
    pub kept: bool,
    pub by_clock: bool,
    pub nodes: u64,
    pub bank: usize,
}

/// One position with its station in each form.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RouteRow {
    pub position: String,
    pub rest: bool,
    pub minutes: String,
    pub reading: String,
    pub stations: Vec<StationCell>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationCell {
    pub code: String,
    pub site: String,
    pub kind: String,
    pub level: &'static str,
    pub difficulty: String,
    pub words: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Again {
    pub first: String,
    pub later: String,
    pub site: String,
}

fn one(value: f64) -> String {
    format!("{value:.1}")
}

pub fn head(circuit: &Circuit) -> Head {
    let b = &circuit.blueprint;
    let first = circuit.forms.iter().flat_map(|f| f.used()).next();
    Head {
        id: b.id.clone(),
        title: b.title.clone(),
        date: b.date.clone(),
        place: b.place.clone(),
        seed: circuit.seed,
        content_version: first.map_or(String::new(), |(_, s)| s.station.content_version.clone()),
        groups: b.groups.iter().map(|g| g.id.clone()).collect(),
        stations: b.stations(),
        rests: b.positions.len() - b.stations(),
        candidates: b
            .groups
            .iter()
            .flat_map(|g| &g.candidates)
            .filter(|c| !c.absent)
            .count(),
        round: clock::minutes(b.round(&b.positions)),
        staggered: b.pace.starts == Starts::Staggered,
        changeover: clock::minutes(b.pace.changeover),
        warning: clock::minutes(b.pace.warning),
    }
}

pub fn report(limbs: &Limbs<'_>, circuit: &Circuit) -> Report {
    let blueprint = &circuit.blueprint;
    let cells = circuit
        .made
        .wanted
        .iter()
        .filter(|w| w.line > 0)
        .map(|w| {
            let counts: Vec<usize> = circuit
                .forms
                .iter()
                .map(|f| f.used().filter(|(_, b)| counts_for(w, b)).count())
                .collect();
            CellRow {
                label: w.label.clone(),
                least: w.least,
                most: w.most,
                met: counts.iter().all(|c| (w.least..=w.most).contains(c)),
                counts,
            }
        })
        .collect();
    let site = |s: usize| limbs.site(s).map_or(String::new(), |x| x.id.clone());
    let group = |g: usize| {
        blueprint
            .groups
            .get(g)
            .map_or(String::new(), |x| x.id.clone())
    };
    let sums: Vec<f64> = circuit
        .forms
        .iter()
        .map(|f| f.used().map(|(_, b)| b.station.difficulty.figure).sum())
        .collect();
    let words: Vec<usize> = circuit
        .forms
        .iter()
        .map(|f| f.used().map(|(_, b)| b.words).sum())
        .collect();
    let marks: Vec<u32> = circuit
        .forms
        .iter()
        .map(|f| f.used().map(|(_, b)| b.station.total_marks).sum())
        .collect();
    let stations = blueprint.stations().max(1) as f64;
    let forms = circuit
        .forms
        .iter()
        .enumerate()
        .map(|(f, form)| FormRow {
            group: group(f),
            difficulty: one(sums[f]),
            mean: format!("{:.2}", sums[f] / stations),
            words: words[f],
            spoken: form.used().map(|(_, b)| b.spoken).sum(),
            marks: marks[f],
            shared: form
                .used()
                .filter(|(_, b)| {
                    let mut others = circuit.forms.iter().enumerate().filter(|(o, _)| *o != f);
                    others.any(|(_, o)| o.used().any(|(_, x)| x.site == b.site))
                })
                .count(),
        })
        .collect();
    let wide = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max)
        - sums.iter().copied().fold(f64::INFINITY, f64::min);
    let notes = review(limbs, circuit);
    let a = &circuit.made.assembly;
    Report {
        head: head(circuit),
        cells,
        forms,
        spread: Spread {
            difficulty: one(wide),
            mean: format!("{:.2}", wide / stations),
            words: words.iter().max().unwrap_or(&0) - words.iter().min().unwrap_or(&0),
            marks: marks.iter().max().unwrap_or(&0) - marks.iter().min().unwrap_or(&0),
        },
        search: Search {
            cost: one(a.cost),
            bound: one(a.bound),
            gap: one(a.cost - a.bound),
            proven: a.end == End::Proven,
            kept: circuit.made.kept,
            by_clock: a.end == End::Time,
            nodes: a.nodes,
            bank: circuit.made.bank,
        },
        route: route(limbs, circuit),
        domains: domains(circuit),
        repeats: circuit
            .made
            .repeats
            .iter()
            .map(|(a, b, s)| Again {
                first: group(*a),
                later: group(*b),
                site: site(*s),
            })
            .collect(),
        warnings: notes.iter().filter(|n| n.warning).count(),
        notes,
    }
}

fn route(limbs: &Limbs<'_>, circuit: &Circuit) -> Vec<RouteRow> {
    let positions = circuit.blueprint.positions.iter().enumerate();
    positions
        .map(|(i, p)| RouteRow {
            position: p.name.clone(),
            rest: p.station.is_none(),
            minutes: clock::minutes(p.length),
            reading: clock::minutes(p.reading),
            stations: circuit
                .forms
                .iter()
                .filter_map(|f| f.stations.get(i).and_then(Option::as_ref))
                .map(|b| StationCell {
                    code: b.station.code.clone(),
                    site: limbs
                        .site(b.site)
                        .map_or(String::new(), |s| s.label.clone()),
                    kind: b.station.kind.label.clone(),
                    level: level_id(b.level),
                    difficulty: one(b.station.difficulty.figure),
                    words: b.words,
                })
                .collect(),
        })
        .collect()
}

/// Marks of each domain in each form.
fn domains(circuit: &Circuit) -> Vec<CountRow> {
    let mut names: Vec<&str> = circuit
        .forms
        .iter()
        .flat_map(|f| f.used())
        .flat_map(|(_, b)| &b.domains)
        .map(String::as_str)
        .collect();
    names.sort_unstable();
    names.dedup();
    names
        .into_iter()
        .map(|name| CountRow {
            label: name.to_string(),
            counts: circuit
                .forms
                .iter()
                .map(|f| {
                    let all = f.used().flat_map(|(_, b)| b.station.domains());
                    all.filter(|(domain, _)| domain == name)
                        .map(|(_, marks)| marks)
                        .sum()
                })
                .collect(),
        })
        .collect()
}

/// The record for the next circuit: what was known before, and what this one adds.
pub fn record(limbs: &Limbs<'_>, circuit: &Circuit, before: &Exposure) -> Exposure {
    let mut all = before.clone();
    for (form, group) in circuit.forms.iter().zip(&circuit.blueprint.groups) {
        for (_, b) in form.used() {
            all.met.push(Met {
                code: b.station.code.clone(),
                site: limbs.id(b.site).to_string(),
                kind: b.station.kind.id.clone(),
                level: level_id(b.level).to_string(),
                minutes: b.minutes,
                seed: b.seed,
                circuit: circuit.blueprint.id.clone(),
                date: circuit.blueprint.date.clone(),
                group: group.id.clone(),
                candidates: group.candidates.len(),
            });
        }
    }
    all
}

//! How do forms, places on the route and people come together into one circuit?

use super::blueprint::{Blueprint, Exposure, Limbs, Want};
use super::choose::build_task::{Origin, task, with_nerve_limit};
use super::choose::mip::{Effort, End};
use super::choose::{
    Assembly, Banked, Outcome, Rule, Task, assemble, explain, pairs, repeats, spares,
};
use super::timetable::{Form, Track, arrange, seat};
use crate::diagnostic::Failure;
use std::time::Duration;

/// A circuit, ready to be printed.
#[derive(Debug, Clone)]
pub struct Circuit {
    pub blueprint: Blueprint,
    pub seed: u64,
    /// One for each group, in their order.
    pub forms: Vec<Form>,
    pub tracks: Vec<Track>,
    /// A station that all examiners mark before the day.
    pub calibration: Option<Banked>,
    pub made: Made,
}

/// How the forms came about.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    pub assembly: Assembly,
    pub bank: usize,
    /// Sites met again where it would help: (first group, later group, site).
    pub repeats: Vec<(usize, usize, usize)>,
    /// Pairs of groups where the later one could profit from the earlier.
    pub helps: Vec<(usize, usize)>,
    /// The cells of the blueprint with the rules of the program.
    pub wanted: Vec<Want>,
    /// The stations are those of an earlier plan: nothing was searched.
    pub kept: bool,
    /// Why stations of the bank were left out: what cannot be printed of each.
    pub unprintable: Vec<String>,
}

/// How long the exact search may take, unless asked otherwise: a number of branches and no clock, so that a seed gives the same circuit
/// on every machine.
pub const EFFORT: Effort = Effort {
    nodes: 60,
    time: Duration::from_secs(24 * 60 * 60),
};

/// Branches for this blueprint when no number is asked for. Each costs more the more choices there are: a day of 36 stations or
/// fewer has all, one of 72 a quarter.
pub fn usual_nodes(blueprint: &Blueprint) -> u64 {
    let choices = (blueprint.groups.len() * blueprint.stations()).max(36) as f64;
    (EFFORT.nodes as f64 * (36.0 / choices).powi(2)).ceil() as u64
}
/// Rounds of forbidding pairs that turn out too much alike, or to give each other away.
const ROUNDS: usize = 8;

/// Exact searches at the most, because each may bring up another such pair.
const EXACT_RUNS: usize = 3;

fn better(one: Option<Assembly>, other: Assembly) -> Assembly {
    match one {
        Some(one) if one.cost <= other.cost => one,
        _ => other,
    }
}

/// Plans the circuit.
///
/// # Errors
/// Exit code 1 when rules clash (which, and what to relax), or people do not fit.
pub fn plan(
    limbs: &Limbs<'_>,
    blueprint: &Blueprint,
    bank: &[Banked],
    exposure: &Exposure,
    seed: u64,
    effort: Effort,
) -> Result<Circuit, Failure> {
    let tracks = seat(blueprint, None, seed)?;
    let helps = helps(blueprint, &tracks);
    let wanted = with_nerve_limit(blueprint, bank);
    let (mut task, owners, mut origins) =
        task(limbs, blueprint, bank, exposure, &wanted, &helps, seed);
    // What keeps the rules may still hold two stations that are too much alike, or of which one gives the other away: such a pair
    // is forbidden and the search goes on. The exact search comes when a first answer is free of them.
    let quick = Effort { nodes: 0, ..effort };
    let base = (task.clone(), origins.clone());
    // Stations that open in the same words stand apart where that can be.
    let mut hear = true;
    let mut clean: Option<Assembly> = None;
    let mut last = None;
    let mut exact_runs = 0;
    for round in 0..ROUNDS {
        let exact = clean.is_some() || round + 2 >= ROUNDS;
        let made = match assemble(&task, if exact { effort } else { quick }) {
            Outcome::Made(made) => made,
            // What was found before keeps these rules as well: then the search gave up, and nothing is proven.
            Outcome::Impossible | Outcome::Unknown if clean.is_some() => break,
            Outcome::Impossible if hear => {
                hear = false;
                (task, origins) = base.clone();
                continue;
            }
            Outcome::Impossible => {
                return Err(explain::explain(
                    limbs, &task, &origins, blueprint, bank, effort,
                ));
            }
            Outcome::Unknown => return Err(explain::unknown()),
        };
        let clashes = pairs(limbs, blueprint, bank, &owners, &made.forms, hear);
        if clashes.is_empty() {
            clean = Some(better(clean, made.clone()));
        }
        let done = clashes.is_empty() && exact;
        last = Some(made);
        exact_runs += usize::from(exact);
        if done || exact_runs >= EXACT_RUNS {
            break;
        }
        for (a, b) in clashes {
            forbid(&mut task, &owners, a, b);
            origins.push(Origin::Pair(a, b));
        }
    }
    let assembly = match (clean, last) {
        // The rules only grew, so the last bound holds for every clean answer.
        (Some(clean), Some(last)) => Assembly {
            bound: last.bound.min(clean.cost),
            end: if last.bound >= clean.cost - 1e-6 {
                End::Proven
            } else {
                last.end.unproven()
            },
            nodes: last.nodes,
            ..clean
        },
        (_, Some(last)) => last,
        (_, None) => return Err(explain::unknown()),
    };
    let mut forms = arrange(blueprint, &task, bank, &owners, &assembly.forms, seed);
    let own: Vec<Vec<&Banked>> = forms
        .iter()
        .map(|f| f.used().map(|(_, b)| b).collect())
        .collect();
    let (reserve, calibration) = spares(limbs, blueprint, bank, &own);
    let reserve: Vec<Vec<Banked>> = reserve
        .into_iter()
        .map(|all| all.into_iter().cloned().collect())
        .collect();
    let calibration = calibration.cloned();
    for (form, reserve) in forms.iter_mut().zip(reserve) {
        form.spares = reserve;
    }
    Ok(Circuit {
        calibration,
        made: Made {
            repeats: repeats(&task, &assembly.forms),
            bank: bank.len(),
            assembly,
            helps,
            wanted,
            kept: false,
            unprintable: Vec::new(),
        },
        blueprint: blueprint.clone(),
        seed,
        forms,
        tracks,
    })
}

/// A later group profits from an earlier one if it starts after the earlier one has begun to come out, unless it is kept apart.
pub(super) fn helps(blueprint: &Blueprint, tracks: &[Track]) -> Vec<(usize, usize)> {
    let of = |g: usize| tracks.iter().filter(move |t| t.group == g);
    let first_out = |g: usize| of(g).map(|t| t.end(blueprint)).min();
    let last_in = |g: usize| of(g).map(|t| t.start(blueprint)).max();
    let mut all = Vec::new();
    for a in 0..blueprint.groups.len() {
        for (b, later) in blueprint.groups.iter().enumerate() {
            if let (true, false, Some(out), Some(last)) =
                (a != b, later.quarantined, first_out(a), last_in(b))
                && out <= last
            {
                all.push((a, b));
            }
        }
    }
    all
}

fn forbid(task: &mut Task, owners: &[usize], a: usize, b: usize) {
    let members = owners
        .iter()
        .enumerate()
        .filter(|(_, o)| **o == a || **o == b);
    task.rules.push(Rule {
        members: members.map(|(i, _)| i).collect(),
        least: 0,
        most: 1,
    });
}

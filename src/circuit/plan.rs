//! Turns a blueprint and a bank of stations into the circuit: forms, places on the route, people and what is to be noted.

use super::arrange::arrange;
use super::assemble::{Assembly, Item, Outcome, Rule, Task, assemble, repeats};
use super::bank::Banked;
use super::blueprint::{Blueprint, Repeat, Want};
use super::exposure::Exposure;
use super::jobs::holds;
use super::mip::Effort;
use super::review::{leaks, similarity};
use super::seats::{Track, seat};
use super::{blame, clock};
use crate::anatomy::Model;
use crate::diagnostic::Failure;
use std::collections::BTreeSet;
use std::time::Duration;

/// A circuit, ready to be printed.
#[derive(Debug, Clone)]
pub struct Circuit {
    pub blueprint: Blueprint,
    pub seed: u64,
    /// One for each group, in their order.
    pub forms: Vec<Form>,
    pub tracks: Vec<Track>,
    pub made: Made,
}

/// The stations of one group.
#[derive(Debug, Clone)]
pub struct Form {
    /// For each position of the route its station; `None`: a rest.
    pub stations: Vec<Option<Banked>>,
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
}

impl Form {
    pub fn used(&self) -> impl Iterator<Item = (usize, &Banked)> {
        let all = self.stations.iter().enumerate();
        all.filter_map(|(p, s)| s.as_ref().map(|s| (p, s)))
    }
}

/// How long the exact search may take, unless asked otherwise.
pub const EFFORT: Effort = Effort {
    nodes: 60,
    time: Duration::from_secs(20),
};
/// Rounds of forbidding pairs that turn out too much alike, or to give each other away.
const ROUNDS: usize = 8;

/// Plans the circuit.
///
/// # Errors
/// Exit code 1 when rules clash (which, and what to relax), or people do not fit.
pub fn plan(
    model: &Model,
    blueprint: &Blueprint,
    bank: &[Banked],
    exposure: &Exposure,
    seed: u64,
    effort: Effort,
) -> Result<Circuit, Failure> {
    let tracks = seat(blueprint, seed)?;
    let helps = helps(blueprint, &tracks);
    let wanted = with_nerve_limit(blueprint, bank);
    let (mut task, owners, mut origins) =
        task(model, blueprint, bank, exposure, &wanted, &helps, seed);
    // What keeps the rules may still hold two stations that are too much alike, or of which one gives the other away: such a pair
    // is forbidden and the search goes on. The exact search comes when a first answer is free of them.
    let quick = Effort { nodes: 0, ..effort };
    let mut assembly = None;
    for round in 0..ROUNDS {
        let exact = assembly.is_some() || round + 2 >= ROUNDS;
        let made = match assemble(&task, if exact { effort } else { quick }) {
            Outcome::Made(made) => made,
            Outcome::Impossible => {
                return Err(blame::explain(
                    model, &task, &origins, blueprint, bank, effort,
                ));
            }
            Outcome::Unknown => return Err(blame::unknown(effort)),
        };
        let clashes = pairs(model, blueprint, bank, &owners, &made.forms);
        assembly = Some(made);
        match (clashes.is_empty(), exact) {
            (true, true) => break,
            (true, false) => {}
            (false, _) => {
                if round + 1 < ROUNDS {
                    assembly = None;
                }
                for (a, b) in clashes {
                    forbid(&mut task, &owners, a, b);
                    origins.push(blame::Origin::Pair(a, b));
                }
            }
        }
    }
    let Some(assembly) = assembly else {
        return Err(blame::unknown(effort));
    };
    let forms = arrange(blueprint, &task, bank, &owners, &assembly.forms, seed);
    Ok(Circuit {
        made: Made {
            repeats: repeats(&task, &assembly.forms),
            bank: bank.len(),
            assembly,
            helps,
            wanted,
        },
        blueprint: blueprint.clone(),
        seed,
        forms,
        tracks,
    })
}

/// A later group profits from an earlier one if it starts after the earlier one has begun to come out, unless it is kept apart.
fn helps(blueprint: &Blueprint, tracks: &[Track]) -> Vec<(usize, usize)> {
    let start = |t: &Track| {
        let group = blueprint.groups.get(t.group);
        group
            .and_then(|g| g.sittings.get(t.sitting))
            .map_or(0, |s| s.start)
    };
    let first_out = |g: usize| {
        tracks
            .iter()
            .filter(|t| t.group == g)
            .map(|t| start(t) + t.table.length)
            .min()
    };
    let last_in = |g: usize| tracks.iter().filter(|t| t.group == g).map(start).max();
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

/// The blueprint's cells, and for each nerve the program's own limit.
fn with_nerve_limit(blueprint: &Blueprint, bank: &[Banked]) -> Vec<Want> {
    let stations = blueprint.stations();
    let most = ((blueprint.limits.one_nerve * stations as f64 + 1e-9).floor() as usize).max(1);
    let mut wanted = blueprint.wanted.clone();
    let nerves: BTreeSet<&str> = bank.iter().map(|b| b.nerve.as_str()).collect();
    for nerve in nerves {
        let mut sites: Vec<usize> = bank
            .iter()
            .filter(|b| b.nerve == nerve)
            .map(|b| b.site)
            .collect();
        sites.sort_unstable();
        sites.dedup();
        if sites.len() > most {
            wanted.push(Want {
                label: format!("nerve {nerve} (limits.one_nerve)"),
                line: 0,
                filter: super::blueprint::Filter {
                    sites: Some(sites),
                    ..Default::default()
                },
                least: 0,
                most,
            });
        }
    }
    wanted
}

pub fn counts_for(want: &Want, station: &Banked) -> bool {
    let f = &want.filter;
    f.sites.as_ref().is_none_or(|s| s.contains(&station.site))
        && f.kind
            .as_ref()
            .is_none_or(|k| *k == station.station.kind.id)
        && f.level.is_none_or(|l| l == station.level)
        && f.domain
            .as_ref()
            .is_none_or(|d| station.domains.contains(d))
}

/// The assembly task; the bank position of each item; where each rule comes from.
fn task(
    model: &Model,
    blueprint: &Blueprint,
    bank: &[Banked],
    exposure: &Exposure,
    wanted: &[Want],
    helps: &[(usize, usize)],
    seed: u64,
) -> (Task, Vec<usize>, Vec<blame::Origin>) {
    let shapes = blueprint.shapes();
    let nerves = big_nerves(blueprint, bank);
    let mut kinds: Vec<&str> = bank.iter().map(|b| b.station.kind.id.as_str()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let places = ["root", "trunk", "cord", "nerve"];
    let mut items = Vec::new();
    let mut owners = Vec::new();
    for (b, banked) in bank.iter().enumerate() {
        let kind = &banked.station.kind.id;
        let mut content = Vec::new();
        content.extend(places.iter().position(|p| *p == banked.place));
        content.extend(
            kinds
                .iter()
                .position(|k| k == kind)
                .map(|k| places.len() + k),
        );
        content.extend(
            nerves
                .iter()
                .position(|n| **n == banked.nerve)
                .map(|n| places.len() + kinds.len() + n),
        );
        let site = model.sites.get(banked.site).map_or("", |s| s.id.as_str());
        for (class, (shape, _)) in shapes.iter().enumerate() {
            if holds(shape, banked.level, banked.minutes, kind) && shape.reading == banked.reading {
                items.push(Item {
                    site: banked.site,
                    class,
                    figures: vec![
                        banked.station.difficulty.figure,
                        banked.words as f64,
                        f64::from(banked.station.total_marks),
                    ],
                    content: content.clone(),
                    exposed: exposure.of_site(site) as f64,
                    fixed: banked.reused.is_some(),
                });
                owners.push(b);
            }
        }
    }
    let (rules, origins) = rules(model, blueprint, bank, &items, &owners, wanted);
    let task = Task {
        items,
        forms: blueprint.groups.len(),
        classes: shapes.iter().map(|(_, p)| p.len()).collect(),
        rules,
        helps: helps.to_vec(),
        never_repeat: blueprint.limits.repeat_sites == Repeat::Never,
        // A point of difficulty in a whole form weighs as much as fifty words, or as one mark.
        weights: vec![1.0, 0.02, 1.0],
        seed,
    };
    (task, owners, origins)
}

fn rules(
    model: &Model,
    blueprint: &Blueprint,
    bank: &[Banked],
    items: &[Item],
    owners: &[usize],
    wanted: &[Want],
) -> (Vec<Rule>, Vec<blame::Origin>) {
    let mut rules = Vec::new();
    let mut origins = Vec::new();
    let members = |keep: &dyn Fn(&Item, &Banked) -> bool| -> Vec<usize> {
        let both = items.iter().zip(owners).enumerate();
        both.filter(|(_, (i, b))| bank.get(**b).is_some_and(|banked| keep(i, banked)))
            .map(|(at, _)| at)
            .collect()
    };
    for (w, want) in wanted.iter().enumerate() {
        rules.push(Rule {
            members: members(&|_, b| counts_for(want, b)),
            least: want.least,
            most: want.most,
        });
        origins.push(blame::Origin::Want(w, want.clone()));
    }
    for (one, other) in &blueprint.apart {
        let is = |site: usize| {
            model
                .sites
                .get(site)
                .is_some_and(|s| s.id == *one || s.id == *other)
        };
        rules.push(Rule {
            members: members(&|i, _| is(i.site)),
            least: 0,
            most: 1,
        });
        origins.push(blame::Origin::Apart(one.clone(), other.clone()));
    }
    for (r, again) in blueprint.reuse.iter().enumerate() {
        // One of its places on the route, if several can hold it.
        rules.push(Rule {
            members: members(&|_, b| b.reused == Some(r)),
            least: 1,
            most: 1,
        });
        origins.push(blame::Origin::Reuse(again.line));
    }
    (rules, origins)
}

/// Nerves with enough sites that the forms can hold equally many of them.
fn big_nerves<'b>(blueprint: &Blueprint, bank: &'b [Banked]) -> Vec<&'b str> {
    let mut sites: Vec<(&str, usize)> = bank.iter().map(|b| (b.nerve.as_str(), b.site)).collect();
    sites.sort_unstable();
    sites.dedup();
    let mut nerves: Vec<&str> = sites.iter().map(|s| s.0).collect();
    nerves.dedup();
    let enough = blueprint.groups.len().max(3);
    nerves.retain(|n| sites.iter().filter(|s| s.0 == *n).count() >= enough);
    nerves
}

/// Pairs of bank stations within a form that may not meet.
fn pairs(
    model: &Model,
    blueprint: &Blueprint,
    bank: &[Banked],
    owners: &[usize],
    forms: &[Vec<usize>],
) -> BTreeSet<(usize, usize)> {
    let mut all = BTreeSet::new();
    for form in forms {
        let own: Vec<usize> = form
            .iter()
            .filter_map(|i| owners.get(*i))
            .copied()
            .collect();
        for (n, &a) in own.iter().enumerate() {
            for &b in own.iter().skip(n + 1) {
                let (Some(x), Some(y)) = (bank.get(a), bank.get(b)) else {
                    continue;
                };
                let both_fixed = x.reused.is_some() && y.reused.is_some();
                let bad = similarity(x, y) > blueprint.limits.similarity
                    || leaks(model, x, y).is_some()
                    || leaks(model, y, x).is_some();
                if bad && !both_fixed {
                    all.insert((a.min(b), a.max(b)));
                }
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

/// "09:00 to 10:48" of a track.
pub fn when(blueprint: &Blueprint, track: &Track) -> (String, String) {
    let start = blueprint
        .groups
        .get(track.group)
        .and_then(|g| g.sittings.get(track.sitting))
        .map_or(0, |s| s.start);
    (clock::show(start), clock::show(start + track.table.length))
}

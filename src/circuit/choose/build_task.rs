//! What do blueprint and bank ask of the assembly? Items, classes, and rules with where each comes from.

use super::bank::Banked;
use super::task::{Item, Rule, Task};
use crate::circuit::blueprint::{Blueprint, Exposure, Filter, Limbs, Repeat, Want};
use std::collections::BTreeSet;

/// Where a rule of the task comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// A cell, by its place in the list of all cells.
    Want(usize, Want),
    Apart(String, String),
    /// Line of the blueprint.
    Reuse(usize),
    /// Two stations of the bank that are too much alike, or give each other away.
    Pair(usize, usize),
}

/// The blueprint's cells, and for each nerve the program's own limit.
pub fn with_nerve_limit(blueprint: &Blueprint, bank: &[Banked]) -> Vec<Want> {
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
                filter: Filter {
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
pub fn task(
    limbs: &Limbs<'_>,
    blueprint: &Blueprint,
    bank: &[Banked],
    exposure: &Exposure,
    wanted: &[Want],
    helps: &[(usize, usize)],
    seed: u64,
) -> (Task, Vec<usize>, Vec<Origin>) {
    let shapes = blueprint.shapes();
    let nerves = big_nerves(blueprint, bank);
    let mut kinds: Vec<&str> = bank.iter().map(|b| b.station.kind.id.as_str()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let mut domains: Vec<&str> = bank
        .iter()
        .flat_map(|b| &b.domains)
        .map(String::as_str)
        .collect();
    domains.sort_unstable();
    domains.dedup();
    let places = limbs.places();
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
        let site = limbs.id(banked.site);
        for (class, (shape, _)) in shapes.iter().enumerate() {
            if shape.holds(banked.level, banked.minutes, kind) && shape.reading == banked.reading {
                items.push(Item {
                    site: banked.site,
                    class,
                    figures: figures(banked, &domains),
                    content: content.clone(),
                    exposed: exposure.of_site(site) as f64,
                    fixed: banked.reused.is_some(),
                });
                owners.push(b);
            }
        }
    }
    let (rules, origins) = rules(limbs, blueprint, bank, &items, &owners, wanted);
    let task = Task {
        items,
        forms: blueprint.groups.len(),
        classes: shapes.iter().map(|(_, p)| p.len()).collect(),
        rules,
        helps: helps.to_vec(),
        never_repeat: blueprint.limits.repeat_sites == Repeat::Never,
        // A point of difficulty in a whole form weighs as much as fifty words, as one mark, or as ten marks moved between domains.
        weights: [vec![1.0, 0.02, 1.0], vec![0.1; domains.len()]].concat(),
        seed,
    };
    (task, owners, origins)
}

/// Difficulty, words, marks, then the marks of each domain.
fn figures(banked: &Banked, domains: &[&str]) -> Vec<f64> {
    let station = &banked.station;
    let marks = |name: &str| -> u32 {
        let own = station
            .domains()
            .into_iter()
            .filter(|(domain, _)| domain == name);
        own.map(|(_, marks)| marks).sum()
    };
    let whole = [
        station.difficulty.figure,
        banked.words as f64,
        f64::from(station.total_marks),
    ];
    let by_domain = domains.iter().map(|d| f64::from(marks(d)));
    whole.into_iter().chain(by_domain).collect()
}

fn rules(
    limbs: &Limbs<'_>,
    blueprint: &Blueprint,
    bank: &[Banked],
    items: &[Item],
    owners: &[usize],
    wanted: &[Want],
) -> (Vec<Rule>, Vec<Origin>) {
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
        origins.push(Origin::Want(w, want.clone()));
    }
    for (one, other) in &blueprint.apart {
        let is = |site: usize| [one, other].iter().any(|id| *id == limbs.id(site));
        rules.push(Rule {
            members: members(&|i, _| is(i.site)),
            least: 0,
            most: 1,
        });
        origins.push(Origin::Apart(one.clone(), other.clone()));
    }
    for (r, again) in blueprint.reuse.iter().enumerate() {
        // One of its places on the route, if several can hold it.
        rules.push(Rule {
            members: members(&|_, b| b.reused == Some(r)),
            least: 1,
            most: 1,
        });
        origins.push(Origin::Reuse(again.line));
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

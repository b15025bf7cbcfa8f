//! Which stations shall the bank hold: site, kind, level, length and seeds of each?

use crate::anatomy::Model;
use crate::case::{Level, Stream};
use crate::circuit::blueprint::Blueprint;
use crate::station::{StationKind, level_id};

/// What it takes to build one.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Job {
    pub site: usize,
    pub kind: String,
    pub level: Level,
    pub minutes: u32,
    pub reading: u32,
    /// The first seed that gives a station nobody has met.
    pub seeds: Vec<u64>,
    pub reused: Option<usize>,
}

/// Seeds tried when earlier ones give stations that were met before.
const TRIES: usize = 4;
/// Stations of one site, kind and level at most.
const MOST_ALIKE: usize = 3;

/// How much of the bank is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breadth {
    /// Some kinds of station for each site, drawn by chance: enough to choose from.
    Usual,
    /// Every kind for every site: before it is said that no choice exists.
    All,
}

/// Positions of the same level and length share their stations.
struct Lot {
    level: Level,
    minutes: u32,
    reading: u32,
    positions: usize,
    /// Kinds that some position takes.
    kinds: Vec<String>,
    /// Those of them that positions or cells ask for by name.
    named: Vec<String>,
}

fn lots(kinds: &[StationKind], blueprint: &Blueprint) -> Vec<Lot> {
    let mut all: Vec<Lot> = Vec::new();
    for (shape, positions) in blueprint.shapes() {
        let same = |l: &&mut Lot| {
            (l.level, l.minutes, l.reading) == (shape.level, shape.minutes, shape.reading)
        };
        let own: Vec<String> = kinds
            .iter()
            .filter(|k| shape.kind.as_ref().is_none_or(|s| *s == k.id))
            .map(|k| k.id.clone())
            .collect();
        match all.iter_mut().find(same) {
            Some(lot) => {
                lot.positions += positions.len();
                lot.kinds.extend(own);
            }
            None => all.push(Lot {
                level: shape.level,
                minutes: shape.minutes,
                reading: shape.reading,
                positions: positions.len(),
                kinds: own,
                named: Vec::new(),
            }),
        }
        if let (Some(kind), Some(lot)) = (&shape.kind, all.last_mut()) {
            lot.named.push(kind.clone());
        }
    }
    let asked = blueprint.wanted.iter().filter(|w| w.least > 0);
    let asked: Vec<&String> = asked.filter_map(|w| w.filter.kind.as_ref()).collect();
    for lot in &mut all {
        lot.kinds.sort_unstable();
        lot.kinds.dedup();
        lot.named.extend(asked.iter().map(|k| (*k).clone()));
        lot.named.retain(|k| lot.kinds.contains(k));
        lot.named.sort_unstable();
        lot.named.dedup();
    }
    all
}

pub(super) fn jobs(
    model: &Model,
    kinds: &[StationKind],
    blueprint: &Blueprint,
    seed: u64,
    breadth: Breadth,
) -> Vec<Job> {
    let mut all = reused(model, blueprint);
    let forms = blueprint.groups.len();
    for lot in lots(kinds, blueprint) {
        // About three stations to choose from for each place in the forms.
        let choice = 3 * forms * lot.positions;
        let each = choice
            .div_ceil(model.sites.len().max(1))
            .max(lot.named.len())
            .max(2.min(lot.kinds.len()));
        let each = match breadth {
            Breadth::Usual => each.min(lot.kinds.len() * MOST_ALIKE),
            Breadth::All => each.max(lot.kinds.len()).min(lot.kinds.len() * MOST_ALIKE),
        };
        for (s, site) in model.sites.iter().enumerate() {
            if blueprint.avoid.contains(&site.id)
                || blueprint.reuse.iter().any(|r| r.site == site.id)
            {
                continue;
            }
            // Kinds that are asked for by name come first, the others in an order drawn for the site.
            let mut order: Vec<&String> = lot
                .kinds
                .iter()
                .filter(|k| !lot.named.contains(k))
                .collect();
            Stream::new(seed, &format!("circuit/kinds/{}", site.id)).shuffle(&mut order);
            let order: Vec<&String> = lot.named.iter().chain(order).collect();
            for n in 0..each {
                let (Some(kind), k) = (order.get(n % order.len().max(1)), n / order.len().max(1))
                else {
                    continue;
                };
                let level = level_id(lot.level);
                let label = format!(
                    "circuit/station/{}/{kind}/{level}/{}/{k}",
                    site.id, lot.minutes
                );
                let mut chance = Stream::new(seed, &label);
                all.push(Job {
                    site: s,
                    kind: (*kind).clone(),
                    level: lot.level,
                    minutes: lot.minutes,
                    reading: lot.reading,
                    // Six figures: short enough to type again.
                    seeds: (0..TRIES)
                        .map(|_| u64::from(chance.below(1_000_000)))
                        .collect(),
                    reused: None,
                });
            }
        }
    }
    all
}

fn reused(model: &Model, blueprint: &Blueprint) -> Vec<Job> {
    let mut all = Vec::new();
    for (r, again) in blueprint.reuse.iter().enumerate() {
        let site = model.sites.iter().position(|s| s.id == again.site);
        let mut shapes = blueprint.shapes().into_iter().map(|(s, _)| s);
        let shape = shapes.find(|s| s.holds(again.level, again.minutes, &again.kind));
        if let (Some(site), Some(shape)) = (site, shape) {
            all.push(Job {
                site,
                kind: again.kind.clone(),
                level: again.level,
                minutes: again.minutes,
                reading: shape.reading,
                seeds: vec![again.seed],
                reused: Some(r),
            });
        }
    }
    all
}

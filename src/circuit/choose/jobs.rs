//! Which stations shall the bank hold: site, kind, level, length and seeds of each?

use crate::case::{Level, Stream};
use crate::circuit::blueprint::{Blueprint, Limbs};
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
        let own: Vec<String> = kinds
            .iter()
            .filter(|k| shape.kind.as_ref().is_none_or(|s| *s == k.id))
            .map(|k| k.id.clone())
            .collect();
        let at = all.iter().position(|l| {
            (l.level, l.minutes, l.reading) == (shape.level, shape.minutes, shape.reading)
        });
        let at = at.unwrap_or_else(|| {
            all.push(Lot {
                level: shape.level,
                minutes: shape.minutes,
                reading: shape.reading,
                positions: 0,
                kinds: Vec::new(),
                named: Vec::new(),
            });
            all.len() - 1
        });
        if let Some(lot) = all.get_mut(at) {
            lot.positions += positions.len();
            lot.kinds.extend(own);
            lot.named.extend(shape.kind);
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
    limbs: &Limbs<'_>,
    kinds: &[StationKind],
    blueprint: &Blueprint,
    seed: u64,
    breadth: Breadth,
) -> Vec<Job> {
    let mut all = reused(limbs, blueprint);
    let forms = blueprint.groups.len();
    for lot in lots(kinds, blueprint) {
        // About three stations to choose from for each place in the forms.
        let choice = 3 * forms * lot.positions;
        let each = choice
            .div_ceil(limbs.len().max(1))
            .max(lot.named.len())
            .max(2.min(lot.kinds.len()));
        let each = match breadth {
            Breadth::Usual => each.min(lot.kinds.len() * MOST_ALIKE),
            Breadth::All => each.max(lot.kinds.len()).min(lot.kinds.len() * MOST_ALIKE),
        };
        for (s, site) in limbs.sites().enumerate() {
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

fn reused(limbs: &Limbs<'_>, blueprint: &Blueprint) -> Vec<Job> {
    let mut all = Vec::new();
    for (r, again) in blueprint.reuse.iter().enumerate() {
        let site = limbs.sites().position(|s| s.id == again.site);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::blueprint::{Limbs, Lists, check};
    use crate::files::{Content, Source};
    use crate::{anatomy, station, teaching};

    #[test]
    fn a_kind_asked_for_by_name_belongs_to_the_positions_of_its_own_level() {
        let content = Content::embedded();
        let model = anatomy::load(&content, "upper_limb").unwrap();
        let kinds = station::kinds(&content, &teaching::families(&content).unwrap()).unwrap();
        // The third entry joins the first one's lot when another already stands behind it.
        let text = "title: Day\ntime: {station: 8, reading: 2}\npositions:\n  - {kind: trace}\n  - {level: early}\n  - {kind: forecast}\n\
                    groups:\n  - {id: A, count: 3, sittings: [{id: one, start: \"09:00\"}]}\n";
        let source = Source::new("day.yaml", "day.yaml", text.to_string());
        let blueprint = check(&source, &Lists::default(), &content, &Limbs::of([&model])).unwrap();
        let named: Vec<Vec<String>> = lots(&kinds, &blueprint)
            .into_iter()
            .map(|lot| lot.named)
            .collect();
        assert_eq!(named, [vec!["forecast", "trace"], vec![]]);
    }
}

//! Where on the route does each station of a form stand? Neighbours differ, and forms are alike place by place.

use super::matching::cheapest;
use crate::case::Stream;
use crate::circuit::blueprint::Blueprint;
use crate::circuit::choose::{Banked, Task};

/// The stations of one group.
#[derive(Debug, Clone, Default)]
pub struct Form {
    /// For each position of the route its station; `None`: a rest.
    pub stations: Vec<Option<Banked>>,
    /// In reserve.
    pub spares: Vec<Banked>,
    /// Names of positions at which a spare station stands.
    pub replaced: Vec<String>,
}

impl Form {
    pub fn used(&self) -> impl Iterator<Item = (usize, &Banked)> {
        let all = self.stations.iter().enumerate();
        all.filter_map(|(p, s)| s.as_ref().map(|s| (p, s)))
    }
}

/// Puts the stations of each form on the route: neighbours on different nerves where possible, and the same kind of station in the
/// same place of every form.
pub fn arrange(
    blueprint: &Blueprint,
    task: &Task,
    bank: &[Banked],
    owners: &[usize],
    forms: &[Vec<usize>],
    seed: u64,
) -> Vec<Form> {
    let shapes = blueprint.shapes();
    let mut all: Vec<Form> = Vec::new();
    for form in forms {
        let mut stations: Vec<Option<Banked>> = vec![None; blueprint.positions.len()];
        for (class, (_, positions)) in shapes.iter().enumerate() {
            let these: Vec<usize> = form
                .iter()
                .filter(|i| task.items.get(**i).is_some_and(|x| x.class == class))
                .filter_map(|i| owners.get(*i))
                .copied()
                .collect();
            let order = match all.first() {
                None => spread_out(&these, bank, seed),
                Some(first) => alongside(&these, bank, positions, first),
            };
            for (p, b) in positions.iter().zip(order) {
                if let (Some(slot), Some(banked)) = (stations.get_mut(*p), bank.get(b)) {
                    *slot = Some(banked.clone());
                }
            }
        }
        all.push(Form {
            stations,
            ..Form::default()
        });
    }
    all
}

/// By chance, then exchanged until as few neighbours as possible share a nerve.
fn spread_out(these: &[usize], bank: &[Banked], seed: u64) -> Vec<usize> {
    let mut order = these.to_vec();
    Stream::new(seed, "circuit/route").shuffle(&mut order);
    let same = |a: usize, b: usize| match (bank.get(a), bank.get(b)) {
        (Some(a), Some(b)) => {
            usize::from(a.nerve == b.nerve) * 2
                + usize::from(a.station.kind.id == b.station.kind.id)
        }
        _ => 0,
    };
    let bumps = |order: &[usize]| -> usize {
        // The route is a ring: the last stands beside the first.
        (0..order.len())
            .map(|i| same(order[i], order[(i + 1) % order.len()]))
            .sum()
    };
    let mut now = bumps(&order);
    for _ in 0..order.len() {
        let before = now;
        for i in 0..order.len() {
            for j in i + 1..order.len() {
                order.swap(i, j);
                let then = bumps(&order);
                if then < now {
                    now = then;
                } else {
                    order.swap(i, j);
                }
            }
        }
        if now == before {
            break;
        }
    }
    order
}

/// Each in the place of the first form's station that it is most like.
fn alongside(these: &[usize], bank: &[Banked], positions: &[usize], first: &Form) -> Vec<usize> {
    let costs: Vec<Vec<i64>> = positions
        .iter()
        .map(|p| {
            let model = first.stations.get(*p).and_then(Option::as_ref);
            these
                .iter()
                .map(|b| match (model, bank.get(*b)) {
                    (Some(m), Some(x)) => {
                        let difference =
                            (m.station.difficulty.figure - x.station.difficulty.figure).abs();
                        let fixed = i64::from(m.reused != x.reused) * 100_000;
                        fixed
                            + i64::from(m.station.kind.id != x.station.kind.id) * 1000
                            + i64::from(m.place != x.place) * 300
                            + i64::from(m.nerve != x.nerve) * 100
                            + (difference * 20.0) as i64
                    }
                    _ => 0,
                })
                .collect()
        })
        .collect();
    match cheapest(&costs) {
        Some(columns) => columns
            .iter()
            .filter_map(|c| these.get(*c))
            .copied()
            .collect(),
        None => these.to_vec(),
    }
}

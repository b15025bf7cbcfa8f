//! How hard did stations turn out to be? What the day says of each kind, site and question, shrunk towards what was declared.
//!
//! A station's observed difficulty is its share of lost marks put on the declared scale: same mean and spread over the stations of the day.
//! Observed minus declared is split into what its kind and then its site share; each mean is multiplied by n / (n + 20), n being the
//! candidates behind it, so that few candidates move little (shrinkage as in Kelley, Fundamentals of Statistics, 1947; the 20 is ours).

use super::stations::{mean, spread};
use super::table::Day;
use super::tallies::questions;
use crate::circuit::blueprint::{Asked, Harder, Learned};
use crate::circuit::report::KeyStation;
use std::collections::BTreeMap;

/// As many candidates as move a figure half of the way.
const HALF_WAY: f64 = 20.0;

/// A station of one form: its position in the key, its candidates, and what remains unexplained of its difficulty.
struct Seen {
    station: usize,
    n: usize,
    off: f64,
}

pub fn learned(day: &Day<'_>) -> Learned {
    let mut seen = seen(day);
    let key = |at: usize, of: fn(&KeyStation) -> &str| {
        day.key.stations.get(at).map_or("", of).to_string()
    };
    let kinds = take(&mut seen, &|s| key(s, |k| &k.kind[0]));
    let sites = take(&mut seen, &|s| key(s, |k| &k.site[0]));
    Learned {
        circuit: day.key.circuit.clone(),
        date: day.key.date.clone(),
        kinds,
        sites,
        questions: asked(day),
    }
}

/// Observed minus declared difficulty of every station that was marked.
fn seen(day: &Day<'_>) -> Vec<Seen> {
    let mut all = Vec::new();
    for (number, form) in day.key.forms.iter().enumerate() {
        for (_, at) in &form.route {
            let Some(station) = day.key.stations.get(*at).filter(|s| s.marks > 0) else {
                continue;
            };
            let marks: Vec<f64> = day.at(number, *at).map(|e| e.marks).collect();
            if let Some(mean) = mean(&marks) {
                all.push((
                    *at,
                    marks.len(),
                    station.difficulty,
                    1.0 - mean / f64::from(station.marks),
                ));
            }
        }
    }
    let declared: Vec<f64> = all.iter().map(|s| s.2).collect();
    let lost: Vec<f64> = all.iter().map(|s| s.3).collect();
    let scale = match (spread(&declared), spread(&lost)) {
        (Some(wanted), Some(is)) if is > 0.0 => wanted / is,
        _ => 0.0,
    };
    let (of_declared, of_lost) = (mean(&declared).unwrap_or(0.0), mean(&lost).unwrap_or(0.0));
    all.into_iter()
        .map(|(station, n, declared, lost)| Seen {
            station,
            n,
            off: of_declared + scale * (lost - of_lost) - declared,
        })
        .collect()
}

/// The shrunk mean of each group, which is taken off what remains.
fn take(seen: &mut [Seen], group: &dyn Fn(usize) -> String) -> Vec<Harder> {
    let mut sums: BTreeMap<String, (usize, f64)> = BTreeMap::new();
    for s in seen.iter() {
        let sum = sums.entry(group(s.station)).or_default();
        sum.0 += s.n;
        sum.1 += s.off * s.n as f64;
    }
    let shrunk: BTreeMap<String, (usize, f64)> = sums
        .into_iter()
        .map(|(id, (n, sum))| (id, (n, sum / (n as f64 + HALF_WAY))))
        .collect();
    for s in seen {
        s.off -= shrunk.get(&group(s.station)).map_or(0.0, |h| h.1);
    }
    let row = |(id, (candidates, harder)): (String, (usize, f64))| Harder {
        id,
        candidates,
        harder: (harder * 100.0).round() / 100.0 + 0.0,
    };
    shrunk.into_iter().map(row).collect()
}

fn asked(day: &Day<'_>) -> Vec<Asked> {
    let mut sums: BTreeMap<&str, (usize, f64, f64)> = BTreeMap::new();
    for (number, form) in day.key.forms.iter().enumerate() {
        for (_, at) in &form.route {
            let Some(station) = day.key.stations.get(*at) else {
                continue;
            };
            let tallies = questions(day, number, *at);
            for (tally, question) in tallies
                .iter()
                .zip(&station.questions)
                .filter(|(t, _)| t.n > 0)
            {
                let sum = sums.entry(&question.id).or_default();
                sum.0 += tally.n;
                sum.1 += tally.won.marks;
                sum.2 += tally.won.of;
            }
        }
    }
    let (won, of) = sums
        .values()
        .fold((0.0, 0.0), |all, s| (all.0 + s.1, all.1 + s.2));
    let whole = if of > 0.0 { won / of } else { 0.0 };
    sums.into_iter()
        .filter(|(_, s)| s.2 > 0.0)
        .map(|(id, (n, won, of))| {
            let weight = n as f64 / (n as f64 + HALF_WAY);
            let share = whole + weight * (won / of - whole);
            Asked {
                id: id.to_string(),
                candidates: n,
                won: (share * 1000.0).round() / 10.0,
            }
        })
        .collect()
}

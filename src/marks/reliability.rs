//! How far would another set of stations give the same result? Variance components of candidates crossed with stations, and what
//! follows from them.
//!
//! With n candidates and k stations: mean squares of candidates MSc, of stations MSs, of the rest MSr; components c = (MSc - MSr) / k,
//! s = (MSs - MSr) / n, r = MSr. They are given as estimated: one below zero stands for none. Relative coefficient c / (c + r / k), which is
//! alpha; absolute coefficient c / (c + (s + r) / k). Brennan, Generalizability Theory, 2001, chapter 2; Cronbach, Psychometrika 1951,
//! 16:297-334. Standard error of measurement of the sum: SD sqrt(1 - alpha), which is sqrt(k MSr). Stations for a coefficient of 0.8:
//! the k from which c / (c + e / k) is 0.8 or more, e being r, or s + r for the absolute one.

use serde::Serialize;

/// The coefficient that a circuit is asked to reach: common practice for decisions about people.
pub const WANTED: f64 = 0.8;

/// Mean squares of a full table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossed {
    pub candidates: usize,
    pub stations: usize,
    pub of_candidates: f64,
    pub of_stations: f64,
    pub of_rest: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Variance {
    pub candidate: f64,
    pub station: f64,
    pub rest: f64,
}

/// A row a candidate, with the marks at each station. None for fewer than two of either, or rows of unlike length.
pub fn crossed(rows: &[Vec<f64>]) -> Option<Crossed> {
    let (n, k) = (rows.len(), rows.first()?.len());
    if n < 2 || k < 2 || rows.iter().any(|r| r.len() != k) {
        return None;
    }
    let (count, width) = (n as f64, k as f64);
    let mean = |all: &[f64]| all.iter().sum::<f64>() / all.len() as f64;
    let whole = rows.iter().map(|r| mean(r)).sum::<f64>() / count;
    let by_candidate: Vec<f64> = rows.iter().map(|r| mean(r) - whole).collect();
    let by_station: Vec<f64> = (0..k)
        .map(|s| rows.iter().map(|r| r[s]).sum::<f64>() / count - whole)
        .collect();
    let squares = |all: &[f64]| all.iter().map(|v| v * v).sum::<f64>();
    let mut rest = 0.0;
    for (row, c) in rows.iter().zip(&by_candidate) {
        for (mark, s) in row.iter().zip(&by_station) {
            rest += (mark - whole - c - s).powi(2);
        }
    }
    Some(Crossed {
        candidates: n,
        stations: k,
        of_candidates: width * squares(&by_candidate) / (count - 1.0),
        of_stations: count * squares(&by_station) / (width - 1.0),
        of_rest: rest / ((count - 1.0) * (width - 1.0)),
    })
}

impl Crossed {
    pub fn variance(&self) -> Variance {
        Variance {
            candidate: (self.of_candidates - self.of_rest) / self.stations as f64,
            station: (self.of_stations - self.of_rest) / self.candidates as f64,
            rest: self.of_rest,
        }
    }

    /// None when all candidates have the same sum.
    pub fn alpha(&self) -> Option<f64> {
        let spread = self.of_candidates > 1e-12;
        spread.then(|| 1.0 - self.of_rest / self.of_candidates)
    }

    /// Of the sum over `stations` stations, in marks.
    pub fn error_of_sum(&self, stations: usize) -> f64 {
        (stations as f64 * self.of_rest).sqrt()
    }

    pub fn absolute(&self) -> Option<f64> {
        let v = self.variance();
        let whole = v.candidate + (v.station + v.rest) / self.stations as f64;
        (whole > 1e-12).then(|| v.candidate / whole)
    }

    /// Fewest stations like these for the relative and for the absolute coefficient. None when candidates do not differ.
    pub fn stations_needed(&self) -> Option<[usize; 2]> {
        let v = self.variance();
        let needed = |error: f64| {
            let k = WANTED / (1.0 - WANTED) * error / v.candidate;
            // What is whole but for rounding is whole.
            (k - 1e-9).ceil().max(1.0) as usize
        };
        let known = v.candidate > 1e-12 && v.rest / v.candidate < 1e6;
        known.then(|| [needed(v.rest), needed(v.rest + v.station.max(0.0))])
    }
}

/// Alpha of the table without one station.
pub fn alpha_without(rows: &[Vec<f64>], station: usize) -> Option<f64> {
    let fewer: Vec<Vec<f64>> = rows
        .iter()
        .map(|r| {
            let kept = r.iter().enumerate().filter(|(s, _)| *s != station);
            kept.map(|(_, mark)| *mark).collect()
        })
        .collect();
    crossed(&fewer)?.alpha()
}

/// Correlation (Pearson) of a station with the sum of the others. None when either does not vary.
pub fn with_rest(rows: &[Vec<f64>], station: usize) -> Option<f64> {
    let n = rows.len() as f64;
    let pairs: Vec<(f64, f64)> = rows
        .iter()
        .filter_map(|r| {
            let own = *r.get(station)?;
            Some((own, r.iter().sum::<f64>() - own))
        })
        .collect();
    let mean_x = pairs.iter().map(|p| p.0).sum::<f64>() / n;
    let mean_y = pairs.iter().map(|p| p.1).sum::<f64>() / n;
    let sum = |f: &dyn Fn(f64, f64) -> f64| -> f64 {
        pairs.iter().map(|p| f(p.0 - mean_x, p.1 - mean_y)).sum()
    };
    let both = sum(&|x, _| x * x) * sum(&|_, y| y * y);
    (both > 1e-18).then(|| sum(&|x, y| x * y) / both.sqrt())
}

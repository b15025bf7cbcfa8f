//! Does an examiner give more marks than the others would have given? The additive model mark = candidate + station + examiner + rest, by
//! least squares.
//!
//! The candidates are eliminated first (each has few marks); what is left is swept, see [`super::sweep`]. A contrast of examiners can be
//! estimated when l (X'X)⁻ X'X = l; its standard error is s sqrt(l (X'X)⁻ l'), s² being the residual sum of squares over its degrees of
//! freedom. Searle, Linear Models, 1971, chapter 5. Examiners whose differences can be estimated form a set, and each effect is the
//! difference from the mean of its set, in marks a station; who stands in a set alone cannot be parted from the station.

use super::sweep::{Square, inverse, without_first};

/// One mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    pub candidate: usize,
    pub station: usize,
    pub examiner: usize,
    pub mark: f64,
}

/// What is known of one examiner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Effect {
    pub marks: usize,
    /// Number of the set, from 0; None for whoever gave no mark or cannot be compared.
    pub set: Option<usize>,
    /// Marks a station more than the mean of the set.
    pub effect: Option<f64>,
    /// None when no mark is left to judge the rest by.
    pub se: Option<f64>,
}

/// The fit of all.
#[derive(Debug, Clone, PartialEq)]
pub struct Stringency {
    pub effects: Vec<Effect>,
    /// Of the examiners, once candidates and stations are taken out.
    pub information: Square,
    /// Of the whole model.
    pub rank: usize,
    /// Residual sum of squares, and its degrees of freedom.
    pub left: f64,
    pub freedom: usize,
}

/// How far a product that is exact on paper may be off.
const OFF: f64 = 1e-7;

/// `examiners` and `stations` say how many there are.
pub fn stringency(given: &[Given], stations: usize, examiners: usize) -> Stringency {
    let equations = Equations::of(given, stations, examiners);
    let (inverse, rank) = inverse(&equations.matrix);
    let solution = inverse.of(&equations.right);
    let explained: f64 = solution
        .iter()
        .zip(&equations.right)
        .map(|(b, r)| b * r)
        .sum();
    let rank = rank + equations.candidates;
    let freedom = given.len().saturating_sub(rank);
    let left = (equations.squares - explained).max(0.0);
    let variance = (freedom > 0).then(|| left / freedom as f64);
    let marks = |examiner: usize| given.iter().filter(|g| g.examiner == examiner).count();
    let mut effects: Vec<Effect> = (0..examiners)
        .map(|e| Effect {
            marks: marks(e),
            ..Effect::default()
        })
        .collect();
    let projection = inverse.times(&equations.matrix);
    let there: Vec<usize> = (0..examiners).filter(|&e| effects[e].marks > 0).collect();
    for (number, set) in sets(&projection, stations, &there).iter().enumerate() {
        let share = 1.0 / set.len() as f64;
        for &examiner in set {
            let mut contrast = vec![0.0; inverse.size];
            for &other in set {
                contrast[stations + other] -= share;
            }
            contrast[stations + examiner] += 1.0;
            let value: f64 = contrast.iter().zip(&solution).map(|(l, b)| l * b).sum();
            let spread: f64 = contrast
                .iter()
                .zip(inverse.of(&contrast))
                .map(|(l, g)| l * g)
                .sum();
            effects[examiner].set = Some(number);
            effects[examiner].effect = Some(value);
            effects[examiner].se = variance.map(|v| (v * spread.max(0.0)).sqrt());
        }
    }
    Stringency {
        effects,
        information: without_first(&equations.matrix, stations),
        rank,
        left,
        freedom,
    }
}

/// Sets of two or more examiners whose differences can all be estimated. (What can be estimated is closed under sums, so this parts them.)
fn sets(projection: &Square, stations: usize, there: &[usize]) -> Vec<Vec<usize>> {
    let comparable = |a: usize, b: usize| {
        let (a, b) = (stations + a, stations + b);
        let lines = projection.row(a).iter().zip(projection.row(b));
        lines.enumerate().all(|(column, (left, right))| {
            let wanted = match column {
                c if c == a => 1.0,
                c if c == b => -1.0,
                _ => 0.0,
            };
            (left - right - wanted).abs() < OFF
        })
    };
    let mut all: Vec<Vec<usize>> = Vec::new();
    for &examiner in there {
        let home = all.iter_mut().find(|set| comparable(set[0], examiner));
        match home {
            Some(set) => set.push(examiner),
            None => all.push(vec![examiner]),
        }
    }
    all.retain(|set| set.len() > 1);
    all
}

/// Normal equations of stations, then examiners, after the candidates are eliminated.
struct Equations {
    matrix: Square,
    right: Vec<f64>,
    squares: f64,
    /// Those with a mark.
    candidates: usize,
}

impl Equations {
    fn of(given: &[Given], stations: usize, examiners: usize) -> Self {
        let size = stations + examiners;
        let mut matrix = Square::zero(size);
        let mut right = vec![0.0; size];
        let mut squares = 0.0;
        let mut by_candidate: Vec<Given> = given.to_vec();
        by_candidate.sort_by_key(|g| g.candidate);
        let mut candidates = 0;
        for own in by_candidate.chunk_by(|a, b| a.candidate == b.candidate) {
            candidates += 1;
            let count = own.len() as f64;
            let mean = own.iter().map(|g| g.mark).sum::<f64>() / count;
            let columns: Vec<[usize; 2]> = own
                .iter()
                .map(|g| [g.station, stations + g.examiner])
                .collect();
            for (g, pair) in own.iter().zip(&columns) {
                let off = g.mark - mean;
                squares += off * off;
                for &row in pair {
                    right[row] += off;
                    for &column in pair {
                        matrix.add(row, column, 1.0);
                    }
                    for &column in columns.iter().flatten() {
                        matrix.add(row, column, -1.0 / count);
                    }
                }
            }
        }
        Equations {
            matrix,
            right,
            squares,
            candidates,
        }
    }
}

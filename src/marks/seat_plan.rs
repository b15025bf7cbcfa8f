//! Which changes of seat would make all examiners comparable next time? Exchanges between two stations, as few as add what is missing.
//!
//! When two examiners exchange their stations for part of a round, candidates who meet the one and candidates who meet the other are compared
//! at the same station, so that the difference of the two can be estimated (Searle, Linear Models, 1971, chapter 7, on connected designs).
//! What can be estimated already is a linear space; each exchange whose difference lies outside it adds one dimension, and no plan has fewer.

use super::sweep::Square;

/// Two examiners, by position in the key, who exchange their stations for part of a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Exchange(pub usize, pub usize);

/// `information` is that of the examiners once candidates and stations are taken out; `there` are those who gave a mark. Examiners are tried in
/// pairs of neighbours; `homes` are the stations where each sat most, and those of one station are paired last.
pub fn seat_plan(information: &Square, there: &[usize], homes: &[Option<usize>]) -> Vec<Exchange> {
    let mut known = Space::default();
    for &at in there {
        known.add(information.row(at).to_vec());
    }
    let home = |at: usize| homes.get(at).copied().flatten();
    let neighbours = || there.windows(2).map(|pair| (pair[0], pair[1]));
    let apart = neighbours().filter(|(a, b)| home(*a) != home(*b));
    let together = neighbours().filter(|(a, b)| home(*a) == home(*b));
    let mut plan = Vec::new();
    for (a, b) in apart.chain(together) {
        let mut difference = vec![0.0; information.size];
        if let [Some(one), Some(other)] = [a, b].map(|at| (at < difference.len()).then_some(at)) {
            difference[one] = 1.0;
            difference[other] = -1.0;
        }
        if known.add(difference) {
            plan.push(Exchange(a, b));
        }
    }
    plan
}

/// An orthonormal basis, by Gram and Schmidt.
#[derive(Default)]
struct Space(Vec<Vec<f64>>);

/// What is left of a vector, as a share of its length, below which it lies within.
const WITHIN: f64 = 1e-7;

impl Space {
    /// Whether the vector added a dimension.
    fn add(&mut self, mut vector: Vec<f64>) -> bool {
        let length = |v: &[f64]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
        let before = length(&vector);
        // Twice, for the digits that the first round loses.
        for _ in 0..2 {
            for axis in &self.0 {
                let along: f64 = axis.iter().zip(&vector).map(|(a, v)| a * v).sum();
                vector
                    .iter_mut()
                    .zip(axis)
                    .for_each(|(v, a)| *v -= along * a);
            }
        }
        let left = length(&vector);
        if before <= f64::MIN_POSITIVE || left <= WITHIN * before.max(1.0) {
            return false;
        }
        vector.iter_mut().for_each(|v| *v /= left);
        self.0.push(vector);
        true
    }
}

//! How often an examiner misreads: true state against noted state.
//!
//! Rates are our judgement, set with two facts in mind (both from memory, to be checked against print): raters agree on MRC grades within
//! one grade in most muscles (Kleyweg RP, van der Meche FG, Schmitz PI, Muscle Nerve 1991;14:1103-9), and agree on plain sensory
//! findings clearly less often than on power. Confusion of neighbours (lost and weak) is common, of lost and spared rare.

use crate::anatomy::Kind;

/// Rows: truly lost, weak, spared. Columns: noted as lost, weak, spared. Each row adds to 1.
pub type Confusion = [[f64; 3]; 3];

/// What is noted of a structure to which `share` (0-1) of the fibres arrives on average: the nearer a weak muscle is to
/// paralysis the oftener it is called lost, the nearer to normal the oftener it is passed over.
pub fn confusion(kind: Kind, share: f64) -> Confusion {
    let gone = (1.0 - share).clamp(0.0, 1.0);
    let middle = |lost: f64, spared: f64| [lost, 1.0 - lost - spared, spared];
    match kind {
        Kind::Muscle | Kind::Movement => [
            [0.92, 0.075, 0.005],
            middle(0.10 * gone.powi(4), 0.03 + 0.15 * share * share),
            [0.001, 0.05, 0.949],
        ],
        Kind::Skin => [
            [0.80, 0.17, 0.03],
            middle(0.25 * gone.powi(2), 0.06 + 0.15 * share * share),
            [0.01, 0.08, 0.91],
        ],
        Kind::Reflex => [
            [0.86, 0.12, 0.02],
            middle(0.25 * gone.powi(2), 0.05 + 0.15 * share * share),
            [0.02, 0.07, 0.91],
        ],
        // A sign is there (first) or not (last); the middle row stands for no true state.
        Kind::Sign => [[0.92, 0.0, 0.08], [0.5, 0.0, 0.5], [0.03, 0.0, 0.97]],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_true_state_is_noted_as_something() {
        for kind in Kind::ALL {
            for share in [0.0, 0.3, 0.75, 1.0] {
                for row in confusion(kind, share) {
                    assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-12);
                    assert!(row.iter().all(|p| (0.0..=1.0).contains(p)));
                }
            }
        }
    }
}

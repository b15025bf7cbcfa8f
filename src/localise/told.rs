//! What does one statement of a report say, and how likely is it after a lesion?

use super::belief::{Level, Outcomes};
use crate::anatomy::{Kind, Structure};

/// What a report says of a structure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    Lost,
    /// Reports call a muscle weak that cannot move, too.
    Weak,
    /// Power 2 to 4: 2 is nearer to lost, 4 nearer to normal.
    Power(u8),
    /// Lost or weak, numb or dull: not said how much.
    Affected,
    Spared,
    /// Tested, but it may be either: says nothing.
    Either,
}

/// One statement: of one structure, or of one of several that its name may mean ("thumb extension", "interossei").
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// As in `edc=lost`: an id, or the words used.
    pub name: String,
    pub structures: Vec<Structure>,
    pub what: What,
}

/// Share of the statements of a report that say nothing of the lesion: slips, other illness, another limb's build, unequal fascicles. Our
/// judgement; it keeps a stated chance of 80 % right at least four times in five (tests/suite/localise_calibration.rs).
const SLIPS: f64 = 0.08;
impl Told {
    /// `edc=lost`.
    pub fn text(&self) -> String {
        let kind = self.structures.first().map_or(Kind::Muscle, |s| s.kind);
        let word = match (self.what, kind) {
            (What::Power(grade), _) => return format!("{}={grade}", self.name),
            (What::Either, _) => "variable",
            (What::Spared, Kind::Sign) | (What::Lost, Kind::Reflex) => "absent",
            (What::Spared, Kind::Reflex) => "present",
            (What::Spared, _) => "spared",
            (_, Kind::Sign) => "present",
            (What::Lost, _) => "lost",
            (What::Affected, _) => "affected",
            (What::Weak, Kind::Skin | Kind::Reflex) => "reduced",
            (What::Weak, _) => "weak",
        };
        format!("{}={word}", self.name)
    }

    pub fn abnormal(&self) -> bool {
        !matches!(self.what, What::Spared | What::Either)
    }

    /// Chance that a report says this, of limbs whose rows are these.
    pub fn chance(&self, row: impl Fn(Structure) -> [f64; 4]) -> f64 {
        let meant = self.over(|s| said(s.kind, self.what, row(s)));
        (1.0 - SLIPS) * meant + SLIPS * 0.4
    }

    /// How far it is what the lesion leads one to expect, whatever the degree, 0-1.
    pub fn fit(&self, outcomes: &Outcomes) -> f64 {
        self.over(|s| {
            let [lost, weak, spared, _] = outcomes.row(s);
            match self.what {
                What::Spared => spared,
                What::Lost if s.kind != Kind::Sign => lost + weak / 2.0,
                What::Either => 0.5,
                _ => lost + weak,
            }
        })
    }

    /// Of several structures any one is meant when it is affected, each as likely; all of them when they are spared.
    fn over(&self, of: impl Fn(Structure) -> f64) -> f64 {
        let each = self.structures.iter().map(|&s| of(s));
        if self.what == What::Spared {
            return each.fold(1.0, f64::min);
        }
        each.sum::<f64>() / self.structures.len().max(1) as f64
    }
}

/// Chance of the statement where it is no slip. Our judgement of what reports call a limb that an examiner would note as lost, weak or spared.
fn said(kind: Kind, what: What, [lost, weak, spared, share]: [f64; 4]) -> f64 {
    if kind == Kind::Sign {
        return match what {
            What::Spared => spared,
            What::Either => 1.0,
            _ => lost,
        };
    }
    match what {
        What::Lost => lost + 0.15 * weak,
        What::Weak => weak + 0.5 * lost,
        What::Affected => lost + weak,
        What::Spared => spared,
        What::Either => 1.0,
        What::Power(grade) => {
            // Of limbs noted as weak, how many have power 2, 3, 4, by what is left of the muscle.
            let [two, three, four] = match share {
                s if s < 0.12 => [0.5, 0.3, 0.2],
                s if s < 0.3 => [0.25, 0.4, 0.35],
                s if s < 0.6 => [0.15, 0.35, 0.5],
                _ => [0.05, 0.2, 0.75],
            };
            match grade {
                2 => two * weak + 0.25 * lost,
                3 => three * weak + 0.08 * lost + 0.01 * spared,
                _ => four * weak + 0.02 * lost + 0.08 * spared,
            }
        }
    }
}

/// The natural logarithm of the chance of a report.
pub fn log_chance(outcomes: &Outcomes, told: &[Told]) -> f64 {
    let logs = outcomes
        .levels()
        .map(|(weight, level)| weight.ln() + log_chance_at(told, |s| Level::row(&level, s)));
    log_sum(logs)
}

/// The same where each structure has one row.
pub fn log_chance_at(told: &[Told], row: impl Fn(Structure) -> [f64; 4]) -> f64 {
    told.iter()
        .filter(|t| t.what != What::Either)
        .map(|t| t.chance(&row).ln())
        .sum()
}

/// The logarithm of a sum of numbers given by their logarithms.
pub fn log_sum(logs: impl Iterator<Item = f64>) -> f64 {
    let logs: Vec<f64> = logs.collect();
    let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if best == f64::NEG_INFINITY {
        return best;
    }
    best + logs.iter().map(|l| (l - best).exp()).sum::<f64>().ln()
}

//! One patient is one limb: what the population leaves open is fixed here, as the classic picture.

use crate::anatomy::Kind;
use crate::case::Case;
use crate::findings::{Finding, Findings, State};
use crate::localise::Seen;
use crate::teaching::Notes;

/// The case with every cardinal finding present. A finding that limbs or books differ on becomes this patient's: weak, dull or there.
pub fn classic(mut case: Case, notes: &Notes) -> Case {
    classic_picture(&mut case.findings, notes);
    case
}

/// [`classic`] for findings alone.
pub fn classic_picture(findings: &mut Findings, notes: &Notes) {
    for cited in &notes.cardinal {
        let found = findings.get_mut(cited.finding);
        if let Some(f) = found.filter(|f| f.state == State::Variable) {
            affect(f);
        }
    }
}

fn affect(f: &mut Finding) {
    f.state = match f.structure.kind {
        Kind::Sign => State::Present,
        _ => State::Weak,
    };
    f.probability = 1.0;
    if f.structure.kind.motor() {
        f.power = f.power.clamp(2, 4);
    }
}

/// The finding as an author states it, where limbs differ.
pub fn settle(f: &mut Finding, seen: Seen) {
    match seen {
        Seen::Lost | Seen::Weak => affect(f),
        Seen::Spared => {
            f.state = if f.structure.kind == Kind::Sign {
                State::Absent
            } else {
                State::Spared
            };
            f.probability = 0.0;
            f.power = 5;
        }
        Seen::Either => {}
    }
}

//! How hard is a station declared to be? A figure to match stations by, not a prediction of scores.
//!
//! `figure = steps + lines / 2 + 8 / (1 + margin in bits) + open / 4`, rounded to one decimal. Steps count the reasoning of the model answer, lines
//! what there is to tick; the margin says how close the nearest wrong answer lies; open findings are those that a good candidate
//! must leave undecided. The weights are ours: no study of such stations gives any. Marks and minutes are not in it: they follow from the level.

use super::draft::Draft;
use super::station::{Difficulty, Proof, Question};
use crate::findings::State;

/// At least this much margin counts as none: beyond it no wrong answer is near.
const FAR_BITS: f64 = 15.0;
/// A station whose notes have no steps is taken to have as many as most.
const USUAL_STEPS: usize = 5;

pub fn declare(draft: &Draft, questions: &[Question], proof: &Proof) -> Difficulty {
    let steps = match draft.notes.steps.len() {
        0 => USUAL_STEPS,
        n => n,
    };
    let lines = questions
        .iter()
        .flat_map(|q| &q.groups)
        .map(|g| g.choose.map_or(g.points.len(), |n| n as usize));
    let cardinal = |f: &&crate::findings::Finding| {
        f.state == State::Variable && f.structure.kind != crate::anatomy::Kind::Muscle
    };
    let open = draft.case.findings.all().filter(cardinal).count().min(12);
    figure(
        steps,
        lines.sum(),
        proof.margin_bits,
        open,
        !proof.equal_sites.is_empty(),
    )
}

fn figure(steps: usize, lines: usize, margin_bits: f64, open: usize, equals: bool) -> Difficulty {
    let margin = if equals {
        0.0
    } else {
        margin_bits.clamp(0.0, FAR_BITS)
    };
    let sum = steps as f64 + lines as f64 / 2.0 + 8.0 / (1.0 + margin) + open as f64 / 4.0;
    Difficulty {
        figure: (sum * 10.0).round() / 10.0,
        steps,
        structures: lines,
        margin_bits: margin,
        open,
    }
}

#[cfg(test)]
mod tests {
    use super::figure;

    #[test]
    fn more_to_do_and_nearer_mistakes_make_it_harder() {
        let easy = figure(3, 6, 12.0, 0, false).figure;
        assert!(figure(5, 6, 12.0, 0, false).figure > easy);
        assert!(figure(3, 9, 12.0, 0, false).figure > easy);
        assert!(figure(3, 6, 3.0, 0, false).figure > easy);
        assert!(figure(3, 6, 12.0, 6, false).figure > easy);
        assert!(figure(3, 6, 12.0, 0, true).figure > figure(3, 6, 3.0, 0, false).figure);
    }
}

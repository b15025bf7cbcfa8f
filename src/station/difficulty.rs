//! Turns a station's countable features into its declared difficulty: a figure to match stations by, not a prediction of scores.
//!
//! `figure = steps + structures / 2 + 8 / (1 + margin in bits) + open / 4`, rounded to one decimal. Steps and structures count what a candidate
//! has to do; the margin says how close the nearest wrong answer lies; open findings are those that a good candidate must
//! leave undecided. The weights are ours: no study of such stations gives any. Marks and minutes are not in it: they follow from the level.

use super::{Answer, Difficulty, Question};

/// At least this much margin counts as none: beyond it no wrong answer is near.
const FAR_BITS: f64 = 15.0;

/// `reasoning`: steps of the model answer; `margin_bits`: lead over the runner-up; `open`: findings accepted either way;
/// `equals`: lesions that cannot be told apart here.
pub fn declare(
    reasoning: usize,
    questions: &[Question],
    margin_bits: f64,
    open: usize,
    equals: usize,
) -> Difficulty {
    let structures: usize = questions.iter().map(|q| q.points.len()).sum();
    let margin = if equals > 0 {
        0.0
    } else {
        margin_bits.clamp(0.0, FAR_BITS)
    };
    let figure =
        reasoning as f64 + structures as f64 / 2.0 + 8.0 / (1.0 + margin) + open as f64 / 4.0;
    Difficulty {
        figure: (figure * 10.0).round() / 10.0,
        steps: reasoning,
        structures,
        margin_bits: margin,
        open,
    }
}

/// Steps of the reasoning: each kind of finding that has to be weighed, what is spared, and the conclusion.
pub fn steps(answer: &Answer) -> usize {
    let weighed = [
        &answer.muscles,
        &answer.movements,
        &answer.skin,
        &answer.reflexes,
        &answer.signs,
    ];
    weighed.iter().filter(|t| !t.is_empty()).count() + usize::from(!answer.spared.is_empty()) + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_to_do_and_nearer_mistakes_make_it_harder() {
        let easy = declare(3, &[], 12.0, 0, 0).figure;
        assert!(declare(5, &[], 12.0, 0, 0).figure > easy);
        assert!(declare(3, &[], 3.0, 0, 0).figure > easy);
        assert!(declare(3, &[], 12.0, 6, 0).figure > easy);
        assert!(declare(3, &[], 12.0, 0, 2).figure > declare(3, &[], 3.0, 0, 0).figure);
    }
}

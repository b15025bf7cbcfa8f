//! What flips when the lesion is moved is paid there: which lines about what is kept go, so that it is not paid twice?

use super::draft::Asked;
use crate::anatomy::{Model, Structure};
use crate::teaching::{Block, Line, same};

/// The questions that pay what is kept, or the test for it.
const KEPT: [&str; 2] = ["kept", "plan"];

/// The findings that flip in the lines which make the marks of the moved lesion.
pub fn flipped(
    asked: &[Asked],
    marks: &[u32],
    usable: &dyn Fn(&Asked, &Line) -> bool,
) -> Vec<Structure> {
    let moved = asked
        .iter()
        .zip(marks)
        .filter(|(a, _)| a.slot.ask == "move");
    let lines = moved.flat_map(|(a, marks)| {
        let fits = |l: &Line| usable(a, l);
        let taken = a.block.split(*marks, &fits).map_or(0, |(taken, _)| taken);
        let fixed = a.block.points.iter().filter(|l| usable(a, l));
        fixed.take(taken).flat_map(|l| l.flips.iter().copied())
    });
    lines.collect()
}

/// The block of the question with the lines about other findings first; those about flipped ones only as far as its marks and one line to
/// spare need them. What an author wrote stays.
pub fn unflipped(
    model: &Model,
    asked: &Asked,
    marks: u32,
    flipped: &[Structure],
    usable: &dyn Fn(&Line) -> bool,
) -> Block {
    let mut block = asked.block.clone();
    let twice = |l: &Line| {
        l.about
            .is_some_and(|s| flipped.iter().any(|f| same(model, *f, s)))
    };
    let split = block.split(marks, usable);
    if let (Some((_, chosen)), Some(any)) = (split, &mut block.any)
        && asked.choose.is_none()
        && KEPT.contains(&asked.slot.ask.as_str())
    {
        any.of.retain(|l| usable(l));
        any.of.sort_by_key(|l| twice(l));
        let once = any.of.iter().filter(|l| !twice(l)).count();
        any.of.truncate(once.max(chosen as usize + 1));
    }
    block
}

//! Where do the marks go that the lines which are true of this patient cannot make?

use super::draft::Asked;
use super::usable::Usable;
use crate::teaching::Families;

/// A question of more marks takes too long.
const MOST: u32 = 8;

/// The marks of each question: those of its slot, less what its lines cannot make; that goes to a question that reasons at least as much and has
/// lines to spare, the one with the fewest marks first.
pub fn marks(asked: &[Asked], families: &Families, usable: &Usable<'_>) -> Vec<u32> {
    let mut all: Vec<u32> = asked.iter().map(|a| a.slot.marks).collect();
    let makes = |i: usize, marks: u32| {
        let one = asked.get(i);
        one.is_some_and(|a| a.block.split(marks, &|l| usable.line(a, l)).is_some())
    };
    let reasons = |i: usize| {
        let asking = asked.get(i).and_then(|a| families.get(&a.slot.ask));
        asking.map_or(0.0, |q| q.reasoning)
    };
    for i in 0..all.len() {
        let marks = all[i];
        if asked[i].choose.is_some() || makes(i, marks) {
            continue;
        }
        let other = |rest: u32| {
            let takes = |k: &usize| {
                *k != i
                    && all[*k] + rest <= MOST
                    && reasons(*k) >= reasons(i)
                    && makes(*k, all[*k])
                    && makes(*k, all[*k] + rest)
            };
            (0..all.len()).filter(takes).min_by_key(|k| all[*k])
        };
        let mut fewer = (2..marks).rev().filter(|less| makes(i, *less));
        if let Some((less, k)) = fewer.find_map(|less| Some((less, other(marks - less)?))) {
            all[i] = less;
            all[k] += marks - less;
        }
    }
    all
}

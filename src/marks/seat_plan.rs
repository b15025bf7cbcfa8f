//! Which changes of seat would make all examiners comparable next time? The fewest exchanges between two stations that link them.
//!
//! Two examiners can be compared when marks of both meet at a station, or through others who do (Searle, Linear Models, 1971, chapter 7,
//! on connected designs). One exchange for half a round links the two who exchange and all with whom they can be compared, so n sets
//! need n - 1 exchanges.

use super::stringency::Effect;

/// Two examiners, by position in the key, who exchange their stations for half of a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Exchange(pub usize, pub usize);

/// A chain of exchanges over the sets, each by its member with the fewest marks. `homes` are the stations where each sat most.
pub fn seat_plan(effects: &[Effect], homes: &[Option<usize>]) -> Vec<Exchange> {
    let mut sets: Vec<Vec<usize>> = Vec::new();
    let count = effects
        .iter()
        .filter_map(|e| e.set)
        .max()
        .map_or(0, |most| most + 1);
    sets.resize(count, Vec::new());
    for (at, effect) in effects.iter().enumerate().filter(|(_, e)| e.marks > 0) {
        match effect.set.and_then(|set| sets.get_mut(set)) {
            Some(set) => set.push(at),
            None => sets.push(vec![at]),
        }
    }
    let home = |at: usize| homes.get(at).copied().flatten();
    let mut plan = Vec::new();
    for pair in sets.windows(2) {
        let [first, second] = pair else { continue };
        let apart = |a: usize| {
            second
                .iter()
                .find(|b| home(a) != home(**b))
                .map(|b| Exchange(a, *b))
        };
        // Where both sat at one station, each already has half of it.
        let any = || Some(Exchange(*first.last()?, *second.first()?));
        plan.extend(first.iter().rev().find_map(|a| apart(*a)).or_else(any));
    }
    plan
}

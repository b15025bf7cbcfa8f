//! Which runs of elements return? Pairs of neighbours are joined, those first that save most, until nothing is saved (Larsson and Moffat 2000).

use std::collections::HashMap;

/// What it costs to name an element, to make a group, and to point at either.
pub const NAME: usize = " id=l100".len();
const GROUP: usize = "<g></g>".len();
pub const POINTER: usize = "<use href=#l100 />".len();

/// Joins what returns. `costs` holds what each element takes where it stands; the groups are numbered after the elements, and their members come back.
pub fn join(rows: &mut [Vec<usize>], mut costs: Vec<usize>) -> Vec<[usize; 2]> {
    let mut groups = Vec::new();
    while let Some(pair) = best(rows, &costs) {
        for row in rows.iter_mut() {
            let mut out = Vec::with_capacity(row.len());
            let mut rest = row.as_slice();
            while let [first, after @ ..] = rest {
                let found = rest.starts_with(&pair);
                out.push(if found { costs.len() } else { *first });
                rest = after.get(usize::from(found)..).unwrap_or_default();
            }
            *row = out;
        }
        costs.push(POINTER);
        groups.push(pair);
    }
    groups
}

/// The pair that saves most; of several the first.
fn best(rows: &[Vec<usize>], costs: &[usize]) -> Option<[usize; 2]> {
    let mut times: HashMap<[usize; 2], usize> = HashMap::new();
    for pair in rows.iter().flat_map(|row| row.windows(2)) {
        // A pair of one element would be counted twice where it stands three times.
        if let &[a, b] = pair
            && a != b
        {
            *times.entry([a, b]).or_default() += 1;
        }
    }
    let saved = |pair: [usize; 2], times: usize| {
        let own: usize = pair.iter().filter_map(|p| costs.get(*p)).sum();
        (times * own).checked_sub(times * POINTER + own + GROUP + NAME)
    };
    let all = times.into_iter();
    let worth = all.filter_map(|(pair, n)| Some((saved(pair, n)?, pair)));
    let best = worth.max_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(&a.1)));
    best.map(|(_, pair)| pair)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_returns_is_joined_and_nothing_is_lost() {
        let before = [
            vec![0, 1, 2, 3, 9],
            vec![8, 0, 1, 2, 3],
            vec![1, 2, 7, 5, 5, 5],
        ];
        let mut rows = before.clone();
        let groups = join(&mut rows, vec![60; 10]);
        assert!(rows[0].len() == 2 && rows[1].len() == 2, "{rows:?}");
        assert_eq!(rows[2].len(), 5, "{rows:?}");
        fn spell(symbol: usize, groups: &[[usize; 2]]) -> Vec<usize> {
            match symbol.checked_sub(10) {
                None => vec![symbol],
                Some(group) => groups[group]
                    .iter()
                    .flat_map(|s| spell(*s, groups))
                    .collect(),
            }
        }
        for (row, before) in rows.iter().zip(&before) {
            let all: Vec<usize> = row.iter().flat_map(|s| spell(*s, &groups)).collect();
            assert_eq!(&all, before);
        }
        // What is as short as the pointer to it is left.
        let mut rows = before.clone();
        assert!(join(&mut rows, vec![9; 10]).is_empty());
        assert_eq!(rows, before);
    }
}

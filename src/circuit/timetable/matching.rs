//! Turns a table of costs into the cheapest way to give each row a column of its own.

/// Costs from here on mean "never".
pub const NEVER: i64 = 1 << 40;

/// For each row its column; rows may not outnumber columns. `None` when there is none without a [`NEVER`].
///
/// The Hungarian method with potentials, O(rows^2 x columns) (Kuhn 1955, Munkres 1957; this form from memory). Integer costs, so
/// the same table always gives the same answer.
pub fn cheapest(costs: &[Vec<i64>]) -> Option<Vec<usize>> {
    let rows = costs.len();
    let columns = costs.first().map_or(0, Vec::len);
    if rows > columns || costs.iter().any(|r| r.len() != columns) {
        return None;
    }
    // Counted from 1; column 0 stands for "no column yet".
    let mut row_price = vec![0i64; rows + 1];
    let mut column_price = vec![0i64; columns + 1];
    let mut row_of = vec![0usize; columns + 1];
    for row in 1..=rows {
        row_of[0] = row;
        let mut at = 0;
        let mut least = vec![i64::MAX; columns + 1];
        let mut from = vec![0usize; columns + 1];
        let mut done = vec![false; columns + 1];
        loop {
            done[at] = true;
            let r = row_of[at];
            let (mut delta, mut next) = (i64::MAX, 0);
            for c in 1..=columns {
                if done[c] {
                    continue;
                }
                let cost = costs[r - 1][c - 1] - row_price[r] - column_price[c];
                if cost < least[c] {
                    least[c] = cost;
                    from[c] = at;
                }
                if least[c] < delta {
                    delta = least[c];
                    next = c;
                }
            }
            for c in 0..=columns {
                if done[c] {
                    row_price[row_of[c]] += delta;
                    column_price[c] -= delta;
                } else if least[c] < i64::MAX {
                    least[c] -= delta;
                }
            }
            at = next;
            if row_of[at] == 0 {
                break;
            }
        }
        while at != 0 {
            let before = from[at];
            row_of[at] = row_of[before];
            at = before;
        }
    }
    let mut column_of = vec![0usize; rows];
    for (c, &r) in row_of.iter().enumerate().skip(1) {
        if r > 0 {
            column_of[r - 1] = c - 1;
        }
    }
    let possible = column_of
        .iter()
        .enumerate()
        .all(|(r, &c)| costs[r][c] < NEVER);
    possible.then_some(column_of)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every way, tried out.
    fn by_trial(costs: &[Vec<i64>], row: usize, used: &mut Vec<bool>) -> i64 {
        if row == costs.len() {
            return 0;
        }
        let mut best = i64::MAX;
        for c in 0..costs[row].len() {
            if !used[c] {
                used[c] = true;
                let rest = by_trial(costs, row + 1, used);
                best = best.min(costs[row][c].saturating_add(rest));
                used[c] = false;
            }
        }
        best
    }

    proptest! {
        #[test]
        fn no_other_way_is_cheaper(costs in (1usize..5, 0usize..3).prop_flat_map(|(r, more)| {
            proptest::collection::vec(proptest::collection::vec(-20i64..40, r + more), r)
        })) {
            let found = cheapest(&costs).unwrap();
            let mut columns = found.clone();
            columns.sort_unstable();
            columns.dedup();
            prop_assert_eq!(columns.len(), costs.len());
            let sum: i64 = found.iter().enumerate().map(|(r, &c)| costs[r][c]).sum();
            let width = costs[0].len();
            prop_assert_eq!(sum, by_trial(&costs, 0, &mut vec![false; width]));
        }
    }

    #[test]
    fn what_must_never_be_is_not_an_answer() {
        assert_eq!(cheapest(&[vec![NEVER, 1], vec![NEVER, 1]]), None);
        assert_eq!(
            cheapest(&[vec![NEVER, 1], vec![5, NEVER]]),
            Some(vec![1, 0])
        );
        assert_eq!(cheapest(&[vec![1], vec![1]]), None);
        assert_eq!(cheapest(&[]), Some(vec![]));
    }
}

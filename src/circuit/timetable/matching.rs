//! How is everyone given a place of their own at the least cost? By the Hungarian method (Kuhn 1955, Munkres 1957).

use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// Costs from here on mean "never".
pub const NEVER: i64 = 1 << 40;

/// For each row its column; rows may not outnumber columns. `None` when there is none without a [`NEVER`]. Integer costs, so
/// the same table always gives the same answer.
pub fn cheapest(costs: &[Vec<i64>]) -> Option<Vec<usize>> {
    if costs.is_empty() {
        return Some(Vec::new());
    }
    let table = Matrix::from_rows(costs.iter().cloned()).ok()?;
    if table.rows > table.columns {
        return None;
    }
    let (_, columns) = kuhn_munkres_min(&table);
    let possible = columns.iter().zip(costs).all(|(c, row)| row[*c] < NEVER);
    possible.then_some(columns)
}

#[cfg(test)]
mod tests {
    use super::*;

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

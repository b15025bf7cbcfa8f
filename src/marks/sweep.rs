//! How are normal equations solved that do not have one solution? A generalized inverse of a symmetric matrix by sweeping its pivots.
//!
//! Goodnight, A tutorial on the SWEEP operator, The American Statistician 1979, 33:149-158. A pivot that the ones before it leave (nearly)
//! nothing of is passed over: its row and column become zero, which sets that parameter to zero and leaves what can be estimated as it is.

/// A square matrix, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Square {
    pub size: usize,
    cells: Vec<f64>,
}

/// What is left of a pivot, as a share of what it was, below which it depends on the ones before it.
const NOTHING: f64 = 1e-9;

impl Square {
    pub fn zero(size: usize) -> Self {
        Square {
            size,
            cells: vec![0.0; size * size],
        }
    }

    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        if let Some(cell) = self.cells.get_mut(row * self.size + column) {
            *cell += value;
        }
    }

    pub fn row(&self, row: usize) -> &[f64] {
        let from = row * self.size;
        self.cells.get(from..from + self.size).unwrap_or(&[])
    }

    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.row(row).get(column).copied().unwrap_or(0.0)
    }

    pub fn times(&self, other: &Square) -> Square {
        let mut product = Square::zero(self.size);
        for (row, line) in product.cells.chunks_mut(self.size.max(1)).enumerate() {
            for (middle, factor) in self.row(row).iter().enumerate().filter(|(_, f)| **f != 0.0) {
                for (cell, value) in line.iter_mut().zip(other.row(middle)) {
                    *cell += factor * value;
                }
            }
        }
        product
    }

    pub fn of(&self, vector: &[f64]) -> Vec<f64> {
        let dot = |row: usize| self.row(row).iter().zip(vector).map(|(a, b)| a * b).sum();
        (0..self.size).map(dot).collect()
    }
}

/// What is left of the last parameters once the first ones are taken out: the lower right block after their pivots.
pub fn without_first(matrix: &Square, first: usize) -> Square {
    let (swept, _) = sweep(matrix, first);
    let mut rest = Square::zero(matrix.size.saturating_sub(first));
    for row in first..matrix.size {
        for column in first..matrix.size {
            rest.add(row - first, column - first, swept.at(row, column));
        }
    }
    rest
}

/// A generalized inverse of a symmetric matrix with no negative eigenvalue, and its rank.
pub fn inverse(matrix: &Square) -> (Square, usize) {
    let size = matrix.size;
    let (mut swept, taken) = sweep(matrix, size);
    for (row, cells) in swept.cells.chunks_mut(size.max(1)).enumerate() {
        for (cell, kept) in cells.iter_mut().zip(&taken) {
            if !kept || !taken[row] {
                *cell = 0.0;
            }
        }
    }
    (swept, taken.iter().filter(|t| **t).count())
}

/// The matrix after its first pivots, and which of them were not passed over.
fn sweep(matrix: &Square, pivots: usize) -> (Square, Vec<bool>) {
    let size = matrix.size;
    let mut swept = matrix.clone();
    let mut taken = vec![false; size];
    for pivot in 0..pivots {
        let left = swept.at(pivot, pivot);
        if left <= NOTHING * matrix.at(pivot, pivot).abs() || left <= f64::MIN_POSITIVE {
            continue;
        }
        taken[pivot] = true;
        let line: Vec<f64> = swept.row(pivot).iter().map(|v| v / left).collect();
        for (row, cells) in swept.cells.chunks_mut(size).enumerate() {
            let factor = cells[pivot];
            if row == pivot {
                cells.copy_from_slice(&line);
                cells[pivot] = 1.0 / left;
            } else if factor != 0.0 {
                for (cell, value) in cells.iter_mut().zip(&line) {
                    *cell -= factor * value;
                }
                cells[pivot] = -factor / left;
            }
        }
    }
    (swept, taken)
}

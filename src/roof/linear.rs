//! Weighted least squares for three unknowns a face, by normal equations and a Cholesky factor in blocks of 3 by 3.
//!
//! Written out in plain scalar arithmetic so that a roof comes out the same to the last bit on every machine; libraries that
//! choose their instructions at run time do not promise that. Squaring the condition number is harmless here: unknowns are
//! slopes and heights scaled to about 1, and each solve is refined on the residual of the rows themselves.
//!
//! Where blocks stand is settled once for all systems of one roof: equations are about one face or two neighbours, whatever the labels.

use std::collections::BTreeSet;

/// Unknowns of one face.
const SIDE: usize = 3;
/// A block of the factor, line by line.
type Block = [f64; SIDE * SIDE];

/// One equation `sum(coefficient * unknown) = value` on the unknowns of one face or two, with its weight taken in.
#[derive(Debug, Clone, Copy)]
struct Row {
    faces: [usize; 2],
    coefficients: [[f64; SIDE]; 2],
    value: f64,
}

/// A system of weighted equations that is cleared and filled again, and its factor.
#[derive(Debug, Clone, Default)]
pub(super) struct LeastSquares {
    rows: Vec<Row>,
    /// Where the blocks of each line of the factor start; the last block of a line is its diagonal.
    starts: Vec<usize>,
    /// Of each block, which face's unknowns its columns stand for.
    columns: Vec<usize>,
    blocks: Vec<Block>,
}

/// Weight of the pull of every unknown to zero. It only settles what the rows leave free (the height of the whole roof), and
/// the refinement below takes its bias out of everything the rows do settle.
const DAMPING: f64 = 1e-4;
/// Rounds of refinement on the residual of the rows.
const REFINEMENTS: usize = 2;

impl LeastSquares {
    /// An empty system for `faces` faces, in which equations may join these pairs of them.
    pub(super) fn new(faces: usize, pairs: impl Iterator<Item = [usize; 2]>) -> Self {
        let mut later: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); faces];
        for [a, b] in pairs {
            later[a.min(b)].insert(a.max(b));
        }
        let mut lines: Vec<Vec<usize>> = vec![Vec::new(); faces];
        for column in 0..faces {
            let below = std::mem::take(&mut later[column]);
            for &line in &below {
                lines[line].push(column);
            }
            // Taking a face out joins all its later neighbours; it is enough to hand them to the first of these.
            if let Some(&next) = below.iter().next() {
                later[next].extend(below.iter().skip(1));
            }
        }
        let (mut starts, mut columns) = (vec![0], Vec::new());
        for (line, own) in lines.into_iter().enumerate() {
            columns.extend(own);
            columns.push(line);
            starts.push(columns.len());
        }
        let blocks = vec![[0.0; SIDE * SIDE]; columns.len()];
        Self { rows: Vec::new(), starts, columns, blocks }
    }

    /// Multiply-adds of one factorisation, roughly.
    pub(super) fn work(&self) -> usize {
        self.starts.windows(2).map(|line| 27 * (line[1] - line[0]) * (line[1] - line[0])).sum()
    }

    /// Takes all equations away.
    pub(super) fn clear(&mut self) {
        self.rows.clear();
    }

    /// Adds an equation about one face.
    pub(super) fn add(&mut self, weight: f64, face: usize, coefficients: [f64; SIDE], value: f64) {
        let coefficients = [coefficients.map(|c| c * weight), [0.0; SIDE]];
        self.rows.push(Row { faces: [face, face], coefficients, value: value * weight });
    }

    /// Adds an equation about two faces, which must be one of the pairs.
    pub(super) fn add_pair(&mut self, weight: f64, faces: [usize; 2], coefficients: [[f64; SIDE]; 2], value: f64) {
        let coefficients = coefficients.map(|side| side.map(|c| c * weight));
        self.rows.push(Row { faces, coefficients, value: value * weight });
    }

    /// The unknowns that come nearest to all equations, face by face.
    pub(super) fn solve(&mut self) -> Vec<f64> {
        self.factorise();
        let mut solution = vec![0.0; SIDE * (self.starts.len() - 1)];
        let mut right = vec![0.0; solution.len()];
        for _ in 0..=REFINEMENTS {
            right.fill(0.0);
            for row in &self.rows {
                let mut miss = row.value;
                for (face, coefficients) in row.faces.iter().zip(&row.coefficients) {
                    for (k, c) in coefficients.iter().enumerate() {
                        miss -= c * solution[SIDE * face + k];
                    }
                }
                for (face, coefficients) in row.faces.iter().zip(&row.coefficients) {
                    for (k, c) in coefficients.iter().enumerate() {
                        right[SIDE * face + k] += c * miss;
                    }
                }
            }
            self.back(&mut right, 0);
            for (x, step) in solution.iter_mut().zip(&right) {
                *x += step;
            }
        }
        solution
    }

    /// What the unknowns of the last system solved become by a 1 on the right side of one of its normal equations.
    pub(super) fn column(&self, unknown: usize) -> Vec<f64> {
        let mut right = vec![0.0; SIDE * (self.starts.len() - 1)];
        right[unknown] = 1.0;
        self.back(&mut right, unknown / SIDE);
        right
    }

    fn factorise(&mut self) {
        self.blocks.fill([0.0; SIDE * SIDE]);
        for row in &self.rows {
            let [a, b] = row.faces;
            let [ca, cb] = &row.coefficients;
            add_product(&mut self.blocks[self.starts[a + 1] - 1], ca, ca);
            if a != b {
                add_product(&mut self.blocks[self.starts[b + 1] - 1], cb, cb);
                let (low, high, cl, ch) = if a < b { (a, b, ca, cb) } else { (b, a, cb, ca) };
                let line = &self.columns[self.starts[high]..self.starts[high + 1]];
                if let Ok(at) = line.binary_search(&low) {
                    add_product(&mut self.blocks[self.starts[high] + at], ch, cl);
                }
            }
        }
        for line in 0..self.starts.len() - 1 {
            let (start, diagonal) = (self.starts[line], self.starts[line + 1] - 1);
            for at in start..diagonal {
                let column = self.columns[at];
                let mut sum = self.blocks[at];
                let (mut i, mut j) = (start, self.starts[column]);
                while i < at && j < self.starts[column + 1] - 1 {
                    match self.columns[i].cmp(&self.columns[j]) {
                        std::cmp::Ordering::Less => i += 1,
                        std::cmp::Ordering::Greater => j += 1,
                        std::cmp::Ordering::Equal => {
                            take_product(&mut sum, &self.blocks[i], &self.blocks[j]);
                            i += 1;
                            j += 1;
                        }
                    }
                }
                self.blocks[at] = divided(&sum, &self.blocks[self.starts[column + 1] - 1]);
            }
            let mut sum = self.blocks[diagonal];
            for k in 0..SIDE {
                sum[SIDE * k + k] += DAMPING * DAMPING;
            }
            for at in start..diagonal {
                take_product(&mut sum, &self.blocks[at], &self.blocks[at]);
            }
            self.blocks[diagonal] = root(&sum);
        }
    }

    /// Solves with the factor; the right side is zero before face `from`.
    fn back(&self, right: &mut [f64], from: usize) {
        let faces = self.starts.len() - 1;
        for line in from..faces {
            let diagonal = self.starts[line + 1] - 1;
            let mut own = [right[SIDE * line], right[SIDE * line + 1], right[SIDE * line + 2]];
            for at in self.starts[line]..diagonal {
                let other = &right[SIDE * self.columns[at]..SIDE * self.columns[at] + SIDE];
                let b = &self.blocks[at];
                for k in 0..SIDE {
                    own[k] -= b[SIDE * k] * other[0] + b[SIDE * k + 1] * other[1] + b[SIDE * k + 2] * other[2];
                }
            }
            let d = &self.blocks[diagonal];
            let x = own[0] / d[0];
            let y = (own[1] - d[3] * x) / d[4];
            let z = (own[2] - d[6] * x - d[7] * y) / d[8];
            right[SIDE * line..SIDE * line + SIDE].copy_from_slice(&[x, y, z]);
        }
        for line in (0..faces).rev() {
            let diagonal = self.starts[line + 1] - 1;
            let d = &self.blocks[diagonal];
            let z = right[SIDE * line + 2] / d[8];
            let y = (right[SIDE * line + 1] - d[7] * z) / d[4];
            let x = (right[SIDE * line] - d[3] * y - d[6] * z) / d[0];
            right[SIDE * line..SIDE * line + SIDE].copy_from_slice(&[x, y, z]);
            for at in self.starts[line]..diagonal {
                let b = &self.blocks[at];
                let column = SIDE * self.columns[at];
                for k in 0..SIDE {
                    right[column + k] -= b[k] * x + b[SIDE + k] * y + b[2 * SIDE + k] * z;
                }
            }
        }
    }
}

/// Adds the product of a column and a line.
fn add_product(block: &mut Block, column: &[f64; SIDE], line: &[f64; SIDE]) {
    for i in 0..SIDE {
        for j in 0..SIDE {
            block[SIDE * i + j] += column[i] * line[j];
        }
    }
}

/// Takes away `a` times the transpose of `b`.
fn take_product(block: &mut Block, a: &Block, b: &Block) {
    for i in 0..SIDE {
        for j in 0..SIDE {
            block[SIDE * i + j] -=
                a[SIDE * i] * b[SIDE * j] + a[SIDE * i + 1] * b[SIDE * j + 1] + a[SIDE * i + 2] * b[SIDE * j + 2];
        }
    }
}

/// `block` times the inverse of the transpose of the lower triangle `d`.
fn divided(block: &Block, d: &Block) -> Block {
    let mut out = [0.0; SIDE * SIDE];
    for i in (0..SIDE * SIDE).step_by(SIDE) {
        let x = block[i] / d[0];
        let y = (block[i + 1] - x * d[3]) / d[4];
        let z = (block[i + 2] - x * d[6] - y * d[7]) / d[8];
        out[i..i + SIDE].copy_from_slice(&[x, y, z]);
    }
    out
}

/// The lower triangle whose product with its transpose is `block`.
fn root(block: &Block) -> Block {
    // Rounding may eat the damping of an unknown that no row settles; it then stays where it is.
    let safe = |x: f64| x.max(DAMPING * DAMPING * 0.5).sqrt();
    let a = safe(block[0]);
    let (b, d) = (block[3] / a, block[6] / a);
    let c = safe(block[4] - b * b);
    let e = (block[7] - d * b) / c;
    let f = safe(block[8] - d * d - e * e);
    [a, 0.0, 0.0, b, c, 0.0, d, e, f]
}

/// A pivot this much smaller than the line it is left of says nothing: what is divided by it carries the rounding of the coordinates four digits further,
/// and a drawing turned or shuffled would be answered otherwise (as some are at 1e-7).
const LOST: f64 = 1e-4;

/// The solution of a small dense system of `side` unknowns by elimination, the largest pivot of each column first; nothing where none is
/// left that means anything. Lines of `matrix` are `side + 1` long, the right side last.
pub(super) fn eliminated(matrix: &mut [f64], side: usize) -> Option<Vec<f64>> {
    let width = side + 1;
    let mut scales: Vec<f64> = matrix
        .chunks_exact(width)
        .map(|line| line[..side].iter().fold(0.0, |most: f64, x| most.max(x.abs())))
        .collect();
    for column in 0..side {
        let pivot = (column..side)
            .max_by(|&i, &j| matrix[i * width + column].abs().total_cmp(&matrix[j * width + column].abs()))?;
        if matrix[pivot * width + column].abs() <= LOST * scales[pivot] {
            return None;
        }
        scales.swap(pivot, column);
        for k in column..width {
            matrix.swap(pivot * width + k, column * width + k);
        }
        for line in column + 1..side {
            let share = matrix[line * width + column] / matrix[column * width + column];
            for k in column..width {
                matrix[line * width + k] -= share * matrix[column * width + k];
            }
        }
    }
    let mut solution = vec![0.0; side];
    for line in (0..side).rev() {
        let known: f64 = (line + 1..side).map(|k| matrix[line * width + k] * solution[k]).sum();
        solution[line] = (matrix[line * width + side] - known) / matrix[line * width + line];
    }
    Some(solution)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_three_points() {
        // Least squares line through (0,1), (1,2), (2,2.5): slope 0.75, intercept 13/12, worked by hand.
        let mut system = LeastSquares::new(1, std::iter::empty());
        for (x, y) in [(0.0, 1.0), (1.0, 2.0), (2.0, 2.5)] {
            system.add(1.0, 0, [x, 0.0, 1.0], y);
        }
        let solution = system.solve();
        assert!((solution[0] - 0.75).abs() < 1e-12 && (solution[2] - 13.0 / 12.0).abs() < 1e-12, "{solution:?}");
        assert!(solution[1].abs() < 1e-12, "what no row settles stays at zero");
    }

    #[test]
    fn weights_count_squared() {
        let mut system = LeastSquares::new(1, std::iter::empty());
        system.add(2.0, 0, [1.0, 0.0, 0.0], 1.0);
        system.add(1.0, 0, [1.0, 0.0, 0.0], 6.0);
        assert!((system.solve()[0] - 2.0).abs() < 1e-9);
    }

    #[test]
    fn faces_that_are_no_neighbours_are_joined_by_what_lies_between() {
        // A ring of four, whose elimination joins two opposite ones: differences of 1, 2, 3 and the first at 5.
        let pairs = [[0, 1], [1, 3], [3, 2], [2, 0]];
        let mut system = LeastSquares::new(4, pairs.into_iter());
        for (k, weight) in [(0, 1.0), (1, 3.0), (2, 0.5)] {
            let unit = |k: usize| std::array::from_fn(|i| f64::from(u8::from(i == k)));
            system.add(1.0, 0, unit(k), 5.0);
            for ([a, b], rise) in pairs.into_iter().zip([1.0, 2.0, -1.5, -1.5]) {
                system.add_pair(weight, [b, a], [unit(k), unit(k).map(|c: f64| -c)], rise);
            }
        }
        let solution = system.solve();
        for (face, wanted) in [5.0, 6.0, 6.5, 8.0].into_iter().enumerate() {
            for k in 0..3 {
                assert!((solution[3 * face + k] - wanted).abs() < 1e-9, "{solution:?}");
            }
        }
    }

    #[test]
    fn a_column_is_that_of_the_inverse() {
        let mut system = LeastSquares::new(2, std::iter::once([1, 0]));
        system.add(1.0, 0, [2.0, 0.0, 0.0], 0.0);
        system.add_pair(1.0, [0, 1], [[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0]], 0.0);
        system.solve();
        // Normal equations [[5, -1], [-1, 1]], inverse [[1, 1], [1, 5]] / 4.
        let column = system.column(3);
        assert!((column[0] - 0.25).abs() < 1e-6 && (column[3] - 1.25).abs() < 1e-6, "{column:?}");
    }

    #[test]
    fn a_small_system_needs_its_lines_swapped() {
        let mut matrix = [0.0, 2.0, 4.0, 3.0, 0.0, 9.0];
        assert_eq!(eliminated(&mut matrix, 2), Some(vec![3.0, 2.0]));
        assert_eq!(eliminated(&mut [0.0, 0.0, 1.0, 0.0, 0.0, 1.0], 2), None);
    }
}

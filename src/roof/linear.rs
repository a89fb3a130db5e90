//! Weighted least squares by normal equations and an envelope Cholesky factor.
//!
//! Written out in plain scalar arithmetic so that a roof comes out the same to the last bit on every machine; libraries that
//! choose their instructions at run time do not promise that. Squaring the condition number is harmless here: unknowns are
//! slopes and heights scaled to about 1, and each solve is refined on the residual of the rows themselves.

/// One equation `sum(coefficient * unknown) = value`, with its weight.
#[derive(Debug, Clone)]
struct Row {
    terms: Vec<(usize, f64)>,
    value: f64,
}

/// A system of weighted equations.
#[derive(Debug, Clone, Default)]
pub(super) struct LeastSquares {
    unknowns: usize,
    rows: Vec<Row>,
}

/// Weight of the pull of every unknown to zero. It only settles what the rows leave free (the height of the whole roof), and
/// the refinement below takes its bias out of everything the rows do settle.
const DAMPING: f64 = 1e-4;
/// Rounds of refinement on the residual of the rows.
const REFINEMENTS: usize = 2;

impl LeastSquares {
    /// An empty system.
    pub(super) fn new(unknowns: usize) -> Self {
        Self { unknowns, rows: Vec::new() }
    }

    /// Adds an equation. Terms on the same unknown are summed.
    pub(super) fn add(&mut self, weight: f64, terms: &[(usize, f64)], value: f64) {
        let terms = terms.iter().map(|&(i, c)| (i, c * weight)).collect();
        self.rows.push(Row { terms, value: value * weight });
    }

    /// The unknowns that come nearest to all equations.
    pub(super) fn solve(&self) -> Vec<f64> {
        let factor = Envelope::of(self.unknowns, &self.rows);
        let mut solution = vec![0.0; self.unknowns];
        for _ in 0..=REFINEMENTS {
            let mut right = vec![0.0; self.unknowns];
            for row in &self.rows {
                let miss = row.value - row.terms.iter().map(|&(i, c)| c * solution[i]).sum::<f64>();
                for &(i, c) in &row.terms {
                    right[i] += c * miss;
                }
            }
            factor.solve(&mut right);
            for (x, step) in solution.iter_mut().zip(right) {
                *x += step;
            }
        }
        solution
    }
}

/// A lower Cholesky factor that stores each line from its first entry to the diagonal.
struct Envelope {
    first: Vec<usize>,
    lines: Vec<Vec<f64>>,
}

impl Envelope {
    fn of(unknowns: usize, rows: &[Row]) -> Self {
        let mut first: Vec<usize> = (0..unknowns).collect();
        for row in rows {
            if let Some(least) = row.terms.iter().map(|t| t.0).min() {
                for &(i, _) in &row.terms {
                    first[i] = first[i].min(least);
                }
            }
        }
        let mut lines: Vec<Vec<f64>> = (0..unknowns).map(|i| vec![0.0; i - first[i] + 1]).collect();
        for row in rows {
            for &(i, ci) in &row.terms {
                for &(j, cj) in row.terms.iter().filter(|t| t.0 <= i) {
                    lines[i][j - first[i]] += ci * cj;
                }
            }
        }
        for (i, line) in lines.iter_mut().enumerate() {
            line[i - first[i]] += DAMPING * DAMPING;
        }
        let mut factor = Self { first, lines };
        factor.factorise();
        factor
    }

    fn factorise(&mut self) {
        for i in 0..self.lines.len() {
            let (done, rest) = self.lines.split_at_mut(i);
            let line = &mut rest[0];
            let start = self.first[i];
            for j in start..=i {
                let from = start.max(self.first[j]);
                let mut sum = line[j - start];
                if j < i {
                    let other = &done[j];
                    let skip = self.first[j];
                    for k in from..j {
                        sum -= line[k - start] * other[k - skip];
                    }
                    line[j - start] = sum / other[j - skip];
                } else {
                    for k in start..i {
                        sum -= line[k - start] * line[k - start];
                    }
                    // Rounding may eat the damping of an unknown that no row settles; it then stays where it is.
                    line[i - start] = sum.max(DAMPING * DAMPING * 0.5).sqrt();
                }
            }
        }
    }

    fn solve(&self, right: &mut [f64]) {
        for i in 0..right.len() {
            let (line, start) = (&self.lines[i], self.first[i]);
            let known: f64 = (start..i).map(|k| line[k - start] * right[k]).sum();
            right[i] = (right[i] - known) / line[i - start];
        }
        for i in (0..right.len()).rev() {
            let (line, start) = (&self.lines[i], self.first[i]);
            right[i] /= line[i - start];
            let value = right[i];
            for k in start..i {
                right[k] -= line[k - start] * value;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_three_points() {
        // Least squares line through (0,1), (1,2), (2,2.5): slope 0.75, intercept 13/12, worked by hand.
        let mut system = LeastSquares::new(2);
        for (x, y) in [(0.0, 1.0), (1.0, 2.0), (2.0, 2.5)] {
            system.add(1.0, &[(0, x), (1, 1.0)], y);
        }
        let solution = system.solve();
        assert!((solution[0] - 0.75).abs() < 1e-12 && (solution[1] - 13.0 / 12.0).abs() < 1e-12, "{solution:?}");
    }

    #[test]
    fn weights_count_squared() {
        let mut system = LeastSquares::new(1);
        system.add(2.0, &[(0, 1.0)], 1.0);
        system.add(1.0, &[(0, 1.0)], 6.0);
        assert!((system.solve()[0] - 2.0).abs() < 1e-9);
    }

    #[test]
    fn what_no_row_settles_stays_at_zero() {
        let mut system = LeastSquares::new(3);
        system.add(1.0, &[(0, 1.0), (2, -1.0)], 0.0);
        system.add(1.0, &[(0, 1.0)], 5.0);
        let solution = system.solve();
        assert!((solution[2] - 5.0).abs() < 1e-6 && solution[1].abs() < 1e-12, "{solution:?}");
    }
}

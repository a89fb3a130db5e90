//! Planes of answers one change away from a solved one, roughly: by a low-rank update of its factor instead of a new one.
//!
//! The weights of the folds stay those of the solved answer, so these planes only tell which changes are worth a solve of their own.

use super::lift::{FaceFacts, Label, Lifter, Pull, border_rows, fold_rows, peak_rows, planes_of, to_unit_pitch};
use super::linear::eliminated;
use super::piece::Piece;
use super::search::Candidate;
use crate::geometry::Plane;

/// One solved answer, ready to be varied.
pub(super) struct Screen<'a> {
    piece: &'a Piece,
    facts: &'a [FaceFacts],
    lifter: &'a Lifter,
    labels: &'a [Label],
    solution: Vec<f64>,
    /// Columns of the inverse of the normal equations, as far as they were asked for.
    columns: Vec<Option<Vec<f64>>>,
}

/// What changes in the normal equations of one face's gradient.
struct Change {
    face: usize,
    matrix: [[f64; 2]; 2],
    right: [f64; 2],
}

impl<'a> Screen<'a> {
    /// Around an answer for `piece`.
    pub(super) fn of(lifter: &'a mut Lifter, piece: &'a Piece, facts: &'a [FaceFacts], solved: &'a Candidate) -> Self {
        lifter.weigh(piece, &solved.planes);
        let solution = lifter.solution(piece, &solved.labels, facts, Pull::Balanced);
        Self { piece, facts, lifter, labels: &solved.labels, columns: vec![None; solution.len()], solution }
    }

    /// With `labels`, which differ on `runs` alone. None where the change leaves no answer.
    pub(super) fn relabelled(&mut self, labels: &[Label], runs: &[usize]) -> Option<Vec<Plane>> {
        let piece = self.piece;
        let mut changes: Vec<Change> = Vec::new();
        let mut add = |face: usize, sign: f64, weight: f64, row: [f64; 2], value: f64| {
            let known = changes.iter().position(|c| c.face == face).unwrap_or(changes.len());
            if known == changes.len() {
                changes.push(Change { face, matrix: [[0.0; 2]; 2], right: [0.0; 2] });
            }
            let change = &mut changes[known];
            let weight = sign * weight * weight;
            for (i, own) in row.iter().enumerate() {
                for (j, other) in row.iter().enumerate() {
                    change.matrix[i][j] += weight * own * other;
                }
                change.right[i] += weight * own * value;
            }
        };
        for (labels, sign) in [(self.labels, -1.0), (labels, 1.0)] {
            for border in runs.iter().flat_map(|&run| &piece.runs[run]).map(|&border| &piece.borders[border]) {
                border_rows(piece, self.facts, border, labels[border.run], Pull::Balanced, |weight, row, value| {
                    add(border.face, sign, weight, row, value);
                });
            }
            for peak in (0..piece.peaks.len()).filter(|&p| piece.peaks[p].iter().any(|run| runs.contains(run))) {
                peak_rows(piece, labels, peak, |face, weight, row| add(face, sign, weight, row, 0.0));
            }
        }
        let unknowns: Vec<usize> = changes.iter().flat_map(|c| [3 * c.face, 3 * c.face + 1]).collect();
        let side = unknowns.len();
        let mut matrix = vec![0.0; side * side];
        for (position, change) in changes.iter().enumerate() {
            for (i, line) in change.matrix.iter().enumerate() {
                let at = (2 * position + i) * side + 2 * position;
                matrix[at..at + 2].copy_from_slice(line);
            }
        }
        let right: Vec<f64> = changes.iter().flat_map(|c| c.right).collect();
        let solution = self.changed(&unknowns, &matrix, &right)?;
        Some(to_unit_pitch(piece, labels, planes_of(piece, &solution)))
    }

    /// With one more fold cut. None where nothing holds the roof together without it.
    pub(super) fn cut(&mut self, fold: usize) -> Option<Vec<Plane>> {
        let piece = self.piece;
        let [left, right] = [piece.folds[fold].left, piece.folds[fold].right].map(|face| 3 * face);
        let unknowns = [left, left + 1, left + 2, right, right + 1, right + 2];
        let weight = self.lifter.fold_weight(piece, fold);
        let mut matrix = vec![0.0; 36];
        for row in fold_rows(piece, fold) {
            let row = row.concat();
            for (i, own) in row.iter().enumerate() {
                for (j, other) in row.iter().enumerate() {
                    matrix[6 * i + j] -= weight * weight * own * other;
                }
            }
        }
        let solution = self.changed(&unknowns, &matrix, &[0.0; 6])?;
        Some(to_unit_pitch(piece, self.labels, planes_of(piece, &solution)))
    }

    /// The solution after `matrix` and `right` are added to the normal equations of some unknowns.
    ///
    /// With N the normal equations, E the columns of these unknowns in the unit matrix, D and d the additions and x the
    /// solution: `(N + E D E') (x + inv(N) E y) = right + E d` holds for `(1 + D E' inv(N) E) y = d - D E' x`.
    fn changed(&mut self, unknowns: &[usize], matrix: &[f64], right: &[f64]) -> Option<Vec<f64>> {
        for &unknown in unknowns {
            if self.columns[unknown].is_none() {
                self.columns[unknown] = Some(self.lifter.column(unknown));
            }
        }
        let columns: Vec<&[f64]> = unknowns.iter().filter_map(|&u| self.columns[u].as_deref()).collect();
        let side = unknowns.len();
        let mut system = vec![0.0; side * (side + 1)];
        for i in 0..side {
            let line = &mut system[i * (side + 1)..(i + 1) * (side + 1)];
            line[i] = 1.0;
            line[side] = right[i];
            for (m, &unknown) in unknowns.iter().enumerate() {
                let factor = matrix[i * side + m];
                if factor != 0.0 {
                    for (j, column) in columns.iter().enumerate() {
                        line[j] += factor * column[unknown];
                    }
                    line[side] -= factor * self.solution[unknown];
                }
            }
        }
        let shares = eliminated(&mut system, side)?;
        let mut solution = self.solution.clone();
        for (share, column) in shares.iter().zip(&columns) {
            for (x, c) in solution.iter_mut().zip(*column) {
                *x += share * c;
            }
        }
        solution.iter().all(|x| x.is_finite()).then_some(solution)
    }
}

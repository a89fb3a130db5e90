//! A roof piece and a label for each run of its outline become planes.

use super::energy::NO_SLOPE;
use super::linear::LeastSquares;
use super::piece::{Border, Piece};
use crate::geometry::{Plane, Point2, Vector2};

/// What a run of the outline is taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Label {
    /// Level, its face rising inward.
    Eave,
    /// Free to slope.
    Rake,
    /// Level, its face falling inward.
    High,
    /// Its face is flat.
    Flat,
}

/// How hard eaves are drawn to one pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pull {
    /// As hard as pitches really agree, against points drawn a little off.
    Balanced,
    /// Only where lines leave a pitch free.
    Faint,
}

/// What is known beforehand about one face.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct FaceFacts {
    /// Downhill in plan, length 1.
    pub downhill: Option<Vector2>,
    /// Pitch in units of the piece's own pitch.
    pub pitch: Option<f64>,
    /// Whether it is taken to be flat.
    pub flat: bool,
}

/// How far a drawn point may be off, inches: the unit in which misses of folds and of level outline are weighed alike, since
/// both come from points drawn a little off.
const POINT_NOISE: f64 = 1.0;
/// Spread of eave pitches about their common value, as rise per run: loose, so that it only settles what linework leaves free.
const PITCH_SPREAD: f64 = 0.5;
/// Weight of what only settles what linework leaves free: far above the solver's damping, far below any drawn line.
const FAINT: f64 = 1e-3 / PITCH_SPREAD;
/// A fold between planes this near to each other says little about where its line must be.
const LEAST_FOLD: f64 = 0.3;
/// A mean rise under this is a flat roof and no compromise.
const LEAST_PITCH: f64 = 1e-5;

/// Lifts one piece under many labels; keeps what these have in common.
pub(super) struct Lifter {
    system: LeastSquares,
    weights: Vec<f64>,
}

impl Lifter {
    /// For this piece, or the same with other folds cut.
    pub(super) fn of(piece: &Piece) -> Self {
        let pairs = piece.folds.iter().map(|fold| [fold.left, fold.right]);
        Self { system: LeastSquares::new(piece.faces.len(), pairs), weights: vec![1.0; piece.folds.len()] }
    }

    /// Multiply-adds of one factorisation, roughly.
    pub(super) fn work(&self) -> usize {
        self.system.work()
    }

    /// Planes nearest to the linework under these labels. Eaves have a pitch near 1; real heights come from one factor later.
    pub(super) fn lift(&mut self, piece: &Piece, labels: &[Label], facts: &[FaceFacts], pull: Pull) -> Vec<Plane> {
        self.weights.fill(1.0);
        let first = self.solve(piece, labels, facts, pull);
        self.weigh(piece, &first);
        self.solve(piece, labels, facts, pull)
    }

    /// One reweighting: what matters is how far a point must move in plan, which is the height miss over the change of slope.
    pub(super) fn weigh(&mut self, piece: &Piece, planes: &[Plane]) {
        for (weight, fold) in self.weights.iter_mut().zip(&piece.folds) {
            let change = (planes[fold.left].uphill_gradient() - planes[fold.right].uphill_gradient()).length();
            *weight = 1.0 / change.clamp(LEAST_FOLD, 3.0);
        }
    }

    /// One weighted solve.
    fn solve(&mut self, piece: &Piece, labels: &[Label], facts: &[FaceFacts], pull: Pull) -> Vec<Plane> {
        let x = self.solution(piece, labels, facts, pull);
        to_unit_pitch(piece, labels, planes_of(piece, &x))
    }

    /// The unknowns behind the planes, under the weights of the last reweighting.
    pub(super) fn solution(&mut self, piece: &Piece, labels: &[Label], facts: &[FaceFacts], pull: Pull) -> Vec<f64> {
        let system = &mut self.system;
        system.clear();
        for (position, &weight) in self.weights.iter().enumerate() {
            for coefficients in fold_rows(piece, position) {
                let fold = &piece.folds[position];
                system.add_pair(unit(piece) * weight, [fold.left, fold.right], coefficients, 0.0);
            }
        }
        for border in &piece.borders {
            border_rows(piece, facts, border, labels[border.run], pull, |weight, [x, y], value| {
                system.add(weight, border.face, [x, y, 0.0], value);
            });
        }
        for peak in 0..piece.peaks.len() {
            peak_rows(piece, labels, peak, |face, weight, [x, y]| system.add(weight, face, [x, y, 0.0], 0.0));
        }
        for fold in piece.fronts.iter().map(|&fold| &piece.folds[fold]) {
            for face in [fold.left, fold.right] {
                system.add(FAINT, face, [fold.along.x, fold.along.y, 0.0], 0.0);
            }
        }
        for (face, fact) in facts.iter().enumerate() {
            face_rows(piece, face, fact, pull, |weight, [x, y], value| system.add(weight, face, [x, y, 0.0], value));
        }
        system.solve()
    }

    /// A column of the inverse of the normal equations last solved.
    pub(super) fn column(&self, unknown: usize) -> Vec<f64> {
        self.system.column(unknown)
    }

    /// Weight of the equations of a fold in the system last solved.
    pub(super) fn fold_weight(&self, piece: &Piece, fold: usize) -> f64 {
        unit(piece) * self.weights[fold]
    }
}

/// Length in which a system's heights are measured over the noise of points: the weight of an equation about heights.
fn unit(piece: &Piece) -> f64 {
    piece.size / POINT_NOISE
}

/// Both ends of a fold at one height on its two faces; none where the surface may jump.
pub(super) fn fold_rows(piece: &Piece, fold: usize) -> impl Iterator<Item = [[f64; 3]; 2]> {
    let fold = &piece.folds[fold];
    let scale = 1.0 / piece.size;
    let at = move |face: usize, p: Point2| (p - piece.centres[face]) * scale;
    let ends = [fold.segment.a, fold.segment.b].into_iter().filter(|_| !fold.cut);
    ends.map(move |p| {
        let (l, r) = (at(fold.left, p), at(fold.right, p));
        [[l.x, l.y, 1.0], [-r.x, -r.y, -1.0]]
    })
}

/// What a label says of the slope of its face: weight, coefficients of the gradient, value.
pub(super) fn border_rows(
    piece: &Piece,
    facts: &[FaceFacts],
    border: &Border,
    label: Label,
    pull: Pull,
    mut row: impl FnMut(f64, [f64; 2], f64),
) {
    let (along, length) = (border.along, border.length / piece.size);
    let inward = along.left();
    match label {
        Label::Flat => {
            row(unit(piece) * length, [1.0, 0.0], 0.0);
            row(unit(piece) * length, [0.0, 1.0], 0.0);
        }
        Label::Eave | Label::High => {
            row(unit(piece) * length, [along.x, along.y], 0.0);
            let rise = if label == Label::Eave { 1.0 } else { -1.0 };
            let pitch = facts[border.face].pitch.unwrap_or(1.0);
            row(length.sqrt() * pitch_weight(pull), [inward.x, inward.y], rise * pitch);
        }
        Label::Rake => {}
    }
}

/// Where nothing else holds the two halves of a gable (a dormer flush with the wall), its ridge is level, and so is that of a gable that
/// stands back from the outline: face, weight,
/// coefficients of the gradient.
pub(super) fn peak_rows(piece: &Piece, labels: &[Label], peak: usize, mut row: impl FnMut(usize, f64, [f64; 2])) {
    let gable = piece.peaks[peak].iter().all(|&run| labels[run] == Label::Rake);
    if let Some(fold) = piece.ridges[peak].filter(|_| gable) {
        let fold = &piece.folds[fold];
        for face in [fold.left, fold.right] {
            row(face, FAINT, [fold.along.x, fold.along.y]);
        }
    }
}

/// What is known beforehand of a face's slope: weight, coefficients of the gradient, value.
fn face_rows(piece: &Piece, face: usize, fact: &FaceFacts, pull: Pull, mut row: impl FnMut(f64, [f64; 2], f64)) {
    let reach = unit(piece) * piece.areas[face].sqrt() / piece.size;
    if fact.flat {
        row(reach, [1.0, 0.0], 0.0);
        row(reach, [0.0, 1.0], 0.0);
    }
    if let Some(down) = fact.downhill {
        let across = down.left();
        row(reach, [across.x, across.y], 0.0);
        row(pitch_weight(pull), [down.x, down.y], -fact.pitch.unwrap_or(1.0));
    }
}

fn pitch_weight(pull: Pull) -> f64 {
    match pull {
        Pull::Balanced => 1.0 / PITCH_SPREAD,
        Pull::Faint => FAINT,
    }
}

/// The planes of a system's unknowns.
pub(super) fn planes_of(piece: &Piece, x: &[f64]) -> Vec<Plane> {
    let plane = |(centre, x): (&Point2, &[f64])| {
        let (a, b) = (x[0], x[1]);
        Plane { a, b, c: x[2] * piece.size - a * centre.x - b * centre.y }
    };
    piece.centres.iter().zip(x.chunks_exact(3)).map(plane).collect()
}

/// Scales heights so that the mean rise inward from eaves is 1. Linework and labels that contradict each other pull a least
/// squares answer down towards a flat roof, whose shape still tells the best compromise. A face that they leave out stays as steep as
/// it was; by a mean that it rules, all others would be flat and their misfits nothing, so that the usual rise counts then.
pub(super) fn to_unit_pitch(piece: &Piece, labels: &[Label], mut planes: Vec<Plane>) -> Vec<Plane> {
    let eaves = || {
        let eaves = piece.borders.iter().filter(|b| labels[b.run] == Label::Eave);
        eaves.map(|b| (planes[b.face].uphill_gradient().dot(b.along.left()).max(0.0), b.length))
    };
    let (sum, weight) =
        eaves().fold((0.0, 0.0), |(sum, weight), (rise, length)| (sum + rise * length, weight + length));
    let mut usual = if weight > 0.0 { sum / weight } else { 1.0 };
    let steepest = eaves().map(|eave| eave.0).fold(0.0, f64::max);
    // No more than twice the mean, and half of the eaves are as steep.
    if steepest > 2.0 * usual {
        let mut rises: Vec<(f64, f64)> = eaves().collect();
        rises.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut below = 0.0;
        let half = rises.iter().find(|(_, length)| {
            below += length;
            below >= weight / 2.0
        });
        usual = half.map(|eave| eave.0).filter(|median| steepest > NO_SLOPE * median).unwrap_or(usual);
    }
    if usual >= LEAST_PITCH {
        for p in &mut planes {
            *p = Plane { a: p.a / usual, b: p.b / usual, c: p.c / usual };
        }
    }
    planes
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::plan_of;
    use super::*;
    use crate::geometry::Point3;
    use crate::index::RoofId;
    use std::collections::BTreeSet;

    /// A pyramid of 12:12 over 20 ft. One slope 300 times as steep leaves the others at the unit; one twice as steep is part of the mean,
    /// which over four equal eaves is then 1.25.
    #[test]
    fn one_wild_slope_does_not_set_the_scale() {
        let corners = [(0.0, 0.0), (240.0, 0.0), (240.0, 240.0), (0.0, 240.0), (120.0, 120.0)]
            .map(|(x, y)| Point3::new(x, y, 0.0));
        let plan = plan_of(&corners, &[&[0, 1, 4], &[1, 2, 4], &[2, 3, 4], &[3, 0, 4]]);
        let piece = Piece::of(&plan, RoofId::new(0), &BTreeSet::new());
        let labels = vec![Label::Eave; piece.runs.len()];
        for (times, unit) in [(300.0, 1.0), (2.0, 0.8)] {
            let mut planes = vec![Plane::default(); piece.faces.len()];
            for border in &piece.borders {
                let up = border.along.left();
                let rise = if border.face == 0 { times } else { 1.0 };
                planes[border.face] = Plane { a: up.x * rise, b: up.y * rise, c: 0.0 };
            }
            let scaled = to_unit_pitch(&piece, &labels, planes);
            for (face, plane) in scaled.iter().enumerate() {
                let wanted = if face == 0 { times * unit } else { unit };
                assert!((plane.pitch() - wanted).abs() < 1e-9 * wanted, "{face}: {}", plane.pitch());
            }
        }
    }
}

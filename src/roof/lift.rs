//! A roof piece and a label for each run of its outline become planes.

use super::linear::LeastSquares;
use super::piece::Piece;
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

/// Planes nearest to the linework under these labels. Eaves have a pitch near 1; real heights come from one factor later.
pub(super) fn lift(piece: &Piece, labels: &[Label], facts: &[FaceFacts], pull: Pull) -> Vec<Plane> {
    let even = vec![1.0; piece.folds.len()];
    let first = solve(piece, labels, facts, pull, &even);
    // One reweighting: what matters is how far a point must move in plan, which is the height miss over the change of slope.
    let weights: Vec<f64> = piece
        .folds
        .iter()
        .map(|fold| {
            let change = (first[fold.left].uphill_gradient() - first[fold.right].uphill_gradient()).length();
            1.0 / change.clamp(LEAST_FOLD, 3.0)
        })
        .collect();
    solve(piece, labels, facts, pull, &weights)
}

/// One weighted solve.
fn solve(piece: &Piece, labels: &[Label], facts: &[FaceFacts], pull: Pull, fold_weights: &[f64]) -> Vec<Plane> {
    let mut system = LeastSquares::new(3 * piece.faces.len());
    let scale = 1.0 / piece.size;
    let pitch_weight = match pull {
        Pull::Balanced => 1.0 / PITCH_SPREAD,
        Pull::Faint => FAINT,
    };
    let unit = piece.size / POINT_NOISE;
    let at = |face: usize, p: Point2| (p - piece.centres[face]) * scale;
    for (fold, &weight) in piece.folds.iter().zip(fold_weights).filter(|(fold, _)| !fold.cut) {
        for p in [fold.segment.a, fold.segment.b] {
            let (l, r) = (at(fold.left, p), at(fold.right, p));
            let (i, j) = (3 * fold.left, 3 * fold.right);
            system.add(
                unit * weight,
                &[(i, l.x), (i + 1, l.y), (i + 2, 1.0), (j, -r.x), (j + 1, -r.y), (j + 2, -1.0)],
                0.0,
            );
        }
    }
    for border in &piece.borders {
        let (i, along, length) = (3 * border.face, border.along(), border.segment.length() * scale);
        let inward = along.left();
        let label = labels[border.run];
        if label == Label::Flat {
            system.add(unit * length, &[(i, 1.0)], 0.0);
            system.add(unit * length, &[(i + 1, 1.0)], 0.0);
        }
        if matches!(label, Label::Eave | Label::High) {
            system.add(unit * length, &[(i, along.x), (i + 1, along.y)], 0.0);
            let rise = if label == Label::Eave { 1.0 } else { -1.0 };
            let pitch = facts[border.face].pitch.unwrap_or(1.0);
            system.add(length.sqrt() * pitch_weight, &[(i, inward.x), (i + 1, inward.y)], rise * pitch);
        }
    }
    for (pair, fold) in piece.peaks.iter().zip(&piece.ridges) {
        // Where nothing else holds the two halves of a gable (a dormer flush with the wall), its ridge is level.
        let Some(fold) = fold.filter(|_| pair.iter().all(|&run| labels[run] == Label::Rake)) else { continue };
        let fold = &piece.folds[fold];
        let along = (fold.segment.b - fold.segment.a).unit().unwrap_or_default();
        for face in [fold.left, fold.right] {
            system.add(FAINT, &[(3 * face, along.x), (3 * face + 1, along.y)], 0.0);
        }
    }
    for (face, fact) in facts.iter().enumerate() {
        if fact.flat {
            let reach = unit * piece.areas[face].sqrt() * scale;
            system.add(reach, &[(3 * face, 1.0)], 0.0);
            system.add(reach, &[(3 * face + 1, 1.0)], 0.0);
        }
        if let Some(down) = fact.downhill {
            let across = down.left();
            let reach = unit * piece.areas[face].sqrt() * scale;
            system.add(reach, &[(3 * face, across.x), (3 * face + 1, across.y)], 0.0);
            let pitch = fact.pitch.unwrap_or(1.0);
            system.add(pitch_weight, &[(3 * face, down.x), (3 * face + 1, down.y)], -pitch);
        }
    }
    let x = system.solve();
    let planes: Vec<Plane> = (0..piece.faces.len())
        .map(|face| {
            let (a, b) = (x[3 * face], x[3 * face + 1]);
            let centre = piece.centres[face];
            Plane { a, b, c: x[3 * face + 2] * piece.size - a * centre.x - b * centre.y }
        })
        .collect();
    to_unit_pitch(piece, labels, planes)
}

/// Scales heights so that the mean rise inward from eaves is 1. Linework and labels that contradict each other pull a least
/// squares answer down towards a flat roof, whose shape still tells the best compromise.
fn to_unit_pitch(piece: &Piece, labels: &[Label], planes: Vec<Plane>) -> Vec<Plane> {
    let (mut sum, mut weight) = (0.0, 0.0);
    for border in piece.borders.iter().filter(|b| labels[b.run] == Label::Eave) {
        let length = border.segment.length();
        sum += length * planes[border.face].uphill_gradient().dot(border.along().left()).max(0.0);
        weight += length;
    }
    let mean = if weight > 0.0 { sum / weight } else { 1.0 };
    if mean < LEAST_PITCH {
        return planes;
    }
    planes.into_iter().map(|p| Plane { a: p.a / mean, b: p.b / mean, c: p.c / mean }).collect()
}

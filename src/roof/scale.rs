//! The one height factor that linework leaves free, and heights as they are handed on.

use super::hints::Hints;
use super::kinds::FLAT_PITCH;
use super::model::Basis;
use super::piece::Piece;
use crate::geometry::Plane;
use crate::terms::EdgeKind;

/// Heights are kept to this step, inches, so that they are the same on every machine.
const HEIGHT_STEP: f64 = 1.0 / 65_536.0;
/// Slopes are kept to 2^-40: over 100 ft that is a billionth of an inch.
const SLOPE_STEP: f64 = 1.0 / 1_099_511_627_776.0;

/// Below this share of a roof's usual pitch of 1 a face is a low slope.
const LOW_SLOPE: f64 = 0.5;

/// A scaled lifting.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scaled {
    /// Planes in local face order.
    pub planes: Vec<Plane>,
    /// How each pitch is known.
    pub basis: Vec<Basis>,
    /// The pitch that was assumed, if one was, and the face it was given to.
    pub assumed: Option<(usize, f64)>,
}

/// Scales heights to the pitches given, or gives the default pitch to the face with most eave.
pub(super) fn scale(
    piece: &Piece,
    planes: &[Plane],
    borders: &[EdgeKind],
    hints: &Hints,
    default_pitch: f64,
) -> Scaled {
    let (mut product, mut square) = (0.0, 0.0);
    for (local, face) in piece.faces.iter().enumerate() {
        if let Some(given) = hints.pitches.get(face).and_then(|g| g.first()) {
            let pitch = planes[local].pitch();
            product += given.pitch * pitch;
            square += pitch * pitch;
        }
    }
    let given = square > FLAT_PITCH * FLAT_PITCH && product > 0.0;
    let (factor, assumed) = if given {
        (product / square, None)
    } else {
        let face = most_eave(piece, planes, borders);
        face.map_or((1.0, None), |f| (default_pitch / planes[f].pitch(), Some((f, default_pitch))))
    };
    let basis = piece
        .faces
        .iter()
        .map(|face| match (given, hints.pitches.contains_key(face)) {
            (true, true) => Basis::Set,
            (true, false) => Basis::Solved,
            (false, _) => Basis::Assumed,
        })
        .collect();
    let raised = planes.iter().map(|p| Plane { a: p.a * factor, b: p.b * factor, c: p.c * factor }).collect();
    Scaled { planes: from_lowest_eave(piece, raised, borders), basis, assumed }
}

/// The face with most eave that is no low slope beside the others, else the steepest: giving a low slope the default pitch
/// would raise what reads as flat.
fn most_eave(piece: &Piece, planes: &[Plane], borders: &[EdgeKind]) -> Option<usize> {
    let mut eave = vec![0.0; piece.faces.len()];
    for (border, kind) in piece.borders.iter().zip(borders) {
        if *kind == EdgeKind::Eave {
            eave[border.face] += border.segment.length();
        }
    }
    (0..piece.faces.len())
        .filter(|&f| planes[f].pitch() >= LOW_SLOPE)
        .max_by(|&f, &g| eave[f].total_cmp(&eave[g]).then(piece.faces[g].cmp(&piece.faces[f])))
        .or_else(|| {
            (0..piece.faces.len())
                .filter(|&f| planes[f].pitch() > FLAT_PITCH)
                .max_by(|&f, &g| planes[f].pitch().total_cmp(&planes[g].pitch()))
        })
}

/// Moves the roof so that its lowest eave stands at height 0.
fn from_lowest_eave(piece: &Piece, planes: Vec<Plane>, borders: &[EdgeKind]) -> Vec<Plane> {
    let ends = |wanted: Option<EdgeKind>| {
        piece
            .borders
            .iter()
            .zip(borders)
            .filter(|(_, kind)| wanted.is_none_or(|w| **kind == w))
            .map(|(b, _)| planes[b.face].height(b.segment.midpoint()))
            .fold(f64::INFINITY, f64::min)
    };
    let eave = ends(Some(EdgeKind::Eave));
    let lowest = if eave.is_finite() { eave } else { ends(None) };
    let lowest = if lowest.is_finite() { lowest } else { 0.0 };
    planes.into_iter().map(|p| Plane { c: p.c - lowest, ..p }).collect()
}

/// Rounds a plane to the steps that all later stages see.
pub(super) fn rounded(plane: Plane) -> Plane {
    let to = |value: f64, step: f64| (value / step).round() * step + 0.0;
    Plane { a: to(plane.a, SLOPE_STEP), b: to(plane.b, SLOPE_STEP), c: to(plane.c, HEIGHT_STEP) }
}

//! Edge kinds read off from planes.

use crate::geometry::{Plane, Segment2, Vector2};
use crate::terms::EdgeKind;

/// Along an edge, at most this share of the face's pitch counts as level (the threshold of the truth data).
const LEVEL_SHARE: f64 = 0.2;
/// Along an edge, at least this share of the face's pitch counts as sloping.
const SLOPING_SHARE: f64 = 0.35;
/// Faces flatter than 2 degrees are flat: tan 2 deg.
pub(super) const FLAT_PITCH: f64 = 0.034_920_769_491_747_73;
/// Two planes whose gradients differ by less than this are one surface, in rise per run.
const SAME_PLANE: f64 = 0.01;
/// A face that rises against its neighbour's water by more than this share of the steeper pitch makes a pitch break.
const ACROSS_SHARE: f64 = 0.015;

/// The kind of a boundary edge, walked with its face to the left.
pub(super) fn boundary_kind(edge: Segment2, plane: Plane) -> EdgeKind {
    boundary_kind_along((edge.b - edge.a).unit().unwrap_or_default(), plane)
}

/// The same from the edge's direction, of length 1; zero for an edge without length.
pub(super) fn boundary_kind_along(along: Vector2, plane: Plane) -> EdgeKind {
    let pitch = plane.pitch();
    if pitch < FLAT_PITCH {
        return EdgeKind::FlatEdge;
    }
    if along == Vector2::default() {
        return EdgeKind::Unknown;
    }
    let gradient = plane.uphill_gradient();
    let share = gradient.dot(along).abs() / pitch;
    if share <= LEVEL_SHARE {
        if gradient.dot(along.left()) > 0.0 { EdgeKind::Eave } else { EdgeKind::HighEdge }
    } else if share >= SLOPING_SHARE {
        EdgeKind::Rake
    } else {
        EdgeKind::Skew
    }
}

/// The kind of a fold between the planes to the left and right of `edge`.
///
/// A convex fold counts as level, and so as a ridge, by its own slope (the mean of both planes, which differ where faces do
/// not quite meet) against the steeper face's pitch. Between level and clearly sloping it is still called a hip: that is
/// the fold beside a steep hip end, and it is covered as one.
pub(super) fn fold_kind(edge: Segment2, left: Plane, right: Plane) -> EdgeKind {
    fold_kind_along((edge.b - edge.a).unit().unwrap_or_default(), left, right)
}

/// The same from the edge's direction, of length 1; zero for an edge without length.
pub(super) fn fold_kind_along(along: Vector2, left: Plane, right: Plane) -> EdgeKind {
    if along == Vector2::default() {
        return EdgeKind::Unknown;
    }
    let (gl, gr) = (left.uphill_gradient(), right.uphill_gradient());
    let (left, right) = (gl.length(), gr.length());
    if (gl - gr).length() < SAME_PLANE || (left < FLAT_PITCH && right < FLAT_PITCH) {
        return EdgeKind::FlatBreak;
    }
    // Positive: the face rises away from the edge, so its water comes to the edge.
    let to_left = gl.dot(along.left());
    let to_right = -gr.dot(along.left());
    let level = (gl + gr).dot(along).abs() / 2.0 <= LEVEL_SHARE * left.max(right);
    // A share of the pitch, so that the kind does not hang on the one height factor that a plan leaves free.
    let against = ACROSS_SHARE * left.max(right);
    if to_left + to_right > 0.0 {
        if to_left < -against || to_right < -against { EdgeKind::PitchBreak } else { EdgeKind::Valley }
    } else if to_left > against || to_right > against {
        EdgeKind::PitchBreak
    } else if level {
        EdgeKind::Ridge
    } else {
        EdgeKind::Hip
    }
}

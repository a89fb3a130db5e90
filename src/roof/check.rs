//! Rules every roof keeps, checked from the roof alone.

use super::model::{Basis, Roof, RoofEdge};
use crate::geometry::{Plane, Ring, Segment2};
use crate::index::{EdgeId, FaceId};
use crate::terms::EdgeKind;

/// Faces of one roof may overlap or leave open this share of its area: rounding of shared corners.
const AREA_SHARE: f64 = 1e-6;
/// Heights are rounded to 2^-16 in, gaps measured after that.
const HEIGHT: f64 = 1e-3;

/// What is wrong with `roof`; empty when nothing is.
#[must_use]
pub fn check_invariants(roof: &Roof) -> Vec<String> {
    let mut wrong = Vec::new();
    ids(roof, &mut wrong);
    for edge in &roof.edges {
        heights(roof, edge, &mut wrong);
        kind(roof, edge, &mut wrong);
        if (edge.basis == Basis::Ambiguous) == edge.alternatives.is_empty() || edge.alternatives.len() > 3 {
            wrong.push(format!("{}: {:?} with alternatives {:?}", edge.id, edge.basis, edge.alternatives));
        }
    }
    tiling(roof, &mut wrong);
    for question in &roof.questions {
        if question.edges.is_empty() || question.options.is_empty() {
            wrong.push(format!("question without edges or options: {}", question.words));
        }
        for edge in &question.edges {
            if roof.edges.get(edge.index()).is_none_or(|e| e.basis != Basis::Ambiguous) {
                wrong.push(format!("question about {edge}, which is not open"));
            }
        }
    }
    for edge in roof.edges.iter().filter(|e| e.basis == Basis::Ambiguous) {
        if !roof.questions.iter().any(|q| q.edges.contains(&edge.id)) {
            wrong.push(format!("{} is open but no question asks about it", edge.id));
        }
    }
    wrong
}

fn ids(roof: &Roof, wrong: &mut Vec<String>) {
    for (position, edge) in roof.edges.iter().enumerate() {
        if edge.id != EdgeId::new(position) {
            wrong.push(format!("edge {} stands at {position}", edge.id));
        }
    }
    for (position, face) in roof.faces.iter().enumerate() {
        if face.id != FaceId::new(position) {
            wrong.push(format!("face {} stands at {position}", face.id));
        }
        if (face.pitch - face.plane.pitch()).abs() > 1e-12 {
            wrong.push(format!("{}: pitch {} is not its plane's", face.id, face.pitch));
        }
    }
}

/// Both sides agree with `gap`, and a fold that is no step joins one part.
fn heights(roof: &Roof, edge: &RoofEdge, wrong: &mut Vec<String>) {
    let (Some(left), Some(right)) = (edge.left, edge.right) else { return };
    let miss = edge.ends.iter().map(|&n| (roof.corner(left, n).z - roof.corner(right, n).z).abs()).fold(0.0, f64::max);
    if (miss - edge.gap).abs() > HEIGHT {
        wrong.push(format!("{}: sides differ by {miss} in, gap says {}", edge.id, edge.gap));
    }
    if edge.kind != EdgeKind::Step && roof.face(left).part != roof.face(right).part {
        wrong.push(format!("{}: a {} between two parts", edge.id, edge.kind.words()));
    }
}

/// The kind follows from the planes: rise away from the edge on each side, and fall along it.
fn kind(roof: &Roof, edge: &RoofEdge, wrong: &mut Vec<String>) {
    let away = |face: FaceId| {
        let s = roof.segment(edge.id);
        let s = if edge.left == Some(face) { s } else { Segment2::new(s.b, s.a) };
        rise_inward(s, roof.face(face).plane)
    };
    let along = |face: FaceId| {
        let s = roof.segment(edge.id);
        (s.b - s.a).unit().map_or(0.0, |u| roof.face(face).plane.uphill_gradient().dot(u).abs())
    };
    let sides: Vec<FaceId> = roof.sides(edge.id).collect();
    let rises: Vec<f64> = sides.iter().map(|&f| away(f)).collect();
    let steepest = sides.iter().map(|&f| roof.face(f).pitch).fold(0.0, f64::max);
    let slack = 0.02 * steepest + 1e-9;
    let fine = match (edge.kind, sides.as_slice()) {
        (EdgeKind::Eave, &[f]) => rises[0] > 0.0 && along(f) < 0.25 * steepest,
        (EdgeKind::HighEdge, &[f]) => rises[0] < 0.0 && along(f) < 0.25 * steepest,
        (EdgeKind::Rake | EdgeKind::Sidewall, &[f]) => along(f) > 0.3 * steepest,
        (EdgeKind::Ridge | EdgeKind::Hip, [_, _]) => {
            rises.iter().all(|&r| r < slack) && rises.iter().sum::<f64>() < 0.0
        }
        (EdgeKind::Valley, [_, _]) => rises.iter().all(|&r| r > -slack) && rises.iter().sum::<f64>() > 0.0,
        (EdgeKind::FlatEdge, [_]) => steepest < 0.04,
        (EdgeKind::Skew | EdgeKind::Unknown, _) => true,
        (EdgeKind::PitchBreak | EdgeKind::FlatBreak | EdgeKind::Step, [_, _]) => true,
        _ => false,
    };
    if !fine {
        wrong.push(format!("{}: a {} whose sides rise inward by {rises:?}", edge.id, edge.kind.words()));
    }
}

fn rise_inward(edge: Segment2, plane: Plane) -> f64 {
    (edge.b - edge.a).unit().map_or(0.0, |u| plane.uphill_gradient().dot(u.left()))
}

/// The signed areas of faces sum to the area inside their common outline: by walking every outline edge once.
fn tiling(roof: &Roof, wrong: &mut Vec<String>) {
    for unit in &roof.units {
        let faces: f64 = unit.faces.iter().map(|&f| roof.region(f).area()).sum();
        let mut outline = 0.0;
        let origin = unit.faces.first().map(|&f| roof.region(f).exterior.bounds().map(|b| b.min));
        let Some(Some(origin)) = origin else { continue };
        for edge in &roof.edges {
            let mine = |f: Option<FaceId>| f.is_some_and(|f| unit.faces.contains(&f));
            let s = roof.segment(edge.id);
            let (u, v) = (s.a - origin, s.b - origin);
            match (mine(edge.left), mine(edge.right)) {
                (true, false) => outline += u.cross(v) / 2.0,
                (false, true) => outline -= u.cross(v) / 2.0,
                _ => {}
            }
        }
        if (faces - outline).abs() > AREA_SHARE * faces.abs().max(1.0) {
            wrong.push(format!("{}: faces cover {faces} sq in of an outline of {outline}", unit.id));
        }
        for &face in &unit.faces {
            if Ring::signed_area(&roof.region(face).exterior) <= 0.0 {
                wrong.push(format!("{face} is clockwise"));
            }
        }
    }
}

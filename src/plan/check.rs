//! What holds of every [`PlanGraph`], checked without knowing how it was made.

use super::model::{HalfEdge, PlanGraph};
use super::split::{around, cross};
use crate::geometry::{Segment2, SegmentIndex};
use crate::index::{EdgeId, FaceId};
use std::collections::BTreeMap;

/// Relative error allowed between an outline's area and the sum of its faces.
const AREA_TOLERANCE: f64 = 1e-9;

/// The broken invariants in words; empty when all hold.
#[must_use]
pub fn check_invariants(plan: &PlanGraph) -> Vec<String> {
    let mut broken = Vec::new();
    broken.extend(check_edges(plan));
    broken.extend(check_loops(plan));
    broken.extend(check_crossings(plan));
    broken.extend(check_roofs(plan));
    broken.extend(check_placed(plan));
    broken
}

fn check_edges(plan: &PlanGraph) -> Vec<String> {
    let mut broken = Vec::new();
    for (number, edge) in plan.edges.iter().enumerate() {
        let id = EdgeId::new(number);
        if edge.ends[0] >= edge.ends[1] || edge.ends[1].index() >= plan.nodes.len() {
            broken.push(format!("{id}: ends {} and {} are not two nodes in order", edge.ends[0], edge.ends[1]));
        }
        if edge.left.is_none() && edge.right.is_none() {
            broken.push(format!("{id} bounds no face"));
        }
        if edge.sources.is_empty() {
            broken.push(format!("{id} was drawn nowhere"));
        }
    }
    if !plan.edges.is_sorted_by(|a, b| a.ends < b.ends) {
        broken.push("edges are not in order of their ends, or two join the same nodes".into());
    }
    broken
}

/// Every loop is closed and turns the right way; each side of each edge is used exactly by the face it names.
fn check_loops(plan: &PlanGraph) -> Vec<String> {
    let mut broken = Vec::new();
    let mut used: BTreeMap<HalfEdge, FaceId> = BTreeMap::new();
    let end = |half: HalfEdge| plan.edges[half.edge.index()].ends[usize::from(half.forward)];
    for (number, face) in plan.faces.iter().enumerate() {
        let id = FaceId::new(number);
        for half_edges in std::iter::once(&face.exterior).chain(&face.holes) {
            let starts = plan.loop_nodes(half_edges);
            for (i, &half) in half_edges.iter().enumerate() {
                if end(half) != starts[(i + 1) % starts.len()] {
                    broken.push(format!("{id}: the loop breaks after {}", half.edge));
                }
                let edge = &plan.edges[half.edge.index()];
                if (if half.forward { edge.left } else { edge.right }) != Some(id) {
                    broken.push(format!("{id} walks {} which does not name it", half.edge));
                }
                if let Some(other) = used.insert(half, id) {
                    broken.push(format!("{} is walked twice the same way, by {other} and {id}", half.edge));
                }
            }
        }
        let region = plan.region(id);
        if region.exterior.signed_area() <= 0.0 {
            broken.push(format!("{id} does not run counter-clockwise"));
        }
        if region.holes.iter().any(|hole| hole.signed_area() >= 0.0) {
            broken.push(format!("{id}: a hole does not run clockwise"));
        }
    }
    let named: usize = plan.edges.iter().map(|e| usize::from(e.left.is_some()) + usize::from(e.right.is_some())).sum();
    if named != used.len() {
        broken.push(format!("edges name {named} sides, faces walk {}", used.len()));
    }
    broken
}

fn check_crossings(plan: &PlanGraph) -> Vec<String> {
    let segments: Vec<Segment2> = (0..plan.edges.len()).map(|e| plan.segment(EdgeId::new(e))).collect();
    let index = SegmentIndex::new(&segments);
    let mut broken = Vec::new();
    for (i, &one) in segments.iter().enumerate() {
        for j in index.meeting(around(one)).into_iter().filter(|&j| j > i) {
            if cross(one, segments[j]) {
                broken.push(format!("{} and {} cross", EdgeId::new(i), EdgeId::new(j)));
            }
        }
    }
    broken
}

/// The faces of a roof tile its outline: the area within edges that have a face on one side only equals the faces' sum.
fn check_roofs(plan: &PlanGraph) -> Vec<String> {
    let mut broken = Vec::new();
    let outlines = outline_areas(plan);
    for (number, roof) in plan.roofs.iter().enumerate() {
        if roof.faces.is_empty() {
            broken.push(format!("roof {} has no face", number + 1));
        }
        let sum: f64 = roof.faces.iter().map(|&face| plan.region(face).area()).sum();
        let outline = outlines[number];
        if (outline - sum).abs() > AREA_TOLERANCE * (1.0 + outline.abs()) {
            broken.push(format!("roof {}: faces add up to {sum} sq in, its outline holds {outline}", number + 1));
        }
        if roof.faces.iter().any(|f| plan.faces[f.index()].roof.index() != number) {
            broken.push(format!("roof {} lists a face of another roof", number + 1));
        }
    }
    if plan.roofs.iter().map(|roof| roof.faces.len()).sum::<usize>() != plan.faces.len() {
        broken.push("roofs do not list every face once".into());
    }
    if !plan.faces.is_sorted_by_key(|face| face.roof) {
        broken.push("faces are not in roof order".into());
    }
    broken
}

/// The area of each roof within its edges that have a face on one side only.
fn outline_areas(plan: &PlanGraph) -> Vec<f64> {
    let mut areas = vec![0.0; plan.roofs.len()];
    for (number, edge) in plan.edges.iter().enumerate() {
        let (face, turn) = match (edge.left, edge.right) {
            (Some(face), None) => (face, 0.5),
            (None, Some(face)) => (face, -0.5),
            _ => continue,
        };
        let roof = plan.faces[face.index()].roof.index();
        // Areas relative to a point of the roof, so far origins lose no digits.
        let first = plan.faces[plan.roofs[roof].faces[0].index()].exterior[0];
        let origin = plan.segment(first.edge).a;
        let s = plan.segment(EdgeId::new(number));
        areas[roof] += turn * (s.a - origin).cross(s.b - origin);
    }
    areas
}

fn check_placed(plan: &PlanGraph) -> Vec<String> {
    let mut broken = Vec::new();
    for (number, opening) in plan.openings.iter().enumerate() {
        if opening.id.index() != number || opening.parts.is_empty() {
            broken.push(format!("{}: wrong id, or on no face", opening.id));
        }
        let parts: f64 = opening.parts.iter().map(|(_, part)| part.area()).sum();
        if parts > opening.outline.area() * (1.0 + 1e-6) + 1e-3 {
            broken.push(format!("{}: its parts are larger than itself", opening.id));
        }
    }
    for arrow in &plan.arrows {
        if (arrow.downhill.length() - 1.0).abs() > 1e-9 {
            broken.push(format!("an arrow on {} is not of length 1", arrow.face));
        }
    }
    broken
}

//! A plan and a plane for each face become a roof.

use super::kinds::{boundary_kind, fold_kind};
use super::model::{Abuts, Basis, Roof, RoofEdge, RoofFace, RoofUnit};
use crate::geometry::{Plane, Segment2};
use crate::index::{EdgeId, FaceId, PartId, RoofId};
use crate::plan::PlanGraph;
use crate::terms::EdgeKind;

/// A face's plane and how its pitch is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Surface {
    /// Height over the plan.
    pub plane: Plane,
    /// How its pitch is known.
    pub pitch_basis: Basis,
    /// Whether its heights are known of themselves, so that a difference to its neighbour is a step and no misfit.
    pub steps: bool,
}

/// Puts planes on a plan and reads the edge kinds off. `surfaces` holds one entry a face, in face order.
///
/// Only measured surfaces and those over an outline make steps: between solved ones a difference is a misfit of the drawing.
pub(super) fn assemble(plan: &PlanGraph, surfaces: &[Surface], step_tolerance: f64) -> Roof {
    let measured = |face: Option<FaceId>| face.is_none_or(|f| surfaces[f.index()].pitch_basis == Basis::Measured);
    let steps = |face: Option<FaceId>| face.is_none_or(|f| surfaces[f.index()].steps);
    let plane = |face: FaceId| surfaces[face.index()].plane;
    let edges: Vec<RoofEdge> = plan
        .edges
        .iter()
        .enumerate()
        .map(|(position, edge)| {
            let id = EdgeId::new(position);
            let segment = plan.segment(id);
            let gap = match (edge.left, edge.right) {
                (Some(left), Some(right)) => [segment.a, segment.b]
                    .iter()
                    .map(|&p| (plane(left).height(p) - plane(right).height(p)).abs())
                    .fold(0.0, f64::max),
                _ => 0.0,
            };
            let all_measured = measured(edge.left) && measured(edge.right);
            let kind = match (edge.left, edge.right) {
                (Some(_), Some(_)) if gap > step_tolerance && steps(edge.left) && steps(edge.right) => EdgeKind::Step,
                (Some(left), Some(right)) => fold_kind(segment, plane(left), plane(right)),
                (Some(left), None) => boundary_kind(segment, plane(left)),
                (None, Some(right)) => boundary_kind(Segment2::new(segment.b, segment.a), plane(right)),
                (None, None) => EdgeKind::Unknown,
            };
            RoofEdge {
                id,
                ends: edge.ends,
                left: edge.left,
                right: edge.right,
                kind,
                basis: if all_measured { Basis::Measured } else { Basis::Solved },
                alternatives: Vec::new(),
                margin: f64::INFINITY,
                gap,
                abuts: (kind == EdgeKind::HighEdge).then_some(Abuts::Unknown),
                sources: edge.sources.clone(),
            }
        })
        .collect();
    let faces = plan
        .faces
        .iter()
        .enumerate()
        .map(|(position, face)| RoofFace {
            id: FaceId::new(position),
            roof: face.roof,
            part: PartId(0),
            exterior: face.exterior.clone(),
            holes: face.holes.clone(),
            plane: plane(FaceId::new(position)),
            pitch: plane(FaceId::new(position)).pitch(),
            pitch_basis: surfaces[position].pitch_basis,
        })
        .collect();
    let mut roof = Roof {
        points: plan.nodes.clone(),
        drawn: plan.nodes.clone(),
        faces,
        edges,
        openings: plan.openings.clone(),
        walls: plan.walls.clone(),
        units: plan
            .roofs
            .iter()
            .enumerate()
            .map(|(i, r)| RoofUnit { id: RoofId::new(i), faces: r.faces.clone(), has_heights: r.has_heights })
            .collect(),
        questions: Vec::new(),
    };
    number_parts(&mut roof);
    roof
}

/// Numbers the groups of faces joined by edges that are no steps, in order of their smallest face.
pub(super) fn number_parts(roof: &mut Roof) {
    let mut group: Vec<usize> = (0..roof.faces.len()).collect();
    fn root(group: &mut [usize], mut i: usize) -> usize {
        while group[i] != i {
            group[i] = group[group[i]];
            i = group[i];
        }
        i
    }
    for edge in roof.edges.iter().filter(|e| e.kind != EdgeKind::Step) {
        if let (Some(left), Some(right)) = (edge.left, edge.right) {
            let (a, b) = (root(&mut group, left.index()), root(&mut group, right.index()));
            group[a.max(b)] = a.min(b);
        }
    }
    let mut numbers = std::collections::BTreeMap::new();
    for face in 0..roof.faces.len() {
        let root = root(&mut group, face);
        let next = numbers.len();
        roof.faces[face].part = PartId::new(*numbers.entry(root).or_insert(next));
    }
}

//! Roofs for the unit tests of later stages, built from corners in space.

use super::assemble::{Surface, assemble};
use super::model::{Basis, Roof};
use crate::geometry::{Point2, Point3, Ring, fit_plane};
use crate::index::{EdgeId, FaceId, NodeId, OriginId, RoofId};
use crate::plan::{HalfEdge, PlanEdge, PlanFace, PlanGraph, PlanRoof};
use std::collections::BTreeMap;

/// A plan graph with measured planes from corners and faces (corner numbers, counter-clockwise in plan).
pub(crate) fn plan_of(corners: &[Point3], faces: &[&[usize]]) -> PlanGraph {
    let mut pairs: BTreeMap<(usize, usize), PlanEdge> = BTreeMap::new();
    for (face, ring) in faces.iter().enumerate() {
        for (i, &from) in ring.iter().enumerate() {
            let to = ring[(i + 1) % ring.len()];
            let edge = pairs.entry((from.min(to), from.max(to))).or_insert_with(|| PlanEdge {
                ends: [NodeId::new(from.min(to)), NodeId::new(from.max(to))],
                left: None,
                right: None,
                sources: vec![OriginId(0)],
            });
            let side = if from < to { &mut edge.left } else { &mut edge.right };
            assert!(side.replace(FaceId::new(face)).is_none(), "two faces on one side of an edge");
        }
    }
    let ids: BTreeMap<(usize, usize), EdgeId> = pairs.keys().enumerate().map(|(i, &k)| (k, EdgeId::new(i))).collect();
    let plan_faces = faces
        .iter()
        .map(|ring| {
            let corner_points: Vec<Point3> = ring.iter().map(|&i| corners[i]).collect();
            let plan_ring = Ring::new(corner_points.iter().map(|p| p.plan()).collect());
            assert!(plan_ring.signed_area() > 0.0, "fixture face is clockwise");
            let (plane, miss) = fit_plane(&corner_points).expect("fixture face is a wall");
            assert!(miss < 1e-6, "fixture face is not flat: {miss}");
            PlanFace {
                roof: RoofId(0),
                exterior: (0..ring.len())
                    .map(|i| {
                        let (from, to) = (ring[i], ring[(i + 1) % ring.len()]);
                        HalfEdge { edge: ids[&(from.min(to), from.max(to))], forward: from < to }
                    })
                    .collect(),
                holes: Vec::new(),
                plane: Some(plane),
            }
        })
        .collect();
    PlanGraph {
        nodes: corners.iter().map(|p| p.plan()).collect::<Vec<Point2>>(),
        edges: pairs.into_values().collect(),
        faces: plan_faces,
        roofs: vec![PlanRoof {
            faces: (0..faces.len()).map(FaceId::new).collect(),
            outline_only: false,
            has_heights: true,
        }],
        ..PlanGraph::default()
    }
}

/// The roof over [`plan_of`].
pub(crate) fn roof_of(corners: &[Point3], faces: &[&[usize]]) -> Roof {
    let plan = plan_of(corners, faces);
    let surfaces: Vec<Surface> = plan
        .faces
        .iter()
        .map(|f| Surface { plane: f.plane.expect("measured"), pitch_basis: Basis::Measured, steps: true })
        .collect();
    assemble(&plan, &surfaces, 2.0)
}

/// A gable `length` by `width` inches with its ridge along x; F1 faces -y, F2 faces +y.
pub(crate) fn gable(length: f64, width: f64, pitch: f64) -> Roof {
    let (half, rise) = (width / 2.0, width / 2.0 * pitch);
    roof_of(
        &[
            Point3::new(0.0, 0.0, 0.0),
            Point3::new(length, 0.0, 0.0),
            Point3::new(0.0, half, rise),
            Point3::new(length, half, rise),
            Point3::new(0.0, width, 0.0),
            Point3::new(length, width, 0.0),
        ],
        &[&[0, 1, 3, 2], &[2, 3, 5, 4]],
    )
}

/// An L at 6:12: main wing 480 x 288 in along x, second wing 240 wide running 192 in towards -y from its right end.
/// Hips at every outer corner, one valley at the inner corner.
pub(crate) fn hipped_l() -> Roof {
    let (p, w, d) = (0.5, 480.0, 288.0);
    let second = 240.0;
    let z = |run: f64| run * p;
    // Corners: outline 0..5 counter-clockwise from the second wing's lower left, then ridge points.
    roof_of(
        &[
            Point3::new(w - second, -192.0, 0.0),           // 0
            Point3::new(w, -192.0, 0.0),                    // 1
            Point3::new(w, d, 0.0),                         // 2
            Point3::new(0.0, d, 0.0),                       // 3
            Point3::new(0.0, 0.0, 0.0),                     // 4
            Point3::new(w - second, 0.0, 0.0),              // 5 inner corner
            Point3::new(w - second / 2.0, -72.0, z(120.0)), // 6 lower end of the second ridge
            Point3::new(w - second / 2.0, 120.0, z(120.0)), // 7 second ridge meets the valley
            Point3::new(w - 144.0, 144.0, z(144.0)),        // 8 right end of the main ridge
            Point3::new(144.0, 144.0, z(144.0)),            // 9 left end of the main ridge
        ],
        &[
            &[0, 1, 6],       // F1 hip end of the second wing
            &[1, 2, 8, 7, 6], // F2 right side
            &[2, 3, 9, 8],    // F3 back
            &[3, 4, 9],       // F4 left hip end
            &[4, 5, 7, 8, 9], // F5 front of the main wing, left of the valley
            &[5, 0, 6, 7],    // F6 left side of the second wing
        ],
    )
}

/// Puts a skylight with these plan corners on one face.
pub(crate) fn add_skylight(roof: &mut Roof, face: FaceId, low: Point2, high: Point2) {
    let corners = vec![low, Point2::new(high.x, low.y), high, Point2::new(low.x, high.y)];
    let outline = crate::geometry::Region::simple(corners);
    roof.openings.push(crate::plan::PlanOpening {
        id: crate::index::OpeningId::new(roof.openings.len()),
        kind: crate::import::OpeningKind::Skylight,
        outline: outline.clone(),
        parts: vec![(face, outline)],
        origin: OriginId(0),
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::EdgeKind;

    fn count(roof: &Roof, kind: EdgeKind) -> usize {
        roof.edges.iter().filter(|e| e.kind == kind).count()
    }

    #[test]
    fn a_gable_has_two_eaves_four_rakes_and_a_ridge() {
        let roof = gable(480.0, 288.0, 0.5);
        assert_eq!([EdgeKind::Eave, EdgeKind::Rake, EdgeKind::Ridge].map(|k| count(&roof, k)), [2, 4, 1]);
    }

    #[test]
    fn the_hipped_l_has_one_valley() {
        let roof = hipped_l();
        assert_eq!(count(&roof, EdgeKind::Eave), 6);
        assert_eq!(count(&roof, EdgeKind::Valley), 1, "{:?}", roof.edges.iter().map(|e| e.kind).collect::<Vec<_>>());
        assert_eq!(count(&roof, EdgeKind::Ridge), 2);
        assert!(roof.edges.iter().all(|e| e.gap < 1e-9));
    }
}

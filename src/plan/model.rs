//! The roof plan as a graph: nodes, edges and the faces they bound.

use crate::geometry::{Plane, Point2, Region, Segment2, Vector2};
use crate::import::OpeningKind;
use crate::index::{EdgeId, FaceId, NodeId, OpeningId, OriginId, RoofId};
use serde::Serialize;

/// A directed use of an edge. Walking it, the face it bounds lies to the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct HalfEdge {
    /// The edge walked.
    pub edge: EdgeId,
    /// Whether it is walked from `ends[0]` to `ends[1]`.
    pub forward: bool,
}

/// A straight edge between two nodes with nothing crossing it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanEdge {
    /// Its two ends, the smaller id first.
    pub ends: [NodeId; 2],
    /// The face to the left, walking from `ends[0]` to `ends[1]`; none is outside the roof or in a courtyard.
    pub left: Option<FaceId>,
    /// The face to the right.
    pub right: Option<FaceId>,
    /// The drawn entities it lies on; never empty.
    pub sources: Vec<OriginId>,
}

/// A bounded face of the plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanFace {
    /// Which roof it belongs to.
    pub roof: RoofId,
    /// Counter-clockwise.
    pub exterior: Vec<HalfEdge>,
    /// Clockwise each (a courtyard, or another face wholly inside).
    pub holes: Vec<Vec<HalfEdge>>,
    /// The plane, when the drawing has heights; then `measured`.
    pub plane: Option<Plane>,
}

/// One connected roof.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanRoof {
    /// Its faces, rising.
    pub faces: Vec<FaceId>,
    /// Whether the drawing gave only the outline: one face and no inner line.
    pub outline_only: bool,
    /// Whether every face has a plane from the drawing.
    pub has_heights: bool,
}

/// A note that says something about a face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlacedNote {
    /// The face it stands in.
    pub face: FaceId,
    /// Rise per run.
    pub pitch: f64,
    /// As written.
    pub text: String,
    /// Where it stands.
    pub at: Point2,
    /// Where it was drawn.
    pub origin: OriginId,
}

/// A slope arrow placed in a face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlacedArrow {
    /// The face it stands in.
    pub face: FaceId,
    /// Downhill in plan, length 1.
    pub downhill: Vector2,
    /// Where it was drawn.
    pub origin: OriginId,
}

/// A skylight, chimney, vent or hatch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanOpening {
    /// Its id.
    pub id: OpeningId,
    /// What it is.
    pub kind: OpeningKind,
    /// Its whole outline as drawn.
    pub outline: Region,
    /// The part on each face it lies on, in face order.
    pub parts: Vec<(FaceId, Region)>,
    /// Where it was drawn.
    pub origin: OriginId,
}

/// The plan: from here on sameness is equality of ids.
///
/// # Invariants
/// Edges meet only at nodes; faces of one roof tile its outline; every half-edge of a face names it as left or right.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct PlanGraph {
    /// Points, inches, in (roof, y, x) order.
    pub nodes: Vec<Point2>,
    /// Edges in order of their ends.
    pub edges: Vec<PlanEdge>,
    /// Faces in order of roof and lowest node.
    pub faces: Vec<PlanFace>,
    /// Roofs left to right, then bottom to top.
    pub roofs: Vec<PlanRoof>,
    /// Pitch notes.
    pub notes: Vec<PlacedNote>,
    /// Slope arrows.
    pub arrows: Vec<PlacedArrow>,
    /// Openings.
    pub openings: Vec<PlanOpening>,
    /// Exterior wall lines drawn under the roof.
    pub walls: Vec<Segment2>,
}

impl PlanGraph {
    /// The nodes along a loop, each half-edge giving its start.
    #[must_use]
    pub fn loop_nodes(&self, half_edges: &[HalfEdge]) -> Vec<NodeId> {
        half_edges.iter().map(|h| self.edges[h.edge.index()].ends[usize::from(!h.forward)]).collect()
    }

    /// A face as a region.
    #[must_use]
    pub fn region(&self, face: FaceId) -> Region {
        let ring = |half_edges: &[HalfEdge]| {
            crate::geometry::Ring::new(self.loop_nodes(half_edges).iter().map(|n| self.nodes[n.index()]).collect())
        };
        let face = &self.faces[face.index()];
        Region { exterior: ring(&face.exterior), holes: face.holes.iter().map(|h| ring(h)).collect() }
    }

    /// An edge as a segment from `ends[0]` to `ends[1]`.
    #[must_use]
    pub fn segment(&self, edge: EdgeId) -> Segment2 {
        let [a, b] = self.edges[edge.index()].ends;
        Segment2::new(self.nodes[a.index()], self.nodes[b.index()])
    }
}

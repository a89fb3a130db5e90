//! The roof: planes, edge kinds, and how sure each of them is.

use crate::geometry::{Plane, Point2, Point3, Region, Segment2, Vector2};
use crate::index::{EdgeId, FaceId, NodeId, OriginId, PartId, RoofId};
use crate::plan::{HalfEdge, PlanOpening};
use crate::terms::EdgeKind;
use schemars::JsonSchema;
use serde::Serialize;

/// How a value is known, from best to worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// From heights in the drawing.
    Measured,
    /// Said by the job file or a note of the drawing.
    Set,
    /// The only answer the linework allows.
    Solved,
    /// A convention; to be verified in the field.
    Assumed,
    /// More than one answer fits.
    Ambiguous,
}

/// What stands behind a high edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Abuts {
    /// A wall.
    Wall,
    /// Open air.
    Open,
    /// Nothing says.
    Unknown,
}

/// One face with its plane.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoofFace {
    /// Its id, the same as in the plan.
    pub id: FaceId,
    /// Which roof.
    pub roof: RoofId,
    /// Which step-free part.
    pub part: PartId,
    /// Counter-clockwise loop of directed edges.
    pub exterior: Vec<HalfEdge>,
    /// Clockwise loops.
    pub holes: Vec<Vec<HalfEdge>>,
    /// Height over the plan, inches.
    pub plane: Plane,
    /// Rise per run.
    pub pitch: f64,
    /// How the pitch is known.
    pub pitch_basis: Basis,
}

/// One edge with its kind.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoofEdge {
    /// Its id, the same as in the plan.
    pub id: EdgeId,
    /// Its ends.
    pub ends: [NodeId; 2],
    /// The face to the left, from `ends[0]` to `ends[1]`.
    pub left: Option<FaceId>,
    /// The face to the right.
    pub right: Option<FaceId>,
    /// What it is.
    pub kind: EdgeKind,
    /// How the kind is known.
    pub basis: Basis,
    /// Other kinds that fit, likeliest first; empty unless ambiguous.
    pub alternatives: Vec<EdgeKind>,
    /// Energy by which the best answer with another kind here is worse; infinite when measured or set, or when none came near.
    pub margin: f64,
    /// Largest height difference between its two sides, inches: 0 for a fold, more than the step tolerance for a step.
    pub gap: f64,
    /// What a high edge stands against.
    pub abuts: Option<Abuts>,
    /// The drawn entities it lies on.
    pub sources: Vec<OriginId>,
}

/// One consistent answer for a part of the roof.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lifting {
    /// A plane for each face of the part.
    pub planes: Vec<(FaceId, Plane)>,
    /// The kind of each edge of the part.
    pub kinds: Vec<(EdgeId, EdgeKind)>,
    /// What the answer costs; see the roof stage for its terms.
    pub energy: f64,
}

/// One way to answer a question.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnswerOption {
    /// In words: `E4 is a rake, F2 falls to E7`.
    pub words: String,
    /// The whole roof that follows.
    pub lifting: Lifting,
}

/// Something the drawing leaves open: all edges that one answer settles.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Question {
    /// The edges that hang on it.
    pub edges: Vec<EdgeId>,
    /// The question in words, with the hint that settles it.
    pub words: String,
    /// Answers, the likeliest first.
    pub options: Vec<AnswerOption>,
}

/// One connected roof.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoofUnit {
    /// Its id.
    pub id: RoofId,
    /// Its faces.
    pub faces: Vec<FaceId>,
    /// Whether heights came from the drawing; otherwise z is relative to the lowest eave.
    pub has_heights: bool,
}

/// All roofs of a drawing with heights, kinds and open questions. Ids are those of the plan.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Roof {
    /// Plan points, inches.
    pub points: Vec<Point2>,
    /// The same points as drawn, before an outline drawn at walls or fascia was moved out: what a hint's point is compared with.
    pub drawn: Vec<Point2>,
    /// Faces.
    pub faces: Vec<RoofFace>,
    /// Edges.
    pub edges: Vec<RoofEdge>,
    /// Openings, each clipped to the faces it lies on.
    pub openings: Vec<PlanOpening>,
    /// Exterior wall lines drawn under the roof.
    pub walls: Vec<Segment2>,
    /// Connected roofs.
    pub units: Vec<RoofUnit>,
    /// What the drawing leaves open.
    pub questions: Vec<Question>,
}

impl Roof {
    /// A face by id.
    #[must_use]
    pub fn face(&self, id: FaceId) -> &RoofFace {
        &self.faces[id.index()]
    }

    /// An edge by id.
    #[must_use]
    pub fn edge(&self, id: EdgeId) -> &RoofEdge {
        &self.edges[id.index()]
    }

    /// An edge in plan from `ends[0]` to `ends[1]`.
    #[must_use]
    pub fn segment(&self, id: EdgeId) -> Segment2 {
        let [a, b] = self.edges[id.index()].ends;
        Segment2::new(self.points[a.index()], self.points[b.index()])
    }

    /// The start node of a half-edge.
    #[must_use]
    pub fn start(&self, half: HalfEdge) -> NodeId {
        self.edges[half.edge.index()].ends[usize::from(!half.forward)]
    }

    /// A half-edge in plan, walked so that its face lies to the left.
    #[must_use]
    pub fn directed(&self, half: HalfEdge) -> Segment2 {
        let s = self.segment(half.edge);
        if half.forward { s } else { Segment2::new(s.b, s.a) }
    }

    /// A face as a plan region.
    #[must_use]
    pub fn region(&self, id: FaceId) -> Region {
        let ring = |half_edges: &[HalfEdge]| {
            crate::geometry::Ring::new(half_edges.iter().map(|&h| self.points[self.start(h).index()]).collect())
        };
        let face = self.face(id);
        Region { exterior: ring(&face.exterior), holes: face.holes.iter().map(|h| ring(h)).collect() }
    }

    /// The point of a face's surface over a node.
    #[must_use]
    pub fn corner(&self, face: FaceId, node: NodeId) -> Point3 {
        self.face(face).plane.lift(self.points[node.index()])
    }

    /// The faces of an edge, left first.
    pub fn sides(&self, id: EdgeId) -> impl Iterator<Item = FaceId> {
        let edge = &self.edges[id.index()];
        edge.left.into_iter().chain(edge.right)
    }

    /// The face beyond `edge` as seen from `face`.
    #[must_use]
    pub fn across(&self, edge: EdgeId, face: FaceId) -> Option<FaceId> {
        let edge = &self.edges[edge.index()];
        if edge.left == Some(face) { edge.right } else { edge.left }
    }

    /// Downhill in plan, length 1; `None` on a flat face.
    #[must_use]
    pub fn downhill(&self, face: FaceId) -> Option<Vector2> {
        self.face(face).plane.uphill_gradient().unit().map(|v| -v)
    }

    /// True length of an edge on the surface (on its left face, else its right).
    #[must_use]
    pub fn slope_length(&self, id: EdgeId) -> f64 {
        let edge = self.edge(id);
        self.sides(id).next().map_or_else(
            || self.segment(id).length(),
            |face| self.corner(face, edge.ends[0]).distance(self.corner(face, edge.ends[1])),
        )
    }
}

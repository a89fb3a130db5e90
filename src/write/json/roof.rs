//! The roof part of the JSON, shared by `inspect --json` and `N.json`.

use crate::finding::Finding;
use crate::geometry::{Plane, Point2, Point3};
use crate::import::{Candidate, EntityCount, Linework, OpeningKind, SourceFrame};
use crate::index::{EdgeId, FaceId, OpeningId, PartId, RoofId};
use crate::plan::HalfEdge;
use crate::roof::{Abuts, Basis, Question, Roof, RoofEdge, RoofFace, RoofUnit};
use crate::terms::EdgeKind;
use crate::units::DrawingUnit;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// Sides of an edge that differ by more than this, in inches, are both given. Heights are kept to 2^-16 in, so less is rounding.
const SAME_HEIGHT: f64 = 0.001;

/// What was read from the file.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DrawingJson {
    /// `$ACADVER`, or what was assumed.
    pub version: String,
    /// The code page texts were decoded with.
    pub code_page: String,
    /// The unit the header names; absent when it names none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub units: Option<DrawingUnit>,
    /// How the unit in use was decided.
    pub units_evidence: String,
    /// Counts by entity kind: `seen = used + not_roof + refused`.
    pub entities: BTreeMap<String, EntityCount>,
    /// What could have been the roof, the chosen one first.
    pub candidates: Vec<Candidate>,
}

/// One roof face. Points are in drawing coordinates.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FaceJson {
    /// Its id.
    pub id: FaceId,
    /// The piece without steps it belongs to.
    pub part: PartId,
    /// Rise per run: 0.5 is 6:12.
    pub pitch: f64,
    /// How the pitch is known.
    pub pitch_basis: Basis,
    /// Height over the plan, `z = a x + b y + c`, in drawing coordinates.
    pub plane: Plane,
    /// Corners counter-clockwise in plan, the first not repeated.
    pub ring: Vec<Point3>,
    /// Courtyards and faces inside, each clockwise.
    pub holes: Vec<Vec<Point3>>,
}

/// One roof edge. Points are in drawing coordinates, lengths in inches.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct EdgeJson {
    /// Its id.
    pub id: EdgeId,
    /// What it is.
    pub kind: EdgeKind,
    /// How the kind is known.
    pub basis: Basis,
    /// Other kinds that fit, likeliest first.
    pub alternatives: Vec<EdgeKind>,
    /// Start, on the face to the left, or to the right when there is none.
    pub a: Point3,
    /// End, on the same face.
    pub b: Point3,
    /// Start on the face to the right, where the two sides differ in height.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub a2: Option<Point3>,
    /// End on the face to the right, where the two sides differ in height.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub b2: Option<Point3>,
    /// True length on the surface, inches.
    pub slope_length: f64,
    /// The faces it bounds, the one to the left first.
    pub faces: Vec<FaceId>,
    /// Largest height difference between its sides, inches.
    pub gap: f64,
    /// By how much the best answer with another kind here is worse; absent when the kind was measured or set.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<f64>,
    /// What a high edge stands against.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub abuts: Option<Abuts>,
    /// Handles of the drawn entities it lies on, as far as the drawing has them.
    pub handles: Vec<String>,
}

/// A skylight, chimney, vent or hatch, in drawing coordinates.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OpeningJson {
    /// Its id.
    pub id: OpeningId,
    /// What it is.
    pub kind: OpeningKind,
    /// Its outline as drawn.
    pub outline: Vec<Point2>,
    /// The faces it lies on.
    pub faces: Vec<FaceId>,
}

/// One way to answer a question.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OptionJson {
    /// In words.
    pub words: String,
    /// The kind each edge of the question would have.
    pub kinds: BTreeMap<String, EdgeKind>,
}

/// Something the drawing leaves open.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct QuestionJson {
    /// The edges that hang on it.
    pub edges: Vec<EdgeId>,
    /// The question with the hint that settles it.
    pub words: String,
    /// Answers, the likeliest first.
    pub options: Vec<OptionJson>,
}

/// One connected roof.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RoofJson {
    /// Its id.
    pub id: RoofId,
    /// Whether heights came from the drawing; otherwise z is relative to the lowest eave.
    pub has_heights: bool,
    /// Its faces.
    pub faces: Vec<FaceJson>,
    /// Its edges.
    pub edges: Vec<EdgeJson>,
    /// What stands in its faces.
    pub openings: Vec<OpeningJson>,
    /// What the drawing leaves open.
    pub questions: Vec<QuestionJson>,
}

/// The answer of `inspect --json`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct InspectJson {
    /// What was read.
    pub drawing: DrawingJson,
    /// The unit in use: of all points below.
    pub units: DrawingUnit,
    /// Inches in one of that unit.
    pub inches_per_unit: f64,
    /// The roofs, left to right.
    pub roofs: Vec<RoofJson>,
    /// What a person must know; places are in drawing coordinates.
    pub findings: Vec<Finding>,
}

/// What was read and how sure it is, in drawing coordinates.
#[must_use]
pub fn inspect_json(linework: &Linework, roof: &Roof, findings: &[Finding]) -> InspectJson {
    InspectJson {
        drawing: drawing_json(linework),
        units: linework.frame.units,
        inches_per_unit: linework.frame.inches_per_unit,
        roofs: roofs_json(linework, roof),
        findings: findings_in_drawing(&linework.frame, findings),
    }
}

/// What was read from the file.
pub(super) fn drawing_json(linework: &Linework) -> DrawingJson {
    let report = &linework.drawing;
    DrawingJson {
        version: report.version.clone(),
        code_page: report.code_page.clone(),
        units: report.header_units,
        units_evidence: report.units_evidence.clone(),
        entities: report.entities.clone(),
        candidates: report.candidates.clone(),
    }
}

/// All roofs in drawing coordinates.
pub(super) fn roofs_json(linework: &Linework, roof: &Roof) -> Vec<RoofJson> {
    roof.units.iter().map(|unit| Writer { linework, roof, datum: Datum::of(unit) }.unit(unit)).collect()
}

/// Findings with their points in drawing coordinates.
pub(super) fn findings_in_drawing(frame: &SourceFrame, findings: &[Finding]) -> Vec<Finding> {
    let moved = |finding: &Finding| {
        let mut finding = finding.clone();
        finding.place.at = finding.place.at.map(|p| frame.plan_to_drawing(p));
        finding
    };
    findings.iter().map(moved).collect()
}

/// What z counts from.
#[derive(Debug, Clone, Copy)]
pub(super) enum Datum {
    /// The drawing's own zero.
    Drawing,
    /// The lowest eave, for drawings without heights.
    LowestEave,
}

impl Datum {
    /// The datum of a roof.
    pub(super) fn of(unit: &RoofUnit) -> Self {
        if unit.has_heights { Self::Drawing } else { Self::LowestEave }
    }

    /// A working point in drawing coordinates.
    pub(super) fn to_drawing(self, frame: &SourceFrame, p: Point3) -> Point3 {
        let drawn = frame.to_drawing(p);
        match self {
            Self::Drawing => drawn,
            Self::LowestEave => Point3::new(drawn.x, drawn.y, p.z / frame.inches_per_unit),
        }
    }
}

struct Writer<'a> {
    linework: &'a Linework,
    roof: &'a Roof,
    datum: Datum,
}

impl Writer<'_> {
    fn unit(&self, unit: &RoofUnit) -> RoofJson {
        let mine = |face: FaceId| self.roof.face(face).roof == unit.id;
        let edge_is_mine = |edge: EdgeId| self.roof.sides(edge).next().is_some_and(mine);
        RoofJson {
            id: unit.id,
            has_heights: unit.has_heights,
            faces: unit.faces.iter().map(|&id| self.face(self.roof.face(id))).collect(),
            edges: self.roof.edges.iter().filter(|e| edge_is_mine(e.id)).map(|e| self.edge(e)).collect(),
            openings: self.openings(mine),
            questions: self
                .roof
                .questions
                .iter()
                .filter(|q| q.edges.iter().any(|&e| edge_is_mine(e)))
                .map(question)
                .collect(),
        }
    }

    fn face(&self, face: &RoofFace) -> FaceJson {
        let ring = |half_edges: &[HalfEdge]| {
            half_edges.iter().map(|&h| self.drawn(self.roof.corner(face.id, self.roof.start(h)))).collect()
        };
        // The plane at the drawing's origin: z = z0 + a (x - x0) + b (y - y0) through any point of it.
        let foot = self.drawn(face.plane.lift(Point2::new(0.0, 0.0)));
        let Plane { a, b, .. } = face.plane;
        FaceJson {
            id: face.id,
            part: face.part,
            pitch: face.pitch,
            pitch_basis: face.pitch_basis,
            plane: Plane { a, b, c: foot.z - a * foot.x - b * foot.y },
            ring: ring(&face.exterior),
            holes: face.holes.iter().map(|h| ring(h)).collect(),
        }
    }

    fn edge(&self, edge: &RoofEdge) -> EdgeJson {
        let faces: Vec<FaceId> = self.roof.sides(edge.id).collect();
        let end = |face: FaceId, which: usize| self.roof.corner(face, edge.ends[which]);
        // Every edge of a roof bounds a face: the caller filtered by it.
        let (a, b) = (end(faces[0], 0), end(faces[0], 1));
        let other = match (edge.left, edge.right) {
            (Some(_), Some(right)) => Some((end(right, 0), end(right, 1))),
            _ => None,
        }
        .filter(|(a2, b2)| (a.z - a2.z).abs() > SAME_HEIGHT || (b.z - b2.z).abs() > SAME_HEIGHT);
        let handle = |origin: &crate::index::OriginId| self.linework.origins.get(origin.index())?.handle.clone();
        EdgeJson {
            id: edge.id,
            kind: edge.kind,
            basis: edge.basis,
            alternatives: edge.alternatives.clone(),
            a: self.drawn(a),
            b: self.drawn(b),
            a2: other.map(|(a2, _)| self.drawn(a2)),
            b2: other.map(|(_, b2)| self.drawn(b2)),
            slope_length: self.roof.slope_length(edge.id),
            faces,
            gap: edge.gap,
            margin: edge.margin.is_finite().then_some(edge.margin),
            abuts: edge.abuts,
            handles: edge.sources.iter().filter_map(handle).collect(),
        }
    }

    fn openings(&self, mine: impl Fn(FaceId) -> bool) -> Vec<OpeningJson> {
        let frame = &self.linework.frame;
        self.roof
            .openings
            .iter()
            .filter(|o| o.parts.first().is_some_and(|part| mine(part.0)))
            .map(|o| OpeningJson {
                id: o.id,
                kind: o.kind,
                outline: o.outline.exterior.points.iter().map(|&p| frame.plan_to_drawing(p)).collect(),
                faces: o.parts.iter().map(|part| part.0).collect(),
            })
            .collect()
    }

    fn drawn(&self, p: Point3) -> Point3 {
        self.datum.to_drawing(&self.linework.frame, p)
    }
}

fn question(question: &Question) -> QuestionJson {
    let kinds = |option: &crate::roof::AnswerOption| {
        option
            .lifting
            .kinds
            .iter()
            .filter(|(edge, _)| question.edges.contains(edge))
            .map(|(edge, kind)| (edge.to_string(), *kind))
            .collect()
    };
    QuestionJson {
        edges: question.edges.clone(),
        words: question.words.clone(),
        options: question
            .options
            .iter()
            .map(|option| OptionJson { words: option.words.clone(), kinds: kinds(option) })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::json_bytes;
    use super::*;
    use crate::finding::{Place, Severity};
    use crate::roof::fixtures::gable;
    use crate::write::project_fixture::linework;

    /// Gable 40 ft by 24 ft at 6:12: the ridge stands 6 ft over the eave; a rake is sqrt(12^2 + 6^2) ft = 160.997 in.
    #[test]
    fn a_gable_in_feet_comes_back_in_feet() {
        let roof = gable(480.0, 288.0, 0.5);
        let finding = Finding::new(Severity::Note, "test", "a test", Place::at(Point2::new(12.0, 24.0)));
        let answer = inspect_json(&linework(), &roof, &[finding]);
        let [unit] = answer.roofs.as_slice() else { panic!("one roof") };
        assert_eq!((unit.faces.len(), unit.edges.len()), (2, 7));
        let ridge = unit.edges.iter().find(|e| e.kind == EdgeKind::Ridge).unwrap();
        assert_eq!((ridge.a, ridge.b), (Point3::new(1000.0, 2012.0, 16.0), Point3::new(1040.0, 2012.0, 16.0)));
        assert_eq!(ridge.faces.len(), 2);
        assert!(ridge.a2.is_none() && ridge.margin.is_none_or(f64::is_finite));
        let rake = unit.edges.iter().find(|e| e.kind == EdgeKind::Rake).unwrap();
        assert!((rake.slope_length - 160.996_894).abs() < 1e-6, "{}", rake.slope_length);
        assert_eq!(rake.handles, ["2A"]);
        for face in &unit.faces {
            for corner in &face.ring {
                assert!((face.plane.height(corner.plan()) - corner.z).abs() < 1e-9, "the plane holds its corners");
            }
        }
        assert_eq!(answer.findings[0].place.at, Some(Point2::new(1001.0, 2002.0)));
    }

    #[test]
    fn without_heights_z_counts_from_the_lowest_eave() {
        let mut roof = gable(480.0, 288.0, 0.5);
        roof.units[0].has_heights = false;
        let answer = inspect_json(&linework(), &roof, &[]);
        let ridge = answer.roofs[0].edges.iter().find(|e| e.kind == EdgeKind::Ridge).unwrap();
        assert_eq!(ridge.a.z, 6.0);
    }

    /// A face raised by 30 in makes the ridge a step: both sides are given.
    #[test]
    fn a_step_shows_both_sides() {
        let mut roof = gable(480.0, 288.0, 0.5);
        roof.faces[1].plane.c += 30.0;
        let answer = inspect_json(&linework(), &roof, &[]);
        let ridge = answer.roofs[0].edges.iter().find(|e| e.faces.len() == 2).unwrap();
        let (a2, b2) = (ridge.a2.unwrap(), ridge.b2.unwrap());
        assert_eq!(((a2.z - ridge.a.z).abs(), (b2.z - ridge.b.z).abs()), (2.5, 2.5));
    }

    #[test]
    fn an_infinite_margin_is_left_out_of_the_bytes() {
        let mut roof = gable(480.0, 288.0, 0.5);
        roof.edges[0].margin = f64::INFINITY;
        roof.edges[1].margin = 0.25;
        let answer = inspect_json(&linework(), &roof, &[]);
        let text = String::from_utf8(json_bytes(&answer).unwrap()).unwrap();
        assert!(!text.contains("null") && text.contains("\"margin\": 0.25"));
        assert_eq!(answer.roofs[0].edges[0].margin, None);
    }
}

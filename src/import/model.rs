//! What is left of a drawing once units, blocks, curves and layers are resolved.

use crate::geometry::{Point2, Point3, Segment2};
use crate::index::{OriginId, PathId};
use crate::units::DrawingUnit;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// The way back to drawing coordinates: `drawing = origin + working / inches_per_unit`.
///
/// Travels unchanged from `import` to the overlay and the JSON; nothing else converts back.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SourceFrame {
    /// The drawing's unit.
    pub units: DrawingUnit,
    /// Inches in one drawing unit.
    pub inches_per_unit: f64,
    /// The drawing point that is the origin of the working frame, in drawing units. Chosen so that subtracting it is exact.
    pub origin: Point3,
}

impl SourceFrame {
    /// A drawing point to inches in the working frame.
    #[must_use]
    pub fn to_working(&self, p: Point3) -> Point3 {
        let k = self.inches_per_unit;
        Point3::new((p.x - self.origin.x) * k, (p.y - self.origin.y) * k, (p.z - self.origin.z) * k)
    }

    /// Inches in the working frame to a drawing point.
    #[must_use]
    pub fn to_drawing(&self, p: Point3) -> Point3 {
        let k = self.inches_per_unit;
        Point3::new(self.origin.x + p.x / k, self.origin.y + p.y / k, self.origin.z + p.z / k)
    }

    /// The plan part of [`Self::to_drawing`].
    #[must_use]
    pub fn plan_to_drawing(&self, p: Point2) -> Point2 {
        self.to_drawing(p.at_height(0.0)).plan()
    }
}

/// What an opening is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OpeningKind {
    /// A skylight or roof window.
    Skylight,
    /// A chimney.
    Chimney,
    /// A vent, pipe or fan.
    Vent,
    /// A roof hatch.
    Hatch,
    /// A closed figure nobody named.
    Unknown,
}

/// What a path of the drawing is to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Part of the roof: outline, ridge, hip, valley.
    Roof,
    /// The outline of an opening, by its layer or block name.
    Opening(OpeningKind),
    /// An exterior wall under the roof.
    Wall,
    /// Neither; kept for `inspect` only.
    Other,
}

/// Where something was drawn, for messages and for tracing a segment back to its source.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Origin {
    /// Entity kind as in the file: `LWPOLYLINE`.
    pub entity: String,
    /// Handle, hexadecimal, if the file has one.
    pub handle: Option<String>,
    /// Layer after block inheritance.
    pub layer: String,
    /// Block names, outermost first; empty in model space.
    pub block_path: Vec<String>,
    /// Line of the file where the entity starts, from one (for binary files the byte offset).
    pub line: usize,
}

/// One entity as straight pieces in the working frame, curves flattened to a chord error of 1/16 in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Path {
    /// Its id.
    pub id: PathId,
    /// At least two points, inches; the first is not repeated at the end of a closed path.
    pub points: Vec<Point3>,
    /// Whether the last point joins the first.
    pub closed: bool,
    /// What it is to us.
    pub role: Role,
    /// Where it was drawn.
    pub origin: OriginId,
    /// Paths that came from one block reference in model space share a number; loose entities have none.
    pub group: Option<u32>,
}

/// A flat 3D facet (3DFACE, polyface, mesh): three or more corners in the working frame. Vertical ones are walls.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Facet {
    /// Corners in order, inches.
    pub points: Vec<Point3>,
    /// Where it was drawn.
    pub origin: OriginId,
}

/// A text of the drawing, decoded to plain characters, one entry a line of text.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Note {
    /// The characters.
    pub text: String,
    /// Middle of the text, inches.
    pub at: Point2,
    /// Text height, inches.
    pub height: f64,
    /// Where it was drawn.
    pub origin: OriginId,
}

/// An arrow whose head points down the slope.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Arrow {
    /// Where it starts.
    pub tail: Point2,
    /// Where it points.
    pub head: Point2,
    /// Where it was drawn.
    pub origin: OriginId,
}

/// How many entities of a kind were met and what became of them: `seen = used + not_roof + refused`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct EntityCount {
    /// Entities in the drawing, in blocks counted once a definition.
    pub seen: usize,
    /// Gave linework, notes, arrows or facets to the chosen roof.
    pub used: usize,
    /// Read, and not part of the roof.
    pub not_roof: usize,
    /// Could not be read; each has a finding.
    pub refused: usize,
}

/// A figure that could be the roof.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Candidate {
    /// Why it was considered: `layer A-ROOF`, `largest closed figure`.
    pub words: String,
    /// Area of its box in square inches.
    pub area: f64,
    /// How many paths it has.
    pub paths: usize,
    /// Whether it was taken.
    pub chosen: bool,
}

/// What was read, for `inspect`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrawingReport {
    /// `$ACADVER`, or what was assumed.
    pub version: String,
    /// The code page texts were decoded with.
    pub code_page: String,
    /// The unit the header names, if any.
    pub header_units: Option<DrawingUnit>,
    /// How the unit was decided, in words.
    pub units_evidence: String,
    /// Counts by entity kind, in name order.
    pub entities: BTreeMap<String, EntityCount>,
    /// What could have been the roof, the chosen one first.
    pub candidates: Vec<Candidate>,
}

/// The drawing with no blocks, curves, units or layers left in it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Linework {
    /// The way back to drawing coordinates.
    pub frame: SourceFrame,
    /// What was read.
    pub drawing: DrawingReport,
    /// Everything that may bound a face, an opening or a wall; sorted by place, so entity order does not matter.
    pub paths: Vec<Path>,
    /// 3D facets of the roof.
    pub facets: Vec<Facet>,
    /// Texts on or near the roof.
    pub notes: Vec<Note>,
    /// Slope arrows.
    pub arrows: Vec<Arrow>,
    /// Where each path, facet, note and arrow was drawn.
    pub origins: Vec<Origin>,
}

impl Path {
    /// The straight pieces in plan, the closing one last.
    pub fn plan_segments(&self) -> impl Iterator<Item = Segment2> + '_ {
        let count = self.points.len();
        let pieces = if self.closed { count } else { count.saturating_sub(1) };
        (0..pieces).map(move |i| Segment2::new(self.points[i].plan(), self.points[(i + 1) % count].plan()))
    }
}

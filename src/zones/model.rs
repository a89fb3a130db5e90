//! Where heat goes, and the keep-outs that bound it.

use crate::geometry::{FaceFrame, Interval, Point2, Region};
use crate::index::{EdgeId, FaceId, OpeningId, ZoneId};
use crate::job::ValleyType;
pub use crate::job::{Discharge, FastenerKind, Reason};
use crate::roof::Basis;
use crate::terms::EdgeKind;
use schemars::JsonSchema;
use serde::Serialize;

/// One side of a face in its developed frame, walked with the face to the left.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceEdge {
    /// The roof edge.
    pub edge: EdgeId,
    /// What it is.
    pub kind: EdgeKind,
    /// Start, `(u, v)` inches.
    pub a: Point2,
    /// End, `(u, v)` inches.
    pub b: Point2,
    /// How far elements stay away, square to the edge on the surface, inches. 0 at an eave.
    pub setback: f64,
    /// Why that far, in words, for the sheet.
    pub why: String,
}

/// An opening's keep-out on one face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OpeningKeepOut {
    /// The opening.
    pub opening: OpeningId,
    /// Its drawn outline on this face, developed.
    pub outline: Region,
    /// Upright box `(u, v)` around its flashing.
    pub flashing: Interval2,
    /// Upright box no element may enter: flashing grown by the setback.
    pub keep_out: Interval2,
    /// Why that far, in words.
    pub why: String,
}

/// An upright rectangle of a developed face, inches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Interval2 {
    /// Along the contour.
    pub u: Interval,
    /// Up the slope.
    pub v: Interval,
}

/// An area of the job that stays free: an exclusion, or what is fastened through the shingles.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KeepOut {
    /// What is there; none for an exclusion.
    pub fastener: Option<FastenerKind>,
    /// Upright box `(u, v)` no lead may enter.
    pub solid: Interval2,
    /// Upright box `(u, v)` no element may enter.
    pub keep_out: Interval2,
    /// Why, in words.
    pub why: String,
}

/// The starter strip along the eaves of one level: shingle courses are counted from the lowest, and each is nailed above its own eave.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StarterStrip {
    /// `v` of the drip edge, inches.
    pub v: f64,
    /// From left to right, `u` inches.
    pub along: Interval,
}

/// A sloping face laid flat, with everything that bounds elements and leads on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceLayout {
    /// The face.
    pub face: FaceId,
    /// Plan to `(u, v)` and back; `v = 0` at its lowest eave, `u = 0` at the left end of that eave (the control line).
    pub frame: FaceFrame,
    /// The face in `(u, v)`.
    pub region: Region,
    /// Its sides.
    pub edges: Vec<FaceEdge>,
    /// Openings on it.
    pub openings: Vec<OpeningKeepOut>,
    /// Areas of the job that stay free.
    pub keep_outs: Vec<KeepOut>,
    /// Starter strips, from low to high; none on a face without an eave.
    pub starters: Vec<StarterStrip>,
}

impl FaceLayout {
    /// `v` of the lowest drip edge, from which all shingle courses of the face are counted, inches.
    #[must_use]
    pub fn course_base(&self) -> f64 {
        self.starters.first().map_or(0.0, |strip| strip.v)
    }
}

/// Which band a zone is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ZoneKind {
    /// Along an eave, up to the reach.
    Eave,
    /// Beside a valley, up to a given height.
    Valley,
}

/// One heated band of one face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Zone {
    /// Its id.
    pub id: ZoneId,
    /// The face it lies on.
    pub face: FaceId,
    /// Which band.
    pub kind: ZoneKind,
    /// The eaves (on one level of this face) or the valley it follows.
    pub edges: Vec<EdgeId>,
    /// `v` of the drip edge its courses count from, inches.
    pub base_v: f64,
    /// Stretch of `u` it may use.
    pub along: Interval,
    /// Boxes `(u, v)` of the band that drain to another eave of this face and are not this zone's.
    pub excluded: Vec<Interval2>,
    /// Whether `base_v` is a drip edge, so that course 0 takes a starter element.
    pub at_drip_edge: bool,
    /// For a valley: the heated eave zone whose courses it continues; its own begin above that zone's top course.
    pub continues: Option<ZoneId>,
    /// For a valley: how far its band reaches from the valley line, square to it on the surface, inches. 0 for an eave.
    pub valley_width: f64,
    /// Height above `base_v` the heat must reach, on the slope, inches.
    pub required_reach: f64,
    /// How the reach was found, in words with numbers.
    pub reach_words: String,
    /// How sure the reach is.
    pub reach_basis: Basis,
    /// Why it is heated.
    pub reason: Reason,
    /// 1 is shed last.
    pub priority: u32,
    /// The band within its setbacks, `(u, v)`, for drawing and as an independent test.
    pub regions: Vec<Region>,
}

/// How far an eave stands out from the exterior wall under it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EaveOverhang {
    /// The eave.
    pub edge: EdgeId,
    /// From the drip edge to the wall line, measured level, inches.
    pub inches: f64,
    /// Set by the job, measured from drawn walls, or assumed.
    pub basis: Basis,
}

/// How a valley is covered.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ValleyCovering {
    /// The valley.
    pub edge: EdgeId,
    /// As the job says of this valley, else of all.
    pub kind: ValleyType,
    /// Whether the job says it at all.
    pub given: bool,
}

/// One place that melt water passes below a zone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeltLink {
    /// What it is, in words.
    pub what: String,
    /// Whether it is kept open by heat, or needs none.
    pub open: bool,
}

/// The way of a zone's water to where it leaves the roof.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeltPath {
    /// The zone.
    pub zone: ZoneId,
    /// From the zone down.
    pub links: Vec<MeltLink>,
    /// Where it ends.
    pub discharge: Discharge,
}

/// Heat in a gutter and its downspouts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GutterHeat {
    /// The eave above it.
    pub edge: EdgeId,
    /// Length of the gutter, inches.
    pub gutter: f64,
    /// Number of downspouts.
    pub downspouts: u32,
    /// Length of heater: the gutter once and each downspout once, inches.
    pub length: f64,
    /// Power, watts; absent when the job gives none for a foot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub watts: Option<f64>,
}

/// The zones of the whole drawing.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Zones {
    /// Every sloping face, heated or not, in face order.
    pub faces: Vec<FaceLayout>,
    /// Heated bands.
    pub zones: Vec<Zone>,
    /// Where the water of each zone goes, in zone order.
    pub melt: Vec<MeltPath>,
    /// Heated gutters and their downspouts.
    pub gutters: Vec<GutterHeat>,
    /// One for each eave, in edge order: the reach, the boxes on the wall and the field form all count from it.
    pub overhangs: Vec<EaveOverhang>,
    /// One for each valley, in edge order: keep-outs, sheets and the field form all read it.
    pub valleys: Vec<ValleyCovering>,
}

impl Zones {
    /// How far an eave stands out from the wall under it; none for an edge that is no eave.
    #[must_use]
    pub fn overhang(&self, edge: EdgeId) -> Option<EaveOverhang> {
        self.overhangs.binary_search_by_key(&edge, |o| o.edge).ok().map(|at| self.overhangs[at])
    }

    /// How a valley is covered; none for an edge that is no valley.
    #[must_use]
    pub fn valley(&self, edge: EdgeId) -> Option<ValleyCovering> {
        self.valleys.binary_search_by_key(&edge, |v| v.edge).ok().map(|at| self.valleys[at])
    }

    /// The developed face, if it slopes.
    #[must_use]
    pub fn layout(&self, face: FaceId) -> Option<&FaceLayout> {
        self.faces.binary_search_by_key(&face, |l| l.face).ok().map(|at| &self.faces[at])
    }
}

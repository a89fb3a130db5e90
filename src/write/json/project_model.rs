//! What stands in `N.json`.

use super::roof::{DrawingJson, RoofJson};
use crate::checks::{CircuitSupply, Heat, InsulationTest, LoadSummary, OneLineItem, Reading, SourceLabel, Verdict};
use crate::courses::ElementRole;
use crate::field::{Measured, Record};
use crate::finding::Finding;
use crate::geometry::{Point2, Point3};
use crate::index::{BoxId, ChainId, CircuitId, CrossingId, EdgeId, FaceId, LeadId, RunId, SegmentId, ZoneId};
use crate::job::Work;
use crate::roof::Basis;
use crate::takeoff::Takeoff;
use crate::terms::BoxPlace;
use crate::thermal::Seasons;
use crate::units::DrawingUnit;
use crate::wiring::{End, LeadKind, LegPlace, PartFed, Shed};
use crate::zones::{FastenerKind, GutterHeat, MeltPath, Reason, ZoneKind};
use schemars::JsonSchema;
use serde::Serialize;

/// The whole layout. Points `[x, y, z]` are in drawing coordinates, `[u, v]` in inches of the developed face, lengths in inches.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProjectJson {
    /// Job number.
    pub job: String,
    /// What was read.
    pub drawing: DrawingJson,
    /// The drawing's unit: of all `[x, y]` and `[x, y, z]` below.
    pub units: DrawingUnit,
    /// Inches in one of that unit.
    pub inches_per_unit: f64,
    /// New roof or retrofit.
    pub work: Work,
    /// The roofs, left to right.
    pub roofs: Vec<RoofJson>,
    /// Heated bands.
    pub zones: Vec<ZoneJson>,
    /// Areas of the job that stay free, on the faces they lie on.
    pub keep_outs: Vec<KeepOutJson>,
    /// Where the water of each zone goes.
    pub melt: Vec<MeltPath>,
    /// Heated gutters.
    pub gutters: Vec<GutterHeat>,
    /// Pieces of element.
    pub segments: Vec<SegmentJson>,
    /// Cold leads and jumpers.
    pub leads: Vec<LeadJson>,
    /// Junction boxes.
    pub boxes: Vec<BoxJson>,
    /// How good the choice of chains, ends and boxes is, with what no choice goes below.
    pub feeding: Vec<PartFed>,
    /// Segments fed from one end.
    pub chains: Vec<ChainJson>,
    /// Branch circuits.
    pub circuits: Vec<CircuitJson>,
    /// Where leads cross a valley, hip or ridge.
    pub crossings: Vec<CrossingJson>,
    /// Places in nail rows that stay free of nails, where a lead passes.
    pub nail_gaps: Vec<NailGapJson>,
    /// Lanes of a retrofit in which shingles come up and are laid anew.
    pub relays: Vec<RelayJson>,
    /// The temperature-and-moisture sensor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sensor: Option<SensorJson>,
    /// What should be heated and stays cold.
    pub cold: Vec<ColdJson>,
    /// Loads in total.
    pub load: LoadSummary,
    /// Judgements.
    pub checks: Vec<CheckJson>,
    /// How each circuit is supplied.
    pub supplies: Vec<CircuitSupply>,
    /// Resistances to expect.
    pub readings: Vec<Reading>,
    /// The insulation test to be made; none where some element has no ground layer to be tested against.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub insulation: Option<InsulationTest>,
    /// Zones that a panel too small must do without, the first to go first: not installed, and counted nowhere.
    pub shed: Vec<Shed>,
    /// The one-line diagram: each item hangs on an earlier one.
    pub one_line: Vec<OneLineItem>,
    /// Melting and icing for the job's weather; none when nothing is heated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat: Option<Heat>,
    /// What to order.
    pub takeoff: Takeoff,
    /// What a season costs, when there is a weather file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub season: Option<Seasons>,
    /// The roof as measured, when it was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
    /// Whether cut lists may be cut from: FOR QUOTE ONLY or FOR CUTTING.
    pub cut_status: String,
    /// The record as it came back, for as-built sheets.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub record: Option<Record>,
    /// What a person must know; places are in drawing coordinates.
    pub findings: Vec<Finding>,
}

/// A heated band.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ZoneJson {
    /// Its id.
    pub id: ZoneId,
    /// The face it lies on.
    pub face: FaceId,
    /// Which band.
    pub kind: ZoneKind,
    /// The eaves or the valley it follows.
    pub edges: Vec<EdgeId>,
    /// Its polygons, each an exterior ring and then its holes.
    pub polygon_uv: Vec<Vec<Vec<Point2>>>,
    /// Slope inches from the drip edge that must be heated.
    pub required_reach: f64,
    /// Slope inches from the drip edge that are heated; absent when the zone holds no element.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub provided_reach: Option<f64>,
    /// How sure the reach is.
    pub reach_basis: Basis,
    /// Why it is heated.
    pub reason: Reason,
    /// 1 is shed last.
    pub priority: u32,
    /// Deck courses that carry element; absent when the zone holds none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deck_courses: Option<u32>,
    /// Element area over zone area; absent when the zone holds no element.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coverage: Option<f64>,
}

/// An area that stays free on one face.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeepOutJson {
    /// The face.
    pub face: FaceId,
    /// What is fastened there; absent for an exclusion.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fastener: Option<FastenerKind>,
    /// Lower left corner of what leads stay out of, as seen facing up the slope.
    pub low: Point3,
    /// Its upper right corner.
    pub high: Point3,
    /// Why.
    pub why: String,
}

/// One piece of element, from its left to its right end as seen facing up the slope.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SegmentJson {
    /// Its id.
    pub id: SegmentId,
    /// What the crew writes on it.
    pub tag: String,
    /// The face it lies on.
    pub face: FaceId,
    /// The zone it heats.
    pub zone: ZoneId,
    /// The run it is cut from.
    pub run: RunId,
    /// 0 is the starter course.
    pub course: u32,
    /// In a retrofit: the shingle courses under and over it, 0 being the starter strip.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shingle_courses: Option<[u32; 2]>,
    /// Which element.
    pub element: ElementRole,
    /// Catalogue key of the element.
    pub element_key: String,
    /// Width, inches.
    pub width: f64,
    /// Middle of the left end.
    pub a: Point3,
    /// Middle of the right end.
    pub b: Point3,
    /// Middle of the left end on the developed face.
    pub a_uv: Point2,
    /// Middle of the right end on the developed face.
    pub b_uv: Point2,
    /// From the control line to its left end, inches.
    pub station: f64,
    /// From the drip edge to its lower edge on the slope, inches.
    pub offset: f64,
    /// Length to cut, inches.
    pub cut_length: f64,
    /// Length it was laid at, inches, when there is a record.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub installed_length: Option<f64>,
    /// The end where power comes in; absent when it is not fed, as are the next four.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fed_end: Option<End>,
    /// Its chain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chain: Option<ChainId>,
    /// Its circuit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub circuit: Option<CircuitId>,
    /// The box of its chain.
    #[serde(rename = "box", skip_serializing_if = "Option::is_none")]
    pub junction_box: Option<BoxId>,
    /// The lead or jumper that brings power.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lead: Option<LeadId>,
}

/// A cold lead or jumper.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LeadJson {
    /// Its id.
    pub id: LeadId,
    /// What it is for.
    pub kind: LeadKind,
    /// The segment it brings power to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub segment: Option<SegmentId>,
    /// The segment a jumper comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_segment: Option<SegmentId>,
    /// The box it is fed from, for a jumper by way of its chain.
    #[serde(rename = "box", skip_serializing_if = "Option::is_none")]
    pub junction_box: Option<BoxId>,
    /// Stretches in order from the box.
    pub legs: Vec<LegJson>,
    /// Length to cut, inches.
    pub length: f64,
    /// Straight from one end to the other in space, inches: no way between these ends is shorter.
    pub chord: f64,
}

/// One stretch of a lead in one place.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LegJson {
    /// Where it lies.
    pub place: LegPlace,
    /// The face it lies on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub face: Option<FaceId>,
    /// The fold it crosses.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crossing: Option<CrossingId>,
    /// In order.
    pub points: Vec<Point3>,
    /// Length without slack, inches.
    pub length: f64,
    /// Extra laid in, inches.
    pub slack: f64,
}

/// A junction box.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BoxJson {
    /// Its id.
    pub id: BoxId,
    /// What is printed on it.
    pub tag: String,
    /// Catalogue key.
    pub box_key: String,
    /// Where it hangs.
    pub place: BoxPlace,
    /// Whether the job set it.
    pub set_by_job: bool,
    /// The face it belongs to.
    pub face: FaceId,
    /// The edge leads leave over.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edge: Option<EdgeId>,
    /// Where leads leave the roof surface.
    pub exit: Point3,
    /// The box itself.
    pub at: Point3,
    /// Chains it feeds.
    pub chains: Vec<ChainId>,
}

/// Segments fed from one end.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChainJson {
    /// Its id.
    pub id: ChainId,
    /// From the box outwards.
    pub segments: Vec<SegmentId>,
    /// The box.
    #[serde(rename = "box")]
    pub junction_box: BoxId,
    /// The circuit.
    pub circuit: CircuitId,
    /// Element length, inches.
    pub element_length: f64,
    /// Power, watts.
    pub watts: f64,
    /// Current, amperes.
    pub amps: f64,
    /// Voltage at the far end, volts.
    pub far_end_volts: f64,
}

/// A branch circuit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CircuitJson {
    /// Its id.
    pub id: CircuitId,
    /// What is printed in the panel schedule.
    pub tag: String,
    /// Its chains.
    pub chains: Vec<ChainId>,
    /// Its segments.
    pub segments: Vec<SegmentId>,
    /// Power, watts.
    pub watts: f64,
    /// Continuous current, amperes.
    pub amps: f64,
    /// Breaker rating, amperes.
    pub breaker: f64,
    /// Conductor size, AWG.
    pub conductor_awg: u32,
    /// Equipment ground size, AWG.
    pub ground_awg: u32,
    /// 1 is shed last.
    pub priority: u32,
}

/// A place in a nail row that stays free of nails.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NailGapJson {
    /// The face.
    pub face: FaceId,
    /// Shingle course whose nails are left out here, from one; 0 is the starter strip.
    pub shingle_course: u32,
    /// Middle of the gap.
    pub at: Point3,
    /// Width along the course, inches.
    pub width: f64,
}

/// A lane in which shingles come up for leads and are laid anew over them.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RelayJson {
    /// The face.
    pub face: FaceId,
    /// Its lower left corner as seen facing up the slope.
    pub low: Point3,
    /// Its upper right corner.
    pub high: Point3,
    /// The highest shingle course that comes up; all below it do too.
    pub highest_course: u32,
    /// Shingles to lay anew, at most.
    pub shingles: u32,
}

/// Where leads cross a fold.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CrossingJson {
    /// Its id.
    pub id: CrossingId,
    /// The fold.
    pub edge: EdgeId,
    /// Where, in plan.
    pub at: Point2,
    /// From the valley's foot along the valley, slope inches.
    pub up_valley: f64,
    /// Height above both bands' tops, slope inches.
    pub above_bands: f64,
    /// What crosses.
    pub leads: Vec<LeadId>,
    /// Along a hip or ridge: how wide no cap is nailed, `at` in the middle, inches.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cap_gap: Option<f64>,
}

/// The sensor.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SensorJson {
    /// The face it stands on.
    pub face: FaceId,
    /// Where.
    pub at: Point3,
    /// Its lead, where one is laid out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lead: Option<SensorLeadJson>,
}

/// The sensor's lead, from beside a box to the sensor.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SensorLeadJson {
    /// The box beside which it ends, in an enclosure of its own.
    #[serde(rename = "box")]
    pub junction_box: BoxId,
    /// Its legs.
    pub legs: Vec<LegJson>,
    /// With what is made up at both ends, inches.
    pub length: f64,
}

/// A stretch that should be heated and stays cold.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ColdJson {
    /// The zone.
    pub zone: ZoneId,
    /// The course, for a stretch without element.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub course: Option<u32>,
    /// From left to right, `u` inches, for a stretch without element.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub along: Option<[f64; 2]>,
    /// The segment, for one that is not fed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub segment: Option<SegmentId>,
    /// Why.
    pub why: String,
}

/// One check with the numbers that went in.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CheckJson {
    /// A stable word.
    pub code: String,
    /// What was checked.
    pub item: String,
    /// The rule in our words.
    pub rule: String,
    /// The clause, if it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clause: Option<String>,
    /// Where the rule comes from.
    pub source: SourceLabel,
    /// How it came out.
    pub verdict: Verdict,
    /// The value found; absent when it is not a finite number, which `working` then says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// The limit, if there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// Unit of both.
    pub unit: String,
    /// The arithmetic.
    pub working: String,
}

//! How every segment is fed: lanes, leads, boxes, chains and circuits.

use crate::geometry::{Point2, Point3, Vector2};
use crate::index::{BoxId, ChainId, CircuitId, CrossingId, EdgeId, FaceId, LaneId, LeadId, SegmentId, ZoneId};
use crate::terms::BoxPlace;
use crate::zones::Interval2;
use schemars::JsonSchema;
use serde::Serialize;

/// An end of a segment, as seen facing up the slope.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// The end with the smaller `u`.
    Left,
    /// The end with the larger `u`.
    Right,
}

/// What kind of strip a lane is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LaneKind {
    /// Inside the end nails of a rake margin.
    RakeMargin,
    /// Outside an opening's flashing.
    FlashingMargin,
    /// Deck above the top element.
    AboveElements,
    /// A strip up the slope left open through the courses (also the end gaps between segments).
    LeadColumn,
    /// A course left without element.
    LeadCourse,
    /// Under the tab that covers a piece of a retrofit, between its end and where its lead leaves the roof.
    UnderTab,
}

/// Which way leads run in a lane.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LaneCourse {
    /// Straight up and down the slope.
    UpSlope,
    /// Along a course, between two nail rows.
    AlongCourse,
}

/// A strip of a developed face that no fastener enters and leads may use.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lane {
    /// Its id.
    pub id: LaneId,
    /// The face.
    pub face: FaceId,
    /// What it is.
    pub kind: LaneKind,
    /// Which way leads run in it.
    pub course: LaneCourse,
    /// Where the middles of its leads may lie, `(u, v)`: clearances to nails, flashing and elements are already off.
    pub extent: Interval2,
    /// Leads that fit side by side with their clearance.
    pub capacity: u32,
    /// Leads in it.
    pub used: u32,
}

/// The one place where leads cross a valley (or a hip or ridge).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Crossing {
    /// Its id.
    pub id: CrossingId,
    /// The fold crossed.
    pub edge: EdgeId,
    /// The faces on its two sides.
    pub faces: [FaceId; 2],
    /// The middle of all its leads on the fold, in plan.
    pub at: Point2,
    /// Where a lead in the middle of the lanes of the two faces enters them, `(u, v)` of each: the ends of the stretch square to the fold.
    pub ends: [Point2; 2],
    /// Slope distance from the valley's foot along the valley, inches.
    pub up_valley: f64,
    /// Height above both bands' tops, slope inches; negative when the job set it lower.
    pub above_bands: f64,
    /// Its leads.
    pub leads: Vec<LeadId>,
    /// Where each of them lies, up the fold.
    pub tracks: Vec<Track>,
    /// Along a hip or ridge: how wide no cap is nailed, inches, with `at` in the middle; the cap is sealed there instead. 0 at a valley.
    pub cap_gap: f64,
}

/// One lead of a crossing, square to the fold on both faces.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Track {
    /// The lead.
    pub lead: LeadId,
    /// Where it passes the fold, in plan.
    pub at: Point2,
    /// Where it enters the lanes of the crossing's two faces, `(u, v)` of each.
    pub ends: [Point2; 2],
}

/// Where a leg lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LegPlace {
    /// On a face, in a lane.
    Face,
    /// Square across a fold.
    Crossing,
    /// Through a hole in the deck.
    ThroughDeck,
    /// Under the deck.
    UnderDeck,
    /// Over the eave or rake edge, behind a guard.
    OverEave,
    /// On the wall.
    Wall,
}

/// One stretch of a lead in one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Leg {
    /// Where it lies.
    pub place: LegPlace,
    /// The face whose frame `path` uses, for legs on a face.
    pub face: Option<FaceId>,
    /// The fold crossed, for crossings.
    pub crossing: Option<CrossingId>,
    /// `(u, v)` points, for legs on a face; empty otherwise.
    pub path: Vec<Point2>,
    /// The same in space, inches.
    pub points: Vec<Point3>,
    /// Length along the points, inches, without slack.
    pub length: f64,
    /// Extra laid in the leg, inches.
    pub slack: f64,
    /// Lanes it uses.
    pub lanes: Vec<LaneId>,
}

/// One end of a lead.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Terminal {
    /// At a segment's end.
    Segment(SegmentId, End),
    /// In a box.
    Box(BoxId),
}

/// What a lead is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LeadKind {
    /// From a box to the first segment of a chain.
    Feed,
    /// From one segment of a chain to the next; carries both buses and ground and is two connections.
    Jumper,
}

/// A cold lead or jumper. Legs join end to end within 1/64 in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lead {
    /// Its id.
    pub id: LeadId,
    /// What it is for.
    pub kind: LeadKind,
    /// Where it starts: the box, or the segment nearer the box.
    pub from: Terminal,
    /// Where it ends.
    pub to: Terminal,
    /// From `from` to `to`.
    pub legs: Vec<Leg>,
    /// Length to cut: legs, slack and the make-up at both ends, inches.
    pub length: f64,
}

impl Lead {
    /// Straight from one end to the other in space, inches: no lead between these ends is shorter, whatever way it takes.
    #[must_use]
    pub fn chord(&self) -> f64 {
        let first = self.legs.first().and_then(|leg| leg.points.first());
        let last = self.legs.last().and_then(|leg| leg.points.last());
        first.zip(last).map_or(0.0, |(a, b)| a.distance(*b))
    }
}

/// A place where a lead crosses a nail row: no nail there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NailGap {
    /// The face.
    pub face: FaceId,
    /// Shingle course whose nails are left out here, from one; 0 is the starter strip.
    pub shingle_course: u32,
    /// Middle of the gap, `(u, v)`.
    pub at: Point2,
    /// Width along the course, inches.
    pub width: f64,
}

/// A lane of a retrofit in which shingles are stripped, leads laid, and shingles relaid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RelayLane {
    /// The face.
    pub face: FaceId,
    /// The lane.
    pub lane: LaneId,
    /// What of it is stripped, `(u, v)`; no old nail stands in it, and new ones stand outside the marked gaps.
    pub extent: Interval2,
    /// The highest shingle course that comes up; all below it do too.
    pub highest_course: u32,
    /// Shingles that come up and are laid anew, at most.
    pub shingles: u32,
    /// Exposed area of these shingles, square inches.
    pub area: f64,
}

/// A hole in the deck, sleeved and sealed, through which leads reach an inside box.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DeckHole {
    /// The face.
    pub face: FaceId,
    /// Where, `(u, v)`.
    pub at: Point2,
    /// The box below.
    pub junction_box: BoxId,
    /// Leads through it.
    pub leads: Vec<LeadId>,
}

/// A junction box.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JunctionBox {
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
    /// The roof edge leads leave over, for outside boxes.
    pub edge: Option<EdgeId>,
    /// Where leads leave the roof surface (over the edge, or the hole in the deck).
    pub exit: Point3,
    /// The box itself.
    pub at: Point3,
    /// Out of the wall in plan, length 1; zero for inside boxes.
    pub outward: Vector2,
    /// Chains it feeds.
    pub chains: Vec<ChainId>,
}

/// How one segment is fed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Feed {
    /// The segment.
    pub segment: SegmentId,
    /// The end where power comes in.
    pub fed_end: End,
    /// Its chain.
    pub chain: ChainId,
    /// Its circuit.
    pub circuit: CircuitId,
    /// The box of its chain.
    pub junction_box: BoxId,
    /// The lead or jumper that brings power.
    pub lead: LeadId,
}

/// Segments on one feed, in order from the box; each jumper leaves from the segment before it, at the end that was not fed or, where no
/// lane opens there, at the fed one.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Chain {
    /// Its id.
    pub id: ChainId,
    /// From the box outwards.
    pub segments: Vec<SegmentId>,
    /// The box.
    pub junction_box: BoxId,
    /// The circuit.
    pub circuit: CircuitId,
    /// Element length in total, inches.
    pub element_length: f64,
    /// Power at the supply voltage behind its lead, watts.
    pub watts: f64,
    /// Current drawn from the box, amperes.
    pub amps: f64,
    /// The lowest voltage at a far end of its segments, volts.
    pub far_end_volts: f64,
}

/// A branch circuit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Circuit {
    /// Its id.
    pub id: CircuitId,
    /// What is printed in the panel schedule.
    pub tag: String,
    /// Its chains.
    pub chains: Vec<ChainId>,
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
    /// Priority of its best zone; 1 is shed last.
    pub priority: u32,
}

/// The temperature-and-moisture sensor.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sensor {
    /// The face it stands on.
    pub face: FaceId,
    /// Where.
    pub at: Point3,
    /// Its own lead, where lanes have room for it.
    pub lead: Option<SensorLead>,
}

/// The sensor's lead: in the lanes of its face, over the roof's edge and down the wall to a box. It ends beside the box, in an enclosure of its own.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SensorLead {
    /// The box beside which it ends.
    pub junction_box: BoxId,
    /// From there to the sensor.
    pub legs: Vec<Leg>,
    /// With what is made up at both ends, inches.
    pub length: f64,
}

/// A segment that no lane reaches, or that no circuit can carry.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Unfed {
    /// The segment.
    pub segment: SegmentId,
    /// The zone it would have heated.
    pub zone: ZoneId,
    /// Why, in words.
    pub why: String,
}

/// How good the choice of chains, ends and boxes is in one part of the roof that lanes join.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PartFed {
    /// Segments in it.
    pub segments: u32,
    /// Boxes to choose from, those of the job not counted.
    pub boxes_to_choose: u32,
    /// Segments left unfed, boxes opened, lead in inches as laid on the route graph.
    pub value: PartValue,
    /// What no choice goes below, in the same order: the first number counts before the second, that before the third.
    pub bound: PartValue,
    /// Whether the choice is proven to be the best.
    pub proven: bool,
}

/// What is made small when segments are fed, in this order.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct PartValue {
    /// Segments nothing feeds.
    pub unfed: u32,
    /// Boxes.
    pub boxes: u32,
    /// Lead in all, slack, make-up and the way down the wall included, inches.
    pub lead: f64,
}

/// Zones that the panel cannot carry, with those that go with them: they are not installed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Shed {
    /// The zones' ids: `Z3`.
    pub tag: String,
    /// Their priority; the highest number goes first.
    pub priority: u32,
    /// The current they would draw, amperes.
    pub amps: f64,
    /// Their power, watts.
    pub watts: f64,
    /// Their pieces, which stay cold.
    pub segments: Vec<SegmentId>,
    /// The zones.
    pub zones: Vec<ZoneId>,
}

impl Wiring {
    /// Legs of the sensor's lead, which takes no crossing and is none of `leads`.
    pub(super) fn sensor_legs(&self) -> impl Iterator<Item = &Leg> {
        self.sensor.iter().filter_map(|sensor| sensor.lead.as_ref()).flat_map(|lead| &lead.legs)
    }

    /// How a segment is fed; none when it is not.
    #[must_use]
    pub fn feed(&self, segment: SegmentId) -> Option<&Feed> {
        self.feeds.binary_search_by_key(&segment, |feed| feed.segment).ok().map(|at| &self.feeds[at])
    }
}

/// Everything electrical on the roof.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Wiring {
    /// Strips where leads may lie.
    pub lanes: Vec<Lane>,
    /// Crossings of folds.
    pub crossings: Vec<Crossing>,
    /// Boxes.
    pub boxes: Vec<JunctionBox>,
    /// Holes through the deck to inside boxes.
    pub holes: Vec<DeckHole>,
    /// Stripped and relaid lanes of a retrofit.
    pub relays: Vec<RelayLane>,
    /// Leads and jumpers.
    pub leads: Vec<Lead>,
    /// One per fed segment, in segment order.
    pub feeds: Vec<Feed>,
    /// Chains.
    pub chains: Vec<Chain>,
    /// Circuits.
    pub circuits: Vec<Circuit>,
    /// Nails to leave out.
    pub nail_gaps: Vec<NailGap>,
    /// How good the choice is, part by part.
    pub parts: Vec<PartFed>,
    /// The sensor, when anything is heated.
    pub sensor: Option<Sensor>,
    /// Segments refused, each with a finding, and those of zones that are shed.
    pub unfed: Vec<Unfed>,
    /// Zones that a panel too small must do without, the first to go first. They are not installed and count nowhere.
    pub shed: Vec<Shed>,
}

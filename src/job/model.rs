//! A job as the stages use it: every setting has a value, and says whether a person gave it.

use super::places::{Discharge, EntrySetting, ExclusionSetting, FastenerSetting};
use super::supply::ElectricalSettings;
use crate::catalog::{BoxType, Contactor, Controller, Disconnect, Element, LeadCable, Price, Shingle};
use crate::geometry::Point2;
use crate::terms::{BoxPlace, DxfRelease, EdgeKind};
use crate::units::DrawingUnit;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A value and whether somebody gave it. What nobody gave is assumed and keeps the drawing preliminary.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Setting<T> {
    /// The value in force.
    pub value: T,
    /// Whether the job file gave it.
    pub given: bool,
}

/// Title block.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ProjectInfo {
    /// Job number; begins every file name.
    pub number: String,
    /// What the work is.
    pub title: String,
    /// Where it is, in words of the scenario.
    pub site: String,
    /// For whom.
    pub owner: String,
    /// Who answers for the design, with address.
    pub designer: String,
    /// Who drew it.
    pub drawn_by: String,
    /// Who checked it.
    pub checked_by: String,
    /// Date as printed; empty when the job has none.
    pub date: String,
    /// Issues after the first, in order.
    pub revisions: Vec<Revision>,
}

/// One issue of the drawings after the first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Revision {
    /// Its mark: one or two letters or digits.
    pub mark: String,
    /// What changed.
    pub what: String,
    /// Date as printed; empty when the job has none.
    pub date: String,
    /// Tags of what changed.
    pub changed: Vec<String>,
}

/// How to read the drawing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrawingSettings {
    /// Unit in place of the drawing's own.
    pub units: Option<DrawingUnit>,
    /// Globs of layers that hold the roof; empty for the usual search.
    pub roof_layers: Vec<String>,
    /// Ends this near are one point, inches.
    pub gap_tolerance: f64,
    /// A closed figure up to this area inside one face is an opening, square inches.
    pub opening_area_limit: f64,
}

/// How a hint names an edge or a face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum Target {
    /// By the id that `inspect` prints: `E4`, `F2`.
    Tag(String),
    /// By a point near it, in drawing coordinates.
    Near(Point2),
}

/// What the job says about one edge.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EdgeHint {
    /// Which edge.
    pub target: Target,
    /// What it is.
    pub kind: Option<EdgeKind>,
    /// Rise per run of the face that rises from it, where only the outline is drawn.
    pub pitch: Option<f64>,
    /// Height of this eave over the roof's others, inches, where only the outline is drawn; negative for a lower one.
    pub raise: Option<f64>,
    /// A gable for a part of its height, where only the outline is drawn.
    pub part: Option<PartGable>,
    /// Horizontal distance from this eave (or rake) to the exterior wall line, inches.
    pub overhang: Option<f64>,
    /// Whether this edge is heated, against the general rule.
    pub heated: Option<bool>,
    /// Slope reach for this eave, or height of heat above the foot of this valley, inches.
    pub reach: Option<f64>,
    /// Heated from this station on, along the eave from its left end as seen facing up the slope, inches.
    pub from: Option<f64>,
    /// Heated up to this station, inches.
    pub to: Option<f64>,
    /// Why it is heated.
    pub reason: Option<Reason>,
    /// 1 is shed last.
    pub priority: Option<u32>,
    /// How this valley is covered.
    pub valley_type: Option<ValleyType>,
    /// The face whose shingles run through a closed-cut valley.
    pub through: Option<Target>,
    /// Where the water of this eave goes.
    pub discharge: Option<Discharge>,
    /// Whether the gutter below is heated.
    pub gutter_heat: Option<bool>,
    /// Downspouts of that gutter.
    pub downspouts: Option<u32>,
    /// Line of the job file.
    pub line: usize,
}

impl EdgeHint {
    /// A hint that names an edge and says nothing of it.
    #[must_use]
    pub const fn of(target: Target, line: usize) -> Self {
        Self {
            target,
            kind: None,
            pitch: None,
            raise: None,
            part: None,
            overhang: None,
            heated: None,
            reach: None,
            from: None,
            to: None,
            reason: None,
            priority: None,
            valley_type: None,
            through: None,
            discharge: None,
            gutter_heat: None,
            downspouts: None,
            line,
        }
    }
}

/// Why a zone is heated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// An ice dam would form here.
    Dam,
    /// Two faces drain into this valley.
    Valley,
    /// People pass below.
    EntryBelow,
    /// Shaded.
    Shade,
}

impl EdgeHint {
    /// Whether it says something that only a roof over a bare outline can follow.
    #[must_use]
    pub fn shapes_outline(&self) -> bool {
        self.pitch.is_some() || self.raise.is_some() || self.part.is_some()
    }
}

/// Ends of a roof that are a hip for one part of their height and a gable for the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum GableForm {
    /// A hip below and a small gable above.
    DutchGable,
    /// A gable whose top is clipped by a small hip.
    Jerkinhead,
}

/// Where hip and gable meet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum Measure {
    /// Height of the meeting over the eave, inches.
    Height(f64),
    /// Level distance in from the edge, inches: to the gable of a Dutch gable, to the end of the ridge of a jerkinhead.
    Setback(f64),
}

/// A gable for a part of its height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PartGable {
    /// Which part.
    pub form: GableForm,
    /// Up to where, or from where on.
    pub at: Measure,
}

/// What the job says about one face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceHint {
    /// Which face.
    pub target: Target,
    /// Rise per run.
    pub pitch: Option<f64>,
    /// The edge it falls to.
    pub falls_to: Option<Target>,
    /// What is under its deck.
    pub under: Option<Under>,
    /// Line of the job file.
    pub line: usize,
}

/// What the roof is covered with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Covering {
    /// Asphalt shingles: the only covering elements are laid under.
    AsphaltShingle,
    /// Slate.
    Slate,
    /// Tile.
    Tile,
    /// Metal.
    Metal,
    /// Wood shingles or shakes.
    Wood,
    /// A flat roof's membrane.
    Membrane,
}

/// What the drawn outline is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OutlineMeaning {
    /// The drip edge.
    EaveEdge,
    /// The face of the fascia.
    Fascia,
    /// The exterior wall; the roof reaches further out by the overhang.
    Wall,
}

/// What lies under a face's deck.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Under {
    /// A reachable attic.
    Attic,
    /// A soffit only.
    Soffit,
    /// A cathedral ceiling.
    Cathedral,
    /// Rooms.
    Conditioned,
    /// Nobody said.
    Unknown,
}

/// How a valley is covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ValleyType {
    /// Metal lining left open.
    OpenMetal,
    /// One side runs through, the other is cut.
    ClosedCut,
    /// Both sides woven.
    Woven,
    /// Nobody said.
    Unknown,
}

/// New work, or elements slid under an existing roof.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Work {
    /// Elements go down before the shingles.
    NewRoof,
    /// Elements slide under loosened shingles.
    Retrofit,
}

/// The roof.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RoofSettings {
    /// New roof or retrofit.
    pub work: Setting<Work>,
    /// Layers of shingles there now; counts for a retrofit.
    pub shingle_layers: Setting<u32>,
    /// Covering.
    pub covering: Setting<Covering>,
    /// Pitch where no note gives one, rise per run.
    pub default_pitch: Setting<f64>,
    /// Horizontal distance from eave to exterior wall line, inches.
    pub overhang: Setting<f64>,
    /// Horizontal distance from rake to exterior wall line, inches; used where the outline is drawn at the walls.
    pub rake_overhang: Setting<f64>,
    /// What the outline is.
    pub outline: Setting<OutlineMeaning>,
    /// Horizontal distance from the face of the fascia out to the drip edge's outer face, inches; used where the outline is the fascia.
    pub fascia_to_drip: Option<f64>,
    /// Valleys.
    pub valley_type: Setting<ValleyType>,
    /// Width of the lining of an open metal valley, inches.
    pub valley_lining: f64,
    /// Under the deck.
    pub under: Setting<Under>,
    /// Heights that differ by more than this are a step, inches.
    pub step_tolerance: f64,
    /// Edges the job names.
    pub edges: Vec<EdgeHint>,
    /// Faces the job names.
    pub faces: Vec<FaceHint>,
    /// Draft the rest where edges stay ambiguous.
    pub leave_open: bool,
}

/// Which edition's ice-barrier rule sets the reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum ReachRule {
    /// Model residential code, 2012 edition: 24 in inside the wall line.
    #[serde(rename = "irc-2012")]
    Irc2012,
    /// 2015 edition: also 36 in along the slope at 8:12 and steeper.
    #[serde(rename = "irc-2015")]
    Irc2015,
    /// 2018 edition, as 2015.
    #[serde(rename = "irc-2018")]
    Irc2018,
    /// 2021 edition, as 2015.
    #[serde(rename = "irc-2021")]
    Irc2021,
    /// 2024 edition: 24 in inside the wall line only.
    #[serde(rename = "irc-2024")]
    Irc2024,
}

/// Where heat goes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeatSettings {
    /// Heat eaves.
    pub eaves: bool,
    /// Heat valleys.
    pub valleys: bool,
    /// Rule for the reach.
    pub reach_rule: Setting<ReachRule>,
    /// Slope reach in place of the rule, inches.
    pub reach: Option<f64>,
    /// Width of a valley band on each side, square to the valley on the surface, inches.
    pub valley_width: f64,
    /// Height of valley heat up the slope from the eave, inches; none for the eave's reach plus 24 in.
    pub valley_height: Option<f64>,
    /// From outer edges where runs end, inches.
    pub outer_setback: f64,
    /// From valleys, inches.
    pub valley_setback: f64,
    /// From hips, inches.
    pub hip_setback: f64,
    /// From ridges and high edges, inches.
    pub ridge_setback: f64,
    /// From walls, inches.
    pub wall_setback: f64,
    /// From the edge of an opening's flashing, inches.
    pub opening_setback: f64,
    /// Flashing beyond a skylight, chimney or sidewall, inches.
    pub opening_flashing: f64,
    /// Flashing beyond a vent's drawn shape, inches.
    pub vent_flashing: f64,
    /// Whether the crew keeps nails out of the elements' way beside valleys, so that the plain setback is enough.
    pub valley_nails_moved: bool,
    /// Where melt water goes from eaves of which nothing else is said.
    pub discharge: Setting<Discharge>,
    /// Heat gutters.
    pub gutter_heat: bool,
    /// Power of the heater in gutters and downspouts, watts per foot.
    pub gutter_watts: Option<f64>,
    /// Length of one downspout, inches.
    pub downspout_length: f64,
    /// Whether guards hold the snow above heated eaves.
    pub snow_guards: Setting<bool>,
    /// Doors and stairs below eaves.
    pub entries: Vec<EntrySetting>,
    /// Areas without element.
    pub exclusions: Vec<ExclusionSetting>,
    /// What is fastened through the shingles.
    pub fasteners: Vec<FastenerSetting>,
}

/// How courses are cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CourseSettings {
    /// Longest piece, inches.
    pub longest_piece: f64,
    /// Shorter runs stay cold, inches.
    pub shortest_run: f64,
    /// Between the ends of two pieces of one run, inches.
    pub end_gap: f64,
    /// Pieces are cut to whole steps of this, rounding down, inches.
    pub cut_step: f64,
    /// Between an element and a nail, inches.
    pub nail_clearance: f64,
    /// How far a loosened tab lifts in a retrofit, inches.
    pub lift: f64,
    /// Lower edge of a deck element above its course line in place of the middle of the window, inches.
    pub rise: Option<f64>,
}

/// A box the job sets.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BoxSetting {
    /// What is printed on it.
    pub tag: String,
    /// Where, in drawing coordinates.
    pub at: Point2,
    /// Inside or outside.
    pub place: BoxPlace,
    /// Line of the job file.
    pub line: usize,
}

/// Leads and boxes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WiringSettings {
    /// Boxes the job sets; empty to choose.
    pub boxes: Vec<BoxSetting>,
    /// Slack laid on each side of a crossing, inches.
    pub crossing_slack: f64,
    /// Crossings lie this far above both bands' tops, slope inches.
    pub crossing_above: f64,
    /// Between a lead and a fastener, inches.
    pub lead_clearance: f64,
    /// Width of a no-nail gap, inches.
    pub nail_gap: f64,
    /// Lead left free in a box, inches.
    pub box_tail: f64,
    /// Lead used up at a segment's connection, inches.
    pub connection_tail: f64,
    /// From the eave down the wall to an outside box, inches.
    pub wall_drop: f64,
    /// Leads through one hole in the deck.
    pub leads_per_hole: u32,
    /// Whether a retrofit may strip and relay shingles in lanes for leads.
    pub strip_and_relay: bool,
}

/// A sheet size by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum SheetSize {
    /// 11 x 17 in.
    #[serde(rename = "ANSI B")]
    AnsiB,
    /// 22 x 34 in.
    #[serde(rename = "ANSI D")]
    AnsiD,
    /// 18 x 24 in.
    #[serde(rename = "ARCH C")]
    ArchC,
    /// 24 x 36 in.
    #[serde(rename = "ARCH D")]
    ArchD,
    /// 420 x 594 mm.
    #[serde(rename = "ISO A2")]
    IsoA2,
    /// 594 x 841 mm.
    #[serde(rename = "ISO A1")]
    IsoA1,
}

/// Paper.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetSettings {
    /// Size, landscape.
    pub size: SheetSize,
    /// Release of the DXF files.
    pub dxf: DxfRelease,
}

/// The products in use, taken from the catalogue by key.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Products {
    /// Title of the catalogue.
    pub catalogue: String,
    /// Whether its values are made up.
    pub invented: bool,
    /// Shingle, with whether the job named it.
    pub shingle: Setting<Shingle>,
    /// Starter element.
    pub starter: Setting<Element>,
    /// Deck element.
    pub deck: Setting<Element>,
    /// Cold lead.
    pub lead: Setting<LeadCable>,
    /// Box for inside.
    pub inside_box: BoxType,
    /// Box for outside.
    pub outside_box: BoxType,
    /// Disconnect switch; none when the catalogue has none.
    pub disconnect: Option<Disconnect>,
    /// Contactor; none when the catalogue has none.
    pub contactor: Option<Contactor>,
    /// Controller; none when the catalogue has none.
    pub controller: Option<Controller>,
    /// Prices of the catalogue.
    pub prices: Vec<Price>,
}

/// Everything a job says, with defaults filled in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Job {
    /// Title block.
    pub project: ProjectInfo,
    /// Reading the drawing.
    pub drawing: DrawingSettings,
    /// The roof.
    pub roof: RoofSettings,
    /// Zones.
    pub heat: HeatSettings,
    /// Courses.
    pub courses: CourseSettings,
    /// Leads and boxes.
    pub wiring: WiringSettings,
    /// Supply and code.
    pub electrical: ElectricalSettings,
    /// Paper.
    pub sheet: SheetSettings,
    /// Products.
    pub products: Products,
    /// Weather, season, cutting, labour and prices.
    pub estimate: super::Estimate,
}

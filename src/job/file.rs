//! A job file as it is typed: every key may be left out, lengths carry their unit in the value.
//!
//! What it means is decided in `read`; the descriptions here are also the schema's and the template's.

use super::estimate::{LabourTable, PricesTable, SeasonTable, SiteTable, TakeoffTable};
use super::model::{Covering, OutlineMeaning, ReachRule, Reason, SheetSize, Under, ValleyType, Work};
use super::places::{Discharge, FastenerKind};
use crate::terms::{BoxPlace, Conduit, DxfRelease, Supply};
use crate::units::{Area, DrawingUnit, Length, Pitch, Share};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A job file. Every key may be left out; the default then holds, and the drawing says what was assumed.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct JobFile {
    /// The title block.
    pub project: ProjectTable,
    /// How to read the drawing.
    pub drawing: DrawingTable,
    /// The roof.
    pub roof: RoofTable,
    /// Where heat goes.
    pub heat: HeatTable,
    /// How the courses are cut.
    pub courses: CoursesTable,
    /// Products, by their keys in the catalogue.
    pub products: ProductsTable,
    /// Leads and boxes.
    pub wiring: WiringTable,
    /// Supply and code.
    pub electrical: ElectricalTable,
    /// Paper.
    pub sheet: SheetTable,
    /// Design weather and the roof as a heat path.
    pub site: SiteTable,
    /// Control and cost of a season.
    pub season: SeasonTable,
    /// Cutting and spare.
    pub takeoff: TakeoffTable,
    /// Working time.
    pub labour: LabourTable,
    /// How the quote is made up.
    pub prices: PricesTable,
}

/// The title block.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ProjectTable {
    /// Job number; begins every file name, so only letters, digits, - and _.
    pub number: Option<String>,
    /// What the work is.
    pub title: Option<String>,
    /// Where it is.
    pub site: Option<String>,
    /// For whom.
    pub owner: Option<String>,
    /// Who answers for the design, with address: a permit desk asks for both.
    pub designer: Option<String>,
    /// Who drew it.
    pub drawn_by: Option<String>,
    /// Who checked it.
    pub checked_by: Option<String>,
    /// Date as printed.
    pub date: Option<String>,
    /// One issue of the drawings after the first: a row of the revision table, and a cloud around what it changed.
    pub revision: Vec<RevisionTable>,
}

/// One issue of the drawings after the first: a row of the revision table, and a cloud around what it changed.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct RevisionTable {
    /// Its mark, up to two letters or digits; left out, the next number.
    pub mark: Option<String>,
    /// What changed, in a few words.
    pub what: String,
    /// Date as printed.
    pub date: Option<String>,
    /// Tags of what changed, each clouded on plan and face sheets: segments, zones, edges, faces, boxes, leads, openings.
    pub changed: Vec<String>,
}

/// How to read the drawing.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct DrawingTable {
    /// Unit of the drawing in place of its own: inches, feet, millimetres, centimetres or metres.
    pub units: Option<DrawingUnit>,
    /// Layers that hold the roof, with * for any letters; empty for the usual search.
    pub roof_layers: Option<Vec<String>>,
    /// Line ends this near to each other are one point.
    pub gap_tolerance: Option<Length>,
    /// A closed figure up to this area inside one face is an opening.
    pub opening_area_limit: Option<Area>,
}

/// The roof.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct RoofTable {
    /// new-roof: element goes down before the shingles. retrofit: it slides under loosened shingles.
    pub work: Option<Work>,
    /// Layers of shingles on the roof now; counts for a retrofit, which is refused over more than one.
    pub shingle_layers: Option<u32>,
    /// What the roof is covered with; element is laid under asphalt shingles only.
    pub covering: Option<Covering>,
    /// Pitch where neither the drawing nor this file gives one.
    pub default_pitch: Option<Pitch>,
    /// From the eave in to the exterior wall line, measured level.
    pub overhang: Option<Length>,
    /// From the rake in to the exterior wall line, measured level; counts where outline = "wall".
    pub rake_overhang: Option<Length>,
    /// What the drawn outline is: eave-edge, fascia or wall. A fascia or wall is moved out to the drip edge.
    pub outline: Option<OutlineMeaning>,
    /// From the face of the fascia out to the drip edge, measured level; counts where outline = "fascia", which otherwise is taken as it is.
    pub fascia_to_drip: Option<Length>,
    /// How valleys are covered: open-metal, closed-cut, woven or unknown.
    pub valley_type: Option<ValleyType>,
    /// Width of the lining of an open metal valley, over both sides.
    pub valley_lining: Option<Length>,
    /// What lies under the deck: attic, soffit, cathedral, conditioned or unknown.
    pub under: Option<Under>,
    /// Heights that differ by more than this are a step.
    pub step_tolerance: Option<Length>,
    /// Draft the rest while edges stay ambiguous; their faces stay cold.
    pub leave_open: Option<bool>,
    /// What is known about single edges.
    pub edge: Vec<EdgeTable>,
    /// What is known about single faces.
    pub face: Vec<FaceTable>,
}

/// One edge, named by its tag or by a point near it.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct EdgeTable {
    /// The tag that `inspect` prints, such as E4.
    pub tag: Option<String>,
    /// In place of the tag: a point near the edge, [x, y] in the drawing's own coordinates.
    pub near: Option<[f64; 2]>,
    /// What it is: eave, rake, ridge, hip, valley, high-edge, sidewall, pitch-break, flat-break, step, flat-edge or skew.
    /// Where only the outline is drawn also dutch-gable (a hip with a small gable above) or jerkinhead (a gable with a small hip above).
    pub kind: Option<EdgeWord>,
    /// Pitch of the face that rises from this eave; counts where only the outline is drawn.
    pub pitch: Option<Pitch>,
    /// How much higher this eave lies than the others, or lower with a minus sign (a porch); where only the outline is drawn.
    pub raise: Option<Length>,
    /// For a dutch-gable: from this eave up to where its gable starts; for a jerkinhead: up to where its hip starts.
    pub height: Option<Length>,
    /// In place of the height, measured level from this edge: in to the gable of a dutch-gable, or to the end of a jerkinhead's ridge.
    pub setback: Option<Length>,
    /// From this eave in to the exterior wall line, measured level; for a rake only where outline = "wall".
    pub overhang: Option<Length>,
    /// Whether it is heated, against the general rule.
    pub heated: Option<bool>,
    /// How far up the slope heat must reach from this eave, or above the foot of this valley.
    pub reach: Option<Length>,
    /// Heat only from this station on, along the eave from its left end as seen facing up the slope.
    pub from: Option<Length>,
    /// Heat only up to this station.
    pub to: Option<Length>,
    /// Why it is heated: dam, valley, entry-below or shade.
    pub reason: Option<Reason>,
    /// 1 is shed last, 9 first.
    pub priority: Option<u32>,
    /// How this valley is covered, where it is not as all others.
    pub valley_type: Option<ValleyType>,
    /// Tag of the face whose shingles run through this closed-cut valley; element stays further off on the cut side.
    pub through: Option<String>,
    /// Where the water of this eave goes: gutter, ground, walk or unknown.
    pub discharge: Option<Discharge>,
    /// Whether the gutter below it is heated.
    pub gutter_heat: Option<bool>,
    /// Downspouts of that gutter.
    pub downspouts: Option<u32>,
}

/// What an edge can be called.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeWord {
    /// Level, at the foot of its face: water leaves here.
    Eave,
    /// Sloping edge of the roof, at a gable.
    Rake,
    /// Level, two faces falling away from it.
    Ridge,
    /// Sloping, two faces falling away from it.
    Hip,
    /// Two faces falling towards it.
    Valley,
    /// Level, at the top of its face, nothing beyond.
    HighEdge,
    /// Sloping edge against a wall.
    Sidewall,
    /// Water crosses a change of pitch.
    PitchBreak,
    /// Two faces of nearly one plane.
    FlatBreak,
    /// The surface jumps.
    Step,
    /// Edge of a flat face.
    FlatEdge,
    /// Neither level nor clearly sloping.
    Skew,
    /// A hip below and a small gable above it.
    DutchGable,
    /// A gable whose top is clipped by a small hip.
    Jerkinhead,
}

/// One face, named by its tag or by a point in it.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct FaceTable {
    /// The tag that `inspect` prints, such as F2.
    pub tag: Option<String>,
    /// In place of the tag: a point in the face, [x, y] in the drawing's own coordinates.
    pub near: Option<[f64; 2]>,
    /// Its pitch.
    pub pitch: Option<Pitch>,
    /// Tag of the edge it falls to.
    pub falls_to: Option<String>,
    /// What lies under its deck.
    pub under: Option<Under>,
}

/// Where heat goes.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct HeatTable {
    /// Heat eaves.
    pub eaves: Option<bool>,
    /// Heat valleys.
    pub valleys: Option<bool>,
    /// Edition of the model residential code whose ice-barrier rule sets the reach: irc-2012 to irc-2024.
    pub reach_rule: Option<ReachRule>,
    /// Reach up the slope in place of that rule.
    pub reach: Option<Length>,
    /// Width of a valley band on each side, square to the valley on the surface.
    pub valley_width: Option<Length>,
    /// How far up the slope from the eave valley heat goes; left out, the eave's reach plus 24 in.
    pub valley_height: Option<Length>,
    /// Whether the crew keeps nails out of the elements' way beside valleys; the setback for valleys then is enough whatever covers them.
    pub valley_nails_moved: Option<bool>,
    /// Where melt water goes from eaves of which nothing else is said: gutter, ground, walk or unknown.
    pub discharge: Option<Discharge>,
    /// Heat gutters and downspouts below heated eaves.
    pub gutter_heat: Option<bool>,
    /// Power of the heater in gutters and downspouts, watts per foot.
    pub gutter_watts: Option<f64>,
    /// Length of one downspout.
    pub downspout_length: Option<Length>,
    /// Whether guards hold the snow above heated eaves.
    pub snow_guards: Option<bool>,
    /// How far element stays from each kind of edge, square to it on the surface.
    pub setbacks: SetbacksTable,
    /// Doors and stairs whose eave is heated above them.
    pub entry: Vec<EntryTable>,
    /// Areas no element and no lead may enter.
    pub exclusion: Vec<ExclusionTable>,
    /// What is fastened through the shingles: element and leads keep clear of it.
    pub fastener: Vec<FastenerTable>,
}

/// A door or a stair under an eave.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EntryTable {
    /// A point near it, [x, y] in the drawing's own coordinates.
    pub at: [f64; 2],
    /// How much of the eave above it is heated.
    pub width: Length,
}

/// An area no element and no lead may enter.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExclusionTable {
    /// Its corners, [x, y] in the drawing's own coordinates.
    pub corners: Vec<[f64; 2]>,
    /// What is there.
    pub why: Option<String>,
}

/// A fastener through the shingles, or a row of them.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FastenerTable {
    /// Where it is or its row begins, [x, y] in the drawing's own coordinates.
    pub at: [f64; 2],
    /// Where the row ends.
    pub to: Option<[f64; 2]>,
    /// From one to the next in the row, in plan.
    pub spacing: Option<Length>,
    /// roof-bracket, snow-guard or other.
    pub kind: FastenerKind,
    /// Across its foot.
    pub size: Option<Length>,
}

/// How far element stays from each kind of edge.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SetbacksTable {
    /// From outer edges where runs end.
    pub outer: Option<Length>,
    /// From valleys.
    pub valley: Option<Length>,
    /// From hips.
    pub hip: Option<Length>,
    /// From ridges and high edges.
    pub ridge: Option<Length>,
    /// From walls.
    pub wall: Option<Length>,
    /// From the edge of an opening's flashing.
    pub opening: Option<Length>,
    /// Flashing beyond a skylight, a chimney or a sidewall.
    pub opening_flashing: Option<Length>,
    /// Flashing beyond a vent's drawn shape.
    pub vent_flashing: Option<Length>,
}

/// How the courses are cut.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct CoursesTable {
    /// Longest piece; the element's own limit holds where it is shorter.
    pub longest_piece: Option<Length>,
    /// Runs shorter than this stay cold.
    pub shortest_run: Option<Length>,
    /// Between the ends of two pieces of one run.
    pub end_gap: Option<Length>,
    /// Pieces are cut to whole steps of this, rounding down.
    pub cut_step: Option<Length>,
    /// Between element and nail.
    pub nail_clearance: Option<Length>,
    /// In a retrofit: how far a loosened tab lifts; thicker element is refused and a thicker lead does not go under a tab.
    pub lift: Option<Length>,
    /// Lower edge of a deck element above its course line; left out, the middle of the room between the nails.
    pub rise: Option<Length>,
}

/// Products, by their keys in the catalogue.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ProductsTable {
    /// Path of the catalogue file, from this file's folder; left out, the invented sample catalogue.
    pub catalogue: Option<String>,
    /// The shingle.
    pub shingle: Option<String>,
    /// Element on the eave, under the starter course.
    pub starter: Option<String>,
    /// Element in the courses above.
    pub deck: Option<String>,
    /// Cold lead.
    pub lead: Option<String>,
    /// Junction box under the deck.
    pub inside_box: Option<String>,
    /// Junction box on the outside wall; fit for wet locations.
    pub outside_box: Option<String>,
    /// Disconnect switch; left out, the first of the catalogue.
    pub disconnect: Option<String>,
    /// Contactor; left out, the first of the catalogue.
    pub contactor: Option<String>,
    /// Controller; left out, the first of the catalogue.
    pub controller: Option<String>,
}

/// Leads and boxes.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct WiringTable {
    /// Slack laid on each side of a crossing.
    pub crossing_slack: Option<Length>,
    /// Crossings lie this far above both bands' tops, on the slope; negative for lower.
    pub crossing_above: Option<Length>,
    /// Between a lead and a fastener.
    pub lead_clearance: Option<Length>,
    /// Width of the gap in a nail row where a lead passes.
    pub nail_gap: Option<Length>,
    /// Lead left free in a box.
    pub box_tail: Option<Length>,
    /// Lead used up at a power connection.
    pub connection_tail: Option<Length>,
    /// From the eave down the wall to an outside box.
    pub wall_drop: Option<Length>,
    /// Leads through one hole in the deck.
    pub leads_per_hole: Option<u32>,
    /// In a retrofit: whether shingles may be stripped and relaid in lanes for leads that have no other way.
    pub strip_and_relay: Option<bool>,
    /// Boxes whose place is settled; without any, places are chosen.
    #[serde(rename = "box")]
    pub boxes: Vec<BoxTable>,
}

/// A junction box whose place is settled.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoxTable {
    /// What is printed on it.
    pub tag: String,
    /// Where, [x, y] in the drawing's own coordinates.
    pub at: [f64; 2],
    /// under-deck or outside-wall.
    pub place: BoxPlace,
}

/// Supply and code.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ElectricalTable {
    /// Supply voltage, volts.
    pub volts: Option<f64>,
    /// Adopted edition of the electrical code, a year.
    pub code_edition: Option<u32>,
    /// Largest breaker to use, amperes.
    pub largest_breaker: Option<f64>,
    /// Voltage drop allowed in a lead.
    pub lead_drop: Option<Share>,
    /// Supply voltage as measured, volts, when it is not the nominal one.
    pub measured_volts: Option<f64>,
    /// single-phase or three-phase.
    pub supply: Option<Supply>,
    /// Lower rating of the terminals at panel and boxes, °C: 60 or 75.
    pub terminals: Option<u32>,
    /// Air around the branch conductors, °F.
    pub ambient: Option<f64>,
    /// Conduit of the home runs: emt, rmc or pvc-40.
    pub conduit: Option<Conduit>,
    /// Circuits that share one conduit.
    pub circuits_per_conduit: Option<u32>,
    /// Voltage drop allowed from panel to box; the branch conductor is made heavier until it holds.
    pub branch_drop: Option<Share>,
    /// Voltage drop of the feeder to the panel.
    pub feeder_drop: Option<Share>,
    /// Trip setting of the ground-fault protection, milliamperes.
    pub ground_fault_trip: Option<f64>,
    /// Coldest temperature of the element when it is switched on, °F.
    pub start_temperature: Option<f64>,
    /// Temperature at which the steady load is reckoned, °F, for element whose power changes with it; of what surrounds it where the
    /// catalogue states `rise_per_watt`.
    pub running_temperature: Option<f64>,
    /// Fault current available at the panel, amperes, as the utility or the designer of the service gives it; never assumed.
    pub fault_current: Option<f64>,
    /// The panel, when it is known.
    pub panel: Option<PanelTable>,
}

/// The panel the circuits come from.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PanelTable {
    /// Its name.
    pub tag: String,
    /// Free spaces, counted in poles.
    pub spaces: u32,
    /// Current left for this work, amperes. May be left out where `main_amps` and `existing_amps` are given.
    pub spare_amps: Option<f64>,
    /// Rating of its bus, amperes.
    pub bus_amps: Option<f64>,
    /// Rating of its main breaker, amperes.
    pub main_amps: Option<f64>,
    /// Load calculated for it without this work, amperes.
    pub existing_amps: Option<f64>,
    /// The part of that load which never runs together with de-icing (cooling), amperes.
    pub non_coincident_amps: Option<f64>,
    /// Length of the wires from the panel to the boxes, one way.
    pub home_run: Length,
}

/// Paper.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SheetTable {
    /// Sheet size, landscape: ANSI B, ANSI D, ARCH C, ARCH D, ISO A2 or ISO A1.
    pub size: Option<SheetSize>,
    /// Release of the DXF files: R2000 or R2010.
    pub dxf: Option<DxfRelease>,
}

/// The JSON Schema of a job file.
#[must_use]
pub fn job_schema() -> serde_json::Value {
    schemars::schema_for!(JobFile).to_value()
}

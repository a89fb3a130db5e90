//! What to cut, what to order, what to pack and what it costs.

use crate::index::{FaceId, LeadId, SegmentId};
use schemars::JsonSchema;
use serde::Serialize;

/// One line of the material list.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MaterialLine {
    /// Group heading: `element`, `leads`, `connections`, `fixing`, `boxes`, `protection`, `wire`, `retrofit`, `labels`, `marks`.
    pub group: String,
    /// Catalogue key, or our own word for a thing without one.
    pub key: String,
    /// What it is.
    pub words: String,
    /// How many or how much the drawing takes.
    pub quantity: f64,
    /// Unit of the quantity: `ft`, `pc`.
    pub unit: String,
    /// How many or how much to order: whole pieces and feet, with spare; 0 for what another line orders or nobody buys.
    pub order: f64,
    /// Which parts it is the sum of, in words.
    pub basis: String,
}

/// One piece to cut.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CutPiece {
    /// The segment.
    pub segment: SegmentId,
    /// Its tag.
    pub tag: String,
    /// The face.
    pub face: FaceId,
    /// Catalogue key of the element.
    pub element_key: String,
    /// Inches.
    pub length: f64,
}

/// One lead to cut.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LeadPiece {
    /// The lead.
    pub lead: LeadId,
    /// Catalogue key.
    pub lead_key: String,
    /// Inches.
    pub length: f64,
    /// The stock length it is ordered in, inches; none when it is cut from a spool or longer than any stock.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stock: Option<f64>,
}

/// One roll and what is cut from it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RollCut {
    /// Its pieces, longest first.
    pub pieces: Vec<SegmentId>,
    /// What is left, inches.
    pub offcut: f64,
    /// Whether what is left is long enough to keep.
    pub kept: bool,
}

/// How the pieces of one element are cut from its rolls.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CuttingPlan {
    /// Catalogue key of the element.
    pub element_key: String,
    /// Length of a roll, inches.
    pub roll_length: f64,
    /// Lost to each cut between two pieces, inches.
    pub kerf: f64,
    /// The rolls.
    pub rolls: Vec<RollCut>,
    /// Fewest rolls any plan can need.
    pub bound: usize,
    /// Whether the plan is proven to need no roll too many.
    pub optimal: bool,
    /// Pieces longer than a roll; joined on no roll.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub too_long: Vec<SegmentId>,
}

/// Something packed in a kit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KitPart {
    /// Key of the material list.
    pub key: String,
    /// How many or how much, in that list's unit.
    pub quantity: f64,
}

/// What is packed together for one face.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Kit {
    /// The face.
    pub face: FaceId,
    /// Its pieces of element.
    pub segments: Vec<SegmentId>,
    /// Leads and jumpers that end on them.
    pub leads: Vec<LeadId>,
    /// Small parts for them.
    pub parts: Vec<KitPart>,
}

/// Working time for one kind of work.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LabourLine {
    /// The work.
    pub words: String,
    /// How often.
    pub quantity: f64,
    /// Of what.
    pub unit: String,
    /// Minutes each.
    pub minutes: f64,
    /// Hours in all.
    pub hours: f64,
}

/// A line of the quote.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct QuoteLine {
    /// Key of the material list.
    pub key: String,
    /// What it is.
    pub words: String,
    /// How many or how much is ordered.
    pub order: f64,
    /// Unit.
    pub unit: String,
    /// Price of one; none when the catalogue has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// Price of all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<f64>,
}

/// What it costs. Totals are sums of the lines; nothing without a price is in them.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct Quote {
    /// Currency.
    pub currency: String,
    /// Whether the prices are made up.
    pub invented: bool,
    /// Material in the order of the list.
    pub lines: Vec<QuoteLine>,
    /// Sum of the lines.
    pub material: f64,
    /// Working time.
    pub labour_lines: Vec<LabourLine>,
    /// Sum of the hours.
    pub hours: f64,
    /// Price of an hour; none when the job names none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rate: Option<f64>,
    /// Hours at the rate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub labour: Option<f64>,
    /// Markup on material and labour.
    pub markup: f64,
    /// Tax on all of it.
    pub tax: f64,
    /// All of it.
    pub total: f64,
    /// Keys of what is ordered without a price.
    pub unpriced: Vec<String>,
}

/// The takeoff. Totals equal the sums of their parts.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct Takeoff {
    /// Element pieces in segment order.
    pub cuts: Vec<CutPiece>,
    /// How they are cut from rolls.
    pub plans: Vec<CuttingPlan>,
    /// Leads in lead order.
    pub leads: Vec<LeadPiece>,
    /// Everything to order.
    pub materials: Vec<MaterialLine>,
    /// What is packed together, face by face.
    pub kits: Vec<Kit>,
    /// What it costs.
    pub quote: Quote,
}

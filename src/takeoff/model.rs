//! What to order.

use crate::index::{FaceId, LeadId, SegmentId};
use schemars::JsonSchema;
use serde::Serialize;

/// One line of the material list.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MaterialLine {
    /// Group heading: `element`, `leads`, `connections`, `boxes`, `protection`, `retrofit`, `labels`, `marks`.
    pub group: String,
    /// Catalogue key, or our own word for a thing without one.
    pub key: String,
    /// What it is.
    pub words: String,
    /// How many or how much.
    pub quantity: f64,
    /// Unit of the quantity: `ft`, `pc`.
    pub unit: String,
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
}

/// The takeoff. Totals equal the sums of their parts.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct Takeoff {
    /// Element pieces in segment order.
    pub cuts: Vec<CutPiece>,
    /// Leads in lead order.
    pub leads: Vec<LeadPiece>,
    /// Everything to order.
    pub materials: Vec<MaterialLine>,
}

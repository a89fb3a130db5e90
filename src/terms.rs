//! Words of the trade that the job file and several stages share.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a roof edge is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeKind {
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
    /// Nothing known.
    Unknown,
}

impl EdgeKind {
    /// The trade's word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Eave => "eave",
            Self::Rake => "rake",
            Self::Ridge => "ridge",
            Self::Hip => "hip",
            Self::Valley => "valley",
            Self::HighEdge => "high edge",
            Self::Sidewall => "sidewall",
            Self::PitchBreak => "pitch break",
            Self::FlatBreak => "flat break",
            Self::Step => "step",
            Self::FlatEdge => "flat edge",
            Self::Skew => "skew edge",
            Self::Unknown => "unknown",
        }
    }
}

/// Where a box hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BoxPlace {
    /// Under the deck, in a reachable attic.
    UnderDeck,
    /// On the wall under an eave or rake, wet location.
    OutsideWall,
}

/// Release of the DXF format that is written.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum DxfRelease {
    /// AC1015: what every program since 2000 reads.
    #[default]
    R2000,
    /// AC1024: greys as true colours.
    R2010,
}

/// Kinds of conduit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Conduit {
    /// Electrical metallic tubing.
    Emt,
    /// Rigid metal conduit.
    Rmc,
    /// PVC conduit, schedule 40.
    #[serde(rename = "pvc-40")]
    Pvc40,
}

impl Conduit {
    /// Its name in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Emt => "EMT",
            Self::Rmc => "RMC",
            Self::Pvc40 => "PVC schedule 40",
        }
    }
}

/// How a supply is wired.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Supply {
    /// Two lines and a neutral, 120/240 V.
    SinglePhase,
    /// Three lines, 120/208 V or 277/480 V.
    ThreePhase,
}

//! Findings: what a person must know about a drawing that was made.
//!
//! The other channel is [`crate::error::Error`], for when no drawing can be made. Nothing is dropped silently: whatever a
//! stage repairs, assumes, ignores or leaves cold becomes a finding with its place.

use crate::geometry::Point2;
use schemars::JsonSchema;
use serde::Serialize;

/// How much a finding matters, in rising order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Worth knowing, nothing to do.
    Note,
    /// Something in the drawing that was not used.
    Ignored,
    /// The linework was mended.
    Repaired,
    /// A value nobody gave; the drawing stays preliminary until it is settled.
    Assumed,
    /// A stretch that would be heated and is not.
    Cold,
    /// Likely wrong; look before building.
    Warning,
    /// A person must settle this before a layout can be drawn: the command ends with status 1.
    Blocking,
}

/// Where in the drawing, as far as known. Empty fields are unknown.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct Place {
    /// Layer name as in the source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layer: Option<String>,
    /// Entity handle (hexadecimal) as in the source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub handle: Option<String>,
    /// Line of the DXF or job file, from one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// Names of the blocks it was drawn in, outermost first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub block_path: Vec<String>,
    /// A point. Inches in the working frame inside the program; drawing coordinates once printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<Point2>,
    /// The item's own id: `E12`, `F3`, `S7`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub item: Option<String>,
}

impl Place {
    /// Nowhere in particular.
    #[must_use]
    pub fn none() -> Self {
        Self::default()
    }

    /// A point of the plan, in inches of the working frame.
    #[must_use]
    pub fn at(point: Point2) -> Self {
        Self { at: Some(point), ..Self::default() }
    }

    /// An item by its id.
    #[must_use]
    pub fn item(id: impl std::fmt::Display) -> Self {
        Self { item: Some(id.to_string()), ..Self::default() }
    }

    /// A line of a text file.
    #[must_use]
    pub fn line(line: usize) -> Self {
        Self { line: Some(line), ..Self::default() }
    }

    /// The same place with a point added.
    #[must_use]
    pub fn with_point(mut self, point: Point2) -> Self {
        self.at = Some(point);
        self
    }
}

/// One thing a person must know.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// A stable word for scripts, in kebab case; listed in DEVELOPERS.md.
    pub code: &'static str,
    /// What is the matter, with both values where two disagree.
    pub message: String,
    /// Where.
    pub place: Place,
    /// Which setting or edit helps.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hint: Option<String>,
}

impl Finding {
    /// A finding without a hint.
    #[must_use]
    pub fn new(severity: Severity, code: &'static str, message: impl Into<String>, place: Place) -> Self {
        Self { severity, code, message: message.into(), place, hint: None }
    }

    /// The same finding with a hint.
    #[must_use]
    pub fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

/// A stage's value together with what it found on the way.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome<T> {
    /// The value handed to the next stage.
    pub value: T,
    /// In the order found.
    pub findings: Vec<Finding>,
}

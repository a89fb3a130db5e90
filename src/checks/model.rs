//! Judgements on the finished layout.

use schemars::JsonSchema;
use serde::Serialize;

/// How a check came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Within the limit.
    Pass,
    /// Beyond the limit.
    Fail,
    /// For the authority having jurisdiction to decide.
    Authority,
}

/// Where the rule's text or number comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SourceLabel {
    /// Seen as quoted on a public page.
    Seen,
    /// From memory; never printed as code text.
    Memory,
    /// Computed here.
    Computed,
    /// Common practice, no source.
    Practice,
}

/// One check with the numbers that went in.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Check {
    /// A stable word in kebab case.
    pub code: String,
    /// What was checked: `C1`, `S4`, `whole roof`.
    pub item: String,
    /// The rule in our words.
    pub rule: String,
    /// The clause, if it has one.
    pub clause: Option<String>,
    /// Where the rule comes from.
    pub source: SourceLabel,
    /// How it came out.
    pub verdict: Verdict,
    /// The value found.
    pub value: f64,
    /// The limit, if there is one.
    pub limit: Option<f64>,
    /// Unit of both.
    pub unit: String,
    /// The arithmetic in one line.
    pub working: String,
}

/// Loads in total.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, JsonSchema)]
pub struct LoadSummary {
    /// Element length, inches.
    pub element_length: f64,
    /// Element area, square inches.
    pub element_area: f64,
    /// Heated zone area on the slope, square inches.
    pub zone_area: f64,
    /// Power, watts.
    pub watts: f64,
    /// Sum of the circuits' currents, amperes.
    pub amps: f64,
    /// Watts per square foot of the element's own area.
    pub element_watt_density: f64,
    /// Watts per square foot of zone.
    pub zone_watt_density: f64,
}

/// All checks.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Checks {
    /// Totals.
    pub load: LoadSummary,
    /// In order: element, segment, chain, circuit, service.
    pub checks: Vec<Check>,
}

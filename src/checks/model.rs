//! Judgements on the finished layout.

use crate::index::CircuitId;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

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
    /// What conductors and breakers must carry for it, 125 %, amperes.
    pub continuous_amps: f64,
    /// Watts per square foot of the element's own area.
    pub element_watt_density: f64,
    /// Watts per square foot of zone.
    pub zone_watt_density: f64,
    /// Heater in gutters and downspouts, inches.
    pub gutter_length: f64,
    /// Its power, watts; 0 where the job does not give it.
    pub gutter_watts: f64,
    /// Roof, gutters and downspouts together, watts.
    pub total_watts: f64,
    /// The current of all that, amperes.
    pub total_amps: f64,
}

/// How a circuit is supplied.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CircuitSupply {
    /// The circuit.
    pub circuit: CircuitId,
    /// Poles of its breaker.
    pub poles: u32,
    /// The lines it hangs on: `A-B`.
    pub lines: String,
    /// What conductors and breaker must carry for it, 125 % of its current, amperes.
    pub continuous_amps: f64,
    /// Kind and trade size of its conduit; none beyond the tables.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conduit: Option<String>,
    /// Volts lost from panel to box; none without a panel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drop: Option<f64>,
    /// Leakage of its element, milliamperes; none when the catalogue does not say.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leakage: Option<f64>,
    /// Current at switching on, amperes; none when the catalogue does not say.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start_amps: Option<f64>,
    /// Current at the measured supply voltage, amperes; none without a measured voltage.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_amps: Option<f64>,
    /// Power at the measured supply voltage, watts; none without a measured voltage.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_watts: Option<f64>,
}

/// What a resistance reading is taken of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ReadingOf {
    /// One segment at its fed end, far end open.
    Segment,
    /// A chain at the box, with its leads.
    Chain,
}

/// A resistance to expect between the two conductors, far end open.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reading {
    /// Tag of the segment, id of the chain.
    pub item: String,
    /// What it is taken of.
    pub of: ReadingOf,
    /// Ohms at rated resistance.
    pub ohms: f64,
    /// Least acceptable, ohms; none when the catalogue states no tolerance or resistance changes with temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Most acceptable, ohms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
}

/// A test of the insulation between the buses, tied together, and the ground layer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct InsulationTest {
    /// Direct voltage, volts. Class of up to 500 V, seen as quoted at trv.banenor.no.
    pub volts: f64,
    /// How long it is held, seconds. Seen at infralens.in.
    pub seconds: f64,
    /// Least reading, megohms. Seen as quoted at trv.banenor.no; the maker may ask for more.
    pub least_megohms: f64,
}

/// What an item of the one-line diagram is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OneLineKind {
    /// The service.
    Service,
    /// The panel.
    Panel,
    /// The controller.
    Controller,
    /// The sensor.
    Sensor,
    /// A branch breaker.
    Breaker,
    /// A disconnect switch.
    Disconnect,
    /// Poles of controller or contactor.
    Contactor,
    /// Wires to the boxes.
    HomeRun,
    /// A junction box.
    JunctionBox,
    /// Segments fed from one end.
    Chain,
}

impl OneLineKind {
    /// What it is called.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Service => "service",
            Self::Panel => "panel",
            Self::Controller => "controller",
            Self::Sensor => "sensor",
            Self::Breaker => "breaker",
            Self::Disconnect => "disconnect",
            Self::Contactor => "contactor",
            Self::HomeRun => "home run",
            Self::JunctionBox => "box",
            Self::Chain => "chain",
        }
    }
}

/// An item of the one-line diagram.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OneLineItem {
    /// What it is.
    pub kind: OneLineKind,
    /// What is printed at it.
    pub tag: String,
    /// Its figures.
    pub words: String,
    /// The item it hangs on, by place in the list.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<usize>,
}

/// The flux a level slab in the open needs, Btu/h ft².
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct MeltDemand {
    /// Warming snow and water.
    pub sensible: f64,
    /// Melting.
    pub melting: f64,
    /// Convection from a bare surface.
    pub convection: f64,
    /// Radiation from a bare surface.
    pub radiation: f64,
    /// Evaporation from a bare surface.
    pub evaporation: f64,
    /// All of it at the job's free area.
    pub total: f64,
}

/// Melting and icing for the job's weather. A bound and an estimate, no promise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Heat {
    /// Whether the job gave the weather.
    pub weather_given: bool,
    /// Share of the band that is to stay bare, 0..1.
    pub free_area: f64,
    /// Demand by the energy balance.
    pub balance: MeltDemand,
    /// Demand by the older closed form, as a cross-check.
    pub closed_form: MeltDemand,
    /// Power on the band, W/ft².
    pub band_watts_per_square_foot: f64,
    /// Flux of the band at the surface, Btu/h ft².
    pub band_flux: f64,
    /// Snowfall as water that it melts as it falls, in/h.
    pub water_melted: f64,
    /// The same as snow, in/h.
    pub snow_melted: f64,
    /// Icing: temperature of the snow's base if it could not melt, °F.
    pub dam_dry_surface: f64,
    /// Icing: flux left to melt it, Btu/h ft².
    pub dam_melt_flux: f64,
    /// Icing: water that runs down to the eave, in/h.
    pub dam_water_rate: f64,
    /// Icing: whether water runs down to an eave below freezing.
    pub dam_likely: bool,
}

/// All checks.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Checks {
    /// Totals.
    pub load: LoadSummary,
    /// In order: element, segment, chain, circuit, box, service, what the authority decides.
    pub checks: Vec<Check>,
    /// How each circuit is supplied, in circuit order.
    pub supplies: Vec<CircuitSupply>,
    /// Resistances to expect: each fed segment by itself, then each chain at its box.
    pub readings: Vec<Reading>,
    /// The insulation test, where element has something to be tested against.
    pub insulation: Option<InsulationTest>,
    /// The one-line diagram.
    pub one_line: Vec<OneLineItem>,
    /// Melting and icing; none when nothing is heated.
    pub heat: Option<Heat>,
}

impl Checks {
    /// The readings of a kind by what they are taken of: whoever asks for many of them asks once for all.
    #[must_use]
    pub fn readings_of(&self, of: ReadingOf) -> BTreeMap<&str, &Reading> {
        self.readings.iter().filter(|r| r.of == of).map(|r| (r.item.as_str(), r)).collect()
    }
}

//! Product data the layout needs. Nothing here lives in code: every number comes from a TOML file.

use crate::units::{Length, Share};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A shingle as laid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Shingle {
    /// Name the job file uses.
    pub key: String,
    /// What it is, in words.
    pub words: String,
    /// Course spacing on the slope.
    pub exposure: Length,
    /// Height of the whole shingle.
    pub height: Length,
    /// Width of the whole shingle.
    pub width: Length,
    /// Lower edge of the nail band above the butt.
    pub nail_low: Length,
    /// Upper edge of the nail band above the butt.
    pub nail_high: Length,
    /// Distance of the end nails from the shingle's ends.
    pub end_nail: Length,
    /// Lower edge of the starter strip's nail row above the drip edge.
    pub starter_nail_low: Length,
    /// Upper edge of the starter strip's nail row above the drip edge.
    pub starter_nail_high: Length,
    /// How far it hangs over the drip edge.
    pub overhang: Length,
}

/// Flat heating element.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Element {
    /// Name the job file uses.
    pub key: String,
    /// What it is, in words.
    pub words: String,
    /// Width over all.
    pub width: Length,
    /// Thickness.
    pub thickness: Length,
    /// Supply voltage it is made for, volts.
    pub volts: f64,
    /// Power per foot at that voltage, watts.
    pub watts_per_foot: f64,
    /// Resistance of both bus bars together per foot, ohms.
    pub bus_ohms_per_foot: f64,
    /// Longest piece.
    pub longest_piece: Length,
    /// Length of a roll.
    pub roll_length: Length,
    /// Whether it has a conductive ground layer over its heated length.
    pub ground_layer: bool,
    /// Listing by a testing laboratory, if any is stated.
    pub listing: Option<String>,
    /// Whether that listing covers use under a roof covering.
    pub listed_under_roof_covering: bool,
    /// Current its bus bars may carry, amperes.
    pub bus_amps: Option<f64>,
    /// Power at switching on over rated power, for element that draws more when cold.
    pub cold_start_factor: Option<f64>,
    /// Power by temperature, for element whose resistance changes with it; in rising order of temperature.
    #[serde(default)]
    pub power_curve: Vec<CurvePoint>,
    /// How far the laid element warms above what surrounds it, °F for each watt per foot; makes its power hang on its own heat by
    /// `power_curve`.
    pub rise_per_watt: Option<f64>,
    /// How far a piece's resistance may lie from its rated value.
    pub resistance_tolerance: Option<Share>,
    /// Leakage current to ground in use, milliamperes per foot.
    pub leakage_per_foot: Option<f64>,
    /// How it is held to the deck.
    pub fixing: Option<String>,
}

/// Power of an element at a temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CurvePoint {
    /// Temperature of the element, degrees Fahrenheit.
    pub fahrenheit: f64,
    /// Power over rated power.
    pub factor: f64,
}

/// Cold lead cable.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LeadCable {
    /// Name the job file uses.
    pub key: String,
    /// What it is, in words.
    pub words: String,
    /// Conductor size, AWG.
    pub awg: u32,
    /// Resistance of one conductor per 1000 ft, ohms.
    pub ohms_per_kft: f64,
    /// Outside diameter (flat cables: the larger side).
    pub diameter: Length,
    /// Thickness where it lies flat under shingles; its diameter when not given.
    pub thickness: Option<Length>,
    /// Smallest bend radius.
    pub bend_radius: Length,
    /// Largest continuous current, amperes.
    pub amps: f64,
    /// Lengths it is kept in, ready with its connection; none for cable cut from a spool.
    #[serde(default)]
    pub stock_lengths: Vec<Length>,
}

impl LeadCable {
    /// From middle to middle of leads lying side by side, inches: 1/8 in between them lets shingles bed. Common practice.
    #[must_use]
    pub fn pitch(&self) -> f64 {
        self.diameter.inches() + 0.125
    }

    /// From the middle of a lead to an element it passes, inches: a diameter between them. Common practice.
    #[must_use]
    pub fn beside_element(&self) -> f64 {
        1.5 * self.diameter.inches()
    }

    /// Width of a strip between two elements that takes so many leads side by side, inches.
    #[must_use]
    pub fn column_width(&self, leads: u32) -> f64 {
        2.0 * self.beside_element() + f64::from(leads.saturating_sub(1)) * self.pitch()
    }
}

/// A junction box.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoxType {
    /// Name the job file uses.
    pub key: String,
    /// What it is, in words.
    pub words: String,
    /// Fit for wet locations.
    pub wet_location: bool,
    /// Inside volume, cubic inches.
    pub cubic_inches: f64,
    /// Leads it takes.
    pub leads: u32,
}

/// A disconnect switch: opens a circuit at a place a person can reach and lock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Disconnect {
    /// Name the job file uses.
    pub key: String,
    /// What it is, in words.
    pub words: String,
    /// Poles.
    pub poles: u32,
    /// Rating of a pole, amperes.
    pub amps: f64,
    /// Rated voltage, volts.
    pub volts: f64,
    /// Whether all its poles open together.
    pub all_poles: bool,
    /// Whether it shows that it is open.
    pub indicating: bool,
    /// Whether it can be locked open.
    pub lockable: bool,
}

/// A contactor: switches circuits for a controller that cannot carry them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Contactor {
    /// Name the job file uses.
    pub key: String,
    /// What it is, in words.
    pub words: String,
    /// Poles.
    pub poles: u32,
    /// Continuous current of a pole with resistive load, amperes.
    pub amps: f64,
    /// Rated voltage, volts.
    pub volts: f64,
    /// Current its coil draws from the controller, amperes.
    pub coil_amps: f64,
}

/// A controller: asks the sensor and switches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Controller {
    /// Name the job file uses.
    pub key: String,
    /// What it is, in words.
    pub words: String,
    /// Poles of its output.
    pub poles: u32,
    /// Continuous current of a pole of its output, amperes.
    pub amps: f64,
    /// Rated voltage of its output, volts.
    pub volts: f64,
}

/// What a thing costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Price {
    /// Key of the thing in the material list.
    pub key: String,
    /// Price of one, in the currency of the job; per foot where the list counts feet.
    pub price: f64,
}

/// All product data of a job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Catalogue {
    /// Title of the catalogue.
    pub name: String,
    /// Whether its values are made up; printed on every sheet that uses them.
    pub invented: bool,
    /// Shingles.
    #[serde(rename = "shingle")]
    pub shingles: Vec<Shingle>,
    /// Elements.
    #[serde(rename = "element")]
    pub elements: Vec<Element>,
    /// Cold leads.
    #[serde(rename = "lead")]
    pub leads: Vec<LeadCable>,
    /// Boxes.
    #[serde(rename = "box")]
    pub boxes: Vec<BoxType>,
    /// Disconnect switches.
    #[serde(rename = "disconnect", default)]
    pub disconnects: Vec<Disconnect>,
    /// Contactors.
    #[serde(rename = "contactor", default)]
    pub contactors: Vec<Contactor>,
    /// Controllers.
    #[serde(rename = "controller", default)]
    pub controllers: Vec<Controller>,
    /// Prices of what the material list names.
    #[serde(rename = "price", default)]
    pub prices: Vec<Price>,
}

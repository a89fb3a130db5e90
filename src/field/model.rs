//! What came back from the site.

use schemars::JsonSchema;
use serde::Serialize;

/// Something measured that is not as drawn.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Difference {
    /// The edge, face or opening.
    pub item: String,
    /// What was measured.
    pub what: String,
    /// As drawn.
    pub drawn: String,
    /// As measured.
    pub measured: String,
}

/// The roof as measured against the roof as drawn.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct Measured {
    /// Measures the form asks for.
    pub asked: usize,
    /// Measures given.
    pub answered: usize,
    /// Differences that were taken into the layout.
    pub redrafted: Vec<Difference>,
    /// Differences that only another drawing settles.
    pub open: Vec<Difference>,
}

impl Measured {
    /// Whether cut lists may be cut from: everything is measured and nothing differs any more.
    #[must_use]
    pub fn for_cutting(&self) -> bool {
        self.asked > 0 && self.answered == self.asked && self.open.is_empty()
    }
}

/// What a cut list says about its lengths.
#[must_use]
pub fn cut_status(measured: Option<&Measured>) -> &'static str {
    if measured.is_some_and(Measured::for_cutting) { "FOR CUTTING" } else { "FOR QUOTE ONLY" }
}

/// When a test is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Rolls as delivered.
    Receipt,
    /// Pieces cut and terminated.
    Cut,
    /// Pieces laid, before they are covered.
    Laid,
    /// After the course that nails over the piece.
    Covered,
    /// Leads in the box.
    InBox,
    /// Hand-over.
    HandOver,
}

impl Stage {
    /// All in order.
    pub const ALL: [Self; 6] = [Self::Receipt, Self::Cut, Self::Laid, Self::Covered, Self::InBox, Self::HandOver];

    /// Its word in the record file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Receipt => "receipt",
            Self::Cut => "cut",
            Self::Laid => "laid",
            Self::Covered => "covered",
            Self::InBox => "in box",
            Self::HandOver => "hand-over",
        }
    }

    /// When it is, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Receipt => "on receipt, before a roll is cut",
            Self::Cut => "after cutting and terminating",
            Self::Laid => "after laying, before cover",
            Self::Covered => {
                "after each shingle course that nails over the piece: on failure stop and lift that course"
            }
            Self::InBox => "after the leads are in the box",
            Self::HandOver => "at hand-over",
        }
    }

    /// The hold point: nobody goes on before this is tested and signed.
    #[must_use]
    pub const fn hold(self) -> Option<&'static str> {
        match self {
            Self::Cut => Some("H1"),
            Self::Laid => Some("H2"),
            Self::Covered => Some("H3"),
            Self::InBox => Some("H4"),
            Self::Receipt | Self::HandOver => None,
        }
    }
}

/// What is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// Between the two conductors, far end open, ohms.
    Resistance,
    /// Conductors tied together to the ground layer, megohms.
    Insulation,
    /// Length as laid, inches.
    InstalledLength,
    /// Supply voltage, volts.
    Voltage,
    /// Current of a circuit, amperes.
    Current,
    /// The protection trips by its test button: yes or no.
    GroundFaultTrip,
    /// The control switches on by cold and moisture and off again: yes or no.
    ControlSwitches,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Resistance,
        Self::Insulation,
        Self::InstalledLength,
        Self::Voltage,
        Self::Current,
        Self::GroundFaultTrip,
        Self::ControlSwitches,
    ];

    /// Its word in the record file.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Resistance => "resistance",
            Self::Insulation => "insulation",
            Self::InstalledLength => "installed length",
            Self::Voltage => "voltage",
            Self::Current => "current",
            Self::GroundFaultTrip => "ground-fault trip by test button",
            Self::ControlSwitches => "control switches on and off",
        }
    }

    /// Its unit.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Resistance => "ohm",
            Self::Insulation => "Mohm",
            Self::InstalledLength => "in",
            Self::Voltage => "V",
            Self::Current => "A",
            Self::GroundFaultTrip | Self::ControlSwitches => "yes/no",
        }
    }
}

/// How a reading came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Judgement {
    /// Nobody read it.
    Missing,
    /// Read; nothing to hold it against.
    Unjudged,
    /// As expected.
    Good,
    /// Look again before going on.
    Doubtful,
    /// Stop.
    Bad,
}

/// A reading with its judgement.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct JudgedReading {
    /// When.
    pub stage: Stage,
    /// What of: a roll, a piece, a chain, a circuit.
    pub item: String,
    /// What was read.
    pub quantity: Quantity,
    /// Expected.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expected: Option<f64>,
    /// Reading as written.
    pub reading: String,
    /// Date, time, temperature, instrument and who, as written.
    pub by: String,
    /// How it came out.
    pub judgement: Judgement,
    /// Why, in words.
    pub why: String,
}

/// A hold point in the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Hold {
    /// H1 to H4.
    pub name: String,
    /// Readings it needs.
    pub needed: usize,
    /// Readings that are good or have nothing to be held against.
    pub passed: usize,
}

/// The record as it came back.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct Record {
    /// In the order of the form.
    pub readings: Vec<JudgedReading>,
    /// Hold points in order.
    pub holds: Vec<Hold>,
}

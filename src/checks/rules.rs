//! The rules in our words, each with its clause, how that clause is known, and what helps when it fails.

use super::model::{Check, SourceLabel, Verdict};

/// One rule.
pub(super) struct Rule {
    pub code: &'static str,
    pub words: &'static str,
    pub clause: Option<&'static str>,
    pub source: SourceLabel,
    pub unit: &'static str,
    pub remedy: &'static str,
}

/// A check with what goes into its finding.
pub(super) struct Judged {
    pub check: Check,
    pub remedy: &'static str,
    /// For the authority to decide, and beyond the figure it was compared with.
    pub beyond_comparison: bool,
}

impl Rule {
    pub fn judge(
        &self,
        item: impl Into<String>,
        verdict: Verdict,
        value: f64,
        limit: Option<f64>,
        working: String,
    ) -> Judged {
        Judged {
            check: Check {
                code: self.code.to_owned(),
                item: item.into(),
                rule: self.words.to_owned(),
                clause: self.clause.map(str::to_owned),
                source: self.source,
                verdict,
                value,
                limit,
                unit: self.unit.to_owned(),
                working,
            },
            remedy: self.remedy,
            beyond_comparison: false,
        }
    }
}

/// A value this much over its limit, as a share, still counts as equal: 12 A times 1.25 is 15 A whatever the last bit says.
const EQUAL: f64 = 1e-6;

/// Pass when `value` is not over `limit`.
pub(super) fn at_most(value: f64, limit: f64) -> Verdict {
    if value <= limit * (1.0 + EQUAL) { Verdict::Pass } else { Verdict::Fail }
}

/// For a figure that never is a pass: whether it is over what it is compared with.
pub(super) fn over(value: f64, figure: f64) -> bool {
    value > figure * (1.0 + EQUAL)
}

pub(super) const ELEMENT_VOLTAGE: Rule = Rule {
    code: "element-voltage",
    words: "the supply voltage is not over the element's own",
    clause: None,
    source: SourceLabel::Practice,
    unit: "V",
    remedy: "choose element for the supply voltage, or correct `volts` under [electrical]",
};

pub(super) const WATT_DENSITY: Rule = Rule {
    code: "watt-density",
    words: "power by the element's own area, compared with the ceiling for equipment embedded in paving: a conservative comparison only, for the authority and the element's listing to decide",
    clause: Some("426.20"),
    source: SourceLabel::Seen,
    unit: "W/sq ft",
    remedy: "choose element of lower power, or settle it with the authority before ordering",
};

pub(super) const ELEMENT_SPACING: Rule = Rule {
    code: "element-spacing",
    words: "clear distance between neighbouring elements, compared with the spacing of embedded cable: for the authority and the element's listing to decide",
    clause: Some("426.20"),
    source: SourceLabel::Seen,
    unit: "in",
    remedy: "set `rise` or choose another shingle or a narrower element",
};

pub(super) const GROUND_LAYER: Rule = Rule {
    code: "ground-layer",
    words: "the element has a conductive ground layer over its heated length, without which ground-fault protection has nothing to see",
    clause: Some("426.27"),
    source: SourceLabel::Memory,
    unit: "",
    remedy: "choose element with a ground layer",
};

pub(super) const LISTING: Rule = Rule {
    code: "listing",
    words: "the element's listing covers use under a roof covering: for the authority to accept",
    clause: None,
    source: SourceLabel::Practice,
    unit: "",
    remedy: "ask the maker for the listing and show it to the authority before ordering",
};

pub(super) const FIXING: Rule = Rule {
    code: "fixing",
    words: "exposed element is secured and supported as its maker says: for the authority to accept",
    clause: Some("426.21"),
    source: SourceLabel::Seen,
    unit: "",
    remedy: "state `fixing` of the element in the catalogue",
};

pub(super) const ELEMENT_TEMPERATURE: Rule = Rule {
    code: "element-temperature",
    words: "the element's power hangs on its temperature: load, drop and run limit hold at the temperature the job states, for the authority to accept",
    clause: None,
    source: SourceLabel::Computed,
    unit: "°F",
    remedy: "set `running_temperature` under [electrical], and give the catalogue a `power_curve` that covers it and the coldest start",
};

pub(super) const PIECE_LENGTH: Rule = Rule {
    code: "piece-length",
    words: "no piece is longer than the run limit, so that its far end keeps its voltage",
    clause: None,
    source: SourceLabel::Practice,
    unit: "ft",
    remedy: "lower `longest_piece` under [courses]",
};

pub(super) const LEAD_DROP: Rule = Rule {
    code: "lead-drop",
    words: "voltage lost in a chain's leads and jumpers stays within what the job allows",
    clause: None,
    source: SourceLabel::Computed,
    unit: "%",
    remedy: "move the box nearer, choose a heavier lead, or chain fewer pieces",
};

pub(super) const LEAD_CURRENT: Rule = Rule {
    code: "lead-current",
    words: "a chain's continuous current stays within that of its lead",
    clause: None,
    source: SourceLabel::Practice,
    unit: "A",
    remedy: "choose a heavier lead, or chain fewer pieces",
};

pub(super) const CONTINUOUS_LOAD: Rule = Rule {
    code: "continuous-load",
    words: "de-icing counts as a continuous load: the breaker carries 125 % of it",
    clause: Some("426.4, 210.20(A)"),
    source: SourceLabel::Seen,
    unit: "A",
    remedy: "raise `largest_breaker` under [electrical], or split the circuit",
};

pub(super) const STANDARD_BREAKER: Rule = Rule {
    code: "standard-breaker",
    words: "the breaker is a standard rating and not over the largest the job allows",
    clause: Some("240.6(A)"),
    source: SourceLabel::Seen,
    unit: "A",
    remedy: "set `largest_breaker` under [electrical] to a standard rating, or split the circuit",
};

pub(super) const CONDUCTOR: Rule = Rule {
    code: "conductor",
    words: "the branch conductor, corrected for its terminals, ambient and neighbours, carries 125 % of the load and is protected by the breaker",
    clause: Some("210.19(A)(1), 240.4(D), Table 310.16"),
    source: SourceLabel::Seen,
    unit: "A",
    remedy: "choose a heavier branch conductor",
};

pub(super) const EQUIPMENT_GROUND_SIZE: Rule = Rule {
    code: "equipment-ground",
    words: "the equipment ground is at least the size for the breaker (a smaller AWG number is a heavier wire)",
    clause: Some("Table 250.122"),
    source: SourceLabel::Seen,
    unit: "AWG",
    remedy: "choose a heavier equipment ground",
};

pub(super) const LEAD_PROTECTION: Rule = Rule {
    code: "lead-protection",
    words: "the breaker protects the cold lead's conductor; over that, the lead's size is for the element's listing and the authority to accept",
    clause: Some("240.4(D)"),
    source: SourceLabel::Seen,
    unit: "A",
    remedy: "choose a heavier cold lead or a smaller `largest_breaker`",
};

pub(super) const HOME_RUN_DROP: Rule = Rule {
    code: "home-run-drop",
    words: "voltage lost from panel to box, compared with the 3 % of an informational note, which binds nobody",
    clause: Some("210.19(A), informational note"),
    source: SourceLabel::Seen,
    unit: "%",
    remedy: "choose a heavier branch conductor for the home run",
};

pub(super) const TOTAL_DROP: Rule = Rule {
    code: "total-drop",
    words: "voltage lost in feeder and branch circuit together, compared with the 5 % of an informational note, which binds nobody",
    clause: Some("215.2(A), informational note"),
    source: SourceLabel::Seen,
    unit: "%",
    remedy: "choose heavier conductors for feeder or home run",
};

pub(super) const CONDUIT_FILL: Rule = Rule {
    code: "conduit-fill",
    words: "the wires of a home run fill no more of their conduit than they may",
    clause: Some("Chapter 9 Tables 1, 4 and 5"),
    source: SourceLabel::Seen,
    unit: "sq in",
    remedy: "set `circuits_per_conduit` lower under [electrical]",
};

pub(super) const BUS_CURRENT: Rule = Rule {
    code: "bus-current",
    words: "the current into a piece, with all it feeds through, stays within what its bus bars may carry",
    clause: None,
    source: SourceLabel::Practice,
    unit: "A",
    remedy: "chain fewer pieces, or state `bus_amps` of the element in the catalogue",
};

pub(super) const MEASURED_LOAD: Rule = Rule {
    code: "measured-load",
    words: "at the measured supply voltage too the breaker carries 125 % of the load",
    clause: Some("426.4, 210.20(A)"),
    source: SourceLabel::Seen,
    unit: "A",
    remedy: "split the circuit, or correct `measured_volts` under [electrical]",
};

pub(super) const COLD_START: Rule = Rule {
    code: "cold-start",
    words: "current at switching on, compared with the breaker's rating: its trip curve is not known here",
    clause: None,
    source: SourceLabel::Practice,
    unit: "A",
    remedy: "start circuits one after another, or have the breaker's trip curve looked at",
};

pub(super) const LEAKAGE: Rule = Rule {
    code: "leakage",
    words: "leakage of all element on a circuit stays under half the trip setting, so that protection does not trip in wet weather",
    clause: None,
    source: SourceLabel::Practice,
    unit: "mA",
    remedy: "split the circuit, or agree another trip setting with the authority",
};

pub(super) const BOX_FILL: Rule = Rule {
    code: "box-fill",
    words: "the box has room for its conductors, clamps and grounds",
    clause: Some("314.16(B)"),
    source: SourceLabel::Seen,
    unit: "cu in",
    remedy: "choose a larger box, or add a box under [[wiring.box]]",
};

pub(super) const BOX_LEADS: Rule = Rule {
    code: "box-leads",
    words: "the box takes all leads that end in it",
    clause: None,
    source: SourceLabel::Practice,
    unit: "leads",
    remedy: "choose a larger box, or add a box under [[wiring.box]]",
};

pub(super) const GROUND_FAULT: Rule = Rule {
    code: "ground-fault-protection",
    words: "every circuit has ground-fault protection of equipment; its trip setting, commonly 30 mA, is for the authority to accept",
    clause: Some("426.28"),
    source: SourceLabel::Seen,
    unit: "circuits",
    remedy: "order breakers with ground-fault protection of equipment",
};

pub(super) const DISCONNECT: Rule = Rule {
    code: "disconnect",
    words: "a lockable disconnect that shows its position opens all ungrounded conductors: its place and rating are for the authority to accept",
    clause: Some("426.50"),
    source: SourceLabel::Memory,
    unit: "A",
    remedy: "agree the place of the disconnect with the authority",
};

pub(super) const PANEL_SPACES: Rule = Rule {
    code: "panel-spaces",
    words: "the panel has free spaces for the breakers",
    clause: None,
    source: SourceLabel::Practice,
    unit: "poles",
    remedy: "use larger breakers, heat less, or add a subpanel",
};

pub(super) const PANEL_AMPS: Rule = Rule {
    code: "panel-amps",
    words: "125 % of all circuits' currents, taken as one sum, stays within what the panel has left",
    clause: Some("426.4"),
    source: SourceLabel::Seen,
    unit: "A",
    remedy: "heat less, or have the service calculated and enlarged",
};

pub(super) const PANEL_SERVICE: Rule = Rule {
    code: "panel-service",
    words: "existing load, of which what never runs with de-icing gives way to it, and 125 % of de-icing stay within the main breaker",
    clause: Some("220.60, 220.87"),
    source: SourceLabel::Memory,
    unit: "A",
    remedy: "heat less, or have the service calculated and enlarged",
};

pub(super) const PANEL_BUS: Rule = Rule {
    code: "panel-bus",
    words: "the main breaker does not exceed the rating of the panel's bus",
    clause: None,
    source: SourceLabel::Practice,
    unit: "A",
    remedy: "correct `bus_amps` or `main_amps` under [electrical.panel]",
};

pub(super) const FAULT_CURRENT: Rule = Rule {
    code: "fault-current",
    words: "every breaker interrupts the fault current available at its panel; the panel is marked with that current where the code asks",
    clause: Some("110.9, 110.24"),
    source: SourceLabel::Memory,
    unit: "A",
    remedy: "ask the utility for the available fault current and give it as `fault_current` under [electrical]",
};

pub(super) const FAULT_CURRENT_OPEN: Rule = Rule {
    words: "the fault current available at the panel is not given: by the utility; the interrupting rating of every breaker follows from it",
    unit: "",
    ..FAULT_CURRENT
};

pub(super) const PHASE_BALANCE: Rule = Rule {
    code: "phase-balance",
    words: "load of the fullest line over the mean of all lines, circuits hung on lines as the schedule says",
    clause: None,
    source: SourceLabel::Computed,
    unit: "%",
    remedy: "hang the circuits on other lines by agreement with the panel's other loads",
};

pub(super) const CONTROLLER: Rule = Rule {
    code: "controller",
    words: "controller or contactor opens all ungrounded conductors; each pole carries its circuit as a continuous load",
    clause: Some("426.51"),
    source: SourceLabel::Memory,
    unit: "A a pole",
    remedy: "order a controller or contactor with such poles",
};

pub(super) const PANEL_UNKNOWN: Rule = Rule {
    code: "panel-unknown",
    words: "the panel is not known: spaces, service capacity and the drop of the home run are to be shown to the authority",
    clause: None,
    source: SourceLabel::Practice,
    unit: "A",
    remedy: "give [electrical.panel] in the job file",
};

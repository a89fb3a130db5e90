//! Tables of the electrical code that circuits need, as data with their source and how far that source was seen.
//!
//! The code's own text was never open; `Seen` means seen as quoted on public pages. A value from memory is never printed
//! as code text.

use schemars::JsonSchema;
use serde::Serialize;

/// How a value of a table is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Label {
    /// Seen as quoted on a public page.
    Seen,
    /// From memory.
    Memory,
}

/// Rows with the clause they stand for and where they were seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Table<T: 'static> {
    /// The clause.
    pub clause: &'static str,
    /// Where its values were seen.
    pub source: &'static str,
    /// How far.
    pub label: Label,
    /// In rising order of rating or size.
    pub rows: &'static [T],
}

/// Overcurrent rating up to which a small copper conductor may be protected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SmallConductor {
    /// Size, AWG.
    pub awg: u32,
    /// Largest rating, amperes.
    pub amps: f64,
}

/// Ampacity of a copper conductor on 60 °C terminals, not more than three conductors, 30 °C ambient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CopperAmpacity {
    /// Size, AWG.
    pub awg: u32,
    /// Amperes.
    pub amps: f64,
}

/// Copper equipment ground for ratings up to `up_to`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundSize {
    /// Largest overcurrent rating, amperes.
    pub up_to: f64,
    /// Size, AWG.
    pub awg: u32,
}

/// Standard overcurrent ratings, amperes. The 10 A rating of the 2023 edition is recalled only and left out: it would
/// never be chosen over 15 A for fixed de-icing on 14 AWG.
pub const STANDARD_RATINGS: Table<f64> = Table {
    clause: "240.6(A)",
    source: "quoted at callout.app/codes/nec-2023-240-6 and sparkshift.app",
    label: Label::Seen,
    rows: &[
        15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 125.0, 150.0, 175.0,
        200.0, 225.0, 250.0, 300.0,
    ],
};

/// Small copper conductors.
pub const SMALL_CONDUCTORS: Table<SmallConductor> = Table {
    clause: "240.4(D)",
    source: "quoted at encorewire.com and voltagelab.com",
    label: Label::Seen,
    rows: &[
        SmallConductor { awg: 14, amps: 15.0 },
        SmallConductor { awg: 12, amps: 20.0 },
        SmallConductor { awg: 10, amps: 30.0 },
    ],
};

/// Copper ampacity in the 60 °C column: terminals up to 100 A count as 60 °C unless marked.
/// Recent editions; an older print gives 20 A and 25 A for 14 and 12 AWG, where the small-conductor rule governs anyway.
pub const COPPER_60C: Table<CopperAmpacity> = Table {
    clause: "Table 310.16",
    source: "quoted at intrysys.com/wire-ampacity-chart (2023) and wiresizes.com",
    label: Label::Seen,
    rows: &[
        CopperAmpacity { awg: 14, amps: 15.0 },
        CopperAmpacity { awg: 12, amps: 20.0 },
        CopperAmpacity { awg: 10, amps: 30.0 },
        CopperAmpacity { awg: 8, amps: 40.0 },
        CopperAmpacity { awg: 6, amps: 55.0 },
        CopperAmpacity { awg: 4, amps: 70.0 },
        CopperAmpacity { awg: 3, amps: 85.0 },
        CopperAmpacity { awg: 2, amps: 95.0 },
        CopperAmpacity { awg: 1, amps: 110.0 },
    ],
};

/// Copper equipment grounds.
pub const EQUIPMENT_GROUND: Table<GroundSize> = Table {
    clause: "Table 250.122",
    source: "quoted at mikeholt.com (2017), brunsengineering.com and field-pm.com",
    label: Label::Seen,
    rows: &[
        GroundSize { up_to: 15.0, awg: 14 },
        GroundSize { up_to: 20.0, awg: 12 },
        GroundSize { up_to: 60.0, awg: 10 },
        GroundSize { up_to: 100.0, awg: 8 },
        GroundSize { up_to: 200.0, awg: 6 },
    ],
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_rise() {
        assert!(STANDARD_RATINGS.rows.windows(2).all(|w| w[0] < w[1]));
        assert!(COPPER_60C.rows.windows(2).all(|w| w[0].amps < w[1].amps && w[0].awg > w[1].awg));
        assert!(SMALL_CONDUCTORS.rows.windows(2).all(|w| w[0].amps < w[1].amps && w[0].awg > w[1].awg));
        assert!(EQUIPMENT_GROUND.rows.windows(2).all(|w| w[0].up_to < w[1].up_to && w[0].awg > w[1].awg));
    }
}

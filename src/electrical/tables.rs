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

/// A value for a conductor size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PerSize {
    /// Size, AWG.
    pub awg: u32,
    /// The value, in the table's unit.
    pub value: f64,
}

impl Table<PerSize> {
    /// The value for a size; `None` for a size the table does not hold.
    #[must_use]
    pub fn of(&self, awg: u32) -> Option<f64> {
        self.rows.iter().find(|row| row.awg == awg).map(|row| row.value)
    }
}

const fn row(awg: u32, value: f64) -> PerSize {
    PerSize { awg, value }
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

/// Overcurrent rating up to which a small copper conductor may be protected, amperes.
pub const SMALL_CONDUCTORS: Table<PerSize> = Table {
    clause: "240.4(D)",
    source: "quoted at encorewire.com and voltagelab.com",
    label: Label::Seen,
    rows: &[row(14, 15.0), row(12, 20.0), row(10, 30.0)],
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

/// Direct-current resistance of stranded uncoated copper at 75 °C, ohms per 1000 ft of one conductor.
#[expect(clippy::approx_constant, reason = "the table's value for 14 AWG is 3.14 ohm, not the number pi")]
pub const COPPER_OHMS: Table<PerSize> = Table {
    clause: "Chapter 9 Table 8",
    source: "quoted at sfasoft.com/look/35/Conductor_Properties",
    label: Label::Seen,
    rows: &[
        row(18, 7.95),
        row(16, 4.99),
        row(14, 3.14),
        row(12, 1.98),
        row(10, 1.24),
        row(8, 0.778),
        row(6, 0.491),
        row(4, 0.308),
        row(3, 0.245),
        row(2, 0.194),
    ],
};

/// Cross-section, circular mils.
pub const CIRCULAR_MILS: Table<PerSize> = Table {
    clause: "Chapter 9 Table 8",
    source: "quoted at sfasoft.com/look/35/Conductor_Properties",
    label: Label::Seen,
    rows: &[row(14, 4110.0), row(12, 6530.0), row(10, 10_380.0), row(8, 16_510.0), row(6, 26_240.0), row(4, 41_740.0)],
};

/// Area of a THWN conductor with its insulation, square inches.
pub const INSULATED_AREA: Table<PerSize> = Table {
    clause: "Chapter 9 Table 5",
    source: "quoted at wiresizecalculator.org",
    label: Label::Seen,
    rows: &[row(14, 0.0097), row(12, 0.0133), row(10, 0.0211), row(8, 0.0366), row(6, 0.0507), row(4, 0.0824)],
};

/// Room one conductor takes in a box, cubic inches.
pub const CONDUCTOR_ROOM: Table<PerSize> = Table {
    clause: "314.16(B)",
    source: "quoted at intrysys.com/box-fill-volume-chart (2023) and engdatabase.com (2017)",
    label: Label::Seen,
    rows: &[row(18, 1.5), row(16, 1.75), row(14, 2.0), row(12, 2.25), row(10, 2.5), row(8, 3.0), row(6, 5.0)],
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_rise() {
        assert!(STANDARD_RATINGS.rows.windows(2).all(|w| w[0] < w[1]));
        assert!(EQUIPMENT_GROUND.rows.windows(2).all(|w| w[0].up_to < w[1].up_to && w[0].awg > w[1].awg));
        for table in [SMALL_CONDUCTORS, CIRCULAR_MILS, INSULATED_AREA, CONDUCTOR_ROOM] {
            assert!(table.rows.windows(2).all(|w| w[0].value < w[1].value && w[0].awg > w[1].awg), "{}", table.clause);
        }
        assert!(COPPER_OHMS.rows.windows(2).all(|w| w[0].value > w[1].value && w[0].awg > w[1].awg));
        assert_eq!(COPPER_OHMS.of(7), None);
    }

    /// A wire gauge is a geometric series by definition: d = 0.005 in x 92^((36 - n) / 39). The table rounds it to 0.6 %.
    #[test]
    fn circular_mils_follow_the_gauge() {
        for &PerSize { awg, value } in CIRCULAR_MILS.rows {
            let diameter = 5.0 * 92f64.powf((36.0 - f64::from(awg)) / 39.0);
            assert!((diameter * diameter / value - 1.0).abs() < 0.006, "{awg} AWG");
        }
    }
}

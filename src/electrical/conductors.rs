//! Resistance of copper conductors, and the room each takes in a box.

use super::tables::{Label, Table};

/// Direct-current resistance of a stranded uncoated copper conductor at 75 °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CopperOhms {
    /// Size, AWG.
    pub awg: u32,
    /// Ohms per 1000 ft, one conductor.
    pub ohms_per_kft: f64,
}

/// Room a conductor takes in a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConductorRoom {
    /// Size, AWG.
    pub awg: u32,
    /// Cubic inches.
    pub cubic_inches: f64,
}

/// Conductor resistances.
#[expect(clippy::approx_constant, reason = "the table's value for 14 AWG is 3.14 ohm, not the number pi")]
pub const COPPER_OHMS: Table<CopperOhms> = Table {
    clause: "Chapter 9 Table 8",
    source: "quoted at sfasoft.com/look/35/Conductor_Properties",
    label: Label::Seen,
    rows: &[
        CopperOhms { awg: 18, ohms_per_kft: 7.95 },
        CopperOhms { awg: 16, ohms_per_kft: 4.99 },
        CopperOhms { awg: 14, ohms_per_kft: 3.14 },
        CopperOhms { awg: 12, ohms_per_kft: 1.98 },
        CopperOhms { awg: 10, ohms_per_kft: 1.24 },
        CopperOhms { awg: 8, ohms_per_kft: 0.778 },
        CopperOhms { awg: 6, ohms_per_kft: 0.491 },
        CopperOhms { awg: 4, ohms_per_kft: 0.308 },
        CopperOhms { awg: 3, ohms_per_kft: 0.245 },
        CopperOhms { awg: 2, ohms_per_kft: 0.194 },
    ],
};

/// Box volumes for one conductor.
pub const CONDUCTOR_ROOM: Table<ConductorRoom> = Table {
    clause: "314.16(B)",
    source: "quoted at intrysys.com/box-fill-volume-chart (2023) and engdatabase.com (2017)",
    label: Label::Seen,
    rows: &[
        ConductorRoom { awg: 18, cubic_inches: 1.5 },
        ConductorRoom { awg: 16, cubic_inches: 1.75 },
        ConductorRoom { awg: 14, cubic_inches: 2.0 },
        ConductorRoom { awg: 12, cubic_inches: 2.25 },
        ConductorRoom { awg: 10, cubic_inches: 2.5 },
        ConductorRoom { awg: 8, cubic_inches: 3.0 },
        ConductorRoom { awg: 6, cubic_inches: 5.0 },
    ],
};

/// Ohms per 1000 ft of one conductor; `None` for a size the table does not hold.
#[must_use]
pub fn copper_ohms_per_kft(awg: u32) -> Option<f64> {
    COPPER_OHMS.rows.iter().find(|row| row.awg == awg).map(|row| row.ohms_per_kft)
}

/// Cubic inches one conductor takes; `None` for a size the table does not hold.
#[must_use]
pub fn conductor_room(awg: u32) -> Option<f64> {
    CONDUCTOR_ROOM.rows.iter().find(|row| row.awg == awg).map(|row| row.cubic_inches)
}

/// Voltage lost on the way out and back along a circuit of direct current or unity power factor, volts.
///
/// # Units
/// `one_way` in inches; `None` for a size the table does not hold.
#[must_use]
pub fn circuit_drop(awg: u32, amps: f64, one_way: f64) -> Option<f64> {
    copper_ohms_per_kft(awg).map(|ohms| 2.0 * ohms * amps * one_way / crate::units::INCHES_PER_FOOT / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked with the formula 2 L R I / 1000 by an independent program from the same resistances.
    #[test]
    fn drops_of_the_worked_table() {
        for (awg, amps, feet, volts) in [
            (12, 16.0, 100.0, 6.3360),
            (10, 24.0, 150.0, 8.9280),
            (14, 12.0, 75.0, 5.6520),
            (8, 32.0, 200.0, 9.9584),
            (6, 48.0, 120.0, 5.6563),
        ] {
            let drop = circuit_drop(awg, amps, feet * 12.0).unwrap();
            assert!((drop - volts).abs() < 1e-4, "{awg}: {drop}");
        }
        assert_eq!(circuit_drop(7, 1.0, 1.0), None);
    }

    /// Nine 12 AWG conductors need 20.25 cubic inches (published in a trade magazine's code calculations).
    #[test]
    fn nine_number_twelve() {
        assert!((9.0 * conductor_room(12).unwrap() - 20.25).abs() < 1e-12);
    }
}

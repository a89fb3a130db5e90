//! Voltage lost in copper conductors.

use super::tables::COPPER_OHMS;
use crate::units::INCHES_PER_FOOT;

/// Voltage lost on the way out and back along a circuit of direct current or unity power factor, volts.
///
/// # Units
/// `one_way` in inches; `None` for a size the table does not hold.
#[must_use]
pub fn circuit_drop(awg: u32, amps: f64, one_way: f64) -> Option<f64> {
    COPPER_OHMS.of(awg).map(|ohms| 2.0 * ohms * amps * one_way / INCHES_PER_FOOT / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::electrical::tables::CIRCULAR_MILS;

    /// Worked with the formula 2 L R I / 1000 by an independent program from the same resistances.
    #[test]
    fn drops_of_the_worked_table() {
        for (awg, amps, feet, supply, volts, percent) in [
            (12, 16.0, 100.0, 120.0, 6.3360, 5.280),
            (12, 16.0, 100.0, 240.0, 6.3360, 2.640),
            (10, 24.0, 150.0, 240.0, 8.9280, 3.720),
            (14, 12.0, 75.0, 120.0, 5.6520, 4.710),
            (8, 32.0, 200.0, 240.0, 9.9584, 4.149),
            (6, 48.0, 120.0, 240.0, 5.6563, 2.357),
        ] {
            let drop = circuit_drop(awg, amps, feet * 12.0).unwrap();
            assert!((drop - volts).abs() < 1e-4, "{awg}: {drop}");
            assert!((100.0 * drop / supply - percent).abs() < 6e-4, "{awg}: {drop}");
        }
        assert_eq!(circuit_drop(7, 1.0, 1.0), None);
    }

    /// Published (fatskills.com): 12 AWG, 20 A, 100 ft: 2 K I L / CM with K = 12.9 is 7.90 V. The table's resistance gives the same
    /// within half a per cent.
    #[test]
    fn the_other_formula_agrees() {
        let by_mils = 2.0 * 12.9 * 20.0 * 100.0 / CIRCULAR_MILS.of(12).unwrap();
        assert!((by_mils - 7.90).abs() < 0.005);
        assert!((circuit_drop(12, 20.0, 1200.0).unwrap() / by_mils - 1.0).abs() < 0.005);
    }
}

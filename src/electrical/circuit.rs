//! Breaker and conductor sizes of a branch circuit with a continuous load.

use super::tables::{COPPER_60C, EQUIPMENT_GROUND, SMALL_CONDUCTORS, STANDARD_RATINGS};

/// Fixed outdoor de-icing is a continuous load: conductors and breakers carry 125 % of it.
///
/// # Source
/// 426.4, 210.19(A)(1) and 210.20(A), seen as quoted on public pages.
pub const CONTINUOUS_FACTOR: f64 = 1.25;

/// A current this near a rating counts as equal: 12 A times 1.25 is 15 A, whatever the last bit says.
const RATING_TOLERANCE: f64 = 1e-6;

/// Whether a continuous load fits a rating or ampacity.
fn carries(rating: f64, continuous_amps: f64) -> bool {
    CONTINUOUS_FACTOR * continuous_amps <= rating * (1.0 + RATING_TOLERANCE)
}

/// The smallest standard breaker for a continuous load; `None` beyond the table or for no number.
#[must_use]
pub fn breaker_for(continuous_amps: f64) -> Option<f64> {
    STANDARD_RATINGS.rows.iter().copied().find(|&rating| carries(rating, continuous_amps))
}

/// The continuous load a breaker may carry: 16 A on 20 A.
#[must_use]
pub fn continuous_capacity(breaker: f64) -> f64 {
    breaker / CONTINUOUS_FACTOR
}

/// The largest standard rating not above `limit`; `None` when even the smallest is.
#[must_use]
pub fn largest_standard_rating(limit: f64) -> Option<f64> {
    STANDARD_RATINGS.rows.iter().copied().rev().find(|&rating| rating <= limit)
}

/// The smallest copper conductor, AWG, whose 60 °C ampacity and small-conductor limit reach the breaker's rating;
/// `None` beyond the table. The next-size-up allowance is not used.
#[must_use]
pub fn conductor_for(breaker: f64) -> Option<u32> {
    let small_limit =
        |awg: u32| SMALL_CONDUCTORS.rows.iter().find(|row| row.awg == awg).map_or(f64::INFINITY, |row| row.amps);
    COPPER_60C.rows.iter().find(|row| row.amps >= breaker && small_limit(row.awg) >= breaker).map(|row| row.awg)
}

/// The copper equipment ground, AWG, for a breaker, never larger than the circuit's conductor; `None` beyond the tables.
#[must_use]
pub fn equipment_ground_for(breaker: f64) -> Option<u32> {
    let conductor = conductor_for(breaker)?;
    let ground = EQUIPMENT_GROUND.rows.iter().find(|row| breaker <= row.up_to)?.awg;
    Some(ground.max(conductor))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The breaker table of FACTS 3.2: 125 %, then the next standard rating, exact at 15.000 A and 20.000 A.
    #[test]
    fn breakers_at_125_percent() {
        for (watts, breaker) in [
            (600.0, 15.0),
            (2880.0, 15.0),
            (3840.0, 20.0),
            (3841.0, 25.0),
            (5760.0, 30.0),
            (5800.0, 35.0),
            (11520.0, 60.0),
        ] {
            assert_eq!(breaker_for(watts / 240.0), Some(breaker), "{watts} W");
        }
        assert_eq!(breaker_for(12.0 + 1e-13), Some(15.0));
        assert_eq!(breaker_for(16.0 + 1e-13), Some(20.0));
        assert_eq!(breaker_for(1000.0), None);
        assert_eq!(breaker_for(f64::NAN), None);
    }

    #[test]
    fn sixteen_amperes_on_twenty() {
        assert!((continuous_capacity(20.0) - 16.0).abs() < 1e-12 && (continuous_capacity(30.0) - 24.0).abs() < 1e-12);
        assert_eq!([31.0, 20.0, 14.0].map(largest_standard_rating), [Some(30.0), Some(20.0), None]);
    }

    /// 240.4(D): 14 AWG to 15 A, 12 to 20 A, 10 to 30 A; 250.122: 14, 12, 10 AWG ground (both seen as quoted).
    #[test]
    fn conductors_and_grounds() {
        for (breaker, conductor, ground) in
            [(15.0, 14, 14), (20.0, 12, 12), (25.0, 10, 10), (30.0, 10, 10), (40.0, 8, 10), (50.0, 6, 10), (70.0, 4, 8)]
        {
            assert_eq!(conductor_for(breaker), Some(conductor), "{breaker} A");
            assert_eq!(equipment_ground_for(breaker), Some(ground), "{breaker} A");
        }
        assert_eq!(conductor_for(300.0), None);
    }

    proptest! {
        #[test]
        fn a_breaker_carries_its_load_and_no_smaller_one_does(amps in 0.1f64..200.0) {
            let breaker = breaker_for(amps).unwrap();
            prop_assert!(breaker * (1.0 + 1e-5) >= 1.25 * amps);
            if let Some(smaller) = STANDARD_RATINGS.rows.iter().rev().find(|&&r| r < breaker) {
                prop_assert!(*smaller < 1.25 * amps);
            }
        }
    }
}

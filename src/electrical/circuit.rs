//! Breaker and conductor sizes of a branch circuit with a continuous load.

use super::ampacity::{COPPER_AMPACITY, Conditions, protected_at};
use super::drop::circuit_drop;
use super::tables::{CIRCULAR_MILS, EQUIPMENT_GROUND, STANDARD_RATINGS};

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

/// A branch circuit whose wires are to be sized.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Branch {
    /// Breaker rating, amperes.
    pub breaker: f64,
    /// Continuous current, amperes.
    pub amps: f64,
    /// Supply voltage.
    pub volts: f64,
    /// From panel to box one way, inches; 0 when unknown.
    pub home_run: f64,
    /// Voltage it may lose there, as a share; `None` leaves the size to ampacity alone.
    pub drop_limit: Option<f64>,
    /// Where its conductors run.
    pub conditions: Conditions,
}

/// Sizes of a branch circuit's wires, AWG.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BranchSizes {
    /// Conductors.
    pub conductor: u32,
    /// The conductor that ampacity alone asks for.
    pub by_ampacity: u32,
    /// Equipment ground.
    pub ground: u32,
}

/// The smallest copper conductors that the breaker protects where they run and whose drop stays within the limit, and the
/// ground that goes with them; `None` beyond the tables.
#[must_use]
pub fn branch_sizes(branch: &Branch) -> Option<BranchSizes> {
    let sizes = || COPPER_AMPACITY.rows.iter().map(|row| row.awg);
    let protects = |awg: &u32| protected_at(*awg, &branch.conditions).is_some_and(|amps| amps >= branch.breaker);
    let near = |awg: &u32| {
        branch.drop_limit.is_none_or(|share| {
            circuit_drop(*awg, branch.amps, branch.home_run)
                .is_some_and(|drop| drop <= share * branch.volts * (1.0 + RATING_TOLERANCE))
        })
    };
    let by_ampacity = sizes().find(protects)?;
    let conductor = sizes().find(|awg| protects(awg) && near(awg))?;
    let ground = equipment_ground_for(branch.breaker, by_ampacity, conductor)?;
    Some(BranchSizes { conductor, by_ampacity, ground })
}

/// The copper equipment ground, AWG, for a breaker: as the table says, heavier in proportion where the conductors are heavier than
/// ampacity alone asks, never larger than the conductor; `None` beyond the tables.
///
/// # Source
/// 250.122(A) and (B), as quoted at mikeholt.com letter 2080.
#[must_use]
pub fn equipment_ground_for(breaker: f64, by_ampacity: u32, conductor: u32) -> Option<u32> {
    let ground = EQUIPMENT_GROUND.rows.iter().find(|row| breaker <= row.up_to)?.awg;
    if conductor >= by_ampacity {
        return Some(ground.max(by_ampacity));
    }
    let mils = |awg| CIRCULAR_MILS.of(awg);
    let needed = mils(ground)? * mils(conductor)? / mils(by_ampacity)?;
    let grown = CIRCULAR_MILS.rows.iter().find(|row| row.value >= needed * (1.0 - 1e-9)).map(|row| row.awg);
    Some(grown.unwrap_or(conductor).max(conductor))
}

/// Interrupting ratings in which breakers are commonly made, amperes, from memory.
const INTERRUPTING_RATINGS: [f64; 10] =
    [5_000.0, 10_000.0, 14_000.0, 18_000.0, 22_000.0, 25_000.0, 42_000.0, 65_000.0, 100_000.0, 200_000.0];

/// The smallest common interrupting rating of breakers for a fault current, amperes; none beyond them.
#[must_use]
pub fn interrupting_rating(fault_amps: f64) -> Option<f64> {
    INTERRUPTING_RATINGS.into_iter().find(|rating| *rating >= fault_amps)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::electrical::ampacity::Rating;
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

    const USUAL: Conditions = Conditions { edition: 2023, terminals: Rating::C60, ambient: 30.0, carrying: 2 };

    fn branch(breaker: f64) -> Branch {
        Branch { breaker, amps: 0.8 * breaker, volts: 240.0, home_run: 0.0, drop_limit: None, conditions: USUAL }
    }

    /// 240.4(D): 14 AWG to 15 A, 12 to 20 A, 10 to 30 A; 250.122: 14, 12, 10 AWG ground (both seen as quoted).
    #[test]
    fn conductors_and_grounds() {
        for (breaker, conductor, ground) in
            [(15.0, 14, 14), (20.0, 12, 12), (25.0, 10, 10), (30.0, 10, 10), (40.0, 8, 10), (50.0, 6, 10), (70.0, 4, 8)]
        {
            let sizes = branch_sizes(&branch(breaker)).unwrap();
            assert_eq!((sizes.conductor, sizes.ground), (conductor, ground), "{breaker} A");
        }
        assert_eq!(branch_sizes(&branch(300.0)), None);
    }

    /// By hand: 16 A over 150 ft of 12 AWG loses 2 x 1.98 x 16 x 150 / 1000 = 9.504 V, 3.96 % of 240 V; of 10 AWG 5.952 V, 2.48 %. The
    /// ground grows in the same proportion, 6530 x 10380 / 6530: 10 AWG.
    #[test]
    fn a_long_home_run_takes_heavier_wire_and_ground() {
        let long = Branch { home_run: 1800.0, drop_limit: Some(0.03), ..branch(20.0) };
        assert_eq!(branch_sizes(&long), Some(BranchSizes { conductor: 10, by_ampacity: 12, ground: 10 }));
        // 40 A on 8 AWG with a 10 AWG ground; 6 AWG asks for 10380 x 26240 / 16510 = 16 497 circular mils: 8 AWG.
        assert_eq!(equipment_ground_for(40.0, 8, 6), Some(8));
        let hopeless = Branch { home_run: 120_000.0, ..long };
        assert_eq!(branch_sizes(&hopeless), None);
    }

    /// Six carrying 12 AWG may carry 25 x 0.8 = 20 A on 75 °C terminals: still fit for 20 A; seven may carry 17.5 A and need 10 AWG.
    #[test]
    fn neighbours_in_the_raceway_cost_a_size() {
        let with = |carrying| {
            let conditions = Conditions { terminals: Rating::C75, carrying, ..USUAL };
            branch_sizes(&Branch { conditions, ..branch(20.0) }).unwrap().conductor
        };
        assert_eq!([3, 6, 7].map(with), [12, 12, 10]);
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

    /// Ratings from memory: what a utility gives for a house, 10 kA at most, takes the common 10 kA breaker and not a hair more.
    #[test]
    fn a_breaker_interrupts_what_the_utility_gives() {
        assert_eq!(
            [4_999.0, 10_000.0, 10_001.0, 30_000.0].map(interrupting_rating),
            [Some(5_000.0), Some(10_000.0), Some(14_000.0), Some(42_000.0)]
        );
        assert_eq!(interrupting_rating(250_000.0), None);
    }
}

//! What a copper conductor may carry, by its terminals, the air around it and its neighbours in a raceway.

use super::tables::{Label, SMALL_CONDUCTORS, Table};

/// A temperature rating that has a column in the ampacity table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rating {
    /// 60 °C.
    C60,
    /// 75 °C.
    C75,
    /// 90 °C.
    C90,
}

impl Rating {
    /// Degrees Celsius.
    #[must_use]
    pub const fn celsius(self) -> f64 {
        match self {
            Self::C60 => 60.0,
            Self::C75 => 75.0,
            Self::C90 => 90.0,
        }
    }
}

/// Ampacity of a copper conductor, not more than three carrying conductors, 30 °C ambient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CopperAmpacity {
    /// Size, AWG.
    pub awg: u32,
    /// Amperes in the 60, 75 and 90 °C columns.
    pub amps: [f64; 3],
}

const fn row(awg: u32, c60: f64, c75: f64, c90: f64) -> CopperAmpacity {
    CopperAmpacity { awg, amps: [c60, c75, c90] }
}

/// Copper ampacity, present print.
pub const COPPER_AMPACITY: Table<CopperAmpacity> = Table {
    clause: "Table 310.16",
    source: "quoted at intrysys.com/wire-ampacity-chart (2023) and wiresizes.com",
    label: Label::Seen,
    rows: &[
        row(14, 15.0, 20.0, 25.0),
        row(12, 20.0, 25.0, 30.0),
        row(10, 30.0, 35.0, 40.0),
        row(8, 40.0, 50.0, 55.0),
        row(6, 55.0, 65.0, 75.0),
        row(4, 70.0, 85.0, 95.0),
        row(3, 85.0, 100.0, 115.0),
        row(2, 95.0, 115.0, 130.0),
        row(1, 110.0, 130.0, 145.0),
    ],
};

/// The rows in which an older print differs.
pub const OLDER_COPPER_AMPACITY: Table<CopperAmpacity> = Table {
    clause: "Table 310.16",
    source: "quoted at ask-the-electrician.com",
    label: Label::Seen,
    rows: &[row(14, 20.0, 20.0, 25.0), row(12, 25.0, 25.0, 30.0)],
};

/// The first edition with the present print. From memory: no public page seen tells the year.
pub const PRESENT_PRINT_FROM: u32 = 2011;

/// Where a conductor runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Edition of the electrical code, a year.
    pub edition: u32,
    /// Lower rating of the terminals at both ends.
    pub terminals: Rating,
    /// Air around the conductor, °C.
    pub ambient: f64,
    /// Current-carrying conductors in its raceway.
    pub carrying: u32,
}

/// Insulation of the branch conductors reckoned with: THWN, 75 °C wet or dry.
pub const INSULATION: Rating = Rating::C75;

/// Amperes in the table's column; `None` for a size the table does not hold.
#[must_use]
pub fn table_amps(awg: u32, rating: Rating, edition: u32) -> Option<f64> {
    let older = OLDER_COPPER_AMPACITY.rows.iter().filter(|_| edition < PRESENT_PRINT_FROM);
    let found = older.chain(COPPER_AMPACITY.rows).find(|row| row.awg == awg)?;
    Some(found.amps[rating as usize])
}

/// Factor for the air around a conductor: the table goes in steps of 5 °C, its values are the square root of the share of the
/// temperature rise that is left, to two places. `None` where nothing is left.
///
/// # Source
/// Table 310.15(B)(1), seen for 10 °C and for 36 to 40 °C at wiresizes.com; the formula of 310.15(B), from memory, gives those
/// values and the rest.
#[must_use]
pub fn ambient_factor(rating: Rating, ambient: f64) -> Option<f64> {
    let step = (5.0 * (ambient / 5.0 - 1e-9).ceil()).max(10.0);
    let left = (rating.celsius() - step) / (rating.celsius() - 30.0);
    (left > 1e-9).then(|| (100.0 * left.sqrt()).round() / 100.0)
}

/// Factor for so many carrying conductors in one raceway.
///
/// # Source
/// Table 310.15(C)(1): up to 20 seen at wiresizes.com, beyond from memory.
#[must_use]
pub const fn bundling_factor(carrying: u32) -> f64 {
    match carrying {
        0..=3 => 1.0,
        4..=6 => 0.80,
        7..=9 => 0.70,
        10..=20 => 0.50,
        21..=30 => 0.45,
        31..=40 => 0.40,
        _ => 0.35,
    }
}

/// What a conductor may carry where it runs, amperes: the terminals' column, and the insulation's column corrected for ambient
/// and bundling, whichever is less. `None` beyond the tables or where it is too hot.
#[must_use]
pub fn allowed_amps(awg: u32, conditions: &Conditions) -> Option<f64> {
    let terminals = table_amps(awg, conditions.terminals, conditions.edition)?;
    let insulation = table_amps(awg, INSULATION, conditions.edition)?;
    let corrected = insulation * ambient_factor(INSULATION, conditions.ambient)? * bundling_factor(conditions.carrying);
    Some(terminals.min(corrected))
}

/// The largest overcurrent rating a conductor may be protected at where it runs: what it may carry, under the limit of small
/// conductors. The next-size-up allowance is not used.
#[must_use]
pub fn protected_at(awg: u32, conditions: &Conditions) -> Option<f64> {
    let amps = allowed_amps(awg, conditions)?;
    Some(SMALL_CONDUCTORS.of(awg).map_or(amps, |limit| amps.min(limit)))
}

/// Degrees Celsius of degrees Fahrenheit.
#[must_use]
pub fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

/// Copper resistance at a temperature over that at 75 °C.
///
/// # Source
/// Note to Chapter 9 Table 8, from memory: 1 + 0.00323 (t - 75).
#[must_use]
pub fn copper_ratio(celsius: f64) -> f64 {
    1.0 + 0.00323 * (celsius - 75.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const USUAL: Conditions = Conditions { edition: 2023, terminals: Rating::C60, ambient: 30.0, carrying: 2 };

    /// Correction factors printed at wiresizes.com: 10 °C or less, and 36 to 40 °C, for the three columns; 26 to 30 °C is 1.
    #[test]
    fn ambient_factors_of_the_table() {
        let of = |t| [Rating::C60, Rating::C75, Rating::C90].map(|rating| ambient_factor(rating, t));
        assert_eq!(of(10.0), [Some(1.29), Some(1.20), Some(1.15)]);
        assert_eq!(of(-20.0), of(10.0));
        assert_eq!(of(30.0), [Some(1.0); 3]);
        assert_eq!(of(26.0), of(30.0));
        assert_eq!(of(36.0), [Some(0.82), Some(0.88), Some(0.91)]);
        assert_eq!(of(40.0), of(36.0));
        assert_eq!(of(celsius(104.0)), of(40.0));
        assert_eq!(ambient_factor(Rating::C60, 61.0), None);
    }

    /// The two worked examples of FACTS 3.5: 12 AWG at 75 °C in 40 °C air carries 22 A; six 10 AWG at 75 °C carry 28 A each.
    #[test]
    fn worked_corrections() {
        let warm = Conditions { terminals: Rating::C75, ambient: 40.0, ..USUAL };
        assert!((allowed_amps(12, &warm).unwrap() - 22.0).abs() < 1e-9);
        let six = Conditions { terminals: Rating::C75, carrying: 6, ..USUAL };
        assert!((allowed_amps(10, &six).unwrap() - 28.0).abs() < 1e-9);
        assert_eq!(bundling_factor(3), 1.0);
    }

    /// An older print gives 14 AWG 20 A and 12 AWG 25 A on 60 °C terminals (ask-the-electrician.com); the small-conductor rule
    /// still protects them at 15 A and 20 A.
    #[test]
    fn editions_differ_for_small_conductors() {
        let older = Conditions { edition: 2008, ..USUAL };
        assert_eq!([14, 12, 10].map(|awg| allowed_amps(awg, &older)), [Some(20.0), Some(25.0), Some(30.0)]);
        assert_eq!([14, 12, 10].map(|awg| allowed_amps(awg, &USUAL)), [Some(15.0), Some(20.0), Some(30.0)]);
        assert_eq!([14, 12, 10].map(|awg| protected_at(awg, &older)), [Some(15.0), Some(20.0), Some(30.0)]);
    }

    /// FACTS 3.4: R(20)/R(75) = 0.82235 and R(0)/R(75) = 0.75775, computed; 3.07 ohm/kft becomes 2.525 at 20 °C in a wire table.
    #[test]
    fn copper_by_temperature() {
        assert!((copper_ratio(20.0) - 0.82235).abs() < 1e-9 && (copper_ratio(0.0) - 0.75775).abs() < 1e-9);
        assert!((3.07 * copper_ratio(20.0) - 2.525).abs() < 1e-3);
    }

    proptest! {
        #[test]
        fn heat_and_neighbours_never_help(awg in prop::sample::select(vec![14u32, 12, 10, 8, 6, 4]), t in -20.0f64..70.0, n in 1u32..45) {
            let here = Conditions { ambient: t, carrying: n, ..USUAL };
            let hotter = Conditions { ambient: t + 3.0, ..here };
            let fuller = Conditions { carrying: n + 1, ..here };
            let amps = |c: &Conditions| allowed_amps(awg, c).unwrap_or(0.0);
            prop_assert!(amps(&hotter) <= amps(&here) && amps(&fuller) <= amps(&here));
        }
    }
}

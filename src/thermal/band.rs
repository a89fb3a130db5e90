//! What a band of elements gives to the snow above it.

use super::melt::{Conditions, WATER_MELT_FLUX, balance};

/// Btu in a watt hour.
pub const BTU_PER_WATT_HOUR: f64 = 3.412_141_6;

const INCHES_PER_FOOT: f64 = 12.0;

/// Elements side by side up the slope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Power of one element, W/ft.
    pub watts_per_foot: f64,
    /// From one element to the next up the slope, inches.
    pub spacing: f64,
    /// Share of the heat that leaves through the deck's underside.
    pub backside_loss: f64,
}

impl Band {
    /// Power on the band, W/ft².
    #[must_use]
    pub fn watt_density(&self) -> f64 {
        self.watts_per_foot * INCHES_PER_FOOT / self.spacing
    }

    /// Flux that reaches the surface, Btu/h ft².
    #[must_use]
    pub fn surface_flux(&self) -> f64 {
        self.watt_density() * BTU_PER_WATT_HOUR * (1.0 - self.backside_loss)
    }

    /// Snowfall as water that the flux melts as it falls, in/h, with a share `free_area` of the surface kept bare; 0 when losses take
    /// all of it.
    #[must_use]
    pub fn water_melted(&self, weather: &Conditions, free_area: f64) -> f64 {
        // All parts that grow with the snowfall, for an inch an hour.
        let unit = balance(&Conditions { water_rate: 1.0, ..*weather });
        let loss = unit.total(free_area) - unit.total(0.0);
        ((self.surface_flux() - loss) / unit.total(0.0)).max(0.0)
    }

    /// The same without losses and warming: everything into melting, in/h of water. No band melts more.
    #[must_use]
    pub fn most_water_melted(&self) -> f64 {
        self.surface_flux() / WATER_MELT_FLUX
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn weather() -> Conditions {
        Conditions { air: 17.0, humidity: 0.863_27, wind: 19.6, water_rate: 0.1, pressure: 14.696, radiant: 17.0 }
    }

    /// By hand: 12 W/ft every 5 in is 28.8 W/ft², 98.27 Btu/h ft²; less 15 % 83.53. Against T1 with a covered surface,
    /// 788.58 per in/h of water: 0.1059 in/h.
    #[test]
    fn a_band_by_hand() {
        let band = Band { watts_per_foot: 12.0, spacing: 5.0, backside_loss: 0.15 };
        assert!((band.watt_density() - 28.8).abs() < 1e-12);
        assert!((band.surface_flux() - 83.53).abs() < 0.005);
        assert!((band.water_melted(&weather(), 0.0) - 83.53 / 788.58).abs() < 1e-5);
        assert_eq!(band.water_melted(&weather(), 1.0), 0.0);
    }

    /// What a band melts is what it takes to melt that: the way there and back.
    #[test]
    fn what_is_melted_needs_the_flux_that_melted_it() {
        let band = Band { watts_per_foot: 40.0, spacing: 5.0, backside_loss: 0.1 };
        for free_area in [0.0, 0.3, 0.7] {
            let water_rate = band.water_melted(&weather(), free_area);
            assert!(water_rate > 0.0 && water_rate < band.most_water_melted());
            let needed = balance(&Conditions { water_rate, ..weather() }).total(free_area);
            assert!((needed / band.surface_flux() - 1.0).abs() < 1e-12);
        }
    }

    proptest! {
        /// A smaller exposure never lowers the flux of the band.
        #[test]
        fn closer_elements_never_give_less(watts in 1.0..40.0_f64, spacing in 3.0..12.0_f64, closer in 0.2..1.0_f64) {
            let band = |spacing| Band { watts_per_foot: watts, spacing, backside_loss: 0.2 };
            prop_assert!(band(spacing * closer).surface_flux() >= band(spacing).surface_flux());
        }
    }
}

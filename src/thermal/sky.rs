//! What the sky radiates down.
//!
//! # Source
//! The sky model printed with the weather-file format in the documentation of a public building simulation program,
//! `FACTS.md` 4.3 (seen), in kelvin and tenths of cloud.

use super::psychrometrics::{celsius, fahrenheit};
use crate::geometry::trig::{ln, pow};

/// Stefan-Boltzmann constant, W/m² K⁴.
const STEFAN_BOLTZMANN: f64 = 5.6697e-8;

/// Kelvin at 0 °C, as the formula's source rounds it.
const KELVIN: f64 = 273.15;

/// Emissivity of the sky for a dew point in kelvin and `cloud` 0..1.
#[must_use]
pub fn sky_emissivity(dew_point: f64, cloud: f64) -> f64 {
    let tenths = 10.0 * cloud;
    let clear = 0.787 + 0.764 * ln(dew_point / 273.0);
    clear * (1.0 + 0.0224 * tenths - 0.0035 * tenths * tenths + 0.000_28 * tenths * tenths * tenths)
}

/// Infrared radiation on a level surface, W/m², for dry bulb and dew point in kelvin and `cloud` 0..1.
#[must_use]
pub fn horizontal_infrared(dry_bulb: f64, dew_point: f64, cloud: f64) -> f64 {
    sky_emissivity(dew_point, cloud) * STEFAN_BOLTZMANN * pow(dry_bulb, 4.0)
}

/// The temperature of a black sky that radiates as much, °F, for dry bulb and dew point in °F and `cloud` 0..1.
#[must_use]
pub fn mean_radiant(dry_bulb: f64, dew_point: f64, cloud: f64) -> f64 {
    let kelvin = |t: f64| celsius(t) + KELVIN;
    let infrared = horizontal_infrared(kelvin(dry_bulb), kelvin(dew_point), cloud);
    fahrenheit(pow(infrared / STEFAN_BOLTZMANN, 0.25) - KELVIN)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FACTS 4.3: the published example, clear, 293 K and 283 K: emissivity 0.815, 340.6 W/m²; 0.81448 and 340.34 unrounded.
    #[test]
    fn sky_radiation_example() {
        assert!((sky_emissivity(283.0, 0.0) - 0.815).abs() < 1e-3);
        assert!((sky_emissivity(283.0, 0.0) - 0.814_48).abs() < 1e-5);
        assert!((horizontal_infrared(293.0, 283.0, 0.0) - 340.6).abs() < 0.4);
        assert!((horizontal_infrared(293.0, 283.0, 0.0) - 340.34).abs() < 0.02);
    }

    /// FACTS 4.3: overcast at -3 °C, dew point -5 °C.
    #[test]
    fn overcast_sky() {
        assert!((sky_emissivity(268.15, 1.0) - 0.892_39).abs() < 1e-4);
        assert!((horizontal_infrared(270.15, 268.15, 1.0) - 269.49).abs() < 0.05);
    }

    #[test]
    fn a_clear_sky_is_colder_than_a_cloudy_one_and_both_colder_than_the_air() {
        let (clear, cloudy) = (mean_radiant(20.0, 15.0, 0.0), mean_radiant(20.0, 15.0, 1.0));
        assert!(clear < cloudy && cloudy < 20.0, "{clear} {cloudy}");
    }
}

//! Moist air by formula.
//!
//! # Source
//! Hyland and Wexler's saturation pressures as the handbooks print them for °R and psia, recalled from memory and tried against
//! the table of `FACTS.md` 4.2, which was computed with the general library `PsychroLib` 2.5.0.

use crate::geometry::trig::{exp, ln, pow};

/// Standard atmosphere, psia.
pub const PSIA_AT_SEA_LEVEL: f64 = 14.696;

/// Mass of water vapour over that of dry air at equal pressure and temperature.
const VAPOUR_OVER_AIR: f64 = 0.621_945;

/// Triple point of water, °F: vapour stands over ice up to it and over water above.
const TRIPLE_POINT: f64 = 32.018;

/// °F at absolute zero, with its sign changed.
pub(super) const RANKINE_AT_ZERO: f64 = 459.67;

/// Pressure of saturated vapour, psia, at `t` °F; over ice below the triple point. Valid from -148 to 392 °F.
#[must_use]
pub fn saturation_pressure(t: f64) -> f64 {
    let r = t + RANKINE_AT_ZERO;
    let (r2, r3) = (r * r, r * r * r);
    let log = if t <= TRIPLE_POINT {
        -1.021_416_5e4 / r - 4.893_242_8 - 5.376_579_4e-3 * r + 1.920_237_7e-7 * r2 + 3.557_583_2e-10 * r3
            - 9.034_468_8e-14 * r3 * r
            + 4.163_501_9 * ln(r)
    } else {
        -1.044_039_7e4 / r - 1.129_465_0e1 - 2.702_235_5e-2 * r + 1.289_036_0e-5 * r2 - 2.478_068_1e-9 * r3
            + 6.545_967_3 * ln(r)
    };
    exp(log)
}

/// Humidity ratio of air with vapour at `vapour` psia under `pressure` psia in all.
#[must_use]
pub fn humidity_ratio(vapour: f64, pressure: f64) -> f64 {
    VAPOUR_OVER_AIR * vapour / (pressure - vapour)
}

/// Relative humidity, 0..1, of air at `dry_bulb` whose dew point is `dew_point`, both °F.
#[must_use]
pub fn dew_point_humidity(dry_bulb: f64, dew_point: f64) -> f64 {
    saturation_pressure(dew_point) / saturation_pressure(dry_bulb)
}

/// Dew point, °F, of air at `dry_bulb` °F and relative humidity 0..1, by halving: the pressure rises with the temperature.
#[must_use]
pub fn dew_point(dry_bulb: f64, humidity: f64) -> f64 {
    let vapour = humidity * saturation_pressure(dry_bulb);
    let (mut low, mut high) = (-148.0, dry_bulb.max(-147.0));
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if saturation_pressure(middle) < vapour {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Pressure of the standard atmosphere at `feet` above the sea, psia.
#[must_use]
pub fn pressure_at(feet: f64) -> f64 {
    PSIA_AT_SEA_LEVEL * pow(1.0 - 6.8754e-6 * feet, 5.2559)
}

/// °F of a temperature in °C.
#[must_use]
pub fn fahrenheit(celsius: f64) -> f64 {
    celsius * 9.0 / 5.0 + 32.0
}

/// °C of a temperature in °F.
#[must_use]
pub fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) * 5.0 / 9.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pascals in a psi.
    const PASCALS: f64 = 6894.757;

    fn near(found: f64, wanted: f64, share: f64) {
        assert!((found / wanted - 1.0).abs() <= share, "{found} {wanted}");
    }

    /// FACTS 4.2, computed with `PsychroLib` 2.5.0: °F, psia, saturated humidity ratio at 14.696 psia.
    #[test]
    fn psychrometric_table_inch_pound() {
        for (t, p, w) in [
            (10.0, 0.030_894, 0.001_310_2),
            (17.0, 0.043_666, 0.001_853_5),
            (22.0, 0.055_563, 0.002_360_4),
            (32.0, 0.088_640, 0.003_774_1),
            (33.0, 0.092_291, 0.003_930_5),
            (35.0, 0.099_976, 0.004_260_1),
            (38.0, 0.112_568, 0.004_800_7),
            (40.0, 0.121_724, 0.005_194_4),
        ] {
            near(saturation_pressure(t), p, 2e-5);
            near(humidity_ratio(saturation_pressure(t), PSIA_AT_SEA_LEVEL), w, 3e-5);
        }
        assert!((dew_point_humidity(17.0, 14.0) - 0.863_27).abs() < 1e-5);
    }

    /// FACTS 4.2, the same library in metric: °C, Pa, humidity ratio at 101,325 Pa. Its metric and inch-pound coefficients are
    /// rounded apart, which the tolerance allows for.
    #[test]
    fn psychrometric_table_metric() {
        for (t, p, w) in [
            (-20.0, 103.2604, 0.000_634_5),
            (-10.0, 259.9029, 0.001_599_4),
            (-5.0, 401.7641, 0.002_475_9),
            (0.0, 611.1536, 0.003_774_1),
            (0.56, 636.5311, 0.003_931_8),
            (5.0, 872.4867, 0.005_401_9),
        ] {
            let found = saturation_pressure(fahrenheit(t));
            near(found * PASCALS, p, 5e-5);
            near(humidity_ratio(found, 101_325.0 / PASCALS), w, 1e-4);
        }
        for (metres, pascals) in [(201.0, 98_933.5), (1829.0, 81_197.5)] {
            near(pressure_at(metres / 0.3048) * PASCALS, pascals, 5e-5);
        }
    }

    #[test]
    fn dew_point_is_the_way_back() {
        assert!((dew_point(17.0, 0.863_27) - 14.0).abs() < 1e-3);
        assert!((dew_point(20.0, 1.0) - 20.0).abs() < 1e-9);
    }

    #[test]
    fn temperatures_convert_both_ways() {
        assert!((fahrenheit(-40.0) + 40.0).abs() < 1e-12);
        assert!((celsius(fahrenheit(3.7)) - 3.7).abs() < 1e-12);
    }
}

//! What it takes to melt snow as it falls: the steady energy balance of a level surface heated from below, and an older closed form.
//!
//! Both describe a slab out in the open. Element under shingles heats a band of a sloping roof from below the covering, so the flux
//! found here is a demand to hold a design against, not a promise; what the band loses to the deck's underside comes off
//! before the comparison.
//!
//! # Source
//! The snow-melting chapter of the HVAC Applications handbook (after Chapman 1952 and Ramsey et al. 1999): the balance and its
//! five factors seen as quoted on public pages, equations and constants **from memory**, `FACTS.md` 4.1. The closed form is
//! Chapman's of 1956 as printed in Lund, "Pavement Snow Melting", seen quoted in a public note and recalled.

use super::psychrometrics::{RANKINE_AT_ZERO, humidity_ratio, saturation_pressure};
use crate::geometry::trig::pow;

/// Water, lb/ft³.
const WATER: f64 = 62.4;
/// Ice, Btu/lb °F.
const ICE_HEAT: f64 = 0.49;
/// Water, Btu/lb °F.
const WATER_HEAT: f64 = 1.0;
/// Melting, Btu/lb.
const FUSION: f64 = 143.3;
/// Evaporation from the film, Btu/lb.
const EVAPORATION: f64 = 1074.64;
/// Snow melts at, °F.
const MELTING: f64 = 32.0;
/// The film of melt water stands at, °F.
const FILM: f64 = 33.0;
/// Conductivity of air, Btu/h ft °F.
const AIR_CONDUCTIVITY: f64 = 0.0135;
/// Kinematic viscosity of air, ft²/h.
const AIR_VISCOSITY: f64 = 0.49;
/// Density of air, lb/ft³.
const AIR_DENSITY: f64 = 0.0805;
/// Specific heat of air, Btu/lb °F.
const AIR_HEAT: f64 = 0.24;
/// Prandtl number of air.
const PRANDTL: f64 = 0.7;
/// Schmidt number of water vapour in air.
const SCHMIDT: f64 = 0.6;
/// Emissivity of the wet surface.
const EMISSIVITY: f64 = 0.9;
/// Stefan-Boltzmann constant, Btu/h ft² °R⁴.
const STEFAN_BOLTZMANN: f64 = 0.1712e-8;
/// Length of the slab along the wind, ft: the value the handbook's tables use.
const WIND_LENGTH: f64 = 20.0;
const FEET_PER_MILE: f64 = 5280.0;
const INCHES_PER_FOOT: f64 = 12.0;

/// Flux that melts one inch of water an hour, Btu/h ft².
pub const WATER_MELT_FLUX: f64 = WATER * FUSION / INCHES_PER_FOOT;

/// The weather a surface is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Dry bulb, °F.
    pub air: f64,
    /// Relative humidity over ice or water as the temperature asks, 0..1.
    pub humidity: f64,
    /// Wind, mph.
    pub wind: f64,
    /// Snowfall as water, in/h.
    pub water_rate: f64,
    /// Pressure, psia.
    pub pressure: f64,
    /// What the surface radiates to, °F; that of the air while snow falls thickly.
    pub radiant: f64,
}

/// The parts of the flux a surface needs, Btu/h ft².
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MeltFlux {
    /// Warming the snow to melting and the water to the film's temperature.
    pub sensible: f64,
    /// Melting.
    pub melting: f64,
    /// Convection from a bare surface.
    pub convection: f64,
    /// Radiation from a bare surface; part of the convection in the closed form.
    pub radiation: f64,
    /// Evaporation from a bare surface.
    pub evaporation: f64,
}

impl MeltFlux {
    /// The flux in all with a share `free_area` of the surface kept bare: 1 free of snow, 0 covered and melting from below.
    #[must_use]
    pub fn total(&self, free_area: f64) -> f64 {
        self.sensible + self.melting + free_area * (self.convection + self.radiation + self.evaporation)
    }
}

/// The steady balance of a level surface.
#[must_use]
pub fn balance(now: &Conditions) -> MeltFlux {
    let fall = WATER * now.water_rate / INCHES_PER_FOOT;
    let reynolds = now.wind * FEET_PER_MILE * WIND_LENGTH / AIR_VISCOSITY;
    let coefficient = 0.037 * (AIR_CONDUCTIVITY / WIND_LENGTH) * pow(reynolds, 0.8) * pow(PRANDTL, 1.0 / 3.0);
    let fourth = |t: f64| pow(t + RANKINE_AT_ZERO, 4.0);
    let mass_transfer = pow(PRANDTL / SCHMIDT, 2.0 / 3.0) * coefficient / (AIR_DENSITY * AIR_HEAT);
    let film = humidity_ratio(saturation_pressure(FILM), now.pressure);
    let air = humidity_ratio(now.humidity * saturation_pressure(now.air), now.pressure);
    MeltFlux {
        sensible: fall * (ICE_HEAT * (MELTING - now.air) + WATER_HEAT * (FILM - MELTING)),
        melting: fall * FUSION,
        convection: coefficient * (FILM - now.air),
        radiation: STEFAN_BOLTZMANN * EMISSIVITY * (fourth(FILM) - fourth(now.radiant)),
        evaporation: AIR_DENSITY * mass_transfer * (film - air) * EVAPORATION,
    }
}

/// Inches of mercury in a psi.
const MERCURY: f64 = 2.036_021;

/// Chapman's closed form. It has no sky and no pressure: radiation is within its convection.
#[must_use]
pub fn closed_form(now: &Conditions) -> MeltFlux {
    let exchange = 0.0201 * now.wind + 0.055;
    let vapour = now.humidity * saturation_pressure(now.air) * MERCURY;
    MeltFlux {
        sensible: 2.6 * now.water_rate * (MELTING - now.air),
        melting: 746.0 * now.water_rate,
        convection: 11.4 * exchange * (FILM - now.air),
        radiation: 0.0,
        evaporation: 1075.5 * exchange * (0.188 - vapour),
    }
}

#[cfg(test)]
mod tests {
    use super::super::psychrometrics::{PSIA_AT_SEA_LEVEL, dew_point_humidity};
    use super::*;

    fn conditions(water_rate: f64, air: f64, wind: f64, humidity: f64) -> Conditions {
        Conditions { air, humidity, wind, water_rate, pressure: PSIA_AT_SEA_LEVEL, radiant: air }
    }

    fn near(found: f64, wanted: f64, within: f64) {
        assert!((found - wanted).abs() <= within, "{found} {wanted}");
    }

    /// FACTS 4.1, vector T1: the inputs are recalled as the handbook's example, the outputs were computed independently.
    #[test]
    fn vector_t1_of_the_balance() {
        let flux = balance(&conditions(0.1, 17.0, 19.6, dew_point_humidity(17.0, 14.0)));
        near(flux.sensible, 4.342, 5e-4);
        near(flux.melting, 74.516, 5e-4);
        near(flux.convection, 70.888, 1e-3);
        near(flux.radiation, 11.230, 1e-3);
        near(flux.evaporation, 51.250, 5e-3);
        for (free_area, total) in [(0.0, 78.858), (0.5, 145.542), (1.0, 212.226)] {
            near(flux.total(free_area), total, 5e-3);
        }
    }

    /// FACTS 4.1: 745.16 Btu/h ft² per in/h of water, 92.78 W/m² per mm/h. The closed form prints 746.
    #[test]
    fn unit_melt_flux() {
        near(WATER_MELT_FLUX, 745.16, 1e-9);
        near(WATER_MELT_FLUX * 3.154_59 / 25.4, 92.78, 0.24);
        near(closed_form(&conditions(1.0, 32.0, 0.0, 1.0)).melting, 746.0, 1e-9);
    }

    /// FACTS 4.1, closed form, three rows with the vapour pressures of `PsychroLib`.
    #[test]
    fn closed_form_table() {
        let dew = dew_point_humidity(17.0, 14.0);
        for (now, parts, totals) in [
            (conditions(0.1, 20.0, 10.0, 0.8), [3.12, 74.6, 37.939, 29.120], [77.720, 111.249, 144.779]),
            (conditions(0.1, 17.0, 19.6, dew), [3.9, 74.6, 81.890, 53.718], [78.5, 146.304, 214.108]),
            (conditions(0.08, 25.0, 5.0, 0.9), [1.456, 59.68, 14.182, 11.812], [61.136, 74.133, 87.130]),
        ] {
            let flux = closed_form(&now);
            let found = [flux.sensible, flux.melting, flux.convection, flux.evaporation];
            for (found, wanted) in found.into_iter().zip(parts) {
                near(found, wanted, 0.01);
            }
            for (free_area, total) in [0.0, 0.5, 1.0].into_iter().zip(totals) {
                near(flux.total(free_area), total, 0.02);
            }
        }
    }

    /// The two forms have nothing in common but the matter, and agree within 1 % at T1.
    #[test]
    fn closed_form_within_one_per_cent_of_the_balance() {
        let now = conditions(0.1, 17.0, 19.6, dew_point_humidity(17.0, 14.0));
        for free_area in [0.0, 0.5, 1.0] {
            let ratio = closed_form(&now).total(free_area) / balance(&now).total(free_area);
            assert!((ratio - 1.0).abs() < 0.01, "{free_area}: {ratio}");
        }
    }

    /// Colder, drier, windier or thicker snow never needs less.
    #[test]
    fn worse_weather_never_needs_less() {
        let base = conditions(0.1, 20.0, 10.0, 0.8);
        let worse = [
            Conditions { air: 10.0, radiant: 10.0, ..base },
            Conditions { humidity: 0.5, ..base },
            Conditions { wind: 20.0, ..base },
            Conditions { water_rate: 0.2, ..base },
            Conditions { radiant: 0.0, ..base },
        ];
        for now in worse {
            assert!(balance(&now).total(1.0) > balance(&base).total(1.0), "{now:?}");
        }
        assert!((balance(&base).total(0.0) - balance(&Conditions { wind: 30.0, ..base }).total(0.0)).abs() < 1e-12);
    }
}

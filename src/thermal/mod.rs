//! Heat and weather: whether a band melts snow, whether a roof dams, and what a season costs.
//!
//! Pure physics on plain numbers; nothing here knows a layout. Unlike the rest of the program, which counts in inches and
//! watts, this folder keeps the units of the published formulas it follows: °F, psia, mph, Btu/h ft². Names and docs say which.
//!
//! Terms: **dry bulb** air temperature; **dew point** temperature at which that air is saturated; **humidity ratio** mass of water
//! vapour per mass of dry air; **free-area ratio** the share of a surface that is kept free of snow (1 bare, 0 covered);
//! **film** the melt water on the surface.

mod band;
mod dam;
mod epw;
mod melt;
mod psychrometrics;
mod season;
mod sky;

pub use band::{BTU_PER_WATT_HOUR, Band};
pub use dam::{Dam, RoofLayers};
pub use epw::{Hour, Present, Weather};
pub use melt::{Conditions, MeltFlux, WATER_MELT_FLUX, balance, closed_form};
pub use psychrometrics::{
    PSIA_AT_SEA_LEVEL, celsius, dew_point, dew_point_humidity, fahrenheit, humidity_ratio, pressure_at,
    saturation_pressure,
};
pub use season::{Control, Fitness, Month, Power, Season, Seasons, Sensing, seasons};
pub use sky::{horizontal_infrared, mean_radiant, sky_emissivity};

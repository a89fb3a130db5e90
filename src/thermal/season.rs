//! A year of weather becomes the hours a two-stage control is on, what they cost, and when.
//!
//! The first stage closes on cold, the second on moisture. Moisture is either what falls from the sky alone, or that and snow
//! lying: a sensor on the roof sees both, one that only looks at the sky does not. After the moisture has gone the heat
//! stays on for the hold-on time, while it is cold. Below the low cut-out, where melt water would freeze again before it is gone,
//! the heat is off.
//!
//! # Source
//! The control rule is common practice without a source (`FACTS.md` 4.5); all of its numbers come from the job.

use super::epw::{Present, Weather};
use schemars::JsonSchema;
use serde::Serialize;

/// The control.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Control {
    /// The first stage closes at and below this, °F.
    pub on_below: f64,
    /// Whole hours the heat stays on after moisture has gone.
    pub hold_on: u32,
    /// Off below this, °F.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low_cut_out: Option<f64>,
}

/// What counts as moisture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Sensing {
    /// What falls.
    SkyWet,
    /// What falls, and snow that lies.
    SnowLying,
}

/// A month of it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, JsonSchema)]
pub struct Month {
    /// Hours on.
    pub hours: u32,
    /// Energy, kWh.
    pub energy: f64,
    /// Cost at the tariff.
    pub cost: f64,
}

/// A year under one kind of sensing.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Season {
    /// What counts as moisture.
    pub sensing: Sensing,
    /// January to December.
    pub months: [Month; 12],
    /// Hours on in the year.
    pub hours: u32,
    /// Energy in the year, kWh.
    pub energy: f64,
    /// Cost of the year at the tariff.
    pub cost: f64,
    /// Air in the coldest hour that was on, °F.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coldest: Option<f64>,
}

/// Whether a weather file can say anything about snow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Fitness {
    /// Rows in the file.
    pub rows: u32,
    /// Hours without a temperature: never on.
    pub without_temperature: u32,
    /// Hours of which neither codes nor precipitation say whether something fell.
    pub without_moisture: u32,
    /// Hours with snow lying.
    pub snow_lying: u32,
    /// Hours with weather codes.
    pub observed: u32,
    /// Whether there is snow depth or weather codes to go by. Files without them, which are common, leave out most of the snow.
    pub fit: bool,
}

/// What the heating draws while on.
#[derive(Debug, Clone, PartialEq)]
pub struct Power {
    /// At the running temperature, W.
    pub watts: f64,
    /// Air in °F, rising, and W at it, for element whose power hangs on its temperature; empty where it does not.
    pub by_air: Vec<(f64, f64)>,
}

impl Power {
    /// The same at every temperature.
    #[must_use]
    pub fn constant(watts: f64) -> Self {
        Self { watts, by_air: Vec::new() }
    }

    /// W at this air, on the straight line between the two nearest temperatures; beyond the last, what it is there.
    fn at(&self, air: f64) -> f64 {
        let above = self.by_air.partition_point(|(t, _)| *t <= air);
        match (above.checked_sub(1).map(|i| self.by_air[i]), self.by_air.get(above)) {
            (Some((t, w)), Some(&(next, more))) => w + (more - w) * (air - t) / (next - t),
            (Some((_, w)), None) | (None, Some(&(_, w))) => w,
            (None, None) => self.watts,
        }
    }
}

/// Both seasons of one weather file.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Seasons {
    /// The place as the file names it.
    pub place: String,
    /// The control.
    pub control: Control,
    /// Power while on at the running temperature, W.
    pub watts: f64,
    /// Whether energy follows the element's power at the air of each hour.
    pub follows_air: bool,
    /// Price of a kWh; without one all costs are 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tariff: Option<f64>,
    /// Whether the file is fit for it.
    pub fitness: Fitness,
    /// By what falls alone.
    pub sky_wet: Season,
    /// By what falls and lies.
    pub snow_lying: Season,
}

/// Runs the control through the year with `power` on, at `tariff` a kWh. Element that draws more in the cold is taken to be as cold as the
/// air: under snow it is warmer, so the energy comes out high rather than low.
#[must_use]
pub fn seasons(weather: &Weather, control: &Control, power: &Power, tariff: Option<f64>) -> Seasons {
    let season = |sensing| season(weather, control, power, tariff.unwrap_or(0.0), sensing);
    Seasons {
        place: weather.place.clone(),
        control: *control,
        watts: power.watts,
        follows_air: !power.by_air.is_empty(),
        tariff,
        fitness: fitness(weather),
        sky_wet: season(Sensing::SkyWet),
        snow_lying: season(Sensing::SnowLying),
    }
}

fn season(weather: &Weather, control: &Control, power: &Power, tariff: f64, sensing: Sensing) -> Season {
    let mut months = [Month::default(); 12];
    let mut coldest: Option<f64> = None;
    let mut hold = 0;
    for hour in &weather.hours {
        // An hour without a temperature tells the first stage nothing: it opens, and moisture starts no new hold.
        let Some(air) = hour.air.filter(|air| *air <= control.on_below) else {
            hold = 0;
            continue;
        };
        let falling = hour.falling() == Some(true);
        let moist = falling || (sensing == Sensing::SnowLying && hour.lying() == Some(true));
        let on = moist || hold > 0;
        hold = if moist { control.hold_on } else { hold.saturating_sub(1) };
        if !on || control.low_cut_out.is_some_and(|low| air < low) {
            continue;
        }
        let month = &mut months[usize::from(hour.month) - 1];
        month.hours += 1;
        month.energy += power.at(air) / 1000.0;
        coldest = Some(coldest.map_or(air, |c| c.min(air)));
    }
    let mut all = Month::default();
    for month in &mut months {
        if power.by_air.is_empty() {
            // Not as a sum of thousands of roundings.
            month.energy = f64::from(month.hours) * power.watts / 1000.0;
        }
        month.cost = month.energy * tariff;
        all = Month { hours: all.hours + month.hours, energy: all.energy + month.energy, cost: all.cost + month.cost };
    }
    Season { sensing, months, hours: all.hours, energy: all.energy, cost: all.cost, coldest }
}

fn fitness(weather: &Weather) -> Fitness {
    let count = |test: &dyn Fn(&super::Hour) -> bool| weather.hours.iter().filter(|h| test(h)).count() as u32;
    let snow_lying = count(&|h| h.lying() == Some(true));
    let observed = count(&|h| h.present != Present::Unknown);
    Fitness {
        rows: weather.hours.len() as u32,
        without_temperature: count(&|h| h.air.is_none()),
        without_moisture: count(&|h| h.falling().is_none()),
        snow_lying,
        observed,
        fit: snow_lying > 0 || observed > 0,
    }
}

#[cfg(test)]
mod tests {
    use super::super::epw::Hour;
    use super::*;
    use proptest::prelude::*;

    const CONTROL: Control = Control { on_below: 38.0, hold_on: 2, low_cut_out: None };

    fn hour(air: f64, precipitation: f64, snow_depth: f64) -> Hour {
        Hour {
            month: 1,
            day: 1,
            hour: 1,
            air: Some(air),
            present: Present::Unknown,
            snow_depth: Some(snow_depth),
            precipitation: Some(precipitation),
        }
    }

    fn run(hours: Vec<Hour>, control: Control) -> Seasons {
        seasons(&Weather { place: "nowhere".into(), hours }, &control, &Power::constant(1000.0), Some(0.2))
    }

    /// By hand: wet and cold is on, two hours are held, the fourth dry hour is not; snow lying keeps the other one on.
    #[test]
    fn hold_on_by_hand() {
        let hours = vec![
            hour(30.0, 1.0, 0.0),
            hour(30.0, 0.0, 5.0),
            hour(30.0, 0.0, 5.0),
            hour(30.0, 0.0, 5.0),
            hour(30.0, 0.0, 0.0),
        ];
        let made = run(hours, CONTROL);
        assert_eq!((made.sky_wet.hours, made.snow_lying.hours), (3, 5));
        assert!((made.sky_wet.energy - 3.0).abs() < 1e-12 && (made.sky_wet.cost - 0.6).abs() < 1e-12);
        assert_eq!(made.sky_wet.months[0].hours, 3);
        assert_eq!(made.sky_wet.coldest, Some(30.0));
    }

    /// By hand: 1200 W at 20 °F and 1000 W at 30 °F are 1100 W at 25 °F; colder than 20 °F stays 1200 W, warmer than 30 °F 1000 W.
    #[test]
    fn energy_follows_the_air_where_power_does() {
        let power = Power { watts: 1000.0, by_air: vec![(20.0, 1200.0), (30.0, 1000.0)] };
        let hours = [10.0, 20.0, 25.0, 30.0, 35.0].map(|air| hour(air, 1.0, 0.0)).to_vec();
        let made = seasons(&Weather { place: "nowhere".into(), hours }, &CONTROL, &power, Some(0.5));
        assert!((made.sky_wet.energy - 5.5).abs() < 1e-12 && (made.sky_wet.cost - 2.75).abs() < 1e-12);
        assert!(made.follows_air && (made.watts - 1000.0).abs() < 1e-12);
    }

    /// Warm air opens the first stage and ends the hold; the low cut-out only skips hours.
    #[test]
    fn both_stages_and_the_low_cut_out() {
        let hours = vec![hour(30.0, 1.0, 0.0), hour(39.0, 0.0, 0.0), hour(30.0, 0.0, 0.0)];
        assert_eq!(run(hours, CONTROL).sky_wet.hours, 1);
        let hours = vec![hour(38.0, 1.0, 0.0), hour(38.01, 1.0, 0.0)];
        assert_eq!(run(hours, Control { hold_on: 0, ..CONTROL }).sky_wet.hours, 1);
        let hours = vec![hour(10.0, 1.0, 0.0), hour(-5.0, 1.0, 0.0), hour(10.0, 0.0, 0.0)];
        let made = run(hours, Control { low_cut_out: Some(0.0), ..CONTROL });
        assert_eq!((made.sky_wet.hours, made.sky_wet.coldest), (2, Some(10.0)));
    }

    /// A year without snow or codes says nothing of snow.
    #[test]
    fn a_file_without_snow_or_codes_is_unfit() {
        assert!(!run(vec![hour(20.0, 1.0, 0.0)], CONTROL).fitness.fit);
        assert!(run(vec![hour(20.0, 1.0, 3.0)], CONTROL).fitness.fit);
        let observed = Hour { present: Present::Dry, ..hour(20.0, 0.0, 0.0) };
        assert!(run(vec![observed], CONTROL).fitness.fit);
        let blank = Hour { air: None, snow_depth: None, precipitation: None, ..hour(0.0, 0.0, 0.0) };
        let made = run(vec![blank], CONTROL);
        assert_eq!((made.fitness.without_temperature, made.fitness.without_moisture, made.sky_wet.hours), (1, 1, 0));
    }

    /// The independent route: for each hour by itself look back for moisture, with no state carried along.
    fn second_loop(hours: &[Hour], control: &Control, lying: bool) -> usize {
        let cold = |at: usize| hours[at].air.is_some_and(|t| t <= control.on_below);
        let moist = |at: usize| {
            let h = &hours[at];
            let codes = matches!(h.present, Present::Rain | Present::Frozen);
            h.precipitation.unwrap_or(0.0) > 0.0 || codes || (lying && h.snow_depth.unwrap_or(0.0) > 0.0)
        };
        (0..hours.len())
            .filter(|&at| {
                let first = at.saturating_sub(control.hold_on as usize);
                let fed = (first..=at).any(|wet| moist(wet) && (wet..=at).all(cold));
                fed && control.low_cut_out.is_none_or(|low| hours[at].air.is_some_and(|t| t >= low))
            })
            .count()
    }

    fn any_hour() -> impl Strategy<Value = Hour> {
        let air = prop::option::weighted(0.95, -10.0..50.0_f64);
        let depth = prop::option::weighted(0.9, prop_oneof![3 => Just(0.0), 1 => 0.1..90.0_f64]);
        let rain = prop::option::weighted(0.9, prop_oneof![4 => Just(0.0), 1 => 0.1..5.0_f64]);
        let present = prop_oneof![
            4 => Just(Present::Unknown),
            2 => Just(Present::Dry),
            1 => Just(Present::Rain),
            1 => Just(Present::Frozen)
        ];
        (air, depth, rain, present, 1..=12_u8).prop_map(|(air, snow_depth, precipitation, present, month)| Hour {
            month,
            day: 1,
            hour: 1,
            air,
            present,
            snow_depth,
            precipitation,
        })
    }

    proptest! {
        #[test]
        fn season_equals_the_second_loop(
            hours in prop::collection::vec(any_hour(), 1..300),
            on_below in 20.0..45.0_f64,
            hold_on in 0..6_u32,
            low_cut_out in prop::option::of(-5.0..20.0_f64),
        ) {
            let control = Control { on_below, hold_on, low_cut_out };
            let made = run(hours.clone(), control);
            prop_assert_eq!(made.sky_wet.hours as usize, second_loop(&hours, &control, false));
            prop_assert_eq!(made.snow_lying.hours as usize, second_loop(&hours, &control, true));
            prop_assert!(made.snow_lying.hours >= made.sky_wet.hours);
            let by_month: u32 = made.snow_lying.months.iter().map(|m| m.hours).sum();
            prop_assert_eq!(by_month, made.snow_lying.hours);
            prop_assert!((made.snow_lying.cost - f64::from(by_month) * 0.2).abs() < 1e-9);
        }
    }
}

//! Design weather, season, cutting, labour and prices of a job: typed tables, what they mean, their defaults and their part of
//! the template. Defaults are common practice without a source, all adjustable.

use super::file::JobFile;
use super::limits::Limits;
use super::model::Job;
use super::read::put;
use super::template::{Page, quoted};
use super::template_tables::length;
use crate::error::Result;
use crate::units::{Length, Share, decimal};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The weather the band is held against, and the roof as a heat path.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SiteTable {
    /// Height above the sea.
    pub elevation: Option<Length>,
    /// Air temperature while it snows, °F.
    pub air: Option<f64>,
    /// Relative humidity while it snows.
    pub humidity: Option<Share>,
    /// Wind, mph.
    pub wind: Option<f64>,
    /// Snowfall, as inches of water an hour.
    pub snow_water: Option<f64>,
    /// Inches of snow that make an inch of water.
    pub snow_ratio: Option<f64>,
    /// Share of the band that is to stay bare while it snows: 0 % melts under a cover of snow, 100 % keeps it free.
    pub free_area: Option<Share>,
    /// Cloud; left out, the sky is as warm as the air, as while snow falls thickly.
    pub cloud: Option<Share>,
    /// Share of the element's heat that leaves through the underside of the deck.
    pub backside_loss: Option<Share>,
    /// Air under the deck on a day of icing, °F.
    pub attic: Option<f64>,
    /// Outside air on a day of icing, °F.
    pub icing_air: Option<f64>,
    /// Resistance from the air under the deck to the snow's base, h ft² °F/Btu.
    pub roof_resistance: Option<f64>,
    /// Snow on the roof on a day of icing.
    pub snow_depth: Option<Length>,
    /// Resistance of an inch of that snow, h ft² °F/Btu.
    pub snow_resistance: Option<f64>,
}

/// The control and what a season costs.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SeasonTable {
    /// Weather file in the EPW format, from this file's folder; `--weather` on the command line takes its place.
    pub weather: Option<String>,
    /// The control's first stage closes at and below this air temperature, °F.
    pub on_below: Option<f64>,
    /// Hours the heat stays on after moisture has gone.
    pub hold_on: Option<u32>,
    /// The heat is off below this air temperature, °F.
    pub low_cut_out: Option<f64>,
    /// Price of a kilowatt hour, in the currency of the prices.
    pub tariff: Option<f64>,
}

/// How rolls are cut and what is ordered beyond what is drawn.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct TakeoffTable {
    /// Lost to each cut between two pieces of a roll.
    pub kerf: Option<Length>,
    /// An offcut of at least this is kept; a shorter one is waste.
    pub keep_offcut: Option<Length>,
    /// Spare on leads, connections, fixing and wire.
    pub spare: Option<Share>,
    /// From one fixing point of an element to the next; both ends have one.
    pub fixing_spacing: Option<Length>,
    /// Sealing patches, sleeves and guards that one cartridge of sealant serves.
    pub seals_per_cartridge: Option<u32>,
}

/// Working time.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct LabourTable {
    /// Price of an hour, in the currency of the prices; left out, hours are listed without a price.
    pub rate: Option<f64>,
    /// Hours for setting up, measuring the roof, clearing away and handing over.
    pub set_up: Option<f64>,
    /// Minutes to measure, cut and label a piece of element.
    pub piece: Option<f64>,
    /// Minutes to lay and fix a foot of element.
    pub foot: Option<f64>,
    /// Minutes for a power connection.
    pub connection: Option<f64>,
    /// Minutes to cap and seal a cut end.
    pub cap: Option<f64>,
    /// Minutes to lay a foot of lead.
    pub lead_foot: Option<f64>,
    /// Minutes to set and wire a junction box.
    pub junction_box: Option<f64>,
    /// Minutes to wire a circuit, its breaker and its part of the controller.
    pub circuit: Option<f64>,
    /// Minutes to test a piece once; the record asks for more than one test.
    pub test: Option<f64>,
    /// Minutes to strip a shingle of a retrofit and lay it anew.
    pub shingle: Option<f64>,
}

/// How the quote is made up. Unit prices stand in the catalogue.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct PricesTable {
    /// Currency as printed.
    pub currency: Option<String>,
    /// Added to material and labour.
    pub markup: Option<Share>,
    /// Added to all of it.
    pub tax: Option<Share>,
}

/// The weather the band is held against, and the roof as a heat path.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SiteSettings {
    /// Whether the job gave the weather: air, humidity, wind and snowfall.
    pub given: bool,
    /// Height above the sea, feet.
    pub elevation: f64,
    /// Air while it snows, °F.
    pub air: f64,
    /// Relative humidity, 0..1.
    pub humidity: f64,
    /// Wind, mph.
    pub wind: f64,
    /// Snowfall as water, in/h.
    pub snow_water: f64,
    /// Inches of snow to an inch of water.
    pub snow_ratio: f64,
    /// Free-area ratio, 0..1.
    pub free_area: f64,
    /// Cloud, 0..1; none for a sky as warm as the air.
    pub cloud: Option<f64>,
    /// Share of heat lost through the deck.
    pub backside_loss: f64,
    /// Air under the deck on a day of icing, °F.
    pub attic: f64,
    /// Outside air on that day, °F.
    pub icing_air: f64,
    /// From the air under the deck to the snow's base, h ft² °F/Btu.
    pub roof_resistance: f64,
    /// Snow on the roof, inches.
    pub snow_depth: f64,
    /// Resistance of an inch of it, h ft² °F/Btu.
    pub snow_resistance: f64,
}

/// The control and what a season costs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeasonSettings {
    /// Weather file as typed.
    pub weather: Option<String>,
    /// First stage, °F.
    pub on_below: f64,
    /// Hold-on, hours.
    pub hold_on: u32,
    /// Low cut-out, °F.
    pub low_cut_out: Option<f64>,
    /// Price of a kWh; none when the job names none.
    pub tariff: Option<f64>,
}

/// How rolls are cut and what is ordered beyond what is drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TakeoffSettings {
    /// Lost to a cut, inches.
    pub kerf: f64,
    /// Shorter offcuts are waste, inches.
    pub keep_offcut: f64,
    /// Spare as a share.
    pub spare: f64,
    /// Between fixing points, inches.
    pub fixing_spacing: f64,
    /// Seals to a cartridge.
    pub seals_per_cartridge: u32,
}

/// Working time, minutes unless said otherwise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LabourSettings {
    /// Price of an hour.
    pub rate: Option<f64>,
    /// Hours that do not depend on the layout.
    pub set_up: f64,
    /// A piece of element.
    pub piece: f64,
    /// A foot of element.
    pub foot: f64,
    /// A power connection.
    pub connection: f64,
    /// A capped end.
    pub cap: f64,
    /// A foot of lead.
    pub lead_foot: f64,
    /// A box.
    pub junction_box: f64,
    /// A circuit.
    pub circuit: f64,
    /// A test of a piece.
    pub test: f64,
    /// A shingle stripped and laid anew.
    pub shingle: f64,
}

/// How the quote is made up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PriceSettings {
    /// Currency as printed.
    pub currency: String,
    /// Share on material and labour.
    pub markup: f64,
    /// Share on all of it.
    pub tax: f64,
}

/// All of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Estimate {
    /// Design weather.
    pub site: SiteSettings,
    /// Control and tariff.
    pub season: SeasonSettings,
    /// Cutting and spare.
    pub takeoff: TakeoffSettings,
    /// Working time.
    pub labour: LabourSettings,
    /// Quote.
    pub prices: PriceSettings,
}

impl Default for Estimate {
    fn default() -> Self {
        Self {
            site: SiteSettings {
                given: false,
                elevation: 0.0,
                air: 20.0,
                humidity: 0.8,
                wind: 10.0,
                snow_water: 0.1,
                snow_ratio: 10.0,
                free_area: 0.0,
                cloud: None,
                backside_loss: 0.15,
                attic: 40.0,
                // The outside design temperature of a public study of icings at eaves, FACTS.md 4.4.
                icing_air: 22.0,
                roof_resistance: 1.5,
                snow_depth: 8.0,
                snow_resistance: 1.0,
            },
            season: SeasonSettings { weather: None, on_below: 38.0, hold_on: 2, low_cut_out: None, tariff: None },
            takeoff: TakeoffSettings {
                kerf: 0.125,
                keep_offcut: 24.0,
                spare: 0.05,
                fixing_spacing: 24.0,
                seals_per_cartridge: 20,
            },
            labour: LabourSettings {
                rate: None,
                set_up: 8.0,
                piece: 6.0,
                foot: 0.5,
                connection: 15.0,
                cap: 5.0,
                lead_foot: 0.5,
                junction_box: 45.0,
                circuit: 60.0,
                test: 3.0,
                shingle: 2.0,
            },
            prices: PriceSettings { currency: "USD".into(), markup: 0.0, tax: 0.0 },
        }
    }
}

pub(super) fn read(job: &mut Job, file: &JobFile, limits: &Limits) -> Result<()> {
    read_site(&mut job.estimate.site, &file.site, limits)?;
    let (typed, season) = (&file.season, &mut job.estimate.season);
    season.weather.clone_from(&typed.weather);
    put(&mut season.on_below, limits.number("season.on_below", typed.on_below, 32.0, 50.0, "°F")?);
    put(&mut season.hold_on, limits.count("season.hold_on", typed.hold_on, 0, 48)?);
    season.low_cut_out = limits.number("season.low_cut_out", typed.low_cut_out, -60.0, 32.0, "°F")?;
    season.tariff = limits.number("season.tariff", typed.tariff, 0.0, 1000.0, "a kWh")?;
    let (typed, takeoff) = (&file.takeoff, &mut job.estimate.takeoff);
    put(&mut takeoff.kerf, limits.length("takeoff.kerf", typed.kerf, 0.0, 6.0)?);
    put(&mut takeoff.keep_offcut, limits.length("takeoff.keep_offcut", typed.keep_offcut, 0.0, 6000.0)?);
    put(&mut takeoff.spare, limits.share("takeoff.spare", typed.spare, 0.0, 1.0)?);
    put(&mut takeoff.fixing_spacing, limits.length("takeoff.fixing_spacing", typed.fixing_spacing, 1.0, 240.0)?);
    let seals = limits.count("takeoff.seals_per_cartridge", typed.seals_per_cartridge, 1, 1000)?;
    put(&mut takeoff.seals_per_cartridge, seals);
    let prices = &mut job.estimate.prices;
    put(&mut prices.currency, file.prices.currency.clone());
    put(&mut prices.markup, limits.share("prices.markup", file.prices.markup, 0.0, 2.0)?);
    put(&mut prices.tax, limits.share("prices.tax", file.prices.tax, 0.0, 1.0)?);
    read_labour(&mut job.estimate.labour, &file.labour, limits)
}

fn read_site(site: &mut SiteSettings, typed: &SiteTable, limits: &Limits) -> Result<()> {
    site.given = typed.air.is_some() && typed.humidity.is_some() && typed.wind.is_some() && typed.snow_water.is_some();
    let elevation = limits.length("site.elevation", typed.elevation, -18_000.0, 240_000.0)?;
    put(&mut site.elevation, elevation.map(|inches| inches / crate::units::INCHES_PER_FOOT));
    put(&mut site.air, limits.number("site.air", typed.air, -40.0, 32.0, "°F")?);
    put(&mut site.humidity, limits.share("site.humidity", typed.humidity, 0.05, 1.0)?);
    put(&mut site.wind, limits.number("site.wind", typed.wind, 0.0, 100.0, "mph")?);
    put(&mut site.snow_water, limits.number("site.snow_water", typed.snow_water, 0.001, 2.0, "in/h")?);
    put(&mut site.snow_ratio, limits.number("site.snow_ratio", typed.snow_ratio, 1.0, 50.0, "")?);
    put(&mut site.free_area, limits.share("site.free_area", typed.free_area, 0.0, 1.0)?);
    site.cloud = limits.share("site.cloud", typed.cloud, 0.0, 1.0)?;
    put(&mut site.backside_loss, limits.share("site.backside_loss", typed.backside_loss, 0.0, 0.95)?);
    put(&mut site.attic, limits.number("site.attic", typed.attic, -40.0, 120.0, "°F")?);
    put(&mut site.icing_air, limits.number("site.icing_air", typed.icing_air, -60.0, 60.0, "°F")?);
    let unit = "h ft² °F/Btu";
    put(&mut site.roof_resistance, limits.number("site.roof_resistance", typed.roof_resistance, 0.1, 200.0, unit)?);
    put(&mut site.snow_depth, limits.length("site.snow_depth", typed.snow_depth, 0.5, 240.0)?);
    put(&mut site.snow_resistance, limits.number("site.snow_resistance", typed.snow_resistance, 0.1, 5.0, unit)?);
    Ok(())
}

fn read_labour(labour: &mut LabourSettings, typed: &LabourTable, limits: &Limits) -> Result<()> {
    labour.rate = limits.number("labour.rate", typed.rate, 0.0, 100_000.0, "an hour")?;
    put(&mut labour.set_up, limits.number("labour.set_up", typed.set_up, 0.0, 1000.0, "h")?);
    for (key, typed, slot) in [
        ("piece", typed.piece, &mut labour.piece),
        ("foot", typed.foot, &mut labour.foot),
        ("connection", typed.connection, &mut labour.connection),
        ("cap", typed.cap, &mut labour.cap),
        ("lead_foot", typed.lead_foot, &mut labour.lead_foot),
        ("junction_box", typed.junction_box, &mut labour.junction_box),
        ("circuit", typed.circuit, &mut labour.circuit),
        ("test", typed.test, &mut labour.test),
        ("shingle", typed.shingle, &mut labour.shingle),
    ] {
        put(slot, limits.number(&format!("labour.{key}"), typed, 0.0, 1000.0, "min")?);
    }
    Ok(())
}

impl Page {
    pub(super) fn sections_of_the_estimate(&mut self, estimate: &Estimate) {
        let share = |part: f64| quoted(&format!("{} %", decimal(part * 100.0, 3)));
        let number = |value: f64| decimal(value, 4);
        let site = &estimate.site;
        self.table("site");
        self.key("site.elevation", &quoted(&format!("{} ft", decimal(site.elevation, 1))));
        self.key("site.air", &number(site.air));
        self.key("site.humidity", &share(site.humidity));
        self.key("site.wind", &number(site.wind));
        self.key("site.snow_water", &number(site.snow_water));
        self.key("site.snow_ratio", &number(site.snow_ratio));
        self.key("site.free_area", &share(site.free_area));
        self.example("site.cloud", "\"80 %\"");
        self.key("site.backside_loss", &share(site.backside_loss));
        self.key("site.attic", &number(site.attic));
        self.key("site.icing_air", &number(site.icing_air));
        self.key("site.roof_resistance", &number(site.roof_resistance));
        self.key("site.snow_depth", &length(site.snow_depth));
        self.key("site.snow_resistance", &number(site.snow_resistance));
        let season = &estimate.season;
        self.table("season");
        self.example("season.weather", "\"weather.epw\"");
        self.key("season.on_below", &number(season.on_below));
        self.key("season.hold_on", &season.hold_on.to_string());
        self.example("season.low_cut_out", "5");
        self.example("season.tariff", "0.2");
        let takeoff = &estimate.takeoff;
        self.table("takeoff");
        self.key("takeoff.kerf", &length(takeoff.kerf));
        self.key("takeoff.keep_offcut", &length(takeoff.keep_offcut));
        self.key("takeoff.spare", &share(takeoff.spare));
        self.key("takeoff.fixing_spacing", &length(takeoff.fixing_spacing));
        self.key("takeoff.seals_per_cartridge", &takeoff.seals_per_cartridge.to_string());
        let labour = &estimate.labour;
        self.table("labour");
        self.example("labour.rate", "80");
        for (key, value) in [
            ("set_up", labour.set_up),
            ("piece", labour.piece),
            ("foot", labour.foot),
            ("connection", labour.connection),
            ("cap", labour.cap),
            ("lead_foot", labour.lead_foot),
            ("junction_box", labour.junction_box),
            ("circuit", labour.circuit),
            ("test", labour.test),
            ("shingle", labour.shingle),
        ] {
            self.key(&format!("labour.{key}"), &number(value));
        }
        self.table("prices");
        self.key("prices.currency", &quoted(&estimate.prices.currency));
        self.key("prices.markup", &share(estimate.prices.markup));
        self.key("prices.tax", &share(estimate.prices.tax));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;

    fn read(text: &str) -> Result<Job> {
        Job::from_toml(text, &Catalogue::sample()).map(|outcome| outcome.value)
    }

    #[test]
    fn weather_control_and_labour_are_read() {
        let job = read(
            "[site]\nelevation = \"1077 m\"\nair = 17\nhumidity = \"86 %\"\nwind = 19.6\nsnow_water = 0.1\nfree_area = \"50 %\"\n\
             [season]\nweather = \"x.epw\"\nhold_on = 6\nlow_cut_out = 0\n[labour]\nrate = 80\npiece = 5\n[takeoff]\nkerf = \"1/4 in\"\n",
        )
        .unwrap();
        let estimate = job.estimate;
        assert!(estimate.site.given && (estimate.site.elevation - 3533.46).abs() < 0.01);
        assert_eq!(
            (estimate.site.free_area, estimate.season.hold_on, estimate.season.low_cut_out),
            (0.5, 6, Some(0.0))
        );
        assert_eq!((estimate.labour.rate, estimate.labour.piece, estimate.takeoff.kerf), (Some(80.0), 5.0, 0.25));
        assert_eq!(estimate.season.weather.as_deref(), Some("x.epw"));
        assert!(!read("[site]\nair = 17\n").unwrap().estimate.site.given, "one figure is not a design day");
    }

    #[test]
    fn what_is_out_of_range_is_refused() {
        for text in [
            "[site]\nair = 40\n",
            "[season]\nhold_on = 100\n",
            "[takeoff]\nspare = \"300 %\"\n",
            "[labour]\npiece = -1\n",
        ] {
            assert_eq!(read(text).unwrap_err().code, "out-of-range", "{text}");
        }
    }
}

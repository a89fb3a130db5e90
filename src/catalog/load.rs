//! Reading a catalogue and judging its numbers.

use super::model::{BoxType, Catalogue, Element, LeadCable, Shingle};
use crate::error::{Error, Result};
use crate::finding::Place;
use crate::settings::{self, Lines, name_of};
use crate::units::{decimal, feet_inches};
use std::collections::BTreeMap;

/// The catalogue compiled into the program: the invented one of the samples.
const SAMPLE: &str = include_str!("../../samples/catalogue.toml");

/// The JSON Schema of a catalogue.
#[must_use]
pub fn catalogue_schema() -> serde_json::Value {
    schemars::schema_for!(Catalogue).to_value()
}

impl Catalogue {
    /// The invented catalogue of the samples.
    ///
    /// # Panics
    /// Never: a test reads it.
    #[must_use]
    pub fn sample() -> Self {
        Self::from_toml(SAMPLE).expect("the compiled-in catalogue is valid")
    }

    /// Reads a catalogue.
    ///
    /// # Errors
    /// Each with the line, the key and what would be right:
    /// - `settings-syntax`, `unknown-key`, `missing-key`, `wrong-value`: see [`settings::read`];
    /// - `out-of-range`: a value no product can have, or that contradicts another one;
    /// - `doubled-entry`: two products of one kind with one key.
    pub fn from_toml(text: &str) -> Result<Self> {
        let (catalogue, lines): (Self, Lines) = settings::read(text, &catalogue_schema())?;
        check_keys("shingle", catalogue.shingles.iter().map(|s| s.key.as_str()), &lines)?;
        check_keys("element", catalogue.elements.iter().map(|e| e.key.as_str()), &lines)?;
        check_keys("lead", catalogue.leads.iter().map(|l| l.key.as_str()), &lines)?;
        check_keys("box", catalogue.boxes.iter().map(|b| b.key.as_str()), &lines)?;
        check_keys("disconnect", catalogue.disconnects.iter().map(|s| s.key.as_str()), &lines)?;
        check_keys("contactor", catalogue.contactors.iter().map(|s| s.key.as_str()), &lines)?;
        check_keys("controller", catalogue.controllers.iter().map(|s| s.key.as_str()), &lines)?;
        check_keys("price", catalogue.prices.iter().map(|p| p.key.as_str()), &lines)?;
        for (at, item) in catalogue.prices.iter().enumerate() {
            Entry { path: format!("price.{at}"), lines: &lines }.number("price", item.price, 0.0, 1e6)?;
        }
        for (at, item) in catalogue.shingles.iter().enumerate() {
            check_shingle(item, &Entry { path: format!("shingle.{at}"), lines: &lines })?;
        }
        for (at, item) in catalogue.elements.iter().enumerate() {
            check_element(item, &Entry { path: format!("element.{at}"), lines: &lines })?;
        }
        for (at, item) in catalogue.leads.iter().enumerate() {
            check_lead(item, &Entry { path: format!("lead.{at}"), lines: &lines })?;
        }
        for (at, item) in catalogue.boxes.iter().enumerate() {
            check_box(item, &Entry { path: format!("box.{at}"), lines: &lines })?;
        }
        check_switches(&catalogue, &lines)?;
        Ok(catalogue)
    }
}

fn check_switches(catalogue: &Catalogue, lines: &Lines) -> Result<()> {
    let rating = |kind: &str, at: usize, poles: u32, amps: f64, volts: f64| -> Result<()> {
        let entry = Entry { path: format!("{kind}.{at}"), lines };
        if !(1..=24).contains(&poles) {
            return Err(entry.refuse("poles", &poles.to_string(), "1 to 24"));
        }
        entry.number("amps", amps, 0.1, 1000.0)?;
        entry.number("volts", volts, 12.0, 1000.0)
    };
    for (at, item) in catalogue.disconnects.iter().enumerate() {
        rating("disconnect", at, item.poles, item.amps, item.volts)?;
    }
    for (at, item) in catalogue.contactors.iter().enumerate() {
        rating("contactor", at, item.poles, item.amps, item.volts)?;
        let entry = Entry { path: format!("contactor.{at}"), lines };
        entry.number("coil_amps", item.coil_amps, 0.0, 20.0)?;
    }
    for (at, item) in catalogue.controllers.iter().enumerate() {
        rating("controller", at, item.poles, item.amps, item.volts)?;
    }
    Ok(())
}

fn check_keys<'a>(kind: &str, keys: impl Iterator<Item = &'a str>, lines: &Lines) -> Result<()> {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (at, key) in keys.enumerate() {
        let path = format!("{kind}.{at}.key");
        let line = lines.of(&path).unwrap_or(0);
        if key.trim().is_empty() {
            return Err(Error::usage("out-of-range", format!("{} is empty", name_of(&path)))
                .at(Place::line(line))
                .with_hint("allowed: the name by which a job file asks for the product"));
        }
        if let Some(first) = seen.insert(key, line) {
            return Err(Error::usage(
                "doubled-entry",
                format!("two of [[{kind}]] have the key '{key}', the first in line {first}"),
            )
            .at(Place::line(line))
            .with_hint("give each product its own key"));
        }
    }
    Ok(())
}

/// One product of the file, for messages.
struct Entry<'a> {
    path: String,
    lines: &'a Lines,
}

impl Entry<'_> {
    fn refuse(&self, key: &str, value: &str, allowed: &str) -> Error {
        let path = format!("{}.{key}", self.path);
        Error::usage("out-of-range", format!("{} is {value}", name_of(&path)))
            .at(self.lines.place(&path))
            .with_hint(format!("allowed: {allowed}"))
    }

    fn number(&self, key: &str, value: f64, low: f64, high: f64) -> Result<()> {
        if (low..=high).contains(&value) {
            return Ok(());
        }
        Err(self.refuse(key, &decimal(value, 6), &format!("{} to {}", decimal(low, 6), decimal(high, 6))))
    }

    fn inches(&self, key: &str, value: crate::units::Length, low: f64, high: f64) -> Result<()> {
        let inches = value.inches();
        if (low..=high).contains(&inches) {
            return Ok(());
        }
        Err(self.refuse(
            key,
            &format!("{} in", decimal(inches, 4)),
            &format!("{} to {}", feet_inches(low), feet_inches(high)),
        ))
    }

    fn ordered(&self, low: (&str, f64), high: (&str, f64)) -> Result<()> {
        if low.1 <= high.1 {
            return Ok(());
        }
        Err(self.refuse(
            low.0,
            &format!("{} in", decimal(low.1, 4)),
            &format!("at most `{}`, {} in", high.0, decimal(high.1, 4)),
        ))
    }
}

fn check_shingle(item: &Shingle, entry: &Entry) -> Result<()> {
    entry.inches("exposure", item.exposure, 1.0, 24.0)?;
    entry.inches("height", item.height, 2.0, 60.0)?;
    entry.inches("width", item.width, 2.0, 120.0)?;
    entry.inches("nail_low", item.nail_low, 0.0, 60.0)?;
    entry.inches("nail_high", item.nail_high, 0.0, 60.0)?;
    entry.inches("end_nail", item.end_nail, 0.0, 24.0)?;
    entry.inches("starter_nail_low", item.starter_nail_low, 0.0, 24.0)?;
    entry.inches("starter_nail_high", item.starter_nail_high, 0.0, 24.0)?;
    entry.inches("overhang", item.overhang, 0.0, 3.0)?;
    let height = ("height", item.height.inches());
    entry.ordered(("nail_low", item.nail_low.inches()), ("nail_high", item.nail_high.inches()))?;
    entry.ordered(("nail_high", item.nail_high.inches()), height)?;
    entry.ordered(("exposure", item.exposure.inches()), height)?;
    let starter_high = ("starter_nail_high", item.starter_nail_high.inches());
    entry.ordered(("starter_nail_low", item.starter_nail_low.inches()), starter_high)
}

fn check_element(item: &Element, entry: &Entry) -> Result<()> {
    entry.inches("width", item.width, 0.25, 36.0)?;
    entry.inches("thickness", item.thickness, 0.001, 2.0)?;
    entry.number("volts", item.volts, 12.0, 600.0)?;
    entry.number("watts_per_foot", item.watts_per_foot, 0.1, 200.0)?;
    entry.number("bus_ohms_per_foot", item.bus_ohms_per_foot, 1e-6, 10.0)?;
    entry.inches("longest_piece", item.longest_piece, 12.0, 6000.0)?;
    entry.inches("roll_length", item.roll_length, 12.0, 60000.0)?;
    entry.ordered(("longest_piece", item.longest_piece.inches()), ("roll_length", item.roll_length.inches()))?;
    if let Some(amps) = item.bus_amps {
        entry.number("bus_amps", amps, 0.1, 500.0)?;
    }
    if let Some(factor) = item.cold_start_factor {
        entry.number("cold_start_factor", factor, 1.0, 20.0)?;
    }
    if let Some(leakage) = item.leakage_per_foot {
        entry.number("leakage_per_foot", leakage, 0.0, 10.0)?;
    }
    if let Some(tolerance) = item.resistance_tolerance {
        entry.number("resistance_tolerance", tolerance.part_of_one(), 0.0, 0.5)?;
    }
    let rising = item.power_curve.windows(2).all(|pair| pair[0].fahrenheit < pair[1].fahrenheit);
    let sound = item.power_curve.iter().all(|p| (0.01..=20.0).contains(&p.factor) && p.fahrenheit.abs() <= 300.0);
    if item.power_curve.len() == 1 || !rising || !sound {
        let allowed = "two or more points in rising order of temperature, -300 to 300 °F, factors 0.01 to 20";
        return Err(entry.refuse("power_curve", "out of order or out of range", allowed));
    }
    if let Some(rise) = item.rise_per_watt {
        entry.number("rise_per_watt", rise, 0.0, 100.0)?;
        // Element that draws more the warmer it gets has no sure temperature of its own.
        if item.power_curve.is_empty() || item.power_curve.windows(2).any(|pair| pair[1].factor > pair[0].factor) {
            let allowed = "beside a `power_curve` whose factor nowhere rises with temperature";
            return Err(entry.refuse("rise_per_watt", &decimal(rise, 3), allowed));
        }
    }
    Ok(())
}

fn check_lead(item: &LeadCable, entry: &Entry) -> Result<()> {
    if !(1..=18).contains(&item.awg) {
        return Err(entry.refuse("awg", &item.awg.to_string(), "1 to 18"));
    }
    entry.number("ohms_per_kft", item.ohms_per_kft, 0.01, 20.0)?;
    entry.inches("diameter", item.diameter, 0.02, 3.0)?;
    if let Some(thickness) = item.thickness {
        entry.inches("thickness", thickness, 0.02, 3.0)?;
        entry.ordered(("thickness", thickness.inches()), ("diameter", item.diameter.inches()))?;
    }
    entry.inches("bend_radius", item.bend_radius, 0.0, 36.0)?;
    for length in &item.stock_lengths {
        entry.inches("stock_lengths", *length, 12.0, 60_000.0)?;
    }
    entry.number("amps", item.amps, 0.1, 200.0)
}

fn check_box(item: &BoxType, entry: &Entry) -> Result<()> {
    entry.number("cubic_inches", item.cubic_inches, 1.0, 10_000.0)?;
    if !(1..=100).contains(&item.leads) {
        return Err(entry.refuse("leads", &item.leads.to_string(), "1 to 100"));
    }
    Ok(())
}

//! The test record: what to read, when, and what to expect.

use super::Site;
use super::model::{Quantity, Stage};
use crate::checks::{Reading, ReadingOf};
use crate::courses::Segment;
use std::collections::{BTreeMap, BTreeSet};

/// Insulation from which a reading is good, megohms. Common practice from memory.
pub(super) const GOOD_INSULATION: f64 = 20.0;
/// Insulation below which the work stops, megohms at 500 V: seen as quoted from a table for circuits up to 500 V (`FACTS.md` 7).
pub(super) const LEAST_INSULATION: f64 = 1.0;
/// How far the supply voltage may be off, as a share. Common practice.
const VOLTAGE_TOLERANCE: f64 = 0.05;

/// One reading to take.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordRow {
    /// When.
    pub stage: Stage,
    /// What of.
    pub item: String,
    /// What to read.
    pub quantity: Quantity,
    /// What to expect.
    pub expected: Option<f64>,
    /// Least that is as expected.
    pub low: Option<f64>,
    /// Most that is as expected.
    pub high: Option<f64>,
}

/// All readings in the order they are taken; of insulation only where the element has a ground layer to be tested against.
#[must_use]
pub fn record_form(site: &Site) -> Vec<RecordRow> {
    let mut rows = Vec::new();
    let tested = site.checks.insulation.is_some();
    for plan in site.takeoff.plans.iter().filter(|_| tested) {
        rows.extend(
            (1..=plan.rolls.len()).map(|at| insulation(Stage::Receipt, format!("{} roll {at}", plan.element_key))),
        );
    }
    let fed: BTreeSet<_> = site.wiring.feeds.iter().map(|f| f.segment).collect();
    let fed: Vec<&Segment> = site.courses.segments.iter().filter(|s| fed.contains(&s.id)).collect();
    let readings = site.checks.readings_of(ReadingOf::Segment);
    for stage in [Stage::Cut, Stage::Laid, Stage::Covered] {
        for segment in &fed {
            rows.push(resistance(&readings, stage, &segment.tag));
            rows.extend(tested.then(|| insulation(stage, segment.tag.clone())));
            if stage == Stage::Laid {
                rows.push(length(site, segment));
            }
        }
    }
    let readings = site.checks.readings_of(ReadingOf::Chain);
    for chain in &site.wiring.chains {
        let item = chain.id.to_string();
        rows.push(resistance(&readings, Stage::InBox, &item));
        rows.extend(tested.then(|| insulation(Stage::InBox, item)));
    }
    for circuit in &site.wiring.circuits {
        let electrical = &site.job.electrical;
        let volts = electrical.measured_volts.unwrap_or(electrical.volts.value);
        let around = |value: f64, share: f64| (Some(value * (1.0 - share)), Some(value * (1.0 + share)));
        let tolerance = site.job.products.deck.value.resistance_tolerance.map(|t| t.part_of_one());
        let (low, high) = tolerance.map_or((None, None), |share| around(circuit.amps, share + VOLTAGE_TOLERANCE));
        let row = |quantity, expected, (low, high)| RecordRow {
            stage: Stage::HandOver,
            item: circuit.tag.clone(),
            quantity,
            expected,
            low,
            high,
        };
        rows.push(row(Quantity::Voltage, Some(volts), around(volts, VOLTAGE_TOLERANCE)));
        rows.push(row(Quantity::Current, Some(circuit.amps), (low, high)));
        rows.push(row(Quantity::GroundFaultTrip, None, (None, None)));
        rows.push(row(Quantity::ControlSwitches, None, (None, None)));
    }
    rows
}

fn insulation(stage: Stage, item: String) -> RecordRow {
    RecordRow { stage, item, quantity: Quantity::Insulation, expected: None, low: Some(GOOD_INSULATION), high: None }
}

fn resistance(readings: &BTreeMap<&str, &Reading>, stage: Stage, item: &str) -> RecordRow {
    let reading = readings.get(item);
    RecordRow {
        stage,
        item: item.to_owned(),
        quantity: Quantity::Resistance,
        expected: reading.map(|r| r.ohms),
        low: reading.and_then(|r| r.low),
        high: reading.and_then(|r| r.high),
    }
}

fn length(site: &Site, segment: &Segment) -> RecordRow {
    let step = site.job.courses.cut_step;
    RecordRow {
        stage: Stage::Laid,
        item: segment.tag.clone(),
        quantity: Quantity::InstalledLength,
        expected: Some(segment.cut_length),
        low: Some(segment.cut_length - step),
        high: Some(segment.cut_length + step),
    }
}

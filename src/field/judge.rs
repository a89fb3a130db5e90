//! The record as it came back, reading by reading against what was to be expected.

use super::Site;
use super::model::{Hold, JudgedReading, Judgement, Quantity, Record, Stage};
use super::record::{GOOD_INSULATION, LEAST_INSULATION, RecordRow, record_form};
use super::table::{self, Line};
use crate::error::{Error, Result};
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::units::{decimal, parse_length};
use std::collections::BTreeMap;

/// A piece whose resistance has changed by more than this share since it was cut was hurt on the way. Common practice.
const CHANGED: f64 = 0.05;

/// Reads the record and judges every reading.
///
/// # Errors
/// `form-columns`, `form-syntax`: see the table reader; `record-value` for a cell that holds no reading.
pub fn judge(text: &str, site: &Site) -> Result<Outcome<Record>> {
    let lines = table::read(text, &["stage", "item", "what", "reading"])?;
    let rows = record_form(site);
    let about = |line: &Line, row: &RecordRow| {
        line.cell("stage").eq_ignore_ascii_case(row.stage.word())
            && line.cell("item").eq_ignore_ascii_case(&row.item)
            && line.cell("what").eq_ignore_ascii_case(row.quantity.words())
    };
    let mut first: BTreeMap<&str, f64> = BTreeMap::new();
    let mut readings = Vec::new();
    for row in &rows {
        // Of two lines for one reading the last one counts: it was taken again.
        let line = lines.iter().rev().find(|line| about(line, row));
        let text = line.map_or("", |line| line.cell("reading"));
        let (judgement, why) = match line {
            Some(line) if !text.is_empty() => judged(row, text, line.number, &mut first)?,
            _ => (Judgement::Missing, "not read".to_owned()),
        };
        readings.push(JudgedReading {
            stage: row.stage,
            item: row.item.clone(),
            quantity: row.quantity,
            expected: row.expected,
            reading: text.to_owned(),
            by: line.map(circumstances).unwrap_or_default(),
            judgement,
            why,
        });
    }
    let holds = holds(&readings);
    let mut findings = findings(&readings, &holds);
    for line in lines.iter().filter(|l| !l.cell("reading").is_empty() && !rows.iter().any(|row| about(l, row))) {
        let words = format!(
            "the record reads {}, '{}' at stage '{}', which this layout does not ask for",
            line.cell("item"),
            line.cell("what"),
            line.cell("stage")
        );
        findings.push(
            Finding::new(Severity::Warning, "reading-unknown", words, Place::line(line.number))
                .with_hint("use the record form written with this drawing"),
        );
    }
    Ok(Outcome { value: Record { readings, holds }, findings })
}

fn circumstances(line: &Line) -> String {
    let cell = |head: &str, unit: &str| Some(line.cell(head)).filter(|c| !c.is_empty()).map(|c| format!("{c}{unit}"));
    let cells =
        [cell("date", ""), cell("time", ""), cell("temperature_f", " °F"), cell("instrument", ""), cell("by", "")];
    cells.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// A length in inches as the form takes it: with its unit, or a bare number of inches.
pub(super) fn installed_length(text: &str) -> Option<f64> {
    parse_length(text).map(|l| l.inches()).ok().or_else(|| number(text).filter(|v| v.is_finite()))
}

/// A number as meters show it: over range is without end.
fn number(text: &str) -> Option<f64> {
    let text = text.trim_start_matches(['>', ' ']);
    if ["ol", "o.l", "inf", "infinite", "open"].iter().any(|over| text.eq_ignore_ascii_case(over)) {
        return Some(f64::INFINITY);
    }
    text.parse::<f64>().ok().filter(|v| v.is_finite() && *v >= 0.0)
}

fn judged<'a>(
    row: &'a RecordRow,
    text: &str,
    line: usize,
    first: &mut BTreeMap<&'a str, f64>,
) -> Result<(Judgement, String)> {
    let refuse = |allowed: &str| {
        let words = format!("{}, {}: '{text}' is no reading", row.item, row.quantity.words());
        Error::usage("record-value", words).at(Place::line(line)).with_hint(format!("write {allowed}"))
    };
    match row.quantity {
        Quantity::GroundFaultTrip | Quantity::ControlSwitches => {
            if ["yes", "y", "pass", "ok"].iter().any(|w| text.eq_ignore_ascii_case(w)) {
                Ok((Judgement::Good, "works".into()))
            } else if ["no", "n", "fail"].iter().any(|w| text.eq_ignore_ascii_case(w)) {
                Ok((Judgement::Bad, "does not work: keep it switched off".into()))
            } else {
                Err(refuse("yes or no"))
            }
        }
        Quantity::Insulation => {
            let value = number(text).ok_or_else(|| refuse("megohms, or OL over the meter's range"))?;
            Ok(insulation(value))
        }
        Quantity::InstalledLength => {
            let value = installed_length(text).ok_or_else(|| refuse("inches, or a length with its unit"))?;
            let (judgement, why) = within(row, value);
            let doubtful = if judgement == Judgement::Bad { Judgement::Doubtful } else { judgement };
            Ok((doubtful, why))
        }
        Quantity::Voltage | Quantity::Current => {
            let value = number(text).filter(|v| v.is_finite()).ok_or_else(|| refuse("a number"))?;
            let (judgement, why) = within(row, value);
            let doubtful = if judgement == Judgement::Bad { Judgement::Doubtful } else { judgement };
            Ok((doubtful, why))
        }
        Quantity::Resistance => {
            let value = number(text).ok_or_else(|| refuse("ohms, or OL for an open element"))?;
            if value.is_infinite() {
                return Ok((Judgement::Bad, "open: a conductor is broken or not connected".into()));
            }
            let before = *first.entry(&row.item).or_insert(value);
            let (judgement, why) = within(row, value);
            if judgement != Judgement::Bad && (value - before).abs() > CHANGED * before {
                let why = format!("{} ohm when first read: the piece has changed since", decimal(before, 2));
                return Ok((Judgement::Bad, why));
            }
            Ok((judgement, why))
        }
    }
}

fn insulation(value: f64) -> (Judgement, String) {
    if value < LEAST_INSULATION {
        (Judgement::Bad, format!("below {} Mohm: stop, find the place", decimal(LEAST_INSULATION, 0)))
    } else if value < GOOD_INSULATION {
        (
            Judgement::Doubtful,
            format!("below {} Mohm: dry it, look for the place, read again", decimal(GOOD_INSULATION, 0)),
        )
    } else {
        (Judgement::Good, format!("{} Mohm or more", decimal(GOOD_INSULATION, 0)))
    }
}

fn within(row: &RecordRow, value: f64) -> (Judgement, String) {
    let (Some(low), Some(high)) = (row.low, row.high) else {
        return (Judgement::Unjudged, "the catalogue states no tolerance".into());
    };
    // Readings are written with few digits: a last digit rounded up must not fail them.
    let slack = 0.005;
    if value + slack >= low && value - slack <= high {
        (Judgement::Good, format!("{} to {}", decimal(low, 2), decimal(high, 2)))
    } else {
        (Judgement::Bad, format!("not {} to {}", decimal(low, 2), decimal(high, 2)))
    }
}

fn holds(readings: &[JudgedReading]) -> Vec<Hold> {
    let of = |stage: Stage| {
        let hold = stage.hold()?;
        let at: Vec<&JudgedReading> = readings.iter().filter(|r| r.stage == stage).collect();
        let passed = |r: &&&JudgedReading| matches!(r.judgement, Judgement::Good | Judgement::Unjudged);
        Some(Hold { name: hold.to_owned(), needed: at.len(), passed: at.iter().filter(passed).count() })
    };
    Stage::ALL.into_iter().filter_map(of).collect()
}

fn findings(readings: &[JudgedReading], holds: &[Hold]) -> Vec<Finding> {
    let mut found = Vec::new();
    for reading in readings {
        let (code, hint) = match reading.judgement {
            Judgement::Bad => {
                ("reading-bad", "stop; repair or replace and read again before anything covers it or switches it on")
            }
            Judgement::Doubtful => ("reading-doubtful", "look again before going on, and write down what was found"),
            Judgement::Missing | Judgement::Unjudged | Judgement::Good => continue,
        };
        let words = format!(
            "{} {}: {} {}, {}",
            reading.quantity.words(),
            reading.stage.words(),
            reading.reading,
            reading.quantity.unit(),
            reading.why
        );
        found.push(Finding::new(Severity::Warning, code, words, Place::item(&reading.item)).with_hint(hint));
    }
    let missing = readings.iter().filter(|r| r.judgement == Judgement::Missing).count();
    if missing > 0 {
        let words = format!("{missing} of {} readings are missing", readings.len());
        found.push(
            Finding::new(Severity::Warning, "reading-missing", words, Place::none())
                .with_hint("the record is not complete before every row is read"),
        );
    }
    // Readings of a later hold while an earlier one is open: work went on past it.
    let begun =
        |hold: &Hold| readings.iter().any(|r| r.stage.hold() == Some(&hold.name) && r.judgement != Judgement::Missing);
    for pair in holds.windows(2) {
        if pair[0].passed < pair[0].needed && begun(&pair[1]) {
            let words = format!(
                "work went on to {} while {} was open: {} of {} readings passed",
                pair[1].name, pair[0].name, pair[0].passed, pair[0].needed
            );
            found.push(
                Finding::new(Severity::Warning, "hold-passed", words, Place::item(&pair[0].name))
                    .with_hint("nobody goes on past a hold point before it is tested and signed"),
            );
        }
    }
    found
}

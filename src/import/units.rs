//! Which unit a drawing is in.

use super::drawing::Header;
use super::ledger::Ledger;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::trig;
use crate::units::{DrawingUnit, INCHES_PER_FOOT, decimal};

/// The unit and how it was decided.
#[derive(Debug)]
pub(super) struct Decision {
    /// The unit.
    pub unit: DrawingUnit,
    /// The unit the header names, if any.
    pub header: Option<DrawingUnit>,
    /// How it was decided, in words.
    pub words: String,
}

/// A house is so long, in inches; common practice. Narrower leaves big houses out, wider lets two units fit one size.
const HOUSE: std::ops::RangeInclusive<f64> = 180.0..=3600.0;
/// Beyond this a roof of the header's unit contradicts the evidence, in inches: a dog house to a city block.
const CREDIBLE: std::ops::RangeInclusive<f64> = 96.0..=12_000.0;
/// The usual house, in inches, that the nearest of several fitting units is measured against.
const USUAL: f64 = 720.0;

const ENGLISH: [DrawingUnit; 2] = [DrawingUnit::Inches, DrawingUnit::Feet];
const METRIC: [DrawingUnit; 3] = [DrawingUnit::Millimetres, DrawingUnit::Metres, DrawingUnit::Centimetres];

/// The unit of `$INSUNITS`, as numbered by the DXF reference; none for unitless and for units no house is drawn in.
fn header_unit(number: i64) -> Option<DrawingUnit> {
    match number {
        1 => Some(DrawingUnit::Inches),
        // 21 is the US survey foot, two parts in a million longer.
        2 | 21 => Some(DrawingUnit::Feet),
        4 => Some(DrawingUnit::Millimetres),
        5 => Some(DrawingUnit::Centimetres),
        6 => Some(DrawingUnit::Metres),
        _ => None,
    }
}

/// Decides by the job, the header, the drawing's system of measure, and the roof's longer side.
///
/// # Units
/// `longest` is the longer side of the roof's box in drawing units.
pub(super) fn decide(header: &Header, set: Option<DrawingUnit>, longest: f64, ledger: &mut Ledger) -> Decision {
    let named = header.units.and_then(header_unit);
    if let Some(unit) = set {
        let words = format!("set by the job: {}", unit.short());
        contradiction(unit, "the job says", longest, ledger);
        return Decision { unit, header: named, words };
    }
    if let Some(unit) = named {
        contradiction(unit, "the header ($INSUNITS) says", longest, ledger);
        return Decision { unit, header: named, words: format!("$INSUNITS is {}", unit.short()) };
    }
    let inch_format = matches!(header.length_format, Some(3 | 4));
    let (families, system): (Vec<&[DrawingUnit]>, &str) = match (inch_format, header.measurement) {
        (true, _) => (vec![&ENGLISH[..1], &ENGLISH, &METRIC], "lengths are written in feet and inches ($LUNITS)"),
        (_, Some(0)) => (vec![&ENGLISH, &METRIC], "the drawing is English ($MEASUREMENT)"),
        (_, Some(1)) => (vec![&METRIC, &ENGLISH], "the drawing is metric ($MEASUREMENT)"),
        _ => (vec![&[ENGLISH[0], ENGLISH[1], METRIC[0], METRIC[1], METRIC[2]]], "the header says nothing"),
    };
    let size = |unit: DrawingUnit| longest * unit.inches();
    let best = families.iter().find_map(|family| nearest_to_a_house(family, longest));
    let unit = best.unwrap_or(families[0][0]);
    let words = format!(
        "{system}; the longer side of {} is a roof of {} ft in {}",
        decimal(longest, 3),
        decimal(size(unit) / INCHES_PER_FOOT, 1),
        unit.short()
    );
    let finding = Finding::new(
        if best.is_some() { Severity::Assumed } else { Severity::Warning },
        "units-assumed",
        format!("the drawing names no unit; {} is assumed: {words}", unit.short()),
        Place::none(),
    );
    ledger.add(finding.with_hint("set the unit with --units or [drawing] units"));
    Decision { unit, header: named, words }
}

/// The unit in which the roof is a house, the one nearest the usual house if several.
fn nearest_to_a_house(family: &[DrawingUnit], longest: f64) -> Option<DrawingUnit> {
    let fitting = family.iter().copied().filter(|unit| HOUSE.contains(&(longest * unit.inches())));
    let oddness = |unit: DrawingUnit| trig::ln(longest * unit.inches() / USUAL).abs();
    fitting.min_by(|a, b| oddness(*a).total_cmp(&oddness(*b)))
}

fn contradiction(unit: DrawingUnit, says: &str, longest: f64, ledger: &mut Ledger) {
    let size = longest * unit.inches();
    if CREDIBLE.contains(&size) || longest <= 0.0 {
        return;
    }
    let feet = |unit: DrawingUnit| decimal(longest * unit.inches() / INCHES_PER_FOOT, 2);
    let all = [ENGLISH[0], ENGLISH[1], METRIC[0], METRIC[1], METRIC[2]];
    let better = nearest_to_a_house(&all, longest);
    let other = better.map_or(String::new(), |unit| format!("; in {} it would be {} ft", unit.short(), feet(unit)));
    let words = format!("{says} {}, which makes the roof {} ft long{other}", unit.short(), feet(unit));
    let finding = Finding::new(Severity::Warning, "units-doubtful", words, Place::none());
    let wish = better.map_or("check the drawing's unit".to_owned(), |unit| {
        format!("if it is {}, say so with --units or [drawing] units", unit.short())
    });
    ledger.add(finding.with_hint(wish));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decided(header: &Header, longest: f64) -> (DrawingUnit, Vec<Finding>) {
        let mut ledger = Ledger::default();
        let unit = decide(header, None, longest, &mut ledger).unit;
        (unit, ledger.close())
    }

    /// A 40 ft house is 480 in, 12192 mm, 1219.2 cm, 12.192 m.
    #[test]
    fn a_house_tells_its_unit() {
        for (longest, measurement, unit) in [
            (480.0, Some(0), DrawingUnit::Inches),
            (40.0, Some(0), DrawingUnit::Feet),
            (12_192.0, Some(1), DrawingUnit::Millimetres),
            (1219.2, Some(1), DrawingUnit::Centimetres),
            (12.192, Some(1), DrawingUnit::Metres),
            (12.192, None, DrawingUnit::Metres),
            (480.0, None, DrawingUnit::Inches),
            // 480 mm is no house, 480 cm a small one.
            (480.0, Some(1), DrawingUnit::Centimetres),
            // 16.7 ft or 200 ft: the second is nearer the usual house.
            (200.0, Some(0), DrawingUnit::Feet),
        ] {
            let header = Header { measurement, ..Header::default() };
            let (found, findings) = decided(&header, longest);
            assert_eq!((findings[0].severity, findings[0].code), (Severity::Assumed, "units-assumed"), "{longest}");
            assert_eq!(found, unit, "{longest}");
        }
    }

    #[test]
    fn a_header_that_cannot_be_true_is_doubted_with_both_values() {
        let header = Header { units: Some(1), ..Header::default() };
        let (unit, findings) = decided(&header, 14.2);
        assert_eq!((unit, findings[0].code), (DrawingUnit::Inches, "units-doubtful"));
        assert!(findings[0].message.contains("1.18 ft") && findings[0].message.contains("46.59 ft"), "{findings:?}");
        let (_, quiet) = decided(&header, 480.0);
        assert!(quiet.is_empty());
    }
}

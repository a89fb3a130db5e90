//! Which unit a drawing is in.

use super::drawing::Header;
use super::evidence::Evidence;
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
/// Coordinates of map grids in metres or feet: false eastings are 100 km to 500 km and northings up to 10,000 km, in feet three times as many
/// (Universal Transverse Mercator, State Plane Coordinate System; from memory). A house drawn in inches or millimetres seldom lies so far out.
const GRID: std::ops::RangeInclusive<f64> = 1e5..=4e7;
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

/// Texts on a plan are so high in inches: from fine print at 1:20 to a title at 1:200. Evidence only between units that fit the roof.
const TEXT: std::ops::RangeInclusive<f64> = 1.0..=40.0;

const ALL: [DrawingUnit; 5] = [ENGLISH[0], ENGLISH[1], METRIC[0], METRIC[1], METRIC[2]];

/// Decides by the job, the header, dimension texts, the drawing's system of measure, and the roof's longer side.
///
/// The header holds unless it cannot be true: where at least two dimension texts name another unit, or the roof would be smaller than a dog
/// house or larger than a city block and is a house in another unit, that unit is taken and a warning gives both values.
///
/// # Units
/// `size` in drawing units.
pub(super) fn decide(
    header: &Header,
    evidence: &Evidence,
    set: Option<DrawingUnit>,
    size: Size,
    ledger: &mut Ledger,
) -> Decision {
    let named = header.units.and_then(header_unit);
    let judge = Judge { header, evidence, longest: size.figure, whole: size.all, away: size.away };
    if let Some(unit) = set {
        if let Some((doubt, hint)) =
            judge.doubt(unit).map(|doubt| (doubt.words("the job says", unit, &judge), doubt.unit))
        {
            ledger.add(warning(doubt, hint.filter(|hint| *hint != unit)));
        }
        return Decision { unit, header: named, words: format!("set by the job: {}", unit.short()) };
    }
    let Some(unit) = named else { return judge.assume(ledger) };
    let Some(doubt) = judge.doubt(unit) else {
        let agreed = evidence.marked.as_ref().map_or(String::new(), |vote| format!("; {}", vote.words()));
        return Decision { unit, header: named, words: format!("$INSUNITS is {}{agreed}", unit.short()) };
    };
    let words = doubt.words("the header ($INSUNITS) says", unit, &judge);
    let taken = doubt.unit.filter(|_| doubt.certain).unwrap_or(unit);
    let used = format!("{words}; {} is used", taken.short());
    ledger.add(warning(used.clone(), doubt.unit.map(|better| if better == taken { unit } else { better })));
    Decision { unit: taken, header: named, words: used }
}

fn warning(words: String, other: Option<DrawingUnit>) -> Finding {
    let wish = other.map_or("check the drawing's unit".to_owned(), |unit| {
        format!("if it is {}, say so with --units or [drawing] units", unit.short())
    });
    Finding::new(Severity::Warning, "units-doubtful", words, Place::none()).with_hint(wish)
}

/// How long the roof is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    /// Its largest connected figure: two roofs side by side are two houses, not one long one.
    pub figure: f64,
    /// All of it.
    pub all: f64,
    /// How far its middle lies from the origin, along x or y.
    pub away: f64,
}

/// Why a unit is doubted.
struct Doubt {
    /// What it would rather be.
    unit: Option<DrawingUnit>,
    /// Whether the doubted unit cannot be true.
    certain: bool,
    /// The evidence in words.
    because: String,
}

impl Doubt {
    fn words(&self, says: &str, unit: DrawingUnit, judge: &Judge) -> String {
        format!("{says} {}, which makes the roof {} ft long; {}", unit.short(), judge.feet(unit), self.because)
    }
}

struct Judge<'a> {
    header: &'a Header,
    evidence: &'a Evidence,
    longest: f64,
    whole: f64,
    away: f64,
}

impl Judge<'_> {
    fn size(&self, unit: DrawingUnit) -> f64 {
        self.longest * unit.inches()
    }

    fn feet(&self, unit: DrawingUnit) -> String {
        decimal(self.size(unit) / INCHES_PER_FOOT, 2)
    }

    /// What speaks against a unit, if anything does.
    fn doubt(&self, unit: DrawingUnit) -> Option<Doubt> {
        if let Some(vote) = &self.evidence.marked {
            if vote.unit == unit {
                return None;
            }
            let because = format!("{}, which makes it {} ft", vote.words(), self.feet(vote.unit));
            return Some(Doubt { unit: Some(vote.unit), certain: vote.count >= 2, because });
        }
        let size = self.size(unit);
        let agreed = self.evidence.custom.as_ref().is_some_and(|vote| vote.unit == unit);
        if self.longest <= 0.0 || HOUSE.contains(&size) || agreed && CREDIBLE.contains(&size) {
            return None;
        }
        let better = self.best().filter(|better| *better != unit);
        let fitting = ALL.into_iter().filter(|other| HOUSE.contains(&self.size(*other)));
        let others: Vec<String> =
            fitting.map(|other| format!("{} ft in {}", self.feet(other), other.short())).collect();
        let because = match others.len() {
            0 => "no usual unit makes it a house".to_owned(),
            _ => format!("it would be {}", others.join(" or ")),
        };
        let drawn = self.in_metres().filter(|_| better == Some(DrawingUnit::Metres));
        let because = drawn.map_or(because.clone(), |drawn| format!("{because}; {drawn}"));
        if self.on_a_map_grid(unit) {
            let because = format!("{because}; its coordinates are those of a map grid in {}", unit.short());
            return Some(Doubt { unit: better, certain: false, because });
        }
        Some(Doubt { unit: better, certain: !CREDIBLE.contains(&(self.whole * unit.inches())), because })
    }

    /// Whether the drawing lies where surveyors draw in this unit, so that a size no house has is that of a site.
    fn on_a_map_grid(&self, unit: DrawingUnit) -> bool {
        matches!(unit, DrawingUnit::Metres | DrawingUnit::Feet) && GRID.contains(&self.away)
    }

    /// Systems of measure in the order they are tried, with what says so.
    fn families(&self) -> (Vec<&'static [DrawingUnit]>, &'static str) {
        let inch_format = matches!(self.header.length_format, Some(3 | 4));
        match (inch_format, self.header.measurement) {
            (true, _) => (vec![&ENGLISH[..1], &ENGLISH, &METRIC], "lengths are written in feet and inches ($LUNITS)"),
            (_, Some(0)) => (vec![&ENGLISH, &METRIC], "the drawing is English ($MEASUREMENT)"),
            (_, Some(1)) => (vec![&METRIC, &ENGLISH], "the drawing is metric ($MEASUREMENT)"),
            _ => (vec![&ALL], "the header says nothing"),
        }
    }

    /// The unit in which the roof is a house, by custom of its dimensions, by its system of measure, by its texts, by the usual house.
    fn best(&self) -> Option<DrawingUnit> {
        let custom = self.evidence.custom.as_ref().map(|vote| vote.unit);
        if let Some(unit) = custom.filter(|unit| CREDIBLE.contains(&self.size(*unit))) {
            return Some(unit);
        }
        if self.in_metres().is_some() {
            return Some(DrawingUnit::Metres);
        }
        self.families().0.iter().find_map(|family| self.nearest_to_a_house(family))
    }

    /// That the lines are whole centimetres long, in words, where the roof is a house in metres.
    fn in_metres(&self) -> Option<String> {
        let (count, of) = self.evidence.hundredths.filter(|_| HOUSE.contains(&self.size(DrawingUnit::Metres)))?;
        Some(format!("{count} of {of} lines that tell are whole hundredths long, as drawings in m are"))
    }

    /// The unit in which the roof is a house and its texts can be read, the one nearest the usual house if several.
    fn nearest_to_a_house(&self, family: &[DrawingUnit]) -> Option<DrawingUnit> {
        let mut fitting: Vec<DrawingUnit> =
            family.iter().copied().filter(|unit| HOUSE.contains(&self.size(*unit))).collect();
        let readable =
            |unit: &DrawingUnit| self.evidence.text_height.is_none_or(|high| TEXT.contains(&(high * unit.inches())));
        if fitting.iter().any(readable) {
            fitting.retain(readable);
        }
        let oddness = |unit: DrawingUnit| trig::ln(self.size(unit) / USUAL).abs();
        fitting.into_iter().min_by(|a, b| oddness(*a).total_cmp(&oddness(*b)))
    }

    /// The decision where the header names no unit.
    fn assume(&self, ledger: &mut Ledger) -> Decision {
        let (families, system) = self.families();
        let marked = self.evidence.marked.as_ref();
        let best = marked.map(|vote| vote.unit).or_else(|| self.best());
        let unit = best.unwrap_or(families[0][0]);
        let because = match (marked, &self.evidence.custom) {
            (Some(vote), _) => vote.words(),
            (None, Some(vote)) if vote.unit == unit => vote.words(),
            _ => self.in_metres().filter(|_| unit == DrawingUnit::Metres).unwrap_or_else(|| system.to_owned()),
        };
        let words = format!(
            "{because}; the longer side of {} is a roof of {} ft in {}",
            decimal(self.longest, 3),
            decimal(self.size(unit) / INCHES_PER_FOOT, 1),
            unit.short()
        );
        let finding = Finding::new(
            if best.is_some() { Severity::Assumed } else { Severity::Warning },
            "units-assumed",
            format!("the drawing names no unit; {} is assumed: {words}", unit.short()),
            Place::none(),
        );
        ledger.add(finding.with_hint("set the unit with --units or [drawing] units"));
        Decision { unit, header: None, words }
    }
}

#[cfg(test)]
mod tests {
    use super::super::evidence::Vote;
    use super::*;

    fn decided(header: &Header, longest: f64) -> (DrawingUnit, Vec<Finding>) {
        let mut ledger = Ledger::default();
        let unit =
            decide(header, &Evidence::default(), None, Size { figure: longest, all: longest, away: 0.0 }, &mut ledger)
                .unit;
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
        // 14.2 in are 1.18 ft, 14.2 m 46.59 ft: the first cannot be.
        let metric = Header { units: Some(1), measurement: Some(1), ..Header::default() };
        let (unit, findings) = decided(&metric, 14.2);
        assert_eq!((unit, findings[0].code), (DrawingUnit::Metres, "units-doubtful"));
        assert!(findings[0].message.contains("1.18 ft") && findings[0].message.contains("46.59 ft"), "{findings:?}");
        // 115 in are 9.6 ft: small, but the header holds, with both values.
        let (unit, findings) = decided(&header, 115.0);
        assert_eq!((unit, findings[0].code), (DrawingUnit::Inches, "units-doubtful"));
        assert!(
            findings[0].message.contains("9.58 ft") && findings[0].message.contains("115 ft in ft"),
            "{findings:?}"
        );
        let (_, quiet) = decided(&header, 480.0);
        assert!(quiet.is_empty());
        // A site of 675 m on a map grid is no house of 56 ft in inches, and stays in metres.
        let header = Header { units: Some(6), ..Header::default() };
        for (away, unit) in [(488_412.0, DrawingUnit::Metres), (500.0, DrawingUnit::Inches)] {
            let mut ledger = Ledger::default();
            let size = Size { figure: 675.0, all: 675.0, away };
            assert_eq!(decide(&header, &Evidence::default(), None, size, &mut ledger).unit, unit);
            let words = &ledger.close()[0].message;
            assert!(words.contains("2214.57 ft") && words.contains("56.25 ft"), "{words}");
        }
    }

    /// Texts of 40'-0" on a length of 480 win over a header that says metres, and settle a header that says nothing.
    #[test]
    fn dimensions_outvote_the_header() {
        let vote = |count| {
            Some(Vote { unit: DrawingUnit::Inches, count, of: count, example: "'40'-0\"' on a length of 480".into() })
        };
        for (units, count, unit, code) in [
            (Some(6), 2, DrawingUnit::Inches, Some("units-doubtful")),
            // One text may be wrong.
            (Some(6), 1, DrawingUnit::Metres, Some("units-doubtful")),
            (Some(1), 2, DrawingUnit::Inches, None),
            (None, 1, DrawingUnit::Inches, Some("units-assumed")),
        ] {
            let header = Header { units, measurement: Some(1), ..Header::default() };
            let evidence = Evidence { marked: vote(count), ..Evidence::default() };
            let mut ledger = Ledger::default();
            let decision = decide(&header, &evidence, None, Size { figure: 480.0, all: 480.0, away: 0.0 }, &mut ledger);
            let findings = ledger.close();
            assert_eq!((decision.unit, findings.first().map(|finding| finding.code)), (unit, code), "{findings:?}");
        }
        // 22.9 in is no house; 22.9 ft and 22.9 m are, and lines of whole hundredths say metres though the drawing is English.
        let evidence = Evidence { hundredths: Some((20, 24)), ..Evidence::default() };
        let header = Header { units: Some(1), measurement: Some(0), ..Header::default() };
        let mut ledger = Ledger::default();
        let decision = decide(&header, &evidence, None, Size { figure: 22.9, all: 22.9, away: 0.0 }, &mut ledger);
        let words = &ledger.close()[0].message;
        assert_eq!(decision.unit, DrawingUnit::Metres);
        assert!(words.contains("1.91 ft") && words.contains("75.13 ft") && words.contains("20 of 24"), "{words}");
        // A roof 16 long is a house of 16 ft or of 16 m; letters 0.2 high are 2.4 in or 8 in, both can be read, and 52 ft is more usual.
        let evidence = Evidence { text_height: Some(0.2), ..Evidence::default() };
        let decision = decide(
            &Header::default(),
            &evidence,
            None,
            Size { figure: 16.0, all: 16.0, away: 0.0 },
            &mut Ledger::default(),
        );
        assert_eq!(decision.unit, DrawingUnit::Metres);
    }
}

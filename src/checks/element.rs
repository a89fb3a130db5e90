//! Checks on the element itself and on how its pieces lie.

use super::load::fed;
use super::model::{InsulationTest, Verdict};
use super::rules::{self, Judged, at_most, over};
use crate::catalog::Element;
use crate::courses::{Courses, Segment};
use crate::electrical::{local_power, start_factor};
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::Wiring;

/// Ceiling for equipment embedded in paving, W/sq ft (426.20, seen as quoted).
const EMBEDDED_CEILING: f64 = 120.0;
/// Spacing of embedded cable, inches (426.20, seen as quoted).
const EMBEDDED_SPACING: f64 = 1.0;

/// The elements of the job that carry a key in use, the starter first, each key once.
pub(super) fn in_use<'a>(courses: &Courses, wiring: &Wiring, job: &'a Job) -> Vec<&'a Element> {
    let mut found: Vec<&Element> = Vec::new();
    for element in [&job.products.starter.value, &job.products.deck.value] {
        let used = fed(courses, wiring).any(|s| s.element_key == element.key);
        if used && found.iter().all(|e| e.key != element.key) {
            found.push(element);
        }
    }
    found
}

pub(super) fn judge(courses: &Courses, wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    for element in in_use(courses, wiring, job) {
        out.push(voltage(element, job));
        out.push(watt_density(element, job));
        out.push(ground_layer(element));
        out.push(listing(element));
        out.push(fixing(element));
        out.extend(temperature(element, job));
        piece_lengths(element, courses, wiring, job, out);
    }
    out.extend(spacing(courses, wiring));
}

fn voltage(element: &Element, job: &Job) -> Judged {
    let supply = job.electrical.volts.value;
    let share = 100.0 * (supply / element.volts) * (supply / element.volts);
    let working = format!(
        "{} V supply on {} V element: ({} / {})² = {} % of its power",
        decimal(supply, 1),
        decimal(element.volts, 1),
        decimal(supply, 1),
        decimal(element.volts, 1),
        decimal(share, 1)
    );
    rules::ELEMENT_VOLTAGE.judge(&element.key, at_most(supply, element.volts), supply, Some(element.volts), working)
}

fn watt_density(element: &Element, job: &Job) -> Judged {
    let per_foot = local_power(element, job.electrical.volts.value, job.electrical.running_temperature.value);
    let width = element.width.inches();
    let density = per_foot / (width / 12.0);
    let working = format!(
        "{} W/ft over {} in / 12 in/ft = {} W/sq ft",
        decimal(per_foot, 2),
        decimal(width, 3),
        decimal(density, 1)
    );
    let mut judged =
        rules::WATT_DENSITY.judge(&element.key, Verdict::Authority, density, Some(EMBEDDED_CEILING), working);
    judged.beyond_comparison = over(density, EMBEDDED_CEILING);
    judged
}

fn ground_layer(element: &Element) -> Judged {
    let (verdict, value, working) = if element.ground_layer {
        (Verdict::Pass, 1.0, "the catalogue states a ground layer")
    } else {
        (Verdict::Fail, 0.0, "the catalogue states no ground layer")
    };
    rules::GROUND_LAYER.judge(&element.key, verdict, value, Some(1.0), working.to_owned())
}

/// Keys of elements in use that have no ground layer.
pub(super) fn ungrounded<'a>(courses: &Courses, wiring: &Wiring, job: &'a Job) -> Vec<&'a str> {
    in_use(courses, wiring, job).into_iter().filter(|e| !e.ground_layer).map(|e| e.key.as_str()).collect()
}

/// The insulation test between the buses and the ground layer; none where some element has nothing to be tested against, or nothing is
/// fed.
pub(super) fn insulation(courses: &Courses, wiring: &Wiring, job: &Job) -> Option<InsulationTest> {
    let tested = !wiring.feeds.is_empty() && ungrounded(courses, wiring, job).is_empty();
    tested.then_some(InsulationTest { volts: 500.0, seconds: 60.0, least_megohms: 1.0 })
}

/// Whether the catalogue says how the element is held; how it may be held is its maker's to say.
fn fixing(element: &Element) -> Judged {
    let (value, working) = match &element.fixing {
        Some(fixing) => (1.0, format!("the catalogue states: {fixing}")),
        None => (0.0, "the catalogue does not say how it is held to the deck".to_owned()),
    };
    let mut judged = rules::FIXING.judge(&element.key, Verdict::Authority, value, Some(1.0), working);
    judged.beyond_comparison = element.fixing.is_none();
    judged
}

/// What a curve leaves open, for element whose power hangs on its temperature.
fn temperature(element: &Element, job: &Job) -> Option<Judged> {
    let (first, last) = (element.power_curve.first()?, element.power_curve.last()?);
    let electrical = &job.electrical;
    let (running, start) = (electrical.running_temperature, electrical.start_temperature);
    let power = local_power(element, electrical.volts.value, running.value);
    let warmed = element.rise_per_watt.map(|rise| rise * power);
    let at = running.value + warmed.unwrap_or(0.0);
    let stated = if running.given { "" } else { " (assumed)" };
    let how = match warmed {
        Some(rise) => format!("{} °F around it{stated}, warmed by {} °F", decimal(running.value, 0), decimal(rise, 1)),
        None => format!("{} °F{stated}, the same all along", decimal(running.value, 0)),
    };
    let beyond = at < first.fahrenheit || at > last.fahrenheit || start < first.fahrenheit;
    let outside = if beyond { "; beyond the curve, which is taken as level there" } else { "" };
    let working = format!(
        "{how}: {} W/ft; starts at {} °F with {} of rated power; curve from {} to {} °F{outside}; not judged: time at the start current, \
         power at other temperatures, resistance by a cold reading",
        decimal(power, 2),
        decimal(start, 0),
        start_factor(element, start).map_or_else(|| "an unknown share".to_owned(), |f| decimal(f, 2)),
        decimal(first.fahrenheit, 0),
        decimal(last.fahrenheit, 0)
    );
    let mut judged = rules::ELEMENT_TEMPERATURE.judge(&element.key, Verdict::Authority, at, None, working);
    judged.beyond_comparison = beyond;
    Some(judged)
}

fn listing(element: &Element) -> Judged {
    let value = f64::from(u8::from(element.listed_under_roof_covering));
    let working = match (&element.listing, element.listed_under_roof_covering) {
        (Some(listing), true) => format!("the catalogue states: {listing}, use under a roof covering included"),
        (Some(listing), false) => format!("the catalogue states: {listing}, not for use under a roof covering"),
        (None, true) => "the catalogue claims use under a roof covering without naming a listing".to_owned(),
        (None, false) => "the catalogue states no listing for use under a roof covering".to_owned(),
    };
    // A listing that leaves this use out is no open question.
    let excluded = element.listing.is_some() && !element.listed_under_roof_covering;
    let verdict = if excluded { Verdict::Fail } else { Verdict::Authority };
    rules::LISTING.judge(&element.key, verdict, value, Some(1.0), working)
}

/// One line for each piece over the limit, or one for the longest piece when none is.
fn piece_lengths(element: &Element, courses: &Courses, wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    let limit = job.courses.longest_piece.min(element.longest_piece.inches());
    let of_key = || fed(courses, wiring).filter(|s| s.element_key == element.key);
    let judge = |segment: &Segment, verdict| {
        let (feet, limit) = (segment.cut_length / 12.0, limit / 12.0);
        let working = format!("{} ft, limit {} ft", decimal(feet, 3), decimal(limit, 3));
        rules::PIECE_LENGTH.judge(&segment.tag, verdict, feet, Some(limit), working)
    };
    let before = out.len();
    out.extend(of_key().filter(|s| over(s.cut_length, limit)).map(|s| judge(s, Verdict::Fail)));
    if out.len() == before {
        let longest = of_key().max_by(|a, b| a.cut_length.total_cmp(&b.cut_length).then(b.id.cmp(&a.id)));
        out.extend(longest.map(|s| judge(s, Verdict::Pass)));
    }
}

/// The narrowest gap up the slope between two fed pieces of one face that lie above each other.
fn spacing(courses: &Courses, wiring: &Wiring) -> Option<Judged> {
    let mut by_course: Vec<&Segment> = fed(courses, wiring).collect();
    by_course.sort_by(|a, b| a.face.cmp(&b.face).then(a.across.low.total_cmp(&b.across.low)).then(a.id.cmp(&b.id)));
    let mut narrowest: Option<(f64, &Segment, &Segment)> = None;
    for (at, lower) in by_course.iter().enumerate() {
        let over_it = by_course[at + 1..]
            .iter()
            .take_while(|s| s.face == lower.face)
            .filter(|s| s.across.low > lower.across.low + 1e-9)
            .find(|s| s.along.overlap(lower.along).is_some_and(|o| o.length() > 1e-9));
        if let Some(upper) = over_it {
            let gap = upper.across.low - lower.across.high;
            if narrowest.is_none_or(|(least, _, _)| gap < least) {
                narrowest = Some((gap, lower, upper));
            }
        }
    }
    let (gap, lower, upper) = narrowest?;
    let working = format!("{} in between {} and {}", decimal(gap, 3), lower.tag, upper.tag);
    let verdict = if gap < -1e-9 { Verdict::Fail } else { Verdict::Authority };
    let mut judged = rules::ELEMENT_SPACING.judge("whole roof", verdict, gap, Some(EMBEDDED_SPACING), working);
    judged.beyond_comparison = over(EMBEDDED_SPACING, gap);
    Some(judged)
}

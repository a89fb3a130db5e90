//! Checks on the element itself and on how its pieces lie.

use super::load::fed;
use super::model::Verdict;
use super::rules::{self, Judged, at_most, over};
use crate::catalog::Element;
use crate::courses::{Courses, Segment};
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::Wiring;

/// Ceiling for equipment embedded in paving, W/sq ft (426.20, seen as quoted).
const EMBEDDED_CEILING: f64 = 120.0;
/// Spacing of embedded cable, inches (426.20, seen as quoted).
const EMBEDDED_SPACING: f64 = 1.0;

/// The elements of the job that carry a key in use, the starter first, each key once.
fn in_use<'a>(courses: &Courses, wiring: &Wiring, job: &'a Job) -> Vec<&'a Element> {
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
    let ratio = job.electrical.volts.value / element.volts;
    let per_foot = element.watts_per_foot * ratio * ratio;
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

fn listing(element: &Element) -> Judged {
    let value = f64::from(u8::from(element.listed_under_roof_covering));
    let working = match (&element.listing, element.listed_under_roof_covering) {
        (Some(listing), true) => format!("the catalogue states: {listing}, use under a roof covering included"),
        (Some(listing), false) => format!("the catalogue states: {listing}, not for use under a roof covering"),
        (None, true) => "the catalogue claims use under a roof covering without naming a listing".to_owned(),
        (None, false) => "the catalogue states no listing for use under a roof covering".to_owned(),
    };
    rules::LISTING.judge(&element.key, Verdict::Authority, value, Some(1.0), working)
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

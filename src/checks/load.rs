//! Totals of what is fed. A piece that no circuit feeds is not installed and does not count.

use super::model::LoadSummary;
use crate::courses::{Courses, Segment};
use crate::electrical::CONTINUOUS_FACTOR;
use crate::index::ZoneId;
use crate::job::Job;
use crate::wiring::Wiring;
use crate::zones::Zones;
use std::collections::BTreeSet;

/// Square inches in a square foot.
const SQUARE_INCHES_PER_SQUARE_FOOT: f64 = 144.0;

/// The segments that are fed, in segment order.
pub(super) fn fed<'a>(courses: &'a Courses, wiring: &'a Wiring) -> impl Iterator<Item = &'a Segment> + 'a {
    let fed: BTreeSet<_> = wiring.feeds.iter().map(|f| f.segment).collect();
    courses.segments.iter().filter(move |s| fed.contains(&s.id))
}

/// A sum that starts at +0: the standard one gives -0 for nothing, which would be printed.
fn total(parts: impl Iterator<Item = f64>) -> f64 {
    parts.fold(0.0, |sum, part| sum + part)
}

/// Sums lengths, areas and loads.
pub(super) fn load(zones: &Zones, courses: &Courses, wiring: &Wiring, job: &Job) -> LoadSummary {
    let element_length = total(fed(courses, wiring).map(|s| s.cut_length));
    let element_area = total(fed(courses, wiring).map(|s| s.cut_length * s.width()));
    let heated: BTreeSet<ZoneId> = fed(courses, wiring).map(|s| s.zone).collect();
    let zone_area = total(heated.iter().map(|&zone| area_of(zone, zones, courses)));
    let watts = total(wiring.circuits.iter().map(|c| c.watts));
    let amps = total(wiring.circuits.iter().map(|c| c.amps));
    let density = |area: f64| if area > 0.0 { watts / (area / SQUARE_INCHES_PER_SQUARE_FOOT) } else { 0.0 };
    let gutter_length = total(zones.gutters.iter().map(|g| g.length));
    let gutter_watts = total(zones.gutters.iter().filter_map(|g| g.watts));
    LoadSummary {
        element_length,
        element_area,
        zone_area,
        watts,
        amps,
        continuous_amps: CONTINUOUS_FACTOR * amps,
        element_watt_density: density(element_area),
        zone_watt_density: density(zone_area),
        gutter_length,
        gutter_watts,
        total_watts: watts + gutter_watts,
        total_amps: amps + gutter_watts / job.electrical.volts.value,
    }
}

/// The band as filled, up to the top element's upper edge; the band as wanted when the courses give none.
fn area_of(zone: ZoneId, zones: &Zones, courses: &Courses) -> f64 {
    let filled = courses.zones.iter().find(|z| z.zone == zone).map(|z| &z.regions).filter(|r| !r.is_empty());
    let regions = filled.or_else(|| zones.zones.iter().find(|z| z.id == zone).map(|z| &z.regions));
    total(regions.into_iter().flatten().map(crate::geometry::Region::area))
}

//! One zone is filled: its courses, runs and pieces.

use super::columns::lead_columns;
use super::cut::{CutRule, Piece, SAME_LENGTH, columns, cut};
use super::lattice::Lattice;
use super::model::{ColdStretch, CourseRule, Courses, ElementRole, Layer, LeadColumn, Run, Segment, ZoneCourses};
use super::runs::clear_stretches;
use crate::catalog::Element;
use crate::electrical::{longest_strip, steady_conductance};
use crate::geometry::{Interval, Region};
use crate::index::{RunId, SegmentId};
use crate::job::{Job, Work};
use crate::units::{INCHES_PER_FOOT, decimal};
use crate::zones::{FaceLayout, Interval2, Zone, ZoneKind, clear_regions};

/// Lays one zone and adds it to `courses`, which holds the zones before it. `passing` leads come down its columns from bands above it.
pub(super) fn lay_zone(
    layout: &FaceLayout,
    zone: &Zone,
    rule: &CourseRule,
    passing: u32,
    job: &Job,
    courses: &mut Courses,
) {
    let lattice = Lattice::new(layout, zone, rule);
    let first = first_course(zone, courses, &lattice);
    let last = lattice.deck_courses(zone.required_reach);
    let from = courses.runs.len();
    let from_segment = courses.segments.len();
    for course in first..=last {
        if let Some(why) = lattice.refused(course, job) {
            courses.cold.push(ColdStretch { zone: zone.id, course, along: zone.along, why });
        } else {
            lay_course(layout, zone, course, &lattice, job, courses);
        }
    }
    let top = courses.runs[from..].iter().map(|run| run.course).max();
    let provided = top.map_or(0.0, |course| lattice.top(course));
    let start = if zone.continues.is_some() { lattice.top(first - 1) } else { 0.0 };
    let widen = layout
        .edges
        .iter()
        .filter(|edge| zone.kind == ZoneKind::Valley && zone.edges.contains(&edge.edge))
        .filter_map(|edge| (edge.b - edge.a).unit())
        .map(|along| along.x.abs() * rule.deck_width)
        .fold(0.0, f64::max);
    let band = Interval { low: zone.base_v + start, high: zone.base_v + provided };
    let regions = clear_regions(layout, zone, band, widen);
    cut_runs(layout, zone, from, (band, passing), job, courses);
    let filled = ZoneCourses {
        zone: zone.id,
        deck_courses: top.unwrap_or(0),
        shift: lattice.shift,
        required_reach: zone.required_reach,
        provided_reach: provided,
        coverage: coverage(&regions, &courses.segments[from_segment..]),
        widest_gap: widest_gap(zone, start, &courses.segments[from_segment..]),
        regions,
    };
    courses.zones.push(filled);
}

/// The lowest course of a zone: the starter at a drip edge, the one above the eave zone it continues, else the first deck course.
fn first_course(zone: &Zone, courses: &Courses, lattice: &Lattice) -> u32 {
    match zone.continues {
        Some(eave) => lattice.deck_courses(courses.zones[eave.index()].required_reach) + 1,
        None => u32::from(!zone.at_drip_edge),
    }
}

fn lay_course(layout: &FaceLayout, zone: &Zone, course: u32, lattice: &Lattice, job: &Job, courses: &mut Courses) {
    let across = lattice.across(course);
    let gap = job.courses.end_gap;
    let taken: Vec<Interval> = courses
        .runs
        .iter()
        .rev()
        .take_while(|run| run.face == zone.face)
        .filter(|run| run.across.overlap(across).is_some())
        .map(|run| Interval { low: run.along.low - gap, high: run.along.high + gap })
        .collect();
    for clear in clear_stretches(layout, zone, across, &taken) {
        if clear.along.length() < job.courses.shortest_run - SAME_LENGTH {
            courses.cold.push(ColdStretch {
                zone: zone.id,
                course,
                along: clear.along,
                why: format!(
                    "{} in clear, shorter than the shortest run of {} in",
                    decimal(clear.along.length(), 2),
                    decimal(job.courses.shortest_run, 2)
                ),
            });
            continue;
        }
        courses.runs.push(Run {
            id: RunId::new(courses.runs.len()),
            zone: zone.id,
            face: zone.face,
            course,
            element: if course == 0 { ElementRole::Starter } else { ElementRole::Deck },
            along: clear.along,
            across,
            limits: clear.limits,
        });
    }
}

/// The cut of a zone: the longest piece is the least that the job and its elements allow, so that all courses can share their columns.
pub(super) fn cut_rule(job: &Job) -> CutRule {
    let products = &job.products;
    CutRule {
        longest: [
            job.courses.longest_piece,
            products.starter.value.longest_piece.inches(),
            products.deck.value.longest_piece.inches(),
            voltage_limit(&products.starter.value, job),
            voltage_limit(&products.deck.value, job),
        ]
        .into_iter()
        .fold(f64::INFINITY, f64::min),
        end_gap: job.courses.end_gap,
        step: job.courses.cut_step,
        shortest: job.courses.shortest_run,
        layer: match job.roof.work.value {
            Work::NewRoof => Layer::UnderShingles,
            Work::Retrofit => Layer::BetweenCourses,
        },
    }
}

/// The longest piece whose far end keeps its voltage: it may lose the share that a lead may, inches.
fn voltage_limit(element: &Element, job: &Job) -> f64 {
    let conductance = steady_conductance(element, job.electrical.running_temperature.value);
    INCHES_PER_FOOT * longest_strip(element.bus_ohms_per_foot, conductance, job.electrical.lead_drop)
}

fn cut_runs(
    layout: &FaceLayout,
    zone: &Zone,
    from: usize,
    (band, passing): (Interval, u32),
    job: &Job,
    courses: &mut Courses,
) {
    let rule = cut_rule(job);
    let runs: Vec<&Run> = courses.runs[from..].iter().collect();
    let gaps = lead_columns(layout, &runs, &columns(&runs, rule), passing, rule, &job.products.lead.value);
    for position in from..courses.runs.len() {
        let run = courses.runs[position].clone();
        let made = cut(run.along, &gaps, rule);
        courses.cold.extend(made.too_short.into_iter().map(|along| ColdStretch {
            zone: zone.id,
            course: run.course,
            along,
            why: format!("{} in beside a lead column, shorter than the shortest run", decimal(along.length(), 2)),
        }));
        for piece in made.pieces {
            courses.segments.push(segment(&run, &piece, zone, SegmentId::new(courses.segments.len()), job));
        }
    }
    courses.columns.extend(gaps.into_iter().map(|u| LeadColumn {
        zone: zone.id,
        face: zone.face,
        extent: Interval2 { u, v: band },
    }));
}

fn segment(run: &Run, piece: &Piece, zone: &Zone, id: SegmentId, job: &Job) -> Segment {
    let element = match run.element {
        ElementRole::Starter => &job.products.starter.value,
        ElementRole::Deck => &job.products.deck.value,
    };
    Segment {
        id,
        tag: String::new(),
        run: run.id,
        zone: run.zone,
        face: run.face,
        course: run.course,
        element: run.element,
        element_key: element.key.clone(),
        along: piece.along,
        across: run.across,
        station: piece.along.low,
        offset: run.across.low - zone.base_v,
        cut_length: piece.cut_length,
    }
}

/// Element area over the clear area of the zone.
fn coverage(regions: &[Region], segments: &[Segment]) -> f64 {
    let area: f64 = regions.iter().map(Region::area).sum();
    let covered: f64 = segments.iter().map(|s| s.cut_length * s.across.length()).sum();
    if area > 0.0 { covered / area } else { 0.0 }
}

/// The widest stretch up the slope without element, from where the zone starts to its required reach.
fn widest_gap(zone: &Zone, start: f64, segments: &[Segment]) -> f64 {
    let mut heights: Vec<Interval> = segments.iter().map(|s| s.across).collect();
    heights.sort_by(|a, b| a.low.total_cmp(&b.low));
    let mut widest: f64 = 0.0;
    let mut reached = zone.base_v + start;
    for height in heights {
        widest = widest.max(height.low - reached);
        reached = reached.max(height.high);
    }
    widest.max(zone.base_v + zone.required_reach - reached)
}

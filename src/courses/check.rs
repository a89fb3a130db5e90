//! What must hold for elements, by plain distances and without the code that placed them.

use super::model::{CourseRule, Courses, ElementRole, Segment};
use crate::geometry::{Interval, Point2, Segment2};
use crate::job::Job;
use crate::zones::{FaceLayout, Interval2, Zone, Zones};

/// Lengths agree within this, inches.
const SAME: f64 = 1e-6;
/// A course whose exposure ends within this above an eave ends at it, inches: an eighth of an inch is what a shingler sees.
const SAME_COURSE: f64 = 0.125;
/// A piece is cut to whole steps, its place is what the roof measures: the two agree within this, inches.
const SAME_CUT: f64 = 2e-3;

/// What is wrong with the courses; empty when nothing is.
#[must_use]
pub fn check_invariants(zones: &Zones, courses: &Courses, job: &Job) -> Vec<String> {
    let mut wrong = Vec::new();
    if courses.zones.len() != zones.zones.len() {
        wrong.push(format!("{} zones were filled of {}", courses.zones.len(), zones.zones.len()));
    }
    let Some(rule) = &courses.rule else {
        if !courses.segments.is_empty() {
            wrong.push("elements without a rule".into());
        }
        return wrong;
    };
    for (position, segment) in courses.segments.iter().enumerate() {
        if segment.id.index() != position {
            wrong.push(format!("{} stands at {position}", segment.id));
        }
        let zone = &zones.zones[segment.zone.index()];
        match zones.layout(segment.face) {
            Some(layout) if zone.face == segment.face => {
                check_place(layout, segment, &mut wrong);
                check_nails(layout, zone, segment, rule, job, &mut wrong);
                check_cut(segment, zone, courses, job, &mut wrong);
            }
            _ => wrong.push(format!("{} does not lie on the face of its zone", segment.tag)),
        }
    }
    check_pairs(courses, job, &mut wrong);
    check_tags(courses, &mut wrong);
    wrong
}

fn rectangle(segment: &Segment) -> Interval2 {
    Interval2 { u: segment.along, v: segment.across }
}

/// Distance between an upright rectangle and a straight edge; 0 when they meet.
fn distance(area: Interval2, edge: Segment2) -> f64 {
    let corners = [
        Point2::new(area.u.low, area.v.low),
        Point2::new(area.u.high, area.v.low),
        Point2::new(area.u.high, area.v.high),
        Point2::new(area.u.low, area.v.high),
    ];
    let sides = (0..4).map(|i| Segment2::new(corners[i], corners[(i + 1) % 4]));
    let mut nearest = corners.iter().map(|&corner| edge.distance_to(corner)).fold(f64::INFINITY, f64::min);
    for side in sides {
        nearest = nearest.min(side.distance_to(edge.a)).min(side.distance_to(edge.b));
        if side.line_meeting(edge).is_some_and(|(s, t)| (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t)) {
            return 0.0;
        }
    }
    let inside = |p: Point2| area.u.contains(p.x) && area.v.contains(p.y);
    if inside(edge.a) || inside(edge.b) { 0.0 } else { nearest }
}

/// Inside the face, outside every setback and keep-out. An edge without a setback may touch the element's side.
fn check_place(layout: &FaceLayout, segment: &Segment, wrong: &mut Vec<String>) {
    let area = rectangle(segment);
    let middle = Point2::new(0.5 * (area.u.low + area.u.high), 0.5 * (area.v.low + area.v.high));
    if !layout.region.contains(middle) {
        wrong.push(format!("{} lies outside {}", segment.tag, layout.face));
    }
    for edge in &layout.edges {
        let off = if edge.setback > 0.0 {
            distance(area, Segment2::new(edge.a, edge.b)) - edge.setback
        } else {
            distance(shrunk(area), Segment2::new(edge.a, edge.b)) - 0.5 * SAME
        };
        if off < -SAME || (edge.setback == 0.0 && off < 0.0) {
            wrong.push(format!("{} is {} in too near {}", segment.tag, -off, edge.edge));
        }
    }
    if layout.keep_outs.iter().any(|kept| overlaps(area, kept.keep_out)) {
        wrong.push(format!("{} enters an area that the job keeps free", segment.tag));
    }
    for opening in &layout.openings {
        if overlaps(area, opening.keep_out) {
            wrong.push(format!("{} enters the keep-out of {}", segment.tag, opening.opening));
        }
    }
}

fn shrunk(area: Interval2) -> Interval2 {
    Interval2 {
        u: Interval { low: area.u.low + SAME, high: area.u.high - SAME },
        v: Interval { low: area.v.low + SAME, high: area.v.high - SAME },
    }
}

fn overlaps(a: Interval2, b: Interval2) -> bool {
    let shares = |x: Interval, y: Interval| x.high.min(y.high) - x.low.max(y.low) > SAME;
    shares(a.u, b.u) && shares(a.v, b.v)
}

/// Against nail rows generated shingle by shingle from the face's lowest drip edge, and the starter strip's on the zone's own. At an eave further
/// up the courses that end below it are not laid.
fn check_nails(
    layout: &FaceLayout,
    zone: &Zone,
    segment: &Segment,
    rule: &CourseRule,
    job: &Job,
    wrong: &mut Vec<String>,
) {
    let shingle = &job.products.shingle.value;
    let own = segment.across;
    let mut rows = Vec::new();
    if zone.at_drip_edge {
        let strip = (shingle.starter_nail_low.inches(), shingle.starter_nail_high.inches());
        rows.push((0, zone.base_v + strip.0, zone.base_v + strip.1));
    }
    let exposure = shingle.exposure.inches();
    let mut butt = if layout.starters.is_empty() { zone.base_v } else { layout.course_base() };
    let mut course = 1;
    while butt <= own.high {
        if butt + exposure > zone.base_v + SAME_COURSE {
            rows.push((course, butt + shingle.nail_low.inches(), butt + shingle.nail_high.inches()));
        }
        butt += exposure;
        course += 1;
    }
    for (course, low, high) in rows {
        let clear = (low - own.high).max(own.low - high);
        if clear < job.courses.nail_clearance - SAME {
            wrong.push(format!("{} is {clear} in from the nails of shingle course {course}", segment.tag));
        }
    }
    let lowest = if segment.element == ElementRole::Starter { 0.0 } else { rule.starter_width };
    if own.low < zone.base_v + lowest - SAME {
        wrong.push(format!("{} lies below its place above the drip edge", segment.tag));
    }
}

fn check_cut(segment: &Segment, zone: &Zone, courses: &Courses, job: &Job, wrong: &mut Vec<String>) {
    let tag = &segment.tag;
    let products = &job.products;
    let element = match segment.element {
        ElementRole::Starter => &products.starter.value,
        ElementRole::Deck => &products.deck.value,
    };
    if (segment.width() - element.width.inches()).abs() > SAME || segment.element_key != element.key {
        wrong.push(format!("{tag} is not of its element"));
    }
    if (segment.along.length() - segment.cut_length).abs() > SAME_CUT {
        wrong.push(format!("{tag} is not as long as it is cut"));
    }
    let steps = segment.cut_length / job.courses.cut_step;
    if (steps - steps.round()).abs() > 1e-6 {
        wrong.push(format!("{tag} is cut to {} in, no whole steps", segment.cut_length));
    }
    let longest = job.courses.longest_piece.min(element.longest_piece.inches());
    if segment.cut_length > longest + SAME_CUT || segment.cut_length < job.courses.shortest_run - SAME_CUT {
        wrong.push(format!("{tag} is cut to {} in", segment.cut_length));
    }
    if segment.station != segment.along.low || (segment.offset + zone.base_v - segment.across.low).abs() > SAME {
        wrong.push(format!("{tag} has a wrong station or offset"));
    }
    let run = &courses.runs[segment.run.index()];
    let within = segment.along.low >= run.along.low - SAME && segment.along.high <= run.along.high + SAME;
    if !within || run.across != segment.across || run.zone != segment.zone || run.course != segment.course {
        wrong.push(format!("{tag} leaves its run"));
    }
    for column in courses.columns.iter().filter(|column| column.zone == segment.zone) {
        if overlaps(rectangle(segment), column.extent) {
            wrong.push(format!("{tag} closes a lead column"));
        }
    }
}

/// No two elements overlap, and pieces of one course keep the end gap.
fn check_pairs(courses: &Courses, job: &Job, wrong: &mut Vec<String>) {
    for (position, a) in courses.segments.iter().enumerate() {
        for b in courses.segments[position + 1..].iter().filter(|b| b.face == a.face) {
            if overlaps(rectangle(a), rectangle(b)) {
                wrong.push(format!("{} and {} overlap", a.tag, b.tag));
            }
            let gap = (b.along.low - a.along.high).max(a.along.low - b.along.high);
            if a.across.overlap(b.across).is_some() && gap < job.courses.end_gap - SAME {
                wrong.push(format!("{} and {} end {gap} in apart", a.tag, b.tag));
            }
        }
    }
}

fn check_tags(courses: &Courses, wrong: &mut Vec<String>) {
    let mut tags: Vec<&str> = courses.segments.iter().map(|segment| segment.tag.as_str()).collect();
    tags.sort_unstable();
    if tags.windows(2).any(|pair| pair[0] == pair[1]) {
        wrong.push("two pieces carry one tag".into());
    }
}

//! The lanes of one face, found from the geometry of its elements, openings and sides alone.
//!
//! An up-slope lane is a largest free rectangle that opens beside elements or an opening; it crosses nail rows, each at a
//! marked gap. A lane along a course is the free part of the strip between two nail rows.

use super::model::{LaneCourse, LaneKind};
use super::nails::NailRows;
use super::sizes::{Sizes, coarse};
use super::space::{Axis, FaceSpace, SAME};
use crate::geometry::{Interval, IntervalSet};
use crate::terms::EdgeKind;
use crate::zones::Interval2;

/// Lower lanes up the slope lead nowhere, inches.
const SHORTEST: f64 = 4.0;
/// A wider free stretch is a lane at each side rather than one, inches.
const WIDEST: f64 = 12.0;
/// Lanes are kept up to this height above the top element, inches: enough for leads to gather, pass and cross folds.
const ABOVE_TOP: f64 = 30.0;

/// Lanes whose ends lie this near one another end together, inches: a roof drawn by hand is a little out of level.
const CROOKED: f64 = 0.5;
/// Width of a lane that joins the strips above the elements, inches.
const CONNECTOR: f64 = 6.0;

/// A lane before it has an id.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct LaneSeed {
    pub kind: LaneKind,
    pub course: LaneCourse,
    pub extent: Interval2,
}

/// All lanes of a face. `top` is the upper edge of its highest element.
pub(super) fn lanes_of(space: &FaceSpace, rows: &NailRows, top: f64, sizes: &Sizes) -> Vec<LaneSeed> {
    let highest = space
        .layout
        .openings
        .iter()
        .filter(|o| o.flashing.v.low < top + ABOVE_TOP)
        .map(|o| o.flashing.v.high + 12.0)
        .fold(top + ABOVE_TOP, f64::max);
    let mut seeds = up_slope(space, top, highest, sizes);
    for strip in rows.strips(highest, sizes) {
        for free in space.free(Axis::V, strip, None) {
            if free.length() >= SHORTEST {
                let kind = if strip.low >= top { LaneKind::AboveElements } else { LaneKind::LeadCourse };
                let extent = Interval2 { u: free, v: strip };
                seeds.push(LaneSeed { kind, course: LaneCourse::AlongCourse, extent });
            }
        }
    }
    let joining = connectors(space, &seeds);
    seeds.extend(joining);
    seeds
}

/// Lanes up the slope above the elements, one at each side of what all strips there share, where no other lane joins the strips:
/// on a face between hips and valleys a lead must be able to change strips to reach a crossing or a hole.
fn connectors(space: &FaceSpace, seeds: &[LaneSeed]) -> Vec<LaneSeed> {
    let above: Vec<&Interval2> = seeds
        .iter()
        .filter(|s| s.kind == LaneKind::AboveElements && s.course == LaneCourse::AlongCourse)
        .map(|s| &s.extent)
        .collect();
    let shared = above.iter().map(|e| e.u).reduce(|a, b| Interval { low: a.low.max(b.low), high: a.high.min(b.high) });
    let height = above.iter().map(|e| e.v).reduce(|a, b| Interval { low: a.low.min(b.low), high: a.high.max(b.high) });
    let (Some(u), Some(v)) = (shared, height) else { return Vec::new() };
    if u.high - u.low < 2.0 * CONNECTOR {
        return Vec::new();
    }
    let sides = [Interval { low: u.low, high: u.low + CONNECTOR }, Interval { low: u.high - CONNECTOR, high: u.high }];
    let holds = |outer: Interval| outer.low <= v.low + SAME && outer.high >= v.high - SAME;
    let taken = |u: Interval| {
        let mut upright = seeds.iter().filter(|s| s.course == LaneCourse::UpSlope);
        upright.any(|s| s.extent.u.overlap(u).is_some() && s.extent.v.overlap(v).is_some())
    };
    let open = |u: &Interval| !taken(*u) && space.free(Axis::U, *u, None).into_iter().any(holds);
    sides
        .into_iter()
        .filter(open)
        .map(|u| LaneSeed { kind: LaneKind::AboveElements, course: LaneCourse::UpSlope, extent: Interval2 { u, v } })
        .collect()
}

fn up_slope(space: &FaceSpace, top: f64, highest: f64, sizes: &Sizes) -> Vec<LaneSeed> {
    let breaks = space.breaks(Axis::U);
    let strips: Vec<(Interval, Vec<Interval>)> = breaks
        .windows(2)
        .map(|w| Interval { low: w[0], high: w[1] })
        .map(|strip| {
            let below = |run: Interval| Interval { high: run.high.min(highest), ..run };
            let runs = space.free(Axis::U, strip, None).into_iter().map(below).filter(|run| run.low < run.high);
            (strip, runs.collect())
        })
        .collect();
    let mut rectangles: Vec<Interval2> = Vec::new();
    for (at, (_, runs)) in strips.iter().enumerate() {
        for &run in runs.iter().filter(|run| run.length() >= SHORTEST) {
            let stays_free = |strip: &(Interval, Vec<Interval>)| {
                strip.1.iter().any(|free| free.low <= run.low + SAME && free.high >= run.high - SAME)
            };
            let first = strips[..at].iter().rposition(|s| !stays_free(s)).map_or(0, |i| i + 1);
            let last = strips[at..].iter().position(|s| !stays_free(s)).map_or(strips.len(), |i| at + i) - 1;
            let u = Interval { low: strips[first].0.low, high: strips[last].0.high };
            rectangles.push(Interval2 { u, v: run });
        }
    }
    rectangles.sort_by(|a, b| {
        a.u.low.total_cmp(&b.u.low).then(a.u.high.total_cmp(&b.u.high)).then(a.v.low.total_cmp(&b.v.low))
    });
    rectangles.dedup_by(|a, b| same(a, b));
    let mut seeds: Vec<LaneSeed> = Vec::new();
    for rectangle in rectangles {
        for (side, kind) in useful_sides(space, &rectangle, top, sizes) {
            let u = sided(rectangle.u, side);
            let seed = LaneSeed { kind, course: LaneCourse::UpSlope, extent: Interval2 { u, v: rectangle.v } };
            if !seeds.iter().any(|s| same(&s.extent, &seed.extent)) {
                seeds.push(seed);
            }
        }
    }
    // No strip is booked twice: of two lanes, one wider and one longer, the longer stands for both, unless what it gains in length is only
    // the crookedness of the drawing, or both start from the same foot, it is much narrower and not much longer.
    let within = |inner: Interval, outer: Interval| inner.low >= outer.low - SAME && inner.high <= outer.high + SAME;
    let level = |a: f64, b: f64| (a - b).abs() < CROOKED;
    let gives_way = |narrow: &Interval2, wide: &Interval2| {
        let much_narrower = narrow.u.length() < 0.5 * wide.u.length() && wide.v.length() > 0.5 * narrow.v.length();
        level(narrow.v.low, wide.v.low) && (level(narrow.v.high, wide.v.high) || much_narrower)
    };
    let stands_for = |a: &Interval2, b: &Interval2| {
        let longer = within(a.u, b.u) && within(b.v, a.v) && !gives_way(a, b);
        let wider = within(b.u, a.u) && within(a.v, b.v) && gives_way(b, a);
        !same(a, b) && (longer || wider)
    };
    let kept = |seed: &&LaneSeed| !seeds.iter().any(|s| stands_for(&s.extent, &seed.extent));
    let kept = seeds.iter().filter(kept).cloned().collect();
    side_by_side(kept, sizes)
}

/// Lanes that lie over one another part by part, as under a peak, share the stretch among them: the longest keeps its width, and each
/// further one what is left of its own beside it.
fn side_by_side(mut seeds: Vec<LaneSeed>, sizes: &Sizes) -> Vec<LaneSeed> {
    let (length, width) = (|s: &LaneSeed| coarse(s.extent.v.length()), |s: &LaneSeed| coarse(s.extent.u.length()));
    let order = |a: &LaneSeed, b: &LaneSeed| {
        (length(b).cmp(&length(a))).then(width(b).cmp(&width(a))).then(a.extent.u.low.total_cmp(&b.extent.u.low))
    };
    seeds.sort_by(order);
    let mut laid: Vec<LaneSeed> = Vec::new();
    for seed in seeds {
        let over =
            laid.iter().filter(|s| s.extent.v.overlap(seed.extent.v).is_some_and(|shared| shared.length() > CROOKED));
        let taken = over.map(|s| Interval { low: s.extent.u.low - sizes.pitch, high: s.extent.u.high + sizes.pitch });
        let left = IntervalSet::from_union(vec![seed.extent.u]).minus(&IntervalSet::from_union(taken.collect()));
        if let Some(&u) = left.stretches().iter().max_by(|a, b| coarse(a.length()).cmp(&coarse(b.length()))) {
            laid.push(LaneSeed { extent: Interval2 { u, ..seed.extent }, ..seed });
        }
    }
    laid.sort_by(|a, b| {
        a.extent
            .u
            .low
            .total_cmp(&b.extent.u.low)
            .then(a.extent.u.high.total_cmp(&b.extent.u.high))
            .then(a.extent.v.low.total_cmp(&b.extent.v.low))
    });
    laid
}

fn same(a: &Interval2, b: &Interval2) -> bool {
    let near = |a: Interval, b: Interval| (a.low - b.low).abs() < SAME && (a.high - b.high).abs() < SAME;
    near(a.u, b.u) && near(a.v, b.v)
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum SideOf {
    Left,
    Right,
}

/// The part of a wide stretch next to one of its sides.
fn sided(u: Interval, side: SideOf) -> Interval {
    match side {
        _ if u.length() <= WIDEST => u,
        SideOf::Left => Interval { low: u.low, high: u.low + WIDEST },
        SideOf::Right => Interval { low: u.high - WIDEST, high: u.high },
    }
}

/// The sides of a free rectangle where a lead has business: an element ends there, an opening or a rake stands there.
fn useful_sides(space: &FaceSpace, free: &Interval2, top: f64, sizes: &Sizes) -> Vec<(SideOf, LaneKind)> {
    let mut sides: Vec<(SideOf, LaneKind)> = Vec::new();
    let beside = |other: &Interval2| {
        let level = other.v.overlap(free.v).is_some();
        [(SideOf::Left, (other.u.high - free.u.low).abs()), (SideOf::Right, (other.u.low - free.u.high).abs())]
            .into_iter()
            .filter(move |(_, apart)| level && *apart < SAME)
            .map(|(side, _)| side)
    };
    let (elements, openings) = space.rectangles.split_at(space.elements);
    sides.extend(openings.iter().flat_map(beside).map(|side| (side, LaneKind::FlashingMargin)));
    for edge in &space.layout.edges {
        let upright = (edge.a.x - edge.b.x).abs() < sizes.diameter;
        let v = Interval::new(edge.a.y, edge.b.y);
        let (u, kind) = match edge.kind {
            EdgeKind::Rake => (sizes.from_rake, LaneKind::RakeMargin),
            EdgeKind::Sidewall | EdgeKind::Step => (sizes.from_wall, LaneKind::FlashingMargin),
            _ => continue,
        };
        // Walked with the face to the left, a side on the right of the face climbs.
        let (side, at) =
            if edge.b.y > edge.a.y { (SideOf::Right, free.u.high + u) } else { (SideOf::Left, free.u.low - u) };
        if upright && (at - edge.a.x).abs() < sizes.diameter && v.overlap(free.v).is_some() {
            sides.push((side, kind));
        }
    }
    if free.v.low < top {
        sides.extend(elements.iter().flat_map(beside).map(|side| (side, LaneKind::LeadColumn)));
    }
    // One lane for a narrow stretch, named by the strictest side: rake, flashing, column in that order of the list.
    sides.sort_by_key(|&(side, kind)| (kind, side == SideOf::Right));
    sides.dedup();
    sides
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Job;
    use crate::wiring::samples;

    #[test]
    fn a_gable_face_has_two_rake_lanes_and_strips_above_the_elements() {
        let job = Job::with_defaults(&Catalogue::sample()).unwrap();
        let sample = samples::gable(480.0, 288.0, &job);
        let sizes = Sizes::of(&job);
        let layout = &sample.zones.faces[0];
        let segments: Vec<_> = sample.courses.segments.iter().filter(|s| s.face == layout.face).collect();
        let space = FaceSpace::new(layout, &segments, &sizes);
        let rows = NailRows::new(&job.products.shingle.value, &layout.starters);
        let lanes = lanes_of(&space, &rows, 45.125, &sizes);
        let rakes: Vec<&LaneSeed> = lanes.iter().filter(|l| l.kind == LaneKind::RakeMargin).collect();
        assert_eq!(rakes.len(), 2, "{lanes:?}");
        // Nails 1 in from the rake, 3/4 in clear, half a 1/4 in lead: 1 7/8; the element at 6 in, less 3/8.
        assert!((rakes[0].extent.u.low - 1.875).abs() < 1e-9 && (rakes[0].extent.u.high - 5.625).abs() < 1e-9);
        assert!(rakes[0].extent.v.low.abs() < 1e-9 && rakes[0].extent.v.high > 60.0);
        assert!(lanes.iter().all(|l| l.kind != LaneKind::LeadColumn && l.kind != LaneKind::LeadCourse), "{lanes:?}");
        assert!(lanes.iter().filter(|l| l.kind == LaneKind::AboveElements).count() >= 5);
    }
}

//! Where on a face the middle of a lead may lie: the face without elements, flashing and nailed margins.

use super::sizes::{Sizes, VALLEY_KEEP_OUT};
use crate::courses::Segment;
use crate::geometry::{Box2, Interval, IntervalSet, Point2, Segment2, Vector2};
use crate::terms::EdgeKind;
use crate::zones::{FaceEdge, FaceLayout, Interval2};

/// A direction of the developed face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    /// Along the contour.
    U,
    /// Up the slope.
    V,
}

impl Axis {
    pub(super) fn of(self, p: Point2) -> f64 {
        match self {
            Self::U => p.x,
            Self::V => p.y,
        }
    }

    pub(super) fn other(self) -> Self {
        match self {
            Self::U => Self::V,
            Self::V => Self::U,
        }
    }

    pub(super) fn side(self, rectangle: &Interval2) -> Interval {
        match self {
            Self::U => rectangle.u,
            Self::V => rectangle.v,
        }
    }
}

/// Shared ends of two keep-outs are the same to within this, inches.
pub(super) const SAME: f64 = 1e-6;

/// A face with everything a lead stays out of.
#[derive(Debug)]
pub(super) struct FaceSpace<'a> {
    pub layout: &'a FaceLayout,
    /// Upright keep-outs: elements (in segment order), then openings and what the job keeps free.
    pub rectangles: Vec<Interval2>,
    /// How many of them are elements.
    pub elements: usize,
    /// Positions of the rectangles by their left sides, and the widest of them, inches.
    by_left: Vec<usize>,
    widest: f64,
    /// Strips along the face's sides, as convex polygons.
    margins: Vec<Vec<Point2>>,
}

fn margin(edge: &FaceEdge, sizes: &Sizes) -> f64 {
    match edge.kind {
        EdgeKind::Eave => 0.0,
        EdgeKind::Rake => sizes.from_rake,
        EdgeKind::Hip | EdgeKind::Ridge | EdgeKind::FlatEdge => sizes.from_cap,
        EdgeKind::Valley => VALLEY_KEEP_OUT,
        EdgeKind::HighEdge | EdgeKind::Sidewall | EdgeKind::Step | EdgeKind::Skew | EdgeKind::Unknown => {
            sizes.from_wall
        }
        EdgeKind::PitchBreak | EdgeKind::FlatBreak => sizes.to_fastener,
    }
}

/// Sides of the polygon round half an end of a swollen line.
const ROUND_SIDES: u32 = 4;

/// All within `width` of an edge: its sides, and round each end a polygon drawn about the half circle.
fn swollen(edge: &FaceEdge, width: f64) -> Vec<Point2> {
    let along = (edge.b - edge.a).unit().unwrap_or_default();
    let step = core::f64::consts::PI / f64::from(ROUND_SIDES);
    // Corners lie between the points where the sides touch the circle, so further out than it.
    let out = width / crate::geometry::trig::cos(0.5 * step);
    let ends = [(edge.b, along), (edge.a, -along)];
    let corner = |(end, along): (Point2, Vector2), number: u32| {
        let turn = (f64::from(number) + 0.5) * step;
        let (right, ahead) = (crate::geometry::trig::cos(turn), crate::geometry::trig::sin(turn));
        end - along.left() * (right * out) + along * (ahead * out)
    };
    ends.into_iter().flat_map(|end| (0..ROUND_SIDES).map(move |number| corner(end, number))).collect()
}

fn grown(rectangle: &Interval2, by: f64) -> Interval2 {
    let wider = |side: Interval| Interval { low: side.low - by, high: side.high + by };
    Interval2 { u: wider(rectangle.u), v: wider(rectangle.v) }
}

impl<'a> FaceSpace<'a> {
    pub(super) fn new(layout: &'a FaceLayout, segments: &[&Segment], sizes: &Sizes) -> Self {
        let elements = segments.iter().map(|s| grown(&Interval2 { u: s.along, v: s.across }, sizes.to_element));
        let openings = layout.openings.iter().map(|o| &o.flashing).chain(layout.keep_outs.iter().map(|k| &k.solid));
        let openings = openings.map(|area| grown(area, sizes.to_fastener));
        let margins = layout
            .edges
            .iter()
            .map(|edge| {
                let (along, width) = ((edge.b - edge.a).unit().unwrap_or_default(), margin(edge, sizes));
                let inward = along.left() * width;
                match edge.kind {
                    // A lead keeps its distance from the ends of these lines too, also where the face goes on past them.
                    EdgeKind::Valley | EdgeKind::Hip | EdgeKind::Ridge | EdgeKind::Rake => swollen(edge, width),
                    _ => vec![edge.a, edge.b, edge.b + inward, edge.a + inward],
                }
            })
            .collect();
        let rectangles: Vec<Interval2> = elements.chain(openings).collect();
        let mut by_left: Vec<usize> = (0..rectangles.len()).collect();
        by_left.sort_by(|&a, &b| rectangles[a].u.low.total_cmp(&rectangles[b].u.low).then(a.cmp(&b)));
        let widest = rectangles.iter().map(|r| r.u.length()).fold(0.0, f64::max);
        Self { layout, rectangles, elements: segments.len(), by_left, widest, margins }
    }

    /// Rectangles that may reach into a stretch of stations, so that work grows with what is near and not with the length of the eave.
    fn near(&self, u: Interval) -> impl Iterator<Item = (usize, &Interval2)> {
        let from = self.by_left.partition_point(|&at| self.rectangles[at].u.low < u.low - self.widest);
        let upto = self.by_left.partition_point(|&at| self.rectangles[at].u.low <= u.high);
        self.by_left[from..upto.max(from)].iter().map(|&at| (at, &self.rectangles[at]))
    }

    /// Coordinates along `axis` where keep-outs begin or end, rising.
    pub(super) fn breaks(&self, axis: Axis) -> Vec<f64> {
        let mut breaks: Vec<f64> = self
            .rectangles
            .iter()
            .flat_map(|r| [axis.side(r).low, axis.side(r).high])
            .chain(self.margins.iter().flatten().map(|&p| axis.of(p)))
            .collect();
        breaks.sort_by(f64::total_cmp);
        breaks.dedup_by(|a, b| (*a - *b).abs() < SAME);
        breaks
    }

    /// Stretches across `axis` that are free over the whole of `strip` along it; element `except` does not count.
    pub(super) fn free(&self, axis: Axis, strip: Interval, except: Option<usize>) -> Vec<Interval> {
        let all = Interval { low: f64::NEG_INFINITY, high: f64::INFINITY };
        let stations = if axis == Axis::U { strip } else { all };
        self.free_among(axis, strip, except, stations)
    }

    /// The stretch around a station that is free in a strip along the contour, as far as obstacles within `reach` of it tell; element `except` does
    /// not count.
    pub(super) fn free_around(&self, strip: Interval, except: usize, at: f64, reach: f64) -> Option<Interval> {
        let window = Interval { low: at - reach, high: at + reach };
        let blocked = self.blocked(Axis::V, strip, Some(except), window);
        let low =
            blocked.stretches().iter().map(|b| b.high).filter(|&high| high <= at + SAME).fold(window.low, f64::max);
        let high =
            blocked.stretches().iter().map(|b| b.low).filter(|&low| low >= at - SAME).fold(window.high, f64::min);
        let shut = blocked.stretches().iter().any(|b| b.low < at - SAME && b.high > at + SAME);
        let middle = Point2::new(0.5 * (low + high), 0.5 * (strip.low + strip.high));
        (!shut && low <= high && self.layout.region.contains(middle)).then_some(Interval { low, high })
    }

    fn blocked(&self, axis: Axis, strip: Interval, except: Option<usize>, stations: Interval) -> IntervalSet {
        let (low, high) = (strip.low + SAME, strip.high - SAME);
        let across = axis.other();
        let mut blocked: Vec<Interval> = self
            .near(stations)
            .filter(|&(at, r)| Some(at) != except && axis.side(r).low < high && axis.side(r).high > low)
            .map(|(_, r)| across.side(r))
            .collect();
        blocked.extend(self.margins.iter().filter_map(|polygon| reach_within(polygon, axis, low, high)));
        IntervalSet::from_union(blocked)
    }

    fn free_among(&self, axis: Axis, strip: Interval, except: Option<usize>, stations: Interval) -> Vec<Interval> {
        let middle = 0.5 * (strip.low + strip.high);
        let blocked = self.blocked(axis, strip, except, stations);
        let gaps = blocked.stretches().windows(2).map(|w| Interval { low: w[0].high, high: w[1].low });
        gaps.filter(|gap| {
            let station = 0.5 * (gap.low + gap.high);
            let inside = match axis {
                Axis::U => Point2::new(middle, station),
                Axis::V => Point2::new(station, middle),
            };
            self.layout.region.contains(inside)
        })
        .collect()
    }
}

/// The stretch across `axis` that a convex polygon covers between `low` and `high` along it.
fn reach_within(polygon: &[Point2], axis: Axis, low: f64, high: f64) -> Option<Interval> {
    let across = axis.other();
    let mut reach: Option<Interval> = None;
    for i in 0..polygon.len() {
        let side = Segment2::new(polygon[i], polygon[(i + 1) % polygon.len()]);
        let (a, b) = (axis.of(side.a), axis.of(side.b));
        let (from, to) = (a.min(b).max(low), a.max(b).min(high));
        if from > to {
            continue;
        }
        let at = |station: f64| {
            let t = if a == b { 0.0 } else { (station - a) / (b - a) };
            across.of(side.a.lerp(side.b, t.clamp(0.0, 1.0)))
        };
        // A side square to the axis lies at one station: both its ends count.
        let ends = if a == b { [across.of(side.a), across.of(side.b)] } else { [at(from), at(to)] };
        for v in ends {
            let now = reach.get_or_insert(Interval { low: v, high: v });
            *now = Interval { low: now.low.min(v), high: now.high.max(v) };
        }
    }
    reach
}

/// Whether a stretch comes within `beside` of an opening's flashing or of what is kept free: tested on the box around it, which is never too small.
pub(super) fn near_opening(layout: &FaceLayout, stretch: Segment2, beside: f64) -> bool {
    let Some(around) = Box2::around([stretch.a, stretch.b]) else { return false };
    let around = around.grown(beside);
    let kept = layout.keep_outs.iter().map(|area| area.solid);
    layout.openings.iter().map(|o| o.flashing).chain(kept).any(|area| {
        let (low, high) = (Point2::new(area.u.low, area.v.low), Point2::new(area.u.high, area.v.high));
        around.meets(Box2 { min: low, max: high })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slanted_strip_blocks_from_its_nearest_to_its_farthest_point() {
        let strip = [Point2::new(0.0, 0.0), Point2::new(10.0, 10.0), Point2::new(8.0, 12.0), Point2::new(-2.0, 2.0)];
        let reach = reach_within(&strip, Axis::U, 4.0, 6.0).unwrap();
        assert!((reach.low - 4.0).abs() < 1e-12 && (reach.high - 10.0).abs() < 1e-12);
        assert_eq!(reach_within(&strip, Axis::U, 11.0, 12.0), None);
    }
}

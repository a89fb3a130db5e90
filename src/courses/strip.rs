//! The part of a course that an edge forbids, in closed form.
//!
//! A course is a level strip of the developed face. An edge that keeps a setback d forbids every point nearer than d: the edge swollen to a
//! shape with two straight sides and two round ends. An element is square-cut, so a station is forbidden as soon as any height of the strip is.
//! The swollen shape is convex, so what it forbids is one stretch, and its ends lie at the height of the strip nearest to the edge's own
//! leftmost and rightmost end: the lower edge of the element governs at a valley, the upper edge at a hip.

use crate::geometry::{Interval, Point2};

/// A strip and an edge that share a line only touch, inches: the eave under the starter forbids nothing.
const TOUCH: f64 = 1e-9;

/// Stations of the strip `across` nearer than `distance` to the edge from `a` to `b`, at some height of the strip.
/// With distance 0, the stations where the edge itself passes through the strip.
pub(super) fn forbidden(a: Point2, b: Point2, distance: f64, across: Interval) -> Option<Interval> {
    let strip = Interval { low: across.low + TOUCH, high: across.high - TOUCH };
    let shape = Interval { low: a.y.min(b.y) - distance, high: a.y.max(b.y) + distance };
    if strip.low >= strip.high || shape.high < strip.low || shape.low > strip.high {
        return None;
    }
    let extreme = |rightmost: bool| {
        let outer = if rightmost { a.x.max(b.x) } else { a.x.min(b.x) };
        // Heights at which the swollen shape reaches furthest: one end of the edge, or all of an upright edge.
        let furthest = [a, b].into_iter().filter(|p| p.x == outer).map(|p| p.y);
        let low = furthest.clone().fold(f64::INFINITY, f64::min);
        let high = furthest.fold(f64::NEG_INFINITY, f64::max);
        let at = if high < strip.low {
            strip.low
        } else if low > strip.high {
            strip.high
        } else {
            low.max(strip.low)
        };
        swollen_at(a, b, distance, at)
    };
    let (left, right) = (extreme(false)?, extreme(true)?);
    Some(Interval { low: left.low, high: right.high })
}

/// Stations at one height within `distance` of the edge.
fn swollen_at(a: Point2, b: Point2, distance: f64, at: f64) -> Option<Interval> {
    let mut found: Option<Interval> = None;
    let mut add = |low: f64, high: f64| {
        found =
            Some(found.map_or(Interval { low, high }, |f| Interval { low: f.low.min(low), high: f.high.max(high) }));
    };
    for end in [a, b] {
        let off = at - end.y;
        let square = distance * distance - off * off;
        if square >= 0.0 {
            add(end.x - square.sqrt(), end.x + square.sqrt());
        }
    }
    if let Some(along) = (b - a).unit() {
        let out = along.left() * distance;
        let corners = [a + out, b + out, b - out, a - out];
        for (i, &from) in corners.iter().enumerate() {
            let to = corners[(i + 1) % 4];
            let (low, high) = (from.y.min(to.y), from.y.max(to.y));
            if (low..=high).contains(&at) {
                if high > low {
                    let station = from.x + (at - from.y) / (to.y - from.y) * (to.x - from.x);
                    add(station, station);
                } else {
                    add(from.x.min(to.x), from.x.max(to.x));
                }
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Segment2;
    use proptest::prelude::*;

    /// A valley or hip between two faces of equal pitch on the face's surface: tan phi = slope factor.
    fn fold(pitch: f64) -> Point2 {
        let length = 400.0;
        Point2::new(length, length * (1.0_f64 + pitch * pitch).sqrt())
    }

    fn deck(line: f64) -> Interval {
        Interval { low: line, high: line + 4.0 }
    }

    /// Setback 6 in square to an equal-pitch valley, and how much the next 5 in course gains; computed from tan phi = 1/cos theta.
    #[test]
    fn valley_table() {
        for (rise, shortening, change) in
            [(4.0, 8.2704, 4.7434), (6.0, 8.0498, 4.4721), (8.0, 7.8053, 4.1603), (12.0, 7.3485, 3.5355)]
        {
            let top = fold(rise / 12.0);
            let factor = (1.0_f64 + rise * rise / 144.0).sqrt();
            // Above and to the left of a valley that leans right the face is clear up to the element's lower edge.
            let end = |line: f64| forbidden(Point2::default(), top, 6.0, deck(line)).unwrap().low;
            let on_line = |line: f64| line / factor;
            assert!((on_line(50.0) - end(50.0) - shortening).abs() < 1e-4, "{rise}:12");
            assert!((end(55.0) - end(50.0) - change).abs() < 1e-4, "{rise}:12");
        }
    }

    /// At a 6:12 hip a square-cut 4 in element stops 11.63 in from it along its lower edge, a 2 in one 9.84 in: 6 in square to the hip is 8.05 in
    /// along the course, and the upper edge adds 4 (or 2) x cos theta.
    #[test]
    fn hip_stops() {
        let top = fold(0.5);
        let factor = 1.25_f64.sqrt();
        for (width, stop) in [(4.0, 11.63), (2.0, 9.84)] {
            let across = Interval { low: 50.0, high: 50.0 + width };
            let end = forbidden(Point2::default(), top, 6.0, across).unwrap().high;
            assert!((end - 50.0 / factor - stop).abs() < 0.005, "{width} in stops {}", end - 50.0 / factor);
        }
    }

    #[test]
    fn an_eave_under_the_strip_only_touches() {
        let starter = Interval { low: 0.0, high: 2.0 };
        assert_eq!(forbidden(Point2::default(), Point2::new(480.0, 0.0), 0.0, starter), None);
        assert!(forbidden(Point2::new(0.0, 1.0), Point2::new(480.0, 1.0), 0.0, starter).is_some());
    }

    #[test]
    fn a_rake_forbids_its_setback_on_both_sides() {
        let strip = Interval { low: 10.0, high: 14.0 };
        let rake = forbidden(Point2::new(480.0, 0.0), Point2::new(480.0, 161.0), 6.0, strip).unwrap();
        assert_eq!((rake.low, rake.high), (474.0, 486.0));
    }

    proptest! {
        /// The closed form against plain distances at many heights.
        #[test]
        fn agrees_with_plain_distances(
            ax in -50.0..50.0f64, ay in -50.0..50.0f64, bx in -50.0..50.0f64, by in -50.0..50.0f64,
            distance in 0.5..20.0f64, low in -60.0..60.0f64, width in 0.5..6.0f64,
        ) {
            let edge = Segment2::new(Point2::new(ax, ay), Point2::new(bx, by));
            let across = Interval { low, high: low + width };
            let found = forbidden(edge.a, edge.b, distance, across);
            let near = |u: f64| (0..=40).any(|step| {
                edge.distance_to(Point2::new(u, low + width * f64::from(step) / 40.0)) < distance - 1e-3
            });
            for step in -80..=80 {
                let u = f64::from(step);
                let inside = found.is_some_and(|f| f.contains(u));
                prop_assert!(inside || !near(u), "{u} is near but not forbidden");
            }
            if let Some(found) = found {
                for u in [found.low + 1e-4, found.high - 1e-4] {
                    let nearest = (0..=4000).map(|step| edge.distance_to(Point2::new(u, low + width * f64::from(step) / 4000.0)))
                        .fold(f64::INFINITY, f64::min);
                    prop_assert!(nearest < distance + 1e-2, "{u} is forbidden at {nearest}");
                }
            }
        }
    }
}

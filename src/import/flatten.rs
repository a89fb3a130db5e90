//! Curves become straight pieces.

use super::entity::{Arc, Polyline};
use super::expand::MOST_OF_ONE;
use crate::geometry::{Matrix4, Point3, Vector2, Vector3, trig};
use std::f64::consts::TAU;

/// Greatest distance between a curve and its straight pieces, in inches: half the thickness of a pencil line on the roof. Smaller
/// makes more pieces than a crew can measure; larger is seen at the edge of a round bay.
pub(super) const CHORD_ERROR: f64 = 1.0 / 16.0;

/// A curve becomes at most so many pieces; a full circle of a mile and a half across still keeps the chord error.
const MOST_PIECES: f64 = 2_000.0;

/// Points of an arc in its own plane, both ends included; a full circle does not repeat its first point.
///
/// `error` is the chord error in the arc's own units.
pub(super) fn arc(arc: &Arc, error: f64) -> (Vec<Point3>, bool) {
    let full = (arc.end - arc.start).abs() >= 360.0;
    // Angles that differ by whole turns are the same; equal ones mean a full circle, which has no ends.
    let turned = (arc.end - arc.start).rem_euclid(360.0);
    let full = full || turned == 0.0;
    let sweep = if full { TAU } else { turned.to_radians() };
    let start = arc.start.rem_euclid(360.0).to_radians();
    let from = Vector2::new(trig::cos(start), trig::sin(start)) * arc.radius;
    let count = pieces(arc.radius, sweep, error);
    let last = if full { count - 1 } else { count };
    let points = (0..=last).map(|i| arc.center + level(turn(from, sweep * i as f64 / count as f64))).collect();
    (points, full)
}

/// Points of a polyline in its own plane or in space, bulges flattened.
pub(super) fn polyline(line: &Polyline, error: f64) -> Vec<Point3> {
    let count = line.vertices.len();
    let mut points = Vec::with_capacity(count);
    for (place, &(point, bulge)) in line.vertices.iter().enumerate() {
        points.push(point);
        let joined = place + 1 < count || line.closed;
        // Beyond what one entity may have it is refused as a whole, so no more of it is worked out.
        if bulge != 0.0 && joined && count > 1 && points.len() <= MOST_OF_ONE {
            bulged(point, line.vertices[(place + 1) % count].0, bulge, error, &mut points);
        }
    }
    points
}

/// The inner points of a bulged piece. A bulge is the tangent of a quarter of the angle, positive to the right of the chord.
fn bulged(a: Point3, b: Point3, bulge: f64, error: f64, points: &mut Vec<Point3>) {
    let chord = b.plan() - a.plan();
    let length = chord.length();
    let radius = length * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
    if length == 0.0 || !radius.is_finite() || radius > super::group::LARGEST {
        // So flat that it is its chord, or no chord at all.
        return;
    }
    let middle = a.plan() + chord * 0.5;
    let center = middle + chord.left() * ((1.0 - bulge * bulge) / (4.0 * bulge));
    let sweep = 4.0 * trig::atan(bulge);
    let count = pieces(radius, sweep.abs(), error);
    let from = a.plan() - center;
    for i in 1..count {
        points.push((center + turn(from, sweep * i as f64 / count as f64)).at_height(a.z));
    }
}

/// Pieces that keep the chord error: a chord of angle t is off by r(1 - cos(t/2)), which r*t*t/8 bounds from above.
pub(super) fn pieces(radius: f64, sweep: f64, error: f64) -> usize {
    let step = (8.0 * error / radius).sqrt();
    // However small the curve, an eighth of a turn is one piece at most: a vent pipe stays round.
    (sweep / step.min(TAU / 8.0)).ceil().clamp(1.0, MOST_PIECES) as usize
}

fn turn(v: Vector2, angle: f64) -> Vector2 {
    let (s, c) = (trig::sin(angle), trig::cos(angle));
    Vector2::new(v.x * c - v.y * s, v.x * s + v.y * c)
}

fn level(v: Vector2) -> Vector3 {
    Vector3::new(v.x, v.y, 0.0)
}

/// The map from an entity's own plane to the space it is drawn in, by the format's arbitrary axis rule.
///
/// # Source
/// DXF reference, "Arbitrary Axis Algorithm": where the normal is within 1/64 of straight up or down the x axis is y cross normal,
/// else z cross normal.
pub(super) fn plane_of(normal: Vector3) -> Matrix4 {
    let steep = normal.x.abs() < 1.0 / 64.0 && normal.y.abs() < 1.0 / 64.0;
    let helper = if steep { Vector3::new(0.0, 1.0, 0.0) } else { Vector3::new(0.0, 0.0, 1.0) };
    let x = helper.cross(normal).unit().unwrap_or(Vector3::new(1.0, 0.0, 0.0));
    let y = normal.cross(x);
    Matrix4::from_axes(x, y, normal, Point3::default())
}

/// An upper bound of how much a map stretches lengths.
pub(super) fn stretch(map: &Matrix4) -> f64 {
    let axis = |x, y, z| {
        let image = map.vector(Vector3::new(x, y, z));
        image.dot(image)
    };
    (axis(1.0, 0.0, 0.0) + axis(0.0, 1.0, 0.0) + axis(0.0, 0.0, 1.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Segment2;

    /// Bulge 1 is a half circle to the right of the chord: from (0, 0) to (2, 0) it passes (1, -1).
    #[test]
    fn bulges_turn_the_right_way() {
        let half = |bulge| Polyline {
            vertices: vec![(Point3::new(0.0, 0.0, 5.0), bulge), (Point3::new(2.0, 0.0, 5.0), 0.0)],
            closed: false,
            in_space: false,
            head: None,
        };
        let points = polyline(&half(1.0), 1e-4);
        let middle = points[points.len() / 2];
        assert!(points.iter().all(|p| (p.plan().distance(crate::geometry::Point2::new(1.0, 0.0)) - 1.0).abs() < 1e-12));
        assert!(middle.y < -0.99 && middle.z == 5.0);
        assert_eq!((points[0].x, points[points.len() - 1].x), (0.0, 2.0));
        let quarter = polyline(&half(-0.414_213_562_373_095), 1e-4);
        // A quarter circle over a chord of 2 rises sqrt(2) - 1.
        let top = quarter.iter().map(|p| p.y).fold(0.0, f64::max);
        assert!((top - 0.414_213_562).abs() < 1e-3, "{top}");
    }

    #[test]
    fn chord_error_holds() {
        for radius in [0.01, 1.0, 37.0, 480.0, 90_000.0] {
            let (points, closed) =
                arc(&Arc { center: Point3::default(), radius, start: 350.0, end: 100.0 }, CHORD_ERROR);
            assert!(!closed && points.len() >= 2);
            for pair in points.windows(2) {
                let middle = Segment2::new(pair[0].plan(), pair[1].plan()).midpoint();
                assert!(radius - middle.to_vector().length() <= CHORD_ERROR, "{radius}");
            }
        }
        let (circle, closed) =
            arc(&Arc { center: Point3::default(), radius: 2.0, start: 0.0, end: 360.0 }, CHORD_ERROR);
        assert!(closed && circle.len() >= 8 && circle[0] != circle[circle.len() - 1]);
    }

    /// A normal straight down mirrors x, as the arbitrary axis rule gives.
    #[test]
    fn a_plane_seen_from_below_is_mirrored() {
        let map = plane_of(Vector3::new(0.0, 0.0, -1.0));
        assert_eq!(map.point(Point3::new(3.0, 2.0, 0.0)), Point3::new(-3.0, 2.0, 0.0));
        let tilted = plane_of(Vector3::new(1.0, 0.0, 0.0));
        assert_eq!(tilted.point(Point3::new(3.0, 2.0, 0.0)), Point3::new(0.0, 3.0, 2.0));
    }
}

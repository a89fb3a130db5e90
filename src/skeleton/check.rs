//! Is it a roof over this outline? Looked at from the result alone.

use super::input::Prepared;
use super::model::Skeleton;
use crate::geometry::{Point2, Point3};

/// What rounding may amount to, as a share of the outline's size. Smaller: sound roofs with nearly parallel sides are
/// refused. Larger: a wrong node could pass.
const SLACK: f64 = 1e-8;

/// A flaw in words, and where.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Flaw {
    pub words: String,
    pub at: Point2,
}

/// Checks a roof in recentred coordinates.
///
/// - The areas of the faces add up to the outline's, with their walls and without.
/// - Every node of a face lies on the face's plane, or on the wall below its start or above its stop, and not outside its eave.
/// - Creases and outline don't cross, so that every face is simple.
/// - Every side that starts to move at once has a face with the side itself as its eave; where all sides rise alike each
///   face is one piece and monotone along its eave, so that its water reaches the eave or the valleys beside it.
pub(super) fn check(prepared: &Prepared, skeleton: &Skeleton) -> Result<(), Flaw> {
    check_areas(prepared, skeleton)?;
    check_planes(prepared, skeleton)?;
    check_crossings(prepared, skeleton)?;
    check_eaves(prepared, skeleton)
}

fn flaw<T>(words: String, at: Point2) -> Result<T, Flaw> {
    Err(Flaw { words, at })
}

/// Twice the area is summed from the ring's first node, which keeps the digits of small faces.
fn area(ring: &[usize], nodes: &[Point3]) -> f64 {
    let origin = nodes[ring[0]].plan();
    (1..ring.len().saturating_sub(1))
        .map(|i| 0.5 * (nodes[ring[i]].plan() - origin).cross(nodes[ring[i + 1]].plan() - origin))
        .sum()
}

fn check_areas(prepared: &Prepared, skeleton: &Skeleton) -> Result<(), Flaw> {
    let limit = SLACK * prepared.size * prepared.size;
    let (mut sum, lowest) = (0.0, prepared.lowest());
    for face in &skeleton.faces {
        let own: f64 = face.rings.iter().map(|r| area(r, &skeleton.nodes)).sum();
        let rise = prepared.bases[face.side].rise;
        // Without walls the slopes are the face.
        let walls = rise.run <= 0.0 || rise.start > lowest || rise.stop.is_finite();
        let slopes =
            if walls { skeleton.slopes(face.side, rise).iter().map(|r| area(r, &skeleton.nodes)).sum() } else { own };
        if (own - slopes).abs() > limit {
            let words = format!("the slopes of side {} cover {slopes} of its face of {own}", face.side + 1);
            return flaw(words, prepared.segment(face.side)[0]);
        }
        if own < -limit {
            return flaw(format!("the face of side {} is inside out", face.side + 1), prepared.segment(face.side)[0]);
        }
        sum += own;
    }
    let whole = prepared.area();
    if (sum - whole).abs() > limit {
        return flaw(format!("the faces cover {sum} of an outline of {whole}"), prepared.corners[0]);
    }
    Ok(())
}

fn check_planes(prepared: &Prepared, skeleton: &Skeleton) -> Result<(), Flaw> {
    let limit = SLACK * prepared.size;
    for face in &skeleton.faces {
        let rise = prepared.bases[face.side].rise;
        let [a, b] = prepared.segment(face.side);
        let Some(inward) = (b - a).unit().map(crate::geometry::Vector2::left) else {
            return flaw(format!("side {} has no length", face.side + 1), a);
        };
        for &node in face.rings.iter().flatten() {
            let place = skeleton.nodes[node];
            let distance = (place.plan() - a).dot(inward);
            let expected = rise.moved(place.z);
            if (distance - expected).abs() > limit * rise.run.max(1.0) || distance < -limit {
                let words = format!(
                    "a corner of the face of side {} is {distance} from its eave, not {expected}",
                    face.side + 1
                );
                return flaw(words, place.plan());
            }
        }
    }
    Ok(())
}

/// No two creases or sides cross by more than the slack.
fn check_crossings(prepared: &Prepared, skeleton: &Skeleton) -> Result<(), Flaw> {
    let limit = SLACK * prepared.size;
    let mut lines: Vec<[Point2; 2]> =
        skeleton.arcs.iter().map(|arc| arc.nodes.map(|n| skeleton.nodes[n].plan())).collect();
    lines.extend((0..prepared.bases.len()).map(|side| prepared.segment(side)));
    let low = |l: &[Point2; 2]| l[0].x.min(l[1].x);
    lines.sort_by(|a, b| low(a).total_cmp(&low(b)));
    for (position, one) in lines.iter().enumerate() {
        let reach = one[0].x.max(one[1].x);
        let (bottom, top) = (one[0].y.min(one[1].y), one[0].y.max(one[1].y));
        for other in lines[position + 1..].iter().take_while(|l| low(l) <= reach) {
            if other[0].y.min(other[1].y) <= top && other[0].y.max(other[1].y) >= bottom && cross(one, other, limit) {
                return flaw("two creases of the roof cross".into(), other[0]);
            }
        }
    }
    Ok(())
}

/// Whether both segments pass through each other with both ends further than `limit` from the other's line.
fn cross(one: &[Point2; 2], other: &[Point2; 2], limit: f64) -> bool {
    let through = |[a, b]: &[Point2; 2], points: &[Point2; 2]| {
        let along = *b - *a;
        let reach = limit * along.length();
        let [p, q] = points.map(|p| along.cross(p - *a));
        (p > reach && q < -reach) || (p < -reach && q > reach)
    };
    through(one, other) && through(other, one)
}

fn check_eaves(prepared: &Prepared, skeleton: &Skeleton) -> Result<(), Flaw> {
    let slack = SLACK * prepared.size;
    let lowest = prepared.lowest();
    let first = prepared.bases[0].rise;
    let alike = prepared.bases.iter().all(|b| b.rise == first);
    for face in &skeleton.faces {
        let base = prepared.bases[face.side];
        let [a, b] = prepared.segment(face.side);
        let slopes = base.rise.run > 0.0 && base.rise.start <= lowest;
        let own = face.rings.first().is_some_and(|r| base.ends.iter().all(|end| r.contains(end)));
        if slopes && !own {
            return flaw(format!("side {} has lost its face", face.side + 1), a);
        }
        if !alike {
            continue;
        }
        let Some(along) = (b - a).unit() else { continue };
        let [ring] = face.rings.as_slice() else {
            return flaw(format!("the face of side {} is in {} pieces", face.side + 1, face.rings.len()), a);
        };
        let places: Vec<f64> = ring.iter().map(|&n| (skeleton.nodes[n].plan() - a).dot(along)).collect();
        if !is_monotone(&places, slack) {
            return flaw(format!("the face of side {} overhangs itself", face.side + 1), a);
        }
    }
    Ok(())
}

/// Whether numbers around a ring rise from the least to the greatest and fall back again.
fn is_monotone(ring: &[f64], slack: f64) -> bool {
    let best = |better: fn(f64, f64) -> bool| {
        (1..ring.len()).fold(0, |best, i| if better(ring[i], ring[best]) { i } else { best })
    };
    let (least, greatest) = (best(|a, b| a < b), best(|a, b| a > b));
    let falls = |from: usize, to: usize, sign: f64| {
        let mut last = f64::INFINITY;
        let count = (to + ring.len() - from) % ring.len();
        (0..=count).map(|i| sign * ring[(from + i) % ring.len()]).all(|v| {
            let fine = v <= last + slack;
            last = last.min(v);
            fine
        })
    };
    falls(greatest, least, 1.0) && falls(least, greatest, -1.0)
}

//! An outline made ready: recentred, snapped to a grid for its own checks, turned the right way and refused
//! in words where no roof follows from it.

use super::double::Double;
use super::lines::Spot;
use super::model::{Outline, Rise};
use crate::error::{Error, Result};
use crate::finding::Place;
use crate::geometry::{Point2, Side, side_of_line};

/// Neighbouring sides whose directions differ by a smaller sine run on one line, and must then rise alike. Smaller: a
/// crease between two pitches on nearly one line runs off along the eave. Larger: slight real corners are refused.
const ONE_LINE: f64 = 1e-6;

/// One side: its ends as corner numbers, roof to the left.
#[derive(Debug, Clone, Copy)]
pub(super) struct Base {
    pub ends: [usize; 2],
    pub rise: Rise,
}

/// A checked outline. Corners and sides are numbered as given.
#[derive(Debug, Clone)]
pub(super) struct Prepared {
    /// Corners, recentred and snapped.
    pub corners: Vec<Point2>,
    /// The same before snapping, in twice the digits: a snapped corner turns nearly parallel sides against each other.
    pub exact: Vec<Spot>,
    /// What to add to get the given coordinates back.
    pub origin: Point2,
    pub bases: Vec<Base>,
    /// Sides of each ring in walking order, roof to the left.
    pub rings: Vec<Vec<usize>>,
    /// Diagonal of the box around it.
    pub size: f64,
}

impl Prepared {
    pub(super) fn segment(&self, side: usize) -> [Point2; 2] {
        self.bases[side].ends.map(|corner| self.corners[corner])
    }

    /// Height at which the first side starts.
    pub(super) fn lowest(&self) -> f64 {
        self.bases.iter().map(|b| b.rise).filter(|r| r.run > 0.0).map(|r| r.start).fold(f64::INFINITY, f64::min)
    }

    /// Area between the outer ring and the holes.
    pub(super) fn area(&self) -> f64 {
        (0..self.bases.len()).map(|side| self.segment(side)).map(|[a, b]| 0.5 * (a.x * b.y - b.x * a.y)).sum()
    }
}

fn refused(code: &'static str, message: String, at: Point2, hint: &str) -> Error {
    Error::refused(code, message).at(Place::at(at)).with_hint(hint)
}

/// Checks and prepares an outline.
///
/// # Errors
/// `outline-not-simple` when a ring has fewer than three corners, equal neighbours, or touches or crosses itself or
/// another; or a hole lies outside. `rise-out-of-range` for a negative run, a stop at or below its start, or no number.
/// `collinear-pitches` for neighbours on one line that rise differently. `no-slope` when every side is a gable.
pub(super) fn prepare(outline: &Outline) -> Result<Prepared> {
    let given: Vec<Point2> = outline.rings.iter().flat_map(|r| r.points.iter().copied()).collect();
    let rises: Vec<Rise> = outline.rings.iter().flat_map(|r| r.rises.iter().copied()).collect();
    check_numbers(outline, &given, &rises)?;
    let (corners, origin, size) = snap(&given);
    let (mut bases, mut rings, mut first) = (Vec::new(), Vec::new(), 0);
    for (number, ring) in outline.rings.iter().enumerate() {
        let count = ring.points.len();
        let points = &corners[first..first + count];
        let turned = (signed_area(points) > 0.0) != (number == 0);
        for i in 0..count {
            let (a, b) = (first + i, first + (i + 1) % count);
            bases.push(Base { ends: if turned { [b, a] } else { [a, b] }, rise: rises[first + i] });
        }
        let forward = first..first + count;
        rings.push(if turned { forward.rev().collect() } else { forward.collect() });
        first += count;
    }
    let from = |v: f64, middle: f64| Double::from(v) - Double::from(middle);
    let exact = given.iter().map(|p| [from(p.x, origin.x), from(p.y, origin.y)]).collect();
    let prepared = Prepared { corners, exact, origin, bases, rings, size };
    check_simple(&prepared, &given)?;
    check_neighbours(&prepared, &given)?;
    Ok(prepared)
}

fn check_numbers(outline: &Outline, given: &[Point2], rises: &[Rise]) -> Result<()> {
    for ring in &outline.rings {
        if ring.points.len() < 3 || ring.points.len() != ring.rises.len() {
            let at = ring.points.first().copied().unwrap_or_default();
            let message = format!("a ring of {} corners with {} pitches", ring.points.len(), ring.rises.len());
            return Err(refused(
                "outline-not-simple",
                message,
                at,
                "a ring needs three corners and a pitch for each side",
            ));
        }
    }
    if outline.rings.is_empty() {
        return Err(Error::refused("outline-not-simple", "an outline without a ring"));
    }
    for (point, rise) in given.iter().zip(rises) {
        let usable = |x: f64| x.is_finite() && x.abs() < 1e12;
        let placed = usable(point.x) && usable(point.y);
        let rises = usable(rise.run) && usable(rise.start) && rise.run >= 0.0 && rise.stop > rise.start;
        if !(placed && rises) {
            let message = format!("a side with run {} per rise from height {} to {}", rise.run, rise.start, rise.stop);
            return Err(refused(
                "rise-out-of-range",
                message,
                *point,
                "a run is 0 or more, a side stops above its start, and all other numbers are finite",
            ));
        }
    }
    if rises.iter().all(|r| r.run <= 0.0) {
        return Err(refused(
            "no-slope",
            "every side of the outline is a gable".into(),
            given[0],
            "give at least one side a pitch",
        ));
    }
    Ok(())
}

/// Moves the middle of the points to the origin and rounds them to 2^-50 of their extent.
fn snap(given: &[Point2]) -> (Vec<Point2>, Point2, f64) {
    let range = |of: fn(&Point2) -> f64| {
        given.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let ((x0, x1), (y0, y1)) = (range(|p| p.x), range(|p| p.y));
    let size = ((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0)).sqrt().max(f64::MIN_POSITIVE);
    // The power of two below the size: its exponent bits alone.
    let step = f64::from_bits(size.to_bits() & (0x7ff << 52)) / (1u64 << 50) as f64;
    let round = |v: f64| (v / step).round() * step;
    let origin = Point2::new(round(0.5 * (x0 + x1)), round(0.5 * (y0 + y1)));
    let corners = given.iter().map(|p| Point2::new(round(p.x - origin.x), round(p.y - origin.y))).collect();
    (corners, origin, size)
}

fn signed_area(points: &[Point2]) -> f64 {
    (0..points.len())
        .map(|i| (points[i], points[(i + 1) % points.len()]))
        .map(|(a, b)| 0.5 * (a.x * b.y - b.x * a.y))
        .sum()
}

/// No two sides touch but neighbours in their common corner, and each hole lies in the outer ring and in no other hole.
fn check_simple(prepared: &Prepared, given: &[Point2]) -> Result<()> {
    const HINT: &str = "draw each ring closed once, without touching itself or another";
    for base in &prepared.bases {
        let [a, b] = base.ends.map(|c| prepared.corners[c]);
        if a == b {
            let at = given[base.ends[0]];
            return Err(refused("outline-not-simple", "two corners of the outline in one place".into(), at, HINT));
        }
    }
    let mut order: Vec<usize> = (0..prepared.bases.len()).collect();
    let low = |side: usize| prepared.segment(side).map(|p| p.x).into_iter().fold(f64::INFINITY, f64::min);
    let high = |side: usize| prepared.segment(side).map(|p| p.x).into_iter().fold(f64::NEG_INFINITY, f64::max);
    order.sort_by(|&a, &b| low(a).total_cmp(&low(b)).then(a.cmp(&b)));
    for (position, &one) in order.iter().enumerate() {
        let reach = high(one);
        for &other in order[position + 1..].iter().take_while(|&&o| low(o) <= reach) {
            if touch(prepared, one, other) {
                let at = given[prepared.bases[one].ends[0]];
                return Err(refused("outline-not-simple", "the outline touches or crosses itself".into(), at, HINT));
            }
        }
    }
    for (number, ring) in prepared.rings.iter().enumerate().skip(1) {
        let corner = prepared.bases[ring[0]].ends[0];
        let point = prepared.corners[corner];
        let within = |other: usize| winds_around(prepared, &prepared.rings[other], point);
        if !within(0) || (1..prepared.rings.len()).any(|other| other != number && within(other)) {
            let message = "a hole of the outline lies outside it or in another hole".into();
            return Err(refused("outline-not-simple", message, given[corner], HINT));
        }
    }
    Ok(())
}

/// Whether a point lies within a ring (even-odd, exact).
fn winds_around(prepared: &Prepared, ring: &[usize], point: Point2) -> bool {
    let crossings = ring
        .iter()
        .map(|&side| prepared.segment(side))
        .filter(|[a, b]| (a.y > point.y) != (b.y > point.y))
        .filter(|&[a, b]| (side_of_line(a, b, point) == Side::Left) == (b.y > a.y))
        .count();
    crossings % 2 == 1
}

/// Whether two sides have a point in common that is not the corner they share.
fn touch(prepared: &Prepared, one: usize, other: usize) -> bool {
    let ([a, b], [c, d]) = (prepared.segment(one), prepared.segment(other));
    if a.y.max(b.y) < c.y.min(d.y) || c.y.max(d.y) < a.y.min(b.y) {
        return false;
    }
    let (e, f) = (prepared.bases[one].ends, prepared.bases[other].ends);
    let shared = e.iter().filter(|corner| f.contains(corner)).count();
    if shared > 0 {
        // Neighbours touch elsewhere only when one folds back on the other.
        let ahead = if e[1] == f[0] {
            Some((a, b, d))
        } else if f[1] == e[0] {
            Some((c, d, b))
        } else {
            None
        };
        return shared == 2
            || ahead.is_some_and(|(p, q, r)| {
                let (u, v) = (q - p, r - q);
                side_of_line(p, q, r) == Side::On && u.dot(v) < 0.0
            });
    }
    let sides = [side_of_line(a, b, c), side_of_line(a, b, d), side_of_line(c, d, a), side_of_line(c, d, b)];
    if sides.iter().all(|&s| s == Side::On) {
        let (low, high) = (a.x.min(b.x).max(c.x.min(d.x)), a.x.max(b.x).min(c.x.max(d.x)));
        let (bottom, top) = (a.y.min(b.y).max(c.y.min(d.y)), a.y.max(b.y).min(c.y.max(d.y)));
        return low <= high && bottom <= top;
    }
    sides[0] != sides[1] && sides[2] != sides[3]
}

/// Neighbours on one line rise alike.
fn check_neighbours(prepared: &Prepared, given: &[Point2]) -> Result<()> {
    for ring in &prepared.rings {
        for (position, &side) in ring.iter().enumerate() {
            let next = ring[(position + 1) % ring.len()];
            let (one, other) = (prepared.bases[side], prepared.bases[next]);
            let ([a, b], [c, d]) = (prepared.segment(side), prepared.segment(next));
            let (u, v) = (b - a, d - c);
            let straight = u.cross(v).abs() <= ONE_LINE * u.length() * v.length() && u.dot(v) > 0.0;
            if straight && one.rise != other.rise {
                let message = format!(
                    "two sides on one line rise differently: run {} per rise from height {} to {}, then {} from {} to {}",
                    one.rise.run, one.rise.start, one.rise.stop, other.rise.run, other.rise.start, other.rise.stop
                );
                return Err(refused(
                    "collinear-pitches",
                    message,
                    given[one.ends[1]],
                    "give both sides one pitch and start, or draw the corner or step that parts them",
                ));
            }
        }
    }
    Ok(())
}

//! Ellipses and splines, read and made into straight pieces.

use super::entity::Shape;
use super::flatten::pieces;
use super::record::{Read, Record, Refusal, number};
use crate::geometry::{Point3, Vector3, trig};
use std::f64::consts::TAU;

/// Part of an ellipse: the points `center + major cos t + minor sin t`.
#[derive(Debug)]
pub(super) struct Ellipse {
    center: Point3,
    major: Vector3,
    minor: Vector3,
    start: f64,
    sweep: f64,
}

/// A B-spline, its control points weighted.
#[derive(Debug)]
pub(super) struct Spline {
    degree: usize,
    knots: Vec<f64>,
    /// Control points with their weights.
    controls: Vec<(Point3, f64)>,
    closed: bool,
}

/// Degrees beyond this are refused; drawing programs make 3, at most 11.
const HIGHEST_DEGREE: i64 = 11;
/// Halvings of one knot span; 4096 pieces each.
const MOST_HALVINGS: usize = 12;
/// Straight pieces of one spline.
const MOST_PIECES: usize = 10_000;

/// Reads an ELLIPSE. Its points lie in space, its minor axis is the normal crossed with the major one.
pub(super) fn read_ellipse<'a>(record: &Record<'a>, normal: Option<&Vector3>) -> Read<Shape<'a>> {
    let major = record.point(11)? - Point3::default();
    let ratio = record.real(40)?.ok_or_else(|| Refusal::new("missing-value", "the ratio of its axes is missing"))?;
    if ratio.abs() == 0.0 || major.length() == 0.0 {
        return Err(Refusal::new("bad-radius", "one of its axes has no length"));
    }
    let normal = normal.copied().unwrap_or(Vector3::new(0.0, 0.0, 1.0));
    let (start, end) = (record.real_or(41, 0.0)?, record.real_or(42, TAU)?);
    let minor = normal.cross(major) * ratio;
    Ok(Shape::Ellipse(Box::new(Ellipse::new(record.point(10)?, major, minor, start, end))))
}

/// Reads a SPLINE. One given by fit points only has no shape of its own and is refused.
pub(super) fn read_spline<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    let (mut knots, mut points, mut weights) = (Vec::new(), Vec::<Point3>::new(), Vec::new());
    for group in &record.groups {
        match group.code {
            40 => knots.push(number(group)?),
            41 => weights.push(number(group)?),
            10 => points.push(Point3::new(number(group)?, 0.0, 0.0)),
            20 => points.last_mut().map_or(Ok(()), |point| number(group).map(|y| point.y = y))?,
            30 => points.last_mut().map_or(Ok(()), |point| number(group).map(|z| point.z = z))?,
            _ => {}
        }
    }
    let closed = record.whole_or(70, 0)? & 1 == 1;
    Ok(Shape::Spline(Box::new(Spline::new(record.whole_or(71, 3)?, knots, points, &weights, closed)?)))
}

impl Ellipse {
    /// The part from `start` to `end`, angles on the circle it is the shadow of; a whole turn or none is the whole ellipse.
    pub fn new(center: Point3, major: Vector3, minor: Vector3, start: f64, end: f64) -> Self {
        let turned = (end - start).rem_euclid(TAU);
        let full = (end - start).abs() >= TAU - 1e-9 || turned <= 1e-9;
        let (start, sweep) = if full { (0.0, TAU) } else { (start, turned) };
        Self { center, major, minor, start, sweep }
    }

    /// Straight pieces, and whether they close.
    pub fn flatten(&self, error: f64) -> (Vec<Point3>, bool) {
        // The second derivative is no longer than the longer axis, so a circle of that radius bounds the chord error.
        let count = pieces(self.major.length().max(self.minor.length()), self.sweep, error);
        let full = self.sweep == TAU;
        let last = if full { count - 1 } else { count };
        let at = |i: usize| {
            let t = self.start + self.sweep * i as f64 / count as f64;
            self.center + self.major * trig::cos(t) + self.minor * trig::sin(t)
        };
        ((0..=last).map(at).collect(), full)
    }
}

impl Spline {
    /// A spline of knots and control points, each with a weight if any has.
    pub fn new(degree: i64, knots: Vec<f64>, points: Vec<Point3>, weights: &[f64], closed: bool) -> Read<Self> {
        let wrong = |words: String| Err(Refusal::new("bad-spline", words));
        if !(1..=HIGHEST_DEGREE).contains(&degree) {
            return wrong(format!("its degree is {degree}"));
        }
        let degree = degree as usize;
        if points.is_empty() {
            return wrong("it has no control points".to_owned());
        }
        let rising = knots.windows(2).all(|pair| pair[0] <= pair[1]);
        if points.len() <= degree || knots.len() != points.len() + degree + 1 || !rising {
            let (points, knots) = (points.len(), knots.len());
            return wrong(format!("degree {degree}, {points} control points and {knots} knots do not fit"));
        }
        if !(weights.is_empty() || weights.len() == points.len() && weights.iter().all(|&weight| weight > 0.0)) {
            return wrong("its weights are not one positive number a control point".to_owned());
        }
        let weight = |place: usize| weights.get(place).copied().unwrap_or(1.0);
        let controls = points.into_iter().enumerate().map(|(place, point)| (point, weight(place))).collect();
        Ok(Self { degree, knots, controls, closed })
    }

    /// Straight pieces, halved until the points at each quarter lie within the error, and whether they close.
    pub fn flatten(&self, error: f64) -> (Vec<Point3>, bool) {
        let mut points = Vec::new();
        for span in self.degree..self.controls.len() {
            let (from, to) = (self.knots[span], self.knots[span + 1]);
            if from < to {
                let start = self.at(span, from);
                if points.is_empty() {
                    points.push(start);
                }
                // Halving once before the first test keeps an S shape, whose middle lies on its chord, from passing as straight.
                let middle = f64::midpoint(from, to);
                self.halve(span, (from, start), (middle, self.at(span, middle)), error, 1, &mut points);
                self.halve(span, (middle, self.at(span, middle)), (to, self.at(span, to)), error, 1, &mut points);
            }
        }
        (points, self.closed)
    }

    fn halve(
        &self,
        span: usize,
        a: (f64, Point3),
        b: (f64, Point3),
        error: f64,
        depth: usize,
        points: &mut Vec<Point3>,
    ) {
        let at = |t: f64| self.at(span, a.0 + (b.0 - a.0) * t);
        let off = |t: f64| at(t).distance(a.1 + (b.1 - a.1) * t);
        if depth >= MOST_HALVINGS || points.len() >= MOST_PIECES || off(0.25).max(off(0.5)).max(off(0.75)) <= error {
            points.push(b.1);
            return;
        }
        let middle = (f64::midpoint(a.0, b.0), at(0.5));
        self.halve(span, a, middle, error, depth + 1, points);
        self.halve(span, middle, b, error, depth + 1, points);
    }

    /// The point at a parameter within a knot span, by de Boor's scheme on weighted points.
    fn at(&self, span: usize, t: f64) -> Point3 {
        let p = self.degree;
        let mut row: Vec<[f64; 4]> = (span - p..=span)
            .map(|i| {
                let (point, weight) = self.controls[i];
                [point.x * weight, point.y * weight, point.z * weight, weight]
            })
            .collect();
        for level in 1..=p {
            for j in (level..=p).rev() {
                let (low, high) = (self.knots[span - p + j], self.knots[span + 1 + j - level]);
                let share = if high > low { (t - low) / (high - low) } else { 0.0 };
                let before = row[j - 1];
                for (value, earlier) in row[j].iter_mut().zip(before) {
                    *value = earlier * (1.0 - share) + *value * share;
                }
            }
        }
        let [x, y, z, weight] = row[p];
        Point3::new(x / weight, y / weight, z / weight)
    }
}

#[cfg(test)]
mod tests {
    use super::super::group::Decimals;
    use super::super::record::Records;
    use super::*;

    fn shape(text: &str) -> Read<Shape<'_>> {
        let mut records = Records::new(text.as_bytes(), Decimals::Points);
        let mut record = Record::empty();
        records.read(&mut record).unwrap();
        Shape::read(&record, None)
    }

    /// Half of x^2/4 + y^2 = 1, counter-clockwise from (2, 0) over (0, 1) to (-2, 0).
    #[test]
    fn half_an_ellipse() {
        let text = "0\nELLIPSE\n10\n0\n20\n0\n11\n2\n21\n0\n40\n0.5\n41\n0\n42\n3.141592653589793\n0\nEOF\n";
        let Shape::Ellipse(ellipse) = shape(text).unwrap() else { panic!("no ellipse") };
        let (points, closed) = ellipse.flatten(1e-3);
        assert!(!closed && points.iter().all(|p| (p.x * p.x / 4.0 + p.y * p.y - 1.0).abs() < 1e-12 && p.y > -1e-12));
        assert!(points[points.len() / 2].y > 0.99 && (points[points.len() - 1].x + 2.0).abs() < 1e-12);
    }

    /// A quadratic rational spline with the middle weight sqrt(1/2) is a quarter of the unit circle.
    #[test]
    fn a_weighted_spline_is_a_circle() {
        let text = "0\nSPLINE\n70\n4\n71\n2\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n41\n1\n41\n0.7071067811865476\n41\n1\n10\n1\n20\n0\n10\n1\n20\n1\n10\n0\n20\n1\n0\nEOF\n";
        let Shape::Spline(spline) = shape(text).unwrap() else { panic!("no spline") };
        let (points, closed) = spline.flatten(1e-4);
        assert!(!closed && points.len() > 8);
        assert!(points.iter().all(|p| (p.x * p.x + p.y * p.y - 1.0).abs() < 1e-12), "{points:?}");
        assert!(points[points.len() - 1].distance(Point3::new(0.0, 1.0, 0.0)) < 1e-12);
        for pair in points.windows(2) {
            let middle = pair[0] + (pair[1] - pair[0]) * 0.5;
            assert!(1.0 - middle.plan().to_vector().length() < 1.2e-4);
        }
    }

    #[test]
    fn splines_that_cannot_be_are_refused() {
        for text in [
            "0\nSPLINE\n71\n3\n11\n0\n21\n0\n11\n1\n21\n1\n0\nEOF\n",
            "0\nSPLINE\n71\n3\n72\n2000000000\n40\n0\n10\n0\n20\n0\n0\nEOF\n",
            "0\nSPLINE\n71\n99\n10\n0\n20\n0\n0\nEOF\n",
        ] {
            assert_eq!(shape(text).unwrap_err().code, "bad-spline");
        }
    }
}

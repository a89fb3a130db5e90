//! Rings and regions of a plane.

use super::{Box2, Point2, Segment2};
use schemars::JsonSchema;
use serde::Serialize;

/// A closed ring, the first point not repeated. Exterior rings run counter-clockwise, holes clockwise.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
#[serde(transparent)]
pub struct Ring {
    /// The corners in order.
    pub points: Vec<Point2>,
}

impl Ring {
    /// A ring through `points` as they come.
    #[must_use]
    pub fn new(points: Vec<Point2>) -> Self {
        Self { points }
    }

    /// Area in square inches, positive when counter-clockwise. Relative to the first point, so far origins lose no digits.
    #[must_use]
    pub fn signed_area(&self) -> f64 {
        let Some(&first) = self.points.first() else { return 0.0 };
        0.5 * self.points.windows(2).map(|w| (w[0] - first).cross(w[1] - first)).sum::<f64>()
    }

    /// The sides in order, the closing one last.
    pub fn sides(&self) -> impl Iterator<Item = Segment2> + '_ {
        let count = self.points.len();
        (0..count).map(move |i| Segment2::new(self.points[i], self.points[(i + 1) % count]))
    }

    /// Whether `point` lies inside (even-odd); points on the ring may fall either way.
    #[must_use]
    pub fn contains(&self, point: Point2) -> bool {
        let mut inside = false;
        for side in self.sides() {
            if (side.a.y > point.y) != (side.b.y > point.y) {
                let x = side.a.x + (point.y - side.a.y) / (side.b.y - side.a.y) * (side.b.x - side.a.x);
                inside ^= point.x < x;
            }
        }
        inside
    }

    /// Distance from `point` to the nearest side.
    #[must_use]
    pub fn distance_to(&self, point: Point2) -> f64 {
        self.sides().map(|side| side.distance_to(point)).fold(f64::INFINITY, f64::min)
    }

    /// Total length of the sides.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        self.sides().map(Segment2::length).sum()
    }

    /// The smallest upright box around it, or `None` for an empty ring.
    #[must_use]
    pub fn bounds(&self) -> Option<Box2> {
        Box2::around(self.points.iter().copied())
    }

    /// The same ring running counter-clockwise.
    #[must_use]
    pub fn counter_clockwise(mut self) -> Self {
        if self.signed_area() < 0.0 {
            self.points.reverse();
        }
        self
    }
}

/// One exterior ring with its holes.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct Region {
    /// Counter-clockwise.
    pub exterior: Ring,
    /// Clockwise each.
    pub holes: Vec<Ring>,
}

impl Region {
    /// A region without holes, turned counter-clockwise.
    #[must_use]
    pub fn simple(points: Vec<Point2>) -> Self {
        Self { exterior: Ring::new(points).counter_clockwise(), holes: Vec::new() }
    }

    /// Area in square inches.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.exterior.signed_area().abs() - self.holes.iter().map(|hole| hole.signed_area().abs()).sum::<f64>()
    }

    /// Whether `point` lies inside the exterior and in no hole.
    #[must_use]
    pub fn contains(&self, point: Point2) -> bool {
        self.exterior.contains(point) && !self.holes.iter().any(|hole| hole.contains(point))
    }

    /// All rings, the exterior first.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.exterior).chain(&self.holes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_far_square_keeps_its_area() {
        let far = 1e7;
        let square = Region::simple(vec![
            Point2::new(far, far),
            Point2::new(far, far + 12.0),
            Point2::new(far + 12.0, far + 12.0),
            Point2::new(far + 12.0, far),
        ]);
        assert!((square.area() - 144.0).abs() < 1e-9);
        assert!(square.exterior.signed_area() > 0.0);
        assert!(square.contains(Point2::new(far + 6.0, far + 1.0)) && !square.contains(Point2::new(far - 1.0, far)));
    }
}

//! Which side of a line a point lies on, decided exactly (`robust`, adaptive floating-point predicates).

use super::Point2;

/// Where a point lies as seen walking along a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Exactly on the line.
    On,
}

/// The side of the line from `a` to `b` on which `point` lies, exact for the given coordinates.
#[must_use]
pub fn side_of_line(a: Point2, b: Point2, point: Point2) -> Side {
    let coordinate = |p: Point2| robust::Coord { x: p.x, y: p.y };
    let turn = robust::orient2d(coordinate(a), coordinate(b), coordinate(point));
    if turn > 0.0 {
        Side::Left
    } else if turn < 0.0 {
        Side::Right
    } else {
        Side::On
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hair_left_is_left() {
        let (a, b) = (Point2::new(0.0, 0.0), Point2::new(1.0, 1.0));
        assert_eq!(side_of_line(a, b, Point2::new(0.5, 0.5)), Side::On);
        assert_eq!(side_of_line(a, b, Point2::new(0.5, 0.5 + f64::EPSILON)), Side::Left);
    }
}

//! A face's developed frame: the sloping surface laid flat at true length.

use super::{Plane, Point2, Point3, Vector2};
use schemars::JsonSchema;
use serde::Serialize;

/// True-length coordinates on one roof face, in inches.
///
/// `u` runs level along the contour and `v` straight up the slope, so that a person standing below the eave and facing up the slope
/// sees `u` grow to the right. `v` is 0 on the level line through the frame's origin (the face's lowest eave).
/// A flat face has no uphill direction and no frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct FaceFrame {
    /// The plan point at `u = v = 0`.
    pub origin: Point2,
    /// Plan direction of growing `u`, length 1.
    pub along: Vector2,
    /// Plan direction of growing `v`, length 1.
    pub uphill: Vector2,
    /// The face's plane.
    pub plane: Plane,
    /// Slope length per plan length straight up the slope: `sqrt(1 + pitch^2)`.
    pub slope_factor: f64,
}

impl FaceFrame {
    /// The frame of a plane with its origin over `origin`; `None` for a level plane.
    #[must_use]
    pub fn new(plane: Plane, origin: Point2) -> Option<Self> {
        let uphill = plane.uphill_gradient().unit()?;
        // Facing uphill, the right hand points a quarter turn clockwise from uphill.
        let along = -uphill.left();
        Some(Self { origin, along, uphill, plane, slope_factor: plane.slope_factor() })
    }

    /// Plan point to `(u, v)`.
    #[must_use]
    pub fn to_face(&self, plan: Point2) -> Point2 {
        let from = plan - self.origin;
        Point2::new(from.dot(self.along), from.dot(self.uphill) * self.slope_factor)
    }

    /// `(u, v)` to the plan point.
    #[must_use]
    pub fn to_plan(&self, face: Point2) -> Point2 {
        self.origin + self.along * face.x + self.uphill * (face.y / self.slope_factor)
    }

    /// `(u, v)` to the point of the surface in space.
    #[must_use]
    pub fn to_space(&self, face: Point2) -> Point3 {
        self.plane.lift(self.to_plan(face))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_at_true_length() {
        let plane = Plane { a: 0.0, b: 0.5, c: 3.0 };
        let frame = FaceFrame::new(plane, Point2::new(7.0, 2.0)).unwrap();
        // Facing up the page, u grows to the right; 12 in of run at 6:12 is 13.416 in of slope (framing square).
        let uv = frame.to_face(Point2::new(17.0, 14.0));
        assert!((uv.x - 10.0).abs() < 1e-12 && (uv.y - 13.416_407_864_998_739).abs() < 1e-9);
        let back = frame.to_plan(uv);
        assert!(back.distance(Point2::new(17.0, 14.0)) < 1e-12);
    }
}

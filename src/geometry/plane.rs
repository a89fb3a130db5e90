//! Planes as heights over the plan.

use super::{Point2, Point3, Vector2};
use schemars::JsonSchema;
use serde::Serialize;

/// A roof plane as height over the plan: `z = a x + b y + c`, `a` and `b` in rise per run, `c` in inches.
/// A wall has no such plane and is never one of these.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, JsonSchema)]
pub struct Plane {
    /// Rise per run along x.
    pub a: f64,
    /// Rise per run along y.
    pub b: f64,
    /// Height at the origin, inches.
    pub c: f64,
}

impl Plane {
    /// Height over a point of the plan.
    #[must_use]
    pub fn height(self, at: Point2) -> f64 {
        self.a * at.x + self.b * at.y + self.c
    }

    /// The point of the surface over `at`.
    #[must_use]
    pub fn lift(self, at: Point2) -> Point3 {
        at.at_height(self.height(at))
    }

    /// Pitch as rise per run: 0.5 is 6:12.
    #[must_use]
    pub fn pitch(self) -> f64 {
        self.uphill_gradient().length()
    }

    /// The plan vector that points straight up the slope, as long as the pitch.
    #[must_use]
    pub fn uphill_gradient(self) -> Vector2 {
        Vector2::new(self.a, self.b)
    }

    /// Length on the slope per length of run: `sqrt(1 + pitch^2)`.
    #[must_use]
    pub fn slope_factor(self) -> f64 {
        (1.0 + self.a * self.a + self.b * self.b).sqrt()
    }
}

/// The plane nearest to `points` in height, by least squares about their centroid, with the largest vertical miss.
/// `None` for points that lie on one line of the plan (a wall, or too few).
#[must_use]
pub fn fit_plane(points: &[Point3]) -> Option<(Plane, f64)> {
    if points.len() < 3 {
        return None;
    }
    let count = points.len() as f64;
    let (mut mx, mut my, mut mz) = (0.0, 0.0, 0.0);
    for p in points {
        mx += p.x / count;
        my += p.y / count;
        mz += p.z / count;
    }
    let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for p in points {
        let (x, y, z) = (p.x - mx, p.y - my, p.z - mz);
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * z;
        yz += y * z;
    }
    let determinant = xx * yy - xy * xy;
    // Relative to the spread: a sliver thinner than one part in a million of its length has no reliable plane.
    if determinant <= 1e-12 * (xx + yy) * (xx + yy) {
        return None;
    }
    let a = (xz * yy - yz * xy) / determinant;
    let b = (yz * xx - xz * xy) / determinant;
    let plane = Plane { a, b, c: mz - a * mx - b * my };
    let worst = points.iter().map(|p| (plane.height(p.plan()) - p.z).abs()).fold(0.0, f64::max);
    Some((plane, worst))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_points_give_their_plane() {
        let (plane, miss) =
            fit_plane(&[Point3::new(0.0, 0.0, 10.0), Point3::new(12.0, 0.0, 10.0), Point3::new(0.0, 12.0, 16.0)])
                .unwrap();
        assert!((plane.pitch() - 0.5).abs() < 1e-12 && miss < 1e-12);
        assert!((plane.height(Point2::new(5.0, 24.0)) - 22.0).abs() < 1e-9);
    }

    #[test]
    fn a_wall_has_no_plane() {
        assert!(
            fit_plane(&[Point3::new(0.0, 0.0, 0.0), Point3::new(5.0, 5.0, 0.0), Point3::new(5.0, 5.0, 9.0)]).is_none()
        );
    }
}

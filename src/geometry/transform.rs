//! 4x4 matrices for nested, sheared and mirrored block references.

use super::{Point3, Vector3};

/// An affine map of space, row-major, acting on column vectors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Matrix4 {
    rows: [[f64; 4]; 3],
}

impl Matrix4 {
    /// Leaves every point where it is.
    pub const IDENTITY: Self = Self { rows: [[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0]] };

    /// The map that takes the axes to `x`, `y`, `z` and the origin to `origin`.
    #[must_use]
    pub fn from_axes(x: Vector3, y: Vector3, z: Vector3, origin: Point3) -> Self {
        Self { rows: [[x.x, y.x, z.x, origin.x], [x.y, y.y, z.y, origin.y], [x.z, y.z, z.z, origin.z]] }
    }

    /// A shift.
    #[must_use]
    pub fn translation(by: Vector3) -> Self {
        Self { rows: [[1.0, 0.0, 0.0, by.x], [0.0, 1.0, 0.0, by.y], [0.0, 0.0, 1.0, by.z]] }
    }

    /// A stretch along the axes.
    #[must_use]
    pub fn scaling(x: f64, y: f64, z: f64) -> Self {
        Self { rows: [[x, 0.0, 0.0, 0.0], [0.0, y, 0.0, 0.0], [0.0, 0.0, z, 0.0]] }
    }

    /// A turn about z by `angle` radians, counter-clockwise.
    #[must_use]
    pub fn rotation(angle: f64) -> Self {
        let (s, c) = (super::trig::sin(angle), super::trig::cos(angle));
        Self { rows: [[c, -s, 0.0, 0.0], [s, c, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0]] }
    }

    /// First `inner`, then this map.
    #[must_use]
    pub fn after(&self, inner: &Self) -> Self {
        let mut rows = [[0.0; 4]; 3];
        for (row, out) in self.rows.iter().zip(&mut rows) {
            for (column, cell) in out.iter_mut().enumerate() {
                *cell =
                    row[0] * inner.rows[0][column] + row[1] * inner.rows[1][column] + row[2] * inner.rows[2][column];
            }
            out[3] += row[3];
        }
        Self { rows }
    }

    /// The image of a point.
    #[must_use]
    pub fn point(&self, p: Point3) -> Point3 {
        let along = |r: &[f64; 4]| r[0] * p.x + r[1] * p.y + r[2] * p.z + r[3];
        Point3::new(along(&self.rows[0]), along(&self.rows[1]), along(&self.rows[2]))
    }

    /// The image of a displacement: the shift does not act on it.
    #[must_use]
    pub fn vector(&self, v: Vector3) -> Vector3 {
        let along = |r: &[f64; 4]| r[0] * v.x + r[1] * v.y + r[2] * v.z;
        Vector3::new(along(&self.rows[0]), along(&self.rows[1]), along(&self.rows[2]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inner_map_acts_first() {
        let turn = Matrix4::rotation(std::f64::consts::FRAC_PI_2);
        let shift = Matrix4::translation(Vector3::new(10.0, 0.0, 0.0));
        let moved = turn.after(&shift).point(Point3::new(1.0, 0.0, 2.0));
        assert!((moved.x).abs() < 1e-12 && (moved.y - 11.0).abs() < 1e-12 && moved.z == 2.0);
    }
}

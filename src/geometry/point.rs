//! Points, vectors, segments and boxes in plan and space, in inches.

use schemars::JsonSchema;
use serde::{Serialize, Serializer};
use std::ops::{Add, Mul, Neg, Sub};

/// A point of the plan, in inches, y up.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd)]
pub struct Point2 {
    /// To the right.
    pub x: f64,
    /// Up the page.
    pub y: f64,
}

/// A direction or displacement in the plan, in inches.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Vector2 {
    /// To the right.
    pub x: f64,
    /// Up the page.
    pub y: f64,
}

/// A point in space, in inches, z up.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd)]
pub struct Point3 {
    /// To the right.
    pub x: f64,
    /// Up the page.
    pub y: f64,
    /// Height.
    pub z: f64,
}

/// A direction or displacement in space, in inches.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Vector3 {
    /// To the right.
    pub x: f64,
    /// Up the page.
    pub y: f64,
    /// Height.
    pub z: f64,
}

impl Point2 {
    /// The point at `x`, `y`.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The vector from the origin to this point.
    #[must_use]
    pub fn to_vector(self) -> Vector2 {
        Vector2::new(self.x, self.y)
    }

    /// Straight distance.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }

    /// The point `t` of the way to `other`: 0 here, 1 there.
    #[must_use]
    pub fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }

    /// This point at height `z`.
    #[must_use]
    pub fn at_height(self, z: f64) -> Point3 {
        Point3::new(self.x, self.y, z)
    }
}

impl Vector2 {
    /// The vector `x`, `y`.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Length. `sqrt` is exact on every machine where `hypot` is not.
    #[must_use]
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// The z of the cross product: positive when `other` lies to the left of `self`.
    #[must_use]
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// The vector of length 1, or `None` for a zero vector.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length > 0.0 && length.is_finite()).then(|| Self::new(self.x / length, self.y / length))
    }

    /// Turned a quarter to the left.
    #[must_use]
    pub fn left(self) -> Self {
        Self::new(-self.y, self.x)
    }
}

impl Point3 {
    /// The point at `x`, `y`, `z`.
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Horizontal projection.
    #[must_use]
    pub fn plan(self) -> Point2 {
        Point2::new(self.x, self.y)
    }

    /// Straight distance.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }
}

impl Vector3 {
    /// The vector `x`, `y`, `z`.
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Length.
    #[must_use]
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// Vector product, right-handed.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        Self::new(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// The vector of length 1, or `None` for a zero vector.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length > 0.0 && length.is_finite()).then(|| self * (1.0 / length))
    }
}

macro_rules! vector_arithmetic {
    ($point:ident, $vector:ident, $($axis:ident),+) => {
        impl Sub for $point {
            type Output = $vector;
            fn sub(self, other: Self) -> $vector {
                $vector { $($axis: self.$axis - other.$axis),+ }
            }
        }
        impl Add<$vector> for $point {
            type Output = Self;
            fn add(self, by: $vector) -> Self {
                Self { $($axis: self.$axis + by.$axis),+ }
            }
        }
        impl Sub<$vector> for $point {
            type Output = Self;
            fn sub(self, by: $vector) -> Self {
                Self { $($axis: self.$axis - by.$axis),+ }
            }
        }
        impl Add for $vector {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self { $($axis: self.$axis + other.$axis),+ }
            }
        }
        impl Sub for $vector {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self { $($axis: self.$axis - other.$axis),+ }
            }
        }
        impl Mul<f64> for $vector {
            type Output = Self;
            fn mul(self, by: f64) -> Self {
                Self { $($axis: self.$axis * by),+ }
            }
        }
        impl Neg for $vector {
            type Output = Self;
            fn neg(self) -> Self {
                Self { $($axis: -self.$axis),+ }
            }
        }
        impl Serialize for $point {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                [$(self.$axis),+].serialize(serializer)
            }
        }
        impl Serialize for $vector {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                [$(self.$axis),+].serialize(serializer)
            }
        }
        impl JsonSchema for $point {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($point).into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                let count = [$(stringify!($axis)),+].len();
                schemars::json_schema!({
                    "type": "array", "items": { "type": "number" }, "minItems": count, "maxItems": count
                })
            }
        }
        impl JsonSchema for $vector {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($vector).into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                let count = [$(stringify!($axis)),+].len();
                schemars::json_schema!({
                    "type": "array", "items": { "type": "number" }, "minItems": count, "maxItems": count
                })
            }
        }
    };
}
vector_arithmetic!(Point2, Vector2, x, y);
vector_arithmetic!(Point3, Vector3, x, y, z);

/// A straight piece of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Segment2 {
    /// Where it starts.
    pub a: Point2,
    /// Where it ends.
    pub b: Point2,
}

impl Segment2 {
    /// The segment from `a` to `b`.
    #[must_use]
    pub const fn new(a: Point2, b: Point2) -> Self {
        Self { a, b }
    }

    /// Length in plan.
    #[must_use]
    pub fn length(self) -> f64 {
        self.a.distance(self.b)
    }

    /// Parameter of the nearest point, clamped to 0..=1. A zero-length segment gives 0.
    #[must_use]
    pub fn nearest_parameter(self, point: Point2) -> f64 {
        let along = self.b - self.a;
        let square = along.dot(along);
        if square == 0.0 { 0.0 } else { ((point - self.a).dot(along) / square).clamp(0.0, 1.0) }
    }

    /// The nearest point on the segment.
    #[must_use]
    pub fn nearest_point(self, point: Point2) -> Point2 {
        self.a.lerp(self.b, self.nearest_parameter(point))
    }

    /// Distance from `point` to the segment.
    #[must_use]
    pub fn distance_to(self, point: Point2) -> f64 {
        self.nearest_point(point).distance(point)
    }

    /// The point halfway.
    #[must_use]
    pub fn midpoint(self) -> Point2 {
        self.a.lerp(self.b, 0.5)
    }

    /// Parameters `(on self, on other)` where the two lines meet; `None` when parallel to within rounding.
    #[must_use]
    pub fn line_meeting(self, other: Self) -> Option<(f64, f64)> {
        let d = self.b - self.a;
        let e = other.b - other.a;
        let cross = d.cross(e);
        if cross.abs() <= 1e-12 * d.length() * e.length() {
            return None;
        }
        let between = other.a - self.a;
        Some((between.cross(e) / cross, between.cross(d) / cross))
    }
}

/// An upright rectangle of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Box2 {
    /// Lower left corner.
    pub min: Point2,
    /// Upper right corner.
    pub max: Point2,
}

impl Box2 {
    /// The smallest box holding all `points`, or `None` for none.
    #[must_use]
    pub fn around(points: impl IntoIterator<Item = Point2>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        Some(points.fold(Self { min: first, max: first }, |around, p| Self {
            min: Point2::new(around.min.x.min(p.x), around.min.y.min(p.y)),
            max: Point2::new(around.max.x.max(p.x), around.max.y.max(p.y)),
        }))
    }

    /// Width along x.
    #[must_use]
    pub fn width(self) -> f64 {
        self.max.x - self.min.x
    }

    /// Height along y.
    #[must_use]
    pub fn height(self) -> f64 {
        self.max.y - self.min.y
    }

    /// The middle.
    #[must_use]
    pub fn center(self) -> Point2 {
        self.min.lerp(self.max, 0.5)
    }

    /// Grown by `by` on every side.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Self { min: Point2::new(self.min.x - by, self.min.y - by), max: Point2::new(self.max.x + by, self.max.y + by) }
    }

    /// Whether `point` lies in or on the box.
    #[must_use]
    pub fn contains(self, point: Point2) -> bool {
        (self.min.x..=self.max.x).contains(&point.x) && (self.min.y..=self.max.y).contains(&point.y)
    }

    /// Whether the boxes touch or overlap.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.min.x <= other.max.x && other.min.x <= self.max.x && self.min.y <= other.max.y && other.min.y <= self.max.y
    }
}

//! Points, rings, planes and frames: the plain geometry every stage shares.
//!
//! Conventions: lengths in inches, y up, exterior rings counter-clockwise and holes clockwise, rings stored without
//! repeating the first point, directions as vectors and never as angles. `plan_*` is horizontal projection, `slope_*` lies
//! on the surface.

mod boolean;
mod frame;
mod interval;
mod offset;
mod plane;
mod point;
mod predicates;
mod region;
mod spatial;
mod transform;
pub mod trig;

pub use boolean::{difference, intersection, union};
pub use frame::FaceFrame;
pub use interval::{Interval, IntervalSet};
pub use offset::{inset, outset};
pub use plane::{Plane, fit_plane};
pub use point::{Box2, Point2, Point3, Segment2, Vector2, Vector3};
pub use predicates::{Side, side_of_line};
pub use region::{Region, Ring};
pub use spatial::SegmentIndex;
pub use transform::Matrix4;

//! Laid-out fixture roofs for this stage's tests.

use crate::courses::{Courses, courses};
use crate::geometry::Point3;
use crate::import::SourceFrame;
use crate::job::Job;
use crate::roof::Roof;
use crate::roof::fixtures;
use crate::units::DrawingUnit;
use crate::zones::{Zones, zones};

/// What the stage takes.
pub(in crate::wiring) struct Sample {
    pub roof: Roof,
    pub zones: Zones,
    pub courses: Courses,
    pub frame: SourceFrame,
}

pub(in crate::wiring) fn gable(length: f64, width: f64, job: &Job) -> Sample {
    lay(fixtures::gable(length, width, 0.5), job)
}

pub(in crate::wiring) fn hipped_l(job: &Job) -> Sample {
    lay(fixtures::hipped_l(), job)
}

pub(in crate::wiring) fn lay(roof: Roof, job: &Job) -> Sample {
    let frame = SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
    let zones = zones(&roof, &frame, job).unwrap().value;
    let courses = courses(&roof, &zones, job).unwrap().value;
    Sample { roof, zones, courses, frame }
}

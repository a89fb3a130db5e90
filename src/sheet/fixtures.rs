//! Whole layouts on the roof fixtures for the tests of drawing, made by the real stages.

use super::Drawn;
use crate::catalog::Catalogue;
use crate::checks::{Checks, checks};
use crate::courses::{Courses, courses};
use crate::finding::Finding;
use crate::geometry::Point3;
use crate::import::SourceFrame;
use crate::job::{Job, SheetSize};
use crate::roof::Roof;
use crate::takeoff::{Takeoff, takeoff};
use crate::units::DrawingUnit;
use crate::wiring::{Wiring, wiring};
use crate::zones::{Zones, zones};

/// Owns everything a [`Drawn`] refers to.
pub(super) struct Layout {
    pub job: Job,
    pub roof: Roof,
    pub zones: Zones,
    pub courses: Courses,
    pub wiring: Wiring,
    pub checks: Checks,
    pub takeoff: Takeoff,
    pub season: Option<crate::thermal::Seasons>,
    pub measured: Option<crate::field::Measured>,
    pub record: Option<crate::field::Record>,
    pub findings: Vec<Finding>,
}

impl Layout {
    pub(super) fn drawn(&self) -> Drawn<'_> {
        Drawn {
            job: &self.job,
            roof: &self.roof,
            zones: &self.zones,
            courses: &self.courses,
            wiring: &self.wiring,
            checks: &self.checks,
            takeoff: &self.takeoff,
            season: self.season.as_ref(),
            measured: self.measured.as_ref(),
            record: self.record.as_ref(),
            laid: &self.courses.segments,
            findings: &self.findings,
        }
    }
}

/// A layout on a roof, for a sheet size.
pub(super) fn layout(roof: Roof, size: SheetSize) -> Layout {
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.sheet.size = size;
    job.project.title = "House at the bend (invented)".into();
    job.project.site = "12 Example Lane".into();
    layout_of(roof, job)
}

/// A layout on a roof for a job.
pub(super) fn layout_of(roof: Roof, job: Job) -> Layout {
    let frame = SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
    let zones = zones(&roof, &frame, &job).unwrap();
    let courses = courses(&roof, &zones.value, &job).unwrap();
    let wiring = wiring(&roof, &zones.value, &courses.value, &frame, &job).unwrap();
    let checks = checks(&zones.value, &courses.value, &wiring.value, &job);
    let takeoff = takeoff(&courses.value, &wiring.value, &checks.value, &job);
    let findings = [zones.findings, courses.findings, wiring.findings, checks.findings].concat();
    Layout {
        job,
        roof,
        zones: zones.value,
        courses: courses.value,
        wiring: wiring.value,
        checks: checks.value,
        takeoff,
        season: None,
        measured: None,
        record: None,
        findings,
    }
}

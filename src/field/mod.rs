//! Forms for the site, and what comes back on them: the roof as measured before anything is cut, and the tests as it is built.
//!
//! A **hold point** is a place in the work where it stops until somebody has tested and signed: H1 cut and terminated, H2 laid and not
//! yet covered, H3 each covering course, H4 leads in the box.

mod as_built;
mod form;
mod judge;
mod measured;
mod model;
mod record;
mod table;

pub use as_built::as_built;
pub use form::{Drawn, FormRow, What, form};
pub use judge::judge;
pub use measured::{Answer, answers, compare, settle};
pub use model::*;
pub use record::{RecordRow, record_form};

use crate::checks::Checks;
use crate::courses::Courses;
use crate::import::SourceFrame;
use crate::job::Job;
use crate::roof::Roof;
use crate::takeoff::Takeoff;
use crate::wiring::Wiring;
use crate::zones::Zones;

/// A finished layout as the forms need it.
#[derive(Debug, Clone, Copy)]
pub struct Site<'a> {
    /// The job.
    pub job: &'a Job,
    /// From drawing to working coordinates.
    pub frame: &'a SourceFrame,
    /// The roof.
    pub roof: &'a Roof,
    /// Where heat goes.
    pub zones: &'a Zones,
    /// Elements.
    pub courses: &'a Courses,
    /// Leads, boxes, circuits.
    pub wiring: &'a Wiring,
    /// Readings to expect.
    pub checks: &'a Checks,
    /// Rolls.
    pub takeoff: &'a Takeoff,
}

//! [`Zones`] become [`Courses`].

mod model;

pub use model::*;

use crate::error::Result;
use crate::finding::Outcome;
use crate::job::Job;
use crate::roof::Roof;
use crate::zones::Zones;

/// Lays elements in courses.
///
/// # Errors
/// `nail-band` when no rise keeps the elements clear of the nails.
pub fn courses(_roof: &Roof, _zones: &Zones, _job: &Job) -> Result<Outcome<Courses>> {
    todo!()
}

//! [`Courses`] become [`Wiring`].

#[cfg(test)]
pub(crate) mod hand_made;
mod model;

pub use model::*;

use crate::courses::Courses;
use crate::error::Result;
use crate::finding::Outcome;
use crate::import::SourceFrame;
use crate::job::Job;
use crate::roof::Roof;
use crate::zones::Zones;

/// Feeds every segment.
///
/// # Errors
/// When a box of the job lies nowhere near the roof.
pub fn wiring(
    _roof: &Roof,
    _zones: &Zones,
    _courses: &Courses,
    _frame: &SourceFrame,
    _job: &Job,
) -> Result<Outcome<Wiring>> {
    todo!()
}

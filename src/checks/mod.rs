//! The layout is judged: [`Checks`].

mod model;

pub use model::*;

use crate::courses::Courses;
use crate::finding::Outcome;
use crate::job::Job;
use crate::wiring::Wiring;
use crate::zones::Zones;

/// Judges loads and limits.
#[must_use]
pub fn checks(_zones: &Zones, _courses: &Courses, _wiring: &Wiring, _job: &Job) -> Outcome<Checks> {
    todo!()
}

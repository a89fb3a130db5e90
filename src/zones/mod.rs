//! [`Roof`] becomes [`Zones`].

mod model;

pub use model::*;

use crate::error::Result;
use crate::finding::Outcome;
use crate::import::SourceFrame;
use crate::job::Job;
use crate::roof::Roof;

/// Decides where heat goes.
///
/// # Errors
/// When the covering or a pitch allows no element.
pub fn zones(_roof: &Roof, _frame: &SourceFrame, _job: &Job) -> Result<Outcome<Zones>> {
    todo!()
}

//! [`Linework`] becomes [`PlanGraph`].

mod model;

pub use model::*;

use crate::error::Result;
use crate::finding::Outcome;
use crate::import::Linework;
use crate::job::DrawingSettings;

/// Snaps, splits and faces the linework.
///
/// # Errors
/// When no closed face remains.
pub fn plan(_linework: &Linework, _settings: &DrawingSettings) -> Result<Outcome<PlanGraph>> {
    todo!()
}

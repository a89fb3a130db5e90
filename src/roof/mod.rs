//! [`PlanGraph`] becomes [`Roof`].

mod assemble;
#[cfg(test)]
pub(crate) mod fixtures;
mod kinds;
mod model;

pub use model::*;

use crate::error::Result;
use crate::finding::Outcome;
use crate::import::SourceFrame;
use crate::job::RoofSettings;
use crate::plan::PlanGraph;

/// Works out planes, kinds and open questions.
///
/// # Errors
/// When a hint of the job names no edge or face of this roof.
pub fn roof(_plan: &PlanGraph, _frame: &SourceFrame, _settings: &RoofSettings) -> Result<Outcome<Roof>> {
    todo!()
}

//! DXF bytes become [`Linework`].

mod model;

pub use model::*;

use crate::error::Result;
use crate::finding::Outcome;
use crate::job::DrawingSettings;

/// Reads a drawing.
///
/// # Errors
/// When the bytes are no DXF drawing, or hold no roof.
pub fn import(_bytes: &[u8], _settings: &DrawingSettings) -> Result<Outcome<Linework>> {
    todo!()
}

//! DXF bytes become [`Linework`].
//!
//! Groups (code and value) become records, records a compact drawing with blocks and curves unexpanded; then the roof is chosen and only
//! that is expanded, flattened and brought into inches. Not read: MESH, solid bodies and hatch boundaries; bodies on a roof layer are
//! refused one by one.

mod assemble;
mod binary;
mod check;
mod choose;
mod curves;
mod drawing;
mod entity;
mod expand;
mod flatten;
mod group;
mod layers;
mod ledger;
mod model;
mod pieces;
mod polyline;
mod record;
mod select;
mod sniff;
mod text;
mod units;

pub use check::check_invariants;
pub use model::*;

use crate::error::Result;
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::job::DrawingSettings;

/// Reads a drawing.
///
/// Every entity is accounted for in [`DrawingReport::entities`]; one that cannot be read costs itself and a finding, not the drawing.
///
/// # Errors
/// - The bytes are no DXF drawing, or a group code in them is damaged.
/// - The file ends before one entity is complete.
/// - No visible linework can be the roof.
/// - Blocks expand beyond any roof plan.
pub fn import(bytes: &[u8], settings: &DrawingSettings) -> Result<Outcome<Linework>> {
    sniff::sniff(bytes)?;
    let mut ledger = ledger::Ledger::default();
    let drawing = drawing::read(bytes, &mut ledger)?;
    if let Some(page) = &drawing.decoder.unknown {
        let words = format!("texts are in code page {page}, which is not known here; they were read as ANSI_1252");
        ledger.add(Finding::new(Severity::Warning, "code-page", words, Place::none()));
    }
    let linework = assemble::assemble(&drawing, settings, &mut ledger)?;
    Ok(Outcome { value: linework, findings: ledger.close() })
}

//! [`PlanGraph`] becomes [`Roof`].

mod assemble;
mod energy;
#[cfg(test)]
pub(crate) mod fixtures;
mod kinds;
mod lift;
mod linear;
mod model;
mod piece;
mod search;
mod settle;

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
pub fn roof(plan: &PlanGraph, _frame: &SourceFrame, settings: &RoofSettings) -> Result<Outcome<Roof>> {
    let mut surfaces = vec![assemble::Surface { plane: crate::geometry::Plane::default(), pitch_basis: Basis::Assumed }; plan.faces.len()];
    let mut verdicts = Vec::new();
    for (i, r) in plan.roofs.iter().enumerate() {
        let piece = piece::Piece::of(plan, crate::index::RoofId::new(i));
        let known = search::Known { runs: vec![None; piece.runs.len()], faces: vec![lift::FaceFacts::default(); piece.faces.len()] };
        let _ = r;
        let (found, _) = search::search(&piece, &known);
        verdicts.extend(settle::verdicts(&piece, &found));
        for (l, f) in piece.faces.iter().enumerate() {
            surfaces[f.index()].plane = found[0].planes[l];
        }
    }
    let mut roof = assemble::assemble(plan, &surfaces, Basis::Solved, 1e9);
    for v in verdicts { let e = &mut roof.edges[v.edge.index()]; e.margin = v.margin; e.kind = v.kind; if v.margin < settle::RIVAL { e.basis = Basis::Ambiguous; e.alternatives = v.alternatives; } }
    Ok(Outcome { value: roof, findings: Vec::new() })
}

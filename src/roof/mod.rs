//! [`PlanGraph`] becomes [`Roof`].
//!
//! A roof drawn with heights is read off (`kinds`). One drawn as a plan is lifted: a weighted linear solve (`lift`) for
//! every labelling of its outline that a bounded search (`search`) looks at, ranked by one energy (`energy`). What rivals
//! of the best answer would change is ambiguous (`settle`, `questions`). An outline alone is roofed over by its straight
//! skeleton (`cover`, `outline`) once the job gives a pitch or an edge; until then, and where no roof is found, it is handed on flat with a finding that
//! stops the layout. At last an outline drawn at the walls or the fascia goes on to the drip edge (`extend`).
//!
//! Not handled: steps are found only from heights, over outlines, or set by the job; elsewhere straight walls inside the plan (`walls`) are
//! offered and never taken.

mod assemble;
mod check;
mod cover;
mod energy;
mod extend;
mod falls;
#[cfg(test)]
pub(crate) mod fixtures;
mod hints;
#[cfg(test)]
mod irregular;
mod kinds;
mod lift;
mod linear;
mod model;
mod outline;
mod outline_faces;
mod outline_graph;
mod parted;
mod piece;
mod questions;
mod reconstruct;
mod report;
mod scale;
mod screen;
mod search;
mod settle;
#[cfg(test)]
mod tests;
mod variants;
mod walls;

pub use check::check_invariants;
pub use model::*;
pub use outline::likely_gables;

use crate::error::Result;
use crate::finding::{Finding, Outcome};
use crate::geometry::Plane;
use crate::import::SourceFrame;
use crate::index::RoofId;
use crate::job::RoofSettings;
use crate::plan::{PlanGraph, PlanRoof};
use crate::terms::EdgeKind;
use assemble::{Surface, assemble, number_parts};
use hints::Hints;
use reconstruct::{Reconstruction, reconstruct};

/// How the heights of one connected roof come about.
enum Source {
    /// From the drawing.
    Measured,
    /// From its lines.
    Solved(Box<Reconstruction>),
    /// An outline roofed over.
    Covered,
    /// Not at all.
    OutlineOnly,
}

/// Works out planes, kinds and open questions.
///
/// # Errors
/// `hint-target` when a hint of the job names no edge or face of this roof.
pub fn roof(plan: &PlanGraph, frame: &SourceFrame, settings: &RoofSettings) -> Result<Outcome<Roof>> {
    let covered = cover::cover(plan, frame, settings);
    let plan = covered.plan.as_ref();
    let hints = Hints::collect(plan, frame, settings)?.spread(&covered.pieces);
    let nothing = Surface { plane: Plane::default(), pitch_basis: Basis::Assumed, steps: false };
    let mut surfaces = vec![nothing; plan.faces.len()];
    let sources: Vec<Source> = plan
        .roofs
        .iter()
        .enumerate()
        .map(|(position, unit)| {
            if covered.units.contains(&position) {
                return Source::Covered;
            }
            source(plan, RoofId::new(position), unit, &hints, settings.default_pitch.value)
        })
        .collect();
    for &(face, surface) in &covered.surfaces {
        surfaces[face.index()] = surface;
    }
    for (unit, source) in plan.roofs.iter().zip(&sources) {
        match source {
            Source::Measured => {
                for &face in &unit.faces {
                    let plane = plan.faces[face.index()].plane.unwrap_or_default();
                    surfaces[face.index()] =
                        Surface { plane: scale::rounded(plane), pitch_basis: Basis::Measured, steps: true };
                }
            }
            Source::Solved(solved) => {
                for (local, &face) in solved.piece.faces.iter().enumerate() {
                    surfaces[face.index()] = Surface {
                        plane: scale::rounded(solved.scaled.planes[local]),
                        pitch_basis: solved.scaled.basis[local],
                        steps: false,
                    };
                }
            }
            Source::Covered | Source::OutlineOnly => {}
        }
    }
    let mut roof = assemble(plan, &surfaces, settings.step_tolerance);
    let mut findings = Vec::new();
    for (unit, source) in plan.roofs.iter().zip(&sources) {
        match source {
            Source::Measured => findings.extend(report::measured(&roof, unit, &hints)),
            Source::Solved(solved) => {
                settle_edges(&mut roof, solved);
                findings.extend(report::solved(&roof, solved, &hints, settings));
            }
            Source::Covered => {}
            Source::OutlineOnly => {
                let why = unit.faces.first().and_then(|f| covered.refused.get(f));
                findings.extend(open_outline(&mut roof, unit, why));
            }
        }
    }
    for &(edge, basis) in &covered.bases {
        roof.edges[edge.index()].basis = basis;
    }
    findings.extend(covered.findings);
    apply_kind_hints(&mut roof, &hints, &mut findings);
    number_parts(&mut roof);
    note_walls(&mut roof);
    let extended = extend::extend(roof, &hints.overhangs, &covered.pieces, settings);
    findings.extend(extended.findings);
    Ok(Outcome { value: extended.value, findings })
}

fn source(plan: &PlanGraph, id: RoofId, unit: &PlanRoof, hints: &Hints, default_pitch: f64) -> Source {
    if !unit.faces.is_empty() && unit.faces.iter().all(|f| plan.faces[f.index()].plane.is_some()) {
        return Source::Measured;
    }
    if unit.outline_only && !unit.faces.iter().any(|&f| hints.single_slope(plan, f)) {
        return Source::OutlineOnly;
    }
    reconstruct(plan, id, hints, default_pitch).map_or(Source::OutlineOnly, |r| Source::Solved(Box::new(r)))
}

/// Writes the verdicts of the search on the edges.
fn settle_edges(roof: &mut Roof, solved: &Reconstruction) {
    for verdict in &solved.verdicts {
        let edge = &mut roof.edges[verdict.edge.index()];
        edge.kind = verdict.kind;
        edge.abuts = (edge.kind == EdgeKind::HighEdge).then_some(Abuts::Unknown);
        edge.margin = verdict.margin;
        edge.basis = match (verdict.open, solved.capped) {
            (true, _) => Basis::Ambiguous,
            // Answers that nobody looked at may be rivals too; asking about each of hundreds of edges would settle nothing.
            (false, true) => Basis::Assumed,
            (false, false) => Basis::Solved,
        };
        edge.alternatives.clone_from(&verdict.alternatives);
    }
    roof.questions.extend(solved.questions.iter().cloned());
}

/// An outline alone: nothing is known of any edge.
fn open_outline(roof: &mut Roof, unit: &PlanRoof, why: Option<&outline::Refused>) -> Vec<Finding> {
    let sides: Vec<_> = unit.faces.iter().flat_map(|&f| roof.face(f).exterior.clone()).map(|h| h.edge).collect();
    for &id in &sides {
        let edge = &mut roof.edges[id.index()];
        edge.kind = EdgeKind::Unknown;
        edge.basis = Basis::Ambiguous;
        edge.margin = 0.0;
        edge.alternatives = vec![EdgeKind::Eave, EdgeKind::Rake, EdgeKind::HighEdge];
    }
    let (question, finding) = report::outline_only(roof, unit, sides, why);
    roof.questions.push(question);
    vec![finding]
}

/// Sets the kinds the job names, unless the surface says otherwise; then both are reported and the surface stands.
fn apply_kind_hints(roof: &mut Roof, hints: &Hints, findings: &mut Vec<Finding>) {
    for (&id, &(said, line)) in &hints.kinds {
        let edge = &mut roof.edges[id.index()];
        if energy::agrees(said, edge.kind) || (said == EdgeKind::Step && edge.basis != Basis::Measured) {
            edge.kind = said;
            edge.basis = Basis::Set;
            edge.margin = f64::INFINITY;
            edge.alternatives.clear();
        } else {
            findings.push(report::contradicted(edge, said, line));
        }
    }
    roof.questions.retain_mut(|question| {
        question.edges.retain(|e| roof.edges[e.index()].basis == Basis::Ambiguous);
        !question.edges.is_empty()
    });
}

/// A high edge along a drawn wall line abuts that wall.
fn note_walls(roof: &mut Roof) {
    /// A wall drawn within this of the roof's edge is the wall it stands against, inches.
    const BESIDE: f64 = 6.0;
    for position in 0..roof.edges.len() {
        let id = crate::index::EdgeId::new(position);
        if roof.edges[position].kind != EdgeKind::HighEdge {
            continue;
        }
        let segment = roof.segment(id);
        let along = [segment.a, segment.midpoint(), segment.b];
        let wall = roof.walls.iter().any(|w| along.iter().all(|&p| w.distance_to(p) < BESIDE));
        roof.edges[position].abuts = Some(if wall { Abuts::Wall } else { Abuts::Unknown });
    }
}

//! [`Linework`] becomes [`PlanGraph`].
//!
//! Lines are repaired (joined, cut, trimmed) into a graph, the graph is walked into faces, and notes, arrows and openings are
//! placed in those. Every repair is a finding. From here on sameness is equality of ids, never a distance.

mod cells;
mod check;
mod draft;
mod faces;
#[cfg(test)]
mod fixtures;
mod gaps;
mod half_edge;
mod heights;
mod lines;
mod mean_corners;
mod model;
mod notes;
mod openings;
mod prune;
mod repair;
mod report;
mod snap;
mod split;
#[cfg(test)]
mod tests;

pub use check::check_invariants;
pub use model::*;

use crate::error::Result;
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::import::{Linework, Role};
use crate::index::FaceId;
use crate::job::DrawingSettings;
use faces::assemble;
use notes::FaceFinder;
use report::Report;

/// Snaps, splits and faces the linework.
///
/// # Errors
/// - `no-roof` when nothing was drawn that could be roof.
/// - `open-outline` when the lines close no face; names the narrowest gap.
/// - `crowded-ends`, `too-many-crossings` when the lines can't be a roof: wrong units, or a hatch.
pub fn plan(linework: &Linework, settings: &DrawingSettings) -> Result<Outcome<PlanGraph>> {
    let mut report = Report::default();
    let named = openings::named_outlines(linework, settings.gap_tolerance, &mut report)?;
    let (mut plan, found) = match heights::facet_cells(&linework.facets, settings.gap_tolerance, &mut report)? {
        Some((draft, cells, fills)) => {
            tell_unused_lines(linework, &mut report);
            assemble(&draft, &cells, &fills, settings.opening_area_limit, &mut report)
        }
        None => lines::plan_of_lines(linework, &named, settings, &mut report)?,
    };
    let finder = FaceFinder::new(&plan);
    plan.notes = notes::place_notes(&linework.notes, &finder, &mut report);
    plan.arrows = notes::place_arrows(&linework.arrows, &finder, &mut report);
    plan.openings = openings::place_openings(linework, named, found, &plan, &finder, settings, &mut report);
    if let Some(finding) = small_faces(&plan, settings) {
        report.push(finding);
    }
    plan.walls = linework.paths.iter().filter(|p| p.role == Role::Wall).flat_map(|p| p.plan_segments()).collect();
    Ok(Outcome { value: plan, findings: report.finish() })
}

/// A part of a roof smaller than this is a cricket or a return, square inches: 2 ft by 2 ft.
const SMALL_FACE: f64 = 576.0;
/// So many of them may lie on one roof.
const MOST_SMALL: usize = 5;

/// That most faces are too small for a roof's: elevations, framing and details enclose boards and members. It blocks unless the job names the
/// roof's layers. Faces with heights are what they are.
fn small_faces(plan: &PlanGraph, settings: &DrawingSettings) -> Option<Finding> {
    let flat: Vec<usize> = (0..plan.faces.len()).filter(|&face| plan.faces[face].plane.is_none()).collect();
    let small = flat.iter().filter(|&&face| plan.region(FaceId::new(face)).area() < SMALL_FACE);
    let count = small.clone().count();
    let first = FaceId::new(*small.min()?);
    if count <= MOST_SMALL || 2 * count < flat.len() {
        return None;
    }
    let named = !settings.roof_layers.is_empty();
    let severity = if named { Severity::Warning } else { Severity::Blocking };
    let words = format!("{count} of {} faces are smaller than 4 sq ft; this may be no roof plan", flat.len());
    let hint = "name the layers of the roof's outline, ridges, hips and valleys with --layer or [drawing] roof_layers; if these are they, name them there";
    Some(Finding::new(severity, "small-faces", words, Place::item(first)).with_hint(hint))
}

fn tell_unused_lines(linework: &Linework, report: &mut Report) {
    let count = linework.paths.iter().filter(|path| path.role == Role::Roof).count();
    if count > 0 {
        let message = format!("the roof has 3D faces, so its {count} plain lines are not used");
        report.push(Finding::new(Severity::Ignored, "lines-beside-facets", message, Place::none()));
    }
}

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
mod half_edge;
mod heights;
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

use crate::error::{Error, Result};
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::geometry::Segment2;
use crate::import::{Linework, Role};
use crate::index::OriginId;
use crate::job::DrawingSettings;
use cells::{Cells, find_cells};
use draft::Draft;
use faces::{Fill, FoundOpening, assemble};
use notes::FaceFinder;
use repair::Gap;
use report::Report;

/// Snaps, splits and faces the linework.
///
/// # Errors
/// - `no-roof` when nothing was drawn that could be roof.
/// - `open-outline` when the lines close no face; names the narrowest gap.
/// - `crowded-ends`, `too-many-crossings` when the lines can't be a roof: wrong units, or a hatch.
pub fn plan(linework: &Linework, settings: &DrawingSettings) -> Result<Outcome<PlanGraph>> {
    let mut report = Report::default();
    let (mut plan, found) = match heights::facet_cells(&linework.facets, settings.gap_tolerance, &mut report)? {
        Some((draft, cells, fills)) => {
            tell_unused_lines(linework, &mut report);
            assemble(&draft, &cells, &fills, settings.opening_area_limit, &mut report)
        }
        None => plan_of_lines(linework, settings, &mut report)?,
    };
    let finder = FaceFinder::new(&plan);
    plan.notes = notes::place_notes(&linework.notes, &finder, &mut report);
    plan.arrows = notes::place_arrows(&linework.arrows, &finder, &mut report);
    plan.openings = openings::place_openings(linework, found, &plan, &finder, settings, &mut report)?;
    plan.walls = linework.paths.iter().filter(|p| p.role == Role::Wall).flat_map(|p| p.plan_segments()).collect();
    Ok(Outcome { value: plan, findings: report.finish() })
}

/// Faces from lines alone. Figures that roof lines run through are left out as openings if they turn out to lie on the roof.
fn plan_of_lines(
    linework: &Linework,
    settings: &DrawingSettings,
    report: &mut Report,
) -> Result<(PlanGraph, Vec<FoundOpening>)> {
    let mut crossed = openings::crossed_figures(linework, settings.gap_tolerance, settings.opening_area_limit);
    loop {
        let mut attempt = Report::default();
        let (draft, cells) = faces_from_lines(linework, &crossed, settings, &mut attempt)?;
        let fills = vec![Fill::Lines; cells.cells.len()];
        let (plan, mut found) = assemble(&draft, &cells, &fills, settings.opening_area_limit, &mut attempt);
        let finder = FaceFinder::new(&plan);
        let on_roof = |&path: &usize| linework.paths[path].points.iter().all(|p| finder.face_at(p.plan()).is_some());
        let count = crossed.len();
        crossed.retain(on_roof);
        if crossed.len() == count {
            found.extend(crossed.iter().map(|&path| openings::found_figure(&linework.paths[path])));
            *report = attempt;
            return Ok((plan, found));
        }
    }
}

fn faces_from_lines(
    linework: &Linework,
    left_out: &[usize],
    settings: &DrawingSettings,
    report: &mut Report,
) -> Result<(Draft, Cells)> {
    let lines: Vec<(Segment2, OriginId)> = linework
        .paths
        .iter()
        .enumerate()
        .filter(|(number, path)| path.role == Role::Roof && !left_out.contains(number))
        .flat_map(|(_, path)| path.plan_segments().map(|s| (s, path.origin)))
        .collect();
    if lines.is_empty() {
        return Err(Error::refused("no-roof", "the drawing has no roof lines")
            .with_hint("name the layer that holds the roof with --layer"));
    }
    let mut draft = repair::repair(&lines, settings.gap_tolerance, report)?;
    let repaired = draft.clone();
    prune::drop_dangles(&mut draft, report);
    prune::drop_bridges(&mut draft, report);
    let cells = find_cells(&draft);
    if cells.cells.is_empty() {
        return Err(open_outline(repair::narrowest_gap(&repaired), settings.gap_tolerance));
    }
    Ok((draft, cells))
}

fn open_outline(gap: Option<Gap>, tolerance: f64) -> Error {
    let hint = format!(
        "close the outline in the drawing, or set drawing.gap_tolerance above the gap (now {} in)",
        crate::units::decimal(tolerance, 3)
    );
    match gap {
        Some(gap) => {
            let message = format!("the roof outline is open: no line closes the gap of {}", repair::gap_words(gap));
            Error::refused("open-outline", message).at(Place::at(gap.ends[0].lerp(gap.ends[1], 0.5))).with_hint(hint)
        }
        None => Error::refused("open-outline", "the roof lines enclose nothing").with_hint(hint),
    }
}

fn tell_unused_lines(linework: &Linework, report: &mut Report) {
    let count = linework.paths.iter().filter(|path| path.role == Role::Roof).count();
    if count > 0 {
        let message = format!("the roof has 3D faces, so its {count} plain lines are not used");
        report.push(Finding::new(Severity::Ignored, "lines-beside-facets", message, Place::none()));
    }
}

//! Roof lines without heights become faces.

use super::cells::find_cells;
use super::draft::Draft;
use super::faces::{Fill, FoundOpening, assemble};
use super::gaps;
use super::model::PlanGraph;
use super::notes::FaceFinder;
use super::openings::{self, Outline};
use super::prune::{drop_bridges, drop_dangles};
use super::repair::{Gap, gap_words, narrowest_gap, repair};
use super::report::Report;
use crate::error::{Error, Result};
use crate::finding::Place;
use crate::geometry::{Ring, Segment2};
use crate::import::{Linework, Path, Role};
use crate::index::OriginId;
use crate::job::DrawingSettings;

/// Faces from lines alone. Figures that roof lines run through are left out as openings if they turn out to lie on the roof.
pub(super) fn plan_of_lines(
    linework: &Linework,
    named: &[Outline],
    settings: &DrawingSettings,
    report: &mut Report,
) -> Result<(PlanGraph, Vec<FoundOpening>)> {
    let rings: Vec<Ring> = named.iter().map(|outline| outline.ring.clone()).collect();
    let mut crossed = openings::crossed_figures(linework, settings.gap_tolerance, settings.opening_area_limit);
    loop {
        let mut attempt = Report::default();
        let lines = roof_lines(linework, &crossed);
        let ClosedLines { repaired, draft, figures } = closed_lines(&lines, &rings, settings, &mut attempt)?;
        let cells = find_cells(&draft);
        let fills = vec![Fill::Lines; cells.cells.len()];
        let (plan, mut found) = assemble(&draft, &cells, &fills, settings.opening_area_limit, &mut attempt);
        let finder = FaceFinder::new(&plan);
        let on_roof = |&path: &usize| linework.paths[path].points.iter().all(|p| finder.face_at(p.plan()).is_some());
        let count = crossed.len();
        crossed.retain(on_roof);
        if crossed.len() == count {
            found.extend(crossed.iter().map(|&path| openings::found_figure(&linework.paths[path])));
            found.extend(figures.into_iter().map(|(outline, origin)| FoundOpening { outline, origin }));
            gaps::tell_gaps(&repaired, &finder, &mut attempt);
            report.take(attempt);
            return Ok((plan, found));
        }
    }
}

/// Roof lines but those of the paths `left_out`, which rise.
fn roof_lines(linework: &Linework, left_out: &[usize]) -> Vec<(Segment2, OriginId)> {
    let roof = |(number, path): &(usize, &Path)| path.role == Role::Roof && left_out.binary_search(number).is_err();
    let paths = linework.paths.iter().enumerate().filter(roof);
    paths.flat_map(|(_, path)| path.plan_segments().map(|s| (s, path.origin))).collect()
}

/// Lines that bound faces and nothing else.
struct ClosedLines {
    /// The repaired lines with their dangling ends.
    repaired: Draft,
    /// The same without.
    draft: Draft,
    /// Openings that were taken out of them.
    figures: Vec<(Ring, OriginId)>,
}

/// The repaired lines with their dangling ends and without, and the openings taken out of them.
fn closed_lines(
    lines: &[(Segment2, OriginId)],
    openings: &[Ring],
    settings: &DrawingSettings,
    report: &mut Report,
) -> Result<ClosedLines> {
    if lines.is_empty() {
        return Err(Error::refused("no-roof", "the drawing has no roof lines")
            .with_hint("name the layer that holds the roof with --layer"));
    }
    let tolerance = settings.gap_tolerance;
    let mut draft = repair(lines, tolerance, report)?;
    gaps::lead_through(&mut draft, openings, tolerance, report)?;
    let repaired = draft.clone();
    drop_dangles(&mut draft, report);
    drop_bridges(&mut draft, report);
    if draft.edges.is_empty() {
        return Err(open_outline(narrowest_gap(&repaired), tolerance));
    }
    let figures = gaps::take_out_figures(&mut draft, settings.opening_area_limit, tolerance, report)?;
    Ok(ClosedLines { repaired, draft, figures })
}

fn open_outline(gap: Option<Gap>, tolerance: f64) -> Error {
    let hint = format!(
        "close the outline in the drawing, or set drawing.gap_tolerance above the gap (now {} in)",
        crate::units::decimal(tolerance, 3)
    );
    match gap {
        Some(gap) => {
            let message = format!("the roof outline is open: no line closes the gap of {}", gap_words(gap));
            Error::refused("open-outline", message).at(Place::at(gap.ends[0].lerp(gap.ends[1], 0.5))).with_hint(hint)
        }
        None => Error::refused("open-outline", "the roof lines enclose nothing").with_hint(hint),
    }
}

//! What openings keep clear on a face.

use super::layout::{BEYOND_METAL, develop};
use super::model::{Interval2, OpeningKeepOut};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Box2, FaceFrame, Interval, Region};
use crate::import::OpeningKind;
use crate::index::FaceId;
use crate::job::Job;
use crate::plan::PlanOpening;
use crate::roof::Roof;
use crate::units::decimal;
use std::collections::BTreeMap;

/// An element stays at least this far from the drawn shape itself, inches (common practice).
const LEAST_FROM_SHAPE: f64 = 6.0;

/// An opening and its part on one face.
pub(super) type OpeningPart<'a> = (&'a PlanOpening, &'a Region);

/// The parts of openings by the face they lie on, in opening order.
pub(super) fn parts_by_face(roof: &Roof) -> BTreeMap<FaceId, Vec<OpeningPart<'_>>> {
    let mut parts: BTreeMap<FaceId, Vec<OpeningPart<'_>>> = BTreeMap::new();
    for opening in &roof.openings {
        for (face, part) in &opening.parts {
            parts.entry(*face).or_default().push((opening, part));
        }
    }
    parts
}

/// The keep-outs of a face's openings.
pub(super) fn keep_outs(
    parts: &[OpeningPart],
    frame: &FaceFrame,
    job: &Job,
    findings: &mut Vec<Finding>,
) -> Vec<OpeningKeepOut> {
    let mut kept = Vec::new();
    for &(opening, part) in parts {
        let outline = develop(part, frame);
        let Some(bounds) = outline.exterior.bounds() else { continue };
        let (metal, what) = flashing_of(opening.kind, job);
        let beyond = job.heat.opening_setback.max(BEYOND_METAL).max(LEAST_FROM_SHAPE - metal);
        if beyond > job.heat.opening_setback {
            findings.push(Finding::new(
                    Severity::Note,
                    "opening-setback-raised",
                    format!(
                        "{} keeps {} in beyond its flashing, not the {} in of the job: 1 in beyond metal and 6 in from the opening hold",
                        opening.id,
                        decimal(beyond, 2),
                        decimal(job.heat.opening_setback, 2)
                    ),
                    Place::item(opening.id).with_point(frame.to_plan(bounds.center())),
                ));
        }
        let why = format!("{what}: {} in of flashing and {} in beyond it", decimal(metal, 2), decimal(beyond, 2));
        kept.push(OpeningKeepOut {
            opening: opening.id,
            flashing: upright(bounds.grown(metal)),
            keep_out: upright(bounds.grown(metal + beyond)),
            outline,
            why,
        });
    }
    kept
}

fn flashing_of(kind: OpeningKind, job: &Job) -> (f64, &'static str) {
    match kind {
        OpeningKind::Vent => (job.heat.vent_flashing, "vent"),
        OpeningKind::Skylight => (job.heat.opening_flashing, "skylight"),
        OpeningKind::Chimney => (job.heat.opening_flashing, "chimney"),
        OpeningKind::Hatch => (job.heat.opening_flashing, "roof hatch"),
        OpeningKind::Unknown => (job.heat.opening_flashing, "opening"),
    }
}

fn upright(area: Box2) -> Interval2 {
    Interval2 { u: Interval::new(area.min.x, area.max.x), v: Interval::new(area.min.y, area.max.y) }
}

//! What openings keep clear on a face.

use super::layout::{BEYOND_METAL, develop};
use super::model::{Interval2, OpeningKeepOut};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Box2, FaceFrame, Interval};
use crate::import::OpeningKind;
use crate::index::FaceId;
use crate::job::Job;
use crate::roof::Roof;
use crate::units::decimal;

/// An element stays at least this far from the drawn shape itself, inches (common practice).
const LEAST_FROM_SHAPE: f64 = 6.0;

/// The keep-outs of all openings with a part on `face`, in opening order.
pub(super) fn keep_outs(
    roof: &Roof,
    face: FaceId,
    frame: &FaceFrame,
    job: &Job,
    findings: &mut Vec<Finding>,
) -> Vec<OpeningKeepOut> {
    let mut kept = Vec::new();
    for opening in &roof.openings {
        for (_, part) in opening.parts.iter().filter(|(on, _)| *on == face) {
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

//! Areas of the job that stay free on the faces they lie on.

use super::Inputs;
use super::layout::{BEYOND_METAL, develop};
use super::model::{FaceLayout, FastenerKind, Interval2, KeepOut};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Box2, Point2, Region, intersection};
use crate::import::SourceFrame;
use crate::job::{ExclusionSetting, FastenerSetting};
use crate::units::decimal;

/// Puts exclusions and fasteners on the faces; one that lies on none is said.
pub(super) fn place(inputs: &Inputs, frame: &SourceFrame, faces: &mut [FaceLayout], findings: &mut Vec<Finding>) {
    let working = |p: Point2| frame.to_working(p.at_height(0.0)).plan();
    for area in &inputs.job.heat.exclusions {
        let corners: Vec<Point2> = area.corners.iter().map(|&p| working(p)).collect();
        let region = Region::simple(corners.clone());
        let mut met = false;
        for layout in &mut *faces {
            met |= exclude(inputs, &region, area, layout);
        }
        if !met {
            findings.push(off_roof("exclusion-off-roof", "an exclusion", corners[0], area.line));
        }
    }
    for row in &inputs.job.heat.fasteners {
        let points = along(working(row.at), row.to.map(working), row.spacing);
        let mut met = false;
        for &at in &points {
            for layout in faces.iter_mut().filter(|layout| inputs.roof.region(layout.face).contains(at)) {
                let place = layout.frame.to_face(at);
                layout.keep_outs.push(fastener(row, place, inputs.job.courses.nail_clearance));
                met = true;
            }
        }
        if !met {
            findings.push(off_roof("fastener-off-roof", "a fastener", points[0], row.line));
        }
    }
}

fn off_roof(code: &'static str, what: &str, at: Point2, line: usize) -> Finding {
    let words = format!("{what} of the job lies on no sloping face");
    Finding::new(Severity::Ignored, code, words, Place { line: Some(line), ..Place::at(at) })
        .with_hint("give its place in the drawing's own coordinates")
}

/// The upright box around the part of an exclusion on one face.
fn exclude(inputs: &Inputs, region: &Region, area: &ExclusionSetting, layout: &mut FaceLayout) -> bool {
    let own = inputs.roof.region(layout.face);
    let parts = intersection(std::slice::from_ref(&own), std::slice::from_ref(region));
    for part in &parts {
        let Some(bounds) = develop(part, &layout.frame).exterior.bounds() else { continue };
        let area_box = upright(bounds);
        let why = format!("exclusion: {}", area.why);
        layout.keep_outs.push(KeepOut { fastener: None, solid: area_box, keep_out: area_box, why });
    }
    !parts.is_empty()
}

/// Elements keep an inch from metal, and the nail clearance where that is more.
fn fastener(row: &FastenerSetting, at: Point2, clearance: f64) -> KeepOut {
    let beyond = BEYOND_METAL.max(clearance);
    let words = match row.kind {
        FastenerKind::RoofBracket => "roof bracket",
        FastenerKind::SnowGuard => "snow guard",
        FastenerKind::Other => "fastener",
    };
    let foot = Box2 { min: at, max: at }.grown(0.5 * row.size);
    KeepOut {
        fastener: Some(row.kind),
        solid: upright(foot),
        keep_out: upright(foot.grown(beyond)),
        why: format!("{words}: {} in foot and {} in beyond it", decimal(row.size, 2), decimal(beyond, 2)),
    }
}

fn along(from: Point2, to: Option<Point2>, spacing: f64) -> Vec<Point2> {
    let Some(to) = to else { return vec![from] };
    let count = (from.distance(to) / spacing + 1e-9).floor() as u32;
    let step = |n: u32| from.lerp(to, if count == 0 { 0.0 } else { f64::from(n) * spacing / from.distance(to) });
    (0..=count).map(step).collect()
}

fn upright(area: Box2) -> Interval2 {
    use crate::geometry::Interval;
    Interval2 { u: Interval::new(area.min.x, area.max.x), v: Interval::new(area.min.y, area.max.y) }
}

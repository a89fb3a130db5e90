//! Linework for the unit tests of this stage, built from plain segments.

use crate::geometry::{Point2, Point3};
use crate::import::{DrawingReport, Linework, Origin, Path, Role, SourceFrame};
use crate::index::{OriginId, PathId};
use crate::job::DrawingSettings;
use crate::units::DrawingUnit;
use std::collections::BTreeMap;

/// The default drawing settings.
pub(super) fn settings() -> DrawingSettings {
    DrawingSettings { units: None, roof_layers: Vec::new(), gap_tolerance: 0.5, opening_area_limit: 60.0 * 144.0 }
}

/// A drawing with nothing in it.
pub(super) fn empty() -> Linework {
    Linework {
        frame: SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::default() },
        drawing: DrawingReport {
            version: "AC1015".into(),
            code_page: "ANSI_1252".into(),
            header_units: None,
            units_evidence: String::new(),
            entities: BTreeMap::new(),
            candidates: Vec::new(),
        },
        paths: Vec::new(),
        facets: Vec::new(),
        notes: Vec::new(),
        arrows: Vec::new(),
        origins: vec![Origin::default()],
    }
}

/// Adds a path.
pub(super) fn add(linework: &mut Linework, role: Role, points: &[(f64, f64)], closed: bool) {
    linework.paths.push(Path {
        id: PathId::new(linework.paths.len()),
        points: points.iter().map(|&(x, y)| Point2::new(x, y).at_height(0.0)).collect(),
        closed,
        role,
        origin: OriginId(0),
        group: None,
    });
}

/// Roof lines, each `[x1, y1, x2, y2]`.
pub(super) fn lines(segments: &[[f64; 4]]) -> Linework {
    let mut linework = empty();
    for &[ax, ay, bx, by] in segments {
        add(&mut linework, Role::Roof, &[(ax, ay), (bx, by)], false);
    }
    linework
}

/// The sides of an upright rectangle as four lines.
pub(super) fn rectangle(x: f64, y: f64, width: f64, height: f64) -> [[f64; 4]; 4] {
    let (right, top) = (x + width, y + height);
    [[x, y, right, y], [right, y, right, top], [right, top, x, top], [x, top, x, y]]
}

/// A gable 480 by 288 with its ridge level: two faces of 480 by 144.
pub(super) fn gable() -> Vec<[f64; 4]> {
    let mut segments = rectangle(0.0, 0.0, 480.0, 288.0).to_vec();
    segments.push([0.0, 144.0, 480.0, 144.0]);
    segments
}

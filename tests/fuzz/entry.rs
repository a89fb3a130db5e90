//! What the fuzz targets and the mutant tests call: one pass over any bytes, with the invariants of each stage.

use eavesdraft::geometry::{Point2, Point3};
use eavesdraft::import::{
    Arrow, DrawingReport, Facet, Linework, Note, OpeningKind, Origin, Path, Role, SourceFrame, import,
};
use eavesdraft::index::{OriginId, PathId};
use eavesdraft::job::DrawingSettings;
use eavesdraft::units::DrawingUnit;
use std::collections::BTreeMap;

/// What became of some bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ending {
    /// Refused by the reader with this code.
    NotRead(String),
    /// Read, and refused by the plan stage with this code.
    NoPlan(String),
    /// Both stages gave a value that keeps its invariants.
    Plan,
}

fn settings() -> DrawingSettings {
    DrawingSettings { units: None, roof_layers: Vec::new(), gap_tolerance: 0.5, opening_area_limit: 8640.0 }
}

/// Reads any bytes as a drawing and draws its faces.
///
/// # Panics
/// When a stage gives a value that breaks its own invariants, or refuses without a word.
pub fn read_and_plan(bytes: &[u8]) -> Ending {
    match import(bytes, &settings()) {
        Err(error) => {
            assert!(!error.message.is_empty() && !error.code.is_empty(), "{error:?}");
            Ending::NotRead(error.code.to_owned())
        }
        Ok(outcome) => {
            let broken = eavesdraft::import::check_invariants(&outcome.value);
            assert!(broken.is_empty(), "{broken:?}");
            plan_of(&outcome.value)
        }
    }
}

fn plan_of(linework: &Linework) -> Ending {
    match eavesdraft::plan::plan(linework, &settings()) {
        Err(error) => {
            assert!(!error.message.is_empty() && !error.code.is_empty(), "{error:?}");
            Ending::NoPlan(error.code.to_owned())
        }
        Ok(outcome) => {
            let broken = eavesdraft::plan::check_invariants(&outcome.value);
            assert!(broken.is_empty(), "{broken:?}");
            Ending::Plan
        }
    }
}

/// Makes linework of any bytes, five bytes a point, and draws its faces.
///
/// # Panics
/// As [`read_and_plan`].
pub fn plan_of_bytes(bytes: &[u8]) -> Ending {
    plan_of(&linework(bytes))
}

/// Takes values off the front of a slice; zero when it is used up.
struct Cursor<'a>(&'a [u8]);

impl Cursor<'_> {
    fn byte(&mut self) -> u8 {
        let Some((&first, rest)) = self.0.split_first() else { return 0 };
        self.0 = rest;
        first
    }

    /// A coordinate up to 96 ft: mostly whole feet so that lines meet, then sixteenths of an inch so that they nearly meet.
    fn coordinate(&mut self) -> f64 {
        f64::from(self.byte() % 96) * 12.0 + f64::from(self.byte() as i8) / 16.0 * f64::from(self.byte() & 1)
    }

    fn point(&mut self) -> Point3 {
        Point3::new(self.coordinate(), self.coordinate(), 0.0)
    }
}

fn linework(bytes: &[u8]) -> Linework {
    let mut linework = Linework {
        frame: SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) },
        drawing: DrawingReport {
            version: String::new(),
            code_page: String::new(),
            header_units: None,
            units_evidence: String::new(),
            entities: BTreeMap::new(),
            candidates: Vec::new(),
        },
        paths: Vec::new(),
        facets: Vec::new(),
        notes: Vec::new(),
        arrows: Vec::new(),
        origins: vec![Origin { entity: "LINE".into(), layer: "A-ROOF".into(), line: 1, ..Origin::default() }],
    };
    let mut from = Cursor(bytes);
    while !from.0.is_empty() {
        add(&mut linework, &mut from);
    }
    linework
}

fn add(linework: &mut Linework, from: &mut Cursor) {
    let origin = OriginId(0);
    let what = from.byte();
    match what % 16 {
        0..8 => path(linework, vec![from.point(), from.point()], false, Role::Roof),
        8..11 => {
            let points = (0..2 + usize::from(from.byte() % 7)).map(|_| from.point()).collect();
            path(linework, points, what & 16 == 0, Role::Roof);
        }
        11 => {
            let points = (0..3 + usize::from(from.byte() % 3)).map(|_| from.point()).collect();
            path(linework, points, true, Role::Opening(OpeningKind::Skylight));
        }
        12 => path(linework, vec![from.point(), from.point()], false, Role::Wall),
        13 => {
            let points: Vec<Point3> = (0..3 + usize::from(from.byte() % 2))
                .map(|_| Point3 { z: f64::from(from.byte()), ..from.point() })
                .collect();
            linework.facets.push(Facet { points, origin });
        }
        14 => {
            const TEXTS: [&str; 6] = ["6:12", "7:12 PITCHED ROOF", "26.6°", "50%", "4/12", "VENT"];
            let text = TEXTS[usize::from(from.byte()) % TEXTS.len()].to_owned();
            linework.notes.push(Note { text, at: from.point().plan(), height: 6.0, origin });
        }
        _ => {
            let [tail, head]: [Point2; 2] = [from.point().plan(), from.point().plan()];
            linework.arrows.push(Arrow { tail, head, origin });
        }
    }
}

/// Adds a path as the reader would hand it over: no point twice in a row, a ring of at least three.
fn path(linework: &mut Linework, mut points: Vec<Point3>, closed: bool, role: Role) {
    points.dedup();
    while closed && points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    if points.len() >= 2 + usize::from(closed) {
        let id = PathId::new(linework.paths.len());
        linework.paths.push(Path { id, points, closed, role, origin: OriginId(0), group: None });
    }
}

//! The plan as an overlay: in the units and coordinates of the source drawing, to be laid over it.

use super::document::{Drawing, ModelUnits, Paper, write};
use super::entities::Space;
use crate::geometry::{Point2, Vector2};
use crate::import::SourceFrame;
use crate::sheet::SheetSet;
use crate::units::DrawingUnit;

/// The plan models of the set over the source drawing. Letters and symbols have the size the plan was lettered for.
#[must_use]
pub fn overlay_dxf(set: &SheetSet, frame: &SourceFrame) -> Vec<u8> {
    let per_inch = 1.0 / frame.inches_per_unit;
    let origin = frame.plan_to_drawing(Point2::new(0.0, 0.0));
    let plans = || set.models.iter().filter(|model| model.is_plan);
    let model = plans()
        .map(|plan| (plan.items.as_slice(), Space { origin, per_inch, per_paper_inch: plan.lettered_for * per_inch }))
        .collect();
    let (code, metric) = match frame.units {
        DrawingUnit::Inches => (1, 0),
        DrawingUnit::Feet => (2, 0),
        DrawingUnit::Millimetres => (4, 1),
        DrawingUnit::Centimetres => (5, 1),
        DrawingUnit::Metres => (6, 1),
    };
    let line_type_scale = plans().next().map_or(1.0, |plan| plan.lettered_for * per_inch);
    let units = ModelUnits { code, metric, line_type_scale };
    // The format wants a layout; an overlay needs none, so it stays empty.
    let paper = Paper { name: "Layout1".into(), size: Vector2::new(36.0, 24.0), items: &[], windows: Vec::new() };
    write(&Drawing { release: set.dxf, layers: &set.layers, symbols: &set.blocks, units, model, papers: vec![paper] })
}

//! The whole set as one drawing: models side by side in model space, a layout per sheet.
//!
//! The first model (the plan) keeps its own coordinates. Each further model is moved to the right until what any window shows of
//! it lies at least [`BETWEEN`] from everything shown of the models before it, so that no window sees a neighbour; moves are
//! whole multiples of [`STEP`].

use super::document::{Drawing, ModelUnits, Paper, Window, write};
use super::entities::Space;
use crate::geometry::{Box2, Point2, Vector2};
use crate::sheet::{Item, Model, ModelId, Shape, Sheet, SheetSet, Viewport};
use std::collections::BTreeSet;

/// Clear distance between models, inches.
const BETWEEN: f64 = 240.0;
/// Models are moved by whole steps of this, inches, so that a coordinate can be traced back in the head.
const STEP: f64 = 120.0;
/// Room for lettering around a model, inches on paper.
const LETTERING: f64 = 2.0;

/// The drawing of all sheets, in inches.
#[must_use]
pub fn sheets_dxf(set: &SheetSet) -> Vec<u8> {
    let shifts = model_shifts(set);
    let model = set
        .models
        .iter()
        .zip(&shifts)
        .map(|(model, &shift)| {
            let origin = Point2::new(shift, 0.0);
            (model.items.as_slice(), Space { origin, per_inch: 1.0, per_paper_inch: model.lettered_for })
        })
        .collect();
    let mut names = BTreeSet::new();
    let mut papers: Vec<Paper> = set
        .sheets
        .iter()
        .map(|sheet| Paper {
            name: tab_name(&sheet.number, &mut names),
            size: sheet.size,
            items: &sheet.items,
            windows: windows(sheet, &shifts),
        })
        .collect();
    if papers.is_empty() {
        papers.push(Paper { name: "Layout1".into(), size: Vector2::new(36.0, 24.0), items: &[], windows: Vec::new() });
    }
    // Line types are drawn in inches on paper, in windows as on the sheet.
    let units = ModelUnits { code: 1, metric: 0, line_type_scale: 1.0 };
    write(&Drawing { release: set.dxf, layers: &set.layers, symbols: &set.blocks, units, model, papers })
}

fn windows(sheet: &Sheet, shifts: &[f64]) -> Vec<Window> {
    sheet
        .viewports
        .iter()
        .enumerate()
        .map(|(i, viewport)| Window {
            id: format!("{}.window{}", sheet.number, i + 1),
            rectangle: viewport.window,
            center: viewport.center + Vector2::new(shifts[viewport.model.0], 0.0),
            height: viewport.window.height() * viewport.scale,
            turn: viewport.turn,
        })
        .collect()
}

/// How far each model of the set stands to the right of its own coordinates in [`sheets_dxf`], inches.
#[must_use]
pub fn model_shifts(set: &SheetSet) -> Vec<f64> {
    let mut shifts = Vec::with_capacity(set.models.len());
    let mut right = f64::NEG_INFINITY;
    for (i, model) in set.models.iter().enumerate() {
        let shown = shown_of(set, ModelId(i), model);
        let shift = match shown {
            Some(shown) if right.is_finite() => ((right + BETWEEN - shown.min.x) / STEP).ceil().max(0.0) * STEP,
            _ => 0.0,
        };
        if let Some(shown) = shown {
            right = right.max(shown.max.x + shift);
        }
        shifts.push(shift);
    }
    shifts
}

/// Everything of a model that is drawn or that a window looks at.
fn shown_of(set: &SheetSet, id: ModelId, model: &Model) -> Option<Box2> {
    let drawn = Box2::around(model.items.iter().flat_map(points_of)).map(|b| b.grown(LETTERING * model.lettered_for));
    let looked_at = set.sheets.iter().flat_map(|s| &s.viewports).filter(|v| v.model == id).flat_map(window_corners);
    Box2::around(drawn.into_iter().flat_map(|b| [b.min, b.max]).chain(looked_at))
}

/// The corners of what a window shows, in its model.
fn window_corners(viewport: &Viewport) -> [Point2; 4] {
    let (w, h) = (0.5 * viewport.window.width() * viewport.scale, 0.5 * viewport.window.height() * viewport.scale);
    // The paper's axes in the model: the turn undone.
    let right = Vector2::new(viewport.turn.x, -viewport.turn.y);
    let up = right.left();
    [(-w, -h), (w, -h), (w, h), (-w, h)].map(|(x, y)| viewport.center + right * x + up * y)
}

fn points_of(item: &Item) -> Vec<Point2> {
    match &item.shape {
        Shape::Polyline { points, .. } => points.clone(),
        Shape::Circle { center, radius } => {
            let corner = Vector2::new(*radius, *radius);
            vec![*center - corner, *center + corner]
        }
        Shape::Area { regions, .. } => regions.iter().flat_map(|r| r.exterior.points.clone()).collect(),
        Shape::Text(text) => vec![text.at],
        Shape::Dimension(dimension) => vec![dimension.a, dimension.b],
        Shape::Insert { at, .. } => vec![*at],
    }
}

/// A sheet number as a tab name: without the characters tabs may not have, and never twice.
fn tab_name(number: &str, taken: &mut BTreeSet<String>) -> String {
    let clean: String = number.chars().map(|c| if "<>/\\\":;?*|,=`".contains(c) { '-' } else { c }).collect();
    let base = if clean.trim().is_empty() { "Sheet".to_owned() } else { clean };
    let mut name = base.clone();
    let mut again = 2;
    while name.eq_ignore_ascii_case("Model") || !taken.insert(name.to_uppercase()) {
        name = format!("{base} ({again})");
        again += 1;
    }
    name
}

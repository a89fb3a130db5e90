//! Closed figures on other layers that lie on a roof chosen by its layers. A skylight drawn on a layer nobody named is one of them, and so
//! are the furniture and fixtures below the roof: which they are only a person can say.

use super::choose::place_of_entity;
use super::drawing::Drawing;
use super::entity::{Entity, Shape};
use super::layers::{Annotation, Plan, Use};
use crate::finding::{Finding, Severity};
use crate::geometry::{Box2, Point2, Ring};
use crate::units::decimal;
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Smaller figures are tags and marks, square inches: 6 in by 6 in.
const SMALLEST: f64 = 36.0;

/// A finding where closed figures of an opening's size lie within the roof's box on layers that are used for nothing.
///
/// # Units
/// `area` in drawing units, `limit` in square inches, `inches` is the length of a drawing unit.
pub(super) fn left_figures(drawing: &Drawing, chosen: &Plan, area: Box2, limit: f64, inches: f64) -> Option<Finding> {
    let others = Plan::of_everything(drawing, Annotation::LeftOut);
    let free =
        |layer: u32| chosen.use_of(layer) == Use::Nothing && others.use_of(layer) == Use::Any && others.visible(layer);
    let mut layers: BTreeMap<&str, usize> = BTreeMap::new();
    let mut first: Option<(&Entity, f64)> = None;
    for entity in drawing.model.iter().flat_map(|range| &drawing.entities[range.clone()]) {
        if !entity.shown || !free(entity.layer) {
            continue;
        }
        let Some((own, size)) = closed_figure(&entity.shape) else { continue };
        let size = size * inches * inches;
        if (SMALLEST..=limit).contains(&size) && area.contains(own.min) && area.contains(own.max) {
            *layers.entry(&drawing.layers[entity.layer as usize].name).or_default() += 1;
            first = first.or(Some((entity, size)));
        }
    }
    let (entity, size) = first?;
    let listed: Vec<String> = layers.iter().map(|(name, count)| format!("{name} ({count})")).collect();
    let words = format!(
        "closed figures lie on the roof on layers that are not used: {}; the first of {} sq ft",
        listed.join(", "),
        decimal(size / 144.0, 1)
    );
    let hint = "if they are openings, draw them on a layer named skylight, chimney, vent or hatch, or add their layer to [drawing] roof_layers";
    Some(Finding::new(Severity::Ignored, "figures-not-used", words, place_of_entity(drawing, entity)).with_hint(hint))
}

/// The box and area of a closed polyline by its corners, or of a circle, in drawing units; none for other shapes.
fn closed_figure(shape: &Shape) -> Option<(Box2, f64)> {
    match shape {
        Shape::Polyline(line) if line.closed && line.vertices.len() >= 3 => {
            let points: Vec<Point2> = line.vertices.iter().map(|(point, _)| point.plan()).collect();
            let own = Box2::around(points.iter().copied())?;
            Some((own, Ring { points }.signed_area().abs()))
        }
        Shape::Arc(arc) if arc.end - arc.start >= 360.0 => {
            let center = arc.center.plan();
            let own = Box2 { min: center, max: center }.grown(arc.radius);
            Some((own, PI * arc.radius * arc.radius))
        }
        _ => None,
    }
}

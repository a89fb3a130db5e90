//! What must hold of every set, found from the flattened marks and not from how they were placed.

use super::flatten::{Mark, MarkKind, TextBox, flatten, flatten_model_item};
use super::labels::{Quad, quads_overlap};
use super::layers::Pen;
use super::model::{Shape, Sheet, SheetSet};
use super::scales::scales;
use super::text::{can_print, descent};
use crate::geometry::{Box2, Point2};
use std::collections::BTreeSet;

/// The least height of capitals on paper, inches: 3/32.
const LEAST_CAPITALS: f64 = 0.093_75;
/// How far a stroke may run into a text's box before it counts, inches: less than the white kept around labels.
const STROKE_ROOM: f64 = 0.005;

/// Everything that is wrong with a set; empty when it is sound.
#[must_use]
pub fn check_invariants(set: &SheetSet) -> Vec<String> {
    let mut wrong = Vec::new();
    for model in &set.models {
        unique_ids(&model.name, model.items.iter().map(|i| i.id.as_str()), &mut wrong);
    }
    let mut numbers = BTreeSet::new();
    for sheet in &set.sheets {
        if !numbers.insert(sheet.number.as_str()) {
            wrong.push(format!("two sheets are numbered {}", sheet.number));
        }
        unique_ids(&sheet.number, sheet.items.iter().map(|i| i.id.as_str()), &mut wrong);
        let marks = flatten(set, sheet);
        inside_frame(sheet, &marks, &mut wrong);
        texts_apart(sheet, &marks, &mut wrong);
        texts_clear_of_elements(sheet, &marks, &mut wrong);
        for viewport in &sheet.viewports {
            if !scales().iter().any(|s| s.factor == viewport.scale) {
                wrong.push(format!("{}: scale 1:{} is on no rule", sheet.number, viewport.scale));
            }
        }
    }
    every_model_item_is_seen(set, &mut wrong);
    wrong
}

fn unique_ids<'i>(place: &str, ids: impl Iterator<Item = &'i str>, wrong: &mut Vec<String>) {
    let mut seen = BTreeSet::new();
    for id in ids {
        if id.is_empty() || !seen.insert(id) {
            wrong.push(format!("{place}: id '{id}' is used twice or empty"));
        }
    }
}

/// A mark's corners: its points grown by the pen, its rings, its text box.
fn corners(kind: &MarkKind) -> Vec<(Point2, f64)> {
    match kind {
        MarkKind::Stroke { points, width, .. } => points.iter().map(|&p| (p, 0.5 * width)).collect(),
        MarkKind::Fill { rings, .. } => rings.iter().flat_map(|r| r.points.iter().map(|&p| (p, 0.0))).collect(),
        MarkKind::Text { .. } => text_quad(kind).into_iter().flatten().map(|p| (p, 0.0)).collect(),
    }
}

/// The box of a text mark: capitals and, where the text has letters that reach below the line, their descent.
fn text_quad(kind: &MarkKind) -> Option<Quad> {
    let MarkKind::Text { at, turn, cap_height, width, weight, content, .. } = kind else { return None };
    let below = if content.chars().any(|c| "gjpqy,;()[]Q_/".contains(c)) { descent(*cap_height, *weight) } else { 0.0 };
    let area = TextBox { at: *at, turn: *turn, width: *width, above: *cap_height, below };
    Some(area.corners(0.0))
}

fn inside_frame(sheet: &Sheet, marks: &[Mark], wrong: &mut Vec<String>) {
    let paper = Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(sheet.size.x, sheet.size.y) };
    if !paper.contains(sheet.frame.min) || !paper.contains(sheet.frame.max) {
        wrong.push(format!("{}: the frame leaves the paper", sheet.number));
    }
    // The border itself straddles the frame by half its pen.
    for mark in marks.iter().filter(|m| m.id != "frame" && m.id != "strip") {
        let out = corners(&mark.kind).into_iter().any(|(p, _)| !sheet.frame.grown(1e-6).contains(p));
        if out {
            wrong.push(format!("{}: {} leaves the frame", sheet.number, mark.id));
        }
    }
}

fn texts_apart(sheet: &Sheet, marks: &[Mark], wrong: &mut Vec<String>) {
    let mut texts: Vec<(&Mark, Quad, Box2)> = Vec::new();
    for mark in marks {
        let MarkKind::Text { cap_height, content, .. } = &mark.kind else { continue };
        if *cap_height < LEAST_CAPITALS - 1e-9 {
            wrong.push(format!("{}: {} has capitals of {cap_height} in", sheet.number, mark.id));
        }
        if let Some(c) = content.chars().find(|&c| !can_print(c)) {
            wrong.push(format!("{}: {} has '{c}', which the font lacks", sheet.number, mark.id));
        }
        if let Some(quad) = text_quad(&mark.kind)
            && let Some(bounds) = Box2::around(quad)
        {
            texts.push((mark, quad, bounds));
        }
    }
    // Swept from left to right, so that only neighbours are compared.
    texts.sort_by(|a, b| a.2.min.x.total_cmp(&b.2.min.x));
    for (i, (mark, quad, bounds)) in texts.iter().enumerate() {
        for (other, other_quad, other_bounds) in &texts[i + 1..] {
            if other_bounds.min.x > bounds.max.x {
                break;
            }
            if bounds.meets(*other_bounds) && quads_overlap(quad, other_quad) {
                wrong.push(format!("{}: texts {} and {} overlap", sheet.number, mark.id, other.id));
            }
        }
    }
}

/// No tag or note is crossed by an element's outline or a lead.
fn texts_clear_of_elements(sheet: &Sheet, marks: &[Mark], wrong: &mut Vec<String>) {
    let heavy = [Pen::Starter.id(), Pen::Deck.id(), Pen::Lead.id(), Pen::LeadBelow.id()];
    let mut strokes: Vec<(&Mark, Quad, Box2)> = Vec::new();
    for mark in marks.iter().filter(|m| heavy.contains(&m.layer)) {
        let MarkKind::Stroke { points, closed, .. } = &mark.kind else { continue };
        let closing = closed.then(|| [points[points.len() - 1], points[0]]);
        for [a, b] in points.windows(2).map(|w| [w[0], w[1]]).chain(closing) {
            if let Some(along) = (b - a).unit() {
                let side = along.left() * STROKE_ROOM;
                let quad = [a - side, b - side, b + side, a + side];
                if let Some(bounds) = Box2::around(quad) {
                    strokes.push((mark, quad, bounds));
                }
            }
        }
    }
    strokes.sort_by(|a, b| a.2.min.x.total_cmp(&b.2.min.x));
    let widest = strokes.iter().map(|s| s.2.width()).fold(0.0, f64::max);
    for mark in marks {
        let Some(quad) = text_quad(&mark.kind) else { continue };
        let Some(bounds) = Box2::around(quad) else { continue };
        let from = strokes.partition_point(|s| s.2.min.x < bounds.min.x - widest);
        for (stroke, stroke_quad, stroke_bounds) in &strokes[from..] {
            if stroke_bounds.min.x > bounds.max.x {
                break;
            }
            if bounds.meets(*stroke_bounds) && quads_overlap(&quad, stroke_quad) {
                wrong.push(format!("{}: {} is crossed by {}", sheet.number, mark.id, stroke.id));
                break;
            }
        }
    }
}

/// A model item that no window shows was lost.
fn every_model_item_is_seen(set: &SheetSet, wrong: &mut Vec<String>) {
    for (position, model) in set.models.iter().enumerate() {
        let windows: Vec<_> = set.sheets.iter().flat_map(|s| &s.viewports).filter(|v| v.model.0 == position).collect();
        for item in &model.items {
            let texts = |marks: &[Mark]| marks.iter().filter(|m| matches!(m.kind, MarkKind::Text { .. })).count();
            let wants_text = match &item.shape {
                Shape::Text(text) => usize::from(!text.content.is_empty()),
                Shape::Dimension(_) => 1,
                Shape::Insert { block, attributes, .. } => {
                    let shown = set.blocks[block.0].attributes.len();
                    attributes.iter().take(shown).filter(|a| !a.is_empty()).count()
                }
                _ => 0,
            };
            let seen = windows.iter().any(|v| {
                let marks = flatten_model_item(set, v, item);
                !marks.is_empty() && texts(&marks) >= wants_text
            });
            let empty = matches!(&item.shape, Shape::Area { regions, .. } if regions.iter().all(|r| r.area() < 1e-6));
            // A hatch finer than its area may have no line at all.
            let hatch = matches!(&item.shape, Shape::Area { fill: super::model::Fill::Lines { .. }, .. });
            if !seen && !empty && !hatch {
                wrong.push(format!("{}: {} is in no window", model.name, item.id));
            }
        }
    }
}

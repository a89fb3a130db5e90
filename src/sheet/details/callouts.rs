//! Notes in a column beside a detail, each with a line to what it means.

use super::super::blocks::Symbol;
use super::super::layers::Pen;
use super::super::model::Anchor;
use super::super::pad::{LEADING, NOTE, Pad};
use crate::geometry::{Box2, Point2, Vector2};

/// A note and the point it speaks of.
pub(super) struct Callout {
    /// In the model, inches.
    pub at: Point2,
    /// What is said.
    pub words: String,
}

/// Shorthand for a list of notes.
pub(super) fn callout(at: Point2, words: impl Into<String>) -> Callout {
    Callout { at, words: words.into() }
}

/// Width of the column, inches on paper.
const COLUMN: f64 = 2.15;
/// From the object to the column, inches on paper: room for the lines to spread.
const AWAY: f64 = 0.45;
/// White between two notes, inches on paper.
const BETWEEN: f64 = 0.1;
/// Level start of each line, inches on paper.
const STUB: f64 = 0.12;

/// Draws the notes to the right of `object`, ordered by height so that no two lines cross.
pub(super) fn callouts(pad: &mut Pad, scale: f64, object: Box2, mut notes: Vec<Callout>) {
    notes.sort_by(|a, b| b.at.y.total_cmp(&a.at.y).then(b.at.x.total_cmp(&a.at.x)));
    let wrapped: Vec<Vec<String>> = notes.iter().map(|n| NOTE.wrap(&n.words, COLUMN)).collect();
    let heights: Vec<f64> = wrapped.iter().map(|lines| LEADING * lines.len() as f64).collect();
    let left = object.max.x + AWAY * scale;
    let tops = tops(&notes.iter().map(|n| n.at.y / scale).collect::<Vec<_>>(), &heights, object, scale);
    for (i, ((note, lines), top)) in notes.iter().zip(&wrapped).zip(tops).enumerate() {
        let id = format!("note{}", i + 1);
        for (j, line) in lines.iter().enumerate() {
            let low = top - LEADING * (j as f64 + 1.0) + 0.3 * (LEADING - NOTE.height);
            let text = NOTE.text(Point2::new(left, low * scale), Anchor::Left, line.as_str());
            pad.text(format!("{id}.{}", j + 1), Pen::Note, text);
        }
        let level = (top - 0.5 * LEADING) * scale;
        let start = Point2::new(left - 0.05 * scale, level);
        let elbow = Point2::new(start.x - STUB * scale, level);
        pad.path(format!("{id}.line"), Pen::Note, vec![start, elbow, note.at]);
        if let Some(turn) = (note.at - elbow).unit() {
            pad.insert(format!("{id}.head"), Pen::Note, Symbol::Pointer.id(), note.at, turn, Vec::new());
        }
    }
}

/// Upper edges of the notes on paper: each as level with what it means as its neighbours allow, the column within the object's
/// height where it is the shorter of the two and about its middle where it is not.
fn tops(wanted: &[f64], heights: &[f64], object: Box2, scale: f64) -> Vec<f64> {
    let all = heights.iter().sum::<f64>() + BETWEEN * heights.len().saturating_sub(1) as f64;
    let middle = object.center().y / scale;
    let high = (object.max.y / scale).max(middle + 0.5 * all);
    let low = (object.min.y / scale).min(middle - 0.5 * all);
    let mut tops = Vec::with_capacity(wanted.len());
    let mut limit = high;
    for (level, height) in wanted.iter().zip(heights) {
        let top = (level + 0.5 * LEADING).min(limit);
        tops.push(top);
        limit = top - height - BETWEEN;
    }
    // Pushed up again from the bottom.
    let mut floor = low;
    for (top, height) in tops.iter_mut().zip(heights).rev() {
        *top = top.max(floor + height);
        floor = *top + BETWEEN;
    }
    tops
}

/// The upright box around points, for the bounds of an object.
pub(super) fn around(points: &[Point2]) -> Box2 {
    Box2::around(points.iter().copied()).unwrap_or(Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(1.0, 1.0) })
}

/// Points of a wavy break line across a cut member: three strokes of a lazy S.
pub(super) fn break_line(from: Point2, to: Point2, wave: f64) -> Vec<Point2> {
    let along = to - from;
    let side = along.unit().map_or(Vector2::new(0.0, 0.0), Vector2::left) * wave;
    vec![from, from + along * 0.42, from + along * 0.46 + side, from + along * 0.54 - side, from + along * 0.58, to]
}

//! A linear dimension as lines, ticks and text: architectural ticks, text above the unbroken line, readable from below or
//! from the right.

use super::model::{Anchor, Dimension, FontWeight, Text};
use super::text::text_width;
use crate::geometry::{Point2, Segment2, Vector2};

/// Height of dimension figures, inches on paper.
pub const FIGURE_HEIGHT: f64 = 0.093_75;
/// Between the measured point and its extension line, inches on paper.
const EXTENSION_GAP: f64 = 0.0625;
/// Extension line beyond the dimension line, inches on paper.
const EXTENSION_PAST: f64 = 0.0625;
/// Half the length of a tick along each axis, inches on paper.
const HALF_TICK: f64 = 0.045;
/// From the dimension line up to the figures, inches on paper.
const FIGURE_LIFT: f64 = 0.045;
/// White kept between figures and the extension lines beside them, inches on paper.
const FIGURE_ROOM: f64 = 0.05;

/// What a dimension is drawn as, in paper inches.
#[derive(Debug, Clone, PartialEq)]
pub struct DimensionParts {
    /// Extension lines and the dimension line.
    pub lines: Vec<Segment2>,
    /// Ticks at both ends of the dimension line.
    pub ticks: Vec<Segment2>,
    /// The figures.
    pub text: Text,
}

/// Draws a dimension between two paper points, its line `offset` to the left of `a` to `b`.
///
/// Figures that do not fit between the extension lines stand beyond `b` over a lengthened dimension line. Two equal points
/// are read as a level dimension of length 0.
#[must_use]
pub fn dimension_parts(a: Point2, b: Point2, offset: f64, figures: &str) -> DimensionParts {
    let along = (b - a).unit().unwrap_or(Vector2::new(1.0, 0.0));
    let side = along.left() * if offset < 0.0 { -1.0 } else { 1.0 };
    let distance = offset.abs();
    let (from, to) = (a + side * distance, b + side * distance);
    let width = text_width(figures, FIGURE_HEIGHT, FontWeight::Regular);
    let length = a.distance(b);
    let fits = width + 2.0 * FIGURE_ROOM <= length;
    let line_end = if fits { to } else { to + along * (width + 2.0 * FIGURE_ROOM) };
    let mut lines = vec![Segment2::new(from, line_end)];
    if distance > EXTENSION_GAP {
        lines.extend([a, b].map(|p| Segment2::new(p + side * EXTENSION_GAP, p + side * (distance + EXTENSION_PAST))));
    }
    let reading = readable(along);
    let slash = (reading + reading.left()) * HALF_TICK;
    let ticks = [from, to].map(|p| Segment2::new(p - slash, p + slash)).to_vec();
    let middle = if fits { from.lerp(to, 0.5) } else { to + along * (FIGURE_ROOM + 0.5 * width) };
    let text = Text {
        at: middle + reading.left() * FIGURE_LIFT,
        anchor: Anchor::Center,
        height: FIGURE_HEIGHT,
        turn: reading,
        weight: FontWeight::Regular,
        content: figures.to_owned(),
        mask: false,
    };
    DimensionParts { lines, ticks, text }
}

/// The same line read from below or from the right of the sheet.
#[must_use]
pub fn readable(along: Vector2) -> Vector2 {
    // A line drawn straight down has x = -0.0 or a rounding error; below one part in a million it counts as upright.
    if along.x < -1e-6 || (along.x.abs() <= 1e-6 && along.y < 0.0) { -along } else { along }
}

/// A dimension whose figures are its true length.
#[must_use]
pub fn measured(a: Point2, b: Point2, offset: f64) -> Dimension {
    Dimension { a, b, offset, text: crate::units::feet_inches(a.distance(b)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_stand_above_the_line_when_they_fit() {
        let parts = dimension_parts(Point2::new(0.0, 0.0), Point2::new(3.0, 0.0), 0.5, "12'-0\"");
        assert_eq!(parts.lines.len(), 3);
        assert!((parts.text.at.x - 1.5).abs() < 1e-12 && parts.text.at.y > 0.5);
        assert!(parts.lines.iter().skip(1).all(|l| l.b.y > 0.5 && l.a.y > 0.0));
    }

    #[test]
    fn figures_too_wide_stand_beyond_the_second_point() {
        let parts = dimension_parts(Point2::new(0.0, 0.0), Point2::new(0.1, 0.0), 0.5, "12'-0 1/2\"");
        assert!(parts.text.at.x > 0.1 + 0.5 * text_width("12'-0 1/2\"", FIGURE_HEIGHT, FontWeight::Regular));
    }

    #[test]
    fn upright_dimensions_read_from_the_right() {
        for (a, b) in [(Point2::new(0.0, 3.0), Point2::new(0.0, 0.0)), (Point2::new(0.0, 0.0), Point2::new(0.0, 3.0))] {
            let parts = dimension_parts(a, b, 0.5, "9\"");
            assert_eq!(parts.text.turn, Vector2::new(0.0, 1.0));
        }
    }
}

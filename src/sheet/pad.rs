//! A pad to draw on: items with ids, layers and the few text styles of the set.

use super::layers::Pen;
use super::model::{Anchor, BlockId, Dimension, Fill, FontWeight, Item, Shape, Text};
use crate::geometry::{Point2, Region, Ring, Vector2};

/// Reading direction of most text.
pub(super) const LEVEL: Vector2 = Vector2::new(1.0, 0.0);
/// From one line of notes to the next, inches on paper.
pub(super) const LEADING: f64 = 0.165;

/// Height and face of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    /// Height of capitals, inches on paper.
    pub height: f64,
    /// Which face.
    pub weight: FontWeight,
}

/// Notes, dimensions, table cells: 3/32 in, the least a plotted sheet should carry.
pub(super) const NOTE: Style = Style { height: 0.093_75, weight: FontWeight::Regular };
/// Tags.
pub(super) const TAG: Style = Style { height: 0.093_75, weight: FontWeight::Bold };
/// Headings and face tags.
pub(super) const HEAD: Style = Style { height: 0.125, weight: FontWeight::Bold };
/// Sheet and view titles.
pub(super) const TITLE: Style = Style { height: 0.25, weight: FontWeight::Bold };

impl Style {
    /// A level line of text.
    pub(super) fn text(self, at: Point2, anchor: Anchor, content: impl Into<String>) -> Text {
        self.turned(at, anchor, LEVEL, content)
    }

    /// A line of text in any direction.
    pub(super) fn turned(self, at: Point2, anchor: Anchor, turn: Vector2, content: impl Into<String>) -> Text {
        Text { at, anchor, height: self.height, turn, weight: self.weight, content: content.into(), mask: false }
    }

    /// Its width on paper.
    pub(super) fn width(self, content: &str) -> f64 {
        super::text::text_width(content, self.height, self.weight)
    }

    /// Broken into lines of at most `width` inches.
    pub(super) fn wrap(self, content: &str, width: f64) -> Vec<String> {
        super::text::wrap(content, width, self.height, self.weight)
    }
}

/// Items in drawing order.
#[derive(Debug, Clone, Default)]
pub(super) struct Pad {
    /// What was drawn.
    pub items: Vec<Item>,
}

impl Pad {
    fn add(&mut self, id: impl Into<String>, pen: Pen, shape: Shape) {
        self.items.push(Item { id: id.into(), layer: pen.id(), shape });
    }

    pub(super) fn line(&mut self, id: impl Into<String>, pen: Pen, a: Point2, b: Point2) {
        self.add(id, pen, Shape::Polyline { points: vec![a, b], closed: false });
    }

    pub(super) fn path(&mut self, id: impl Into<String>, pen: Pen, points: Vec<Point2>) {
        self.add(id, pen, Shape::Polyline { points, closed: false });
    }

    pub(super) fn ring(&mut self, id: impl Into<String>, pen: Pen, points: Vec<Point2>) {
        self.add(id, pen, Shape::Polyline { points, closed: true });
    }

    pub(super) fn circle(&mut self, id: impl Into<String>, pen: Pen, center: Point2, radius: f64) {
        self.add(id, pen, Shape::Circle { center, radius });
    }

    pub(super) fn tone(&mut self, id: impl Into<String>, pen: Pen, regions: Vec<Region>, gray: u8) {
        self.add(id, pen, Shape::Area { regions, fill: Fill::Tone(gray) });
    }

    pub(super) fn hatch(&mut self, id: impl Into<String>, pen: Pen, regions: Vec<Region>, fill: Fill) {
        self.add(id, pen, Shape::Area { regions, fill });
    }

    pub(super) fn text(&mut self, id: impl Into<String>, pen: Pen, text: Text) {
        if !text.content.is_empty() {
            self.add(id, pen, Shape::Text(text));
        }
    }

    pub(super) fn dimension(&mut self, id: impl Into<String>, dimension: Dimension) {
        self.add(id, Pen::Dimension, Shape::Dimension(dimension));
    }

    pub(super) fn insert(
        &mut self,
        id: impl Into<String>,
        pen: Pen,
        block: BlockId,
        at: Point2,
        turn: Vector2,
        attributes: Vec<String>,
    ) {
        self.add(id, pen, Shape::Insert { block, at, turn, attributes });
    }

    pub(super) fn box_of(&mut self, id: impl Into<String>, pen: Pen, min: Point2, max: Point2) {
        self.ring(id, pen, rectangle(min, max));
    }

    /// Lines of text under each other, the first baseline one leading below `top`; returns the height used.
    pub(super) fn lines(&mut self, id: &str, pen: Pen, style: Style, top: Point2, lines: &[String]) -> f64 {
        let leading = leading(style);
        for (i, line) in lines.iter().enumerate() {
            let at = Point2::new(top.x, top.y - leading * (i as f64 + 1.0) + 0.3 * (leading - style.height));
            self.text(format!("{id}.{}", i + 1), pen, style.text(at, Anchor::Left, line.as_str()));
        }
        leading * lines.len() as f64
    }
}

/// From one line of a style to the next, inches on paper.
pub(super) fn leading(style: Style) -> f64 {
    LEADING * style.height / NOTE.height
}

/// Corners of an upright rectangle, counter-clockwise.
pub(super) fn rectangle(min: Point2, max: Point2) -> Vec<Point2> {
    vec![min, Point2::new(max.x, min.y), max, Point2::new(min.x, max.y)]
}

/// The items enlarged about the origin, letters too, and then moved. Symbols and hatches keep their size on paper.
///
/// Positions are rounded to a ten-thousandth of an inch: nobody sees more, and shorter figures make smaller files.
pub(super) fn placed(items: Vec<Item>, factor: f64, by: Vector2) -> Vec<Item> {
    let fine = |x: f64| (x * 10_000.0).round() / 10_000.0;
    let point = |p: Point2| Point2::new(fine(p.x * factor + by.x), fine(p.y * factor + by.y));
    let all = |points: Vec<Point2>| points.into_iter().map(point).collect::<Vec<_>>();
    let ring = |ring: Ring| Ring::new(all(ring.points));
    items
        .into_iter()
        .map(|item| {
            let shape = match item.shape {
                Shape::Polyline { points, closed } => Shape::Polyline { points: all(points), closed },
                Shape::Circle { center, radius } => Shape::Circle { center: point(center), radius: radius * factor },
                Shape::Area { regions, fill } => {
                    let moved = |r: Region| Region {
                        exterior: ring(r.exterior),
                        holes: r.holes.into_iter().map(ring).collect(),
                    };
                    Shape::Area { regions: regions.into_iter().map(moved).collect(), fill }
                }
                Shape::Text(text) => Shape::Text(Text { at: point(text.at), height: text.height * factor, ..text }),
                Shape::Dimension(d) => Shape::Dimension(Dimension { a: point(d.a), b: point(d.b), ..d }),
                Shape::Insert { block, at, turn, attributes } => {
                    Shape::Insert { block, at: point(at), turn, attributes }
                }
            };
            Item { shape, ..item }
        })
        .collect()
}

//! A sheet becomes plain marks on paper: strokes, fills and lines of text.
//!
//! Inches of paper, y up. What viewports show is clipped to their windows; dimensions become lines, ticks and text; symbols are
//! expanded; hatches become lines. The writers of SVG and PDF only translate. The marks of one item follow each other and carry
//! its id, so a writer can group them.
//! A text of a model that does not lie wholly in a window is left out of it; [`super::check`] reports every text that
//! appears in no window, so nothing goes missing unseen.

use super::clip::{clip_polyline, clip_regions, hatch_lines};
use super::dimensions::dimension_parts;
use super::model::{Anchor, Block, Fill, FontWeight, Item, LayerId, Shape, Sheet, SheetSet, Text, Viewport};
use super::text::{descent, font_size, text_width};
use crate::geometry::{Box2, Point2, Region, Ring, Vector2, trig};

/// Chords of a circle: at 1/2 in radius the error is under 0.002 in.
const CIRCLE_CHORDS: usize = 48;
/// Blank margin around a masked text, inches.
const MASK_MARGIN: f64 = 0.025;

/// What a mark is.
#[derive(Debug, Clone, PartialEq)]
pub enum MarkKind {
    /// A pen stroke.
    Stroke {
        /// At least two points.
        points: Vec<Point2>,
        /// Whether the last joins the first.
        closed: bool,
        /// Pen width, inches.
        width: f64,
        /// Dash, gap, ... in inches; empty for unbroken.
        dashes: &'static [f64],
        /// 0 black to 255 white.
        gray: u8,
    },
    /// A filled figure: rings by the even-odd rule.
    Fill {
        /// Exteriors and holes.
        rings: Vec<Ring>,
        /// 0 black to 255 white.
        gray: u8,
    },
    /// One line of text.
    Text {
        /// Left end of the baseline.
        at: Point2,
        /// Reading direction, length 1.
        turn: Vector2,
        /// Height of capitals, inches.
        cap_height: f64,
        /// Font size (em), inches.
        font_size: f64,
        /// Width, inches.
        width: f64,
        /// Which face of the font.
        weight: FontWeight,
        /// The characters.
        content: String,
        /// 0 black to 255 white.
        gray: u8,
    },
}

impl MarkKind {
    /// Whether both are drawn with the same pen, in the same tone or in the same letters.
    #[must_use]
    pub fn same_style(&self, other: &Self) -> bool {
        match (self, other) {
            (
                Self::Stroke { width, dashes, gray, .. },
                Self::Stroke { width: other_width, dashes: other_dashes, gray: other_gray, .. },
            ) => width == other_width && dashes == other_dashes && gray == other_gray,
            (Self::Fill { gray, .. }, Self::Fill { gray: other, .. }) => gray == other,
            (
                Self::Text { font_size, weight, gray, .. },
                Self::Text { font_size: other_size, weight: other_weight, gray: other_gray, .. },
            ) => font_size == other_size && weight == other_weight && gray == other_gray,
            _ => false,
        }
    }
}

/// One plain mark on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Id of the item it belongs to.
    pub id: String,
    /// Layer of the item.
    pub layer: LayerId,
    /// What it is.
    pub kind: MarkKind,
}

/// Where a shape's coordinates go on paper.
#[derive(Debug, Clone, Copy)]
enum Ground<'a> {
    /// Paper inches already.
    Paper,
    /// A model seen through a window.
    Window(&'a Viewport),
    /// A symbol at a paper point, its x axis turned.
    Symbol(Point2, Vector2),
}

impl Ground<'_> {
    fn point(&self, p: Point2) -> Point2 {
        match self {
            Self::Paper => p,
            Self::Window(viewport) => viewport.to_paper(p),
            Self::Symbol(at, turn) => *at + *turn * p.x + turn.left() * p.y,
        }
    }

    fn direction(&self, d: Vector2) -> Vector2 {
        match self {
            Self::Paper => d,
            Self::Window(viewport) => viewport.turn * d.x + viewport.turn.left() * d.y,
            Self::Symbol(_, turn) => *turn * d.x + turn.left() * d.y,
        }
    }

    fn length(&self, inches: f64) -> f64 {
        match self {
            Self::Window(viewport) => inches / viewport.scale,
            _ => inches,
        }
    }
}

/// All marks of a sheet in drawing order: windows first, then the paper items.
#[must_use]
pub fn flatten(set: &SheetSet, sheet: &Sheet) -> Vec<Mark> {
    let mut marks = Vec::new();
    for viewport in &sheet.viewports {
        for item in &set.models[viewport.model.0].items {
            flatten_item(set, item, Ground::Window(viewport), Some(viewport.window), &mut marks);
        }
    }
    for item in &sheet.items {
        flatten_item(set, item, Ground::Paper, None, &mut marks);
    }
    marks
}

/// The marks of a model item seen through a viewport; empty when it lies outside the window.
#[must_use]
pub fn flatten_model_item(set: &SheetSet, viewport: &Viewport, item: &Item) -> Vec<Mark> {
    let mut marks = Vec::new();
    flatten_item(set, item, Ground::Window(viewport), Some(viewport.window), &mut marks);
    marks
}

fn flatten_item(set: &SheetSet, item: &Item, ground: Ground, window: Option<Box2>, marks: &mut Vec<Mark>) {
    let pen = Pen { set, id: &item.id, layer: item.layer, window };
    match &item.shape {
        Shape::Polyline { points, closed } => {
            pen.stroke(points.iter().map(|&p| ground.point(p)).collect(), *closed, marks);
        }
        Shape::Circle { center, radius } => {
            pen.stroke(circle(ground.point(*center), ground.length(*radius)), true, marks);
        }
        Shape::Area { regions, fill } => {
            let regions: Vec<Region> = regions.iter().map(|r| moved(r, &ground)).collect();
            pen.area(&regions, *fill, &ground, marks);
        }
        Shape::Text(text) => pen.text(text, &ground, marks),
        Shape::Dimension(dimension) => {
            let parts = dimension_parts(
                ground.point(dimension.a),
                ground.point(dimension.b),
                dimension.offset,
                &dimension.text,
            );
            for line in parts.lines {
                pen.stroke(vec![line.a, line.b], false, marks);
            }
            for tick in parts.ticks {
                pen.heavy_stroke(vec![tick.a, tick.b], marks);
            }
            pen.text(&parts.text, &Ground::Paper, marks);
        }
        Shape::Insert { block, at, turn, attributes } => {
            let symbol = Ground::Symbol(ground.point(*at), ground.direction(*turn));
            insert(set, item, &set.blocks[block.0], attributes, symbol, window, marks);
        }
    }
}

/// A symbol's items and attributes take the id of the insert, each its own layer.
fn insert(
    set: &SheetSet,
    item: &Item,
    block: &Block,
    attributes: &[String],
    ground: Ground,
    window: Option<Box2>,
    marks: &mut Vec<Mark>,
) {
    for part in &block.items {
        let part = Item { id: item.id.clone(), ..part.clone() };
        flatten_item(set, &part, ground, window, marks);
    }
    let pen = Pen { set, id: &item.id, layer: item.layer, window };
    for ((_, shown), value) in block.attributes.iter().zip(attributes) {
        pen.text(&Text { content: value.clone(), ..shown.clone() }, &ground, marks);
    }
}

/// Draws with the weight, line type and tone of one layer.
struct Pen<'a> {
    set: &'a SheetSet,
    id: &'a str,
    layer: LayerId,
    window: Option<Box2>,
}

impl Pen<'_> {
    fn mark(&self, kind: MarkKind) -> Mark {
        Mark { id: self.id.to_owned(), layer: self.layer, kind }
    }

    fn width(&self) -> f64 {
        f64::from(self.set.layers[self.layer.0].weight) / 100.0 / crate::units::MILLIMETRES_PER_INCH
    }

    fn stroke(&self, points: Vec<Point2>, closed: bool, marks: &mut Vec<Mark>) {
        let dashes = self.set.layers[self.layer.0].line_type.dashes();
        self.stroke_as(points, closed, self.width(), dashes, marks);
    }

    /// Dimension ticks are twice as heavy as their line and never dashed.
    fn heavy_stroke(&self, points: Vec<Point2>, marks: &mut Vec<Mark>) {
        self.stroke_as(points, false, 2.0 * self.width(), &[], marks);
    }

    fn stroke_as(&self, points: Vec<Point2>, closed: bool, width: f64, dashes: &'static [f64], marks: &mut Vec<Mark>) {
        let gray = self.set.layers[self.layer.0].gray;
        let pieces = match self.window {
            None => vec![(points, closed)],
            Some(window) => clip_polyline(&points, closed, window),
        };
        marks.extend(
            pieces
                .into_iter()
                .map(|(points, closed)| self.mark(MarkKind::Stroke { points, closed, width, dashes, gray })),
        );
    }

    fn area(&self, regions: &[Region], fill: Fill, ground: &Ground, marks: &mut Vec<Mark>) {
        let regions = match self.window {
            None => regions.to_vec(),
            Some(window) => clip_regions(regions, window),
        };
        match fill {
            Fill::Tone(gray) => marks.extend(
                regions.iter().map(|r| self.mark(MarkKind::Fill { rings: r.rings().cloned().collect(), gray })),
            ),
            Fill::Lines { along, spacing } => {
                for line in hatch_lines(&regions, ground.direction(along), spacing) {
                    self.stroke(vec![line.a, line.b], false, marks);
                }
            }
        }
    }

    fn text(&self, text: &Text, ground: &Ground, marks: &mut Vec<Mark>) {
        if text.content.is_empty() {
            return;
        }
        let placed = place_text(text, ground.point(text.at), ground.direction(text.turn));
        let corners = placed.corners(if text.mask { MASK_MARGIN } else { 0.0 });
        if self.window.is_some_and(|window| !corners.iter().all(|&c| window.contains(c))) {
            return;
        }
        if text.mask {
            marks.push(self.mark(MarkKind::Fill { rings: vec![Ring::new(corners.to_vec())], gray: 255 }));
        }
        marks.push(self.mark(MarkKind::Text {
            at: placed.at,
            turn: placed.turn,
            cap_height: text.height,
            font_size: font_size(text.height, text.weight),
            width: placed.width,
            weight: text.weight,
            content: text.content.clone(),
            gray: self.set.layers[self.layer.0].gray,
        }));
    }
}

/// A text's box on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TextBox {
    /// Left end of the baseline.
    pub at: Point2,
    /// Reading direction.
    pub turn: Vector2,
    /// Width, inches.
    pub width: f64,
    /// From the baseline up, inches.
    pub above: f64,
    /// From the baseline down, inches.
    pub below: f64,
}

impl TextBox {
    /// Its corners counter-clockwise, grown by `margin`.
    #[must_use]
    pub fn corners(&self, margin: f64) -> [Point2; 4] {
        let up = self.turn.left();
        let corner = |x: f64, y: f64| self.at + self.turn * x + up * y;
        [
            corner(-margin, -self.below - margin),
            corner(self.width + margin, -self.below - margin),
            corner(self.width + margin, self.above + margin),
            corner(-margin, self.above + margin),
        ]
    }
}

/// Where a text held at a paper point lies.
#[must_use]
pub fn place_text(text: &Text, at: Point2, turn: Vector2) -> TextBox {
    let width = text_width(&text.content, text.height, text.weight);
    let back = match text.anchor {
        Anchor::Left | Anchor::MiddleLeft => 0.0,
        Anchor::Center | Anchor::Middle => 0.5 * width,
        Anchor::Right | Anchor::MiddleRight => width,
    };
    let down = match text.anchor {
        Anchor::Left | Anchor::Center | Anchor::Right => 0.0,
        Anchor::MiddleLeft | Anchor::Middle | Anchor::MiddleRight => 0.5 * text.height,
    };
    let below = if text.content.chars().any(|c| "gjpqy,;()[]Q_/".contains(c)) {
        descent(text.height, text.weight)
    } else {
        0.0
    };
    TextBox { at: at - turn * back - turn.left() * down, turn, width, above: text.height, below }
}

fn circle(center: Point2, radius: f64) -> Vec<Point2> {
    (0..CIRCLE_CHORDS)
        .map(|i| {
            let angle = std::f64::consts::TAU * i as f64 / CIRCLE_CHORDS as f64;
            Point2::new(center.x + radius * trig::cos(angle), center.y + radius * trig::sin(angle))
        })
        .collect()
}

fn moved(region: &Region, ground: &Ground) -> Region {
    let ring = |ring: &Ring| Ring::new(ring.points.iter().map(|&p| ground.point(p)).collect());
    Region { exterior: ring(&region.exterior), holes: region.holes.iter().map(ring).collect() }
}

#[cfg(test)]
mod tests {
    use super::super::model::{Layer, LineType, Model, ModelId};
    use super::*;

    fn set_of(items: Vec<Item>) -> (SheetSet, Sheet) {
        let layer =
            Layer { name: "A-TEST", words: "", weight: 25, line_type: LineType::Continuous, gray: 0, plots: true };
        let model = Model { name: "plan".into(), is_plan: true, lettered_for: 48.0, items };
        let set = SheetSet { layers: vec![layer], models: vec![model], ..SheetSet::default() };
        let window = Box2 { min: Point2::new(1.0, 1.0), max: Point2::new(11.0, 7.0) };
        let viewport = Viewport {
            model: ModelId(0),
            window,
            center: Point2::new(240.0, 0.0),
            scale: 48.0,
            turn: Vector2::new(1.0, 0.0),
        };
        let sheet = Sheet {
            number: "E-101".into(),
            title: String::new(),
            size: Vector2::new(17.0, 11.0),
            frame: Box2 { min: Point2::new(0.5, 0.5), max: Point2::new(16.5, 10.5) },
            viewports: vec![viewport],
            items: Vec::new(),
        };
        (set, sheet)
    }

    fn item(shape: Shape) -> Item {
        Item { id: "X".into(), layer: LayerId(0), shape }
    }

    /// 40 ft at 1/4 in = 1 ft is 10 in of paper.
    #[test]
    fn forty_feet_at_a_quarter_inch_are_ten_inches_of_paper() {
        let (set, sheet) = set_of(vec![item(Shape::Polyline {
            points: vec![Point2::new(0.0, 0.0), Point2::new(480.0, 0.0)],
            closed: false,
        })]);
        let marks = flatten(&set, &sheet);
        let MarkKind::Stroke { points, width, .. } = &marks[0].kind else { panic!("{marks:?}") };
        assert_eq!(points, &vec![Point2::new(1.0, 4.0), Point2::new(11.0, 4.0)]);
        assert!((width - 0.25 / 25.4).abs() < 1e-12);
    }

    #[test]
    fn text_keeps_its_paper_height_and_is_dropped_only_outside_its_window() {
        let text = |x: f64| {
            item(Shape::Text(Text {
                at: Point2::new(x, 0.0),
                anchor: Anchor::Middle,
                height: 0.125,
                turn: Vector2::new(1.0, 0.0),
                weight: FontWeight::Regular,
                content: "E4".into(),
                mask: true,
            }))
        };
        let (set, sheet) = set_of(vec![text(240.0), text(0.0)]);
        let marks = flatten(&set, &sheet);
        assert_eq!(marks.len(), 2, "one white ground and one text: the other text straddles the window's edge");
        let MarkKind::Text { at, cap_height, width, .. } = &marks[1].kind else { panic!("{marks:?}") };
        assert_eq!(*cap_height, 0.125);
        assert!((at.x + 0.5 * width - 6.0).abs() < 1e-9 && (at.y + 0.0625 - 4.0).abs() < 1e-9);
    }

    #[test]
    fn hatches_are_spaced_on_paper() {
        let region = Region::simple(vec![
            Point2::new(100.0, -48.0),
            Point2::new(148.0, -48.0),
            Point2::new(148.0, 48.0),
            Point2::new(100.0, 48.0),
        ]);
        let fill = Fill::Lines { along: Vector2::new(1.0, 0.0), spacing: 0.1 };
        let (set, sheet) = set_of(vec![item(Shape::Area { regions: vec![region], fill })]);
        let lines = flatten(&set, &sheet);
        // Two inches of paper, a line every tenth.
        assert!((20..=21).contains(&lines.len()), "{}", lines.len());
        assert!(lines.iter().all(|m| m.id == "X"));
    }
}

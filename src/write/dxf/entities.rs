//! Items become DXF entities in the space they lie in.
//!
//! Every entity carries its item's id as extended data, but for texts on paper and for attributes, whose symbol carries it. Masks behind texts are left out: a white patch would hide the text on
//! a dark screen.

use super::document::{APPLICATION, Drawing, WINDOW_LAYER, Window};
use super::paragraph::Paragraph;
use super::tags::{Handle, Handles, Tags};
use crate::geometry::{Box2, Point2, Region, Ring, Vector2, trig};
use crate::sheet::{
    Anchor, Block, BlockId, Dimension, FIGURE_HEIGHT, Fill, FontWeight, Item, LayerId, Shape, Text, dimension_parts,
    place_text,
};
use crate::terms::DxfRelease;

/// Our dimension style.
pub(super) const DIMENSION_STYLE: &str = "EAVESDRAFT";
/// Line weights the format knows, hundredths of a millimetre.
const LINE_WEIGHTS: [i64; 24] =
    [0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211];
/// Colour numbers of greys with their tone, the darkest being the pen colour that is black on paper.
const GRAYS: [(i64, i64); 7] = [(7, 0), (250, 51), (251, 91), (252, 132), (253, 173), (254, 214), (255, 255)];

/// How an item's coordinates lie in a space of the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Space {
    /// Where the item's origin goes.
    pub origin: Point2,
    /// Drawing units of one inch of the item's coordinates.
    pub per_inch: f64,
    /// Drawing units of one inch on paper: sizes letters and symbols.
    pub per_paper_inch: f64,
}

impl Space {
    /// Inches of paper as they are.
    pub(super) const PAPER: Self = Self { origin: Point2::new(0.0, 0.0), per_inch: 1.0, per_paper_inch: 1.0 };

    fn point(&self, p: Point2) -> Point2 {
        let at = Point2::new(self.origin.x + p.x * self.per_inch, self.origin.y + p.y * self.per_inch);
        // Our own inches need no more than a ten-thousandth; the source drawing's units are kept as they come out.
        if self.per_inch == 1.0 { fine(at) } else { at }
    }
}

/// A point in inches to a ten-thousandth, which keeps figures short.
fn fine(p: Point2) -> Point2 {
    let round = |x: f64| (x * 1e4).round() / 1e4;
    Point2::new(round(p.x), round(p.y))
}

/// A block as written in the BLOCKS section.
#[derive(Debug, Clone)]
pub(super) struct BlockDefinition {
    pub name: String,
    pub record: Handle,
    /// 1 anonymous, 2 has attributes.
    pub flags: i64,
    pub content: Tags,
}

/// The blocks of a drawing so far: symbols, and one for every dimension.
#[derive(Debug, Default)]
pub(super) struct Blocks {
    pub definitions: Vec<BlockDefinition>,
    dimensions: usize,
}

/// Writes the entities of one space.
pub(super) struct Entities<'a> {
    drawing: &'a Drawing<'a>,
    owner: Handle,
    on_paper: bool,
    handles: &'a mut Handles,
    blocks: &'a mut Blocks,
    out: Tags,
    extents: Option<Box2>,
}

/// Where a text stands in drawing units.
struct Lettering<'a> {
    text: &'a Text,
    content: &'a str,
    at: Point2,
    turn: Vector2,
    scale: f64,
}

impl<'a> Entities<'a> {
    /// A writer for the space whose block record is `owner`.
    pub(super) fn new(
        drawing: &'a Drawing<'a>,
        owner: Handle,
        on_paper: bool,
        handles: &'a mut Handles,
        blocks: &'a mut Blocks,
    ) -> Self {
        Self { drawing, owner, on_paper, handles, blocks, out: Tags::default(), extents: None }
    }

    /// What was written.
    pub(super) fn into_tags(self) -> Tags {
        self.out
    }

    /// The box around all points written.
    pub(super) fn extents(&self) -> Option<Box2> {
        self.extents
    }

    /// One item.
    pub(super) fn item(&mut self, item: &Item, space: Space) {
        match &item.shape {
            Shape::Polyline { points, closed } => {
                let points: Vec<Point2> = points.iter().map(|&p| space.point(p)).collect();
                self.polyline(item, &points, *closed);
            }
            Shape::Circle { center, radius } => self.circle(item, space.point(*center), radius * space.per_inch),
            Shape::Area { regions, fill } => self.hatch(item, regions, *fill, space),
            Shape::Text(text) => {
                let at = space.point(text.at);
                let scale = space.per_paper_inch;
                self.text(item, &Lettering { text, content: &text.content, at, turn: text.turn, scale });
            }
            Shape::Dimension(dimension) => self.dimension(item, dimension, space),
            Shape::Insert { block, at, turn, attributes } => {
                self.insert(item, *block, space.point(*at), *turn, attributes, space.per_paper_inch);
            }
        }
    }

    fn begin(&mut self, kind: &str, layer: LayerId) {
        let name = self.drawing.layers[layer.0].name;
        let handle = self.handles.take();
        self.begin_at(kind, handle, self.owner, name);
    }

    fn begin_at(&mut self, kind: &str, handle: Handle, owner: Handle, layer: &str) {
        self.out.name(0, kind).handle(5, handle).handle(330, owner).name(100, "AcDbEntity");
        if self.on_paper {
            self.out.int(67, 1);
        }
        self.out.name(8, layer);
    }

    fn end(&mut self, id: &str) {
        self.out.name(1001, APPLICATION).name(1000, id);
    }

    fn reach(&mut self, points: &[Point2]) {
        let old = self.extents.into_iter().flat_map(|b| [b.min, b.max]);
        self.extents = Box2::around(old.chain(points.iter().copied()));
    }

    fn polyline(&mut self, item: &Item, points: &[Point2], closed: bool) {
        self.reach(points);
        if let ([a, b], false) = (points, closed) {
            return self.line(item, *a, *b, None);
        }
        self.begin("LWPOLYLINE", item.layer);
        // 128: dashes run on round the corners.
        self.out.name(100, "AcDbPolyline").int(90, points.len() as i64).int(70, 128 + i64::from(closed));
        for p in points {
            self.out.flat(10, p.x, p.y);
        }
        self.end(&item.id);
    }

    fn line(&mut self, item: &Item, a: Point2, b: Point2, weight: Option<i64>) {
        self.begin("LINE", item.layer);
        if let Some(weight) = weight {
            self.out.name(6, "Continuous").int(370, weight);
        }
        self.out.name(100, "AcDbLine").on_ground(10, a).on_ground(11, b);
        self.end(&item.id);
    }

    fn circle(&mut self, item: &Item, center: Point2, radius: f64) {
        let corner = Vector2::new(radius, radius);
        self.reach(&[center - corner, center + corner]);
        self.begin("CIRCLE", item.layer);
        self.out.name(100, "AcDbCircle").on_ground(10, center).real(40, radius);
        self.end(&item.id);
    }

    fn hatch(&mut self, item: &Item, regions: &[Region], fill: Fill, space: Space) {
        if regions.is_empty() {
            return;
        }
        self.begin("HATCH", item.layer);
        if let Fill::Tone(gray) = fill {
            self.tone(gray);
        }
        let (name, solid) = match fill {
            Fill::Tone(_) => ("SOLID", 1),
            Fill::Lines { .. } => ("_USER", 0),
        };
        self.out.name(100, "AcDbHatch").spatial(10, 0.0, 0.0, 0.0).spatial(210, 0.0, 0.0, 1.0);
        self.out.name(2, name).int(70, solid).int(71, 0);
        self.out.int(91, regions.iter().map(|r| r.rings().count() as i64).sum());
        for region in regions {
            self.boundary(&region.exterior, 3, space);
            for hole in &region.holes {
                self.boundary(hole, 2, space);
            }
        }
        match fill {
            Fill::Tone(_) => {
                self.out.int(75, 0).int(76, 1);
            }
            Fill::Lines { along, spacing } => {
                let spacing = spacing * space.per_paper_inch;
                let step = along.left() * spacing;
                self.out.int(75, 0).int(76, 0).real(52, degrees(along)).real(41, spacing).int(77, 0).int(78, 1);
                self.out.real(53, degrees(along)).real(43, space.origin.x).real(44, space.origin.y);
                self.out.real(45, step.x).real(46, step.y).int(79, 0);
            }
        }
        self.out.int(98, 0);
        self.end(&item.id);
    }

    /// A tone in place of the layer's: the nearest colour number, and the tone itself where the release knows it.
    fn tone(&mut self, gray: u8) {
        self.out.int(62, color_index(gray));
        if let Some(color) = true_color(self.drawing.release, gray) {
            self.out.int(420, color);
        }
    }

    /// One closed loop of a hatch; `flags` are 1 outermost, 2 polyline.
    fn boundary(&mut self, ring: &Ring, flags: i64, space: Space) {
        let points: Vec<Point2> = ring.points.iter().map(|&p| space.point(p)).collect();
        self.reach(&points);
        self.out.int(92, flags).int(72, 0).int(73, 1).int(93, points.len() as i64);
        for p in &points {
            self.out.flat(10, p.x, p.y);
        }
        self.out.int(97, 0);
    }

    fn text(&mut self, item: &Item, lettering: &Lettering) {
        if lettering.content.is_empty() {
            return;
        }
        self.begin("TEXT", item.layer);
        self.letters(lettering, Width::Fixed);
        self.out.name(100, "AcDbText");
        // Lines of notes and cells of tables on paper say themselves what they are; what shows a part of the roof carries its id.
        if !self.on_paper {
            self.end(&item.id);
        }
    }

    /// A note of several lines.
    pub(super) fn paragraph(&mut self, paragraph: &Paragraph) {
        self.begin("MTEXT", paragraph.layer);
        paragraph.write(&mut self.out);
    }

    /// The part that TEXT, ATTRIB and ATTDEF share.
    fn letters(&mut self, lettering: &Lettering, width: Width) {
        let Lettering { text, content, at, turn, scale } = *lettering;
        // Readers that cannot align take the left end of the baseline.
        let in_inches = Point2::new(at.x / scale, at.y / scale);
        let placed = if text.content == content {
            place_text(text, in_inches, turn)
        } else {
            place_text(&Text { content: content.to_owned(), ..text.clone() }, in_inches, turn)
        };
        let left = fine(Point2::new(placed.at.x * scale, placed.at.y * scale));
        self.reach(&placed.corners(0.0).map(|p| Point2::new(p.x * scale, p.y * scale)));
        let right = fine(Point2::new(left.x + turn.x * placed.width * scale, left.y + turn.y * placed.width * scale));
        let (level, upright) = alignment(text.anchor);
        self.out.name(100, "AcDbText").on_ground(10, left).real(40, text.height * scale).words(1, content);
        self.turned(turn);
        self.out.name(7, text_style(text.weight));
        match width {
            // 5: from the one point to the other, whatever font the program has.
            Width::Fixed => {
                self.out.int(72, 5).on_ground(11, right);
            }
            Width::OfFont if level != 0 || upright != 0 => {
                self.out.int(72, level).on_ground(11, at);
            }
            Width::OfFont => {}
        }
    }

    /// The direction of a text or symbol, unless it is level.
    fn turned(&mut self, turn: Vector2) {
        if turn != Vector2::new(1.0, 0.0) {
            self.out.real(50, degrees(turn));
        }
    }

    fn dimension(&mut self, item: &Item, dimension: &Dimension, space: Space) {
        let scale = space.per_paper_inch;
        let [a, b] = [dimension.a, dimension.b].map(|p| space.point(p));
        let [from, to] = [a, b].map(|p| Point2::new(p.x / scale, p.y / scale));
        let parts = dimension_parts(from, to, dimension.offset, &dimension.text);
        let grown = |p: Point2| Point2::new(p.x * scale, p.y * scale);
        self.blocks.dimensions += 1;
        let name = format!("*D{}", self.blocks.dimensions);
        let record = self.handles.take();

        let mut inside = Entities::new(self.drawing, record, false, &mut *self.handles, &mut *self.blocks);
        for line in &parts.lines {
            inside.line(item, grown(line.a), grown(line.b), None);
        }
        let weight = line_weight(2.0 * f64::from(self.drawing.layers[item.layer.0].weight));
        for tick in &parts.ticks {
            inside.line(item, grown(tick.a), grown(tick.b), Some(weight));
        }
        let text = &parts.text;
        inside.text(item, &Lettering { text, content: &text.content, at: grown(text.at), turn: text.turn, scale });
        let content = inside.into_tags();
        self.blocks.definitions.push(BlockDefinition { name: name.clone(), record, flags: 1, content });

        // The dimension line runs from the first line's start; its definition point is where it meets the second point.
        let side = (b - a).unit().unwrap_or(Vector2::new(1.0, 0.0)).left() * (dimension.offset * scale);
        let on_line = b + side;
        self.reach(&[a, b, a + side, on_line, grown(text.at)]);
        self.begin("DIMENSION", item.layer);
        self.out.name(100, "AcDbDimension").name(2, &name).point(10, on_line).point(11, grown(text.at));
        // 1 aligned, 32 its block is its own, 128 the text stands where it was put.
        self.out.int(70, 1 + 32 + 128).words(1, &dimension.text).int(71, 8).real(42, a.distance(b));
        self.out.name(3, DIMENSION_STYLE).name(100, "AcDbAlignedDimension").point(13, a).point(14, b);
        self.end(&item.id);
    }

    fn insert(&mut self, item: &Item, id: BlockId, at: Point2, turn: Vector2, attributes: &[String], scale: f64) {
        self.reach(&[at]);
        let block = &self.drawing.symbols[id.0];
        let handle = self.handles.take();
        let layer = self.drawing.layers[item.layer.0].name;
        self.begin_at("INSERT", handle, self.owner, layer);
        self.out.name(100, "AcDbBlockReference");
        let hidden = unseen();
        let shown = block.attributes.iter().map(|(tag, text)| (tag.as_str(), text, false));
        let data = block.data.iter().map(|tag| (*tag, &hidden, true));
        let filled: Vec<_> = shown.chain(data).zip(attributes).collect();
        if !filled.is_empty() {
            self.out.int(66, 1);
        }
        self.out.name(2, &block.name).on_ground(10, at).real(41, scale).real(42, scale).real(43, scale);
        self.turned(turn);
        self.end(&item.id);
        if filled.is_empty() {
            return;
        }
        for ((tag, text, hidden), value) in filled {
            let offset = (turn * text.at.x + turn.left() * text.at.y) * scale;
            let turned = turn * text.turn.x + turn.left() * text.turn.y;
            let attribute = self.handles.take();
            self.begin_at("ATTRIB", attribute, handle, layer);
            self.letters(&Lettering { text, content: value, at: at + offset, turn: turned, scale }, Width::OfFont);
            self.attribute_tail("AcDbAttribute", None, tag, text.anchor, hidden);
        }
        let end = self.handles.take();
        self.begin_at("SEQEND", end, handle, layer);
    }

    /// An attribute of a symbol, on the layer of the symbol's first item; without a text it is one that is not shown.
    pub(super) fn attribute_definition(&mut self, block: &Block, tag: &str, text: Option<&Text>) {
        let hidden = unseen();
        let (text, is_hidden) = text.map_or((&hidden, true), |text| (text, false));
        let layer = block.items.first().map_or("0", |item| self.drawing.layers[item.layer.0].name);
        let handle = self.handles.take();
        self.begin_at("ATTDEF", handle, self.owner, layer);
        self.letters(
            &Lettering { text, content: &text.content, at: text.at, turn: text.turn, scale: 1.0 },
            Width::OfFont,
        );
        self.attribute_tail("AcDbAttributeDefinition", Some(tag), tag, text.anchor, is_hidden);
        self.end(&format!("{}.{tag}", block.name));
    }

    fn attribute_tail(&mut self, class: &str, prompt: Option<&str>, tag: &str, anchor: Anchor, hidden: bool) {
        self.out.name(100, class);
        if let Some(prompt) = prompt {
            self.out.name(3, prompt);
        }
        self.out.name(2, tag).int(70, i64::from(hidden));
        let (_, upright) = alignment(anchor);
        if upright != 0 {
            self.out.int(74, upright);
        }
    }

    /// The viewport that is the paper itself, number 1 of every layout.
    pub(super) fn paper_viewport(&mut self, handle: Handle, name: &str, size: Vector2) {
        let middle = Point2::new(0.5 * size.x, 0.5 * size.y);
        self.begin_at("VIEWPORT", handle, self.owner, WINDOW_LAYER);
        let view = View { middle, width: size.x, height: size.y, center: middle, shown: size.y, turn: 0.0 };
        self.viewport(&view, 1, 0x8060);
        self.end(&format!("{name}.paper"));
    }

    /// A window onto model space, with its scale locked.
    pub(super) fn window(&mut self, window: &Window, number: usize) {
        let handle = self.handles.take();
        let rectangle = window.rectangle;
        self.begin_at("VIEWPORT", handle, self.owner, WINDOW_LAYER);
        // The centre is given in the turned view's own axes.
        let center = window.turn * window.center.x + window.turn.left() * window.center.y;
        let view = View {
            middle: rectangle.center(),
            width: rectangle.width(),
            height: rectangle.height(),
            center: Point2::new(center.x, center.y),
            shown: window.height,
            turn: degrees(window.turn),
        };
        self.viewport(&view, number as i64, 0x8000 + 0x4000);
        self.end(&window.id);
    }

    fn viewport(&mut self, view: &View, number: i64, flags: i64) {
        let out = &mut self.out;
        out.name(100, "AcDbViewport").point(10, view.middle).real(40, view.width).real(41, view.height);
        // On, and its number: both count from one with the paper first.
        out.int(68, number).int(69, number).flat(12, view.center.x, view.center.y);
        out.flat(13, 0.0, 0.0).flat(14, 0.5, 0.5).flat(15, 0.5, 0.5);
        out.spatial(16, 0.0, 0.0, 1.0).spatial(17, 0.0, 0.0, 0.0);
        out.real(42, 50.0).real(43, 0.0).real(44, 0.0).real(45, view.shown).real(50, 0.0).real(51, view.turn);
        out.int(72, 1000).int(90, flags).name(1, "").int(281, 0).int(71, 1).int(74, 0);
        out.spatial(110, 0.0, 0.0, 0.0).spatial(111, 1.0, 0.0, 0.0).spatial(112, 0.0, 1.0, 0.0);
        out.int(79, 0).real(146, 0.0);
    }
}

/// How wide a text comes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Width {
    /// As wide as it was placed: no font makes it touch what stands beside it.
    Fixed,
    /// As the font of the program has it: its words may change.
    OfFont,
}

/// The text of an attribute that is not shown: small, at the symbol's origin.
fn unseen() -> Text {
    Text {
        at: Point2::new(0.0, 0.0),
        anchor: Anchor::Left,
        height: FIGURE_HEIGHT,
        turn: Vector2::new(1.0, 0.0),
        weight: FontWeight::Regular,
        content: String::new(),
        mask: false,
    }
}

/// What a viewport shows.
struct View {
    middle: Point2,
    width: f64,
    height: f64,
    center: Point2,
    shown: f64,
    turn: f64,
}

/// Level and upright alignment codes of a text.
fn alignment(anchor: Anchor) -> (i64, i64) {
    match anchor {
        // A text held at the left is written from the left end of its baseline, wherever it is held.
        Anchor::Left | Anchor::MiddleLeft => (0, 0),
        Anchor::Center => (1, 0),
        Anchor::Right => (2, 0),
        Anchor::Middle => (1, 2),
        Anchor::MiddleRight => (2, 2),
    }
}

/// Name of the text style of a font face.
pub(super) fn text_style(weight: FontWeight) -> &'static str {
    match weight {
        FontWeight::Regular => "NOTES",
        FontWeight::Bold => "TITLES",
    }
}

/// The direction of a vector in degrees, 0 to below 360.
fn degrees(v: Vector2) -> f64 {
    let angle = trig::atan2(v.y, v.x).to_degrees();
    if angle < 0.0 { angle + 360.0 } else { angle }
}

/// The colour number nearest to a tone.
pub(super) fn color_index(gray: u8) -> i64 {
    GRAYS.iter().min_by_key(|(_, tone)| (tone - i64::from(gray)).abs()).map_or(7, |(index, _)| *index)
}

/// A tone as a true colour (code 420), in releases that know them; black stays the pen colour, which is white on a dark screen.
pub(super) fn true_color(release: DxfRelease, gray: u8) -> Option<i64> {
    (release == DxfRelease::R2010 && gray > 0).then(|| i64::from(gray) * 0x01_01_01)
}

/// The standard line weight nearest to `hundredths` of a millimetre.
pub(super) fn line_weight(hundredths: f64) -> i64 {
    let mut best = LINE_WEIGHTS[0];
    for weight in LINE_WEIGHTS {
        if (weight as f64 - hundredths).abs() < (best as f64 - hundredths).abs() {
            best = weight;
        }
    }
    best
}

//! Drawings as plain placed items: true-size models, and sheets that look at them.
//!
//! Writers translate and decide nothing: every line weight, letter height and position is settled here.

use crate::geometry::{Box2, Point2, Region, Vector2};
use crate::terms::DxfRelease;
use serde::Serialize;

/// How a stroke is drawn, by line type.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum LineType {
    /// Unbroken.
    Continuous,
    /// Dashes.
    Dashed,
    /// Short dashes.
    Hidden,
    /// Long, short, long.
    Center,
    /// Dots.
    Dotted,
    /// Long, two short.
    Phantom,
}

impl LineType {
    /// Dash, gap, ... in inches on paper; empty for unbroken.
    #[must_use]
    pub fn dashes(self) -> &'static [f64] {
        match self {
            Self::Continuous => &[],
            Self::Dashed => &[0.125, 0.0625],
            Self::Hidden => &[0.0625, 0.03125],
            Self::Center => &[0.375, 0.0625, 0.0625, 0.0625],
            Self::Dotted => &[0.0156, 0.047],
            Self::Phantom => &[0.375, 0.0625, 0.0625, 0.0625, 0.0625, 0.0625],
        }
    }

    /// Its DXF table name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Continuous => "Continuous",
            Self::Dashed => "DASHED",
            Self::Hidden => "HIDDEN",
            Self::Center => "CENTER",
            Self::Dotted => "DOT",
            Self::Phantom => "PHANTOM",
        }
    }
}

/// A drawing layer: the one place that settles weight, type and tone of what lies on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Layer {
    /// Name in the National CAD Standard's form.
    pub name: &'static str,
    /// What it holds, for the legend.
    pub words: &'static str,
    /// Pen width, hundredths of a millimetre (a standard DXF lineweight).
    pub weight: i16,
    /// Line type.
    pub line_type: LineType,
    /// Darkness of the stroke: 0 black to 255 white.
    pub gray: u8,
    /// Whether it plots.
    pub plots: bool,
}

/// Position of a layer in [`SheetSet::layers`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct LayerId(pub usize);

/// Position of a model in [`SheetSet::models`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct ModelId(pub usize);

/// Position of a block in [`SheetSet::blocks`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct BlockId(pub usize);

/// Where a text is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Anchor {
    /// Baseline, left end.
    Left,
    /// Baseline, middle.
    Center,
    /// Baseline, right end.
    Right,
    /// Middle of the capitals, left end.
    MiddleLeft,
    /// Middle of the capitals, middle.
    Middle,
    /// Middle of the capitals, right end.
    MiddleRight,
}

/// Which of the two faces of the drawing font.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum FontWeight {
    /// Notes and dimensions.
    Regular,
    /// Titles and tags.
    Bold,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Text {
    /// Where it is held: model inches in a model, paper inches on a sheet.
    pub at: Point2,
    /// How it is held.
    pub anchor: Anchor,
    /// Capital height in inches on paper, also in a model.
    pub height: f64,
    /// Reading direction, length 1.
    pub turn: Vector2,
    /// Which face.
    pub weight: FontWeight,
    /// The characters.
    pub content: String,
    /// Blank the ground behind it, so that lines do not run through it.
    pub mask: bool,
}

/// How a region is filled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum Fill {
    /// An even tone: 0 black to 255 white.
    Tone(u8),
    /// Parallel lines: direction (length 1) and spacing in inches on paper.
    Lines {
        /// Direction of the lines.
        along: Vector2,
        /// Between lines, inches on paper.
        spacing: f64,
    },
}

/// A linear dimension: aligned with its two points.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dimension {
    /// First point measured.
    pub a: Point2,
    /// Second point measured.
    pub b: Point2,
    /// The dimension line's distance from the measured points, to the left of a to b: inches on paper.
    pub offset: f64,
    /// Printed text; what it says is the true distance times `measured_per_drawn`.
    pub text: String,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum Shape {
    /// Straight pieces.
    Polyline {
        /// At least two points.
        points: Vec<Point2>,
        /// Whether the last joins the first.
        closed: bool,
    },
    /// A circle.
    Circle {
        /// Middle.
        center: Point2,
        /// Radius, inches.
        radius: f64,
    },
    /// Filled regions, without an outline.
    Area {
        /// What is filled.
        regions: Vec<Region>,
        /// How.
        fill: Fill,
    },
    /// One line of text.
    Text(Text),
    /// A dimension with its lines, ticks and text.
    Dimension(Dimension),
    /// A block placed.
    Insert {
        /// Which.
        block: BlockId,
        /// Where its origin goes.
        at: Point2,
        /// Its x axis, length 1.
        turn: Vector2,
        /// Values of its attributes in the block's order: the shown ones, then its data.
        attributes: Vec<String>,
    },
}

/// One thing drawn, with the id of what it shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Item {
    /// Unique within its model or sheet: `S12`, `E4`, `S12.label`. The plan and a face sheet show the same segment under the same
    /// id; goes into SVG `data-id` and DXF XDATA.
    pub id: String,
    /// Its layer.
    pub layer: LayerId,
    /// What is drawn.
    pub shape: Shape,
}

/// A named symbol. Its items are drawn in inches on paper, so it keeps its size at every scale.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Block {
    /// Name: capitals, digits and hyphens.
    pub name: String,
    /// Fixed items about the origin.
    pub items: Vec<Item>,
    /// Attribute tags with the text that shows each (`content` is the default).
    pub attributes: Vec<(String, Text)>,
    /// Tags of further attributes that a DXF carries unseen.
    pub data: Vec<&'static str>,
}

/// A true-size space.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Model {
    /// `plan`, or `face F2`.
    pub name: String,
    /// Whether its coordinates are plan inches of the working frame, so that it can be written over the source drawing.
    pub is_plan: bool,
    /// Inches of model per inch of paper it was lettered for: symbols and texts are sized by it when there is no viewport.
    pub lettered_for: f64,
    /// In drawing order.
    pub items: Vec<Item>,
}

/// A window of a sheet onto a model.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Viewport {
    /// Which model.
    pub model: ModelId,
    /// Rectangle on the sheet, inches.
    pub window: Box2,
    /// Model point shown at the middle of the window.
    pub center: Point2,
    /// Model inches per paper inch: 48 for 1/4 in = 1 ft.
    pub scale: f64,
    /// Direction on paper of the model's x axis, length 1.
    pub turn: Vector2,
}

impl Viewport {
    /// A model point on paper.
    #[must_use]
    pub fn to_paper(&self, model: Point2) -> Point2 {
        let from = (model - self.center) * (1.0 / self.scale);
        self.window.center() + self.turn * from.x + self.turn.left() * from.y
    }
}

/// One sheet of paper.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// Sheet number in the National CAD Standard's form: `E-101`.
    pub number: String,
    /// Title.
    pub title: String,
    /// Size of the paper, inches.
    pub size: Vector2,
    /// The border inside which everything lies; the SVG element `frame`.
    pub frame: Box2,
    /// Windows, drawn first.
    pub viewports: Vec<Viewport>,
    /// Items in paper inches, drawn over them.
    pub items: Vec<Item>,
}

/// The whole set.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct SheetSet {
    /// Job number, for file names.
    pub job_number: String,
    /// Title of the set.
    pub title: String,
    /// Date as the job gives it, or empty.
    pub date: String,
    /// Release of the DXF files.
    pub dxf: DxfRelease,
    /// Layer table.
    pub layers: Vec<Layer>,
    /// Symbols.
    pub blocks: Vec<Block>,
    /// True-size spaces, the plan first.
    pub models: Vec<Model>,
    /// Sheets in order.
    pub sheets: Vec<Sheet>,
}

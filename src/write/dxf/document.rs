//! A DXF file put together: what is drawn in its model space and on its layouts becomes sections in their order.
//!
//! R2000 (AC1015) or R2010 (AC1024), ASCII with `\U+XXXX` for other characters, which both know. Everything another part points to gets its handle first ([`Anchors`]); then entities, the blocks
//! they need, the tables and objects are written, and the header last, when extents and the handle seed are known.

use super::entities::{BlockDefinition, Blocks, Entities, Space};
use super::paragraph::Paragraph;
use super::tags::{Handle, Handles, Tags};
use super::{header, objects, tables};
use crate::geometry::{Box2, Point2, Vector2};
use crate::sheet::{Block, Item, Layer};
use crate::terms::DxfRelease;

/// The registered application under which item ids stand as extended data.
pub(super) const APPLICATION: &str = "EAVESDRAFT";
/// Layer of the windows' borders, which do not plot.
pub(super) const WINDOW_LAYER: &str = "G-ANNO-NPLT";

/// Units of model space.
#[derive(Debug, Clone, Copy)]
pub(super) struct ModelUnits {
    /// `$INSUNITS`.
    pub code: i64,
    /// `$MEASUREMENT`: 0 imperial, 1 metric.
    pub metric: i64,
    /// Drawing units of a line type's inch, `$LTSCALE`.
    pub line_type_scale: f64,
}

/// A window of a layout onto model space.
#[derive(Debug, Clone)]
pub(super) struct Window {
    /// Its id, as extended data.
    pub id: String,
    /// On paper, inches.
    pub rectangle: Box2,
    /// Middle of what it shows, in model space.
    pub center: Point2,
    /// Height of what it shows, model units.
    pub height: f64,
    /// Direction on paper of the model's x axis, length 1.
    pub turn: Vector2,
}

/// A layout.
#[derive(Debug, Clone)]
pub(super) struct Paper<'a> {
    /// Name of its tab.
    pub name: String,
    /// Inches.
    pub size: Vector2,
    /// What is drawn on it, inches.
    pub items: &'a [Item],
    /// Windows.
    pub windows: Vec<Window>,
}

/// A whole drawing.
#[derive(Debug, Clone)]
pub(super) struct Drawing<'a> {
    /// Release of the format.
    pub release: DxfRelease,
    /// Layer table.
    pub layers: &'a [Layer],
    /// Symbols.
    pub symbols: &'a [Block],
    /// Units.
    pub units: ModelUnits,
    /// What is in model space, and how it is placed there.
    pub model: Vec<(&'a [Item], Space)>,
    /// Layouts, at least one.
    pub papers: Vec<Paper<'a>>,
}

/// Handles of a space: model space or a layout.
#[derive(Debug, Clone)]
pub(super) struct SpaceHandles {
    /// Block name: `*Model_Space`, `*Paper_Space`, `*Paper_Space0`...
    pub block: String,
    /// Its block record.
    pub record: Handle,
    /// Its layout object.
    pub layout: Handle,
    /// The paper's own viewport; unused for model space.
    pub viewport: Handle,
}

/// Handles of everything that other parts point to.
#[derive(Debug, Clone)]
pub(super) struct Anchors {
    /// The nine tables, in file order.
    pub tables: [Handle; 9],
    /// Root dictionary.
    pub root: Handle,
    /// Dictionary of layouts.
    pub layouts: Handle,
    /// Dictionary of plot styles.
    pub plot_styles: Handle,
    /// The plot style every layer takes.
    pub plot_style: Handle,
    /// Text styles: regular, bold.
    pub text_styles: [Handle; 2],
    /// Model space, then the layouts.
    pub spaces: Vec<SpaceHandles>,
}

impl Anchors {
    fn take(handles: &mut Handles, papers: usize) -> Self {
        let spaces = (0..=papers)
            .map(|i| SpaceHandles {
                block: match i {
                    0 => "*Model_Space".to_owned(),
                    1 => "*Paper_Space".to_owned(),
                    _ => format!("*Paper_Space{}", i - 2),
                },
                record: handles.take(),
                layout: handles.take(),
                viewport: handles.take(),
            })
            .collect();
        Self {
            tables: std::array::from_fn(|_| handles.take()),
            root: handles.take(),
            layouts: handles.take(),
            plot_styles: handles.take(),
            plot_style: handles.take(),
            text_styles: [handles.take(), handles.take()],
            spaces,
        }
    }
}

/// The bytes of a drawing.
pub(super) fn write(drawing: &Drawing) -> Vec<u8> {
    let mut handles = Handles::new();
    let anchors = Anchors::take(&mut handles, drawing.papers.len());
    let mut blocks = Blocks::default();
    for symbol in drawing.symbols {
        let definition = symbol_block(drawing, symbol, &mut handles, &mut blocks);
        blocks.definitions.push(definition);
    }
    let (model, extents) = model_entities(drawing, &anchors, &mut handles, &mut blocks);
    let mut papers = Vec::new();
    for (paper, space) in drawing.papers.iter().zip(&anchors.spaces[1..]) {
        papers.push(paper_entities(drawing, paper, space, &mut handles, &mut blocks));
    }

    let mut body = Tags::default();
    section(&mut body, "CLASSES", |out| tables::classes(drawing, out));
    section(&mut body, "TABLES", |out| {
        tables::tables(drawing, &anchors, &blocks.definitions, extents, &mut handles, out)
    });
    section(&mut body, "BLOCKS", |out| {
        // Entities of model space and of the active layout stand in their own section, those of other layouts in their block.
        let nothing = Tags::default();
        for (i, space) in anchors.spaces.iter().enumerate() {
            let content = if i < 2 { &nothing } else { &papers[i - 1] };
            block(out, &mut handles, &space.block, space.record, 0, i > 0, content);
        }
        for definition in &blocks.definitions {
            block(out, &mut handles, &definition.name, definition.record, definition.flags, false, &definition.content);
        }
    });
    section(&mut body, "ENTITIES", |out| {
        out.append(&model).append(&papers[0]);
    });
    section(&mut body, "OBJECTS", |out| objects::objects(drawing, &anchors, extents, &mut handles, out));
    body.name(0, "EOF");

    let mut file = Tags::default();
    section(&mut file, "HEADER", |out| header::header(drawing, extents, handles.seed(), out));
    file.append(&body);
    file.into_bytes()
}

fn section(out: &mut Tags, name: &str, content: impl FnOnce(&mut Tags)) {
    out.name(0, "SECTION").name(2, name);
    content(out);
    out.name(0, "ENDSEC");
}

fn symbol_block(drawing: &Drawing, symbol: &Block, handles: &mut Handles, blocks: &mut Blocks) -> BlockDefinition {
    let record = handles.take();
    let mut entities = Entities::new(drawing, record, false, handles, blocks);
    for item in &symbol.items {
        entities.item(item, Space::PAPER);
    }
    for (tag, text) in &symbol.attributes {
        entities.attribute_definition(symbol, tag, Some(text));
    }
    for tag in &symbol.data {
        entities.attribute_definition(symbol, tag, None);
    }
    let content = entities.into_tags();
    let flags = if symbol.attributes.is_empty() && symbol.data.is_empty() { 0 } else { 2 };
    BlockDefinition { name: symbol.name.clone(), record, flags, content }
}

fn model_entities(drawing: &Drawing, anchors: &Anchors, handles: &mut Handles, blocks: &mut Blocks) -> (Tags, Box2) {
    let mut entities = Entities::new(drawing, anchors.spaces[0].record, false, handles, blocks);
    for (items, space) in &drawing.model {
        for item in *items {
            entities.item(item, *space);
        }
    }
    let nowhere = Point2::new(0.0, 0.0);
    let extents = entities.extents().unwrap_or(Box2 { min: nowhere, max: Point2::new(1.0, 1.0) });
    (entities.into_tags(), extents)
}

fn paper_entities(
    drawing: &Drawing,
    paper: &Paper,
    space: &SpaceHandles,
    handles: &mut Handles,
    blocks: &mut Blocks,
) -> Tags {
    let mut entities = Entities::new(drawing, space.record, true, handles, blocks);
    entities.paper_viewport(space.viewport, &paper.name, paper.size);
    for (i, window) in paper.windows.iter().enumerate() {
        entities.window(window, i + 2);
    }
    let mut rest = paper.items;
    while let [item, after @ ..] = rest {
        rest = match Paragraph::at(rest) {
            Some((paragraph, count)) => {
                entities.paragraph(&paragraph);
                &rest[count..]
            }
            None => {
                entities.item(item, Space::PAPER);
                after
            }
        };
    }
    entities.into_tags()
}

fn block(
    out: &mut Tags,
    handles: &mut Handles,
    name: &str,
    record: Handle,
    flags: i64,
    on_paper: bool,
    content: &Tags,
) {
    let common = |out: &mut Tags, handle: Handle| {
        out.handle(5, handle).handle(330, record).name(100, "AcDbEntity");
        if on_paper {
            out.int(67, 1);
        }
        out.name(8, "0");
    };
    out.name(0, "BLOCK");
    common(out, handles.take());
    out.name(100, "AcDbBlockBegin").name(2, name).int(70, flags).spatial(10, 0.0, 0.0, 0.0).name(3, name).name(1, "");
    out.append(content);
    out.name(0, "ENDBLK");
    common(out, handles.take());
    out.name(100, "AcDbBlockEnd");
}

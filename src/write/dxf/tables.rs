//! The CLASSES and TABLES sections.

use super::document::{APPLICATION, Anchors, Drawing, WINDOW_LAYER};
use super::entities::{BlockDefinition, DIMENSION_STYLE, color_index, line_weight, text_style, true_color};
use super::tags::{Handle, Handles, Tags};
use crate::geometry::Box2;
use crate::sheet::{FIGURE_HEIGHT, FONT_FAMILY, FontWeight, LineType};
use crate::terms::DxfRelease;

/// The tables in file order.
const NAMES: [&str; 9] = ["VPORT", "LTYPE", "LAYER", "STYLE", "VIEW", "UCS", "APPID", "DIMSTYLE", "BLOCK_RECORD"];
/// Line types beside the three every drawing has.
const LINE_TYPES: [LineType; 5] =
    [LineType::Dashed, LineType::Hidden, LineType::Center, LineType::Dotted, LineType::Phantom];
/// Extended data of a text style: bold.
const BOLD: i64 = 0x0200_0000;

/// Objects that are not built in.
pub(super) fn classes(drawing: &Drawing, out: &mut Tags) {
    for (record, class) in [
        ("ACDBDICTIONARYWDFLT", "AcDbDictionaryWithDefault"),
        ("ACDBPLACEHOLDER", "AcDbPlaceHolder"),
        ("LAYOUT", "AcDbLayout"),
    ] {
        out.name(0, "CLASS").name(1, record).name(2, class).name(3, "ObjectDBX Classes");
        out.int(90, 0);
        if drawing.release == DxfRelease::R2010 {
            out.int(91, 1);
        }
        out.int(280, 0).int(281, 0);
    }
}

/// All nine tables.
pub(super) fn tables(
    drawing: &Drawing,
    anchors: &Anchors,
    blocks: &[BlockDefinition],
    extents: Box2,
    handles: &mut Handles,
    out: &mut Tags,
) {
    for (name, table) in NAMES.into_iter().zip(anchors.tables) {
        let mut entries = Tags::default();
        let mut writer = Table { table, handles: &mut *handles, out: &mut entries };
        let count = match name {
            "VPORT" => writer.view(extents),
            "LTYPE" => writer.line_types(),
            "LAYER" => writer.layers(drawing, anchors.plot_style),
            "STYLE" => writer.text_styles(anchors),
            "APPID" => writer.applications(),
            "DIMSTYLE" => writer.dimension_styles(drawing, anchors),
            "BLOCK_RECORD" => writer.block_records(anchors, blocks),
            _ => 0,
        };
        out.name(0, "TABLE").name(2, name).handle(5, table).handle(330, Handle::NONE);
        out.name(100, "AcDbSymbolTable").int(70, count);
        if name == "DIMSTYLE" {
            out.name(100, "AcDbDimStyleTable").int(71, 0);
        }
        out.append(&entries).name(0, "ENDTAB");
    }
}

/// One table being written. Every method returns how many entries it wrote.
struct Table<'a> {
    table: Handle,
    handles: &'a mut Handles,
    out: &'a mut Tags,
}

impl Table<'_> {
    fn entry(&mut self, kind: &str, class: &str, name: &str) -> &mut Tags {
        let handle = self.handles.take();
        self.entry_at(handle, kind, class, name)
    }

    fn entry_at(&mut self, handle: Handle, kind: &str, class: &str, name: &str) -> &mut Tags {
        // Dimension styles alone keep their handle under 105: they use 5 for something else.
        let code = if kind == "DIMSTYLE" { 105 } else { 5 };
        self.out.name(0, kind).handle(code, handle).handle(330, self.table);
        self.out.name(100, "AcDbSymbolTableRecord").name(100, class).name(2, name)
    }

    fn view(&mut self, extents: Box2) -> i64 {
        const ASPECT: f64 = 1.6;
        let height = 1.05 * extents.height().max(extents.width() / ASPECT).max(1.0);
        let middle = extents.center();
        let out = self.entry("VPORT", "AcDbViewportTableRecord", "*Active");
        out.int(70, 0).flat(10, 0.0, 0.0).flat(11, 1.0, 1.0).flat(12, middle.x, middle.y);
        out.flat(13, 0.0, 0.0).flat(14, 0.5, 0.5).flat(15, 0.5, 0.5);
        out.spatial(16, 0.0, 0.0, 1.0).spatial(17, 0.0, 0.0, 0.0);
        out.real(40, height).real(41, ASPECT).real(42, 50.0).real(43, 0.0).real(44, 0.0).real(50, 0.0).real(51, 0.0);
        out.int(71, 0).int(72, 1000).int(73, 1).int(74, 3).int(75, 0).int(76, 0).int(77, 0).int(78, 0);
        out.int(281, 0).int(65, 1).spatial(110, 0.0, 0.0, 0.0).spatial(111, 1.0, 0.0, 0.0).spatial(112, 0.0, 1.0, 0.0);
        out.int(79, 0).real(146, 0.0);
        1
    }

    fn line_types(&mut self) -> i64 {
        for name in ["ByBlock", "ByLayer", "Continuous"] {
            let out = self.entry("LTYPE", "AcDbLinetypeTableRecord", name);
            out.int(70, 0).name(3, "").int(72, 65).int(73, 0).real(40, 0.0);
        }
        for line_type in LINE_TYPES {
            let dashes = line_type.dashes();
            let out = self.entry("LTYPE", "AcDbLinetypeTableRecord", line_type.name());
            out.int(70, 0).name(3, line_type.name()).int(72, 65).int(73, dashes.len() as i64);
            out.real(40, dashes.iter().sum());
            for (i, dash) in dashes.iter().enumerate() {
                let pen_up = i % 2 == 1;
                out.real(49, if pen_up { -dash } else { *dash }).int(74, 0);
            }
        }
        3 + LINE_TYPES.len() as i64
    }

    fn layers(&mut self, drawing: &Drawing, plot_style: Handle) -> i64 {
        let mut count = 0;
        let mut layer =
            |name: &str, (color, true_color): (i64, Option<i64>), line_type: &str, plots: bool, weight: i64| {
                let out = self.entry("LAYER", "AcDbLayerTableRecord", name);
                out.int(70, 0).int(62, color);
                if let Some(color) = true_color {
                    out.int(420, color);
                }
                out.name(6, line_type);
                if !plots {
                    out.int(290, 0);
                }
                out.int(370, weight).handle(390, plot_style);
                count += 1;
            };
        layer("0", (7, None), "Continuous", true, -3);
        for l in drawing.layers.iter().filter(|l| l.name != "0") {
            let color = (color_index(l.gray), true_color(drawing.release, l.gray));
            layer(l.name, color, l.line_type.name(), l.plots, line_weight(f64::from(l.weight)));
        }
        if !drawing.layers.iter().any(|l| l.name == WINDOW_LAYER) {
            layer(WINDOW_LAYER, (8, None), "Continuous", false, -3);
        }
        count
    }

    fn text_styles(&mut self, anchors: &Anchors) -> i64 {
        let out = self.entry("STYLE", "AcDbTextStyleTableRecord", "Standard");
        style_values(out, "txt");
        for (weight, handle) in [FontWeight::Regular, FontWeight::Bold].into_iter().zip(anchors.text_styles) {
            let (file, flags) = match weight {
                FontWeight::Regular => ("BarlowSemiCondensed-Regular.ttf", 0),
                FontWeight::Bold => ("BarlowSemiCondensed-SemiBold.ttf", BOLD),
            };
            let out = self.entry_at(handle, "STYLE", "AcDbTextStyleTableRecord", text_style(weight));
            style_values(out, file);
            out.name(1001, "ACAD").name(1000, FONT_FAMILY).int(1071, flags);
        }
        3
    }

    fn applications(&mut self) -> i64 {
        for name in ["ACAD", APPLICATION] {
            self.entry("APPID", "AcDbRegAppTableRecord", name).int(70, 0);
        }
        2
    }

    fn dimension_styles(&mut self, drawing: &Drawing, anchors: &Anchors) -> i64 {
        for name in ["Standard", DIMENSION_STYLE] {
            let scale = drawing.units.line_type_scale;
            let out = self.entry("DIMSTYLE", "AcDbDimStyleTableRecord", name);
            out.int(70, 0);
            // Scale of the rest, arrow size, extension gap, spacing, extension past, figures, tick, figures' gap.
            out.real(40, scale).real(41, 0.09).real(42, 0.0625).real(43, 0.375).real(44, 0.0625);
            out.real(140, FIGURE_HEIGHT).real(142, 0.045).real(144, 1.0).real(147, 0.045);
            // Figures along the line (73, 74), above it (77); zero feet and inches kept as architects write them (78).
            out.int(73, 0).int(74, 0).int(77, 1).int(78, 3).int(271, 4).int(277, 4).int(289, 3);
            out.handle(340, anchors.text_styles[0]).int(371, -2).int(372, -2);
        }
        2
    }

    fn block_records(&mut self, anchors: &Anchors, blocks: &[BlockDefinition]) -> i64 {
        let spaces = anchors.spaces.iter().map(|s| (s.block.as_str(), s.record, s.layout));
        let others = blocks.iter().map(|b| (b.name.as_str(), b.record, Handle::NONE));
        let mut count = 0;
        for (name, record, layout) in spaces.chain(others) {
            self.entry_at(record, "BLOCK_RECORD", "AcDbBlockTableRecord", name).handle(340, layout);
            count += 1;
        }
        count
    }
}

fn style_values(out: &mut Tags, file: &str) {
    out.int(70, 0)
        .real(40, 0.0)
        .real(41, 1.0)
        .real(50, 0.0)
        .int(71, 0)
        .real(42, FIGURE_HEIGHT)
        .name(3, file)
        .name(4, "");
}

//! The HEADER section: the settings a reader needs to show the drawing as meant.

use super::document::Drawing;
use super::tags::{Handle, Tags};
use crate::geometry::Box2;
use crate::sheet::FIGURE_HEIGHT;
use crate::terms::DxfRelease;

/// Writes the variables.
pub(super) fn header(drawing: &Drawing, extents: Box2, seed: Handle, out: &mut Tags) {
    let units = drawing.units;
    let size = drawing.papers[0].size;
    let version = match drawing.release {
        DxfRelease::R2000 => "AC1015",
        DxfRelease::R2010 => "AC1024",
    };
    out.name(9, "$ACADVER").name(1, version);
    out.name(9, "$DWGCODEPAGE").name(3, "ANSI_1252");
    out.name(9, "$INSBASE").spatial(10, 0.0, 0.0, 0.0);
    out.name(9, "$EXTMIN").point(10, extents.min);
    out.name(9, "$EXTMAX").point(10, extents.max);
    out.name(9, "$LIMMIN").flat(10, extents.min.x, extents.min.y);
    out.name(9, "$LIMMAX").flat(10, extents.max.x, extents.max.y);
    out.name(9, "$REGENMODE").int(70, 1);
    out.name(9, "$FILLMODE").int(70, 1);
    out.name(9, "$LTSCALE").real(40, units.line_type_scale);
    out.name(9, "$ATTMODE").int(70, 1);
    out.name(9, "$TEXTSIZE").real(40, FIGURE_HEIGHT * units.line_type_scale);
    out.name(9, "$TEXTSTYLE").name(7, "Standard");
    out.name(9, "$CLAYER").name(8, "0");
    out.name(9, "$CELTYPE").name(6, "ByLayer");
    out.name(9, "$CECOLOR").int(62, 256);
    out.name(9, "$CELTSCALE").real(40, 1.0);
    out.name(9, "$DIMSCALE").real(40, 1.0);
    out.name(9, "$DIMSTYLE").name(2, "Standard");
    out.name(9, "$LUNITS").int(70, 2);
    out.name(9, "$LUPREC").int(70, 4);
    out.name(9, "$AUNITS").int(70, 0);
    out.name(9, "$AUPREC").int(70, 2);
    out.name(9, "$ANGBASE").real(50, 0.0);
    out.name(9, "$ANGDIR").int(70, 0);
    out.name(9, "$HANDSEED").handle(5, seed);
    // The tab shown first: model space.
    out.name(9, "$TILEMODE").int(70, 1);
    out.name(9, "$MAXACTVP").int(70, 64);
    out.name(9, "$PEXTMIN").spatial(10, 0.0, 0.0, 0.0);
    out.name(9, "$PEXTMAX").spatial(10, size.x, size.y, 0.0);
    out.name(9, "$PLIMMIN").flat(10, 0.0, 0.0);
    out.name(9, "$PLIMMAX").flat(10, size.x, size.y);
    out.name(9, "$UNITMODE").int(70, 0);
    out.name(9, "$VISRETAIN").int(70, 1);
    out.name(9, "$PLINEGEN").int(70, 1);
    // Dashes keep their length on paper at every scale.
    out.name(9, "$PSLTSCALE").int(70, 1);
    out.name(9, "$CMLSTYLE").name(2, "Standard");
    out.name(9, "$MEASUREMENT").int(70, units.metric);
    out.name(9, "$CELWEIGHT").int(370, -1);
    out.name(9, "$LWDISPLAY").int(290, 1);
    out.name(9, "$INSUNITS").int(70, units.code);
    out.name(9, "$PSTYLEMODE").int(290, 1);
    out.name(9, "$EXTNAMES").int(290, 1);
}

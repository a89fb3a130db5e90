//! The OBJECTS section: dictionaries, the plot style and a layout for every sheet.

use super::document::{Anchors, Drawing, SpaceHandles};
use super::tags::{Handle, Handles, Tags};
use crate::geometry::{Box2, Point2, Vector2};
use crate::units::MILLIMETRES_PER_INCH;

/// Media names a plotter driver without device knows, with their size in inches.
const MEDIA: [(&str, f64, f64); 6] = [
    ("ANSI_B_(17.00_x_11.00_Inches)", 17.0, 11.0),
    ("ANSI_D_(34.00_x_22.00_Inches)", 34.0, 22.0),
    ("ARCH_C_(24.00_x_18.00_Inches)", 24.0, 18.0),
    ("ARCH_D_(36.00_x_24.00_Inches)", 36.0, 24.0),
    ("ISO_A2_(594.00_x_420.00_MM)", 594.0 / MILLIMETRES_PER_INCH, 420.0 / MILLIMETRES_PER_INCH),
    ("ISO_A1_(841.00_x_594.00_MM)", 841.0 / MILLIMETRES_PER_INCH, 594.0 / MILLIMETRES_PER_INCH),
];

/// All objects, the root dictionary first.
pub(super) fn objects(drawing: &Drawing, anchors: &Anchors, extents: Box2, handles: &mut Handles, out: &mut Tags) {
    let (groups, line_styles, plot_settings, line_style) =
        (handles.take(), handles.take(), handles.take(), handles.take());
    let root = [
        ("ACAD_GROUP", groups),
        ("ACAD_LAYOUT", anchors.layouts),
        ("ACAD_MLINESTYLE", line_styles),
        ("ACAD_PLOTSETTINGS", plot_settings),
        ("ACAD_PLOTSTYLENAME", anchors.plot_styles),
    ];
    dictionary(out, anchors.root, Handle::NONE, &root);
    dictionary(out, groups, anchors.root, &[]);
    let tabs: Vec<(&str, Handle)> = std::iter::once("Model")
        .chain(drawing.papers.iter().map(|p| p.name.as_str()))
        .zip(anchors.spaces.iter().map(|s| s.layout))
        .collect();
    dictionary(out, anchors.layouts, anchors.root, &tabs);
    dictionary(out, line_styles, anchors.root, &[("Standard", line_style)]);
    dictionary(out, plot_settings, anchors.root, &[]);
    out.name(0, "ACDBDICTIONARYWDFLT").handle(5, anchors.plot_styles).handle(330, anchors.root);
    out.name(100, "AcDbDictionary").int(281, 1).name(3, "Normal").handle(350, anchors.plot_style);
    out.name(100, "AcDbDictionaryWithDefault").handle(340, anchors.plot_style);
    out.name(0, "ACDBPLACEHOLDER").handle(5, anchors.plot_style).handle(330, anchors.plot_styles);
    multiline_style(out, line_style, line_styles);

    let model = Tab { name: "Model", order: 0, size: Vector2::new(36.0, 24.0), extents, on_paper: false };
    layout(out, anchors, &anchors.spaces[0], &model);
    for (i, (paper, space)) in drawing.papers.iter().zip(&anchors.spaces[1..]).enumerate() {
        let extents = Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(paper.size.x, paper.size.y) };
        let tab = Tab { name: &paper.name, order: i as i64 + 1, size: paper.size, extents, on_paper: true };
        layout(out, anchors, space, &tab);
    }
}

fn dictionary(out: &mut Tags, handle: Handle, owner: Handle, entries: &[(&str, Handle)]) {
    out.name(0, "DICTIONARY").handle(5, handle).handle(330, owner).name(100, "AcDbDictionary").int(281, 1);
    for (name, entry) in entries {
        out.name(3, name).handle(350, *entry);
    }
}

fn multiline_style(out: &mut Tags, handle: Handle, owner: Handle) {
    out.name(0, "MLINESTYLE").handle(5, handle).handle(330, owner).name(100, "AcDbMlineStyle");
    out.name(2, "Standard").int(70, 0).name(3, "").int(62, 256).real(51, 90.0).real(52, 90.0).int(71, 2);
    for offset in [0.5, -0.5] {
        out.real(49, offset).int(62, 256).name(6, "BYLAYER");
    }
}

/// What differs from layout to layout.
struct Tab<'a> {
    name: &'a str,
    order: i64,
    size: Vector2,
    extents: Box2,
    on_paper: bool,
}

fn layout(out: &mut Tags, anchors: &Anchors, space: &SpaceHandles, tab: &Tab) {
    // Windows before the rest, line weights and plot styles on, a standard scale; 1024 marks the model tab.
    let flags = if tab.on_paper { 688 } else { 1712 };
    out.name(0, "LAYOUT").handle(5, space.layout).handle(330, anchors.layouts).name(100, "AcDbPlotSettings");
    out.name(1, "").name(2, "none_device").name(4, &media(tab.size)).name(6, "");
    for margin in 40..=43 {
        out.real(margin, 0.0);
    }
    out.real(44, tab.size.x * MILLIMETRES_PER_INCH).real(45, tab.size.y * MILLIMETRES_PER_INCH);
    for unused in [46, 47, 48, 49, 140, 141] {
        out.real(unused, 0.0);
    }
    // One paper inch is one drawing unit of the layout; 75 = 16 is the standard scale 1:1.
    out.real(142, 1.0).real(143, 1.0).int(70, flags).int(72, 0).int(73, 0).int(74, 5).name(7, "");
    out.int(75, 16).int(76, 0).int(77, 2).int(78, 300).real(147, 1.0).real(148, 0.0).real(149, 0.0);
    out.name(100, "AcDbLayout").name(1, tab.name).int(70, 1).int(71, tab.order);
    let (limits_low, limits_high) = (tab.extents.min, tab.extents.max);
    out.flat(10, limits_low.x, limits_low.y).flat(11, limits_high.x, limits_high.y).spatial(12, 0.0, 0.0, 0.0);
    out.point(14, tab.extents.min).point(15, tab.extents.max).real(146, 0.0);
    out.spatial(13, 0.0, 0.0, 0.0).spatial(16, 1.0, 0.0, 0.0).spatial(17, 0.0, 1.0, 0.0).int(76, 0);
    out.handle(330, space.record);
    if tab.on_paper {
        out.handle(331, space.viewport);
    }
}

/// The plotter's name of a paper size, or one made from its inches.
fn media(size: Vector2) -> String {
    let is_it = |w: f64, h: f64| (size.x - w).abs() < 0.01 && (size.y - h).abs() < 0.01;
    MEDIA
        .iter()
        .find(|(_, w, h)| is_it(*w, *h))
        .map_or_else(|| format!("User_({:.2}_x_{:.2}_Inches)", size.x, size.y), |(name, ..)| (*name).to_owned())
}

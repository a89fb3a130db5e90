//! A sheet becomes SVG, drawn with the `svg` crate, which is named in this file only.
//!
//! User units are points (1/72 in), y down. Marks keep their drawing order, because masks must cover what lies under them and
//! nothing else; a layer is therefore a class of groups (`layer-E-HEAT-LEAD`), one group for every stretch of marks of one layer,
//! each with the layer's words as its title. Inside, marks of one style that follow each other share a group that states it; every
//! element carries the id of its item in `data-id`. The rectangle `frame` is the border inside which everything lies; it draws
//! nothing itself.

use crate::geometry::{Point2, Ring, Vector2};
use crate::sheet::{FONT_FAMILY, FontWeight, Layer, Mark, MarkKind, Sheet, SheetSet, flatten};
use crate::units::decimal;
use std::fmt::Write as _;
use svg::node::Text as Characters;
use svg::node::element::Element;
use svg::{Document, Node};

/// Points in an inch.
const POINTS: f64 = 72.0;
/// Parts of a point to which coordinates are rounded: off by at most 0.00007 in.
const PARTS: f64 = 100.0;

/// One sheet as an SVG file of true size. What lies on layers that do not plot is left out.
#[must_use]
pub fn sheet_svg(set: &SheetSet, sheet: &Sheet) -> Vec<u8> {
    let paper = Paper { height: sheet.size.y };
    let (width, height) = (points(sheet.size.x), points(sheet.size.y));
    let mut document = Document::new()
        .set("width", format!("{}in", decimal(sheet.size.x, 4)))
        .set("height", format!("{}in", decimal(sheet.size.y, 4)))
        .set("viewBox", format!("0 0 {width} {height}"))
        .set("font-family", format!("'{FONT_FAMILY}', sans-serif"))
        .set("stroke-linejoin", "round")
        .add(titled("title", &format!("{} {}", sheet.number, sheet.title)))
        .add(titled("desc", &description(set, sheet)));
    let mut ground = Element::new("rect");
    for (name, value) in [("id", "paper"), ("width", &width), ("height", &height), ("fill", "#ffffff")] {
        ground.assign(name, value);
    }
    document = document.add(ground).add(paper.frame(sheet));
    let marks = flatten(set, sheet);
    for run in marks.chunk_by(|a, b| a.layer == b.layer) {
        let layer = &set.layers[run[0].layer.0];
        if layer.plots {
            document = document.add(paper.layer(layer, run));
        }
    }
    let mut bytes = document.to_string().into_bytes();
    bytes.push(b'\n');
    bytes
}

fn description(set: &SheetSet, sheet: &Sheet) -> String {
    let place = set.sheets.iter().position(|s| s.number == sheet.number).map_or(0, |i| i + 1);
    let mut words = format!("{}, job {}, sheet {place} of {}", set.title, set.job_number, set.sheets.len());
    if !set.date.is_empty() {
        words.push_str(&format!(", {}", set.date));
    }
    words
}

fn titled(name: &str, words: &str) -> Element {
    let mut element = Element::new(name);
    element.append(Characters::new(words));
    element
}

fn points(inches: f64) -> String {
    let mut text = String::with_capacity(8);
    push_points(&mut text, inches);
    text
}

/// Writes a length in points without idle zeros.
fn push_points(out: &mut String, inches: f64) {
    let parts = (inches * POINTS * PARTS).round() as i64;
    let (whole, part) = (parts.unsigned_abs() / PARTS as u64, parts.unsigned_abs() % PARTS as u64);
    let sign = if parts < 0 { "-" } else { "" };
    // Writing to a `String` cannot fail.
    let _ = match part {
        0 => write!(out, "{sign}{whole}"),
        tenths if tenths % 10 == 0 => write!(out, "{sign}{whole}.{}", tenths / 10),
        hundredths => write!(out, "{sign}{whole}.{hundredths:02}"),
    };
}

fn tone(gray: u8) -> String {
    format!("#{gray:02x}{gray:02x}{gray:02x}")
}

/// States the style of a mark on its element, or on the group around marks of one style.
fn state_style(element: &mut Element, kind: &MarkKind) {
    match kind {
        MarkKind::Stroke { width, dashes, gray, .. } => {
            element.assign("fill", "none");
            element.assign("stroke", tone(*gray));
            element.assign("stroke-width", points(*width));
            if !dashes.is_empty() {
                let lengths: Vec<String> = dashes.iter().map(|&d| points(d)).collect();
                element.assign("stroke-dasharray", lengths.join(" "));
            }
        }
        MarkKind::Fill { gray, .. } => {
            element.assign("fill", tone(*gray));
            element.assign("fill-rule", "evenodd");
        }
        MarkKind::Text { font_size, weight, gray, .. } => {
            element.assign("fill", tone(*gray));
            element.assign("font-size", points(*font_size));
            if *weight == FontWeight::Bold {
                element.assign("font-weight", "600");
            }
        }
    }
}

/// The sheet's coordinates turned to y down.
struct Paper {
    height: f64,
}

impl Paper {
    fn x(&self, p: Point2) -> String {
        points(p.x)
    }

    fn y(&self, p: Point2) -> String {
        points(self.height - p.y)
    }

    fn frame(&self, sheet: &Sheet) -> Element {
        let corner = Point2::new(sheet.frame.min.x, sheet.frame.max.y);
        let mut frame = Element::new("rect");
        frame.assign("id", "frame");
        frame.assign("x", self.x(corner));
        frame.assign("y", self.y(corner));
        frame.assign("width", points(sheet.frame.width()));
        frame.assign("height", points(sheet.frame.height()));
        frame.assign("fill", "none");
        frame
    }

    fn layer(&self, layer: &Layer, marks: &[Mark]) -> Element {
        let mut group = Element::new("g");
        group.assign("class", format!("layer-{}", layer.name));
        group.append(titled("title", &format!("{}: {}", layer.name, layer.words)));
        for run in marks.chunk_by(|a, b| a.kind.same_style(&b.kind)) {
            let one_path = |a: &Mark, b: &Mark| matches!(a.kind, MarkKind::Stroke { .. }) && a.id == b.id;
            let mut elements: Vec<Element> = run.chunk_by(one_path).map(|marks| self.element(marks)).collect();
            if let [only] = &mut elements[..] {
                state_style(only, &run[0].kind);
                group.append(only.clone());
                continue;
            }
            let mut styled = Element::new("g");
            state_style(&mut styled, &run[0].kind);
            for element in elements {
                styled.append(element);
            }
            group.append(styled);
        }
        group
    }

    /// One mark, or several strokes of one item as one path, without its style.
    fn element(&self, marks: &[Mark]) -> Element {
        let mut element = match &marks[0].kind {
            MarkKind::Stroke { .. } => {
                let mut path = Element::new("path");
                path.assign("d", marks.iter().map(|mark| self.stroke(&mark.kind)).collect::<String>());
                path
            }
            MarkKind::Fill { rings, .. } => {
                let mut path = Element::new("path");
                path.assign("d", self.rings(rings));
                path
            }
            MarkKind::Text { at, turn, width, content, .. } => {
                let mut text = titled("text", content);
                self.place(&mut text, *at, *turn);
                // The printed width is the measured one, also where another font stands in.
                text.assign("textLength", points(*width));
                text.assign("lengthAdjust", "spacingAndGlyphs");
                if content.contains("  ") || content.trim() != content {
                    text.assign("xml:space", "preserve");
                }
                text
            }
        };
        element.assign("data-id", marks[0].id.as_str());
        element
    }

    fn stroke(&self, kind: &MarkKind) -> String {
        match kind {
            MarkKind::Stroke { points: corners, closed, .. } => self.path(corners, *closed),
            MarkKind::Fill { .. } | MarkKind::Text { .. } => String::new(),
        }
    }

    fn place(&self, text: &mut Element, at: Point2, turn: Vector2) {
        let (x, y) = (self.x(at), self.y(at));
        if turn == Vector2::new(1.0, 0.0) {
            text.assign("x", x);
            text.assign("y", y);
        } else {
            let [cos, sin] = [turn.x, turn.y].map(|v| decimal(v, 6));
            let minus_sin = decimal(-turn.y, 6);
            text.assign("transform", format!("matrix({cos} {minus_sin} {sin} {cos} {x} {y})"));
        }
    }

    fn path(&self, corners: &[Point2], closed: bool) -> String {
        let mut data = String::new();
        for (i, &p) in corners.iter().enumerate() {
            data.push_str(if i == 0 { "M" } else { "L" });
            push_points(&mut data, p.x);
            data.push(' ');
            push_points(&mut data, self.height - p.y);
        }
        if closed {
            data.push('Z');
        }
        data
    }

    fn rings(&self, rings: &[Ring]) -> String {
        rings.iter().map(|ring| self.path(&ring.points, true)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::fixtures;

    fn drawn(sheet: usize) -> String {
        let set = fixtures::set();
        String::from_utf8(sheet_svg(&set, &set.sheets[sheet])).unwrap()
    }

    #[test]
    fn the_sheet_has_its_true_size_frame_and_title() {
        let svg = drawn(0);
        assert!(svg.contains(r#"height="11in""#) && svg.contains(r#"width="17in""#), "{svg}");
        assert!(svg.contains(r#"viewBox="0 0 1224 792""#));
        assert!(svg.contains(r##"<rect fill="none" height="720" id="frame" width="1152" x="36" y="36"/>"##), "{svg}");
        assert!(svg.contains("<title>E-101 Roof heating plan</title>"));
        assert!(svg.contains("<desc>Test roof, job T-1, sheet 1 of 2, 2026-03-02</desc>"));
    }

    /// The window's middle (7, 6) in shows the plan's middle: the eave corner (0, 0) lies 5 in left and 3 in below at 1:48,
    /// at (2, 3) in, which is (144, 576) pt counted from the top of 11 in.
    #[test]
    fn the_plan_lies_where_its_window_shows_it() {
        let svg = drawn(0);
        let outline = svg.lines().find(|line| line.contains("data-id=\"E1\"")).unwrap();
        assert!(outline.contains("d=\"M144 576L864 576L864 144L144 144Z\""), "{outline}");
    }

    #[test]
    fn every_plotted_item_is_there_and_text_is_text() {
        let svg = drawn(0);
        for id in ["E1", "Z1", "V1", "E1.label", "D1", "J1", "border1", "title1"] {
            assert!(svg.contains(&format!("data-id=\"{id}\"")), "{id}");
        }
        assert!(!svg.contains("data-id=\"E7\""), "its layer does not plot");
        assert!(svg.contains(">E1 6:12 26.6° 50%</text>") && svg.contains("lengthAdjust=\"spacingAndGlyphs\""));
        assert!(svg.contains("<title>E-HEAT-ELEM: for tests</title>"));
    }

    #[test]
    fn a_mask_lies_under_its_text_and_over_what_was_drawn_before() {
        let mut set = fixtures::set();
        let mut text = fixtures::text(Point2::new(240.0, 12.0), crate::sheet::Anchor::Middle, "A < B & C");
        text.mask = true;
        set.models[0].items[4].shape = crate::sheet::Shape::Text(text);
        let svg = String::from_utf8(sheet_svg(&set, &set.sheets[0])).unwrap();
        let place = |what: &str| svg.find(what).unwrap_or_else(|| panic!("{what}: {svg}"));
        let mask = place("fill=\"#ffffff\" fill-rule");
        assert!(place("data-id=\"Z1\"") < mask && mask < place(">A &lt; B &amp; C</text>"));
    }
}

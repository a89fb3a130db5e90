//! A sheet becomes SVG, drawn with the `svg` crate, which is named in this file only.
//!
//! User units are points (1/72 in), y down. Marks keep their drawing order, because masks must cover what lies under them and
//! nothing else; a layer is therefore a class of groups (`layer-E-HEAT-LEAD`), one group for every stretch of marks of one layer,
//! each with the layer's words as its title. Inside, marks of one style that follow each other share a group that states it; every
//! element carries the id of its item in `data-id`. The rectangle `frame` is the border inside which everything lies; it draws
//! nothing itself.

use crate::geometry::{Point2, Vector2};
use crate::sheet::{FONT_FAMILY, FontWeight, Layer, Mark, MarkKind, Sheet, SheetSet, flatten};
use crate::units::decimal;
use crate::write::digits::push_whole;
use svg::node::element::Element;
use svg::node::{Blob, Text as Characters};
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
        // Programs without the family that heed no width of texts overrun cells less with a narrow face of their own.
        .set("font-stretch", "condensed")
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
    if parts < 0 {
        out.push('-');
    }
    push_whole(out, whole, 1);
    if part > 0 {
        out.push('.');
        let idle = part % 10 == 0;
        push_whole(out, if idle { part / 10 } else { part }, if idle { 1 } else { 2 });
    }
}

fn tone(gray: u8) -> String {
    format!("#{gray:02x}{gray:02x}{gray:02x}")
}

/// Adds an attribute to an open tag.
fn attribute(out: &mut String, name: &str, value: &str) {
    for part in [" ", name, "=\""] {
        out.push_str(part);
    }
    escape(out, value);
    out.push('"');
}

/// Adds characters so that they are read as such, between tags and in attributes.
fn escape(out: &mut String, words: &str) {
    if !words.contains(['&', '<', '>', '"']) {
        out.push_str(words);
        return;
    }
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            other => out.push(other),
        }
    }
}

/// States the style of a mark in the open tag of its element, or of the group around marks of one style.
fn state_style(out: &mut String, kind: &MarkKind) {
    match kind {
        MarkKind::Stroke { width, dashes, gray, .. } => {
            attribute(out, "fill", "none");
            attribute(out, "stroke", &tone(*gray));
            attribute(out, "stroke-width", &points(*width));
            if !dashes.is_empty() {
                let lengths: Vec<String> = dashes.iter().map(|&d| points(d)).collect();
                attribute(out, "stroke-dasharray", &lengths.join(" "));
            }
        }
        MarkKind::Fill { gray, .. } => {
            attribute(out, "fill", &tone(*gray));
            attribute(out, "fill-rule", "evenodd");
        }
        MarkKind::Text { font_size, weight, gray, .. } => {
            attribute(out, "fill", &tone(*gray));
            attribute(out, "font-size", &points(*font_size));
            if *weight == FontWeight::Bold {
                attribute(out, "font-weight", "600");
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
        // There are thousands of marks: they are written straight, not built as a tree of elements first.
        let mut out = String::new();
        let one_path = |a: &Mark, b: &Mark| matches!(a.kind, MarkKind::Stroke { .. }) && a.id == b.id;
        for run in marks.chunk_by(|a, b| a.kind.same_style(&b.kind)) {
            if run.chunk_by(one_path).count() == 1 {
                self.element(&mut out, run, Some(&run[0].kind));
                continue;
            }
            out.push_str("<g");
            state_style(&mut out, &run[0].kind);
            out.push_str(">\n");
            for marks in run.chunk_by(one_path) {
                self.element(&mut out, marks, None);
            }
            out.push_str("</g>\n");
        }
        group.append(Blob::new(out.trim_end()));
        group
    }

    /// One mark, or several strokes of one item as one path; with its style unless a group around it states that.
    fn element(&self, out: &mut String, marks: &[Mark], style: Option<&MarkKind>) {
        let first = &marks[0];
        out.push_str(if matches!(first.kind, MarkKind::Text { .. }) { "<text" } else { "<path" });
        attribute(out, "data-id", &first.id);
        if let Some(style) = style {
            state_style(out, style);
        }
        let MarkKind::Text { at, turn, width, content, .. } = &first.kind else {
            out.push_str(" d=\"");
            for mark in marks {
                self.outline(out, &mark.kind);
            }
            out.push_str("\"/>\n");
            return;
        };
        self.place(out, *at, *turn);
        // The printed width is the measured one, also where another font stands in.
        attribute(out, "textLength", &points(*width));
        attribute(out, "lengthAdjust", "spacingAndGlyphs");
        if content.contains("  ") || content.trim() != content {
            attribute(out, "xml:space", "preserve");
        }
        out.push('>');
        escape(out, content);
        out.push_str("</text>\n");
    }

    fn outline(&self, out: &mut String, kind: &MarkKind) {
        match kind {
            MarkKind::Stroke { points: corners, closed, .. } => self.path(out, corners, *closed),
            MarkKind::Fill { rings, .. } => rings.iter().for_each(|ring| self.path(out, &ring.points, true)),
            MarkKind::Text { .. } => {}
        }
    }

    fn place(&self, out: &mut String, at: Point2, turn: Vector2) {
        let (x, y) = (self.x(at), self.y(at));
        if turn == Vector2::new(1.0, 0.0) {
            attribute(out, "x", &x);
            attribute(out, "y", &y);
        } else {
            let [cos, sin] = [turn.x, turn.y].map(|v| decimal(v, 6));
            let minus_sin = decimal(-turn.y, 6);
            attribute(out, "transform", &format!("matrix({cos} {minus_sin} {sin} {cos} {x} {y})"));
        }
    }

    fn path(&self, out: &mut String, corners: &[Point2], closed: bool) {
        for (i, &p) in corners.iter().enumerate() {
            out.push(if i == 0 { 'M' } else { 'L' });
            push_points(out, p.x);
            out.push(' ');
            push_points(out, self.height - p.y);
        }
        if closed {
            out.push('Z');
        }
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

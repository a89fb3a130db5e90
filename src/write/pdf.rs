//! The sheets become one PDF, written with `krilla`, which is named in this file only.
//!
//! Vector, true page size, the drawing font embedded as a subset, a bookmark for every sheet, and no date but the job's.
//! `krilla` counts in points (1/72 in) from the top left corner, y down.

use crate::error::{Error, Result};
use crate::geometry::{Point2, Vector2};
use crate::sheet::{FontWeight, Mark, MarkKind, Sheet, SheetSet, flatten, font_bytes, glyphs};
use krilla::color::luma;
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use std::ops::Range;

/// Points in an inch.
const POINTS: f64 = 72.0;

/// All sheets of the set in one file. What lies on layers that do not plot is left out.
///
/// # Errors
/// `pdf-output` when the set has no sheet, a page has no size, or the PDF library refuses the drawing.
pub fn sheets_pdf(set: &SheetSet) -> Result<Vec<u8>> {
    write(set, SerializeSettings::default())
}

fn write(set: &SheetSet, settings: SerializeSettings) -> Result<Vec<u8>> {
    if set.sheets.is_empty() {
        return Err(failed("the set has no sheet"));
    }
    let fonts = [FontWeight::Regular, FontWeight::Bold].map(|weight| Font::new(font_bytes(weight).into(), 0));
    let [Some(regular), Some(bold)] = fonts else { return Err(failed("the drawing font cannot be read")) };
    let mut document = Document::new_with(settings);
    let mut outline = Outline::new();
    for (number, sheet) in set.sheets.iter().enumerate() {
        let size = PageSettings::from_wh(in_points(sheet.size.x), in_points(sheet.size.y))
            .ok_or_else(|| failed(&format!("sheet {} has no size", sheet.number)))?;
        let mut page = document.start_page_with(size);
        // The surface and the page are finished by going out of scope.
        {
            let surface = page.surface();
            Page { surface, height: sheet.size.y, regular: &regular, bold: &bold }.sheet(set, sheet);
        }
        page.finish();
        let top = XyzDestination::new(number, Point::from_xy(0.0, 0.0));
        outline.push_child(OutlineNode::new(format!("{} {}", sheet.number, sheet.title), top));
    }
    document.set_outline(outline);
    document.set_metadata(metadata(set));
    document.finish().map_err(|why| failed(&format!("{why:?}")))
}

fn failed(why: &str) -> Error {
    Error::unreadable("pdf-output", format!("the PDF cannot be written: {why}"))
}

fn metadata(set: &SheetSet) -> Metadata {
    let metadata = Metadata::new()
        .title(format!("{} - {}", set.job_number, set.title))
        .creator("eavesdraft".into())
        .producer("eavesdraft".into())
        .document_id(format!("eavesdraft {} {}", set.job_number, set.title));
    match date(&set.date) {
        Some(date) => metadata.creation_date(date),
        None => metadata,
    }
}

/// A date written `2026-03-02`; other ways of writing one are printed on the sheets and left out here.
fn date(text: &str) -> Option<DateTime> {
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() || (year.len(), month.len(), day.len()) != (4, 2, 2) {
        return None;
    }
    let (year, month, day): (u16, u8, u8) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    ((1..=12).contains(&month) && (1..=31).contains(&day)).then(|| DateTime::new(year).month(month).day(day))
}

/// The library works in single precision: on the largest sheet that is a few millionths of an inch.
fn in_points(inches: f64) -> f32 {
    (inches * POINTS) as f32
}

/// Steps of a point to which places on the page are given: half a step is 0.00007 in, and shorter figures make a smaller file, sooner packed.
const STEPS: f64 = 100.0;

/// A place on the page.
fn on_page(inches: f64) -> f32 {
    ((inches * POINTS * STEPS).round() / STEPS) as f32
}

/// The points of a stroke, and whether it closes.
fn line_of(kind: &MarkKind) -> Option<(&[Point2], bool)> {
    match kind {
        MarkKind::Stroke { points, closed, .. } => Some((points.as_slice(), *closed)),
        MarkKind::Fill { .. } | MarkKind::Text { .. } => None,
    }
}

/// Whether two texts stand in one line, one after the other, in the same letters: the cells of a row of a table are drawn in one stroke of
/// the pen, which makes the file a good deal smaller.
fn one_line(a: &Mark, b: &Mark) -> bool {
    let (
        MarkKind::Text { at, turn, width, content, .. },
        MarkKind::Text { at: next, turn: next_turn, content: next_content, .. },
    ) = (&a.kind, &b.kind)
    else {
        return false;
    };
    let level = *turn == Vector2::new(1.0, 0.0) && turn == next_turn && on_page(at.y) == on_page(next.y);
    a.layer == b.layer
        && a.kind.same_style(&b.kind)
        && level
        && at.x + width < next.x
        && ![content, next_content].iter().any(|words| words.is_empty())
}

struct Page<'a, 'b> {
    surface: Surface<'a>,
    height: f64,
    regular: &'b Font,
    bold: &'b Font,
}

impl Page<'_, '_> {
    fn sheet(&mut self, set: &SheetSet, sheet: &Sheet) {
        let marks = flatten(set, sheet);
        // Strokes of one item are of one pen but for the ticks of dimensions; one path for all keeps hatches small.
        let one_path = |a: &Mark, b: &Mark| a.id == b.id && line_of(&a.kind).is_some() && a.kind.same_style(&b.kind);
        for run in marks.chunk_by(|a, b| one_path(a, b) || one_line(a, b)) {
            if set.layers[run[0].layer.0].plots {
                self.marks(run);
            }
        }
    }

    /// One mark, or several strokes of one pen.
    fn marks(&mut self, marks: &[Mark]) {
        match &marks[0].kind {
            MarkKind::Stroke { width, dashes, gray, .. } => {
                let lines: Vec<(&[Point2], bool)> = marks.iter().filter_map(|mark| line_of(&mark.kind)).collect();
                let Some(path) = self.path(&lines) else { return };
                let dash = (!dashes.is_empty())
                    .then(|| StrokeDash { array: dashes.iter().map(|&d| in_points(d)).collect(), offset: 0.0 });
                self.surface.set_fill(None);
                self.surface.set_stroke(Some(Stroke {
                    paint: luma::Color::new(*gray).into(),
                    width: in_points(*width),
                    line_join: LineJoin::Round,
                    dash,
                    ..Stroke::default()
                }));
                self.surface.draw_path(&path);
            }
            MarkKind::Fill { rings, gray } => {
                let loops: Vec<(&[Point2], bool)> = rings.iter().map(|r| (r.points.as_slice(), true)).collect();
                let Some(path) = self.path(&loops) else { return };
                self.fill(*gray);
                self.surface.draw_path(&path);
            }
            MarkKind::Text { gray, .. } => {
                self.fill(*gray);
                self.texts(marks);
            }
        }
    }

    fn fill(&mut self, gray: u8) {
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(Fill {
            paint: luma::Color::new(gray).into(),
            rule: FillRule::EvenOdd,
            ..Fill::default()
        }));
    }

    /// `None` for a path without length, which draws nothing.
    fn path(&self, lines: &[(&[Point2], bool)]) -> Option<Path> {
        let mut path = PathBuilder::new();
        for (points, closed) in lines {
            for (i, p) in points.iter().enumerate() {
                let (x, y) = (on_page(p.x), on_page(self.height - p.y));
                if i == 0 {
                    path.move_to(x, y);
                } else {
                    path.line_to(x, y);
                }
            }
            if *closed {
                path.close();
            }
        }
        path.finish()
    }

    /// Texts of one line, glyph by glyph with the advances the sheet was laid out with, so that the printed width is the measured one; the
    /// last glyph of each reaches on to the next text.
    fn texts(&mut self, marks: &[Mark]) {
        let MarkKind::Text { at, turn, font_size, weight, .. } = &marks[0].kind else { return };
        let (mut words, mut shown): (String, Vec<(f64, u16, Range<usize>)>) = Default::default();
        let mut reached = at.x;
        for mark in marks {
            let MarkKind::Text { at: here, content, .. } = &mark.kind else { continue };
            if let Some((advance, ..)) = shown.last_mut() {
                *advance += (here.x - reached) / font_size;
                words.push(' ');
            }
            reached = here.x;
            for glyph in glyphs(content, *weight) {
                reached += glyph.advance * font_size;
                let bytes = words.len() + glyph.bytes.start..words.len() + glyph.bytes.end;
                shown.push((glyph.advance, glyph.number, bytes));
            }
            words += content;
        }
        let glyph = |(advance, number, bytes): (f64, u16, Range<usize>)| {
            KrillaGlyph::new(GlyphId::new(u32::from(number)), advance as f32, 0.0, 0.0, 0.0, bytes, None)
        };
        let shown: Vec<KrillaGlyph> = shown.into_iter().map(glyph).collect();
        let font = match weight {
            FontWeight::Regular => self.regular,
            FontWeight::Bold => self.bold,
        };
        let size = in_points(*font_size);
        let place = Point::from_xy(on_page(at.x), on_page(self.height - at.y));
        if *turn == Vector2::new(1.0, 0.0) {
            self.surface.draw_glyphs(place, &shown, font.clone(), &words, size, false);
            return;
        }
        let (cos, sin) = (turn.x as f32, turn.y as f32);
        self.surface.push_transform(&Transform::from_row(cos, -sin, sin, cos, place.x, place.y));
        self.surface.draw_glyphs(Point::from_xy(0.0, 0.0), &shown, font.clone(), &words, size, false);
        self.surface.pop();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::fixtures;

    /// Uncompressed, so that a test can read it.
    fn readable(set: &SheetSet) -> String {
        let settings = SerializeSettings {
            compress_content_streams: false,
            ascii_compatible: true,
            pretty: true,
            ..SerializeSettings::default()
        };
        String::from_utf8_lossy(&write(set, settings).unwrap()).into_owned()
    }

    #[test]
    fn pages_have_their_true_size_and_a_bookmark_each() {
        let pdf = readable(&fixtures::set());
        assert_eq!(pdf.matches("/MediaBox [0 0 1224 792]").count(), 2, "{pdf}");
        assert!(pdf.contains("E-101 Roof heating plan") && pdf.contains("E-401 Face F1"));
        assert!(pdf.contains("T-1 - Test roof") && pdf.contains("D:20260302"));
    }

    /// The eave corner (0, 0) of the plan lies at (2, 3) in: 144 pt from the left, 576 pt from the top.
    #[test]
    fn the_plan_lies_where_its_window_shows_it() {
        let pdf = readable(&fixtures::set());
        assert!(pdf.contains("144 576 m\n864 576 l\n864 144 l\n144 144 l\nh"), "{pdf}");
    }

    #[test]
    fn the_font_is_embedded_as_a_subset() {
        let pdf = readable(&fixtures::set());
        assert!(pdf.contains("+BarlowSemiCondensed-Regular") && pdf.contains("/ToUnicode"), "{pdf}");
        let whole = font_bytes(FontWeight::Regular).len();
        assert!(sheets_pdf(&fixtures::set()).unwrap().len() < whole, "smaller than the whole font");
    }

    #[test]
    fn two_runs_give_the_same_bytes_and_an_odd_date_is_no_date() {
        let mut set = fixtures::set();
        assert_eq!(sheets_pdf(&set).unwrap(), sheets_pdf(&set).unwrap());
        set.date = "early March".into();
        assert!(!readable(&set).contains("CreationDate"));
    }

    /// Two cells of a row are one text object; one on another line, or to the left, is another.
    #[test]
    fn a_line_of_texts_is_drawn_at_once() {
        let at = |x: f64, y: f64| {
            let mut set = fixtures::set();
            set.sheets[0].items.push(fixtures::note("n1", Point2::new(13.2, 2.0), "AB"));
            set.sheets[0].items.push(fixtures::note("n2", Point2::new(x, y), "CD"));
            readable(&set).matches("BT\n").count()
        };
        let apart = at(14.2, 3.0);
        assert_eq!([at(14.2, 2.0), at(12.0, 2.0)], [apart - 1, apart]);
    }

    #[test]
    fn a_set_without_sheets_is_refused() {
        assert_eq!(sheets_pdf(&SheetSet::default()).unwrap_err().code, "pdf-output");
    }
}

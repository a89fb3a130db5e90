//! Section through an eave: overhang, wall line, reach and the elements up the slope.

use super::super::Drawn;
use super::super::dimensions::measured;
use super::super::layers::Pen;
use super::super::model::Dimension;
use super::super::pad::Pad;
use super::super::plan_model::{Drawing, element_pen};
use super::callouts::{around, break_line, callout, callouts};
use super::section::{DECK, Slope, body};
use super::{Detail, drawing};
use crate::courses::{ElementRole, Segment};
use crate::geometry::{Point2, Vector2};
use crate::index::EdgeId;
use crate::units::{feet_inches, pitch_in_12};
use crate::zones::{Zone, ZoneKind};
use std::collections::BTreeSet;

/// Depth of rafter and fascia below the deck, inches: drawn, not dimensioned.
const RAFTER: f64 = 6.0;
/// How far below the drip edge the wall is drawn, inches.
const BELOW: f64 = 16.0;
/// At most so many different sections; the face sheets hold every eave.
const MOST: usize = 4;

/// What one section is drawn from.
struct Eave<'a> {
    edges: Vec<EdgeId>,
    pitch: f64,
    overhang: f64,
    required: f64,
    provided: f64,
    segments: Vec<&'a Segment>,
}

/// One section for each different pitch, overhang and reach of the heated eaves.
pub(super) fn eave_sections<'a>(drawn: &'a Drawn<'a>) -> Vec<Detail<'a>> {
    let mut eaves: Vec<Eave> = Vec::new();
    for zone in drawn.zones.zones.iter().filter(|z| z.kind == ZoneKind::Eave && z.at_drip_edge) {
        let Some(eave) = eave_of(drawn, zone) else { continue };
        match eaves.iter_mut().find(|e| same(e, &eave)) {
            Some(known) => known.edges.extend(eave.edges),
            None => eaves.push(eave),
        }
    }
    eaves.truncate(MOST);
    let details = eaves.into_iter().enumerate();
    details
        .map(|(i, eave)| {
            let edges: BTreeSet<EdgeId> = eave.edges.iter().copied().collect();
            let tags: Vec<String> = edges.iter().map(ToString::to_string).collect();
            let far = eave.provided.max(eave.required) + 8.0;
            let slope = Slope::at_pitch(eave.pitch, 1.0);
            let bounds = around(&[Point2::new(0.0, -BELOW), slope.point(far, 0.0)]);
            let title = format!("Eave section, {} roof: {}", pitch_in_12(eave.pitch), tags.join(" "));
            let letter = move |scale: f64| section(drawn, &eave, scale, i + 1);
            Detail { title, bounds, letter: Box::new(letter) }
        })
        .collect()
}

fn eave_of<'a>(drawn: &Drawn<'a>, zone: &Zone) -> Option<Eave<'a>> {
    let filled = drawn.courses.zones.iter().find(|z| z.zone == zone.id)?;
    // One piece a course, whichever comes first along the eave.
    let mut segments: Vec<&Segment> = Vec::new();
    for segment in drawn.courses.segments.iter().filter(|s| s.zone == zone.id) {
        if !segments.iter().any(|s| s.course == segment.course) {
            segments.push(segment);
        }
    }
    segments.sort_by_key(|s| s.course);
    let edge = *zone.edges.first()?;
    (!segments.is_empty()).then(|| Eave {
        edges: zone.edges.clone(),
        pitch: drawn.roof.face(zone.face).pitch,
        overhang: drawn.zones.overhang(edge).map_or(0.0, |o| o.inches),
        required: filled.required_reach,
        provided: filled.provided_reach,
        segments,
    })
}

/// Whether two eaves are built alike, to a sixteenth.
fn same(a: &Eave, b: &Eave) -> bool {
    let near = |x: f64, y: f64| (x - y).abs() < 1.0 / 16.0;
    near(12.0 * a.pitch, 12.0 * b.pitch)
        && near(a.overhang, b.overhang)
        && near(a.required, b.required)
        && near(a.provided, b.provided)
        && a.segments.len() == b.segments.len()
}

fn section(drawn: &Drawn, eave: &Eave, scale: f64, number: usize) -> Drawing {
    let mut pad = Pad::default();
    let slope = Slope::at_pitch(eave.pitch, scale);
    let far = eave.provided.max(eave.required) + 8.0;
    let products = &drawn.job.products;
    let shingle = &products.shingle.value;
    let courses = (far / shingle.exposure.inches()).floor() as u32 + 1;
    slope.roofing(&mut pad, shingle, courses, far);
    structure(&mut pad, eave, &slope, far);
    let base = super::courses::layer_height(drawn);
    for segment in &eave.segments {
        let id = format!("course{}", segment.course);
        slope.element(&mut pad, &id, element_pen(segment.element), segment.offset, segment.width(), base(segment));
    }
    dimensions(&mut pad, eave, &slope);
    let object = around(&[Point2::new(-1.0, -BELOW), slope.point(far, 0.2)]);
    let (starter, deck): (Vec<&Segment>, Vec<&Segment>) =
        eave.segments.iter().copied().partition(|s| s.element == ElementRole::Starter);
    let mut notes = vec![
        callout(slope.point(far - 1.0, 0.06), format!("shingles: {}", shingle.words)),
        callout(slope.point(far - 3.0, 0.018), "ice barrier on the deck"),
        callout(Point2::new(eave.overhang, -0.5 * BELOW), "exterior wall line"),
        callout(Point2::new(0.0, -1.4), "drip edge: distances up the slope start at its outer face"),
    ];
    if let Some(last) = deck.last() {
        let words = format!(
            "deck element {}, {} wide, courses {} to {}",
            last.element_key,
            feet_inches(last.width()),
            deck[0].course,
            last.course
        );
        notes.push(callout(slope.point(last.offset + 0.5 * last.width(), base(last) + 0.02), words));
    }
    if let Some(first) = starter.first() {
        let words = format!(
            "starter element {}, {} wide, lower edge at the drip edge",
            first.element_key,
            feet_inches(first.width())
        );
        notes.push(callout(slope.point(0.5 * first.width(), base(first) + 0.02), words));
    }
    callouts(&mut pad, scale, object, notes);
    drawing(&format!("eave {number}"), scale, pad)
}

/// Rafter, fascia, soffit and wall: enough to see where the wall line stands.
fn structure(pad: &mut Pad, eave: &Eave, slope: &Slope, far: f64) {
    let down = Vector2::new(0.0, -1.0);
    let tangent = slope.along.y / slope.along.x;
    let deck_low = |x: f64| x * tangent - DECK / slope.along.x;
    let rafter_low = |x: f64| deck_low(x) - RAFTER;
    let fascia = 0.75;
    body(pad, "fascia", Pen::Cut, Point2::new(0.1, rafter_low(0.1)), Point2::new(0.1 + fascia, deck_low(0.1)), 235);
    let inside = slope.along.x * far;
    let rafter = [Point2::new(0.1 + fascia, rafter_low(0.1 + fascia)), Point2::new(inside, rafter_low(inside))];
    pad.path("rafter", Pen::Beyond, rafter.to_vec());
    let soffit = rafter_low(0.1);
    if eave.overhang > 2.0 {
        pad.line("soffit", Pen::Cut, Point2::new(0.1, soffit), Point2::new(eave.overhang, soffit));
    }
    let head = Point2::new(eave.overhang, rafter_low(eave.overhang).max(soffit));
    let foot = Point2::new(eave.overhang, -BELOW);
    pad.line("wall", Pen::Cut, head, foot);
    pad.line("wall.inside", Pen::Beyond, head + Vector2::new(4.5, 4.5 * tangent), foot + Vector2::new(4.5, 0.0));
    pad.path("wall.break", Pen::Beyond, break_line(foot + Vector2::new(-1.0, 0.0), foot + Vector2::new(5.5, 0.0), 0.6));
    pad.line("plumb", Pen::Control, Point2::new(0.0, -2.5), Point2::new(0.0, 0.0) + down * BELOW);
}

fn dimensions(pad: &mut Pad, eave: &Eave, slope: &Slope) {
    let low = -BELOW;
    let at = |x: f64| Point2::new(x, low);
    pad.dimension("dim.overhang", measured(at(0.0), at(eave.overhang), -0.3));
    let inside = eave.required * slope.along.x;
    if inside > eave.overhang + 0.5 {
        pad.dimension("dim.inside", measured(at(eave.overhang), at(inside), -0.3));
        pad.line("reach.plumb", Pen::Control, at(inside), slope.point(eave.required, 0.0));
    }
    let aligned = |id: &str, to: f64, offset: f64, words: &str, pad: &mut Pad| {
        let (a, b) = (slope.point(0.0, 0.15), slope.point(to, 0.15));
        pad.dimension(id, Dimension { a, b, offset, text: format!("{} {words}", feet_inches(to)) });
    };
    aligned("dim.required", eave.required, 0.3, "required", pad);
    aligned("dim.provided", eave.provided, 0.6, "provided", pad);
}

#[cfg(test)]
mod tests {
    use super::super::super::fixtures::layout;
    use super::*;
    use crate::job::SheetSize;
    use crate::roof::fixtures::hipped_l;

    /// A reader looks an edge up in a row that runs upward, in whatever order the zones were made.
    #[test]
    fn the_edges_a_section_is_of_stand_in_order() {
        let mut made = layout(hipped_l(), SheetSize::ArchD);
        made.zones.zones.reverse();
        let drawn = made.drawn();
        let sections = eave_sections(&drawn);
        let title = &sections[0].title;
        let (_, tags) = title.split_once(": ").unwrap();
        let numbers: Vec<u32> = tags.split(' ').map(|tag| tag[1..].parse().unwrap()).collect();
        assert!(numbers.len() > 2 && numbers.is_sorted(), "{title}");
    }
}

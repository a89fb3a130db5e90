//! One developed face as a true-size model: eave at the bottom as seen facing up the slope, chalk lines, elements with tags and
//! cut lengths, fed and capped ends, leads, gaps in the nail rows, keep-outs, stations.

use super::Drawn;
use super::blocks::Symbol;
use super::clip::inside_region;
use super::dimensions::{dimension_parts, measured};
use super::face_leads::{draw_face_leads, exit_room};
use super::face_tags::{face_edge_labels, side_column};
use super::labels::{Label, Placer, draw_labels};
use super::layers::Pen;
use super::model::{Anchor, Dimension, Model, Text};
use super::pad::{NOTE, Pad, TAG, rectangle};
use super::plan_model::{Drawing, block_dimension, course_offset, element_pen};
use super::revisions::draw_clouds;
use super::roof_lines::{around_box, edge_pen, opening_words};
use crate::courses::Segment;
use crate::geometry::{Box2, Point2, Region, Segment2, Vector2};
use crate::index::{EdgeId, FaceId, SegmentId};
use crate::roof::Basis;
use crate::units::feet_inches;
use crate::wiring::{End, LaneCourse, Lead, Terminal};
use crate::zones::{FaceEdge, FaceLayout, Interval2, Zone, ZoneKind};
use std::collections::{BTreeMap, BTreeSet};

/// Tone of an element on a face sheet: its tag stands in it.
const STRIP_TONE: u8 = 225;
/// White between a tag and the sides of its strip, inches on paper: the strip's own lines frame it, and its length must not be lost to
/// the stroke of a fraction that reaches below the figures.
const STRIP_ROOM: f64 = 0.003;
/// From the eave down to the chain of stations, and to the whole eave, inches on paper.
const STATION_TIERS: [f64; 2] = [0.32, 0.62];

/// A face being drawn.
#[derive(Clone)]
pub(super) struct Face<'a> {
    /// The layout.
    pub drawn: &'a Drawn<'a>,
    /// The developed face.
    pub layout: &'a FaceLayout,
    /// Its zones.
    pub zones: Vec<&'a Zone>,
    /// Its segments that are fed.
    pub segments: Vec<&'a Segment>,
    /// Those that are not: they are not installed.
    pub left_out: Vec<&'a Segment>,
    /// Leads that lie on it or end at one of its segments.
    pub leads: Vec<&'a Lead>,
    /// Model inches per paper inch.
    pub scale: f64,
    /// The bare face.
    pub bounds: Box2,
}

impl<'a> Face<'a> {
    /// The same face with letters for another scale.
    fn at_scale(&self, scale: f64) -> Self {
        Self { scale, ..self.clone() }
    }

    /// Upper edge of the highest element, else of the highest zone.
    pub(super) fn band_top(&self) -> f64 {
        let elements = self.segments.iter().chain(&self.left_out).map(|s| s.across.high);
        let zones = self.zones.iter().map(|z| z.base_v + z.required_reach);
        elements.chain(zones).fold(0.0, f64::max)
    }
}

/// The faces to draw, those with a zone, with what lies on each: all in one pass, since a drawing of many roofs has many faces.
pub(super) fn heated_faces<'a>(drawn: &'a Drawn<'a>) -> Vec<Face<'a>> {
    let mut zones: BTreeMap<FaceId, Vec<&Zone>> = BTreeMap::new();
    for zone in &drawn.zones.zones {
        zones.entry(zone.face).or_default().push(zone);
    }
    let mut pieces: BTreeMap<FaceId, Vec<&Segment>> = BTreeMap::new();
    for segment in drawn.laid {
        pieces.entry(segment.face).or_default().push(segment);
    }
    let mut leads: BTreeMap<FaceId, Vec<&Lead>> = BTreeMap::new();
    for lead in &drawn.wiring.leads {
        let ends = [lead.from, lead.to].into_iter().filter_map(|terminal| match terminal {
            Terminal::Segment(id, _) => Some(drawn.courses.segments[id.index()].face),
            Terminal::Box(_) => None,
        });
        let on: BTreeSet<FaceId> = lead.legs.iter().filter_map(|leg| leg.face).chain(ends).collect();
        for face in on {
            leads.entry(face).or_default().push(lead);
        }
    }
    let heated = |layout: &'a FaceLayout| {
        let zones = zones.remove(&layout.face)?;
        let here = pieces.remove(&layout.face).unwrap_or_default();
        let (segments, left_out) = here.into_iter().partition(|s| drawn.wiring.feed(s.id).is_some());
        let leads = leads.remove(&layout.face).unwrap_or_default();
        let bounds = layout.region.exterior.bounds()?;
        Some(Face { drawn, layout, zones, segments, left_out, leads, scale: 1.0, bounds })
    };
    drawn.zones.faces.iter().filter_map(heated).collect()
}

/// The developed face, lettered for a scale.
pub(super) fn developed_face(face: &Face, scale: f64) -> Drawing {
    let drawn = face.drawn;
    let name = format!("face {}", face.layout.face);
    let face = face.at_scale(scale);
    let mut pad = Pad::default();
    let mut placer = Placer::new(scale);
    draw_setbacks(&face, &mut pad);
    draw_openings(&face, &mut pad, &mut placer);
    draw_lanes(&face, &mut pad);
    draw_strips(&face, &mut pad, &mut placer);
    draw_outline(&face, &mut pad, &mut placer);
    control_line(&face, &mut pad, &mut placer);
    draw_face_leads(&face, &mut pad, &mut placer);
    draw_ends(&face, &mut pad, &mut placer);
    chalk_lines(&face, &mut pad, &mut placer);
    station_dimensions(&face, &mut pad, &mut placer);
    let tagged = tag_strips(&face, &mut pad, &mut placer);
    tag_left_out(&face, &mut pad, &mut placer);
    // What else is said stands beside the pieces: in them it would be read as theirs.
    for segment in &face.segments {
        placer.block_quad(corners_of(Interval2 { u: segment.along, v: segment.across }));
    }
    tag_column(&face, &tagged, &mut pad, &mut placer);
    let shown = |id| (id == face.layout.face).then_some(face.bounds);
    let marks = draw_clouds(drawn, scale, shown, &mut pad, &mut placer);
    setback_dimensions(&face, &mut pad, &mut placer);
    block_setbacks(&face, &mut placer);
    let mut labels = super::face_leads::exit_labels(&face);
    labels.extend(face_edge_labels(&face));
    labels.extend(face_opening_labels(&face));
    let mut key = draw_labels(labels, &mut pad, &mut placer);
    key.extend(marks);
    run_ends(&face, &mut pad, &mut placer);
    Drawing { model: Model { name, is_plan: false, lettered_for: scale, items: pad.items }, key }
}

fn corners_of(extent: Interval2) -> [Point2; 4] {
    let c = rectangle(Point2::new(extent.u.low, extent.v.low), Point2::new(extent.u.high, extent.v.high));
    [c[0], c[1], c[2], c[3]]
}

/// The lines that setbacks draw inside the face, edge by edge.
fn setback_lines(face: &Face) -> Vec<(EdgeId, Vec<Segment2>)> {
    let line = |edge: &FaceEdge| {
        let along = (edge.b - edge.a).unit()?;
        let inward = along.left() * edge.setback;
        // Reaching past both ends, so that neighbouring setbacks meet.
        let reach = along * (4.0 * edge.setback);
        let line = Segment2::new(edge.a + inward - reach, edge.b + inward + reach);
        Some((edge.edge, inside_region(line, &face.layout.region)))
    };
    face.layout.edges.iter().filter(|e| e.setback > 0.0).filter_map(line).collect()
}

fn draw_setbacks(face: &Face, pad: &mut Pad) {
    for (edge, pieces) in setback_lines(face) {
        for (i, piece) in pieces.into_iter().enumerate() {
            pad.line(format!("{edge}.setback{}", i + 1), Pen::KeepOut, piece.a, piece.b);
        }
    }
}

/// Keeps what is said of leads and edges off the setback lines, once the setbacks' own figures stand.
fn block_setbacks(face: &Face, placer: &mut Placer) {
    for piece in setback_lines(face).into_iter().flat_map(|(_, pieces)| pieces) {
        placer.block_line(piece.a, piece.b, 0.005);
    }
}

fn draw_openings(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    for (i, area) in face.layout.keep_outs.iter().enumerate() {
        pad.ring(format!("free{}.keepout", i + 1), Pen::KeepOut, corners_of(area.keep_out).to_vec());
        pad.ring(format!("free{}", i + 1), Pen::Opening, corners_of(area.solid).to_vec());
    }
    for opening in &face.layout.openings {
        let id = opening.opening;
        for (name, around) in [("keepout", opening.keep_out), ("flashing", opening.flashing)] {
            let corners = corners_of(around);
            pad.ring(format!("{id}.{name}"), Pen::KeepOut, corners.to_vec());
            placer.block_path(&[corners[0], corners[1], corners[2], corners[3], corners[0]], 0.005);
        }
        for (i, ring) in opening.outline.rings().enumerate() {
            let part = if i == 0 { String::new() } else { format!(".hole{i}") };
            pad.ring(format!("{id}{part}"), Pen::Opening, ring.points.clone());
            for side in ring.sides() {
                placer.block_line(side.a, side.b, 0.012);
            }
        }
    }
}

fn face_opening_labels(face: &Face) -> Vec<Label> {
    let mut labels = Vec::new();
    for opening in &face.layout.openings {
        let kind = face.drawn.roof.openings.iter().find(|o| o.id == opening.opening).map(|o| o.kind);
        let words = kind.map_or("opening", opening_words).to_uppercase();
        let long = format!("{} {words}", opening.opening);
        let Some(bounds) = opening.outline.exterior.bounds() else { continue };
        let both = [long.clone(), opening.opening.to_string()];
        let candidates = both.into_iter().flat_map(|w| around_box(bounds, face.scale, &w)).collect();
        labels.push(Label { id: format!("{}.tag", opening.opening), pen: Pen::RoofTag, candidates, key: long });
    }
    labels
}

fn draw_lanes(face: &Face, pad: &mut Pad) {
    for lane in face.drawn.wiring.lanes.iter().filter(|l| l.face == face.layout.face && l.used > 0) {
        let legs = face.leads.iter().flat_map(|l| &l.legs);
        let points = legs
            .filter(|leg| leg.face == Some(lane.face) && leg.lanes.contains(&lane.id))
            .flat_map(|leg| leg.path.iter().copied());
        let Some(used) = Box2::around(points) else { continue };
        // A lane is drawn no longer than its leads: the rest is an empty rectangle in the way of the tags.
        let mut extent = lane.extent;
        let margin = 0.1 * face.scale;
        let shown = match lane.course {
            LaneCourse::AlongCourse => (&mut extent.u, used.min.x, used.max.x),
            LaneCourse::UpSlope => (&mut extent.v, used.min.y, used.max.y),
        };
        shown.0.low = shown.0.low.max(shown.1 - margin);
        shown.0.high = shown.0.high.min(shown.2 + margin);
        if extent.u.high > extent.u.low && extent.v.high > extent.v.low {
            pad.ring(lane.id.to_string(), Pen::Lane, corners_of(extent).to_vec());
        }
    }
}

fn draw_strips(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    for segment in &face.segments {
        let corners = corners_of(Interval2 { u: segment.along, v: segment.across });
        let pen = element_pen(segment.element);
        pad.tone(format!("{}.strip", segment.id), pen, vec![Region::simple(corners.to_vec())], STRIP_TONE);
        pad.ring(segment.id.to_string(), pen, corners.to_vec());
        for (a, b) in [(0, 1), (1, 2), (2, 3), (3, 0)] {
            placer.block_line(corners[a], corners[b], 0.006);
        }
    }
    for segment in &face.left_out {
        let corners = corners_of(Interval2 { u: segment.along, v: segment.across });
        pad.ring(segment.id.to_string(), Pen::Cold, corners.to_vec());
    }
    for (i, cold) in face.drawn.courses.cold.iter().enumerate() {
        let Some(zone) = face.zones.iter().find(|z| z.id == cold.zone) else { continue };
        let Some(rule) = &face.drawn.courses.rule else { continue };
        let shift = face.drawn.courses.zones.iter().find(|z| z.zone == zone.id).map_or(0.0, |z| z.shift);
        let v = zone.base_v + course_offset(rule, cold.course) + if cold.course == 0 { 0.0 } else { shift };
        pad.line(format!("cold.{}", i + 1), Pen::Cold, Point2::new(cold.along.low, v), Point2::new(cold.along.high, v));
    }
}

fn draw_outline(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    for (i, edge) in face.layout.edges.iter().enumerate() {
        let basis = face.drawn.roof.edge(edge.edge).basis;
        // An edge may bound a face twice (a slit); the second use takes its own id.
        let again = face.layout.edges[..i].iter().any(|e| e.edge == edge.edge);
        let id = if again { format!("{}.again{i}", edge.edge) } else { edge.edge.to_string() };
        let pen = if basis == Basis::Ambiguous { Pen::Open } else { edge_pen(edge.kind, basis) };
        pad.line(id, pen, edge.a, edge.b);
        placer.block_line(edge.a, edge.b, 0.016);
    }
}

/// The line through station 0, square to the eave, up past the top element.
fn control_line(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    let base = face.zones.iter().map(|z| z.base_v).fold(f64::INFINITY, f64::min);
    let base = if base.is_finite() { base.min(0.0) } else { 0.0 };
    let foot = Point2::new(0.0, base - (STATION_TIERS[1] + 0.3) * face.scale);
    let head = Point2::new(0.0, face.band_top() + 0.3 * face.scale);
    pad.line("control", Pen::Control, foot, head);
    placer.block_line(foot, head, 0.01);
    let words = "CONTROL LINE, STATION 0";
    let below = foot - Vector2::new(0.0, 0.16) * face.scale;
    let text = TAG.text(below, Anchor::Center, words);
    placer.take_text(&text);
    pad.text("control.tag", Pen::Note, text);
}

/// Fed, jumped and capped ends.
fn draw_ends(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    let fed = face.segments.iter().filter_map(|s| Some((s.id, face.drawn.wiring.feed(s.id)?.fed_end)));
    let connected: BTreeSet<(SegmentId, End)> = face
        .leads
        .iter()
        .flat_map(|l| [l.from, l.to])
        .filter_map(|t| match t {
            Terminal::Segment(id, end) => Some((id, end)),
            Terminal::Box(_) => None,
        })
        .chain(fed)
        .collect();
    for segment in &face.segments {
        for (end, at, out, name) in [
            (End::Left, segment.left_end(), Vector2::new(-1.0, 0.0), "left"),
            (End::Right, segment.right_end(), Vector2::new(1.0, 0.0), "right"),
        ] {
            let powered = connected.contains(&(segment.id, end));
            let symbol = if powered { Symbol::FedEnd } else { Symbol::CappedEnd };
            pad.insert(format!("{}.{name}", segment.id), Pen::HeatTag, symbol.id(), at, out, Vec::new());
            placer.block_spot(at, 0.05);
        }
    }
}

/// Courses of the face: lower edge, offset from the drip edge and course number, from the eave up.
pub(super) fn course_levels(face: &Face) -> Vec<(f64, f64, u32)> {
    let mut levels: Vec<(f64, f64, u32)> = face.segments.iter().map(|s| (s.across.low, s.offset, s.course)).collect();
    levels.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    // Lower edges nearer than a hundredth of an inch are one chalk line.
    levels.dedup_by(|a, b| (a.0 - b.0).abs() < 0.01 && a.2 == b.2);
    levels
}

/// Chalk lines across the face with their distances from the drip edge in a column on the left.
fn chalk_lines(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    let mut rows = Vec::new();
    for (v, offset, course) in course_levels(face) {
        let across = Segment2::new(Point2::new(face.bounds.min.x, v + 1e-6), Point2::new(face.bounds.max.x, v + 1e-6));
        let pieces = inside_region(across, &face.layout.region);
        let left = pieces.first().map_or(face.bounds.min.x, |p| p.a.x);
        for (i, piece) in outside_openings(pieces, across, face).iter().enumerate() {
            let id = format!("chalk.{course}.{}.{}", (v * 16.0).round(), i + 1);
            pad.line(id, Pen::Chalk, Point2::new(piece.a.x, v), Point2::new(piece.b.x, v));
        }
        rows.push((
            Point2::new(left, v),
            format!("{course}: {}", feet_inches(offset)),
            format!("offset.{course}.{}", (v * 16.0).round()),
        ));
    }
    side_column(face, &rows, "COURSE: LOWER EDGE", (-1.0, exit_room(face, -1.0)), pad, placer);
}

/// The pieces of a level line that no opening covers: nobody snaps a line across a skylight.
fn outside_openings(mut pieces: Vec<Segment2>, across: Segment2, face: &Face) -> Vec<Segment2> {
    for opening in &face.layout.openings {
        for covered in inside_region(across, &opening.outline) {
            let (from, to) = (covered.a.x.min(covered.b.x), covered.a.x.max(covered.b.x));
            let split = |piece: Segment2| {
                let until = Segment2::new(piece.a, Point2::new(piece.b.x.min(from), piece.b.y));
                let again = Segment2::new(Point2::new(piece.a.x.max(to), piece.a.y), piece.b);
                [until, again].into_iter().filter(|part| part.b.x - part.a.x > 1e-6)
            };
            pieces = pieces.into_iter().flat_map(split).collect();
        }
    }
    pieces
}

/// Along each eave zone: run ends and gaps by the starter course, and the whole eave.
fn station_dimensions(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    for zone in face.zones.iter().filter(|z| z.kind == ZoneKind::Eave) {
        let ends: Vec<f64> =
            face.layout.edges.iter().filter(|e| zone.edges.contains(&e.edge)).flat_map(|e| [e.a.x, e.b.x]).collect();
        let (low, high) = ends.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), &u| (l.min(u), h.max(u)));
        if low >= high {
            continue;
        }
        let mut stations: Vec<f64> = face
            .segments
            .iter()
            .filter(|s| s.zone == zone.id && s.course == 0)
            .flat_map(|s| [s.along.low, s.along.high])
            .collect();
        stations.extend([low, high]);
        stations.sort_by(f64::total_cmp);
        stations.dedup_by(|a, b| (*a - *b).abs() < 1.0 / 32.0);
        let at = |u: f64| Point2::new(u, zone.base_v);
        let whole = Dimension { offset: -STATION_TIERS[1], ..measured(at(low), at(high), 0.0) };
        add_dimension(face, format!("{}.eave", zone.id), whole, pad, placer);
        for (i, pair) in stations.windows(2).enumerate() {
            let ahead = Dimension { offset: -STATION_TIERS[0], ..measured(at(pair[0]), at(pair[1]), 0.0) };
            // Walking the other way, too wide figures stand beyond the other end.
            let back = Dimension { a: ahead.b, b: ahead.a, offset: STATION_TIERS[0], ..ahead.clone() };
            let id = format!("{}.station{}", zone.id, i + 1);
            let first = if i == 0 { [back, ahead] } else { [ahead, back] };
            if let Some(free) = first.into_iter().find(|d| figures_free(face, d, placer)) {
                add_dimension(face, id, free, pad, placer);
            }
        }
    }
}

/// Whether a dimension's figures find their place free.
fn figures_free(face: &Face, dimension: &Dimension, placer: &Placer) -> bool {
    let paper = |p: Point2| Point2::new(p.x / face.scale, p.y / face.scale);
    let parts = dimension_parts(paper(dimension.a), paper(dimension.b), dimension.offset, &dimension.text);
    let text = Text { at: Point2::new(parts.text.at.x * face.scale, parts.text.at.y * face.scale), ..parts.text };
    placer.is_free(&placer.quad(&text))
}

fn add_dimension(face: &Face, id: String, dimension: Dimension, pad: &mut Pad, placer: &mut Placer) {
    block_dimension(&dimension, face.scale, placer);
    pad.dimension(id, dimension);
}

/// One dimension for each edge that holds elements off, square to it, where it finds room above the band.
fn setback_dimensions(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    let top = face.band_top();
    for edge in face.layout.edges.iter().filter(|e| e.setback > 0.0) {
        let Some(along) = (edge.b - edge.a).unit() else { continue };
        let rise = edge.b.y - edge.a.y;
        if rise.abs() < 1.0 {
            continue;
        }
        let levels = [4.0, 9.0, 14.0, 20.0, 28.0, -4.0, -12.0].map(|above| top + above);
        let free = levels.into_iter().find_map(|v| {
            let t = (v - edge.a.y) / rise;
            if !(0.05..=0.95).contains(&t) {
                return None;
            }
            let on_edge = edge.a.lerp(edge.b, t);
            let inner = on_edge + along.left() * edge.setback;
            let dimension = Dimension { a: inner, b: on_edge, offset: 0.0, text: feet_inches(edge.setback) };
            figures_free(face, &dimension, placer).then_some(dimension)
        });
        if let Some(dimension) = free {
            add_dimension(face, format!("{}.setback", edge.edge), dimension, pad, placer);
        }
    }
}

/// Tag and cut length in the strip where it is high and long enough; returns the segments tagged.
fn tag_strips(face: &Face, pad: &mut Pad, placer: &mut Placer) -> Vec<crate::index::SegmentId> {
    let mut tagged = Vec::new();
    for segment in &face.segments {
        let room = Vector2::new(segment.along.length() / face.scale, segment.width() / face.scale);
        if room.y < NOTE.height + 0.03 {
            continue;
        }
        let middle = 0.5 * (segment.across.low + segment.across.high);
        let long = format!("{}   {}", segment.tag, feet_inches(segment.cut_length));
        let candidates = [long, segment.tag.clone()].into_iter().flat_map(|words| {
            let fits = TAG.width(&words) + 0.2 <= room.x;
            [0.5, 0.35, 0.65].into_iter().filter(move |_| fits).map(move |t| {
                let u = segment.along.low + t * segment.along.length();
                TAG.text(Point2::new(u, middle), Anchor::Middle, words.clone())
            })
        });
        if let Some(text) = placer.place_within(candidates.collect::<Vec<_>>(), STRIP_ROOM) {
            pad.text(format!("{}.tag", segment.id), Pen::HeatTag, text);
            tagged.push(segment.id);
        }
    }
    tagged
}

/// What is not installed says so in its outline, where there is room; the notes list all of it.
fn tag_left_out(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    for segment in &face.left_out {
        let middle = 0.5 * (segment.across.low + segment.across.high);
        let words = format!("{} NOT INSTALLED", segment.tag);
        let fits = TAG.width(&words) + 0.2 <= segment.along.length() / face.scale
            && segment.width() / face.scale >= NOTE.height + 0.03;
        let places = [0.5, 0.35, 0.65].into_iter().filter(|_| fits).map(|t| {
            let u = segment.along.low + t * segment.along.length();
            TAG.text(Point2::new(u, middle), Anchor::Middle, words.clone())
        });
        if let Some(text) = placer.place(places.collect::<Vec<_>>()) {
            pad.text(format!("{}.tag", segment.id), Pen::HeatTag, text);
        }
    }
}

/// Courses with a segment that has no tag in its strip are written out in a column on the right.
fn tag_column(face: &Face, tagged: &[crate::index::SegmentId], pad: &mut Pad, placer: &mut Placer) {
    let mut rows = Vec::new();
    for (v, _, course) in course_levels(face) {
        let mut here: Vec<&&Segment> = face
            .segments
            .iter()
            .filter(|s| s.course == course && (s.across.low - v).abs() < 0.01 && !tagged.contains(&s.id))
            .collect();
        here.sort_by(|a, b| a.along.low.total_cmp(&b.along.low));
        let Some(last) = here.last() else { continue };
        let words: Vec<String> = here.iter().map(|s| format!("{} {}", s.tag, feet_inches(s.cut_length))).collect();
        rows.push((last.right_end(), words.join(" + "), format!("tags.{course}.{}", (v * 16.0).round())));
    }
    side_column(face, &rows, "SEGMENT, CUT LENGTH", (1.0, exit_room(face, 1.0)), pad, placer);
}

/// Stations of run ends beside them, where they fit; all of them are in the cut list.
fn run_ends(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    for segment in face.segments.iter().filter(|s| s.course > 0) {
        let gap = 0.07 * face.scale;
        for (at, anchor, side, name) in [
            (segment.left_end(), Anchor::MiddleRight, -gap, "from"),
            (segment.right_end(), Anchor::MiddleLeft, gap, "to"),
        ] {
            let place = Point2::new(at.x + side, at.y);
            if let Some(text) = placer.place([NOTE.text(place, anchor, feet_inches(at.x))]) {
                pad.text(format!("{}.{name}", segment.id), Pen::Dimension, text);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout_of;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::{Job, Work};
    use crate::roof::fixtures::hipped_l;

    /// What lies on a face is what the layout says of it, face by face: nothing is lost or told twice, whether fed or not.
    #[test]
    fn faces_hold_what_lies_on_them() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.heat.valleys = true;
        job.roof.work.value = Work::Retrofit;
        let made = layout_of(hipped_l(), job);
        let drawn = made.drawn();
        let faces = heated_faces(&drawn);
        let (mut zones, mut pieces, mut left_out) = (0, 0, 0);
        for face in &faces {
            let here = face.layout.face;
            assert!(face.zones.iter().all(|zone| zone.face == here));
            assert!(face.segments.iter().all(|s| s.face == here && drawn.wiring.feed(s.id).is_some()));
            assert!(face.left_out.iter().all(|s| s.face == here && drawn.wiring.feed(s.id).is_none()));
            zones += face.zones.len();
            pieces += face.segments.len();
            left_out += face.left_out.len();
            let touches = |lead: &&Lead| {
                let ends = [lead.from, lead.to].map(|end| match end {
                    Terminal::Segment(id, _) => Some(drawn.courses.segments[id.index()].face),
                    Terminal::Box(_) => None,
                });
                ends.contains(&Some(here)) || lead.legs.iter().any(|leg| leg.face == Some(here))
            };
            let there: Vec<_> = drawn.wiring.leads.iter().filter(touches).map(|lead| lead.id).collect();
            assert_eq!(face.leads.iter().map(|lead| lead.id).collect::<Vec<_>>(), there, "{here}");
        }
        assert_eq!(zones, drawn.zones.zones.len());
        assert_eq!((pieces + left_out, pieces), (drawn.laid.len(), drawn.wiring.feeds.len()));
        assert!(left_out > 0 && faces.len() > 1, "{left_out} left out on {} faces", faces.len());
    }
}

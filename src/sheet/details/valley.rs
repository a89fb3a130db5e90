//! A valley with both faces laid flat about its line: keep-outs by valley type, where elements end, where leads cross.

use super::super::Drawn;
use super::super::clip::{clip_polyline, clip_segment};
use super::super::dimensions::measured;
use super::super::layers::Pen;
use super::super::pad::{Pad, rectangle};
use super::super::plan_model::{Drawing, element_pen};
use super::callouts::{Callout, around, callout, callouts};
use super::{Detail, drawing};
use crate::geometry::{Box2, Point2, Region, Segment2, Vector2, intersection};
use crate::index::EdgeId;
use crate::job::ValleyType;
use crate::terms::EdgeKind;
use crate::units::feet_inches;
use crate::wiring::{Crossing, LegPlace};
use crate::zones::{FaceEdge, FaceLayout};

/// Half the width shown, inches.
const HALF: f64 = 34.0;
/// Shown below the foot of the valley, inches.
const BELOW: f64 = 14.0;
/// Shown above the top of heat or the crossing, inches.
const ABOVE: f64 = 16.0;
/// The most shown up the valley, inches.
const MOST_UP: f64 = 96.0;
/// At most so many valleys; those with a crossing first.
const MOST: usize = 2;
/// Tone of the elements.
const STRIP: u8 = 205;

/// One face laid flat beside the valley: the valley runs up from the origin, the face lies on one side.
struct Side<'a> {
    layout: &'a FaceLayout,
    edge: &'a FaceEdge,
    foot: Point2,
    up: Vector2,
    /// -1 for a face left of the valley, 1 for one right of it.
    sign: f64,
    length: f64,
}

impl<'a> Side<'a> {
    fn new(layout: &'a FaceLayout, valley: EdgeId) -> Option<Self> {
        let edge = layout.edges.iter().find(|e| e.edge == valley)?;
        let rising = edge.a.y <= edge.b.y;
        let (foot, head) = if rising { (edge.a, edge.b) } else { (edge.b, edge.a) };
        // A face lies to the left of its edges as they are walked.
        let sign = if rising { -1.0 } else { 1.0 };
        Some(Self { layout, edge, foot, up: (head - foot).unit()?, sign, length: foot.distance(head) })
    }

    /// A point of the face's frame in the detail.
    fn flat(&self, p: Point2) -> Point2 {
        let from = p - self.foot;
        Point2::new(from.dot(-self.up.left()), from.dot(self.up))
    }
}

/// Details of the valleys that elements stand beside or leads cross.
pub(super) fn valleys<'a>(drawn: &'a Drawn<'a>) -> Vec<Detail<'a>> {
    let crossed = |edge: EdgeId| drawn.wiring.crossings.iter().find(|c| c.edge == edge);
    let mut found: Vec<(EdgeId, [Side<'a>; 2], f64)> = Vec::new();
    for edge in drawn.roof.edges.iter().filter(|e| e.kind == EdgeKind::Valley) {
        let layouts: Vec<&FaceLayout> = drawn.roof.sides(edge.id).filter_map(|f| drawn.zones.layout(f)).collect();
        let [one, other] = layouts[..] else { continue };
        let (Some(one), Some(other)) = (Side::new(one, edge.id), Side::new(other, edge.id)) else { continue };
        if one.sign == other.sign {
            continue;
        }
        let heated = drawn.courses.segments.iter().filter(|s| s.face == one.layout.face || s.face == other.layout.face);
        let tops = heated.filter_map(|s| {
            let side = if s.face == one.layout.face { &one } else { &other };
            let ends = [Point2::new(s.along.low, s.across.high), Point2::new(s.along.high, s.across.high)];
            let near = ends.map(|p| side.flat(p)).into_iter().filter(|p| p.x.abs() < HALF && p.y > 0.0);
            near.map(|p| p.y).reduce(f64::max)
        });
        let Some(top) = tops.reduce(f64::max) else { continue };
        let up = crossed(edge.id).map_or(top, |c| top.max(c.up_valley)).min(one.length).min(MOST_UP);
        found.push((edge.id, [one, other], up));
    }
    found.sort_by_key(|(edge, ..)| (crossed(*edge).is_none(), *edge));
    found.truncate(MOST);
    let details = found.into_iter();
    details
        .map(|(edge, sides, up)| {
            let bounds = Box2 { min: Point2::new(-HALF, -BELOW), max: Point2::new(HALF, up + ABOVE) };
            let title = format!("Valley {edge}, both faces laid flat");
            let letter = move |scale: f64| lettered(drawn, edge, &sides, bounds, scale);
            Detail { title, bounds, letter: Box::new(letter) }
        })
        .collect()
}

fn lettered(drawn: &Drawn, valley: EdgeId, sides: &[Side; 2], window: Box2, scale: f64) -> Drawing {
    let mut pad = Pad::default();
    let mut notes = Vec::new();
    for side in sides {
        draw_side(drawn, side, window, &mut pad);
        let tier = window.max.y.min(sides[0].length) - 2.0;
        let keep = side.sign * side.edge.setback;
        let (a, b) = (Point2::new(0.0, tier), Point2::new(keep, tier));
        let dimension = if side.sign > 0.0 { measured(a, b, 0.0) } else { measured(b, a, 0.0) };
        pad.dimension(format!("{}.keep", side.layout.face), dimension);
    }
    let top = Point2::new(0.0, window.max.y.min(sides[0].length));
    pad.line(valley.to_string(), Pen::Valley, Point2::new(0.0, 0.0), top);
    notes.push(callout(Point2::new(0.0, top.y - 1.5), valley_words(drawn, valley)));
    if let Some(right) = sides.iter().find(|s| s.sign > 0.0) {
        let at = Point2::new(right.edge.setback, 0.62 * window.max.y);
        notes.push(callout(at, format!("elements end here, {}: {}", feet_inches(right.edge.setback), right.edge.why)));
    }
    if let Some(crossing) = drawn.wiring.crossings.iter().find(|c| c.edge == valley) {
        notes.extend(draw_crossing(drawn, crossing, sides, window, &mut pad));
    } else {
        notes.push(callout(
            Point2::new(0.0, 0.3 * window.max.y),
            "no lead crosses this valley, none runs along it within 14 in",
        ));
    }
    callouts(&mut pad, scale, window, notes);
    drawing(&format!("valley {valley}"), scale, pad)
}

/// Edges, keep-out line and elements of one face.
fn draw_side(drawn: &Drawn, side: &Side, window: Box2, pad: &mut Pad) {
    let face = side.layout.face;
    for (i, edge) in side.layout.edges.iter().enumerate().filter(|(_, e)| e.edge != side.edge.edge) {
        let pen = super::super::roof_lines::edge_pen(edge.kind, drawn.roof.edge(edge.edge).basis);
        if let Some(part) = clip_segment(Segment2::new(side.flat(edge.a), side.flat(edge.b)), window) {
            pad.line(format!("{face}.edge{i}"), pen, part.a, part.b);
        }
    }
    let keep = side.sign * side.edge.setback;
    let line = Segment2::new(Point2::new(keep, 0.0), Point2::new(keep, side.length));
    if let Some(part) = clip_segment(line, window) {
        pad.line(format!("{face}.keepout"), Pen::KeepOut, part.a, part.b);
    }
    let frame = [Region::simple(rectangle(window.min, window.max))];
    for segment in drawn.courses.segments.iter().filter(|s| s.face == face) {
        let corners = rectangle(
            Point2::new(segment.along.low, segment.across.low),
            Point2::new(segment.along.high, segment.across.high),
        );
        let corners: Vec<Point2> = corners.into_iter().map(|p| side.flat(p)).collect();
        if !around(&corners).meets(window) {
            continue;
        }
        let shown = intersection(&[Region::simple(corners.clone())], &frame);
        if shown.is_empty() {
            continue;
        }
        let pen = element_pen(segment.element);
        pad.tone(format!("{}.part", segment.id), pen, shown, STRIP);
        for (i, (points, closed)) in clip_polyline(&corners, true, window).into_iter().enumerate() {
            let id = format!("{}.rim{}", segment.id, i + 1);
            if closed { pad.ring(id, pen, points) } else { pad.path(id, pen, points) }
        }
    }
}

/// The leads of a crossing with their slack, and what is said of them.
fn draw_crossing(drawn: &Drawn, crossing: &Crossing, sides: &[Side; 2], window: Box2, pad: &mut Pad) -> Vec<Callout> {
    let mut ends = [Point2::new(0.0, 0.0); 2];
    for side in sides {
        let Some(at) = crossing.faces.iter().position(|&f| f == side.layout.face) else { continue };
        ends[usize::from(side.sign > 0.0)] = side.flat(crossing.ends[at]);
        for lead in drawn.wiring.leads.iter().filter(|l| crossing.leads.contains(&l.id)) {
            for (i, leg) in lead.legs.iter().enumerate().filter(|(_, l)| l.face == Some(side.layout.face)) {
                let path: Vec<Point2> = leg.path.iter().map(|&p| side.flat(p)).collect();
                for (j, (points, _)) in clip_polyline(&path, false, window).into_iter().enumerate() {
                    pad.path(format!("{}.leg{i}.{j}", lead.id), Pen::Lead, points);
                }
            }
        }
    }
    let [left, right] = ends;
    let level = 0.5 * (left.y + right.y);
    let keep = sides.iter().map(|s| s.edge.setback).fold(0.0, f64::max);
    let mut path = vec![left];
    path.extend(slack(-keep - 1.0, level, -1.0).into_iter().rev());
    path.extend(slack(keep + 1.0, level, 1.0));
    path.push(right);
    pad.path("crossing", Pen::Lead, path);
    let length = drawn.job.wiring.crossing_slack;
    let over = crossing.above_bands;
    let legs = drawn.wiring.leads.iter().flat_map(|l| &l.legs);
    let count = legs.filter(|l| l.place == LegPlace::Crossing && l.crossing == Some(crossing.id)).count();
    vec![
        callout(
            Point2::new(0.0, level),
            format!(
                "{count} {} here and nowhere else, square to the valley, {} above the heat",
                if count == 1 { "lead crosses" } else { "leads cross" },
                feet_inches(over)
            ),
        ),
        callout(
            Point2::new(keep + 4.0, level + 1.5),
            format!("slack {} a side, flat in one open S outside the keep-out", feet_inches(length)),
        ),
        callout(Point2::new(0.0, 0.5 * level), "no lead runs along the valley within 14 in of its line"),
    ]
}

/// One open S beside the valley, from `start` away from it. Drawn, not to length.
fn slack(start: f64, level: f64, sign: f64) -> Vec<Point2> {
    [(0.0, 0.0), (1.0, 1.6), (2.0, 2.2), (3.0, 1.6), (4.0, 0.0), (5.0, -1.6), (6.0, -2.2), (7.0, -1.6), (8.0, 0.0)]
        .into_iter()
        .map(|(x, y)| Point2::new(start + sign * x, level + y))
        .collect()
}

fn valley_words(drawn: &Drawn, valley: EdgeId) -> &'static str {
    match drawn.zones.valley(valley).map_or(drawn.job.roof.valley_type.value, |covering| covering.kind) {
        ValleyType::OpenMetal => "open valley: leads pass on the lining, under its metal edge and under the shingles",
        ValleyType::ClosedCut => {
            "closed-cut valley: leads pass on the lining, under the shingles; no nail within the keep-out"
        }
        ValleyType::Woven => "woven valley: leads pass on the lining, under the woven shingles",
        ValleyType::Unknown => "valley type not given (A): look for lining metal and end nails before laying",
    }
}

//! The one place of each valley (or hip) where leads cross it, square to it on both faces.

use super::build::FaceFacts;
use super::graph::Graph;
use super::model::{Crossing, Lane, LaneCourse};
use super::sizes::{Sizes, coarse};
use super::space::{SAME, near_opening};
use super::tracks::{spacing, square_to, upwards};
use crate::geometry::{Point2, Segment2};
use crate::index::{CrossingId, EdgeId, FaceId, LaneId};
use crate::job::Job;
use crate::terms::EdgeKind;
use crate::zones::{FaceEdge, FaceLayout, Zones};
use std::collections::BTreeMap;

/// A lane further than this from the fold, measured square to it, is not reached by a crossing, inches.
const LONGEST_SIDE: f64 = 36.0;

/// Height between the planes of two faces at the ends of their fold from which on they do not meet there, inches.
const FOLD_GAP: f64 = 1.0 / 16.0;

/// Adds a crossing to every valley and hip between two sloping faces where both have a lane high enough.
pub(super) fn add_crossings(graph: &mut Graph, zones: &Zones, facts: &BTreeMap<FaceId, FaceFacts>, job: &Job) {
    let mut sides: BTreeMap<EdgeId, Vec<(&FaceLayout, &FaceEdge)>> = BTreeMap::new();
    for layout in &zones.faces {
        for edge in layout.edges.iter().filter(|e| matches!(e.kind, EdgeKind::Valley | EdgeKind::Hip)) {
            sides.entry(edge.edge).or_default().push((layout, edge));
        }
    }
    for (edge, sides) in sides {
        let [left, right] = sides.as_slice() else { continue };
        if !meet_along(left, right.0) {
            continue;
        }
        if let Some(found) = place(graph, *left, *right, facts, job) {
            let id = CrossingId::new(graph.crossings.len());
            let a = graph.add_node(found.lanes[0], found.points[0]);
            let b = graph.add_node(found.lanes[1], found.points[1]);
            let cost = found.length + 2.0 * job.wiring.crossing_slack;
            graph.link_crossing(a, b, cost, id);
            graph.crossings.push(Crossing {
                id,
                edge,
                faces: [left.0.face, right.0.face],
                at: left.0.frame.to_plan(found.at),
                ends: found.points,
                up_valley: found.up,
                above_bands: found.above,
                leads: Vec::new(),
                tracks: Vec::new(),
                cap_gap: 0.0,
            });
        }
    }
}

/// Whether the planes of both faces meet in the fold as drawn: where measured heights leave a gap, a lead square to one side is aslant on the other.
fn meet_along((left, edge): &(&FaceLayout, &FaceEdge), right: &FaceLayout) -> bool {
    [edge.a, edge.b].into_iter().all(|end| {
        let at = left.frame.to_plan(end);
        (left.frame.plane.lift(at).z - right.frame.plane.lift(at).z).abs() <= FOLD_GAP
    })
}

struct Place {
    lanes: [LaneId; 2],
    points: [Point2; 2],
    /// On the fold, in the first face's frame.
    at: Point2,
    up: f64,
    above: f64,
    length: f64,
}

/// The lowest place that is high enough above both bands, from lane to lane square to the fold on both faces.
fn place(
    graph: &Graph,
    left: (&FaceLayout, &FaceEdge),
    right: (&FaceLayout, &FaceEdge),
    facts: &BTreeMap<FaceId, FaceFacts>,
    job: &Job,
) -> Option<Place> {
    let sizes = &Sizes::of(job);
    let mut best: Option<Place> = None;
    for lane in along_lanes(graph, left.0.face) {
        for near in [lane.extent.u.low, lane.extent.u.high] {
            let from = Point2::new(near, 0.5 * (lane.extent.v.low + lane.extent.v.high));
            let inward = (left.1.b - left.1.a).unit()?.left();
            let on_fold = from - inward * (from - left.1.a).dot(inward);
            if (from - on_fold).length() > LONGEST_SIDE + SAME || !within(left.1, on_fold, 0.0) {
                continue;
            }
            // The same place of the fold in the other face's frame.
            let there = right.0.frame.to_face(left.0.frame.to_plan(on_fold));
            for other in along_lanes(graph, right.0.face) {
                let Some(to) = meet(right.1, there, other) else { continue };
                let height = |face: FaceId, points: [Point2; 2]| points[0].y.min(points[1].y) - facts[&face].top;
                let above = height(left.0.face, [from, on_fold]).min(height(right.0.face, [to, there]));
                let length = (from - on_fold).length() + (to - there).length();
                // As many leads as both lanes hold pass side by side.
                let most = f64::from(lane.capacity.min(other.capacity).max(1) - 1);
                let half = 0.5 * most * spacing([upwards(left.1)?, upwards(right.1)?], sizes);
                let beside = half + job.wiring.lead_clearance + sizes.diameter;
                let blocked = near_opening(left.0, Segment2::new(from, on_fold), beside)
                    || near_opening(right.0, Segment2::new(to, there), beside)
                    || !within(left.1, on_fold, half);
                if above < job.wiring.crossing_above - SAME || blocked {
                    continue;
                }
                let low = if left.1.a.y <= left.1.b.y { left.1.a } else { left.1.b };
                let up = on_fold.distance(low);
                // Rounded: places that differ by chance alone are one.
                let rank = |up: f64, length: f64| (coarse(up), coarse(length));
                if best.as_ref().is_none_or(|b| rank(up, length) < rank(b.up, b.length)) {
                    best =
                        Some(Place { lanes: [lane.id, other.id], points: [from, to], at: on_fold, up, above, length });
                }
            }
        }
    }
    best
}

fn along_lanes(graph: &Graph, face: FaceId) -> impl Iterator<Item = &Lane> {
    graph.lanes.iter().filter(move |l| l.face == face && l.course == LaneCourse::AlongCourse)
}

/// Whether a point of the fold's line lies on the fold, `half` from its ends at least.
fn within(edge: &FaceEdge, on_fold: Point2, half: f64) -> bool {
    let along = edge.b - edge.a;
    let (whole, at) = (along.dot(along), (on_fold - edge.a).dot(along));
    let play = (SAME - half) * along.length();
    at >= -play && at <= whole + play
}

/// Where the line square to the fold at `there` meets the middle of a lane of this face.
fn meet(edge: &FaceEdge, there: Point2, lane: &Lane) -> Option<Point2> {
    let inward = (edge.b - edge.a).unit()?.left();
    let at = square_to(edge, there, 0.5 * (lane.extent.v.low + lane.extent.v.high))?;
    let reach = (at - there).dot(inward);
    // Lanes beside a hip end alike on both faces: where one ends the other does, but for rounding.
    let inside = at.x >= lane.extent.u.low - SAME && at.x <= lane.extent.u.high + SAME;
    (reach > 0.0 && reach <= LONGEST_SIDE + SAME && inside).then_some(at)
}

//! The sensor stands at the highest open place of the heated roof; its lead goes down to the lanes above the elements and in them to the roof's edge.

use super::boxes::BoxPlan;
use super::build::FaceFacts;
use super::graph::{ExitKind, Graph, Start, Way};
use super::model::{Lane, LaneCourse};
use super::sizes::Sizes;
use super::slots::LeadPath;
use super::space::near_opening;
use crate::geometry::{Point2, Segment2};
use crate::index::FaceId;
use crate::terms::EdgeKind;
use crate::zones::{FaceEdge, FaceLayout, Zones};
use std::collections::BTreeMap;

/// Below the ridge, clear of the cap shingles, inches.
const BELOW_RIDGE: f64 = 12.0;
/// Places whose heights differ by less are equally high, inches.
const AS_HIGH: f64 = 1e-6;

/// The highest places among the heated faces, one a face: below the middle of a ridge or high edge (of the topmost corner where a face has
/// neither), moved along it when an opening stands there.
pub(super) fn highest(zones: &Zones) -> Vec<(FaceId, Point2)> {
    let heated = zones.faces.iter().filter(|l| zones.zones.iter().any(|z| z.face == l.face));
    let place = |layout: &FaceLayout| {
        let at = places(layout).into_iter().find(|&p| open(layout, p))?;
        Some((layout.face, at, layout.frame.to_space(at).z))
    };
    let found: Vec<(FaceId, Point2, f64)> = heated.filter_map(place).collect();
    let top = found.iter().map(|place| place.2).fold(f64::NEG_INFINITY, f64::max);
    found.into_iter().filter(|place| place.2 > top - AS_HIGH).map(|(face, at, _)| (face, at)).collect()
}

/// The sensor's way to a box.
pub(super) struct SensorWay {
    pub path: LeadPath,
    pub exit: usize,
    /// Position in the list of box plans.
    pub box_plan: usize,
}

/// The shortest way from the sensor straight down to a lane above the elements of its face and in lanes with room to the edge of the same face over one
/// of the boxes in use. It crosses no fold, so that no cap is left out for it alone.
pub(super) fn way_down(
    (face, at): (FaceId, Point2),
    graph: &Graph,
    layout: &FaceLayout,
    facts: &FaceFacts,
    boxes: &[(usize, &BoxPlan)],
    used: &[u32],
    sizes: &Sizes,
) -> Option<SensorWay> {
    let mut starts: Vec<Start> = Vec::new();
    let above = |lane: &&Lane| {
        lane.face == face
            && lane.course == LaneCourse::AlongCourse
            && lane.extent.u.contains(at.x)
            && lane.extent.v.low >= facts.top
            && lane.extent.v.high < at.y
    };
    for lane in graph.lanes.iter().filter(above) {
        let middle = 0.5 * (lane.extent.v.low + lane.extent.v.high);
        if near_opening(layout, Segment2::new(at, Point2::new(at.x, middle)), sizes.to_fastener) {
            continue;
        }
        let in_lane = |node: usize| graph.links[node].iter().any(|link| link.way == Way::Lane(lane.id));
        let nodes = (0..graph.nodes.len()).filter(|&n| graph.nodes[n].face == face && in_lane(n));
        let level = nodes.filter(|&n| (graph.nodes[n].at.y - middle).abs() < AS_HIGH);
        starts.extend(level.map(|node| {
            let there = graph.nodes[node].at;
            Start { node, lane: lane.id, cost: (there.x - at.x).abs() + (at.y - middle) }
        }));
    }
    // The nearest box of each exit's node.
    let mut ends: BTreeMap<usize, (f64, usize, usize)> = BTreeMap::new();
    for &(box_plan, plan) in boxes {
        for &(exit, beyond) in &plan.exits {
            let place = graph.exits[exit];
            let over_edge = matches!(place.kind, ExitKind::Eave(_) | ExitKind::Rake(_));
            if over_edge
                && graph.nodes[place.node].face == face
                && ends.get(&place.node).is_none_or(|known| beyond < known.0)
            {
                ends.insert(place.node, (beyond, exit, box_plan));
            }
        }
    }
    let targets = ends.iter().map(|(&node, end)| (node, end.0)).collect();
    let route = graph.route(&starts, &targets, used)?;
    if route.ways.iter().any(|way| matches!(way, Way::Cross(_))) {
        return None;
    }
    let (_, exit, box_plan) = ends[&route.target];
    let path = LeadPath::Feed { from: at, ways: route.ways, exit: graph.nodes[route.target].at };
    Some(SensorWay { path, exit, box_plan })
}

/// Candidates of one face, the best first.
fn places(layout: &FaceLayout) -> Vec<Point2> {
    let below = |p: Point2| Point2::new(p.x, p.y - BELOW_RIDGE);
    let top = |e: &&FaceEdge| matches!(e.kind, EdgeKind::Ridge | EdgeKind::HighEdge);
    let level = layout.edges.iter().filter(top).max_by(|a, b| a.a.y.max(a.b.y).total_cmp(&b.a.y.max(b.b.y)));
    if let Some(edge) = level {
        let line = Segment2::new(edge.a, edge.b);
        return [0.5, 0.375, 0.625, 0.25, 0.75].iter().map(|&t| below(line.a.lerp(line.b, t))).collect();
    }
    let corners = layout.edges.iter().map(|e| e.a);
    // A hip end narrows to a point: stand further down, where both hips are away.
    let apex = corners.max_by(|a, b| a.y.total_cmp(&b.y).then(b.x.total_cmp(&a.x)));
    apex.map_or_else(Vec::new, |p| [18.0, 24.0, 36.0].map(|down| Point2::new(p.x, p.y - down)).to_vec())
}

fn open(layout: &FaceLayout, at: Point2) -> bool {
    layout.region.contains(at)
        && !layout.keep_outs.iter().any(|k| k.keep_out.u.contains(at.x) && k.keep_out.v.contains(at.y))
        && !layout.openings.iter().any(|o| o.keep_out.u.contains(at.x) && o.keep_out.v.contains(at.y))
}

//! How leads lie side by side where they cross a fold: each square over it at a place of its own, from its line in the lane on one face to
//! its line in the lane on the other.
//!
//! Whether the face rises from the fold (valley) or falls from it (hip), a lead that lies higher in its lane passes further up the fold, and so
//! none runs over another as long as they lie in the same order in both lanes.

use super::graph::{Graph, Way};
use super::model::Track;
use super::sizes::Sizes;
use super::slots::{LeadPath, Slots};
use crate::geometry::{Point2, Vector2};
use crate::index::{CrossingId, LaneId, LeadId};
use crate::zones::{FaceEdge, Zones};
use std::collections::BTreeMap;

/// Where each lead lies in each crossing it takes.
pub(super) type Tracks = BTreeMap<(usize, CrossingId), Track>;

/// Gives every lead of every crossing its place, the middle of all at the crossing's own.
pub(super) fn tracks(graph: &Graph, zones: &Zones, leads: &[LeadPath], slots: &Slots, sizes: &Sizes) -> Tracks {
    let mut users: BTreeMap<CrossingId, Vec<(usize, [f64; 2])>> = BTreeMap::new();
    for (lead, path) in leads.iter().enumerate() {
        let LeadPath::Feed { ways, .. } = path else { continue };
        for three in ways.windows(3) {
            let [Way::Lane(before), Way::Cross(id), Way::Lane(after)] = *three else { continue };
            let faces = graph.crossings[id.index()].faces;
            let own = |lane: LaneId| slots.get(&(lead, lane)).copied().unwrap_or_default();
            let first = graph.lanes[before.index()].face == faces[0];
            let lines = if first { [own(before), own(after)] } else { [own(after), own(before)] };
            users.entry(id).or_default().push((lead, lines));
        }
    }
    let mut tracks = Tracks::new();
    for (id, mut leads) in users {
        let crossing = &graph.crossings[id.index()];
        let side = |at: usize| {
            let layout = zones.layout(crossing.faces[at])?;
            let edge = layout.edges.iter().find(|e| e.edge == crossing.edge)?;
            Some((layout, edge, upwards(edge)?))
        };
        let (Some(left), Some(right)) = (side(0), side(1)) else { continue };
        leads.sort_by(|a, b| a.1[0].total_cmp(&b.1[0]).then(a.0.cmp(&b.0)));
        let apart = spacing([left.2, right.2], sizes);
        let half = 0.5 * (leads.len() as f64 - 1.0);
        for (place, (lead, lines)) in leads.into_iter().enumerate() {
            let up = (place as f64 - half) * apart;
            let middle = left.0.frame.to_face(crossing.at) + left.2 * up;
            let at = left.0.frame.to_plan(middle);
            let end = |at_plan: Point2,
                       (layout, edge, _): (&crate::zones::FaceLayout, &FaceEdge, Vector2),
                       line: f64| { square_to(edge, layout.frame.to_face(at_plan), line) };
            let (Some(a), Some(b)) = (end(at, left, lines[0]), end(at, right, lines[1])) else { continue };
            tracks.insert((lead, id), Track { lead: LeadId::new(lead), at, ends: [a, b] });
        }
    }
    tracks
}

/// From middle to middle along the fold, inches: leads that keep the lanes' spacing end as far from the fold as one in the lane's middle.
pub(super) fn spacing(upwards: [Vector2; 2], sizes: &Sizes) -> f64 {
    let rise = upwards.iter().map(|way| way.y).fold(1.0, f64::min);
    sizes.pitch / rise.max(sizes.pitch / WIDEST)
}

/// Leads are never set further apart along a fold that rises little, inches.
const WIDEST: f64 = 2.0;

/// Along the fold and up, of length one.
pub(super) fn upwards(edge: &FaceEdge) -> Option<Vector2> {
    let along = (edge.b - edge.a).unit()?;
    Some(if along.y < 0.0 { along * -1.0 } else { along })
}

/// Where the line square to the fold at `from` comes to height `line`.
pub(super) fn square_to(edge: &FaceEdge, from: Point2, line: f64) -> Option<Point2> {
    let inward = (edge.b - edge.a).unit()?.left();
    if inward.y.abs() < 1e-9 {
        return None;
    }
    Some(Point2::new(from.x + inward.x * (line - from.y) / inward.y, line))
}

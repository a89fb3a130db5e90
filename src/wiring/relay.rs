//! Lanes of a retrofit in which shingles are stripped for leads and relaid over them.

use super::graph::Graph;
use super::model::{LaneCourse, LaneKind, RelayLane, Wiring};
use super::nails::NailRows;
use crate::geometry::Interval;
use crate::index::FaceId;
use crate::job::Job;
use crate::zones::{FaceLayout, Interval2};
use std::collections::BTreeMap;

/// Lanes that lead from the courses down to an eave and past no flashing; the others of a new roof are no use under shingles that stay.
pub(super) fn may_be_stripped(kind: LaneKind, course: LaneCourse, v: Interval, layout: &FaceLayout, job: &Job) -> bool {
    let reaches_eave = layout.edges.iter().any(|edge| {
        edge.kind == crate::terms::EdgeKind::Eave && (v.low - edge.a.y.max(edge.b.y)).abs() <= super::build::EAVE_PLAY
    });
    job.wiring.strip_and_relay
        && course == LaneCourse::UpSlope
        && matches!(kind, LaneKind::RakeMargin | LaneKind::LeadColumn)
        && reaches_eave
}

/// The lanes that leads use, each as far up as its highest lead, with the shingles that come up.
pub(super) fn relays(wiring: &Wiring, graph: &Graph, rows: &BTreeMap<FaceId, NailRows>, job: &Job) -> Vec<RelayLane> {
    let shingle = &job.products.shingle.value;
    let mut made = Vec::new();
    for lane in graph.lanes.iter().filter(|lane| lane.kind != LaneKind::UnderTab) {
        let legs = wiring.leads.iter().flat_map(|lead| &lead.legs).filter(|leg| leg.lanes.contains(&lane.id));
        let heights = legs.flat_map(|leg| &leg.path).map(|p| p.y);
        let Some(high) = heights.fold(None, |high: Option<f64>, v| Some(high.map_or(v, |h| h.max(v)))) else {
            continue;
        };
        let margin = job.wiring.lead_clearance;
        let u = Interval { low: lane.extent.u.low - margin, high: lane.extent.u.high + margin };
        let rows = &rows[&lane.face];
        // A shingle comes up when its nails or its body lie in the lane, and so does the one whose tab covers the topmost nails.
        let courses: Vec<u32> = (1..).take_while(|&k| rows.butt(k) <= high + shingle.exposure.inches()).collect();
        let across = (u.length() / shingle.width.inches()).ceil() as u32 + 1;
        let shingles = across * courses.len() as u32;
        made.push(RelayLane {
            face: lane.face,
            lane: lane.id,
            extent: Interval2 { u, v: Interval { low: lane.extent.v.low, high } },
            highest_course: courses.last().copied().unwrap_or(0),
            shingles,
            area: f64::from(shingles) * shingle.width.inches() * shingle.exposure.inches(),
        });
    }
    made
}

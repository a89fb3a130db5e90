//! Every lead gets its own line in every lane it uses, so that leads lie side by side and, where order can prevent it, do not
//! cross one another.
//!
//! Along a course the shorter stretch lies lower. Up the slope, leads that come in from the same side are ordered so that none
//! runs over another's way in: going down, the higher one lies further from that side; going up, the lower one.

use super::chains::JumperPlan;
use super::graph::{Graph, Way};
use super::model::{End, LaneCourse};
use super::sizes::{Sizes, coarse};
use crate::geometry::{Interval, Point2};
use crate::index::LaneId;
use std::collections::BTreeMap;

/// The lanes of one lead, from a segment outwards.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum LeadPath {
    /// From a segment's end along `ways` to the node of an exit.
    Feed { from: Point2, ways: Vec<Way>, exit: Point2 },
    /// Between two segments' ends on one side.
    Jumper { from: Point2, to: Point2, plan: JumperPlan },
}

/// Where each lead lies in each lane: `u` in an up-slope lane, `v` in one along a course.
pub(super) type Slots = BTreeMap<(usize, LaneId), f64>;

/// One lead's use of one lane.
#[derive(Debug, Clone, Copy)]
struct Use {
    lead: usize,
    lane: LaneId,
    /// Where it comes in.
    from: Point2,
    /// Where it comes from: that, or where it came into the lane before.
    origin: Point2,
    /// Where it leaves.
    to: Point2,
    /// From where it began, face by face, to where it leaves the lane, along and up without the turns: what tells leads apart that come over one
    /// crossing or out of one lane and leave alike.
    come: f64,
    /// The lane along a course it comes from, if it does.
    before: Option<LaneId>,
    jumper: Option<End>,
}

/// Gives every lead its slots.
pub(super) fn slots(graph: &Graph, leads: &[LeadPath], sizes: &Sizes) -> Slots {
    let mut uses: BTreeMap<LaneId, Vec<Use>> = BTreeMap::new();
    for (lead, path) in leads.iter().enumerate() {
        for use_ in uses_of(graph, lead, path) {
            let lane = uses.entry(use_.lane).or_default();
            if !lane.iter().any(|other| other.lead == lead) {
                lane.push(use_);
            }
        }
    }
    let mut slots = Slots::new();
    // Lanes along a course first: where leads lie in them decides which comes higher into an up-slope lane.
    for course in [LaneCourse::AlongCourse, LaneCourse::UpSlope] {
        for (lane, uses) in &uses {
            if graph.lanes[lane.index()].course != course {
                continue;
            }
            let extent = graph.lanes[lane.index()].extent;
            let (band, mut ranked) = match course {
                LaneCourse::AlongCourse => {
                    // Rounded, so that chance does not order equal stretches.
                    let stretch = |u: &Use| coarse((u.from.x - u.to.x).abs()) as f64;
                    (extent.v, uses.iter().map(|u| (stretch(u), coarse(u.come), u.lead)).collect::<Vec<_>>())
                }
                LaneCourse::UpSlope => {
                    let ranked = uses.iter().map(|u| (rank(u, extent.u, extent.v, &slots), coarse(u.come), u.lead));
                    (extent.u, ranked.collect())
                }
            };
            ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
            let middle = 0.5 * (band.low + band.high);
            let half = 0.5 * (ranked.len() as f64 - 1.0);
            for (place, (_, _, lead)) in ranked.iter().enumerate() {
                slots.insert((*lead, *lane), middle + (place as f64 - half) * sizes.pitch);
            }
        }
    }
    slots
}

/// From left to right in an up-slope lane, 0 to 1.
fn rank(used: &Use, across: Interval, range: Interval, slots: &Slots) -> f64 {
    if let Some(end) = used.jumper {
        // A right end opens into a lane to its right: the jumper hugs the lane's left side, the lowest nearest to the elements.
        let middle = 0.5 * (used.from.y + used.to.y);
        let height = 0.5 * ((middle - range.low) / range.length().max(1.0)).clamp(0.0, 1.0);
        return if end == End::Right { height - 1.0 } else { 2.0 - height };
    }
    let v = used.before.and_then(|lane| slots.get(&(used.lead, lane)).copied()).unwrap_or(used.from.y);
    let height = ((v - range.low) / range.length().max(1.0)).clamp(0.0, 1.0);
    let from_left = used.origin.x < 0.5 * (across.low + across.high);
    let down = used.to.y < used.from.y;
    match (from_left, down) {
        (true, true) => 0.25 * height,
        (true, false) => 0.25 + 0.25 * (1.0 - height),
        (false, false) => 0.5 + 0.25 * height,
        (false, true) => 0.75 + 0.25 * (1.0 - height),
    }
}

fn uses_of(graph: &Graph, lead: usize, path: &LeadPath) -> Vec<Use> {
    let (from, ways, exit) = match path {
        LeadPath::Jumper { from, to, plan } => {
            let jumper = Some(plan.end);
            return vec![Use {
                lead,
                lane: plan.lane,
                from: *from,
                origin: *from,
                to: *to,
                come: 0.0,
                before: None,
                jumper,
            }];
        }
        LeadPath::Feed { from, ways, exit } => (*from, ways, *exit),
    };
    let mut uses = Vec::new();
    let (mut at, mut origin) = (from, from);
    let mut before: Option<LaneId> = None;
    let (mut come, mut began) = (0.0, from);
    for (i, way) in ways.iter().enumerate() {
        match *way {
            Way::Lane(lane) => {
                let to = match ways.get(i + 1) {
                    Some(Way::Lane(next)) => meeting(graph, lane, *next),
                    Some(Way::Cross(id)) => {
                        let crossing = &graph.crossings[id.index()];
                        crossing.ends[usize::from(crossing.faces[0] != graph.lanes[lane.index()].face)]
                    }
                    None => exit,
                };
                let come_here = come + (to.x - began.x).abs() + (at.y - began.y).abs();
                uses.push(Use { lead, lane, from: at, origin, to, come: come_here, before, jumper: None });
                (origin, at) = (at, to);
                before = Some(lane);
            }
            Way::Cross(id) => {
                let crossing = &graph.crossings[id.index()];
                let near_first = crossing.ends[0].distance(at) < 1e-9;
                come += (at.x - began.x).abs() + (at.y - began.y).abs();
                at = crossing.ends[usize::from(near_first)];
                (origin, began) = (at, at);
                before = None;
            }
        }
    }
    uses
}

/// The middle of the meeting of two lanes.
fn meeting(graph: &Graph, a: LaneId, b: LaneId) -> Point2 {
    let (a, b) = (&graph.lanes[a.index()], &graph.lanes[b.index()]);
    let (upright, along) = if a.course == LaneCourse::UpSlope { (a, b) } else { (b, a) };
    Point2::new(0.5 * (upright.extent.u.low + upright.extent.u.high), 0.5 * (along.extent.v.low + along.extent.v.high))
}

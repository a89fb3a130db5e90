//! Lanes, ends, exits and crossings of the whole drawing become the route graph.

use super::crossings::add_crossings;
use super::graph::{Attachment, Exit, ExitKind, Graph};
use super::hints::Hints;
use super::lanes::lanes_of;
use super::model::{End, Lane, LaneCourse};
use super::nails::NailRows;
use super::relay::may_be_stripped;
use super::retrofit::Tabs;
use super::sizes::Sizes;
use super::space::{FaceSpace, SAME};
use crate::courses::{Courses, Segment};
use crate::geometry::{Interval, Point2};
use crate::index::{FaceId, LaneId};
use crate::job::{Job, Work};
use crate::terms::EdgeKind;
use crate::zones::{FaceLayout, Zones};
use std::collections::BTreeMap;

/// A lane further than this from a segment's end does not serve it, inches.
const LONGEST_STUB: f64 = 36.0;
/// How far around a segment's end lanes and what shuts them off are looked for, inches: a stub and the widest lane.
const NEARBY: f64 = 60.0;
/// A lane comes down to an eave when its foot is this near, inches: an eave drawn by hand is a little out of level. Too small and
/// nothing on such a roof finds its box; too large and a lane that ends at a course would count.
pub(super) const EAVE_PLAY: f64 = 0.5;

/// What wiring knows of each face besides its layout.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FaceFacts {
    pub rows: NailRows,
    /// Upper edge of its highest element; of the whole drawing's highest where it has none.
    pub top: f64,
}

/// Nail rows and element tops, face by face.
pub(super) fn face_facts(zones: &Zones, courses: &Courses, job: &Job) -> BTreeMap<FaceId, FaceFacts> {
    let tops = |face: Option<FaceId>| {
        let here = courses.segments.iter().filter(|s| face.is_none_or(|face| s.face == face));
        here.map(|s| s.across.high).reduce(f64::max)
    };
    let highest = tops(None).unwrap_or(0.0);
    let facts = |layout: &FaceLayout| {
        let rows = NailRows::new(&job.products.shingle.value, &layout.starters);
        (layout.face, FaceFacts { rows, top: tops(Some(layout.face)).unwrap_or(highest) })
    };
    zones.faces.iter().map(facts).collect()
}

/// Builds the graph; holes of inside boxes are added later, before [`Graph::link_lanes`].
pub(super) fn build(zones: &Zones, courses: &Courses, facts: &BTreeMap<FaceId, FaceFacts>, hints: Hints) -> Graph {
    let job = hints.job;
    let retrofit = job.roof.work.value == Work::Retrofit;
    let sizes = Sizes::of(job);
    let mut graph = Graph::default();
    for layout in &zones.faces {
        let segments: Vec<&Segment> = courses.segments.iter().filter(|s| s.face == layout.face).collect();
        let space = FaceSpace::new(layout, &segments, &sizes);
        let FaceFacts { rows, top } = &facts[&layout.face];
        let first = graph.lanes.len();
        let lanes: Vec<Lane> = lanes_of(&space, rows, *top, &sizes)
            .into_iter()
            .filter(|s| !retrofit || may_be_stripped(s.kind, s.course, s.extent.v, layout, job))
            .enumerate()
            .map(|(at, seed)| {
                let width = match seed.course {
                    LaneCourse::UpSlope => seed.extent.u.length(),
                    LaneCourse::AlongCourse => seed.extent.v.length(),
                };
                let (id, capacity) = (LaneId::new(first + at), sizes.capacity(width));
                Lane {
                    id,
                    face: layout.face,
                    kind: seed.kind,
                    course: seed.course,
                    extent: seed.extent,
                    capacity,
                    used: 0,
                }
            })
            .collect();
        graph.add_lanes(lanes);
        attach_ends(&mut graph, &space, &segments, (first, rows), &sizes);
        add_eave_exits(&mut graph, layout, first);
        if retrofit {
            Tabs { layout, segments: &segments, rows, zones, hints }.add(&mut graph);
        }
    }
    if !retrofit {
        add_crossings(&mut graph, zones, facts, job);
    }
    graph
}

/// Opens every segment's ends into the up-slope lanes beside them.
fn attach_ends(
    graph: &mut Graph,
    space: &FaceSpace,
    segments: &[&Segment],
    (first, rows): (usize, &NailRows),
    sizes: &Sizes,
) {
    for (at, segment) in segments.iter().enumerate() {
        for (end, from) in [(End::Left, segment.left_end()), (End::Right, segment.right_end())] {
            let row = Interval { low: from.y - 0.5 * sizes.diameter, high: from.y + 0.5 * sizes.diameter };
            let Some(free) = space.free_around(row, at, from.x, NEARBY) else { continue };
            let reachable = match end {
                End::Left => Interval { low: free.low, high: from.x },
                End::Right => Interval { low: from.x, high: free.high },
            };
            let mut found: Vec<Attachment> = Vec::new();
            for lane in first..graph.lanes.len() {
                let Lane { extent, course, .. } = graph.lanes[lane];
                let middle = 0.5 * (extent.u.low + extent.u.high);
                if course == LaneCourse::UpSlope
                    && extent.v.contains(from.y)
                    && extent.u.low >= reachable.low - SAME
                    && extent.u.high <= reachable.high + SAME
                    && (middle - from.x).abs() <= LONGEST_STUB
                    && rows.leave_free(Interval::new(from.x, middle), from.y, sizes.to_fastener - 0.01)
                {
                    let node = graph.add_node(LaneId::new(lane), Point2::new(middle, from.y));
                    found.push(Attachment { node, lane: LaneId::new(lane), stub: (middle - from.x).abs() });
                }
            }
            graph.ends.insert((segment.id, end), found);
        }
    }
}

/// Every up-slope lane that comes down to an eave may lead over it.
fn add_eave_exits(graph: &mut Graph, layout: &FaceLayout, first: usize) {
    for lane in first..graph.lanes.len() {
        let Lane { extent, course, .. } = graph.lanes[lane];
        let foot = layout.edges.iter().find(|edge| {
            edge.kind == EdgeKind::Eave
                && edge.a.y.min(edge.b.y) <= extent.v.low + EAVE_PLAY
                && edge.a.y.max(edge.b.y) >= extent.v.low - EAVE_PLAY
                && edge.a.x.min(edge.b.x) <= extent.u.low
                && edge.a.x.max(edge.b.x) >= extent.u.high
        });
        if let (LaneCourse::UpSlope, Some(edge)) = (course, foot) {
            let at = Point2::new(0.5 * (extent.u.low + extent.u.high), extent.v.low);
            let node = graph.add_node(LaneId::new(lane), at);
            let (kind, outward) = (ExitKind::Eave(edge.edge), -layout.frame.uphill);
            graph.exits.push(Exit { node, lane: LaneId::new(lane), kind, outward });
        }
    }
}

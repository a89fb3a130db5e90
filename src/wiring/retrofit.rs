//! The ways a lead may leave a piece that lies between two courses of an existing roof.
//!
//! Nails stand in every row, so no lead goes up or down the slope under the shingles. It leaves (a) through a hole in the deck beside the
//! connection, (b) sideways under the tab it comes out under, to a rake, or from the starter straight over the eave, or (c) in a lane where
//! shingles are stripped and relaid (see `relay`). It passes under no cap, no flashing and no valley.

use super::boxes::{BELOW_DECK, BETWEEN_BOXES, BoxPlan, FARTHEST_ALONG_WALL, HEADROOM, HOLE_FROM_VALLEY};
use super::graph::{Attachment, Exit, ExitKind, Graph};
use super::hints::Hints;
use super::model::{End, Lane, LaneCourse, LaneKind};
use super::nails::NailRows;
use super::sizes::{Sizes, VALLEY_KEEP_OUT};
use crate::courses::{Courses, Segment};
use crate::geometry::{Interval, Point2, Point3, Segment2, Vector2};
use crate::index::{EdgeId, FaceId, LaneId, SegmentId};
use crate::job::{Job, Under};
use crate::terms::{BoxPlace, EdgeKind};
use crate::zones::{FaceEdge, FaceLayout, Zones};
use std::collections::BTreeMap;

/// A hole lies this far beyond the end of its piece, inches: within the 6 in that the connection may be from it.
const HOLE_BEYOND_END: f64 = 3.0;
/// A hole keeps this far from the next piece, a cap or a wall, inches.
const BESIDE_HOLE: f64 = 2.0;
/// An exterior wall and its plate take this much of the attic's edge, inches (common practice): a hole lies further in.
const WALL: f64 = 6.0;
/// A lead over the eave leaves the starter's end within this stretch, inches.
const OVER_EAVE: f64 = 3.0;
/// Leads to one box under the deck come from this far at most, inches.
const FARTHEST_UNDER_DECK: f64 = 480.0;
/// Holes further apart along the eave get boxes of their own, inches.
const ONE_GROUP: f64 = 120.0;

/// What stops a strip beyond a piece's end.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Stop {
    Edge(EdgeId, EdgeKind),
    Piece,
    Opening,
    Kept,
}

/// One face of a retrofit.
pub(super) struct Tabs<'a> {
    pub layout: &'a FaceLayout,
    pub segments: &'a [&'a Segment],
    pub rows: &'a NailRows,
    pub zones: &'a Zones,
    pub hints: Hints<'a>,
}

impl Tabs<'_> {
    fn job(&self) -> &Job {
        self.hints.job
    }

    /// Adds to the graph what each end of each piece may leave through, and notes in words what refuses the rest.
    pub(super) fn add(&self, graph: &mut Graph) {
        let sizes = Sizes::of(self.job());
        for segment in self.segments {
            for (end, from) in [(End::Left, segment.left_end()), (End::Right, segment.right_end())] {
                let Some(strip) = self.rows.strip_at(from.x, from.y, &sizes) else { continue };
                let outward = if end == End::Left { -1.0 } else { 1.0 };
                let way = Outlet { segment: segment.id, end, from, strip, outward };
                let mut refused = Vec::new();
                let stop = self.stop(segment, &way, &sizes);
                match self.rake(&way, stop) {
                    Ok((edge, u)) => self.add_rake(graph, &way, edge, u, &sizes),
                    Err(words) => refused.push(words),
                }
                match self.hole(&way, stop, &sizes) {
                    Ok(u) => self.add_hole(graph, &way, u, &sizes),
                    Err(words) => refused.push(words),
                }
                if segment.course == 0 {
                    self.add_eave(graph, &way, stop, &sizes);
                }
                graph.no_way.entry(segment.id).or_default().push(refused.join("; "));
            }
        }
    }

    /// What the strip of a piece meets first beyond an end, and at which station.
    fn stop(&self, own: &Segment, way: &Outlet, sizes: &Sizes) -> Option<(Stop, f64)> {
        let high = way.strip.high + 0.5 * sizes.diameter;
        let strip = Interval { low: way.strip.low - 0.5 * sizes.diameter, high };
        let mut met: Vec<(Stop, Interval)> = Vec::new();
        for edge in &self.layout.edges {
            if edge.kind != EdgeKind::Eave
                && let Some(u) = within_strip(edge, strip)
            {
                met.push((Stop::Edge(edge.edge, edge.kind), u));
            }
        }
        let others = self.segments.iter().filter(|s| s.id != own.id && s.across.overlap(strip).is_some());
        met.extend(others.map(|s| (Stop::Piece, s.along)));
        let openings = self.layout.openings.iter().filter(|o| o.flashing.v.overlap(strip).is_some());
        met.extend(openings.map(|o| (Stop::Opening, o.flashing.u)));
        let kept = self.layout.keep_outs.iter().filter(|k| k.solid.v.overlap(strip).is_some());
        met.extend(kept.map(|k| (Stop::Kept, k.solid.u)));
        met.into_iter()
            .map(|(stop, u)| (stop, if way.outward < 0.0 { u.high } else { u.low }))
            .filter(|(_, u)| (u - way.from.x) * way.outward > -1e-6)
            .min_by(|a, b| ((a.1 - way.from.x) * way.outward).total_cmp(&((b.1 - way.from.x) * way.outward)))
    }

    /// (b) The rake a lead reaches sideways under its tab.
    fn rake(&self, way: &Outlet, stop: Option<(Stop, f64)>) -> Result<(EdgeId, f64), String> {
        let lead = &self.job().products.lead.value;
        let thickness = lead.thickness.unwrap_or(lead.diameter).inches();
        let lift = self.job().courses.lift;
        let words = match stop {
            Some((Stop::Edge(edge, EdgeKind::Rake), _)) => {
                if thickness > lift {
                    let (thickness, lift) = (crate::units::decimal(thickness, 3), crate::units::decimal(lift, 3));
                    return Err(format!("the lead is {thickness} in thick and a tab lifts {lift} in"));
                }
                let line = self.layout.edges.iter().find(|e| e.edge == edge).ok_or("no rake")?;
                let middle = 0.5 * (way.strip.low + way.strip.high);
                let level = within_strip(line, Interval { low: middle, high: middle }).ok_or("no rake")?;
                return Ok((edge, if way.outward < 0.0 { level.high } else { level.low }));
            }
            Some((Stop::Edge(_, EdgeKind::Hip | EdgeKind::Ridge), _)) => "caps lie beside it",
            Some((Stop::Edge(_, EdgeKind::Valley), _)) => "a valley lies beside it",
            Some((Stop::Edge(_, EdgeKind::Sidewall | EdgeKind::Step), _)) => "step flashing lies beside it",
            Some((Stop::Opening, _)) => "an opening's step flashing lies beside it",
            Some((Stop::Kept, _)) => "an area that the job keeps free lies beside it",
            Some((Stop::Piece, _)) => "another piece lies beside it",
            Some((Stop::Edge(_, _), _)) | None => "no rake lies beside it",
        };
        Err(words.into())
    }

    /// (a) The station of a hole through the deck within 6 in of the connection.
    fn hole(&self, way: &Outlet, stop: Option<(Stop, f64)>, sizes: &Sizes) -> Result<f64, String> {
        if self.hints.under(self.layout.face) != Under::Attic {
            return Err("no reachable attic lies under it".into());
        }
        let room = stop.map_or(f64::INFINITY, |(_, u)| (u - way.from.x) * way.outward);
        let beyond = HOLE_BEYOND_END.min(0.5 * room);
        if room - beyond < BESIDE_HOLE {
            return Err("no room for a hole in the deck beside it".into());
        }
        // Holes of two pieces at one gap are one: their stations must agree to the last bit.
        let u = ((way.from.x + way.outward * beyond) * 1024.0).round() / 1024.0;
        let at = Point2::new(u, 0.5 * (way.strip.low + way.strip.high));
        let near = |kind: &[EdgeKind], least: f64| {
            let edges = self.layout.edges.iter().filter(|e| kind.contains(&e.kind));
            edges.map(|e| Segment2::new(e.a, e.b).distance_to(at)).any(|apart| apart < least)
        };
        if near(&[EdgeKind::Valley], HOLE_FROM_VALLEY) {
            return Err(format!("a hole would lie within {HOLE_FROM_VALLEY} in of a valley"));
        }
        if near(&[EdgeKind::Hip, EdgeKind::Ridge], sizes.from_cap) {
            return Err("a hole would lie in the cap nails".into());
        }
        let plan = self.layout.frame.to_plan(at);
        for edge in &self.layout.edges {
            let over = match edge.kind {
                EdgeKind::Eave => self.zones.overhang(edge.edge).map_or(self.job().roof.overhang.value, |o| o.inches),
                EdgeKind::Rake => self.job().roof.rake_overhang.value,
                _ => continue,
            };
            let line = Segment2::new(self.layout.frame.to_plan(edge.a), self.layout.frame.to_plan(edge.b));
            if line.distance_to(plan) < over + WALL {
                return Err("the deck beside it lies over the overhang or the wall".into());
            }
        }
        Ok(u)
    }

    /// Whether a straight stretch keeps clear of valleys and cap nails.
    fn clear(&self, stretch: Segment2, sizes: &Sizes) -> bool {
        self.layout.edges.iter().all(|edge| {
            let least = match edge.kind {
                EdgeKind::Valley => VALLEY_KEEP_OUT,
                EdgeKind::Hip | EdgeKind::Ridge => sizes.from_cap,
                _ => return true,
            };
            let line = Segment2::new(edge.a, edge.b);
            [stretch.a, stretch.b].iter().all(|&p| line.distance_to(p) >= least)
        })
    }

    fn lane(&self, graph: &mut Graph, course: LaneCourse, u: Interval, v: Interval, sizes: &Sizes) -> LaneId {
        let width = if course == LaneCourse::UpSlope { u.length() } else { v.length() };
        graph.add_lane_alone(Lane {
            id: LaneId(0),
            face: self.layout.face,
            kind: LaneKind::UnderTab,
            course,
            extent: crate::zones::Interval2 { u, v },
            capacity: sizes.capacity(width),
            used: 0,
        })
    }

    /// A lane from the end to `u`, with the end opening into it and an exit at `u`.
    fn along(&self, graph: &mut Graph, way: &Outlet, u: f64, sizes: &Sizes) -> (LaneId, usize) {
        let middle = 0.5 * (way.strip.low + way.strip.high);
        let lane = self.lane(graph, LaneCourse::AlongCourse, Interval::new(way.from.x, u), way.strip, sizes);
        let node = graph.add_node(lane, Point2::new(way.from.x, middle));
        let stub = (middle - way.from.y).abs();
        graph.ends.entry((way.segment, way.end)).or_default().push(Attachment { node, lane, stub });
        (lane, graph.add_node(lane, Point2::new(u, middle)))
    }

    fn add_rake(&self, graph: &mut Graph, way: &Outlet, edge: EdgeId, u: f64, sizes: &Sizes) {
        let (lane, node) = self.along(graph, way, u, sizes);
        let line = self.layout.edges.iter().find(|e| e.edge == edge);
        let outward = line.and_then(|e| {
            let frame = &self.layout.frame;
            (frame.to_plan(e.b) - frame.to_plan(e.a)).unit().map(|along| -along.left())
        });
        graph.exits.push(Exit { node, lane, kind: ExitKind::Rake(edge), outward: outward.unwrap_or_default() });
    }

    fn add_hole(&self, graph: &mut Graph, way: &Outlet, u: f64, sizes: &Sizes) {
        let (lane, node) = self.along(graph, way, u, sizes);
        let kind = ExitKind::Hole(self.job().wiring.leads_per_hole.max(1));
        graph.exits.push(Exit { node, lane, kind, outward: Vector2::default() });
    }

    /// The starter's own way: straight over the eave, below every nail row.
    fn add_eave(&self, graph: &mut Graph, way: &Outlet, stop: Option<(Stop, f64)>, sizes: &Sizes) {
        let room = stop.map_or(f64::INFINITY, |(_, u)| (u - way.from.x) * way.outward) - sizes.to_element;
        let (near, far) = (sizes.to_element, OVER_EAVE.min(0.5 * room));
        if far < near {
            return;
        }
        let u = Interval::new(way.from.x + way.outward * near, way.from.x + way.outward * far);
        let eave = self.layout.edges.iter().find(|e| {
            let (low, high) = (e.a.x.min(e.b.x), e.a.x.max(e.b.x));
            let below = e.a.y.max(e.b.y) <= way.from.y && e.a.y.min(e.b.y) >= way.from.y - way.strip.high;
            e.kind == EdgeKind::Eave && below && low <= u.low && high >= u.high
        });
        let Some(eave) = eave else { return };
        let foot = eave.a.y.max(eave.b.y);
        let middle = 0.5 * (u.low + u.high);
        let clear = [u.low, u.high]
            .into_iter()
            .all(|u| self.clear(Segment2::new(Point2::new(u, way.from.y), Point2::new(u, foot)), sizes));
        if !clear {
            return;
        }
        let v = Interval { low: foot, high: way.from.y };
        let lane = self.lane(graph, LaneCourse::UpSlope, u, v, sizes);
        let node = graph.add_node(lane, Point2::new(middle, way.from.y));
        let stub = (middle - way.from.x).abs();
        graph.ends.entry((way.segment, way.end)).or_default().push(Attachment { node, lane, stub });
        let node = graph.add_node(lane, Point2::new(middle, foot));
        let outward = -self.layout.frame.uphill;
        graph.exits.push(Exit { node, lane, kind: ExitKind::Eave(eave.edge), outward });
    }
}

/// An end of a piece with the nail-free strip it lies in.
struct Outlet {
    segment: SegmentId,
    end: End,
    from: Point2,
    strip: Interval,
    /// -1 to the left, 1 to the right.
    outward: f64,
}

/// Stations of the part of an edge that lies within a strip.
fn within_strip(edge: &FaceEdge, strip: Interval) -> Option<Interval> {
    let (low, high) = if edge.a.y <= edge.b.y { (edge.a, edge.b) } else { (edge.b, edge.a) };
    if high.y < strip.low || low.y > strip.high {
        return None;
    }
    let at = |v: f64| {
        let t = if high.y > low.y { ((v - low.y) / (high.y - low.y)).clamp(0.0, 1.0) } else { 0.0 };
        low.lerp(high, t).x
    };
    if high.y == low.y {
        return Some(Interval::new(low.x, high.x));
    }
    Some(Interval::new(at(strip.low), at(strip.high)))
}

/// Boxes on the walls under the rakes that leads come over, as many side by side as they may fill.
pub(super) fn rake_candidates(graph: &Graph, zones: &Zones, job: &Job) -> Vec<BoxPlan> {
    let mut by_rake: BTreeMap<(FaceId, EdgeId, i64), Vec<usize>> = BTreeMap::new();
    for (at, exit) in graph.exits.iter().enumerate() {
        if let ExitKind::Rake(edge) = exit.kind {
            let node = graph.nodes[exit.node];
            let group = (node.at.y / FARTHEST_ALONG_WALL).floor() as i64;
            by_rake.entry((node.face, edge, group)).or_default().push(at);
        }
    }
    let mut plans = Vec::new();
    for ((face, edge, _), mut exits) in by_rake {
        let Some(layout) = zones.layout(face) else { continue };
        exits.sort_by(|&a, &b| graph.nodes[graph.exits[a].node].at.y.total_cmp(&graph.nodes[graph.exits[b].node].at.y));
        let space = |exit: usize| layout.frame.to_space(graph.nodes[graph.exits[exit].node].at);
        let (lowest, outward) = (space(exits[0]), graph.exits[exits[0]].outward);
        // On the gable wall, which begins an overhang above the eave.
        let past = |number: u32| job.roof.overhang.value + BETWEEN_BOXES * f64::from(number + 1);
        let leads = job.products.outside_box.leads.max(1);
        for number in 0..(exits.len() as u32).div_ceil(leads) {
            let plan = lowest.plan() + layout.frame.uphill * past(number) - outward * job.roof.rake_overhang.value;
            let at = plan.at_height(lowest.z - job.wiring.wall_drop);
            let beyond = |exit: usize| space(exit).plan().distance(plan) + (space(exit).z - at.z).abs();
            plans.push(BoxPlan {
                place: BoxPlace::OutsideWall,
                set_by_job: None,
                face,
                edge: Some(edge),
                at,
                outward,
                capacity: job.products.outside_box.leads,
                exits: exits.iter().map(|&exit| (exit, beyond(exit))).collect(),
            });
        }
    }
    plans
}

/// Holes of a face with their length to a box under its deck.
pub(super) fn holes_near(graph: &Graph, zones: &Zones, face: FaceId, at: Point3) -> Vec<(usize, f64)> {
    let Some(layout) = zones.layout(face) else { return Vec::new() };
    let holes = graph.exits.iter().enumerate().filter(|(_, exit)| matches!(exit.kind, ExitKind::Hole(_)));
    holes
        .map(|(number, exit)| (number, graph.nodes[exit.node]))
        .filter(|(_, node)| node.face == face)
        .map(|(number, node)| (number, layout.frame.to_space(node.at).distance(at)))
        .filter(|(_, apart)| *apart <= FARTHEST_UNDER_DECK)
        .collect()
}

/// Boxes under the deck, reached from the attic, near each group of holes.
pub(super) fn attic_candidates(graph: &Graph, zones: &Zones, job: &Job) -> Vec<BoxPlan> {
    let mut plans = Vec::new();
    for layout in &zones.faces {
        let mut stations: Vec<f64> = graph
            .exits
            .iter()
            .filter(|exit| matches!(exit.kind, ExitKind::Hole(_)) && graph.nodes[exit.node].face == layout.face)
            .map(|exit| graph.nodes[exit.node].at.x)
            .collect();
        stations.sort_by(f64::total_cmp);
        let pitch = layout.frame.plane.pitch();
        // The ceiling is taken to lie level with the lowest eave of the face.
        let up = (HEADROOM + BELOW_DECK) * (1.0 + pitch * pitch).sqrt() / pitch;
        for group in stations.chunk_by(|a, b| b - a <= ONE_GROUP) {
            let middle = group.iter().sum::<f64>() / group.len() as f64;
            let leads = job.products.inside_box.leads.max(1);
            for number in 0..(group.len() as u32).div_ceil(leads) {
                let place = Point2::new(middle + BETWEEN_BOXES * f64::from(number), up);
                if !layout.region.contains(place) {
                    continue;
                }
                let surface = layout.frame.to_space(place);
                let at = Point3::new(surface.x, surface.y, surface.z - BELOW_DECK);
                plans.push(BoxPlan {
                    place: BoxPlace::UnderDeck,
                    set_by_job: None,
                    face: layout.face,
                    edge: None,
                    at,
                    outward: Vector2::default(),
                    capacity: job.products.inside_box.leads,
                    exits: holes_near(graph, zones, layout.face, at),
                });
            }
        }
    }
    plans.retain(|plan| !plan.exits.is_empty());
    plans
}

/// Ends that open under their own tab only, or into lanes that are stripped only.
pub(super) fn keep_ends(graph: &mut Graph, courses: &Courses, under_tab: impl Fn(SegmentId) -> bool) {
    for segment in &courses.segments {
        for end in [End::Left, End::Right] {
            if let Some(found) = graph.ends.get_mut(&(segment.id, end)) {
                let wanted = under_tab(segment.id);
                found.retain(|a| (graph.lanes[a.lane.index()].kind == LaneKind::UnderTab) == wanted);
            }
        }
    }
}

//! The route graph: built once for the whole drawing, then searched with lanes filling up.
//!
//! A node is where two lanes of a face meet, where a segment's end opens into a lane, where a lane reaches an eave, a hole or a
//! crossing. Links run along lanes and over crossings and cost their length.

use super::model::{Crossing, End, Lane, LaneCourse};
use super::space::SAME;
use crate::geometry::{Point2, Vector2};
use crate::index::{CrossingId, EdgeId, FaceId, LaneId, SegmentId};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// A place on a face where a lead may turn, start or leave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    pub face: FaceId,
    pub at: Point2,
}

/// What a link runs in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// Along a lane.
    Lane(LaneId),
    /// Square across a fold.
    Cross(CrossingId),
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Link {
    pub to: usize,
    pub cost: f64,
    pub way: Way,
}

/// Where a segment's end opens into an up-slope lane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Attachment {
    pub node: usize,
    pub lane: LaneId,
    /// From the end to the lane's middle, inches.
    pub stub: f64,
}

/// How leads leave the surface at an exit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ExitKind {
    /// Over an eave.
    Eave(EdgeId),
    /// Over a rake, from under a tab.
    Rake(EdgeId),
    /// Through the deck; this many leads.
    Hole(u32),
}

/// Where leads may leave the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Exit {
    pub node: usize,
    pub lane: LaneId,
    pub kind: ExitKind,
    /// Out over the roof's edge in plan, length 1; zero for holes.
    pub outward: Vector2,
}

/// Lanes and how they join.
#[derive(Debug, Clone, Default)]
pub(super) struct Graph {
    pub lanes: Vec<Lane>,
    pub nodes: Vec<Node>,
    pub links: Vec<Vec<Link>>,
    pub ends: BTreeMap<(SegmentId, End), Vec<Attachment>>,
    pub exits: Vec<Exit>,
    pub crossings: Vec<Crossing>,
    /// Why a piece of a retrofit cannot be led away at its left and right end, in words.
    pub no_way: BTreeMap<SegmentId, Vec<String>>,
    /// Nodes of each lane, before they are linked.
    members: Vec<Vec<usize>>,
}

/// A way from a start to a target.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Route {
    pub cost: f64,
    /// Which of the starts.
    pub start: usize,
    /// The node reached.
    pub target: usize,
    /// Lanes and crossings in order, each once in a row; never empty.
    pub ways: Vec<Way>,
}

impl Route {
    /// Distinct lanes, rising.
    pub(super) fn lanes(&self) -> Vec<LaneId> {
        let mut lanes: Vec<LaneId> =
            self.ways.iter().filter_map(|w| if let Way::Lane(id) = w { Some(*id) } else { None }).collect();
        lanes.sort();
        lanes.dedup();
        lanes
    }
}

/// Where a search may start: a node in a lane, with the length already used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Start {
    pub node: usize,
    pub lane: LaneId,
    pub cost: f64,
}

impl Graph {
    /// Takes in a face's lanes; their meetings become nodes.
    pub(super) fn add_lanes(&mut self, lanes: Vec<Lane>) {
        let first = self.lanes.len();
        self.members.resize(first + lanes.len(), Vec::new());
        self.lanes.extend(lanes);
        for upright in first..self.lanes.len() {
            for along in first..self.lanes.len() {
                let (a, b) = (&self.lanes[upright], &self.lanes[along]);
                if a.course != LaneCourse::UpSlope || b.course != LaneCourse::AlongCourse {
                    continue;
                }
                let (a, b) = (a.extent, b.extent);
                if b.u.low <= a.u.low + SAME
                    && b.u.high >= a.u.high - SAME
                    && a.v.low <= b.v.low + SAME
                    && a.v.high >= b.v.high - SAME
                {
                    let at = Point2::new(0.5 * (a.u.low + a.u.high), 0.5 * (b.v.low + b.v.high));
                    let node = self.add_node(LaneId::new(upright), at);
                    self.members[along].push(node);
                }
            }
        }
    }

    /// Takes in a lane that meets no other.
    pub(super) fn add_lane_alone(&mut self, lane: Lane) -> LaneId {
        let id = LaneId::new(self.lanes.len());
        self.members.push(Vec::new());
        self.lanes.push(Lane { id, ..lane });
        id
    }

    /// A node in a lane.
    pub(super) fn add_node(&mut self, lane: LaneId, at: Point2) -> usize {
        self.nodes.push(Node { face: self.lanes[lane.index()].face, at });
        self.members[lane.index()].push(self.nodes.len() - 1);
        self.nodes.len() - 1
    }

    /// Links neighbouring nodes of every lane. Called once, when all nodes are in.
    pub(super) fn link_lanes(&mut self) {
        self.links.resize(self.nodes.len(), Vec::new());
        for (lane, members) in self.members.iter_mut().enumerate() {
            let nodes = &self.nodes;
            members.sort_by(|&a, &b| {
                let (p, q) = (nodes[a].at, nodes[b].at);
                p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)).then(a.cmp(&b))
            });
            for pair in members.windows(2) {
                let cost = nodes[pair[0]].at.distance(nodes[pair[1]].at);
                let way = Way::Lane(LaneId::new(lane));
                self.links[pair[0]].push(Link { to: pair[1], cost, way });
                self.links[pair[1]].push(Link { to: pair[0], cost, way });
            }
        }
    }

    /// Joins two nodes over a crossing.
    pub(super) fn link_crossing(&mut self, a: usize, b: usize, cost: f64, crossing: CrossingId) {
        self.links.resize(self.nodes.len(), Vec::new());
        self.links[a].push(Link { to: b, cost, way: Way::Cross(crossing) });
        self.links[b].push(Link { to: a, cost, way: Way::Cross(crossing) });
    }

    /// Whether one more lead fits.
    pub(super) fn has_room(&self, lane: LaneId, used: &[u32]) -> bool {
        used[lane.index()] < self.lanes[lane.index()].capacity
    }

    /// The cheapest way from any start to any target (node and cost beyond it) through lanes with room.
    /// Ties fall to the smaller node number.
    pub(super) fn route(&self, starts: &[Start], targets: &BTreeMap<usize, f64>, used: &[u32]) -> Option<Route> {
        let mut reached = Marks::new(self.nodes.len());
        let mut queue = BinaryHeap::new();
        for (begun, start) in starts.iter().enumerate() {
            let nearer = reached.get(start.node).is_none_or(|known| start.cost < known.cost);
            if self.has_room(start.lane, used) && nearer {
                reached.insert(start.node, Reached { cost: start.cost, came: None, begun });
                queue.push(Reverse((Cost(start.cost), start.node)));
            }
        }
        let mut answer: Option<(f64, usize)> = None;
        while let Some(Reverse((Cost(cost), node))) = queue.pop() {
            if answer.is_some_and(|(found, _)| cost >= found) {
                break;
            }
            let here = reached.at(node);
            if cost > here.cost {
                continue;
            }
            if let Some(beyond) = targets.get(&node)
                && answer.is_none_or(|(found, _)| cost + beyond < found)
            {
                answer = Some((cost + beyond, node));
            }
            for link in &self.links[node] {
                let open = match link.way {
                    Way::Lane(lane) => self.has_room(lane, used),
                    Way::Cross(_) => true,
                };
                let there = cost + link.cost;
                if open && reached.get(link.to).is_none_or(|known| there < known.cost) {
                    reached.insert(link.to, Reached { cost: there, came: Some((node, link.way)), begun: here.begun });
                    queue.push(Reverse((Cost(there), link.to)));
                }
            }
        }
        let (cost, target) = answer?;
        let mut ways: Vec<Way> = Vec::new();
        let mut node = target;
        while let Some((from, way)) = reached.at(node).came {
            if ways.last() != Some(&way) {
                ways.push(way);
            }
            node = from;
        }
        let start = reached.at(target).begun;
        let first = Way::Lane(starts[start].lane);
        if ways.last() != Some(&first) {
            ways.push(first);
        }
        ways.reverse();
        Some(Route { cost, start, target, ways })
    }
}

/// The cheapest way known to a node.
#[derive(Debug, Clone, Copy)]
struct Reached {
    cost: f64,
    came: Option<(usize, Way)>,
    /// Which of the starts.
    begun: usize,
}

/// The nodes a search has reached. Only these are kept, with their number plus one at each node: a search sees one face of a drawing that
/// may have hundreds, and zeroed memory that is never touched costs nothing.
struct Marks {
    numbers: Vec<u32>,
    known: Vec<Reached>,
}

impl Marks {
    fn new(nodes: usize) -> Self {
        Self { numbers: vec![0; nodes], known: Vec::new() }
    }

    fn get(&self, node: usize) -> Option<&Reached> {
        self.numbers[node].checked_sub(1).map(|at| &self.known[at as usize])
    }

    /// A node that is known to be reached.
    fn at(&self, node: usize) -> Reached {
        self.known[self.numbers[node] as usize - 1]
    }

    fn insert(&mut self, node: usize, reached: Reached) {
        match self.numbers[node].checked_sub(1) {
            Some(at) => self.known[at as usize] = reached,
            None => {
                self.known.push(reached);
                self.numbers[node] = self.known.len() as u32;
            }
        }
    }
}

/// A cost with a total order, so that the queue never depends on arithmetic accidents.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Cost(f64);

impl Eq for Cost {}
impl PartialOrd for Cost {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cost {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Interval;
    use crate::wiring::model::LaneKind;
    use crate::zones::Interval2;

    fn lane(id: u32, course: LaneCourse, u: (f64, f64), v: (f64, f64), capacity: u32) -> Lane {
        Lane {
            id: LaneId(id),
            face: FaceId(0),
            kind: LaneKind::RakeMargin,
            course,
            extent: Interval2 { u: Interval::new(u.0, u.1), v: Interval::new(v.0, v.1) },
            capacity,
            used: 0,
        }
    }

    #[test]
    fn a_full_lane_sends_leads_the_long_way() {
        let mut graph = Graph::default();
        graph.add_lanes(vec![
            lane(0, LaneCourse::UpSlope, (0.0, 2.0), (0.0, 100.0), 1),
            lane(1, LaneCourse::UpSlope, (100.0, 102.0), (0.0, 100.0), 5),
            lane(2, LaneCourse::AlongCourse, (0.0, 102.0), (60.0, 64.0), 5),
        ]);
        let start = graph.add_node(LaneId(0), Point2::new(1.0, 40.0));
        let feet = [0, 1].map(|l| graph.add_node(LaneId(l), Point2::new(1.0 + 100.0 * f64::from(l), 0.0)));
        graph.link_lanes();
        let starts = [Start { node: start, lane: LaneId(0), cost: 3.0 }];
        let targets = BTreeMap::from([(feet[0], 0.0), (feet[1], 0.0)]);
        let near = graph.route(&starts, &targets, &[0, 0, 0]).unwrap();
        assert!((near.cost - 43.0).abs() < 1e-12 && near.ways == [Way::Lane(LaneId(0))]);
        let only_far = BTreeMap::from([(feet[1], 0.0)]);
        let far = graph.route(&starts, &only_far, &[0, 0, 0]).unwrap();
        assert!((far.cost - (3.0 + 22.0 + 100.0 + 62.0)).abs() < 1e-12);
        assert_eq!(far.ways, [0, 2, 1].map(|l| Way::Lane(LaneId(l))));
        assert_eq!(graph.route(&starts, &targets, &[1, 0, 0]), None);
    }
}

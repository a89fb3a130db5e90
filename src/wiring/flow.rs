//! How many leads the lanes let through to a set of boxes: a flow in which every lane holds what it may.
//!
//! Every segment that is fed takes room in a lane beside it: for a lead on its way to a box, or for the jumper that joins it to the chain. A stack
//! has no more jumpers than segments less its fewest chains. A lane counts once for each lead in it, however long it lies there, and a lead may
//! change lanes wherever two of them meet. So the flow is never less than what can be fed, and a set of boxes whose flow is too small is no choice.
//!
//! # Source
//! E. A. Dinic, "Algorithm for solution of a problem of maximum flow in networks with power estimation", Soviet Mathematics Doklady 11 (1970),
//! from memory.

use super::cover::Fewest;
use super::graph::{ExitKind, Graph, Way};
use super::model::End;
use super::optimum::{Best, Part};
use crate::index::LaneId;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// An arc and how much more goes through it; its reverse stands next to it.
#[derive(Clone, Copy)]
struct Arc {
    to: usize,
    room: u32,
}

/// The part's lanes as a network. Vertices: the source, the sink, the segments between the same lanes, two of each lane, two of each exit, one of each box.
pub(super) struct Flow {
    arcs: Vec<Arc>,
    out: Vec<Vec<usize>>,
    /// Arc from each box of the part to the sink, and its room.
    boxes: Vec<(usize, u32)>,
    full: Vec<u32>,
    /// By vertex: arcs from the source, and the first arc that may lead on.
    rank: Vec<u32>,
    next: Vec<usize>,
}

const SOURCE: usize = 0;
const SINK: usize = 1;

impl Flow {
    pub(super) fn new(best: &Best, part: &Part, stacks: &[Fewest]) -> Self {
        let graph = best.graph;
        let mut flow = Self {
            arcs: Vec::new(),
            out: vec![Vec::new(); 2],
            boxes: Vec::new(),
            full: Vec::new(),
            rank: Vec::new(),
            next: Vec::new(),
        };
        let mut lanes: BTreeMap<LaneId, usize> = BTreeMap::new();
        let mut nodes: BTreeSet<usize> = BTreeSet::new();
        // Segments between the same lanes are one vertex.
        let mut alike: BTreeMap<BTreeSet<LaneId>, u32> = BTreeMap::new();
        for &segment in &part.segments {
            let ends = [End::Left, End::Right].into_iter().filter_map(|end| graph.ends.get(&(segment, end))).flatten();
            let beside: BTreeSet<LaneId> = ends.clone().map(|a| a.lane).collect();
            nodes.extend(ends.map(|a| a.node));
            *alike.entry(beside).or_default() += 1;
        }
        for (beside, count) in alike {
            let own = flow.vertex();
            flow.arc(SOURCE, own, count);
            for lane in beside {
                let lane = flow.lane(&mut lanes, lane, graph.lanes[lane.index()].capacity);
                flow.arc(own, lane, count);
            }
        }
        for stack in stacks.iter().filter(|stack| stack.jumpers > 0) {
            let joined = flow.vertex();
            let ends = stack.segments.iter().flat_map(|&id| [(id, End::Left), (id, End::Right)]);
            let beside: BTreeSet<LaneId> =
                ends.filter_map(|end| graph.ends.get(&end)).flatten().map(|a| a.lane).collect();
            for lane in beside {
                let lane = flow.lane(&mut lanes, lane, graph.lanes[lane.index()].capacity);
                flow.arc(lane + 1, joined, u32::MAX / 2);
            }
            flow.arc(joined, SINK, stack.jumpers);
        }
        let exits = part.boxes.iter().flat_map(|&at| &best.boxes[at].exits);
        nodes.extend(exits.map(|e| graph.exits[e.0].node));
        for (a, b) in meetings(graph, nodes) {
            let from = flow.lane(&mut lanes, a, graph.lanes[a.index()].capacity) + 1;
            let to = flow.lane(&mut lanes, b, graph.lanes[b.index()].capacity);
            flow.arc(from, to, u32::MAX / 2);
        }
        let mut exits: BTreeMap<usize, usize> = BTreeMap::new();
        for &at in &part.boxes {
            let own = flow.vertex();
            for &(exit, _) in &best.boxes[at].exits {
                let place = graph.exits[exit];
                let lane = flow.lane(&mut lanes, place.lane, graph.lanes[place.lane.index()].capacity) + 1;
                let most = if let ExitKind::Hole(most) = place.kind { most } else { u32::MAX / 2 };
                let vertex = *exits.entry(exit).or_insert_with(|| {
                    let (low, high) = (flow.vertex(), flow.vertex());
                    flow.arc(lane, low, u32::MAX / 2);
                    flow.arc(low, high, most);
                    high
                });
                flow.arc(vertex, own, u32::MAX / 2);
            }
            let arc = flow.arc(own, SINK, 0);
            flow.boxes.push((arc, best.boxes[at].capacity));
        }
        flow.full = flow.arcs.iter().map(|arc| arc.room).collect();
        flow.rank = vec![u32::MAX; flow.out.len()];
        flow.next = vec![0; flow.out.len()];
        flow
    }

    fn vertex(&mut self) -> usize {
        self.out.push(Vec::new());
        self.out.len() - 1
    }

    /// Where a lane is entered; it is left at the next vertex.
    fn lane(&mut self, known: &mut BTreeMap<LaneId, usize>, lane: LaneId, capacity: u32) -> usize {
        *known.entry(lane).or_insert_with(|| {
            let (low, high) = (self.vertex(), self.vertex());
            self.arc(low, high, capacity);
            low
        })
    }

    fn arc(&mut self, from: usize, to: usize, room: u32) -> usize {
        self.out[from].push(self.arcs.len());
        self.arcs.push(Arc { to, room });
        self.out[to].push(self.arcs.len());
        self.arcs.push(Arc { to: from, room: 0 });
        self.arcs.len() - 2
    }

    /// How many segments, no more than `wanted`, may be fed from the boxes of `set`, by position in the part.
    pub(super) fn most(&mut self, set: &[usize], wanted: u32) -> u32 {
        for (arc, room) in self.arcs.iter_mut().zip(&self.full) {
            arc.room = *room;
        }
        for &at in set {
            let (arc, room) = self.boxes[at];
            self.arcs[arc].room = room;
        }
        let mut through = 0;
        while through < wanted && self.rank() {
            self.next.fill(0);
            while through < wanted {
                let sent = self.push(wanted - through);
                if sent == 0 {
                    break;
                }
                through += sent;
            }
        }
        through
    }

    /// Ranks the vertices by arcs with room from the source; false where the sink is not reached any more.
    fn rank(&mut self) -> bool {
        self.rank.fill(u32::MAX);
        self.rank[SOURCE] = 0;
        let mut queue = VecDeque::from([SOURCE]);
        while let Some(at) = queue.pop_front() {
            for &arc in &self.out[at] {
                let Arc { to, room } = self.arcs[arc];
                if room > 0 && self.rank[to] == u32::MAX {
                    self.rank[to] = self.rank[at] + 1;
                    queue.push_back(to);
                }
            }
        }
        self.rank[SINK] != u32::MAX
    }

    /// Sends leads through by a way on which the rank rises, as many as it takes and no more than `most`; none where no way is left.
    fn push(&mut self, most: u32) -> u32 {
        let (mut way, mut at): (Vec<usize>, usize) = (Vec::new(), SOURCE);
        while at != SINK {
            match self.out[at].get(self.next[at]) {
                Some(&arc) if self.arcs[arc].room > 0 && self.rank[self.arcs[arc].to] == self.rank[at] + 1 => {
                    way.push(arc);
                    at = self.arcs[arc].to;
                }
                Some(_) => self.next[at] += 1,
                // A dead end: back, and past the arc that led here.
                None => {
                    let Some(arc) = way.pop() else { return 0 };
                    at = self.arcs[arc ^ 1].to;
                    self.next[at] += 1;
                }
            }
        }
        let sent = way.iter().map(|&arc| self.arcs[arc].room).fold(most, u32::min);
        for arc in way {
            self.arcs[arc].room -= sent;
            self.arcs[arc ^ 1].room += sent;
        }
        sent
    }
}

/// Pairs of lanes that meet at a node or across a fold, at the nodes known and all that lanes join to them.
fn meetings(graph: &Graph, mut nodes: BTreeSet<usize>) -> BTreeSet<(LaneId, LaneId)> {
    let mut queue: VecDeque<usize> = nodes.iter().copied().collect();
    let mut met: BTreeSet<(LaneId, LaneId)> = BTreeSet::new();
    let lane_at = |node: usize| {
        let ways = graph.links[node].iter().filter_map(|l| if let Way::Lane(lane) = l.way { Some(lane) } else { None });
        ways.collect::<BTreeSet<LaneId>>()
    };
    while let Some(node) = queue.pop_front() {
        let mut here = lane_at(node);
        for link in &graph.links[node] {
            if matches!(link.way, Way::Cross(_)) {
                here.extend(lane_at(link.to));
            }
            if nodes.insert(link.to) {
                queue.push_back(link.to);
            }
        }
        let here: Vec<LaneId> = here.into_iter().collect();
        for &a in &here {
            met.extend(here.iter().filter(|&&b| b != a).map(|&b| (a, b)));
        }
    }
    met
}

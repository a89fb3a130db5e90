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
use crate::index::{LaneId, SegmentId};
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

/// Where lanes and exits stand in the network.
#[derive(Default)]
struct Vertices {
    /// Leads each lane of the graph takes.
    room: Vec<u32>,
    /// Where a lane is entered.
    lanes: BTreeMap<LaneId, usize>,
    /// Where an exit is left.
    exits: BTreeMap<usize, usize>,
}

/// Arcs that part the source from the sink: no set of boxes lets more through than they hold.
pub(super) struct Cut {
    lanes: u32,
    /// Room of each box of the part that the source still reaches; 0 of the others.
    boxes: Vec<u32>,
}

impl Cut {
    /// No more than this goes through to the boxes of `set`, by position in the part.
    pub(super) fn most(&self, set: &[usize]) -> u32 {
        set.iter().map(|&at| self.boxes[at]).fold(self.lanes, u32::saturating_add)
    }
}

const SOURCE: usize = 0;
const SINK: usize = 1;

/// How a lead goes through: the lanes it may lie in, its exit and its box by position in the part.
pub(super) struct Through {
    pub lanes: BTreeSet<LaneId>,
    pub exit: usize,
    pub item: usize,
}

impl Flow {
    pub(super) fn new(best: &Best, part: &Part, stacks: &[Fewest]) -> Self {
        let graph = best.graph;
        let mut flow = Self::empty();
        let mut net = Vertices { room: graph.lanes.iter().map(|lane| lane.capacity).collect(), ..Vertices::default() };
        // Segments between the same lanes are one vertex.
        let mut alike: BTreeMap<BTreeSet<LaneId>, u32> = BTreeMap::new();
        for &segment in &part.segments {
            *alike.entry(lanes_beside(graph, &[segment])).or_default() += 1;
        }
        for (beside, count) in alike {
            let own = flow.vertex();
            flow.arc(SOURCE, own, count);
            for lane in beside {
                let lane = flow.lane(&mut net, lane);
                flow.arc(own, lane, count);
            }
        }
        for stack in stacks.iter().filter(|stack| stack.jumpers > 0) {
            let joined = flow.vertex();
            for lane in lanes_beside(graph, &stack.segments) {
                let lane = flow.lane(&mut net, lane);
                flow.arc(lane + 1, joined, u32::MAX / 2);
            }
            flow.arc(joined, SINK, stack.jumpers);
        }
        flow.lead_on(best, part, &mut net);
        flow
    }

    /// Ways for one lead each from any of the lanes of `begins` to the boxes of `set`, by position in the part, where lanes already hold `used`. None when
    /// there is no room for all. Which way is the shortest is not asked.
    pub(super) fn through(
        best: &Best,
        part: &Part,
        begins: &[BTreeSet<LaneId>],
        used: &[u32],
        set: &[usize],
    ) -> Option<Vec<Through>> {
        let mut flow = Self::empty();
        let left = best.graph.lanes.iter().zip(used).map(|(lane, &used)| lane.capacity.saturating_sub(used));
        let mut net = Vertices { room: left.collect(), ..Vertices::default() };
        let mut sources = Vec::new();
        for lanes in begins {
            let own = flow.vertex();
            flow.arc(SOURCE, own, 1);
            for &lane in lanes {
                let lane = flow.lane(&mut net, lane);
                flow.arc(own, lane, 1);
            }
            sources.push(own);
        }
        flow.lead_on(best, part, &mut net);
        let count = begins.len() as u32;
        if flow.most(set, count) < count {
            return None;
        }
        let lane_at: BTreeMap<usize, LaneId> = net.lanes.iter().map(|(&lane, &vertex)| (vertex, lane)).collect();
        let exit_at: BTreeMap<usize, usize> = net.exits.iter().map(|(&exit, &vertex)| (vertex, exit)).collect();
        let mut ways = Vec::new();
        for mut at in sources {
            let (mut lanes, mut exit, mut item) = (BTreeSet::new(), None, None);
            while at != SINK {
                // What was sent on stands as room on the way back; each lead takes its own of it along.
                let arc = *flow.out[at].iter().find(|&&arc| arc % 2 == 0 && flow.arcs[arc ^ 1].room > 0)?;
                flow.arcs[arc ^ 1].room -= 1;
                lanes.extend(lane_at.get(&at));
                exit = exit_at.get(&at).copied().or(exit);
                item = flow.boxes.iter().position(|own| own.0 == arc).or(item);
                at = flow.arcs[arc].to;
            }
            ways.push(Through { lanes, exit: exit?, item: item? });
        }
        Some(ways)
    }

    fn empty() -> Self {
        Self {
            arcs: Vec::new(),
            out: vec![Vec::new(); 2],
            boxes: Vec::new(),
            full: Vec::new(),
            rank: Vec::new(),
            next: Vec::new(),
        }
    }

    /// Joins the part's lanes where they meet, and to its exits and boxes.
    fn lead_on(&mut self, best: &Best, part: &Part, net: &mut Vertices) {
        let graph = best.graph;
        let ends = part.segments.iter().flat_map(|&id| [(id, End::Left), (id, End::Right)]);
        let mut nodes: BTreeSet<usize> =
            ends.filter_map(|end| graph.ends.get(&end)).flatten().map(|a| a.node).collect();
        let exits = part.boxes.iter().flat_map(|&at| &best.boxes[at].exits);
        nodes.extend(exits.map(|e| graph.exits[e.0].node));
        for (a, b) in meetings(graph, nodes) {
            let (from, to) = (self.lane(net, a) + 1, self.lane(net, b));
            self.arc(from, to, u32::MAX / 2);
        }
        for &at in &part.boxes {
            let own = self.vertex();
            for &(exit, _) in &best.boxes[at].exits {
                let place = graph.exits[exit];
                let lane = self.lane(net, place.lane) + 1;
                let most = if let ExitKind::Hole(most) = place.kind { most } else { u32::MAX / 2 };
                let vertex = *net.exits.entry(exit).or_insert_with(|| {
                    let (low, high) = (self.vertex(), self.vertex());
                    self.arc(lane, low, u32::MAX / 2);
                    self.arc(low, high, most);
                    high
                });
                self.arc(vertex, own, u32::MAX / 2);
            }
            let arc = self.arc(own, SINK, 0);
            self.boxes.push((arc, best.boxes[at].capacity));
        }
        self.full = self.arcs.iter().map(|arc| arc.room).collect();
        self.rank = vec![u32::MAX; self.out.len()];
        self.next = vec![0; self.out.len()];
    }

    fn vertex(&mut self) -> usize {
        self.out.push(Vec::new());
        self.out.len() - 1
    }

    /// Where a lane is entered; it is left at the next vertex.
    fn lane(&mut self, net: &mut Vertices, lane: LaneId) -> usize {
        let room = net.room[lane.index()];
        *net.lanes.entry(lane).or_insert_with(|| {
            let (low, high) = (self.vertex(), self.vertex());
            self.arc(low, high, room);
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

    /// What held the last flow back, when it was too small: the arcs out of what the source still reaches.
    pub(super) fn cut(&self) -> Cut {
        let reached = |vertex: usize| self.rank[vertex] != u32::MAX;
        let forward = (0..self.arcs.len())
            .step_by(2)
            .filter(|&arc| reached(self.arcs[arc ^ 1].to) && !reached(self.arcs[arc].to));
        // Arcs from boxes hold nothing until a set opens them.
        let lanes = forward.map(|arc| self.full[arc]).fold(0, u32::saturating_add);
        let own = |&(arc, room): &(usize, u32)| if reached(self.arcs[arc ^ 1].to) { room } else { 0 };
        Cut { lanes, boxes: self.boxes.iter().map(own).collect() }
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

/// Lanes that the ends of segments open into.
fn lanes_beside(graph: &Graph, segments: &[SegmentId]) -> BTreeSet<LaneId> {
    let ends = segments.iter().flat_map(|&id| [(id, End::Left), (id, End::Right)]);
    ends.filter_map(|end| graph.ends.get(&end)).flatten().map(|a| a.lane).collect()
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

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: five segments between a lane for two leads that comes down to a box for four and a lane for three that comes down to a box for one. Two go
    /// through to the first box, one to the second, three to both. What holds the first back is its lane, and the second box: no set passes it by.
    #[test]
    fn a_cut_holds_back_other_sets_too() {
        let mut flow = Flow::empty();
        let segments = flow.vertex();
        flow.arc(SOURCE, segments, 5);
        for (room_of_lane, room_of_box) in [(2, 4), (3, 1)] {
            let (low, high, own) = (flow.vertex(), flow.vertex(), flow.vertex());
            flow.arc(segments, low, 5);
            flow.arc(low, high, room_of_lane);
            flow.arc(high, own, 9);
            let arc = flow.arc(own, SINK, 0);
            flow.boxes.push((arc, room_of_box));
        }
        flow.full = flow.arcs.iter().map(|arc| arc.room).collect();
        (flow.rank, flow.next) = (vec![u32::MAX; flow.out.len()], vec![0; flow.out.len()]);
        let sets: [&[usize]; 4] = [&[], &[0], &[1], &[0, 1]];
        assert_eq!(sets.map(|set| flow.most(set, 5)), [0, 2, 1, 3]);
        for set in sets {
            let through = flow.most(set, 5);
            let cut = flow.cut();
            assert_eq!(cut.most(set), through, "what holds a set back is its own flow");
            assert!(sets.iter().all(|other| cut.most(other) >= flow.most(other, 5)), "{set:?}");
        }
        assert_eq!(
            {
                flow.most(&[0], 5);
                flow.cut().most(&[0, 1])
            },
            3
        );
    }
}

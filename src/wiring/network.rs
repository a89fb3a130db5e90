//! The lanes of one part as a network whose lanes have prices.
//!
//! A state is a node in one of its lanes. Going along a lane costs its length; coming into a lane costs its price. A cheapest way never leaves a
//! lane and comes back, since lanes are straight and the stretch between costs no more, so every lane on it is paid once.

use super::graph::{ExitKind, Route, Start, Way};
use super::model::End;
use super::optimum::{Best, Part};
use super::sizes::fine;
use crate::index::LaneId;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

/// A step from a state.
#[derive(Debug, Clone, Copy)]
struct Step {
    to: usize,
    length: f64,
    /// The same in millionths of an inch.
    cost: i64,
    way: Way,
    /// The lane paid for, if it is come into.
    into: Option<usize>,
}

/// Nodes of a part in their lanes.
pub(super) struct Network {
    states: BTreeMap<(usize, LaneId), usize>,
    node: Vec<usize>,
    steps: Vec<Vec<Step>>,
    pub lanes: Vec<LaneId>,
    pub capacity: Vec<u32>,
    number: BTreeMap<LaneId, usize>,
    lane_of: Vec<usize>,
    /// By box of the part: node, and length beyond.
    targets: Vec<Vec<(usize, f64)>>,
}

/// The cheapest priced way from each state to one box.
pub(super) struct Priced {
    cost: Vec<Option<i64>>,
    came: Vec<Option<(usize, Way)>>,
}

/// Lanes at every node of the part.
fn lanes_at(best: &Best, part: &Part) -> BTreeMap<usize, BTreeSet<LaneId>> {
    let graph = best.graph;
    let mut lanes_at: BTreeMap<usize, BTreeSet<LaneId>> = BTreeMap::new();
    for &segment in &part.segments {
        for a in [End::Left, End::Right].iter().filter_map(|&end| graph.ends.get(&(segment, end))).flatten() {
            lanes_at.entry(a.node).or_default().insert(a.lane);
        }
    }
    for &(exit, _) in part.boxes.iter().flat_map(|&at| &best.boxes[at].exits) {
        lanes_at.entry(graph.exits[exit].node).or_default().insert(graph.exits[exit].lane);
    }
    let mut queue: Vec<usize> = lanes_at.keys().copied().collect();
    let mut seen: BTreeSet<usize> = queue.iter().copied().collect();
    while let Some(node) = queue.pop() {
        for link in &graph.links[node] {
            if let Way::Lane(lane) = link.way {
                lanes_at.entry(node).or_default().insert(lane);
                lanes_at.entry(link.to).or_default().insert(lane);
            }
            if seen.insert(link.to) {
                queue.push(link.to);
            }
        }
    }
    lanes_at
}

impl Network {
    pub(super) fn new(best: &Best, part: &Part) -> Self {
        let graph = best.graph;
        let lanes_at = lanes_at(best, part);
        let mut net = Self {
            states: BTreeMap::new(),
            node: Vec::new(),
            steps: Vec::new(),
            lanes: Vec::new(),
            capacity: Vec::new(),
            number: BTreeMap::new(),
            lane_of: Vec::new(),
            targets: Vec::new(),
        };
        for (&node, lanes) in &lanes_at {
            for &lane in lanes.iter().filter(|lane| graph.lanes[lane.index()].capacity > 0) {
                net.states.insert((node, lane), net.node.len());
                net.node.push(node);
                let number = *net.number.entry(lane).or_insert_with(|| {
                    net.lanes.push(lane);
                    net.capacity.push(graph.lanes[lane.index()].capacity);
                    net.lanes.len() - 1
                });
                net.lane_of.push(number);
            }
        }
        for (&(node, lane), &state) in &net.states {
            let mut steps: Vec<Step> = Vec::new();
            let of = |node: usize| net.states.range((node, LaneId(0))..).take_while(move |((n, _), _)| *n == node);
            for (&(_, other), &to) in of(node).filter(|((_, other), _)| *other != lane) {
                steps.push(Step { to, length: 0.0, cost: 0, way: Way::Lane(other), into: Some(net.lane_of[to]) });
            }
            for link in &graph.links[node] {
                match link.way {
                    Way::Lane(along) if along == lane => {
                        if let Some(&to) = net.states.get(&(link.to, lane)) {
                            steps.push(Step {
                                to,
                                length: link.cost,
                                cost: fine(link.cost),
                                way: link.way,
                                into: None,
                            });
                        }
                    }
                    Way::Lane(_) => {}
                    Way::Cross(_) => steps.extend(of(link.to).map(|(_, &to)| Step {
                        to,
                        length: link.cost,
                        cost: fine(link.cost),
                        way: link.way,
                        into: Some(net.lane_of[to]),
                    })),
                }
            }
            debug_assert_eq!(state, net.steps.len());
            net.steps.push(steps);
        }
        net.targets = part
            .boxes
            .iter()
            .map(|&at| best.boxes[at].exits.iter().map(|&(exit, beyond)| (graph.exits[exit].node, beyond)).collect())
            .collect();
        debug_assert!(graph.exits.iter().all(|exit| !matches!(exit.kind, ExitKind::Hole(0))));
        net
    }

    /// No way that passes no place twice is longer, with what lies beyond its exit, millionths of an inch.
    pub(super) fn longest_way(&self) -> i64 {
        let beyond = self.targets.iter().flatten().map(|&(_, beyond)| fine(beyond)).max();
        self.steps.iter().flatten().map(|step| step.cost).sum::<i64>() + beyond.unwrap_or(0)
    }

    pub(super) fn lane(&self, lane: LaneId) -> Option<usize> {
        self.number.get(&lane).copied()
    }

    /// The cheapest ways to a box of the part when coming into a lane costs its price, millionths of an inch.
    pub(super) fn ways_to(&self, item: usize, prices: &[i64]) -> Priced {
        let mut made = Priced { cost: vec![None; self.node.len()], came: vec![None; self.node.len()] };
        let mut queue = BinaryHeap::new();
        for &(node, beyond) in &self.targets[item] {
            for (_, &state) in self.states.range((node, LaneId(0))..).take_while(|((n, _), _)| *n == node) {
                let cost = fine(beyond) + prices[self.lane_of[state]];
                if made.cost[state].is_none_or(|known| cost < known) {
                    made.cost[state] = Some(cost);
                    queue.push(Reverse((cost, state)));
                }
            }
        }
        while let Some(Reverse((cost, state))) = queue.pop() {
            if made.cost[state].is_some_and(|known| cost > known) {
                continue;
            }
            for step in &self.steps[state] {
                let there = cost + step.cost + step.into.map_or(0, |lane| prices[lane]);
                if made.cost[step.to].is_none_or(|known| there < known) {
                    made.cost[step.to] = Some(there);
                    // Walked back from the start the same link leads on; after a change of lanes at a node the way goes on in the lane left.
                    made.came[step.to] = Some((state, step.way));
                    queue.push(Reverse((there, step.to)));
                }
            }
        }
        made
    }

    /// The state where a chain's way begins.
    pub(super) fn start(&self, start: &Start) -> Option<usize> {
        self.states.get(&(start.node, start.lane)).copied()
    }

    /// The way from a start, with its length without prices.
    pub(super) fn route(&self, priced: &Priced, number: usize, start: &Start, item: usize) -> Option<Route> {
        let mut state = self.start(start)?;
        let mut ways = vec![Way::Lane(start.lane)];
        let mut cost = start.cost;
        while let Some((next, way)) = priced.came[state] {
            let step = self.steps[next].iter().find(|s| s.to == state && s.way == way)?;
            cost += step.length;
            if let Way::Cross(_) = way {
                ways.push(way);
            }
            let lane = Way::Lane(self.lanes[self.lane_of[next]]);
            if ways.last() != Some(&lane) {
                ways.push(lane);
            }
            state = next;
        }
        let target = self.node[state];
        let beyond = self.targets[item].iter().filter(|t| t.0 == target).map(|t| t.1).reduce(f64::min)?;
        Some(Route { cost: cost + beyond, start: number, target, ways })
    }
}

impl Priced {
    /// From a state to the box, prices of all lanes on the way included, millionths of an inch.
    pub(super) fn cost(&self, state: usize) -> Option<i64> {
        self.cost[state]
    }
}

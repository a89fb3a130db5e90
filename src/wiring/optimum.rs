//! The best way to feed few segments: exact up to 24 segments and 8 boxes to choose from.
//!
//! The route graph falls into parts that no lane joins: mostly a face each. In a part every chain that may be made, every end it may be fed at and
//! every box it may be led to are weighed against each other, by segments unfed, then boxes, then lead length, then crossings.
//!
//! For each set of boxes the best cover of the segments by chains is found by dynamic programming over sets of segments left to cover, each chain
//! led the cheapest way, as if lanes and holes had room for all and the boxes' room were one. That bounds the set from below. Sets are taken from few
//! boxes to many and in the order of their bounds; within each the cover is searched for by branch and bound under the same bound, with ways
//! around full lanes. A set whose bound is no better than the best found is passed over; when none was given up the best is proven. Written here rather than handed to a
//! linear-programming library: the cover problem is a shortest path over few states, its relaxation is whole-numbered almost always, and a
//! count of nodes as budget keeps the answer the same on every machine.

use super::assign::Served;
use super::boxes::BoxPlan;
use super::chains::{ChainPlan, Chaining, FeedPlace};
use super::graph::{ExitKind, Graph, Route, Start, Way};
use super::model::End;
use super::sizes::coarse;
use crate::courses::Courses;
use crate::index::{LaneId, SegmentId};
use crate::job::Job;
use std::collections::{BTreeMap, BTreeSet};

/// Ways from an end of a segment, box by box of a part: the exit and the route.
type Ways = BTreeMap<(SegmentId, End), Vec<Vec<(usize, Route)>>>;

/// Larger parts are left to the step-by-step choice.
pub(super) const MOST_SEGMENTS: usize = 24;
/// Boxes to choose from, those the job sets not counted.
pub(super) const MOST_BOXES: usize = 8;
/// Chains of one part; more and the part is left to the step-by-step choice.
const MOST_CHAINS: usize = 2000;
/// Nodes of branch and bound for one part, and of them for one set of boxes.
const NODES: u32 = 50_000;
const NODES_A_SET: u32 = 10_000;
/// Ways tried from one end to one box around full lanes.
const MOST_WAYS: usize = 6;

/// What is made small, in this order.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Measure {
    pub unfed: u32,
    pub boxes: u32,
    /// Thousandths of an inch, slack, make-up and the way beyond the exit included.
    pub length: i64,
    pub crossings: u32,
}

/// Segments and boxes that lanes join.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part {
    pub segments: Vec<SegmentId>,
    pub boxes: Vec<usize>,
}

/// How a part is fed.
#[derive(Debug, Clone)]
pub(super) struct Fed {
    pub chains: Vec<ChainPlan>,
    /// Chains count within this part.
    pub served: Vec<Served>,
    pub measure: Measure,
    /// No way of feeding the part measures less than this.
    pub bound: Measure,
}

/// What all parts share.
pub(super) struct Best<'a> {
    pub graph: &'a Graph,
    pub chaining: &'a Chaining<'a>,
    pub courses: &'a Courses,
    pub boxes: &'a [BoxPlan],
    /// Boxes that hang anyway and cost nothing.
    pub open: &'a [usize],
    pub job: &'a Job,
}

/// One way to lead a chain to a box.
#[derive(Debug, Clone)]
struct Led {
    place: FeedPlace,
    exit: usize,
    box_plan: usize,
    route: Route,
    cost: i64,
    crossings: u32,
    lanes: Vec<LaneId>,
}

/// A chain that may be made, with the cheapest way to each box.
struct Candidate {
    plan: ChainPlan,
    mask: u32,
    /// By position among the part's boxes, the cheapest first.
    led: Vec<Vec<Led>>,
}

/// Segments left out, length, crossings.
type Value = (u32, i64, u32);

impl Best<'_> {
    /// The parts of the graph, by their first segment.
    pub(super) fn parts(&self) -> Vec<Part> {
        let mut groups = Groups::new(self.graph.nodes.len());
        for (node, links) in self.graph.links.iter().enumerate() {
            links.iter().for_each(|link| groups.join(node, link.to));
        }
        let nodes_of = |segment: SegmentId| {
            let ends = [End::Left, End::Right].into_iter().filter_map(move |end| self.graph.ends.get(&(segment, end)));
            ends.flatten().map(|a| a.node).collect::<Vec<usize>>()
        };
        for segment in &self.courses.segments {
            let nodes = nodes_of(segment.id);
            nodes.iter().skip(1).for_each(|&node| groups.join(nodes[0], node));
        }
        for item in self.boxes {
            let node = |exit: usize| self.graph.exits[exit].node;
            item.exits.iter().skip(1).for_each(|e| groups.join(node(item.exits[0].0), node(e.0)));
        }
        let mut parts: BTreeMap<usize, Part> = BTreeMap::new();
        let empty = || Part { segments: Vec::new(), boxes: Vec::new() };
        let wanted = self.courses.segments.iter().filter(|s| !self.chaining.left_off.contains(&s.id));
        for segment in wanted {
            if let Some(&node) = nodes_of(segment.id).first() {
                parts.entry(groups.of(node)).or_insert_with(empty).segments.push(segment.id);
            }
        }
        for (at, item) in self.boxes.iter().enumerate() {
            if let Some(&(exit, _)) = item.exits.first()
                && let Some(part) = parts.get_mut(&groups.of(self.graph.exits[exit].node))
            {
                part.boxes.push(at);
            }
        }
        let mut parts: Vec<Part> = parts.into_values().collect();
        parts.sort_by_key(|part| part.segments.first().copied());
        parts
    }

    /// What a plan comes to in a part.
    pub(super) fn measure(&self, part: &Part, chains: &[ChainPlan], served: &[Served]) -> Measure {
        let mut boxes: Vec<usize> = Vec::new();
        let (mut fed, mut length, mut crossings) = (0, 0, 0);
        for s in served.iter().filter(|s| part.segments.contains(&chains[s.chain].segments[0])) {
            let chain = &chains[s.chain];
            fed += chain.segments.len();
            length += coarse(s.route.cost + self.beside_route(chain));
            crossings += s.route.ways.iter().filter(|w| matches!(w, Way::Cross(_))).count() as u32;
            if !self.open.contains(&s.box_plan) {
                boxes.push(s.box_plan);
            }
        }
        boxes.sort_unstable();
        boxes.dedup();
        let unfed = (part.segments.len() - fed) as u32;
        Measure { unfed, boxes: boxes.len() as u32, length, crossings }
    }

    /// Jumpers and make-up of a chain, inches.
    pub(super) fn beside_route(&self, chain: &ChainPlan) -> f64 {
        let wiring = &self.job.wiring;
        let jumpers = self.chaining.jumper_length(chain) + 2.0 * wiring.connection_tail * chain.jumpers.len() as f64;
        jumpers + wiring.box_tail + wiring.connection_tail
    }

    fn starts(&self, from: (SegmentId, End)) -> Vec<Start> {
        let attached = self.graph.ends.get(&from).into_iter().flatten();
        attached.map(|a| Start { node: a.node, lane: a.lane, cost: a.stub }).collect()
    }

    fn is_small(&self, part: &Part) -> bool {
        let chosen_freely = !part.boxes.iter().any(|b| self.open.contains(b));
        let few = part.segments.len() <= MOST_SEGMENTS && part.boxes.len() <= MOST_BOXES;
        few && chosen_freely && !part.boxes.is_empty()
    }

    /// The best way to feed a part; none when it is too large, or the job sets a box there, which then is filled first.
    pub(super) fn feed(&self, part: &Part, single: &BTreeSet<SegmentId>) -> Option<Fed> {
        if !self.is_small(part) {
            return None;
        }
        let candidates = self.candidates(part, single)?;
        let all = (1u32 << part.segments.len()) - 1;
        let count = part.boxes.len();
        let every: Vec<usize> = (0..count).collect();
        let fewest_unfed = {
            let leads = self.leads_of(part, &every);
            Cover::new(&candidates, &every, part.segments.len()).of(all, leads).0
        };
        let mut state = State { nodes: NODES, found: None, open: None };
        for size in 0..=count {
            let sets = (0..1u32 << count).filter(|bits| bits.count_ones() as usize == size);
            let mut sets: Vec<(Measure, Vec<usize>, Cover)> = sets
                .map(|bits| {
                    let set: Vec<usize> = (0..count).filter(|at| bits >> at & 1 == 1).collect();
                    let mut cover = Cover::new(&candidates, &set, part.segments.len());
                    let leads = self.leads_of(part, &set);
                    let (unfed, length, crossings) = cover.of(all, leads);
                    (Measure { unfed, boxes: size as u32, length, crossings }, set, cover)
                })
                .collect();
            sets.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
            for (least, set, cover) in &sets {
                if state.found.as_ref().is_some_and(|(best, _)| least >= best) {
                    break;
                }
                let leads = self.leads_of(part, set);
                let before = state.nodes;
                state.nodes = before.min(NODES_A_SET);
                let mut search = Search { best: self, candidates: &candidates, set, cover, boxes: least.boxes, state };
                search.descend(all, leads, &mut Taken::default());
                state = search.state;
                if state.nodes == 0 {
                    state.open = Some(state.open.map_or(*least, |open: Measure| open.min(*least)));
                }
                state.nodes = before - (before.min(NODES_A_SET) - state.nodes);
            }
            // More boxes only help where more is fed.
            if state.found.as_ref().is_some_and(|(best, _)| best.unfed == fewest_unfed) {
                break;
            }
        }
        let (measure, chosen) = state.found?;
        let bound = state.open.map_or(measure, |open| open.min(measure));
        let mut fed = Fed { chains: Vec::new(), served: Vec::new(), measure, bound };
        let mut covered = 0;
        for (candidate, led) in chosen {
            covered |= candidates[candidate].mask;
            let Led { place, exit, box_plan, route, .. } = led;
            fed.served.push(Served { chain: fed.chains.len(), place, route, exit, box_plan });
            fed.chains.push(candidates[candidate].plan.clone());
        }
        for (at, &segment) in part.segments.iter().enumerate() {
            if covered >> at & 1 == 0 {
                fed.chains.push(self.chaining.alone(segment));
            }
        }
        Some(fed)
    }

    /// Leads that the boxes of a set take together, no more than there are segments.
    fn leads_of(&self, part: &Part, set: &[usize]) -> u32 {
        let room: u32 = set.iter().map(|&at| self.boxes[part.boxes[at]].capacity).sum();
        room.min(part.segments.len() as u32)
    }

    /// Every chain of the part with its ways to the part's boxes.
    fn candidates(&self, part: &Part, single: &BTreeSet<SegmentId>) -> Option<Vec<Candidate>> {
        let position = |id: &SegmentId| part.segments.iter().position(|s| s == id);
        let plans = self.chaining.every(&part.segments, single, MOST_CHAINS)?;
        let wanted = 2 * part.segments.len() as u32;
        let mut ways: Ways = BTreeMap::new();
        let mut candidates = Vec::new();
        for plan in plans {
            let mask = plan.segments.iter().filter_map(position).fold(0u32, |mask, at| mask | 1 << at);
            let beside = self.beside_route(&plan);
            let mut led: Vec<Vec<Led>> = vec![Vec::new(); part.boxes.len()];
            for &place in &plan.feeds {
                let from = (plan.fed(place.reversed), place.end);
                let found = ways
                    .entry(from)
                    .or_insert_with(|| part.boxes.iter().map(|&at| self.ways(from, at, wanted)).collect());
                for (at, routes) in found.iter().enumerate() {
                    led[at].extend(routes.iter().map(|(exit, route)| {
                        let mut lanes: Vec<LaneId> = plan.jumpers.iter().map(|j| j.lane).collect();
                        lanes.extend(route.lanes());
                        Led {
                            place,
                            exit: *exit,
                            box_plan: part.boxes[at],
                            route: route.clone(),
                            cost: coarse(route.cost + beside),
                            crossings: route.ways.iter().filter(|w| matches!(w, Way::Cross(_))).count() as u32,
                            lanes,
                        }
                    }));
                }
            }
            for ways in &mut led {
                ways.sort_by(|a, b| {
                    (a.cost, a.crossings, a.exit, a.place.reversed, a.place.end).cmp(&(
                        b.cost,
                        b.crossings,
                        b.exit,
                        b.place.reversed,
                        b.place.end,
                    ))
                });
            }
            candidates.push(Candidate { plan, mask, led });
        }
        Some(candidates)
    }

    /// The cheapest way from an end to a box, and ways around each lane on it that `wanted` leads could overfill.
    fn ways(&self, from: (SegmentId, End), item: usize, wanted: u32) -> Vec<(usize, Route)> {
        let mut targets: BTreeMap<usize, f64> = BTreeMap::new();
        let mut exits: BTreeMap<usize, usize> = BTreeMap::new();
        for &(exit, beyond) in &self.boxes[item].exits {
            let node = self.graph.exits[exit].node;
            if targets.get(&node).is_none_or(|&known| beyond < known) {
                targets.insert(node, beyond);
                exits.insert(node, exit);
            }
        }
        let starts = self.starts(from);
        let mut found: Vec<(usize, Route)> = Vec::new();
        let mut banned: Vec<Vec<LaneId>> = vec![Vec::new()];
        while let Some(without) = banned.pop() {
            let mut used = vec![0; self.graph.lanes.len()];
            without.iter().for_each(|lane| used[lane.index()] = u32::MAX);
            let Some(route) = self.graph.route(&starts, &targets, &used) else { continue };
            let exit = exits[&route.target];
            if !found.iter().any(|(_, known)| known.ways == route.ways && known.target == route.target) {
                found.push((exit, route.clone()));
            }
            if found.len() >= MOST_WAYS {
                break;
            }
            for lane in route.lanes() {
                if self.graph.lanes[lane.index()].capacity < wanted && without.len() < 2 {
                    banned.insert(0, without.iter().copied().chain([lane]).collect());
                }
            }
        }
        found
    }
}

/// The best covers by segments left and leads left.
#[expect(clippy::disallowed_types, reason = "looked up many thousand times and never gone through")]
type Covers = std::collections::HashMap<(u32, u32), Value>;

/// The cheapest covers by chains led to one set of boxes, room in lanes and in each single box not counted.
struct Cover {
    /// By the lowest segment of a chain: the segments of the chain, and length and crossings of its cheapest lead.
    offers: Vec<Vec<(u32, i64, u32)>>,
    known: Covers,
}

impl Cover {
    fn new(candidates: &[Candidate], set: &[usize], segments: usize) -> Self {
        let mut offers: Vec<Vec<(u32, i64, u32)>> = vec![Vec::new(); segments];
        for candidate in candidates {
            let leads = set.iter().filter_map(|&b| candidate.led[b].first().map(|led| (led.cost, led.crossings)));
            let Some((cost, crossings)) = leads.min() else { continue };
            let with_lowest = &mut offers[candidate.mask.trailing_zeros() as usize];
            match with_lowest.iter_mut().find(|offer| offer.0 == candidate.mask) {
                Some(offer) => (offer.1, offer.2) = (offer.1, offer.2).min((cost, crossings)),
                None => with_lowest.push((candidate.mask, cost, crossings)),
            }
        }
        Self { offers, known: Covers::new() }
    }

    /// The cheapest cover of `left` by at most `leads` chains: segments left out, length, crossings.
    fn of(&mut self, left: u32, leads: u32) -> Value {
        if left == 0 {
            return (0, 0, 0);
        }
        // As many leads as segments are as good as any number.
        let leads = leads.min(left.count_ones());
        if let Some(known) = self.known.get(&(left, leads)) {
            return *known;
        }
        let lowest = left.trailing_zeros();
        // Nothing may lead the lowest away: it is left out.
        let (unfed, length, crossings) = self.of(left & !(1 << lowest), leads);
        let mut best = (unfed + 1, length, crossings);
        for at in 0..self.offers[lowest as usize].len() {
            let (mask, cost, over) = self.offers[lowest as usize][at];
            if leads > 0 && mask & !left == 0 {
                let (unfed, length, crossings) = self.of(left & !mask, leads - 1);
                best = best.min((unfed, length + cost, crossings + over));
            }
        }
        self.known.insert((left, leads), best);
        best
    }
}

/// What the search has left and found.
struct State {
    nodes: u32,
    found: Option<(Measure, Vec<(usize, Led)>)>,
    /// The least bound of a set given up.
    open: Option<Measure>,
}

/// Branch and bound over one set of boxes.
struct Search<'a> {
    best: &'a Best<'a>,
    candidates: &'a [Candidate],
    set: &'a [usize],
    cover: &'a Cover,
    boxes: u32,
    state: State,
}

/// What is taken on the way down.
#[derive(Clone, Default)]
struct Taken {
    lanes: BTreeMap<LaneId, u32>,
    exits: BTreeMap<usize, u32>,
    boxes: BTreeMap<usize, u32>,
    chosen: Vec<(usize, Led)>,
    value: Value,
}

impl Search<'_> {
    fn measure(&self, (unfed, length, crossings): Value) -> Measure {
        Measure { unfed, boxes: self.boxes, length, crossings }
    }

    /// The relaxed value of what is left; everything that can be left was met when the whole was covered.
    fn rest(&self, left: u32, leads: u32) -> Value {
        let nothing = (left.count_ones(), 0, 0);
        let known = || self.cover.known.get(&(left, leads.min(left.count_ones()))).copied();
        if left == 0 { (0, 0, 0) } else { known().unwrap_or(nothing) }
    }

    fn descend(&mut self, left: u32, leads: u32, taken: &mut Taken) {
        let rest = self.rest(left, leads);
        let least = self.measure((taken.value.0 + rest.0, taken.value.1 + rest.1, taken.value.2 + rest.2));
        if self.state.nodes == 0 || self.state.found.as_ref().is_some_and(|(best, _)| least >= *best) {
            return;
        }
        self.state.nodes -= 1;
        if left == 0 {
            self.state.found = Some((self.measure(taken.value), taken.chosen.clone()));
            return;
        }
        let lowest = 1u32 << left.trailing_zeros();
        let mut options: Vec<(Value, usize, &Led)> = Vec::new();
        for (at, candidate) in self.candidates.iter().enumerate() {
            if leads == 0 || candidate.mask & lowest == 0 || candidate.mask & !left != 0 {
                continue;
            }
            let rest = self.rest(left & !candidate.mask, leads - 1);
            for led in self.set.iter().flat_map(|&b| &candidate.led[b]) {
                options.push(((rest.0, rest.1 + led.cost, rest.2 + led.crossings), at, led));
            }
        }
        options.sort_by_key(|way| (way.0, way.1, way.2.box_plan, way.2.exit));
        let before = taken.value;
        for (_, at, led) in options {
            if !self.take(led, taken) {
                continue;
            }
            taken.value = (before.0, before.1 + led.cost, before.2 + led.crossings);
            taken.chosen.push((at, led.clone()));
            self.descend(left & !self.candidates[at].mask, leads - 1, taken);
            taken.chosen.pop();
            give_back(led, taken);
            taken.value = before;
        }
        taken.value = (before.0 + 1, before.1, before.2);
        self.descend(left & !lowest, leads, taken);
        taken.value = before;
    }

    /// Books a chain's lanes, exit and box, if all have room.
    fn take(&self, led: &Led, taken: &mut Taken) -> bool {
        let graph = self.best.graph;
        for &lane in &led.lanes {
            *taken.lanes.entry(lane).or_default() += 1;
        }
        *taken.exits.entry(led.exit).or_default() += 1;
        *taken.boxes.entry(led.box_plan).or_default() += 1;
        let full = matches!(graph.exits[led.exit].kind, ExitKind::Hole(most) if taken.exits[&led.exit] > most);
        let fits = !full
            && taken.boxes[&led.box_plan] <= self.best.boxes[led.box_plan].capacity
            && led.lanes.iter().all(|lane| taken.lanes[lane] <= graph.lanes[lane.index()].capacity);
        if !fits {
            give_back(led, taken);
        }
        fits
    }
}

fn give_back(led: &Led, taken: &mut Taken) {
    for lane in &led.lanes {
        *taken.lanes.entry(*lane).or_default() -= 1;
    }
    *taken.exits.entry(led.exit).or_default() -= 1;
    *taken.boxes.entry(led.box_plan).or_default() -= 1;
}

/// Sets that grow together.
pub(super) struct Groups(Vec<usize>);

impl Groups {
    pub(super) fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    pub(super) fn of(&mut self, mut at: usize) -> usize {
        while self.0[at] != at {
            self.0[at] = self.0[self.0[at]];
            at = self.0[at];
        }
        at
    }

    pub(super) fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.of(a), self.of(b));
        self.0[a.max(b)] = a.min(b);
    }
}

//! What no way of feeding a large part goes below, and the chains that come nearest to it.
//!
//! The part falls into stacks of segments that a chain may join. For a set of boxes each stack is covered by chains the cheapest way by dynamic
//! programming over sets of segments left, every chain led to its cheapest box as if lanes and holes had room for all. That is the relaxation. What
//! boxes can take is brought in by a price on each box's leads (Lagrangian relaxation, the prices found by subgradient steps): with any prices the
//! priced optimum less the price of all room is a bound, so rounding and the count of steps cost sharpness only.
//!
//! # Source
//! M. L. Fisher, "The Lagrangian relaxation method for solving integer programming problems", Management Science 27 (1981), from memory.

use super::chains::{ChainPlan, Chaining, FeedPlace};
use super::graph::{Graph, Start, WaysTo};
use super::optimum::{Best, Part};
use super::sizes::coarse;
use crate::index::SegmentId;
use std::collections::{BTreeMap, BTreeSet};

/// Segments of a part that is looked at as a whole.
const MOST_SEGMENTS: usize = 120;
/// Chains of one part.
const MOST_CHAINS: usize = 6000;
/// Sets of segments left that one cover may meet.
const MOST_STATES: usize = 4000;
/// Steps of the prices.
const STEPS: u32 = 12;

/// Segments no chain can feed, and the cost of the others.
pub(super) type Cost = (u32, i64);

/// Segments that chains may join, with these chains by their lowest segment.
struct Stack {
    count: usize,
    by_lowest: Vec<Vec<(u128, usize)>>,
}

/// Every chain of a part with its cost to every box.
pub(super) struct Cover {
    pub plans: Vec<ChainPlan>,
    /// By chain and position among the part's boxes: thousandths of an inch from the box to the chain, jumpers and make-up included.
    costs: Vec<Vec<Option<i64>>>,
    pub ways: Vec<WaysTo>,
    pub beside: Vec<f64>,
    stacks: Vec<Stack>,
    /// Leads each box takes.
    room: Vec<u32>,
}

/// Starts of a chain's ways, each with the place it is fed at.
pub(super) fn starts(graph: &Graph, plan: &ChainPlan) -> (Vec<Start>, Vec<FeedPlace>) {
    let mut starts = Vec::new();
    let mut places = Vec::new();
    for &place in &plan.feeds {
        for a in graph.ends.get(&(plan.fed(place.reversed), place.end)).into_iter().flatten() {
            starts.push(Start { node: a.node, lane: a.lane, cost: a.stub });
            places.push(place);
        }
    }
    (starts, places)
}

impl Cover {
    /// None when the part is too large to be looked at as a whole.
    pub(super) fn of(best: &Best, part: &Part, single: &BTreeSet<SegmentId>) -> Option<Self> {
        if part.segments.len() > MOST_SEGMENTS {
            return None;
        }
        let graph = best.graph;
        let plans = every(best.chaining, best, part, single)?;
        let ways: Vec<WaysTo> = part
            .boxes
            .iter()
            .map(|&at| {
                let mut targets: BTreeMap<usize, f64> = BTreeMap::new();
                for &(exit, beyond) in &best.boxes[at].exits {
                    let known = targets.entry(graph.exits[exit].node).or_insert(beyond);
                    *known = known.min(beyond);
                }
                graph.ways_to(&targets)
            })
            .collect();
        let beside: Vec<f64> = plans.iter().map(|plan| best.beside_route(plan)).collect();
        let costs = plans
            .iter()
            .zip(&beside)
            .map(|(plan, beside)| {
                let (starts, _) = starts(graph, plan);
                let starts: Vec<Start> =
                    starts.into_iter().filter(|s| graph.lanes[s.lane.index()].capacity > 0).collect();
                let cheapest =
                    |ways: &WaysTo| starts.iter().filter_map(|s| Some(s.cost + ways.cost(s.node)?)).reduce(f64::min);
                ways.iter().map(|ways| cheapest(ways).map(|cost| coarse(cost + beside))).collect()
            })
            .collect();
        let stacks = stacks(part, &plans);
        let room = part.boxes.iter().map(|&at| best.boxes[at].capacity).collect();
        Some(Self { plans, costs, ways, beside, stacks, room })
    }

    pub(super) fn cost(&self, plan: usize, item: usize) -> Option<i64> {
        self.costs[plan][item]
    }

    /// The cheapest chains where a chain costs what `price` says, and what they come to. None when a stack has too many ways.
    fn cover(&self, price: &dyn Fn(usize) -> Option<i64>) -> Option<(Cost, Vec<usize>)> {
        let mut total = (0, 0);
        let mut chosen = Vec::new();
        for stack in &self.stacks {
            let all = if stack.count == 128 { u128::MAX } else { (1u128 << stack.count) - 1 };
            let mut known: BTreeMap<u128, (Cost, Option<(u128, usize)>)> = BTreeMap::new();
            let priced: Vec<Vec<(u128, usize, i64)>> = stack
                .by_lowest
                .iter()
                .map(|chains| chains.iter().filter_map(|&(mask, plan)| Some((mask, plan, price(plan)?))).collect())
                .collect();
            let (unfed, cost) = least(&priced, all, &mut known)?;
            total = (total.0 + unfed, total.1 + cost);
            let mut left = all;
            while left != 0 {
                match known[&left].1 {
                    Some((mask, plan)) => {
                        chosen.push(plan);
                        left &= !mask;
                    }
                    None => left &= left - 1,
                }
            }
        }
        chosen.sort_unstable();
        Some((total, chosen))
    }

    /// The fewest chains that feed as many segments as can be fed at all, and the segments that cannot.
    pub(super) fn fewest_chains(&self) -> Option<Cost> {
        let (cost, _) = self.cover(&|plan| self.costs[plan].iter().flatten().next().map(|_| 1))?;
        Some(cost)
    }

    fn cheapest(&self, plan: usize, set: &[usize]) -> Option<i64> {
        set.iter().filter_map(|&item| self.costs[plan][item]).min()
    }

    /// The least cost from the boxes of `set`, as if each took any number of leads, and the chains.
    pub(super) fn unlimited(&self, set: &[usize]) -> Option<(Cost, Vec<usize>)> {
        self.cover(&|plan| self.cheapest(plan, set))
    }

    /// The fewest chains, and of such covers the cheapest.
    pub(super) fn fewest(&self, set: &[usize]) -> Option<(Cost, Vec<usize>)> {
        // Dearer than any lead of a part.
        const CHAIN: i64 = 1 << 40;
        self.cover(&|plan| self.cheapest(plan, set).map(|cost| cost + CHAIN))
    }

    /// A bound on the cost from the boxes of `set` with the room they have, and the chains at the best prices. `worth` is what a way of feeding is
    /// known to cost.
    pub(super) fn limited(&self, set: &[usize], worth: i64) -> Option<(Cost, Vec<usize>)> {
        let mut prices = vec![0i64; set.len()];
        let mut best: Option<(Cost, Vec<usize>)> = None;
        let mut pace = 1.0;
        let mut since = 0;
        for _ in 0..STEPS {
            let way = |plan: usize| {
                let priced = set.iter().zip(&prices).enumerate();
                let priced = priced.filter_map(|(at, (&item, price))| Some((self.costs[plan][item]? + price, at)));
                priced.min()
            };
            let ((unfed, cost), chosen) = self.cover(&|plan| way(plan).map(|(cost, _)| cost))?;
            let mut over: Vec<i64> = set.iter().map(|&item| -i64::from(self.room[item])).collect();
            chosen.iter().filter_map(|&plan| way(plan)).for_each(|(_, at)| over[at] += 1);
            let paid: i64 = set.iter().zip(&prices).map(|(&item, price)| price * i64::from(self.room[item])).sum();
            let bound = (unfed, cost - paid);
            since += 1;
            if best.as_ref().is_none_or(|(known, _)| bound > *known) {
                best = Some((bound, chosen));
                since = 0;
            }
            let settled = over.iter().zip(&prices).all(|(&over, &price)| over <= 0 && (over == 0 || price == 0));
            if settled {
                break;
            }
            if since > 2 {
                pace *= 0.5;
                since = 0;
            }
            let square: i64 = over.iter().zip(&prices).filter(|(o, p)| **o > 0 || **p > 0).map(|(o, _)| o * o).sum();
            let step = pace * (worth - bound.1).max(1000) as f64 / square.max(1) as f64;
            for (price, over) in prices.iter_mut().zip(&over) {
                *price = (*price + (step * *over as f64) as i64).max(0);
            }
        }
        best
    }
}

/// The least cost of what is left, each segment in one chain or in none.
fn least(
    chains: &[Vec<(u128, usize, i64)>],
    left: u128,
    known: &mut BTreeMap<u128, (Cost, Option<(u128, usize)>)>,
) -> Option<Cost> {
    if left == 0 {
        return Some((0, 0));
    }
    if let Some((cost, _)) = known.get(&left) {
        return Some(*cost);
    }
    if known.len() > MOST_STATES {
        return None;
    }
    let mut best: Option<(Cost, Option<(u128, usize)>)> = None;
    for &(mask, plan, price) in &chains[left.trailing_zeros() as usize] {
        if mask & !left != 0 {
            continue;
        }
        let (unfed, cost) = least(chains, left & !mask, known)?;
        if best.is_none_or(|(known, _)| (unfed, cost + price) < known) {
            best = Some(((unfed, cost + price), Some((mask, plan))));
        }
    }
    // A segment that may stay cold is looked at only where no chain feeds all: one cold is worse than any cost.
    if best.is_none_or(|((unfed, _), _)| unfed > 0) {
        let (unfed, cost) = least(chains, left & (left - 1), known)?;
        if best.is_none_or(|(known, _)| (unfed + 1, cost) < known) {
            best = Some(((unfed + 1, cost), None));
        }
    }
    let best = best?;
    known.insert(left, best);
    Some(best.0)
}

/// Every chain of the part; jumpers stay on one face, so faces are gone through one by one.
fn every(chaining: &Chaining, best: &Best, part: &Part, single: &BTreeSet<SegmentId>) -> Option<Vec<ChainPlan>> {
    let mut faces: BTreeMap<crate::index::FaceId, Vec<SegmentId>> = BTreeMap::new();
    for &id in &part.segments {
        faces.entry(best.courses.segments[id.index()].face).or_default().push(id);
    }
    let mut plans = Vec::new();
    for segments in faces.into_values() {
        plans.extend(chaining.every(&segments, single, MOST_CHAINS)?);
        if plans.len() > MOST_CHAINS {
            return None;
        }
    }
    Some(plans)
}

/// Segments that some chain joins, with what may be laid on them.
fn stacks(part: &Part, plans: &[ChainPlan]) -> Vec<Stack> {
    let position: BTreeMap<SegmentId, usize> = part.segments.iter().enumerate().map(|(at, &id)| (id, at)).collect();
    let mut groups = super::optimum::Groups::new(part.segments.len());
    for plan in plans {
        plan.segments.windows(2).for_each(|pair| groups.join(position[&pair[0]], position[&pair[1]]));
    }
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for at in 0..part.segments.len() {
        members.entry(groups.of(at)).or_default().push(at);
    }
    let mut place = vec![(0, 0); part.segments.len()];
    let mut stacks: Vec<Stack> = Vec::new();
    for members in members.into_values() {
        for (bit, &at) in members.iter().enumerate() {
            place[at] = (stacks.len(), bit);
        }
        stacks.push(Stack { count: members.len(), by_lowest: vec![Vec::new(); members.len()] });
    }
    for (number, plan) in plans.iter().enumerate() {
        let bits = plan.segments.iter().map(|id| place[position[id]]);
        let mask = bits.clone().fold(0u128, |mask, (_, bit)| mask | 1 << bit);
        let stack = &mut stacks[place[position[&plan.segments[0]]].0];
        stack.by_lowest[mask.trailing_zeros() as usize].push((mask, number));
    }
    stacks
}

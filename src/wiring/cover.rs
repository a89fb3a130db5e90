//! What no way of feeding a large part goes below, and the chains that come nearest to it.
//!
//! The part falls into stacks of segments that a chain may join. For a set of boxes each stack is covered by chains the cheapest way by dynamic
//! programming over sets of segments left, every chain led to its cheapest box as if lanes and boxes had room for all. That is the relaxation. The
//! room they have is brought in by a price on each lane and on each box's leads (Lagrangian relaxation, the prices found by subgradient steps): with
//! any prices the priced optimum less the price of all room is a bound, so rounding and the count of steps cost sharpness only. Where only some boxes
//! of the set may be open, each segment also pays for being fed from a box: no box feeds it more than once open, and not at all shut, so the sum of
//! what is paid to the dearest boxes is taken off.
//!
//! # Source
//! M. L. Fisher, "The Lagrangian relaxation method for solving integer programming problems", Management Science 27 (1981); that a step keeps part of
//! the way before it: P. M. Camerini, L. Fratta and F. Maffioli, "On improving relaxation methods by modified gradient techniques", Mathematical
//! Programming Study 3 (1975); both from memory.

use super::chains::{ChainPlan, FeedPlace};
use super::graph::{Graph, Route, Start};
use super::network::{Network, Priced};
use super::optimum::{Best, Part};
use super::sizes::fine;
use crate::index::{FaceId, SegmentId};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Segments of a part that is looked at as a whole.
const MOST_SEGMENTS: usize = 400;
/// Segments of one stack.
const MOST_STACKED: usize = 120;
/// Chains of one part.
const MOST_CHAINS: usize = 6000;
/// Sets of segments left that one cover may meet.
const MOST_STATES: usize = 4000;
/// How much of the last step's way the next keeps.
const HEADING: f64 = 0.7;
/// What a set costs is taken to be so much of its bound above it.
const ABOVE: f64 = 0.5;
/// The same where boxes are chosen too: then prices come in by each segment and box, and which boxes are open changes from step to step.
const CHOICE_HEADING: f64 = 0.9;
const CHOICE_ABOVE: f64 = 1.5;
/// Prices whose chains are led away, and sets of boxes that are open under the best prices.
const MOST_KEPT: usize = 3;
const MOST_CHOICES: usize = 8;
/// The step of the prices is halved after one part in so many of all steps without a better bound.
const PATIENCE: u32 = 15;

/// Segments no chain can feed, the cost of the others in millionths of an inch, and a number by which equal covers are told apart.
pub(super) type Cost = (u32, i64, i64);

/// The best cover of each set of segments left, with the chain it begins with: mask and number.
type Known = BTreeMap<u128, (Cost, Option<(u128, usize)>)>;

/// Segments that chains may join, with these chains by their lowest segment.
struct Stack {
    segments: Vec<SegmentId>,
    by_lowest: Vec<Vec<(u128, usize)>>,
}

/// The fewest chains of a stack.
pub(super) struct Fewest {
    pub segments: Vec<SegmentId>,
    pub chains: u32,
    /// The most jumpers: those of the fewest chains.
    pub jumpers: u32,
}

/// Where a chain's way may begin.
struct Begin {
    place: FeedPlace,
    start: Start,
    state: usize,
}

/// Every chain of a part with its cost to every box.
pub(super) struct Cover {
    pub plans: Vec<ChainPlan>,
    pub net: Network,
    begins: Vec<Vec<Begin>>,
    /// Jumpers and make-up of each chain, millionths of an inch.
    beside: Vec<i64>,
    /// What tells a chain from others alike, however the roof is mirrored: of courses and lengths alone.
    mark: Vec<i64>,
    /// Lanes of each chain's jumpers, by number in the network.
    jumpers: Vec<Vec<usize>>,
    /// Segments of each chain, by position in the part.
    members: Vec<Vec<usize>>,
    stacks: Vec<Stack>,
    /// Leads each box takes.
    room: Vec<u32>,
    /// How many segments the part has.
    segments: usize,
    /// Ways to each box where no lane has a price, and what a chain costs then: jumpers and make-up included.
    free: Vec<Priced>,
    costs: Vec<Vec<Option<i64>>>,
    /// No way of feeding the part costs more.
    ceiling: i64,
}

/// What a set of boxes costs at least when none of its ways of feeding has room.
pub(super) const NO_ROOM: i64 = i64::MAX;

/// Prices with the chains that are cheapest under them.
#[derive(Clone)]
pub(super) struct Prices {
    pub chains: Vec<usize>,
    /// Boxes that stand open, by position in the part.
    pub open: Vec<usize>,
    /// By lane of the network, millionths of an inch.
    lanes: Vec<i64>,
    /// By box of the set, for a lead.
    boxes: Vec<i64>,
    /// By segment of the part and box of the set, for the segment's being fed from there; empty where all boxes of the set may be open.
    shares: Vec<i64>,
}

/// What is cheapest under prices.
struct Step {
    bound: Cost,
    chains: Vec<usize>,
    /// Boxes that are open, by position in the set.
    open: Vec<usize>,
    /// What the chains take of each lane, box and share above what there is.
    over: Vec<i64>,
}

/// What chains cost under prices.
pub(super) struct PricedWays<'a> {
    prices: &'a Prices,
    set: &'a [usize],
    ways: Vec<Priced>,
}

/// A chain's way to a box: its price, the box by position in the set, where it begins.
#[derive(Clone, Copy)]
pub(super) struct Offer {
    pub price: i64,
    pub at: usize,
    begin: usize,
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
        let plans = every(best, part, single)?;
        let net = Network::new(best, part);
        let begins: Vec<Vec<Begin>> = plans
            .iter()
            .map(|plan| {
                let (starts, places) = starts(best.graph, plan);
                let known = starts.into_iter().zip(places);
                known.filter_map(|(start, place)| Some(Begin { place, state: net.start(&start)?, start })).collect()
            })
            .collect();
        let nothing = vec![0; net.lanes.len()];
        let free: Vec<Priced> = (0..part.boxes.len()).map(|item| net.ways_to(item, &nothing)).collect();
        let beside: Vec<i64> = plans.iter().map(|plan| fine(best.beside_route(plan))).collect();
        let mark = plans
            .iter()
            .map(|plan| {
                let of = |id: &SegmentId| {
                    let segment = &best.courses.segments[id.index()];
                    (1 + i64::from(segment.course)).pow(3) * (8.0 * segment.cut_length).round() as i64
                };
                plan.segments.len() as i64 * plan.segments.iter().map(of).sum::<i64>()
            })
            .collect();
        let jumpers = plans.iter().map(|p| p.jumpers.iter().filter_map(|j| net.lane(j.lane)).collect()).collect();
        let position: BTreeMap<SegmentId, usize> = part.segments.iter().enumerate().map(|(at, &id)| (id, at)).collect();
        let members: Vec<Vec<usize>> =
            plans.iter().map(|plan| plan.segments.iter().map(|id| position[id]).collect()).collect();
        let stacks = stacks(part, &members)?;
        let room = part.boxes.iter().map(|&at| best.boxes[at].capacity).collect();
        let mut cover = Self {
            plans,
            net,
            begins,
            beside,
            mark,
            jumpers,
            members,
            stacks,
            room,
            segments: part.segments.len(),
            free,
            costs: Vec::new(),
            ceiling: 0,
        };
        cover.costs = (0..cover.plans.len())
            .map(|plan| {
                let to = |ways: &Priced| cover.cheapest_begin(plan, ways).map(|(cost, _)| cost + cover.beside[plan]);
                cover.free.iter().map(to).collect()
            })
            .collect();
        let begun = cover.begins.iter().flatten().map(|begin| fine(begin.start.cost)).max().unwrap_or(0);
        let dearest = cover.net.longest_way() + begun + cover.beside.iter().max().unwrap_or(&0);
        cover.ceiling = dearest * part.segments.len() as i64;
        Some(cover)
    }

    /// The cheapest way under some prices, its jumpers and make-up left out.
    fn cheapest_begin(&self, plan: usize, ways: &Priced) -> Option<(i64, usize)> {
        let mut best: Option<(i64, usize)> = None;
        for (at, begin) in self.begins[plan].iter().enumerate() {
            if let Some(cost) = ways.cost(begin.state).map(|cost| cost + fine(begin.start.cost))
                && best.is_none_or(|(known, _)| cost < known)
            {
                best = Some((cost, at));
            }
        }
        best
    }

    /// What a chain costs from a box when nothing is full, millionths of an inch.
    pub(super) fn cost(&self, plan: usize, item: usize) -> Option<i64> {
        self.costs[plan][item]
    }

    /// By what chains are ordered where nothing else tells: of courses and lengths, then of ways, and only then by number.
    pub(super) fn order(&self, plan: usize) -> (i64, i64, usize) {
        (self.mark[plan], self.costs[plan].iter().flatten().sum(), plan)
    }

    /// A route's cost with the chain's jumpers and make-up.
    pub(super) fn whole(&self, plan: usize, route: &Route) -> i64 {
        fine(route.cost) + self.beside[plan]
    }

    /// The way of that cost, and where the chain is fed.
    pub(super) fn free_route(&self, plan: usize, item: usize) -> Option<(Route, FeedPlace)> {
        let (_, begin) = self.cheapest_begin(plan, &self.free[item])?;
        let Begin { place, start, .. } = &self.begins[plan][begin];
        Some((self.net.route(&self.free[item], begin, start, item)?, *place))
    }

    /// Ways under prices.
    pub(super) fn under<'a>(&self, set: &'a [usize], prices: &'a Prices) -> PricedWays<'a> {
        PricedWays { prices, set, ways: set.iter().map(|&item| self.net.ways_to(item, &prices.lanes)).collect() }
    }

    /// What every box of the set asks for a chain, the cheapest first.
    pub(super) fn offers(&self, plan: usize, ways: &PricedWays) -> Vec<Offer> {
        let mut offers: Vec<Offer> = self.asked(plan, ways).collect();
        offers.sort_by_key(|offer| (offer.price, offer.at));
        offers
    }

    /// The same in the order of the set.
    fn asked<'a>(&'a self, plan: usize, ways: &'a PricedWays) -> impl Iterator<Item = Offer> + 'a {
        let beside = self.beside[plan] + self.jumpers[plan].iter().map(|&lane| ways.prices.lanes[lane]).sum::<i64>();
        ways.ways.iter().enumerate().filter_map(move |(at, way)| {
            let (cost, begin) = self.cheapest_begin(plan, way)?;
            let share = |&segment: &usize| ways.prices.shares.get(segment * ways.set.len() + at);
            let shares: i64 = self.members[plan].iter().filter_map(share).sum();
            Some(Offer { price: cost + beside + ways.prices.boxes[at] + shares, at, begin })
        })
    }

    /// The way an offer is for.
    pub(super) fn priced_route(&self, plan: usize, ways: &PricedWays, offer: Offer) -> Option<(Route, FeedPlace)> {
        let Begin { place, start, .. } = &self.begins[plan][offer.begin];
        let route = self.net.route(&ways.ways[offer.at], offer.begin, start, ways.set[offer.at])?;
        Some((route, *place))
    }

    /// The cheapest chains where a chain costs what `price` says, and what they come to. None when a stack has too many ways.
    fn cover(&self, price: &dyn Fn(usize) -> Option<i64>) -> Option<(Cost, Vec<usize>)> {
        let mut total = (0, 0, 0);
        let mut chosen = Vec::new();
        for stack in &self.stacks {
            let (unfed, cost, mark) = self.cover_stack(stack, price, &mut chosen)?;
            total = (total.0 + unfed, total.1 + cost, total.2 + mark);
        }
        chosen.sort_unstable();
        Some((total, chosen))
    }

    fn cover_stack(
        &self,
        stack: &Stack,
        price: &dyn Fn(usize) -> Option<i64>,
        chosen: &mut Vec<usize>,
    ) -> Option<Cost> {
        let all = (1u128 << stack.segments.len()) - 1;
        let mut known = Known::new();
        let priced: Vec<Vec<(u128, usize, i64, i64)>> = stack
            .by_lowest
            .iter()
            .map(|chains| {
                chains.iter().filter_map(|&(mask, plan)| Some((mask, plan, price(plan)?, self.mark[plan]))).collect()
            })
            .collect();
        let cost = least(&priced, all, &mut known)?;
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
        Some(cost)
    }

    /// The segments that cannot be fed, and by stack its segments, the fewest chains that feed the others, and the most jumpers there may be then.
    pub(super) fn fewest_chains(&self) -> Option<(u32, Vec<Fewest>)> {
        let one = |plan: usize| self.costs[plan].iter().flatten().next().map(|_| 1);
        let mut cold = 0;
        let mut found = Vec::new();
        for stack in &self.stacks {
            let (unfed, chains, _) = self.cover_stack(stack, &one, &mut Vec::new())?;
            cold += unfed;
            let fed = stack.segments.len() as u32 - unfed;
            let chains = chains as u32;
            found.push(Fewest { segments: stack.segments.clone(), chains, jumpers: fed - chains });
        }
        Some((cold, found))
    }

    fn cheapest(&self, plan: usize, set: &[usize]) -> Option<i64> {
        set.iter().filter_map(|&item| self.costs[plan][item]).min()
    }

    /// The least cost from the boxes of `set`, as if lanes and boxes took any number of leads.
    pub(super) fn unlimited(&self, set: &[usize]) -> Option<Cost> {
        Some(self.cover(&|plan| self.cheapest(plan, set))?.0)
    }

    /// The fewest chains, and of such covers the cheapest.
    pub(super) fn fewest(&self, set: &[usize]) -> Option<Prices> {
        // Dearer than any lead of a part.
        const CHAIN: i64 = 1 << 50;
        let (_, chains) = self.cover(&|plan| self.cheapest(plan, set).map(|cost| cost + CHAIN))?;
        Some(Prices { chains, open: set.to_vec(), ..self.no_prices(set) })
    }

    fn no_prices(&self, set: &[usize]) -> Prices {
        let (lanes, boxes) = (vec![0; self.net.lanes.len()], vec![0; set.len()]);
        Prices { chains: Vec::new(), open: Vec::new(), lanes, boxes, shares: Vec::new() }
    }

    /// A bound on the cost from no more than `open` boxes of `set`, with the room they and the lanes have, and the prices of the best steps with their
    /// chains and boxes, the best first. `worth` is what such a way of feeding is known to cost, if one is; the search for prices ends when the bound comes up
    /// to it. `NO_ROOM` where so many boxes cannot feed as much as could be fed with room for all.
    pub(super) fn limited(
        &self,
        set: &[usize],
        open: usize,
        worth: Option<i64>,
        steps: u32,
    ) -> Option<(Cost, Vec<Prices>)> {
        let mut now = self.no_prices(set);
        let choose = open < set.len();
        if choose {
            now.shares = vec![0; self.segments * set.len()];
        }
        let (keep, above) = if choose { (CHOICE_HEADING, CHOICE_ABOVE) } else { (HEADING, ABOVE) };
        let mut best: Option<Cost> = None;
        let mut kept: Vec<Prices> = Vec::new();
        let (mut pace, mut since) = (1.0, 0);
        // Where prices go next: each step keeps some of the way of those before, which are less often taken back.
        let mut heading = vec![0.0; now.lanes.len() + now.boxes.len() + now.shares.len()];
        for _ in 0..steps {
            let Step { bound, chains, open, over } = self.step(set, open, &now)?;
            if bound.1 > self.ceiling {
                return Some(((bound.0, NO_ROOM, bound.2), kept));
            }
            now.chains = chains;
            now.open = open.into_iter().map(|at| set[at]).collect();
            now.open.sort_unstable();
            since += 1;
            if best.is_none_or(|known| bound > known) {
                (best, since) = (Some(bound), 0);
                if choose {
                    kept.retain(|before| before.open != now.open);
                }
                kept.insert(0, now.clone());
                kept.truncate(if choose { MOST_CHOICES } else { MOST_KEPT });
            }
            let Prices { lanes, boxes, shares, .. } = &mut now;
            let prices = || lanes.iter().chain(&*boxes).chain(&*shares);
            let settled = over.iter().zip(prices()).all(|(&over, &price)| over <= 0 && (over == 0 || price == 0));
            if settled || best.is_some_and(|known| worth.is_some_and(|worth| known.1 >= worth)) {
                break;
            }
            if since > steps / PATIENCE {
                (pace, since) = (0.5 * pace, 0);
            }
            for (to, (over, price)) in heading.iter_mut().zip(over.iter().zip(prices())) {
                *to = keep * *to + if *over > 0 || *price > 0 { *over as f64 } else { 0.0 };
            }
            let square: f64 = heading.iter().map(|to| to * to).sum();
            // Not knowing what the set costs, it is taken to be so much more than the bound.
            let aim = worth.unwrap_or_else(|| bound.1 + (above * best.map_or(bound.1, |known| known.1) as f64) as i64);
            let step = pace * (aim - bound.1).max(1_000_000) as f64 / square.max(1.0);
            for (price, to) in lanes.iter_mut().chain(boxes).chain(shares).zip(&heading) {
                *price = (*price + (step * to) as i64).max(0);
            }
        }
        Some((best?, kept))
    }

    /// The cheapest chains under prices, and the boxes that are then worth most open: a shut one has no room and feeds no segment.
    fn step(&self, set: &[usize], open: usize, now: &Prices) -> Option<Step> {
        let ways = self.under(set, now);
        let cheapest: Vec<Option<Offer>> = (0..self.plans.len())
            .map(|plan| self.asked(plan, &ways).min_by_key(|offer| (offer.price, offer.at)))
            .collect();
        let (cost, chains) = self.cover(&|plan| cheapest[plan].map(|offer| offer.price))?;
        let mut lanes: Vec<i64> = self.net.capacity.iter().map(|&room| -i64::from(room)).collect();
        let mut wanted = vec![0; set.len()];
        let mut shares = vec![0; now.shares.len()];
        for &plan in &chains {
            let Some(offer) = cheapest[plan] else { continue };
            wanted[offer.at] += 1;
            self.jumpers[plan].iter().for_each(|&lane| lanes[lane] += 1);
            let (route, _) = self.priced_route(plan, &ways, offer)?;
            route.lanes().into_iter().filter_map(|lane| self.net.lane(lane)).for_each(|lane| lanes[lane] += 1);
            for &segment in &self.members[plan] {
                shares.get_mut(segment * set.len() + offer.at).into_iter().for_each(|share| *share += 1);
            }
        }
        let worth: Vec<i64> = (0..set.len())
            .map(|at| {
                let shares = now.shares.iter().skip(at).step_by(set.len());
                now.boxes[at] * i64::from(self.room[set[at]]) + shares.sum::<i64>()
            })
            .collect();
        let mut dearest: Vec<usize> = (0..set.len()).collect();
        dearest.sort_by_key(|&at| Reverse((worth[at], wanted[at])));
        dearest.truncate(open);
        let paid = dearest.iter().map(|&at| worth[at]).sum::<i64>()
            + now.lanes.iter().zip(&self.net.capacity).map(|(price, &room)| price * i64::from(room)).sum::<i64>();
        for &at in &dearest {
            wanted[at] -= i64::from(self.room[set[at]]);
            shares.iter_mut().skip(at).step_by(set.len()).for_each(|share| *share -= 1);
        }
        let over = lanes.into_iter().chain(wanted).chain(shares).collect();
        Some(Step { bound: (cost.0, cost.1 - paid, cost.2), chains, open: dearest, over })
    }
}

/// The least cost of what is left, each segment in one chain or in none.
fn least(chains: &[Vec<(u128, usize, i64, i64)>], left: u128, known: &mut Known) -> Option<Cost> {
    if left == 0 {
        return Some((0, 0, 0));
    }
    if let Some((cost, _)) = known.get(&left) {
        return Some(*cost);
    }
    if known.len() > MOST_STATES {
        return None;
    }
    let mut best: Option<(Cost, Option<(u128, usize)>)> = None;
    for &(mask, plan, price, mark) in &chains[left.trailing_zeros() as usize] {
        if mask & !left != 0 {
            continue;
        }
        let (unfed, cost, marks) = least(chains, left & !mask, known)?;
        let whole = (unfed, cost + price, marks + mark);
        if best.is_none_or(|(known, _)| whole < known) {
            best = Some((whole, Some((mask, plan))));
        }
    }
    // A segment that may stay cold is looked at only where no chain feeds all: one cold is worse than any cost.
    if best.is_none_or(|((unfed, ..), _)| unfed > 0) {
        let (unfed, cost, marks) = least(chains, left & (left - 1), known)?;
        if best.is_none_or(|(known, _)| (unfed + 1, cost, marks) < known) {
            best = Some(((unfed + 1, cost, marks), None));
        }
    }
    let best = best?;
    known.insert(left, best);
    Some(best.0)
}

/// Every chain of the part; jumpers stay on one face, so faces are gone through one by one.
fn every(best: &Best, part: &Part, single: &BTreeSet<SegmentId>) -> Option<Vec<ChainPlan>> {
    let mut faces: BTreeMap<FaceId, Vec<SegmentId>> = BTreeMap::new();
    for &id in &part.segments {
        faces.entry(best.courses.segments[id.index()].face).or_default().push(id);
    }
    let mut plans = Vec::new();
    for segments in faces.into_values() {
        plans.extend(best.chaining.every(&segments, single, MOST_CHAINS)?);
        if plans.len() > MOST_CHAINS {
            return None;
        }
    }
    Some(plans)
}

/// Segments that some chain joins, with what may be laid on them; none when one holds too many.
fn stacks(part: &Part, chains: &[Vec<usize>]) -> Option<Vec<Stack>> {
    let mut groups = super::optimum::Groups::new(part.segments.len());
    for chain in chains {
        chain.windows(2).for_each(|pair| groups.join(pair[0], pair[1]));
    }
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for at in 0..part.segments.len() {
        members.entry(groups.of(at)).or_default().push(at);
    }
    if members.values().any(|members| members.len() > MOST_STACKED) {
        return None;
    }
    let mut place = vec![(0, 0); part.segments.len()];
    let mut stacks: Vec<Stack> = Vec::new();
    for members in members.into_values() {
        for (bit, &at) in members.iter().enumerate() {
            place[at] = (stacks.len(), bit);
        }
        let segments = members.iter().map(|&at| part.segments[at]).collect();
        stacks.push(Stack { segments, by_lowest: vec![Vec::new(); members.len()] });
    }
    for (number, chain) in chains.iter().enumerate() {
        let mask = chain.iter().fold(0u128, |mask, &segment| mask | 1 << place[segment].1);
        let stack = &mut stacks[place[chain[0]].0];
        stack.by_lowest[mask.trailing_zeros() as usize].push((mask, number));
    }
    Some(stacks)
}

//! Parts too large to be fed by trying every way: sets of boxes are weighed by their bounds, and chains led to the best of them by local search.
//!
//! Sets of boxes are taken from few to many. A set is passed over when its boxes or the lanes before them hold fewer leads than chains are needed
//! (a flow through the lanes, `flow.rs`), or when its bound on the lead (`cover.rs`) is no better than what is found. In a set the chains of the
//! bound are led away, those first that lose most where their nearest box is full; then single leads are moved and pairs of leads exchanged
//! between boxes while that saves lead. Budgets are counts, so every machine finds the same.

use super::assign::Served;
use super::chains::FeedPlace;
use super::cover::{Cover, Prices, starts};
use super::flow::Flow;
use super::graph::{ExitKind, Route, Way};
use super::optimum::{Best, Fed, Measure, Part};
use super::sizes::coarse;
use crate::index::SegmentId;
use std::collections::{BTreeMap, BTreeSet};

/// Sets of boxes of one size that are gone through.
const MOST_SETS: usize = 500;
/// Sets of one size in which chains are led away.
const MOST_TRIED: usize = 24;
/// Boxes that are tried to be closed at a time, where there are too many sets.
const MOST_CLOSED: usize = 6;
/// Sets of one size whose room is priced.
const MOST_PRICED: usize = 40;
/// Millionths of an inch in a thousandth.
const THOUSANDTH: i64 = 1000;
/// Steps of the prices.
const STEPS: u32 = 30;
/// Rounds of moves and exchanges.
const ROUNDS: u32 = 3;

/// What is looked for in one part.
pub(super) struct Larger<'a> {
    pub best: &'a Best<'a>,
    pub part: &'a Part,
    pub single: &'a BTreeSet<SegmentId>,
    /// Boxes that the part is fed from so far.
    pub used: &'a BTreeSet<usize>,
}

/// A way of feeding all that can be fed.
struct Led {
    measure: Measure,
    served: Vec<(usize, Served)>,
}

/// What leads take so far.
struct Taken {
    lanes: Vec<u32>,
    exits: BTreeMap<usize, u32>,
    boxes: Vec<u32>,
}

/// A chain's way to a box by position.
#[derive(Clone)]
struct ChainWay {
    item: usize,
    served: Served,
    cost: i64,
}

impl Larger<'_> {
    /// A way of feeding better than `known`, if one is found, and what none goes below. None when the part is too large for both.
    pub(super) fn feed(&self, known: Measure) -> Option<(Option<Fed>, Measure)> {
        let cover = Cover::of(self.best, self.part, self.single)?;
        let (unfed, stacks) = cover.fewest_chains()?;
        let chains: u32 = stacks.iter().map(|stack| stack.chains).sum();
        let fed = self.part.segments.len() as u32 - unfed;
        let open: Vec<usize> = (0..self.part.boxes.len()).filter(|&at| self.is_open(at)).collect();
        let shut: Vec<usize> = (0..self.part.boxes.len()).filter(|&at| !self.is_open(at)).collect();
        let every: Vec<usize> = (0..self.part.boxes.len()).collect();
        let mut bound = Measure { unfed, boxes: 0, length: cover.unlimited(&every)?.1 / THOUSANDTH, crossings: 0 };
        let mut flow = Flow::new(self.best, self.part, &stacks);
        let through = flow.most(&every, fed);
        if through < fed {
            // More stay cold than for want of a lane at their ends; which, only trying would tell.
            bound = Measure { unfed: unfed + fed - through, length: 0, ..bound }.min(known);
            return Some((None, bound));
        }
        // Boxes together let no more through than each alone, added up.
        let alone: Vec<u32> = every.iter().map(|&at| flow.most(&[at], fed)).collect();
        let mut found: Option<Led> = None;
        let mut bounded = false;
        let most = if known.unfed == unfed { known.boxes as usize } else { shut.len() };
        for size in 0..=most.min(shut.len()) {
            let Some(sets) = self.sets(&shut, size) else {
                if !bounded {
                    bound.boxes = size as u32;
                }
                found = self.closed(&cover, &mut flow, (fed, unfed), known);
                break;
            };
            let with_open = |set: Vec<usize>| open.iter().copied().chain(set).collect::<Vec<usize>>();
            let mut able: Vec<(i64, Vec<usize>)> = Vec::new();
            for set in sets.into_iter().map(with_open) {
                let room: u32 = set.iter().map(|&at| self.best.boxes[self.part.boxes[at]].capacity).sum();
                let through: u32 = set.iter().map(|&at| alone[at]).sum();
                if room >= chains && through >= fed && flow.most(&set, fed) == fed {
                    able.push((cover.unlimited(&set)?.1, set));
                }
            }
            if able.is_empty() {
                continue;
            }
            able.sort();
            if !bounded {
                (bounded, bound.boxes) = (true, size as u32);
            }
            let best_here = self.try_sets(&cover, &able, unfed, known);
            let reached = best_here.as_ref().map_or(known, |led| led.measure.min(known));
            if (reached.unfed, reached.boxes) == (bound.unfed, bound.boxes) && bound.boxes == size as u32 {
                let least = self.least_of(&cover, &able, reached.length * THOUSANDTH);
                bound.length = bound.length.max(least / THOUSANDTH);
            }
            if let Some(led) = best_here {
                found = Some(led);
                break;
            }
        }
        // A box that the job sets is filled first, whatever the lead: there only the bound is wanted.
        let found = found.filter(|led| open.is_empty() && led.measure < known);
        let value = found.as_ref().map_or(known, |led| led.measure);
        // Each lead's length is rounded to a thousandth for itself.
        let slack = self.part.segments.len() as i64;
        bound.length -= slack;
        if (bound.unfed, bound.boxes) == (value.unfed, value.boxes) && value.length - bound.length <= 2 * slack {
            bound = value;
        }
        let bound = bound.min(value);
        Some((found.map(|led| self.fed(&cover, led, bound)), bound))
    }

    fn is_open(&self, at: usize) -> bool {
        self.best.open.contains(&self.part.boxes[at])
    }

    /// Sets of boxes of one size; of boxes side by side under one exit the first are taken first. None when there are too many.
    fn sets(&self, shut: &[usize], size: usize) -> Option<Vec<Vec<usize>>> {
        let exit = |at: usize| self.best.boxes[self.part.boxes[at]].exits.first().map(|e| e.0);
        let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
        for _ in 0..size {
            let mut longer = Vec::new();
            for set in &sets {
                let from = set.last().map_or(0, |last| shut.iter().position(|s| s == last).map_or(0, |p| p + 1));
                for (place, &next) in shut.iter().enumerate().skip(from) {
                    let before = shut[..place].iter().rev().find(|&&b| exit(b) == exit(next));
                    if before.is_none_or(|b| set.contains(b)) {
                        longer.push(set.iter().copied().chain([next]).collect());
                    }
                }
                if longer.len() > MOST_SETS {
                    return None;
                }
            }
            sets = longer;
        }
        Some(sets)
    }

    /// The best way found with the most promising sets.
    fn try_sets(&self, cover: &Cover, able: &[(i64, Vec<usize>)], unfed: u32, known: Measure) -> Option<Led> {
        let mut best: Option<Led> = None;
        for (least, set) in able.iter().take(MOST_TRIED) {
            if best.as_ref().is_some_and(|led| *least >= led.measure.length * THOUSANDTH) {
                break;
            }
            if let Some(led) = self.lead_away(cover, set, unfed, known)
                && best.as_ref().is_none_or(|b| led.measure < b.measure)
            {
                best = Some(led);
            }
        }
        best
    }

    /// Boxes used so far closed one by one, while the others can feed all.
    fn closed(&self, cover: &Cover, flow: &mut Flow, (fed, unfed): (u32, u32), known: Measure) -> Option<Led> {
        let is_used = |at: &usize| self.is_open(*at) || self.used.contains(&self.part.boxes[*at]);
        let mut set: Vec<usize> = (0..self.part.boxes.len()).filter(is_used).collect();
        let mut best = self.lead_away(cover, &set, unfed, known);
        loop {
            let mut fewer: Vec<(i64, Vec<usize>)> = Vec::new();
            for &at in set.iter().filter(|&&at| !self.is_open(at)) {
                let without: Vec<usize> = set.iter().copied().filter(|&other| other != at).collect();
                if flow.most(&without, fed) == fed {
                    fewer.push((cover.unlimited(&without)?.1, without));
                }
            }
            fewer.sort();
            let led = |(_, set): (i64, Vec<usize>)| self.lead_away(cover, &set, unfed, known).map(|led| (led, set));
            let Some((led, without)) = fewer.into_iter().take(MOST_CLOSED).find_map(led) else { return best };
            (best, set) = (Some(led), without);
        }
    }

    /// What no set costs less than, if it costs less than `value` at all.
    fn least_of(&self, cover: &Cover, able: &[(i64, Vec<usize>)], value: i64) -> i64 {
        let mut least = value;
        for (at, (unlimited, set)) in able.iter().enumerate() {
            if *unlimited >= least {
                break;
            }
            let priced =
                if at < MOST_PRICED { cover.limited(set, value, STEPS).map(|((_, cost, _), _)| cost) } else { None };
            least = least.min(priced.unwrap_or(*unlimited).max(*unlimited));
        }
        least
    }

    /// Leads chains away to the boxes of a set: at the prices of the bound, or else the fewest chains.
    fn lead_away(&self, cover: &Cover, set: &[usize], unfed: u32, known: Measure) -> Option<Led> {
        let worth = if known.unfed == unfed { known.length * THOUSANDTH } else { 2 * cover.unlimited(set)?.1 };
        let mut best: Option<Led> = None;
        let mut try_at = |prices: &Prices| {
            if let Some(led) = self.assigned(cover, set, prices, unfed)
                && best.as_ref().is_none_or(|b| led.measure < b.measure)
            {
                best = Some(led);
            }
        };
        cover.limited(set, worth, STEPS)?.1.iter().for_each(&mut try_at);
        try_at(&cover.fewest(set)?);
        best
    }

    /// Every chain led to a box of the set; none when one finds no room.
    fn assigned(&self, cover: &Cover, set: &[usize], prices: &Prices, unfed: u32) -> Option<Led> {
        let graph = self.best.graph;
        let mut taken =
            Taken { lanes: vec![0; graph.lanes.len()], exits: BTreeMap::new(), boxes: vec![0; self.part.boxes.len()] };
        let asked = cover.under(set, prices);
        for jumper in prices.chains.iter().flat_map(|&c| &cover.plans[c].jumpers) {
            taken.lanes[jumper.lane.index()] += 1;
            if taken.lanes[jumper.lane.index()] > graph.lanes[jumper.lane.index()].capacity {
                return None;
            }
        }
        // A chain that loses most when its nearest box is full goes first.
        let mut order: Vec<(i64, (i64, i64, usize))> = prices
            .chains
            .iter()
            .map(|&chain| {
                let offers = cover.offers(chain, &asked);
                let regret = offers.get(1).map_or(i64::MAX, |second| second.price - offers[0].price);
                (-regret, cover.order(chain))
            })
            .collect();
        order.sort_unstable();
        let mut ways: BTreeMap<usize, ChainWay> = BTreeMap::new();
        for (_, (_, _, chain)) in order {
            let offers = cover.offers(chain, &asked).into_iter();
            let mut wanted = offers.filter_map(|offer| {
                let (route, place) = cover.priced_route(chain, &asked, offer)?;
                self.taking(cover, chain, set[offer.at], route, place, &taken)
            });
            let way = wanted.next().or_else(|| self.way(cover, chain, set, &taken))?;
            self.book(&way, &mut taken, 1);
            ways.insert(chain, way);
        }
        for _ in 0..ROUNDS {
            if !(self.moves(cover, set, &mut ways, &mut taken) | self.exchanges(cover, &mut ways, &mut taken)) {
                break;
            }
        }
        let mut boxes: BTreeSet<usize> = ways.values().map(|way| way.item).collect();
        boxes.retain(|&at| !self.is_open(at));
        let crossings =
            |way: &ChainWay| way.served.route.ways.iter().filter(|w| matches!(w, Way::Cross(_))).count() as u32;
        let measure = Measure {
            unfed,
            boxes: boxes.len() as u32,
            length: ways
                .iter()
                .map(|(&chain, way)| coarse(way.served.route.cost + self.best.beside_route(&cover.plans[chain])))
                .sum(),
            crossings: ways.values().map(crossings).sum(),
        };
        Some(Led { measure, served: ways.into_iter().map(|(chain, way)| (chain, way.served)).collect() })
    }

    /// Moves single leads to cheaper ways, those first that may save most.
    fn moves(&self, cover: &Cover, set: &[usize], ways: &mut BTreeMap<usize, ChainWay>, taken: &mut Taken) -> bool {
        let may_save = |(&chain, way): (&usize, &ChainWay)| {
            let least = set.iter().filter_map(|&item| cover.cost(chain, item)).min()?;
            (way.cost - least > THOUSANDTH).then(|| (least - way.cost, cover.order(chain)))
        };
        let mut wanted: Vec<(i64, (i64, i64, usize))> = ways.iter().filter_map(may_save).collect();
        wanted.sort_unstable();
        let mut better = false;
        for (_, (_, _, chain)) in wanted {
            let Some(way) = ways.get(&chain).cloned() else { continue };
            self.book(&way, taken, -1);
            let other = self.way(cover, chain, set, taken).filter(|other| other.cost < way.cost);
            better |= other.is_some();
            let way = other.unwrap_or(way);
            self.book(&way, taken, 1);
            ways.insert(chain, way);
        }
        better
    }

    /// Exchanges the boxes of two leads where both together save, those first that may save most.
    fn exchanges(&self, cover: &Cover, ways: &mut BTreeMap<usize, ChainWay>, taken: &mut Taken) -> bool {
        let saved = |ways: &BTreeMap<usize, ChainWay>, one: usize, other: usize| {
            let (a, b) = (&ways[&one], &ways[&other]);
            let swapped = cover.cost(one, b.item)? + cover.cost(other, a.item)?;
            (a.item != b.item && swapped + 2 * THOUSANDTH < a.cost + b.cost).then(|| swapped - a.cost - b.cost)
        };
        let mut chains: Vec<(i64, i64, usize)> = ways.keys().map(|&chain| cover.order(chain)).collect();
        chains.sort_unstable();
        let mut wanted: Vec<(i64, usize, usize)> = Vec::new();
        for (at, &(_, _, one)) in chains.iter().enumerate() {
            let pairs =
                chains[at + 1..].iter().filter_map(|&(_, _, other)| Some((saved(ways, one, other)?, one, other)));
            wanted.extend(pairs);
        }
        wanted.sort_by_key(|pair| pair.0);
        let mut better = false;
        for (_, one, other) in wanted {
            if saved(ways, one, other).is_none() {
                continue;
            }
            let (a, b) = (ways[&one].clone(), ways[&other].clone());
            self.book(&a, taken, -1);
            self.book(&b, taken, -1);
            let first = self.way(cover, one, &[b.item], taken);
            first.iter().for_each(|way| self.book(way, taken, 1));
            let second = first.as_ref().and_then(|_| self.way(cover, other, &[a.item], taken));
            match (first, second) {
                (Some(x), Some(y)) if x.cost + y.cost < a.cost + b.cost => {
                    self.book(&y, taken, 1);
                    ways.insert(one, x);
                    ways.insert(other, y);
                    better = true;
                }
                (first, _) => {
                    first.iter().for_each(|way| self.book(way, taken, -1));
                    self.book(&a, taken, 1);
                    self.book(&b, taken, 1);
                }
            }
        }
        better
    }

    fn book(&self, way: &ChainWay, taken: &mut Taken, by: i32) {
        let change = |count: &mut u32| *count = count.saturating_add_signed(by);
        way.served.route.lanes().into_iter().for_each(|lane| change(&mut taken.lanes[lane.index()]));
        change(taken.exits.entry(way.served.exit).or_default());
        change(&mut taken.boxes[way.item]);
    }

    /// A way over a known route, if the box, the exit and all lanes have room.
    fn taking(
        &self,
        cover: &Cover,
        chain: usize,
        item: usize,
        route: Route,
        place: FeedPlace,
        taken: &Taken,
    ) -> Option<ChainWay> {
        let graph = self.best.graph;
        let box_plan = self.part.boxes[item];
        let (exit, _) = *self.exits(item, taken).get(&route.target)?;
        let fits = taken.boxes[item] < self.best.boxes[box_plan].capacity
            && route.lanes().into_iter().all(|lane| graph.has_room(lane, &taken.lanes));
        let cost = cover.whole(chain, &route);
        fits.then_some(ChainWay { item, served: Served { chain, place, route, exit, box_plan }, cost })
    }

    /// The cheapest way of a chain to a box of the set with room.
    fn way(&self, cover: &Cover, chain: usize, set: &[usize], taken: &Taken) -> Option<ChainWay> {
        let graph = self.best.graph;
        let roomy = |item: &&usize| taken.boxes[**item] < self.best.boxes[self.part.boxes[**item]].capacity;
        let mut near: Vec<(i64, usize)> =
            set.iter().filter(roomy).filter_map(|&item| Some((cover.cost(chain, item)?, item))).collect();
        near.sort_unstable();
        let mut best: Option<ChainWay> = None;
        for (least, item) in near {
            if best.as_ref().is_some_and(|way| least + 1 >= way.cost) {
                break;
            }
            // The free way first; only where it is full is a way around looked for.
            let free = cover.free_route(chain, item);
            let free = free.and_then(|(route, place)| self.taking(cover, chain, item, route, place, taken));
            let found = free.or_else(|| {
                let exits = self.exits(item, taken);
                let targets = exits.iter().map(|(&node, &(_, beyond))| (node, beyond)).collect();
                let (starts, places) = starts(graph, &cover.plans[chain]);
                let route = graph.route(&starts, &targets, &taken.lanes)?;
                let place = places[route.start];
                self.taking(cover, chain, item, route, place, taken)
            });
            if let Some(way) = found
                && best.as_ref().is_none_or(|known| way.cost < known.cost)
            {
                best = Some(way);
            }
        }
        best
    }

    /// A box's exits that take one lead more, by node.
    fn exits(&self, item: usize, taken: &Taken) -> BTreeMap<usize, (usize, f64)> {
        let graph = self.best.graph;
        let mut exits: BTreeMap<usize, (usize, f64)> = BTreeMap::new();
        for &(exit, beyond) in &self.best.boxes[self.part.boxes[item]].exits {
            let used = taken.exits.get(&exit).copied().unwrap_or(0);
            let full = matches!(graph.exits[exit].kind, ExitKind::Hole(most) if used >= most);
            let node = graph.exits[exit].node;
            if !full && exits.get(&node).is_none_or(|known| beyond < known.1) {
                exits.insert(node, (exit, beyond));
            }
        }
        exits
    }

    fn fed(&self, cover: &Cover, led: Led, bound: Measure) -> Fed {
        let mut fed = Fed { chains: Vec::new(), served: Vec::new(), measure: led.measure, bound };
        let mut covered: BTreeSet<SegmentId> = BTreeSet::new();
        for (chain, served) in led.served {
            covered.extend(&cover.plans[chain].segments);
            fed.served.push(Served { chain: fed.chains.len(), ..served });
            fed.chains.push(cover.plans[chain].clone());
        }
        let cold = self.part.segments.iter().filter(|id| !covered.contains(id));
        fed.chains.extend(cold.map(|&id| self.best.chaining.alone(id)));
        fed
    }
}

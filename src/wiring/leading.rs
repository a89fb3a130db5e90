//! Chains of a large part led away to one set of boxes.
//!
//! At the prices of the set's bound chains go one after the other, those first that lose most where their nearest box is full. With more effort a chain
//! that finds no room goes first in the next try, and where no order serves, a flow leads all away at once. Then single leads are moved and pairs
//! exchanged between boxes while that saves lead.
//!
//! # Source
//! D. E. Joslin and D. P. Clements, "Squeaky wheel optimization", Journal of Artificial Intelligence Research 10 (1999), from memory.

use super::assign::Served;
use super::chains::FeedPlace;
use super::cover::{Cover, NO_ROOM, PricedWays, Prices, starts};
use super::flow::{Flow, Through};
use super::graph::{ExitKind, Route, Way};
use super::larger::{LONG_STEPS, Larger, STEPS, THOUSANDTH};
use super::optimum::Measure;
use super::sizes::coarse;
use crate::index::LaneId;
use std::collections::{BTreeMap, BTreeSet};

/// Rounds of moves and exchanges.
const ROUNDS: u32 = 3;
const LONG_ROUNDS: u32 = 20;
/// Orders in which chains are tried to be led away.
const MOST_ORDERS: u32 = 100;

/// A way of feeding all that can be fed.
pub(super) struct Led {
    pub measure: Measure,
    pub served: Vec<(usize, Served)>,
}

/// How much is done to lead chains away.
#[derive(Clone, Copy)]
pub(super) enum Effort {
    Short,
    /// Prices found at length, and where leads one after the other find no room, room for all at once.
    Long,
}

impl Effort {
    fn steps(self) -> u32 {
        if matches!(self, Self::Short) { STEPS } else { LONG_STEPS }
    }

    fn tries(self) -> u32 {
        if matches!(self, Self::Short) { 1 } else { MOST_ORDERS }
    }

    fn rounds(self) -> u32 {
        if matches!(self, Self::Short) { ROUNDS } else { LONG_ROUNDS }
    }
}

/// What leads take so far.
#[derive(Clone)]
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
    /// Leads chains away to the boxes of a set: at the prices of the bound, or else the fewest chains.
    pub(super) fn lead_away(
        &self,
        cover: &Cover,
        set: &[usize],
        unfed: u32,
        known: Measure,
        effort: Effort,
    ) -> Option<Led> {
        self.weigh(cover, set, unfed, known, effort).0
    }

    /// The same, and whether the set has room for all as far as its bound tells.
    pub(super) fn weigh(
        &self,
        cover: &Cover,
        set: &[usize],
        unfed: u32,
        known: Measure,
        effort: Effort,
    ) -> (Option<Led>, bool) {
        // What more boxes cost says nothing of fewer.
        let shut = set.iter().filter(|&&at| !self.is_open(at)).count() as u32;
        let as_few = known.unfed == unfed && known.boxes <= shut;
        let worth = as_few.then_some(known.length * THOUSANDTH);
        let mut best: Option<Led> = None;
        let mut try_at = |prices: &Prices| {
            if let Some(led) = self.assigned(cover, set, prices, unfed, effort)
                && best.as_ref().is_none_or(|b| led.measure < b.measure)
            {
                best = Some(led);
            }
        };
        match cover.limited(set, set.len(), worth, effort.steps()) {
            Some(((_, NO_ROOM, _), _)) => return (None, false),
            Some((_, kept)) => kept.iter().chain(&cover.fewest(set)).for_each(&mut try_at),
            None => {}
        }
        (best, true)
    }

    /// Every chain led to a box of the set; none when one finds no room.
    fn assigned(&self, cover: &Cover, set: &[usize], prices: &Prices, unfed: u32, effort: Effort) -> Option<Led> {
        let graph = self.best.graph;
        let mut taken =
            Taken { lanes: vec![0; graph.lanes.len()], exits: BTreeMap::new(), boxes: vec![0; self.part.boxes.len()] };
        for jumper in prices.chains.iter().flat_map(|&c| &cover.plans[c].jumpers) {
            taken.lanes[jumper.lane.index()] += 1;
            if taken.lanes[jumper.lane.index()] > graph.lanes[jumper.lane.index()].capacity {
                return None;
            }
        }
        let empty = taken.clone();
        let mut ways = match (self.one_by_one(cover, set, prices, &mut taken, effort), effort) {
            (Some(ways), _) => ways,
            (None, Effort::Short) => return None,
            (None, Effort::Long) => {
                taken = empty;
                self.by_flow(cover, set, prices, &mut taken)?
            }
        };
        for _ in 0..effort.rounds() {
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

    /// Chains led away one after the other, each the cheapest way left; one that loses most when its nearest box is full goes first.
    fn one_by_one(
        &self,
        cover: &Cover,
        set: &[usize],
        prices: &Prices,
        taken: &mut Taken,
        effort: Effort,
    ) -> Option<BTreeMap<usize, ChainWay>> {
        let asked = cover.under(set, prices);
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
        let mut order: Vec<usize> = order.into_iter().map(|(_, (_, _, chain))| chain).collect();
        let empty = taken.clone();
        for _ in 0..effort.tries() {
            *taken = empty.clone();
            match self.in_order(cover, set, &order, &asked, taken) {
                Ok(ways) => return Some(ways),
                // What found no room is led away first next time.
                Err(at) => order[..=at].rotate_right(1),
            }
        }
        None
    }

    /// Chains led away in this order; the place in it of the first that finds no room.
    fn in_order(
        &self,
        cover: &Cover,
        set: &[usize],
        order: &[usize],
        asked: &PricedWays,
        taken: &mut Taken,
    ) -> Result<BTreeMap<usize, ChainWay>, usize> {
        let mut ways: BTreeMap<usize, ChainWay> = BTreeMap::new();
        for (at, &chain) in order.iter().enumerate() {
            let offers = cover.offers(chain, asked).into_iter();
            let mut wanted = offers.filter_map(|offer| {
                let (route, place) = cover.priced_route(chain, asked, offer)?;
                self.taking(cover, chain, set[offer.at], route, place, taken)
            });
            let way = wanted.next().or_else(|| self.way(cover, chain, set, taken)).ok_or(at)?;
            self.book(&way, taken, 1);
            ways.insert(chain, way);
        }
        Ok(ways)
    }

    /// Chains led away all at once, if there is room for all, however long the ways.
    fn by_flow(
        &self,
        cover: &Cover,
        set: &[usize],
        prices: &Prices,
        taken: &mut Taken,
    ) -> Option<BTreeMap<usize, ChainWay>> {
        let graph = self.best.graph;
        let begins: Vec<BTreeSet<LaneId>> = prices
            .chains
            .iter()
            .map(|&chain| starts(graph, &cover.plans[chain]).0.iter().map(|start| start.lane).collect())
            .collect();
        let through = Flow::through(self.best, self.part, &begins, &taken.lanes, set)?;
        let mut ways: BTreeMap<usize, ChainWay> = BTreeMap::new();
        for (&chain, Through { lanes, exit, item }) in prices.chains.iter().zip(through) {
            let (starts, places) = starts(graph, &cover.plans[chain]);
            let mut shut = vec![u32::MAX; graph.lanes.len()];
            lanes.iter().for_each(|lane| shut[lane.index()] = 0);
            let box_plan = self.part.boxes[item];
            let beyond = self.best.boxes[box_plan].exits.iter().find(|e| e.0 == exit)?.1;
            let route = graph.route(&starts, &BTreeMap::from([(graph.exits[exit].node, beyond)]), &shut)?;
            let (place, cost) = (places[route.start], cover.whole(chain, &route));
            let way = ChainWay { item, served: Served { chain, place, route, exit, box_plan }, cost };
            self.book(&way, taken, 1);
            ways.insert(chain, way);
        }
        Some(ways)
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
}

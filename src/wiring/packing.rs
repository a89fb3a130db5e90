//! Loads packed on the fewest circuits, and those of a box kept together.

use crate::electrical::{STANDARD_RATINGS, continuous_capacity};
use crate::index::{BoxId, ChainId};
use std::collections::BTreeMap;

/// Chains that go on one circuit together.
#[derive(Debug, Clone)]
pub(super) struct Load {
    pub priority: u32,
    pub junction_box: BoxId,
    pub amps: f64,
    pub chains: Vec<ChainId>,
}

/// First fit, by priority and then the largest first. How many circuits come out hangs on the loads alone, not on how the
/// faces happen to be numbered.
fn pack(mut loads: Vec<Load>, capacity: f64) -> Vec<Load> {
    loads.sort_by(|a, b| {
        (a.priority.cmp(&b.priority))
            .then(b.amps.total_cmp(&a.amps))
            .then(a.junction_box.cmp(&b.junction_box))
            .then_with(|| a.chains.cmp(&b.chains))
    });
    let mut packed: Vec<Load> = Vec::new();
    for load in loads {
        // One part in a million: 24 A of load on 24 A of room is a fit whatever the last bit says.
        match packed.iter_mut().find(|p| p.amps + load.amps <= capacity * (1.0 + 1e-6)) {
            Some(home) => {
                home.amps += load.amps;
                home.chains.extend(load.chains);
            }
            None => packed.push(load),
        }
    }
    packed
}

/// The fewest circuits that `packing` finds with room up to any standard rating within `capacity`, the largest first among
/// equals. First fit alone may need a circuit more when it is given more room; what fits less room fits more.
fn fewest(loads: &[Load], capacity: f64, packing: impl Fn(&[Load], f64) -> Vec<Load>) -> Vec<Load> {
    let largest = loads.iter().map(|load| load.amps).fold(0.0, f64::max);
    let mut best = packing(loads, capacity);
    for room in STANDARD_RATINGS.rows.iter().rev().map(|&rating| continuous_capacity(rating)) {
        if room < capacity && room >= largest {
            let packed = packing(loads, room);
            if packed.len() < best.len() {
                best = packed;
            }
        }
    }
    best
}

/// Loads up to which the fewest circuits are found by trying.
const MOST_PACKED: usize = 24;
/// Placements tried.
const TRIES: u32 = 20_000;

/// The fewest circuits, if fewer than `known` hold the loads: the largest first, each on a circuit already begun or on a new one, and never on two
/// circuits that are loaded alike.
fn pack_exact(loads: &[Load], capacity: f64, known: Vec<Load>) -> Vec<Load> {
    let room = capacity * (1.0 + 1e-6);
    let total: f64 = loads.iter().map(|load| load.amps).sum();
    let fewest = (total / room - 1e-9).ceil() as usize;
    let mut order: Vec<&Load> = loads.iter().collect();
    order.sort_by(|a, b| b.amps.total_cmp(&a.amps).then_with(|| a.chains.cmp(&b.chains)));
    for count in fewest..known.len() {
        let mut tries = TRIES;
        let mut sums = vec![0.0; count];
        let mut homes = vec![0; order.len()];
        if place(&order, 0, room, &mut sums, &mut homes, &mut tries) {
            let mut packed: Vec<Load> = Vec::new();
            for circuit in 0..count {
                let own: Vec<&Load> =
                    order.iter().zip(&homes).filter(|(_, home)| **home == circuit).map(|(l, _)| *l).collect();
                let Some(first) = own.first() else { continue };
                packed.push(Load {
                    priority: own.iter().map(|l| l.priority).min().unwrap_or(first.priority),
                    junction_box: first.junction_box,
                    amps: own.iter().map(|l| l.amps).sum(),
                    chains: own.iter().flat_map(|l| l.chains.clone()).collect(),
                });
            }
            packed.sort_by(|a, b| {
                a.priority.cmp(&b.priority).then_with(|| a.chains.iter().min().cmp(&b.chains.iter().min()))
            });
            return packed;
        }
    }
    known
}

fn place(order: &[&Load], at: usize, room: f64, sums: &mut [f64], homes: &mut [usize], tries: &mut u32) -> bool {
    let Some(load) = order.get(at) else { return true };
    for home in 0..sums.len() {
        if *tries == 0 || sums[..home].contains(&sums[home]) || sums[home] + load.amps > room {
            continue;
        }
        *tries -= 1;
        (sums[home], homes[at]) = (sums[home] + load.amps, home);
        if place(order, at + 1, room, sums, homes, tries) {
            return true;
        }
        sums[home] -= load.amps;
    }
    false
}

/// The same number of circuits with the chains of a box on as few of them as moves and exchanges find, which keeps home runs apart: what the chains of
/// one box draw on one circuit is squared and added up, and made large. The best of all moves and exchanges is made, over and over while one is found; of
/// many loads, load by load, each its best.
fn gathered(packed: Vec<Load>, loads: &[Load], capacity: f64) -> Vec<Load> {
    let room = capacity * (1.0 + 1e-6);
    let Some(mut shares) = Shares::of(&packed, loads) else { return packed };
    if loads.len() <= MOST_COMPARED {
        for _ in 0..loads.len() * loads.len() {
            let best_of = |one: usize| shares.best(loads, one, room).map(|(value, exchange)| (value, one, exchange));
            let best = (0..loads.len()).filter_map(best_of).reduce(|a, b| if b.0 > a.0 + LEAST_GAIN { b } else { a });
            let Some((_, one, exchange)) = best else { break };
            shares.make(loads, one, exchange);
        }
    }
    for _ in 0..MOST_SWEEPS {
        let mut moved = false;
        for one in 0..loads.len() {
            if let Some((_, exchange)) = shares.best(loads, one, room) {
                shares.make(loads, one, exchange);
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
    let mut members: Vec<Vec<&Load>> = vec![Vec::new(); packed.len()];
    for (load, &home) in loads.iter().zip(&shares.homes) {
        members[home].push(load);
    }
    let mut made: Vec<Load> = Vec::new();
    for own in members {
        let Some(first) = own.first() else { continue };
        made.push(Load {
            priority: own.iter().map(|l| l.priority).min().unwrap_or(first.priority),
            junction_box: own.iter().map(|l| l.junction_box).min().unwrap_or(first.junction_box),
            amps: own.iter().map(|l| l.amps).sum(),
            chains: own.iter().flat_map(|l| l.chains.clone()).collect(),
        });
    }
    made.sort_by(|a, b| {
        a.priority.cmp(&b.priority).then(a.junction_box.cmp(&b.junction_box)).then_with(|| a.chains.cmp(&b.chains))
    });
    made
}

/// Loads of which all moves are compared before one is made: that costs the loads squared for each move.
const MOST_COMPARED: usize = 100;
/// Times all loads are looked at one by one; each time costs the loads squared.
const MOST_SWEEPS: usize = 50;

/// Steps of the search for what fills one circuit best.
const FILL_STEPS: u32 = 20_000;

/// One circuit after the other filled to within `idle` amperes, or as far as the loads left allow, the largest of them always on it. To fill each to the
/// last leaves for the end what fits nowhere: circuits as idle as all would be on average may come out one fewer.
///
/// # Source
/// J. N. D. Gupta and J. C. Ho, "A new heuristic algorithm for the one-dimensional bin-packing problem", Production Planning and Control 10 (1999),
/// minimum bin slack; and K. Fleszar and K. S. Hindi, "New heuristics for one-dimensional bin-packing", Computers and Operations Research 29
/// (2002), the same relaxed; both from memory.
fn pack_full(loads: &[Load], capacity: f64, idle: f64) -> Vec<Load> {
    let mut left: Vec<&Load> = loads.iter().collect();
    left.sort_by(|a, b| b.amps.total_cmp(&a.amps).then(a.junction_box.cmp(&b.junction_box)));
    let mut packed: Vec<Load> = Vec::new();
    while !left.is_empty() {
        let mut fill = Fill::of(&left, capacity * (1.0 + 1e-6), idle);
        fill.search(1, left[0].amps, &mut vec![0]);
        let chosen = fill.best;
        packed.push(Load {
            priority: chosen.iter().map(|&at| left[at].priority).min().unwrap_or(u32::MAX),
            junction_box: left[0].junction_box,
            amps: chosen.iter().map(|&at| left[at].amps).sum(),
            chains: chosen.iter().flat_map(|&at| left[at].chains.clone()).collect(),
        });
        let mut at = 0;
        left.retain(|_| {
            at += 1;
            !chosen.contains(&(at - 1))
        });
    }
    packed.sort_by(|a, b| a.priority.cmp(&b.priority).then_with(|| a.chains.iter().min().cmp(&b.chains.iter().min())));
    packed
}

/// The search for the loads that fill one circuit best, the largest first.
struct Fill<'a> {
    left: &'a [&'a Load],
    room: f64,
    /// Filled so far it is full, amperes.
    enough: f64,
    /// What loads from here on draw together, amperes.
    rest: Vec<f64>,
    best: Vec<usize>,
    filled: f64,
    steps: u32,
}

impl<'a> Fill<'a> {
    fn of(left: &'a [&'a Load], room: f64, idle: f64) -> Self {
        let mut rest: Vec<f64> = left
            .iter()
            .rev()
            .scan(0.0, |sum, load| {
                *sum += load.amps;
                Some(*sum)
            })
            .collect();
        rest.reverse();
        rest.push(0.0);
        Self { left, room, enough: room - idle - LEAST_FILL, rest, best: Vec::new(), filled: 0.0, steps: FILL_STEPS }
    }

    fn search(&mut self, from: usize, sum: f64, chosen: &mut Vec<usize>) {
        if sum > self.filled + LEAST_FILL {
            (self.filled, self.best) = (sum, chosen.clone());
        }
        let mut tried = f64::INFINITY;
        for at in from..self.left.len() {
            let done = self.filled >= self.enough || sum + self.rest[at] <= self.filled + LEAST_FILL;
            if done || self.steps == 0 {
                return;
            }
            self.steps -= 1;
            let amps = self.left[at].amps;
            // Of loads alike the first will do.
            if sum + amps > self.room || amps > tried - LEAST_FILL {
                continue;
            }
            tried = amps;
            chosen.push(at);
            self.search(at + 1, sum + amps, chosen);
            chosen.pop();
        }
    }
}

/// Loads and sums nearer than this are alike, amperes.
const LEAST_FILL: f64 = 1e-4;

/// Where each load is: its circuit, what each circuit draws, and what each box draws on it.
struct Shares {
    homes: Vec<usize>,
    on: Vec<Vec<usize>>,
    sums: Vec<f64>,
    /// By circuit and then by place of the box in order, amperes.
    drawn: Vec<Vec<f64>>,
    /// Each load's box, as its place in order.
    boxes: Vec<usize>,
}

/// A load goes to circuit `to`; `back`, if any, comes from there to where it was.
#[derive(Clone, Copy)]
struct Exchange {
    to: usize,
    back: Option<usize>,
}

impl Shares {
    fn of(packed: &[Load], loads: &[Load]) -> Option<Self> {
        let circuit_of: BTreeMap<ChainId, usize> =
            packed.iter().enumerate().flat_map(|(at, p)| p.chains.iter().map(move |&chain| (chain, at))).collect();
        let mut order: Vec<BoxId> = loads.iter().map(|l| l.junction_box).collect();
        order.sort();
        order.dedup();
        let boxes: Vec<usize> = loads.iter().map(|l| order.partition_point(|&b| b < l.junction_box)).collect();
        let homes = loads.iter().map(|l| circuit_of.get(l.chains.first()?).copied()).collect::<Option<Vec<usize>>>()?;
        let mut drawn = vec![vec![0.0; order.len()]; packed.len()];
        let mut on = vec![Vec::new(); packed.len()];
        for (at, load) in loads.iter().enumerate() {
            drawn[homes[at]][boxes[at]] += load.amps;
            on[homes[at]].push(at);
        }
        Some(Self { homes, on, sums: packed.iter().map(|p| p.amps).collect(), drawn, boxes })
    }

    /// What moving a load changes of its box's squares, halved.
    fn gain(&self, loads: &[Load], one: usize, from: usize, to: usize) -> f64 {
        let (amps, own) = (loads[one].amps, self.boxes[one]);
        amps * (self.drawn[to][own] - self.drawn[from][own] + amps)
    }

    fn best(&self, loads: &[Load], one: usize, room: f64) -> Option<(f64, Exchange)> {
        let (from, amps) = (self.homes[one], loads[one].amps);
        let mut best: Option<(f64, Exchange)> = None;
        let mut consider = |value: f64, exchange: Exchange| {
            if value > LEAST_GAIN && best.is_none_or(|(known, _)| value > known + LEAST_GAIN) {
                best = Some((value, exchange));
            }
        };
        for to in (0..self.sums.len()).filter(|&to| to != from) {
            let gain = self.gain(loads, one, from, to);
            if self.sums[to] + amps <= room {
                consider(gain, Exchange { to, back: None });
            }
            for &back in &self.on[to] {
                let other = loads[back].amps;
                let fits = self.sums[to] + amps - other <= room && self.sums[from] + other - amps <= room;
                if fits && self.boxes[back] != self.boxes[one] {
                    consider(gain + self.gain(loads, back, to, from), Exchange { to, back: Some(back) });
                }
            }
        }
        best
    }

    fn make(&mut self, loads: &[Load], one: usize, exchange: Exchange) {
        let from = self.homes[one];
        let moves =
            std::iter::once((one, from, exchange.to)).chain(exchange.back.map(|back| (back, exchange.to, from)));
        for (load, from, to) in moves {
            let (amps, own) = (loads[load].amps, self.boxes[load]);
            self.drawn[from][own] -= amps;
            self.drawn[to][own] += amps;
            (self.sums[from], self.sums[to]) = (self.sums[from] - amps, self.sums[to] + amps);
            self.on[from].retain(|&at| at != load);
            self.on[to].push(load);
            self.homes[load] = to;
        }
    }
}

/// A gain below this is rounding, amperes squared.
const LEAST_GAIN: f64 = 1e-6;

/// Box by box first, which keeps home runs apart.
fn by_box(loads: &[Load], room: f64) -> Vec<Load> {
    let mut keys: Vec<(u32, BoxId)> = loads.iter().map(|l| (l.priority, l.junction_box)).collect();
    keys.sort();
    keys.dedup();
    let mut packed: Vec<Load> = Vec::new();
    for (priority, junction_box) in keys {
        let own = loads.iter().filter(|l| l.priority == priority && l.junction_box == junction_box);
        packed.extend(pack(own.cloned().collect(), room));
    }
    pack(packed, room)
}

/// Box by box, unless filling across boxes saves a circuit.
pub(super) fn grouped(loads: &[Load], capacity: f64) -> Vec<Load> {
    let by_box = fewest(loads, capacity, by_box);
    let across = fewest(loads, capacity, |loads, room| pack(loads.to_vec(), room));
    let mut across = if loads.len() <= MOST_PACKED { pack_exact(loads, capacity, across) } else { across };
    let total: f64 = loads.iter().map(|load| load.amps).sum();
    let at_least = (total / (capacity * (1.0 + 1e-6)) - 1e-9).ceil() as usize;
    if loads.len() > MOST_PACKED {
        for idle in [0.0, (capacity - total / at_least as f64).max(0.0)] {
            if across.len() > at_least {
                let full = fewest(loads, capacity, |loads, room| pack_full(loads, room, idle));
                across = if full.len() < across.len() { full } else { across };
            }
        }
    }
    if across.len() < by_box.len() { gathered(across, loads, capacity) } else { by_box }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn loads(amps: &[f64]) -> Vec<Load> {
        let load = |(at, &amps): (usize, &f64)| Load {
            priority: 1,
            junction_box: BoxId::new(0),
            amps,
            chains: vec![ChainId::new(at)],
        };
        amps.iter().enumerate().map(load).collect()
    }

    /// By hand: five times 7 A, four of 5 A and 25 of 3 A are 130 A on 13 A of room: 7 + 3 + 3 five times, 5 + 5 + 3 twice, then the 13 left of 3 A by fours,
    /// 12 A each: eleven circuits. No circuit of 3 A alone is full, so ten would have to fill 13 A with 5 + 5 + 3 and 7 + 3 + 3 alone, which takes 5 + 2 only.
    #[test]
    fn circuits_are_filled_by_hand() {
        let amps: Vec<f64> = [(5, 7.0), (4, 5.0), (25, 3.0)].into_iter().flat_map(|(n, a)| vec![a; n]).collect();
        let packed = pack_full(&loads(&amps), 13.0, 0.0);
        let full = packed.iter().filter(|p| (p.amps - 13.0).abs() < 1e-9).count();
        assert_eq!((packed.len(), full), (11, 7));
        assert_eq!(packed.iter().map(|p| p.chains.len()).sum::<usize>(), amps.len());
    }

    /// By hand: 8, 8, 6, 6 and 4 A on 16 A of room: 8 + 8, 6 + 6 + 4.
    #[test]
    fn first_fit_by_hand() {
        let packed = grouped(&loads(&[6.0, 8.0, 4.0, 6.0, 8.0]), 16.0);
        let sums: Vec<f64> = packed.iter().map(|p| p.amps).collect();
        assert_eq!(sums, [16.0, 16.0]);
    }

    /// By hand: 7 + 5 + 4 and 6 + 5 + 5 A fill two circuits of 16 A; the largest first puts 7 with 6 and needs a third.
    #[test]
    fn few_chains_go_on_the_fewest_circuits() {
        let amps = [7.0, 6.0, 5.0, 5.0, 5.0, 4.0];
        assert_eq!(pack(loads(&amps), 16.0).len(), 3);
        let packed = grouped(&loads(&amps), 16.0);
        let mut sums: Vec<f64> = packed.iter().map(|p| p.amps).collect();
        sums.sort_by(f64::total_cmp);
        assert_eq!(sums, [16.0, 16.0]);
    }

    /// By hand: 10 and 4 A at one box, 6 and 12 A at another, 16 A of room: box by box 14 and 12 + 6, three circuits with the 6 A
    /// alone; across boxes 12 + 4 and 10 + 6, two.
    #[test]
    fn boxes_are_mixed_only_to_save_a_circuit() {
        let mut mixed = loads(&[10.0, 4.0, 6.0, 12.0]);
        for load in &mut mixed[2..] {
            load.junction_box = BoxId::new(1);
        }
        let sums = |loads: &[Load]| -> Vec<f64> { grouped(loads, 16.0).iter().map(|p| p.amps).collect() };
        assert_eq!(sums(&mixed), [16.0, 16.0]);
        mixed.truncate(3);
        assert_eq!(sums(&mixed), [14.0, 6.0]);
    }

    /// By hand: box 0 draws 9, 3 and 3 A, box 1 draws 9, 5 and 2 A, 16 A of room. Two circuits with both boxes on each become 15 A of box 0
    /// and 16 A of box 1.
    #[test]
    fn chains_of_a_box_are_gathered_on_few_circuits() {
        let mut mixed = loads(&[9.0, 3.0, 3.0, 9.0, 5.0, 2.0]);
        for load in &mut mixed[3..] {
            load.junction_box = BoxId::new(1);
        }
        let joined = |members: [usize; 3]| Load {
            amps: members.iter().map(|&m| mixed[m].amps).sum(),
            chains: members.iter().flat_map(|&m| mixed[m].chains.clone()).collect(),
            ..mixed[0].clone()
        };
        let packed = gathered(vec![joined([0, 4, 5]), joined([1, 2, 3])], &mixed, 16.0);
        let sums: Vec<f64> = packed.iter().map(|p| p.amps).collect();
        assert_eq!(sums, [15.0, 16.0]);
    }

    proptest! {
        #[test]
        fn a_larger_breaker_never_needs_more_circuits(
            chains in prop::collection::vec((0.5f64..12.0, 0usize..4, 1u32..3), 1..30),
        ) {
            let load = |(at, &(amps, junction, priority)): (usize, &(f64, usize, u32))| Load {
                priority,
                junction_box: BoxId::new(junction),
                amps,
                chains: vec![ChainId::new(at)],
            };
            let loads: Vec<Load> = chains.iter().enumerate().map(load).collect();
            let packed: Vec<Vec<Load>> =
                [15.0, 20.0, 25.0, 30.0, 40.0, 50.0].map(|rating| grouped(&loads, continuous_capacity(rating))).to_vec();
            let counts: Vec<usize> = packed.iter().map(Vec::len).collect();
            prop_assert!(counts.windows(2).all(|pair| pair[1] <= pair[0]), "{counts:?}");
            let total: f64 = loads.iter().map(|l| l.amps).sum();
            prop_assert!(counts[0] as f64 >= total / 12.0 - 1e-9);
            // Every chain is on one circuit, and no circuit carries more than it may.
            for (circuits, capacity) in packed.iter().zip([12.0, 16.0, 20.0, 24.0, 32.0, 40.0]) {
                let mut all: Vec<ChainId> = circuits.iter().flat_map(|c| c.chains.clone()).collect();
                all.sort();
                prop_assert_eq!(all, (0..loads.len()).map(ChainId::new).collect::<Vec<_>>());
                prop_assert!(circuits.iter().all(|c| c.amps <= capacity * (1.0 + 1e-5)));
            }
        }
    }
}

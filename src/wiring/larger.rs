//! Parts too large to be fed by trying every way: sets of boxes are weighed by their bounds, and chains led to the best of them by local search.
//!
//! Sets of boxes are taken from few to many. A set is passed over when its boxes or the lanes before them hold fewer leads than chains are needed
//! (a flow through the lanes, `flow.rs`), or when its bound on the lead (`cover.rs`) is no better than what is found. In the others the chains of
//! the bound are led away (`leading.rs`). Where there are too many sets, prices open boxes (`chosen`), or boxes used so far are closed one by one, and
//! one box after another is exchanged for a better. Where no set of the least size is found to do, or the bound stays below what is found, the best are gone through
//! once more at length. Budgets are counts, so every machine finds the same.

use super::assign::Served;
use super::cover::{Cover, NO_ROOM};
use super::flow::{Cut, Flow};
use super::leading::{Effort, Led};
use super::optimum::{Best, Fed, Measure, Part};
use crate::index::SegmentId;
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// Sets of boxes of one size that are gone through.
const MOST_SETS: usize = 500;
/// Sets of one size in which chains are led away.
const MOST_TRIED: usize = 24;
/// Boxes that are tried to be closed at a time, where there are too many sets.
const MOST_CLOSED: usize = 6;
/// Sets of one size whose room is priced.
const MOST_PRICED: usize = 40;
/// Millionths of an inch in a thousandth.
pub(super) const THOUSANDTH: i64 = 1000;
/// Steps of the prices.
pub(super) const STEPS: u32 = 30;
/// Steps of the prices of a set whose bound stays further below what is found than one part in `SMALL_GAP`, and sets that get so many.
pub(super) const LONG_STEPS: u32 = 400;
/// Steps of the prices that open boxes of all there are.
const CHOICE_STEPS: u32 = 800;
/// Prices of one chain to one box that are asked for in all these steps; where that is too few steps, boxes are only closed and exchanged.
const MOST_WORK: usize = 20_000_000;
const MOST_PRICED_LONG: usize = 4;
/// Boxes exchanged one after another.
const MOST_EXCHANGES: u32 = 20;
const SMALL_GAP: i64 = 100;

/// What is looked for in one part.
pub(super) struct Larger<'a> {
    pub best: &'a Best<'a>,
    pub part: &'a Part,
    pub single: &'a BTreeSet<SegmentId>,
    /// Boxes that the part is fed from so far.
    pub used: &'a BTreeSet<usize>,
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
        let with_open = |set: Vec<usize>| open.iter().copied().chain(set).collect::<Vec<usize>>();
        let mut bound = Measure { unfed, boxes: 0, length: cover.unlimited(&every)?.1 / THOUSANDTH, crossings: 0 };
        let mut flow = Flow::new(self.best, self.part, &stacks);
        let through = flow.most(&every, fed);
        if through < fed {
            // More stay cold than for want of a lane at their ends; which, only trying would tell.
            let enough = |size: &usize| {
                let sets = self.sets(&shut, *size);
                sets.is_none_or(|sets| sets.into_iter().any(|set| flow.most(&with_open(set), through) == through))
            };
            // A jumper alone feeds nothing, though the flow counts it.
            let one = usize::from(open.is_empty() && through > 0);
            let boxes = (one..=shut.len()).find(enough).unwrap_or(0) as u32;
            bound = Measure { unfed: unfed + fed - through, boxes, length: 0, crossings: 0 }.min(known);
            return Some((None, bound));
        }
        // What held one set back mostly holds others back too, and is told without a flow.
        let mut cuts: Vec<Cut> = Vec::new();
        let mut found: Option<Led> = None;
        let mut bounded = false;
        let most = if known.unfed == unfed { known.boxes as usize } else { shut.len() };
        for size in 0..=most.min(shut.len()) {
            let Some(sets) = self.sets(&shut, size) else {
                if !bounded {
                    bound.boxes = self.fewest_by_room(&shut, &open, chains).max(size as u32);
                }
                let chosen = self.chosen(&cover, &open, known, &mut bound);
                let closed = self.closed(&cover, &mut flow, (fed, unfed), known);
                let led = chosen.into_iter().chain(closed).min_by_key(|led| led.measure);
                found = led.map(|led| self.exchanged(&cover, &mut flow, (fed, unfed), led));
                break;
            };
            let mut able: Vec<(i64, Vec<usize>)> = Vec::new();
            for set in sets.into_iter().map(&with_open) {
                let room: u32 = set.iter().map(|&at| self.best.boxes[self.part.boxes[at]].capacity).sum();
                if room < chains || cuts.iter().any(|cut| cut.most(&set) < fed) {
                    continue;
                }
                if flow.most(&set, fed) == fed {
                    able.push((cover.unlimited(&set)?.1, set));
                } else {
                    cuts.push(flow.cut());
                }
            }
            if able.is_empty() {
                continue;
            }
            able.sort();
            let mut best_here = self.try_sets(&cover, &able, unfed, known);
            if best_here.is_none() && !bounded {
                let Some(led) = self.try_hard(&cover, &able, unfed, known) else { continue };
                best_here = led;
            }
            if !bounded {
                (bounded, bound.boxes) = (true, size as u32);
            }
            let reached = best_here.as_ref().map_or(known, |led| led.measure.min(known));
            if (reached.unfed, reached.boxes) == (bound.unfed, bound.boxes) && bound.boxes == size as u32 {
                let (least, better) = self.narrowed(&cover, &able, reached);
                bound.length = bound.length.max(least / THOUSANDTH);
                best_here = better.or(best_here);
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

    /// As many of the shut boxes as hold what the open ones leave of so many leads, whichever they are.
    fn fewest_by_room(&self, shut: &[usize], open: &[usize], leads: u32) -> u32 {
        let room = |&at: &usize| self.best.boxes[self.part.boxes[at]].capacity;
        let mut left = leads.saturating_sub(open.iter().map(room).sum());
        let mut rooms: Vec<u32> = shut.iter().map(room).collect();
        rooms.sort_unstable_by_key(|&room| Reverse(room));
        let mut boxes = 0;
        while left > 0 && boxes < rooms.len() {
            left = left.saturating_sub(rooms[boxes]);
            boxes += 1;
        }
        boxes as u32
    }

    pub(super) fn is_open(&self, at: usize) -> bool {
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
            if let Some(led) = self.lead_away(cover, set, unfed, known, Effort::Short)
                && best.as_ref().is_none_or(|b| led.measure < b.measure)
            {
                best = Some(led);
            }
        }
        best
    }

    /// The same at length, where room is so scarce that only prices found at length lead all chains past each other. None when no set has room.
    fn try_hard(&self, cover: &Cover, able: &[(i64, Vec<usize>)], unfed: u32, known: Measure) -> Option<Option<Led>> {
        let mut roomy = able.len() > MOST_TRIED;
        let mut best: Option<Led> = None;
        for (at, (_, set)) in able.iter().take(MOST_TRIED).enumerate() {
            if best.is_some() && at >= MOST_PRICED_LONG {
                break;
            }
            let (led, has_room) = self.weigh(cover, set, unfed, known, Effort::Long);
            roomy |= has_room;
            best = best.into_iter().chain(led).min_by_key(|led| led.measure);
        }
        roomy.then_some(best)
    }

    /// Chains led to as few boxes as there is a way for, from the bound up: those that prices open, where there are too many sets to go through.
    fn chosen(&self, cover: &Cover, open: &[usize], known: Measure, bound: &mut Measure) -> Option<Led> {
        let every: Vec<usize> = (0..self.part.boxes.len()).collect();
        let mut bounded = false;
        let sizes = bound.boxes..=known.boxes.max(bound.boxes);
        let work = cover.plans.len() * every.len() * (sizes.end() - sizes.start() + 1) as usize;
        let steps = CHOICE_STEPS.min((MOST_WORK / work) as u32);
        if steps < STEPS {
            return None;
        }
        for boxes in sizes {
            let worth = (known.boxes <= boxes && known.unfed == bound.unfed).then_some(known.length * THOUSANDTH);
            let ((_, cost, _), kept) = cover.limited(&every, open.len() + boxes as usize, worth, steps)?;
            if cost == NO_ROOM {
                continue;
            }
            if !bounded {
                (bounded, bound.boxes) = (true, boxes);
                bound.length = bound.length.max(cost / THOUSANDTH);
            }
            let mut sets: Vec<Vec<usize>> = Vec::new();
            for prices in kept {
                let set: BTreeSet<usize> = open.iter().copied().chain(prices.open).collect();
                let set = set.into_iter().collect();
                if !sets.contains(&set) {
                    sets.push(set);
                }
            }
            let lead_away = |set: &Vec<usize>| self.lead_away(cover, set, bound.unfed, known, Effort::Short);
            if let Some(led) = sets.iter().filter_map(lead_away).min_by_key(|led| led.measure) {
                return Some(led);
            }
        }
        None
    }

    /// Boxes used so far closed one by one, while the others can feed all.
    fn closed(&self, cover: &Cover, flow: &mut Flow, (fed, unfed): (u32, u32), known: Measure) -> Option<Led> {
        let is_used = |at: &usize| self.is_open(*at) || self.used.contains(&self.part.boxes[*at]);
        let mut set: Vec<usize> = (0..self.part.boxes.len()).filter(is_used).collect();
        let mut best = self.lead_away(cover, &set, unfed, known, Effort::Short);
        loop {
            let mut fewer: Vec<(i64, Vec<usize>)> = Vec::new();
            for &at in set.iter().filter(|&&at| !self.is_open(at)) {
                let without: Vec<usize> = set.iter().copied().filter(|&other| other != at).collect();
                if flow.most(&without, fed) == fed {
                    fewer.push((cover.unlimited(&without)?.1, without));
                }
            }
            fewer.sort();
            let led = |(_, set): (i64, Vec<usize>)| {
                self.lead_away(cover, &set, unfed, known, Effort::Short).map(|led| (led, set))
            };
            let Some((led, without)) = fewer.into_iter().take(MOST_CLOSED).find_map(led) else { return best };
            (best, set) = (Some(led), without);
        }
    }

    /// One box after another given up for one that is not used, while that saves lead.
    fn exchanged(&self, cover: &Cover, flow: &mut Flow, (fed, unfed): (u32, u32), mut led: Led) -> Led {
        let one_set = cover.plans.len() * self.part.boxes.len();
        for _ in 0..MOST_EXCHANGES {
            let boxes: BTreeSet<usize> = led.served.iter().map(|(_, served)| served.box_plan).collect();
            let (used, others): (Vec<usize>, Vec<usize>) =
                (0..self.part.boxes.len()).partition(|&at| self.is_open(at) || boxes.contains(&self.part.boxes[at]));
            if one_set * used.len() * others.len() > MOST_WORK {
                break;
            }
            let mut sets: Vec<(i64, Vec<usize>)> = Vec::new();
            for &given_up in used.iter().filter(|&&at| !self.is_open(at)) {
                for &other in &others {
                    let set = used.iter().map(|&at| if at == given_up { other } else { at }).collect::<Vec<usize>>();
                    if let Some((cold, cost, _)) = cover.unlimited(&set)
                        && cold == unfed
                    {
                        sets.push((cost, set));
                    }
                }
            }
            sets.sort();
            sets.retain(|set| set.0 < led.measure.length * THOUSANDTH);
            let mut able = sets.into_iter().filter(|(_, set)| flow.most(set, fed) == fed).take(MOST_TRIED);
            let better = able.find_map(|(_, set)| {
                self.lead_away(cover, &set, unfed, led.measure, Effort::Short)
                    .filter(|other| other.measure < led.measure)
            });
            match better {
                Some(better) => led = better,
                None => break,
            }
        }
        led
    }

    /// What no set costs less than, and a way of feeding better than what is `reached`, if the set with the least bound has one.
    fn narrowed(&self, cover: &Cover, able: &[(i64, Vec<usize>)], reached: Measure) -> (i64, Option<Led>) {
        let value = reached.length * THOUSANDTH;
        let (least, at) = self.least_of(cover, able, value);
        let wide = at.filter(|_| value - least > value / SMALL_GAP);
        let better = wide.and_then(|at| self.lead_away(cover, &able[at].1, reached.unfed, reached, Effort::Long));
        let better = better.filter(|led| led.measure < reached);
        (better.as_ref().map_or(least, |led| least.min(led.measure.length * THOUSANDTH)), better)
    }

    /// What no set costs less than, if it costs less than `value` at all. The set with the least bound so far is priced next: shortly, and
    /// when that still leaves a gap, at length.
    fn least_of(&self, cover: &Cover, able: &[(i64, Vec<usize>)], value: i64) -> (i64, Option<usize>) {
        let mut bounds: BTreeSet<(i64, usize, u32)> =
            able.iter().enumerate().filter(|(_, set)| set.0 < value).map(|(at, set)| (set.0, at, 0)).collect();
        let (mut short, mut long) = (MOST_PRICED, MOST_PRICED_LONG);
        while let Some((least, at, steps)) = bounds.pop_first() {
            let more = match steps {
                0 if short > 0 => STEPS,
                STEPS if long > 0 && value - least > value / SMALL_GAP => LONG_STEPS,
                _ => return (least, Some(at)),
            };
            if more == STEPS {
                short -= 1
            } else {
                long -= 1
            }
            let priced = cover
                .limited(&able[at].1, able[at].1.len(), Some(value), more)
                .map_or(least, |((_, cost, _), _)| cost.max(least));
            if priced < value {
                bounds.insert((priced, at, more));
            }
        }
        (value, None)
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

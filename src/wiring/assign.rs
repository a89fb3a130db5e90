//! Which chain goes to which box: boxes are opened one at a time, each the one that serves most, then with the least lead.

use super::boxes::BoxPlan;
use super::chains::{ChainPlan, FeedPlace};
use super::graph::{ExitKind, Graph, Route, Start};
use super::sizes::coarse;
use crate::courses::Courses;
use crate::index::FaceId;
use std::collections::{BTreeMap, BTreeSet};

/// Boxes are chosen for so much of a face at a time, inches along the eave: far longer than any house, and short enough that the work grows
/// with the length of the eaves and not with its square.
const STRETCH: f64 = 2400.0;

/// A face and the number of its stretch.
type Stretch = (FaceId, i64);

/// The way a chain is fed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Served {
    pub chain: usize,
    pub place: FeedPlace,
    pub route: Route,
    pub exit: usize,
    /// Position in the list of box plans.
    pub box_plan: usize,
}

/// What is taken so far.
#[derive(Debug, Clone)]
pub(super) struct Booked {
    pub lanes: Vec<u32>,
    exits: Vec<u32>,
    boxes: Vec<u32>,
    pub served: Vec<Served>,
}

/// All that stays the same while boxes are opened.
pub(super) struct Choices<'a> {
    pub graph: &'a Graph,
    pub chains: &'a [ChainPlan],
    pub boxes: &'a [BoxPlan],
    pub courses: &'a Courses,
}

impl Choices<'_> {
    /// Serves what can be served. Boxes in `open` are there from the start (those the job sets).
    pub(super) fn serve(&self, lanes: Vec<u32>, open: &[usize]) -> Booked {
        let mut booked = Booked {
            lanes,
            exits: vec![0; self.graph.exits.len()],
            boxes: vec![0; self.boxes.len()],
            served: Vec::new(),
        };
        let mut open: Vec<usize> = open.to_vec();
        let waiting: Vec<usize> = (0..self.chains.len()).filter(|&c| !self.chains[c].feeds.is_empty()).collect();
        booked = self.fill(booked, &open, &waiting);
        let mut boxes: BTreeMap<Stretch, Vec<usize>> = BTreeMap::new();
        for at in 0..self.boxes.len() {
            boxes.entry(self.stretch_of_box(at)).or_default().push(at);
        }
        let mut chains: BTreeMap<Stretch, Vec<usize>> = BTreeMap::new();
        for &chain in &waiting {
            chains.entry(self.stretch_of_chain(chain)).or_default().push(chain);
        }
        for (stretch, here) in &chains {
            let own = boxes.get(stretch).map_or(&[][..], Vec::as_slice);
            booked = self.open_boxes(booked, &mut open, own, here);
        }
        // What its own stretch cannot serve may cross to boxes elsewhere.
        let all: Vec<usize> = (0..self.boxes.len()).collect();
        booked = self.fill(booked, &open, &waiting);
        self.open_boxes(booked, &mut open, &all, &waiting)
    }

    fn stretch_of_chain(&self, chain: usize) -> Stretch {
        let segment = &self.courses.segments[self.chains[chain].segments[0].index()];
        (segment.face, (0.5 * (segment.along.low + segment.along.high) / STRETCH).floor() as i64)
    }

    fn stretch_of_box(&self, at: usize) -> Stretch {
        let item = &self.boxes[at];
        let place = item.exits.first().map(|&(exit, _)| self.graph.nodes[self.graph.exits[exit].node].at.x);
        (item.face, (place.unwrap_or(0.0) / STRETCH).floor() as i64)
    }

    /// Opens boxes among `candidates` for the chains in `wanted` while that serves more of them.
    fn open_boxes(&self, mut base: Booked, open: &mut Vec<usize>, candidates: &[usize], wanted: &[usize]) -> Booked {
        let mut served = std::mem::take(&mut base.served);
        let done: BTreeSet<usize> = served.iter().map(|s| s.chain).collect();
        // One that finds no way with every candidate open finds none with any of them.
        let every: Vec<usize> = open.iter().chain(candidates).copied().collect();
        let servable = |c: &usize| !done.contains(c) && self.cheapest(&base, &every, *c).is_some();
        let wanted: Vec<usize> = wanted.iter().copied().filter(servable).collect();
        let mut now = base.clone();
        let mut opened: Vec<usize> = Vec::new();
        let mut closed: Vec<usize> = candidates.iter().copied().filter(|c| !open.contains(c)).collect();
        while now.served.len() < wanted.len() {
            let mut best: Option<(usize, Booked)> = None;
            // Boxes side by side under one exit are opened in their order: the first of them is the nearest.
            let mut tried: BTreeSet<Option<usize>> = BTreeSet::new();
            for &candidate in &closed {
                if !tried.insert(self.boxes[candidate].exits.first().map(|exit| exit.0)) {
                    continue;
                }
                let with: Vec<usize> = open.iter().chain(&opened).copied().chain([candidate]).collect();
                let trial = self.fill(base.clone(), &with, &wanted);
                let better = |than: &Booked| {
                    trial.served.len() > than.served.len()
                        || (trial.served.len() == than.served.len() && coarse(trial.length()) < coarse(than.length()))
                };
                if trial.served.len() > now.served.len() && best.as_ref().is_none_or(|(_, b)| better(b)) {
                    best = Some((candidate, trial));
                }
            }
            let Some((candidate, trial)) = best else { break };
            opened.push(candidate);
            closed.retain(|&c| c != candidate);
            now = trial;
        }
        open.extend(opened);
        served.append(&mut now.served);
        Booked { served, ..now }
    }

    fn unserved(&self, booked: &Booked, wanted: &[usize]) -> Vec<usize> {
        let done: BTreeSet<usize> = booked.served.iter().map(|s| s.chain).collect();
        wanted.iter().copied().filter(|c| !done.contains(c)).collect()
    }

    /// Feeds waiting chains one by one from open boxes with room: the nearest first, or those with one feed end first, whichever serves
    /// more and then with less lead.
    fn fill(&self, booked: Booked, open: &[usize], wanted: &[usize]) -> Booked {
        let waiting = self.unserved(&booked, wanted);
        let mut near: Vec<Served> = waiting.iter().filter_map(|&c| self.cheapest(&booked, open, c)).collect();
        near.sort_by_key(|served| (coarse(served.route.cost), served.chain));
        let by_length = self.fill_in_order(booked.clone(), open, &near);
        if by_length.served.len() == booked.served.len() + near.len() {
            return by_length;
        }
        near.sort_by_key(|served| self.ends(served.chain));
        let by_ends = self.fill_in_order(booked, open, &near);
        if by_ends.served.len() > by_length.served.len() { by_ends } else { by_length }
    }

    /// Ends at which a chain may be fed.
    fn ends(&self, chain: usize) -> usize {
        self.chains[chain].feeds.len()
    }

    /// Whether a way found before more was booked is still open; then it is still the cheapest.
    fn still_open(&self, booked: &Booked, served: &Served) -> bool {
        let full =
            matches!(self.graph.exits[served.exit].kind, ExitKind::Hole(most) if booked.exits[served.exit] >= most);
        !full
            && booked.boxes[served.box_plan] < self.boxes[served.box_plan].capacity
            && served.route.lanes().into_iter().all(|lane| self.graph.has_room(lane, &booked.lanes))
    }

    /// Feeds chains in order, each the way found for it or, where that has filled up, the cheapest left.
    fn fill_in_order(&self, mut booked: Booked, open: &[usize], order: &[Served]) -> Booked {
        for found in order {
            let again = || self.cheapest(&booked, open, found.chain);
            let kept = self.still_open(&booked, found).then(|| found.clone());
            let Some(served) = kept.or_else(again) else { continue };
            for lane in served.route.lanes() {
                booked.lanes[lane.index()] += 1;
            }
            booked.exits[served.exit] += 1;
            booked.boxes[served.box_plan] += 1;
            booked.served.push(served);
        }
        booked
    }

    /// The cheapest way to feed a chain as things stand.
    fn cheapest(&self, booked: &Booked, open: &[usize], chain: usize) -> Option<Served> {
        let mut targets: BTreeMap<usize, f64> = BTreeMap::new();
        let mut reached: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
        for &at in open.iter().filter(|&&at| booked.boxes[at] < self.boxes[at].capacity) {
            for &(exit, beyond) in &self.boxes[at].exits {
                let node = self.graph.exits[exit].node;
                let full = matches!(self.graph.exits[exit].kind, ExitKind::Hole(most) if booked.exits[exit] >= most);
                if !full && targets.get(&node).is_none_or(|&known| beyond < known) {
                    targets.insert(node, beyond);
                    reached.insert(node, (exit, at));
                }
            }
        }
        if targets.is_empty() {
            return None;
        }
        let mut starts: Vec<Start> = Vec::new();
        let mut places: Vec<FeedPlace> = Vec::new();
        for &place in &self.chains[chain].feeds {
            for attachment in &self.graph.ends[&(self.chains[chain].fed(place.reversed), place.end)] {
                starts.push(Start { node: attachment.node, lane: attachment.lane, cost: attachment.stub });
                places.push(place);
            }
        }
        let route = self.graph.route(&starts, &targets, &booked.lanes)?;
        let (exit, box_plan) = reached[&route.target];
        Some(Served { chain, place: places[route.start], route, exit, box_plan })
    }
}

impl Booked {
    fn length(&self) -> f64 {
        self.served.iter().map(|s| s.route.cost).sum()
    }
}

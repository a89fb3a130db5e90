//! Which segments are joined by jumpers: those of neighbouring courses whose ends open into one lane.
//!
//! From the lowest free segment a chain grows course by course while its element stays within one piece's length. It snakes where lanes
//! open at both ends; where only one end of each has a lane, jumpers join these ends. The choice knows no left and right: a mirrored
//! roof is chained alike.

use super::graph::Graph;
use super::model::End;
use super::sizes::coarse;
use crate::catalog::Element;
use crate::courses::{Courses, ElementRole, Segment};
use crate::electrical::{longest_strip, steady_conductance};
use crate::index::{FaceId, LaneId, SegmentId};
use crate::job::Job;
use crate::units::INCHES_PER_FOOT;
use crate::zones::Zones;
use std::collections::{BTreeMap, BTreeSet};

impl End {
    /// The other end.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// A jumper between the same-side ends of two segments, in one lane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct JumperPlan {
    pub from: SegmentId,
    pub to: SegmentId,
    pub end: End,
    pub lane: LaneId,
}

/// A way to feed a chain: at an end of its first segment, or of its last when it is taken in reverse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct FeedPlace {
    pub reversed: bool,
    pub end: End,
}

/// A chain before it has a box.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ChainPlan {
    pub segments: Vec<SegmentId>,
    /// Where it may be fed; none when no lane opens at any end.
    pub feeds: Vec<FeedPlace>,
    /// One fewer than segments.
    pub jumpers: Vec<JumperPlan>,
}

impl ChainPlan {
    /// The segment that a feed reaches.
    pub(super) fn fed(&self, reversed: bool) -> SegmentId {
        self.segments[if reversed { self.segments.len() - 1 } else { 0 }]
    }

    /// Segments and jumpers in order from the feed.
    pub(super) fn oriented(&self, reversed: bool) -> (Vec<SegmentId>, Vec<JumperPlan>) {
        let (mut segments, mut jumpers) = (self.segments.clone(), self.jumpers.clone());
        if reversed {
            segments.reverse();
            jumpers.reverse();
            for jumper in &mut jumpers {
                (jumper.from, jumper.to) = (jumper.to, jumper.from);
            }
        }
        (segments, jumpers)
    }
}

/// How the jumpers of a chain run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shape {
    /// Fed at this end of the first segment, each jumper leaving from the end that was not fed.
    Snake(End),
    /// All jumpers at this end.
    Comb(End),
}

/// What chaining looks at.
pub(super) struct Chaining<'a> {
    graph: &'a Graph,
    zones: &'a Zones,
    courses: &'a Courses,
    /// Segments that are not installed.
    pub left_off: &'a BTreeSet<SegmentId>,
    /// The longest a chain may be whose shortest limit is that of the starter element and of the deck element, inches.
    limits: (f64, f64),
    /// Segments of each face and course, in their order.
    in_course: BTreeMap<(FaceId, u32), Vec<SegmentId>>,
}

impl<'a> Chaining<'a> {
    pub(super) fn new(
        graph: &'a Graph,
        zones: &'a Zones,
        courses: &'a Courses,
        job: &Job,
        left_off: &'a BTreeSet<SegmentId>,
    ) -> Self {
        let mut in_course: BTreeMap<(FaceId, u32), Vec<SegmentId>> = BTreeMap::new();
        for segment in &courses.segments {
            in_course.entry((segment.face, segment.course)).or_default().push(segment.id);
        }
        let limits = (limit(&job.products.starter.value, job), limit(&job.products.deck.value, job));
        Self { graph, zones, courses, left_off, limits, in_course }
    }

    /// Segments of the course above this one's, on its face.
    fn above(&self, segment: &Segment) -> &[SegmentId] {
        self.in_course.get(&(segment.face, segment.course + 1)).map_or(&[], Vec::as_slice)
    }

    /// Groups all segments into chains, in segment order, and books the jumpers' lanes in `used`. Segments in `single` stay
    /// alone. A segment without any lane at its ends is a chain of its own that nothing can feed.
    pub(super) fn plan(&self, single: &BTreeSet<SegmentId>, used: &mut [u32]) -> Vec<ChainPlan> {
        let gone = |id: &SegmentId| single.contains(id) || self.left_off.contains(id);
        let mut taken: Vec<bool> = self.courses.segments.iter().map(|s| gone(&s.id)).collect();
        let mut chains: Vec<ChainPlan> = Vec::new();
        for segment in &self.courses.segments {
            if taken[segment.id.index()] && !single.contains(&segment.id) {
                continue;
            }
            let ends: Vec<End> =
                [End::Left, End::Right].into_iter().filter(|&end| self.opens(segment.id, end)).collect();
            let alone = ends.iter().map(|&end| FeedPlace { reversed: false, end }).collect();
            let mut best = ChainPlan { segments: vec![segment.id], feeds: alone, jumpers: Vec::new() };
            if !single.contains(&segment.id) {
                let snakes = ends.iter().filter(|_| ends.len() == 2).map(|&end| Shape::Snake(end));
                let combs = ends.iter().filter(|_| ends.len() == 1).map(|&end| Shape::Comb(end));
                for shape in snakes.chain(combs) {
                    let grown = self.grow(segment, shape, &taken, used);
                    let better = (grown.segments.len(), -self.run(&grown)) > (best.segments.len(), -self.run(&best));
                    if better {
                        best = grown;
                    }
                }
            }
            for id in &best.segments {
                taken[id.index()] = true;
            }
            for jumper in &best.jumpers {
                used[jumper.lane.index()] += 1;
            }
            chains.push(best);
        }
        chains
    }

    /// A segment as a chain of its own.
    pub(super) fn alone(&self, segment: SegmentId) -> ChainPlan {
        let ends = [End::Left, End::Right].into_iter().filter(|&end| self.opens(segment, end));
        let feeds = ends.map(|end| FeedPlace { reversed: false, end }).collect();
        ChainPlan { segments: vec![segment], feeds, jumpers: Vec::new() }
    }

    /// Every chain that may be made of `segments`, in segment order; those in `single` stay alone. None when there are more than `most`.
    pub(super) fn every(
        &self,
        segments: &[SegmentId],
        single: &BTreeSet<SegmentId>,
        most: usize,
    ) -> Option<Vec<ChainPlan>> {
        let among: BTreeSet<SegmentId> = segments.iter().copied().collect();
        let mut chains = Vec::new();
        for &id in segments {
            let alone = self.alone(id);
            let open: Vec<End> = alone.feeds.iter().map(|feed| feed.end).collect();
            if !open.is_empty() {
                chains.push(alone);
            }
            if single.contains(&id) {
                continue;
            }
            let snakes = open.iter().filter(|_| open.len() == 2).map(|&end| Shape::Snake(end));
            let combs = open.iter().filter(|_| open.len() == 1).map(|&end| Shape::Comb(end));
            for shape in snakes.chain(combs) {
                let (Shape::Snake(start) | Shape::Comb(start)) = shape;
                let mut growing = vec![(vec![id], Vec::new(), start)];
                while let Some((members, jumpers, fed)) = growing.pop() {
                    let out = if matches!(shape, Shape::Snake(_)) { fed.other() } else { fed };
                    let last = members[members.len() - 1];
                    let above = self.above(&self.courses.segments[last.index()]);
                    for &next in above.iter().filter(|s| among.contains(s) && !single.contains(s)) {
                        let Some(lane) = self.joins(&members, next, out, shape) else { continue };
                        let longer: Vec<SegmentId> = members.iter().copied().chain([next]).collect();
                        let mut more: Vec<JumperPlan> = jumpers.clone();
                        more.push(JumperPlan { from: last, to: next, end: out, lane });
                        let far = if matches!(shape, Shape::Snake(_)) { out.other() } else { out };
                        let feeds =
                            vec![FeedPlace { reversed: false, end: start }, FeedPlace { reversed: true, end: far }];
                        chains.push(ChainPlan { segments: longer.clone(), feeds, jumpers: more.clone() });
                        growing.push((longer, more, out));
                        if chains.len() > most {
                            return None;
                        }
                    }
                }
            }
        }
        Some(chains)
    }

    /// The lane of a jumper from the last of `members` at `out` to `next` of the course above, if the chain may go on there.
    fn joins(&self, members: &[SegmentId], next: SegmentId, out: End, shape: Shape) -> Option<LaneId> {
        let segment = |id: &SegmentId| &self.courses.segments[id.index()];
        let (last, next_one) = (segment(&members[members.len() - 1]), segment(&next));
        let all = || members.iter().chain([&next]).map(segment);
        let length: f64 = all().map(|s| s.cut_length).sum();
        let limit = all().map(|s| self.limit(s)).fold(f64::INFINITY, f64::min);
        let fits = self.priority(next_one) == self.priority(last)
            && self.opens(next, out.other()) == matches!(shape, Shape::Snake(_))
            && length <= limit + SAME_LENGTH;
        if fits { self.shared_lane(last.id, next, out).map(|(_, lane)| lane) } else { None }
    }

    /// Length of a chain's jumpers as they are laid, without make-up, inches.
    pub(super) fn jumper_length(&self, chain: &ChainPlan) -> f64 {
        let length = |jumper: &JumperPlan| {
            let stub = |id: SegmentId| {
                let ends = self.graph.ends.get(&(id, jumper.end));
                ends.and_then(|ends| ends.iter().find(|a| a.lane == jumper.lane)).map_or(0.0, |a| a.stub)
            };
            let v = |id: SegmentId| self.courses.segments[id.index()].left_end().y;
            stub(jumper.from) + stub(jumper.to) + (v(jumper.from) - v(jumper.to)).abs()
        };
        chain.jumpers.iter().map(length).sum()
    }

    fn opens(&self, segment: SegmentId, end: End) -> bool {
        self.graph.ends.get(&(segment, end)).is_some_and(|lanes| !lanes.is_empty())
    }

    /// Length of the stubs of all jumpers, coarsely; what is left equal here costs the same.
    fn run(&self, chain: &ChainPlan) -> i64 {
        let stub = |id: SegmentId, jumper: &JumperPlan| {
            let ends = self.graph.ends.get(&(id, jumper.end));
            ends.and_then(|ends| ends.iter().find(|a| a.lane == jumper.lane)).map_or(0.0, |a| a.stub)
        };
        coarse(chain.jumpers.iter().map(|j| stub(j.from, j) + stub(j.to, j)).sum())
    }

    fn grow(&self, first: &Segment, shape: Shape, taken: &[bool], used: &[u32]) -> ChainPlan {
        let mut chain = ChainPlan { segments: vec![first.id], feeds: Vec::new(), jumpers: Vec::new() };
        let (mut last, mut length, mut limit) = (first, first.cut_length, self.limit(first));
        let (Shape::Snake(mut fed) | Shape::Comb(mut fed)) = shape;
        loop {
            let out = if matches!(shape, Shape::Snake(_)) { fed.other() } else { fed };
            let booked = |lane: LaneId| chain.jumpers.iter().filter(|j| j.lane == lane).count() as u32;
            let fits = |s: &&Segment| {
                self.priority(s) == self.priority(last)
                    && !taken[s.id.index()]
                    && self.opens(s.id, out.other()) == matches!(shape, Shape::Snake(_))
                    && length + s.cut_length <= self.limit(s).min(limit) + SAME_LENGTH
            };
            let joined = |s: &Segment| {
                let (stub, lane) = self.shared_lane(last.id, s.id, out)?;
                let room = used[lane.index()] + booked(lane) < self.graph.lanes[lane.index()].capacity;
                room.then_some((coarse(stub), s.id, lane))
            };
            let next = self
                .above(last)
                .iter()
                .map(|id| &self.courses.segments[id.index()])
                .filter(fits)
                .filter_map(joined)
                .min();
            let Some((_, id, lane)) = next else { break };
            let segment = &self.courses.segments[id.index()];
            chain.jumpers.push(JumperPlan { from: last.id, to: id, end: out, lane });
            chain.segments.push(id);
            length += segment.cut_length;
            limit = limit.min(self.limit(segment));
            (last, fed) = (segment, out);
        }
        let (Shape::Snake(start) | Shape::Comb(start)) = shape;
        chain.feeds.push(FeedPlace { reversed: false, end: start });
        if chain.segments.len() > 1 {
            let end = if matches!(shape, Shape::Snake(_)) { fed.other() } else { fed };
            chain.feeds.push(FeedPlace { reversed: true, end });
        }
        chain
    }

    fn priority(&self, segment: &Segment) -> u32 {
        self.zones.zones[segment.zone.index()].priority
    }

    /// The longest a chain with this segment may be, inches.
    fn limit(&self, segment: &Segment) -> f64 {
        match segment.element {
            ElementRole::Starter => self.limits.0,
            ElementRole::Deck => self.limits.1,
        }
    }

    /// The lane both ends open into, nearest to both; then the smallest id.
    fn shared_lane(&self, a: SegmentId, b: SegmentId, end: End) -> Option<(f64, LaneId)> {
        let (a, b) = (self.graph.ends.get(&(a, end))?, self.graph.ends.get(&(b, end))?);
        let shared = a.iter().filter_map(|x| b.iter().find(|y| y.lane == x.lane).map(|y| (x.stub + y.stub, x.lane)));
        shared.min_by(|x, y| coarse(x.0).cmp(&coarse(y.0)).then(x.1.cmp(&y.1)))
    }
}

/// The longest a chain of this element may be: one piece, or less where the drop along its buses says so, inches.
fn limit(element: &Element, job: &Job) -> f64 {
    let conductance = steady_conductance(element, job.electrical.running_temperature.value);
    let by_volts = longest_strip(element.bus_ohms_per_foot, conductance, job.electrical.lead_drop);
    job.courses.longest_piece.min(element.longest_piece.inches()).min(INCHES_PER_FOOT * by_volts)
}

/// Lengths this near are one, inches.
const SAME_LENGTH: f64 = 1e-6;

//! Which segments are joined by jumpers: short ones of neighbouring courses whose ends open into one lane.

use super::graph::Graph;
use super::model::End;
use crate::courses::{Courses, ElementRole, Segment};
use crate::index::{LaneId, SegmentId};
use crate::job::Job;
use std::collections::BTreeSet;

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

/// A chain before it has a box. Power snakes: each jumper leaves by the end that was not fed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ChainPlan {
    pub segments: Vec<SegmentId>,
    /// Ends of the first segment that may be fed.
    pub feed_ends: Vec<End>,
    /// One fewer than segments.
    pub jumpers: Vec<JumperPlan>,
}

/// The longest a chain of this segment's element may be, inches.
fn limit(segment: &Segment, job: &Job) -> f64 {
    let element = match segment.element {
        ElementRole::Starter => &job.products.starter.value,
        ElementRole::Deck => &job.products.deck.value,
    };
    job.courses.longest_piece.min(element.longest_piece.inches())
}

/// Groups all segments into chains, in segment order, and books the jumpers' lanes in `used`. Segments in `single` stay
/// alone. A segment without any lane at its ends is a chain of its own without feed ends.
pub(super) fn plan_chains(
    graph: &Graph,
    courses: &Courses,
    job: &Job,
    single: &BTreeSet<SegmentId>,
    used: &mut [u32],
) -> Vec<ChainPlan> {
    let mut taken: Vec<bool> = vec![false; courses.segments.len()];
    let mut chains = Vec::new();
    for segment in &courses.segments {
        if taken[segment.id.index()] {
            continue;
        }
        let open = |end: &End| !graph.ends.get(&(segment.id, *end)).is_none_or(Vec::is_empty);
        let feed_ends: Vec<End> = [End::Left, End::Right].into_iter().filter(open).collect();
        let mut best = ChainPlan { segments: vec![segment.id], feed_ends: feed_ends.clone(), jumpers: Vec::new() };
        for &fed in feed_ends.iter().filter(|_| !single.contains(&segment.id)) {
            let closed: Vec<bool> =
                courses.segments.iter().map(|s| taken[s.id.index()] || single.contains(&s.id)).collect();
            let grown = grow(graph, courses, segment, fed, job, &closed, used);
            if grown.segments.len() > best.segments.len() {
                best = grown;
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

fn grow(
    graph: &Graph,
    courses: &Courses,
    first: &Segment,
    fed: End,
    job: &Job,
    taken: &[bool],
    used: &[u32],
) -> ChainPlan {
    let mut chain = ChainPlan { segments: vec![first.id], feed_ends: vec![fed], jumpers: Vec::new() };
    let (mut last, mut fed, mut length) = (first, fed, first.cut_length);
    loop {
        let out = fed.other();
        let next = courses.segments.iter().find_map(|s| {
            let fits = s.zone == last.zone
                && s.course == last.course + 1
                && s.element == last.element
                && !taken[s.id.index()]
                && length + s.cut_length <= limit(s, job).min(limit(first, job));
            let booked = |lane: LaneId| chain.jumpers.iter().filter(|j| j.lane == lane).count() as u32;
            let lane = shared_lane(graph, last.id, s.id, out)?;
            let room = used[lane.index()] + booked(lane) < graph.lanes[lane.index()].capacity;
            (fits && room).then_some((s, lane))
        });
        let Some((segment, lane)) = next else { return chain };
        chain.jumpers.push(JumperPlan { from: last.id, to: segment.id, end: out, lane });
        chain.segments.push(segment.id);
        length += segment.cut_length;
        (last, fed) = (segment, out);
    }
}

/// The lane both ends open into; the nearest to both, then the smallest id.
fn shared_lane(graph: &Graph, a: SegmentId, b: SegmentId, end: End) -> Option<LaneId> {
    let (a, b) = (graph.ends.get(&(a, end))?, graph.ends.get(&(b, end))?);
    let shared = a.iter().filter_map(|x| b.iter().find(|y| y.lane == x.lane).map(|y| (x.stub + y.stub, x.lane)));
    shared.min_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1))).map(|(_, lane)| lane)
}

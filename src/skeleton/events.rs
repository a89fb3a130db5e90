//! What will happen next: fronts that shrink to nothing, corners that run into a front, sides that start or stop.
//!
//! Every pair of a reflex vertex and a front is looked at when either is new, first in plain numbers, and only what
//! may come before the vertex's best is worked out with twice the digits from the sides' own lines. So no error adds up
//! from event to event, and the whole takes a time of n^2 with a small factor.

use super::double::Double;
use super::lines::{Spot, apart, dot, minus};
use super::wave::Wave;
use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// What happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum What {
    /// A side starts to move, or stops.
    Turn(usize),
    /// The front from one vertex to the next has no length any more.
    Collapse(usize, usize),
    /// A vertex runs into the front between two others.
    Hit(usize, usize, usize),
}

/// When it happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Event {
    pub height: Double,
    pub what: What,
}

impl Eq for Event {}

impl PartialOrd for Event {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Event {
    fn cmp(&self, other: &Self) -> Ordering {
        self.height.total(other.height).then(self.what.cmp(&other.what))
    }
}

/// A vertex in plain numbers.
#[derive(Debug, Clone, Copy)]
struct Ray {
    vertex: usize,
    /// From x, y, by x, y.
    motion: [f64; 4],
    /// So fast that plain numbers say nothing.
    wild: bool,
    /// No hit later than this is of interest.
    best: f64,
}

/// A front in plain numbers.
#[derive(Debug, Clone, Copy)]
struct Front {
    start: usize,
    /// Normal x, y, level, rate.
    line: [f64; 4],
}

const NOWHERE: usize = usize::MAX;

/// The queue and the lists that searches run over.
#[derive(Debug, Clone, Default)]
pub(super) struct Watch {
    queue: BinaryHeap<Reverse<Event>>,
    fronts: Vec<Front>,
    reflex: Vec<Ray>,
    /// Where each vertex stands in the two lists.
    slots: Vec<[usize; 2]>,
    /// Each vertex in plain numbers, and whether it is too fast for them.
    plain: Vec<([f64; 4], bool)>,
    /// The hit each vertex waits for.
    awaited: Vec<Option<Event>>,
    /// Nothing happens above this.
    last: f64,
}

impl Watch {
    /// An empty queue for events up to a height.
    pub(super) fn until(last: f64) -> Self {
        Self { last, ..Self::default() }
    }

    pub(super) fn push(&mut self, event: Event) {
        self.queue.push(Reverse(event));
    }

    /// The next event, if it comes no later than `until`.
    pub(super) fn pop(&mut self, until: Option<Double>) -> Option<Event> {
        let Reverse(next) = self.queue.peek()?;
        if until.is_some_and(|u| next.height > u) {
            return None;
        }
        self.queue.pop().map(|Reverse(event)| event)
    }

    /// Whether this is still the hit its vertex waits for.
    pub(super) fn awaits(&self, event: &Event) -> bool {
        let What::Hit(vertex, ..) = event.what else { return false };
        self.awaited[vertex].as_ref() == Some(event)
    }

    /// Takes a vertex that has ended out of the lists.
    pub(super) fn forget(&mut self, vertex: usize) {
        let Some(&[front, ray]) = self.slots.get(vertex) else { return };
        if front != NOWHERE {
            self.fronts.swap_remove(front);
            if let Some(moved) = self.fronts.get(front) {
                self.slots[moved.start][0] = front;
            }
        }
        if ray != NOWHERE {
            self.reflex.swap_remove(ray);
            if let Some(moved) = self.reflex.get(ray) {
                self.slots[moved.vertex][1] = ray;
            }
        }
        self.slots[vertex] = [NOWHERE; 2];
    }
}

/// Below this a front gains nothing on a vertex: the two move together, up to rounding.
const NO_GAIN: f64 = 1e-26;

impl Wave {
    /// Looks for the events of everything new.
    pub(super) fn look_ahead(&mut self) {
        let fresh = std::mem::take(&mut self.fresh);
        let mut changed = std::mem::take(&mut self.relinked);
        self.watch.slots.resize(self.vertices.len(), [NOWHERE; 2]);
        self.watch.plain.resize(self.vertices.len(), ([0.0; 4], true));
        self.watch.awaited.resize(self.vertices.len(), None);
        let old_rays = self.watch.reflex.len();
        for &id in &fresh {
            self.enlist(id);
            changed.push(id);
            changed.push(self.vertices[id].previous);
        }
        changed.sort_unstable();
        changed.dedup();
        changed.retain(|&id| self.vertices[id].alive);
        for &id in &changed {
            self.expect_collapse(id);
            for ray in 0..old_rays {
                self.consider(ray, self.watch.slots[id][0]);
            }
        }
        for ray in old_rays..self.watch.reflex.len() {
            self.scan(ray);
        }
        for vertex in std::mem::take(&mut self.stale) {
            self.look_again(vertex);
        }
    }

    /// Puts a settled vertex in the lists.
    fn enlist(&mut self, id: usize) {
        let vertex = self.vertices[id];
        let line = self.lines[vertex.after];
        self.watch.slots[id][0] = self.watch.fronts.len();
        self.watch.fronts.push(Front { start: id, line: line.plain() });
        let before = self.lines[vertex.before];
        let Some(motion) = vertex.motion else { return };
        let (motion, wild) = (motion.plain(), self.is_wild(id));
        self.watch.plain[id] = (motion, wild);
        if before.turn(&line) < 0.0 {
            self.watch.slots[id][1] = self.watch.reflex.len();
            self.watch.reflex.push(Ray { vertex: id, motion, wild, best: self.watch.last });
        }
    }

    /// Whether the sides of a vertex are so nearly parallel that plain numbers don't place it.
    fn is_wild(&self, id: usize) -> bool {
        /// Sine of the angle.
        const NARROW: f64 = 1e-3;
        let vertex = &self.vertices[id];
        let (a, b) = (self.lines[vertex.before].plain(), self.lines[vertex.after].plain());
        (a[0] * b[1] - a[1] * b[0]).abs() < NARROW
    }

    /// Queues the end of the front that starts at a vertex.
    fn expect_collapse(&mut self, id: usize) {
        let vertex = self.vertices[id];
        let (Some(from), Some(to)) = (vertex.motion, self.vertices[vertex.next].motion) else { return };
        let (length, growth) = from.gap(&to, self.lines[vertex.after].direction());
        let what = What::Collapse(id, vertex.next);
        let span = minus(self.place(vertex.next), self.place(id));
        let slack = self.blur(id) + self.blur(vertex.next);
        if dot(self.lines[vertex.after].direction(), span).value() <= slack {
            self.watch.push(Event { height: self.now, what });
        } else if growth < Double::ZERO {
            let height = (-length / growth).max(self.now);
            if height.value() <= self.watch.last {
                self.watch.push(Event { height, what });
            }
        }
    }

    /// Looks for the first hit of a reflex vertex anew; while new vertices wait to be listed, later.
    pub(super) fn look_again(&mut self, vertex: usize) {
        if !self.fresh.is_empty() {
            self.stale.push(vertex);
            return;
        }
        let ray = self.watch.slots[vertex][1];
        if ray != NOWHERE {
            self.watch.awaited[vertex] = None;
            self.watch.reflex[ray].best = self.watch.last;
            self.scan(ray);
        }
    }

    fn scan(&mut self, ray: usize) {
        for front in 0..self.watch.fronts.len() {
            self.consider(ray, front);
        }
    }

    /// Queues the hit of a reflex vertex on a front if it comes before what the vertex waits for.
    fn consider(&mut self, ray: usize, front: usize) {
        let Ray { vertex, motion, wild, best } = self.watch.reflex[ray];
        let Front { start, line } = self.watch.fronts[front];
        /// What plain numbers may be off by, as a share of the outline's size.
        const MARGIN: f64 = 1e-9;
        let margin = MARGIN * self.tolerance.size;
        if !wild {
            let lead = line[0] * motion[0] + line[1] * motion[1] - line[2];
            let gain = line[3] - line[0] * motion[2] - line[1] * motion[3];
            let now = self.now.value();
            if gain < -MARGIN || lead > (best + margin) * gain + margin || lead < (now - margin) * gain - margin {
                return;
            }
            if gain > MARGIN && !self.may_lie_on(motion, lead / gain, start, line, margin) {
                return;
            }
        }
        if let Some(event) = self.hit(vertex, start)
            && self.watch.awaited[vertex].is_none_or(|old| event < old)
        {
            self.watch.awaited[vertex] = Some(event);
            self.watch.reflex[ray].best = event.height.value();
            self.watch.push(event);
        }
    }

    /// Whether in plain numbers a vertex may lie on the front from `start` when it reaches its line.
    fn may_lie_on(&self, motion: [f64; 4], height: f64, start: usize, line: [f64; 4], margin: f64) -> bool {
        let along = |m: [f64; 4]| line[1] * (m[0] + m[2] * height) - line[0] * (m[1] + m[3] * height);
        let place = along(motion);
        let beyond = |end: usize, sign: f64| {
            let (motion, wild) = self.watch.plain[end];
            !wild && sign * (place - along(motion)) < -margin
        };
        !beyond(start, 1.0) && !beyond(self.vertices[start].next, -1.0)
    }

    /// When a reflex vertex reaches the front that starts at another vertex, if it does.
    fn hit(&self, vertex: usize, start: usize) -> Option<Event> {
        let v = &self.vertices[vertex];
        let end = self.vertices[start].next;
        let side = self.vertices[start].after;
        let one = |other: usize| self.same_line[other] == self.same_line[side];
        if one(v.before) || one(v.after) {
            return None;
        }
        let line = &self.lines[side];
        let motion = v.motion?;
        let (lead, gain) = motion.lead(line);
        if gain.value() <= NO_GAIN {
            return None;
        }
        let height = lead / gain;
        if height + Double::from(self.tolerance.height) < self.now || height.value() > self.watch.last {
            return None;
        }
        let height = height.max(self.now);
        let (spot, blur) = self.at(vertex, height);
        let (from, blur_from) = self.at(start, height);
        let (to, blur_to) = self.at(end, height);
        let direction = line.direction();
        let short = |a: Spot, b: Spot, slack: f64| dot(direction, minus(b, a)).value() < -slack;
        if short(from, spot, blur + blur_from) || short(spot, to, blur + blur_to) {
            return None;
        }
        // Vertices that part from one node touch there without running into each other.
        if (height - self.now).value() <= self.tolerance.height {
            let parted =
                |other: usize, at: Spot, slack: f64| self.vertices[other].node == v.node && apart(at, spot) <= slack;
            if parted(start, from, blur + blur_from) || parted(end, to, blur + blur_to) {
                return None;
            }
        }
        Some(Event { height, what: What::Hit(vertex, start, end) })
    }
}

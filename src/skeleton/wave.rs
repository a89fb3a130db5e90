//! The wavefront: loops of vertices, each where the moving lines of two sides meet.
//!
//! A *vertex* lives from one node of the roof to another and draws a crease on its way. The *front* from a vertex to the
//! next is a piece of one side's line. The region not yet roofed lies to the left of every front.

use super::double::Double;
use super::events::Watch;
use super::lines::{Line, Motion, Phase, Spot, apart, dot, minus};
use super::model::Arc;

/// A point of the roof.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub at: Spot,
    pub height: Double,
}

/// A corner of the wavefront.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    /// The side whose front ends here.
    pub before: usize,
    /// The side whose front starts here.
    pub after: usize,
    pub previous: usize,
    pub next: usize,
    /// Where it came from.
    pub node: usize,
    /// `None` until settled.
    pub motion: Option<Motion>,
    pub alive: bool,
}

/// Below which things are one, in the unit of the points. Numbers of twice the digits are off by some 1e-31 of the
/// outline's size, and by the more the faster a vertex runs, its sides being nearly parallel.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tolerance {
    /// Size of the outline.
    pub size: f64,
    /// Two places of vertices that don't move. Smaller: contacts of many vertices fall apart into several. Larger:
    /// fast vertices are held to be where they only come later.
    place: f64,
    /// What is added for a vertex that runs once its height.
    by_speed: f64,
    /// Two heights. As for places.
    pub height: f64,
}

impl Tolerance {
    pub(super) fn of(size: f64) -> Self {
        Self { size, place: size * 1e-29, by_speed: size * 1e-31, height: size * 1e-27 }
    }
}

/// The wavefront and what it has drawn.
#[derive(Debug, Clone)]
pub(super) struct Wave {
    pub lines: Vec<Line>,
    /// Sides on exactly one line with one run and start have the same number.
    pub same_line: Vec<usize>,
    pub vertices: Vec<Vertex>,
    pub nodes: Vec<Node>,
    pub arcs: Vec<Arc>,
    pub now: Double,
    pub tolerance: Tolerance,
    /// Vertices made since events were last looked for.
    pub fresh: Vec<usize>,
    /// Old vertices whose next front has changed.
    pub relinked: Vec<usize>,
    /// Vertices whose awaited hit fell away while others were being made.
    pub stale: Vec<usize>,
    pub watch: Watch,
}

/// A front or loop that no rule covers: the wavefront has been lost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lost(pub &'static str, pub Option<[f64; 2]>);

impl Wave {
    /// Where a vertex is at a height, and how far it may be from there. One that has just started is where it started.
    pub(super) fn at(&self, vertex: usize, height: Double) -> (Spot, f64) {
        let v = &self.vertices[vertex];
        let node = &self.nodes[v.node];
        match v.motion {
            Some(motion) if (height - node.height).value() > self.tolerance.height => {
                (motion.at(height), self.tolerance.place + self.tolerance.by_speed * motion.speed())
            }
            _ => (node.at, self.tolerance.place),
        }
    }

    /// Where a vertex is now.
    pub(super) fn place(&self, vertex: usize) -> Spot {
        self.at(vertex, self.now).0
    }

    /// How far it may be from there.
    pub(super) fn blur(&self, vertex: usize) -> f64 {
        self.at(vertex, self.now).1
    }

    /// Whether a vertex is at a place known to within `blur`.
    pub(super) fn is_at(&self, vertex: usize, spot: Spot, blur: f64) -> bool {
        apart(self.place(vertex), spot) <= blur + self.blur(vertex)
    }

    /// A new point of the roof at the present height.
    pub(super) fn mark(&mut self, at: Spot) -> usize {
        self.nodes.push(Node { at, height: self.now });
        self.nodes.len() - 1
    }

    /// Ends a vertex at a node and draws its crease.
    pub(super) fn end(&mut self, vertex: usize, node: usize) {
        let v = &mut self.vertices[vertex];
        v.alive = false;
        self.arcs.push(Arc { nodes: [v.node, node], sides: [v.before, v.after] });
        self.watch.forget(vertex);
    }

    /// Starts a vertex at a node, linked between two others.
    pub(super) fn begin(&mut self, node: usize, (before, previous): (usize, usize), (after, next): (usize, usize)) {
        let id = self.vertices.len();
        self.vertices.push(Vertex { before, after, previous, next, node, motion: None, alive: true });
        self.vertices[previous].next = id;
        self.vertices[next].previous = id;
        self.fresh.push(id);
    }

    /// Starts the vertices of one closed ring of sides, roof to the left; `corner` is the node where a side starts.
    pub(super) fn ring(&mut self, sides: &[usize], corner: impl Fn(usize) -> usize) {
        let (first, count) = (self.vertices.len(), sides.len());
        for (position, &after) in sides.iter().enumerate() {
            let before = sides[(position + count - 1) % count];
            let (previous, next) = (first + (position + count - 1) % count, first + (position + 1) % count);
            self.fresh.push(self.vertices.len());
            let node = corner(after);
            self.vertices.push(Vertex { before, after, previous, next, node, motion: None, alive: true });
        }
    }

    /// Gives fresh vertices their motion. One between parallel sides runs along them at once.
    ///
    /// - The same side on both: the front closes up again and there is no vertex.
    /// - Two sides on one line with one run: the crease between their coplanar faces runs square to them.
    /// - Two sides that run the same way with different runs: the slower (steeper) one takes over the whole front of the
    ///   faster, as exact-kernel skeletons do, and so does one that has not started yet; but one that stays at rest (a gable)
    ///   gives way.
    /// - Two that face each other: they have met and become a ridge up to the nearer end.
    pub(super) fn settle(&mut self) {
        let mut position = 0;
        while position < self.fresh.len() {
            let id = self.fresh[position];
            position += 1;
            let Vertex { before, after, alive, motion, node, .. } = self.vertices[id];
            if !alive || motion.is_some() {
                continue;
            }
            if before == after {
                self.close_up(id);
                continue;
            }
            if self.end_pair(id) {
                continue;
            }
            let (a, b) = (self.lines[before], self.lines[after]);
            if a.turn(&b) != 0.0 {
                self.vertices[id].motion = Some(Motion::meeting(&a, &b));
            } else if !a.same_way(&b) {
                self.ridge(id);
            } else if a.rate().total_cmp(&b.rate()).is_eq() {
                self.vertices[id].motion = Some(Motion::square(&a, self.nodes[node].at, self.now));
            } else {
                self.take_over(id);
            }
        }
        let vertices = &self.vertices;
        self.fresh.retain(|&v| vertices[v].alive);
    }

    /// Ends a loop of two vertices, which bounds nothing.
    fn end_pair(&mut self, id: usize) -> bool {
        let Vertex { previous, next, .. } = self.vertices[id];
        if previous != next {
            return false;
        }
        let end = self.mark(self.place(previous));
        self.end(id, end);
        if previous != id {
            self.end(previous, end);
        }
        true
    }

    /// Takes out a vertex in the middle of one side's front.
    fn close_up(&mut self, id: usize) {
        let Vertex { previous, next, .. } = self.vertices[id];
        self.vertices[id].alive = false;
        if previous != id {
            self.vertices[previous].next = next;
            self.vertices[next].previous = previous;
            self.relinked.push(previous);
            if self.end_pair(previous) {
                self.relinked.pop();
            }
        }
    }

    /// Two fronts that have met head-on end in a ridge, up to where the first of them ends.
    fn ridge(&mut self, id: usize) {
        let Vertex { before, after, previous, next, node, .. } = self.vertices[id];
        let here = self.nodes[node].at;
        let (back, ahead) = (self.place(previous), self.place(next));
        let squared = |to: Spot| dot(minus(to, here), minus(to, here));
        let (to_back, to_ahead) = (squared(back), squared(ahead));
        if to_back == to_ahead || self.is_at(next, back, self.blur(previous)) {
            let end = self.mark(back);
            let (u, w) = (self.vertices[previous], self.vertices[next]);
            self.end(id, end);
            self.end(previous, end);
            self.end(next, end);
            if u.previous != next {
                self.begin(end, (u.before, u.previous), (w.after, w.next));
            }
        } else if to_back < to_ahead {
            let end = self.mark(back);
            let u = self.vertices[previous];
            self.end(id, end);
            self.end(previous, end);
            self.begin(end, (u.before, u.previous), (after, next));
        } else {
            let end = self.mark(ahead);
            let w = self.vertices[next];
            self.end(id, end);
            self.end(next, end);
            self.begin(end, (before, previous), (w.after, w.next));
        }
    }

    /// One of two parallel sides that run the same way takes over the front of the other.
    fn take_over(&mut self, id: usize) {
        let Vertex { before, after, previous, next, .. } = self.vertices[id];
        let standing = |side: usize| {
            let line = &self.lines[side];
            line.rate() <= 0.0 && line.phase != Phase::Resting
        };
        let (a, b) = (self.lines[before].rate(), self.lines[after].rate());
        let after_yields = if standing(before) || standing(after) { b < a } else { b > a };
        let gone = if after_yields { next } else { previous };
        let end = self.mark(self.place(gone));
        let taken = self.vertices[gone];
        self.end(id, end);
        self.end(gone, end);
        if after_yields {
            self.begin(end, (before, previous), (taken.after, taken.next));
        } else {
            self.begin(end, (taken.before, taken.previous), (after, next));
        }
    }
}

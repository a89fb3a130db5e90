//! Linework becomes a draft graph: points where lines end, and the straight pieces between them.
//!
//! The repairs in this folder work on the draft. Nodes are kept in (y, x) order and edges in the order of their ends, so
//! nothing downstream depends on the order in which lines were drawn.

use crate::geometry::{Point2, Segment2};
use crate::index::OriginId;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Coordinates this near are one value written twice; no person can draw the difference. Inches.
pub(super) const ROUNDING: f64 = 1e-6;

/// A point where lines end or cross.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DraftNode {
    /// Where it stands now.
    pub at: Point2,
    /// The drawn points it stands for; none may end further away than the gap tolerance.
    pub drawn: Vec<Point2>,
}

/// A straight piece of a drawn line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DraftEdge {
    /// Its two nodes, the smaller number first.
    pub ends: [usize; 2],
    /// The drawn entities it lies on, rising.
    pub sources: Vec<OriginId>,
}

/// The graph under repair.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Draft {
    /// Points in (y, x) order.
    pub nodes: Vec<DraftNode>,
    /// Pieces in order of their ends. Two may join the same nodes until doubles are dropped.
    pub edges: Vec<DraftEdge>,
}

/// The order of points everywhere in this stage: bottom to top, then left to right.
pub(super) fn by_place(a: Point2, b: Point2) -> Ordering {
    a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x))
}

impl Draft {
    /// A draft of the given lines; lines without length vanish.
    pub(super) fn new(lines: &[(Segment2, OriginId)]) -> Self {
        let mut draft = Self::default();
        for (line, origin) in lines {
            let start = draft.nodes.len();
            for point in [line.a, line.b] {
                // Adding zero turns -0 into 0, which would sort apart.
                let at = Point2::new(point.x + 0.0, point.y + 0.0);
                draft.nodes.push(DraftNode { at, drawn: vec![at] });
            }
            draft.edges.push(DraftEdge { ends: [start, start + 1], sources: vec![*origin] });
        }
        draft.settle();
        draft
    }

    /// An edge as a segment.
    pub(super) fn segment(&self, edge: usize) -> Segment2 {
        let [a, b] = self.edges[edge].ends;
        Segment2::new(self.nodes[a].at, self.nodes[b].at)
    }

    /// All edges as segments.
    pub(super) fn segments(&self) -> Vec<Segment2> {
        (0..self.edges.len()).map(|edge| self.segment(edge)).collect()
    }

    /// How many edges end at each node.
    pub(super) fn degrees(&self) -> Vec<usize> {
        let mut degrees = vec![0; self.nodes.len()];
        for end in self.edges.iter().flat_map(|edge| edge.ends) {
            degrees[end] += 1;
        }
        degrees
    }

    /// The edges at each node.
    pub(super) fn edges_at(&self) -> Vec<Vec<usize>> {
        let mut at = vec![Vec::new(); self.nodes.len()];
        for (number, edge) in self.edges.iter().enumerate() {
            for end in edge.ends {
                at[end].push(number);
            }
        }
        at
    }

    /// Puts nodes and edges in order, joins nodes at equal points, and drops edges without length and nodes without edges.
    pub(super) fn settle(&mut self) {
        let degrees = self.degrees();
        let mut order: Vec<usize> = (0..self.nodes.len()).filter(|&n| degrees[n] > 0).collect();
        order.sort_by(|&a, &b| by_place(self.nodes[a].at, self.nodes[b].at));
        let mut nodes: Vec<DraftNode> = Vec::with_capacity(order.len());
        let mut renumbered = vec![0; self.nodes.len()];
        for old in order {
            let node = &self.nodes[old];
            match nodes.last_mut() {
                Some(last) if last.at == node.at => last.drawn.extend(&node.drawn),
                _ => nodes.push(node.clone()),
            }
            renumbered[old] = nodes.len() - 1;
        }
        for node in &mut nodes {
            node.drawn.sort_by(|a, b| by_place(*a, *b));
            node.drawn.dedup();
        }
        self.nodes = nodes;
        for edge in &mut self.edges {
            edge.ends = edge.ends.map(|end| renumbered[end]);
            edge.ends.sort_unstable();
        }
        self.edges.retain(|edge| edge.ends[0] != edge.ends[1]);
        self.edges.sort_by(|a, b| a.ends.cmp(&b.ends).then_with(|| a.sources.cmp(&b.sources)));
        // A node may have lost its last edge just now.
        if self.degrees().contains(&0) {
            self.settle();
        }
    }

    /// Replaces edges by chains through the given nodes. `cuts` holds, per edge, nodes to pass.
    pub(super) fn cut(&mut self, cuts: &BTreeMap<usize, Vec<usize>>) {
        let mut edges = Vec::with_capacity(self.edges.len() + cuts.len());
        for (number, edge) in self.edges.iter().enumerate() {
            let Some(through) = cuts.get(&number) else {
                edges.push(edge.clone());
                continue;
            };
            let line = self.segment(number);
            let along = |node: usize| (self.nodes[node].at - line.a).dot(line.b - line.a);
            let mut through = through.clone();
            through.sort_by(|&a, &b| along(a).total_cmp(&along(b)).then(a.cmp(&b)));
            through.dedup();
            let chain: Vec<usize> =
                std::iter::once(edge.ends[0]).chain(through).chain(std::iter::once(edge.ends[1])).collect();
            for pair in chain.windows(2) {
                edges.push(DraftEdge { ends: [pair[0], pair[1]], sources: edge.sources.clone() });
            }
        }
        self.edges = edges;
        self.settle();
    }

    /// The connected pieces as drafts of their own; `piece_of` gives the piece of each node.
    pub(super) fn apart(&self, piece_of: &[usize]) -> Vec<Self> {
        let count = piece_of.iter().max().map_or(0, |last| last + 1);
        let mut pieces = vec![Self::default(); count];
        let mut place = Vec::with_capacity(self.nodes.len());
        for (node, &piece) in self.nodes.iter().zip(piece_of) {
            place.push(pieces[piece].nodes.len());
            pieces[piece].nodes.push(node.clone());
        }
        for edge in &self.edges {
            let ends = edge.ends.map(|end| place[end]);
            pieces[piece_of[edge.ends[0]]].edges.push(DraftEdge { ends, sources: edge.sources.clone() });
        }
        pieces
    }

    /// One draft of several.
    pub(super) fn together(pieces: Vec<Self>) -> Self {
        let mut all = Self::default();
        for piece in pieces {
            let first = all.nodes.len();
            all.nodes.extend(piece.nodes);
            let moved = |edge: DraftEdge| DraftEdge { ends: edge.ends.map(|end| first + end), ..edge };
            all.edges.extend(piece.edges.into_iter().map(moved));
        }
        all.settle();
        all
    }

    /// Keeps the edges for which `keep` says so.
    pub(super) fn keep_edges(&mut self, keep: impl Fn(usize) -> bool) {
        let mut number = 0;
        self.edges.retain(|_| {
            number += 1;
            keep(number - 1)
        });
        self.settle();
    }

    /// Joins edges between the same nodes; gives the dropped ones as segments.
    pub(super) fn drop_doubles(&mut self) -> Vec<Segment2> {
        let mut dropped = Vec::new();
        let mut kept: Vec<DraftEdge> = Vec::with_capacity(self.edges.len());
        for edge in &self.edges {
            match kept.last_mut() {
                Some(last) if last.ends == edge.ends => {
                    last.sources.extend(&edge.sources);
                    dropped.push(Segment2::new(self.nodes[edge.ends[0]].at, self.nodes[edge.ends[1]].at));
                }
                _ => kept.push(edge.clone()),
            }
        }
        for edge in &mut kept {
            edge.sources.sort_unstable();
            edge.sources.dedup();
        }
        self.edges = kept;
        dropped
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(a: (f64, f64), b: (f64, f64), origin: u32) -> (Segment2, OriginId) {
        (Segment2::new(Point2::new(a.0, a.1), Point2::new(b.0, b.1)), OriginId(origin))
    }

    #[test]
    fn order_and_direction_of_lines_do_not_matter() {
        let lines = [line((0.0, 0.0), (9.0, 0.0), 0), line((9.0, 0.0), (9.0, 5.0), 1), line((4.0, 4.0), (4.0, 4.0), 2)];
        let turned = [line((9.0, 5.0), (9.0, -0.0), 1), line((9.0, 0.0), (-0.0, 0.0), 0)];
        assert_eq!(Draft::new(&lines), Draft::new(&turned));
        assert_eq!(Draft::new(&lines).nodes.len(), 3);
    }

    #[test]
    fn doubles_keep_both_sources() {
        let mut draft = Draft::new(&[line((0.0, 0.0), (9.0, 0.0), 3), line((9.0, 0.0), (0.0, 0.0), 1)]);
        assert_eq!(draft.drop_doubles().len(), 1);
        assert_eq!(draft.edges[0].sources, [OriginId(1), OriginId(3)]);
    }
}

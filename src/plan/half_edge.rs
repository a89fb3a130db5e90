//! Edges become closed walks with their face to the left.
//!
//! Terms: a *dart* is an edge walked in one direction, number `2 * edge` from its first end and `2 * edge + 1` back; a *walk*
//! is the closed sequence of darts around one side. A counter-clockwise walk is the outside of a cell, any other the outer
//! contour of a connected piece.

use super::draft::Draft;
use crate::geometry::{Point2, Ring, Side, side_of_line};
use std::cmp::Ordering;

/// All closed walks of a graph.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Walks {
    /// Darts of each walk in order.
    pub walks: Vec<Vec<usize>>,
    /// The walk of each dart.
    pub walk_of: Vec<usize>,
}

/// The node a dart starts from.
pub(super) fn start(draft: &Draft, dart: usize) -> usize {
    draft.edges[dart / 2].ends[dart % 2]
}

/// The points of a walk.
pub(super) fn ring(draft: &Draft, walk: &[usize]) -> Ring {
    Ring::new(walk.iter().map(|&dart| draft.nodes[start(draft, dart)].at).collect())
}

/// Walks around every side of every edge.
pub(super) fn walk_sides(draft: &Draft) -> Walks {
    let next = next_darts(draft);
    let mut walk_of = vec![usize::MAX; next.len()];
    let mut walks = Vec::new();
    for first in 0..next.len() {
        if walk_of[first] != usize::MAX {
            continue;
        }
        let mut walk = Vec::new();
        let mut dart = first;
        while walk_of[dart] == usize::MAX {
            walk_of[dart] = walks.len();
            walk.push(dart);
            dart = next[dart];
        }
        walks.push(walk);
    }
    Walks { walks, walk_of }
}

/// After each dart the one that turns left most sharply at its end, so that the walk keeps its face to the left.
fn next_darts(draft: &Draft) -> Vec<usize> {
    let mut next = vec![0; draft.edges.len() * 2];
    for (node, edges) in draft.edges_at().iter().enumerate() {
        let center = draft.nodes[node].at;
        let mut leaving: Vec<usize> =
            edges.iter().map(|&e| 2 * e + usize::from(draft.edges[e].ends[0] != node)).collect();
        let target = |dart: usize| draft.nodes[start(draft, dart ^ 1)].at;
        leaving.sort_by(|&a, &b| by_direction(center, target(a), target(b)).then(a.cmp(&b)));
        for (i, &dart) in leaving.iter().enumerate() {
            // Arriving by the twin of `dart`: the next dart clockwise from it.
            next[dart ^ 1] = leaving[(i + leaving.len() - 1) % leaving.len()];
        }
    }
    next
}

/// Counter-clockwise order of directions from `center`, starting along +x; exact.
fn by_direction(center: Point2, a: Point2, b: Point2) -> Ordering {
    let lower = |p: Point2| p.y < center.y || (p.y == center.y && p.x < center.x);
    lower(a).cmp(&lower(b)).then_with(|| match side_of_line(center, a, b) {
        Side::Left => Ordering::Less,
        Side::Right => Ordering::Greater,
        Side::On => Ordering::Equal,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Segment2;
    use crate::index::OriginId;

    #[test]
    fn a_square_with_a_diagonal_has_two_cells_and_one_contour() {
        let p = [(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)].map(|(x, y)| Point2::new(x, y));
        let lines: Vec<(Segment2, OriginId)> = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)]
            .iter()
            .map(|&(a, b)| (Segment2::new(p[a], p[b]), OriginId(0)))
            .collect();
        let draft = Draft::new(&lines);
        let mut areas: Vec<f64> = walk_sides(&draft).walks.iter().map(|w| ring(&draft, w).signed_area()).collect();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas, [-81.0, 40.5, 40.5]);
    }
}

//! What the wavefront has drawn becomes nodes, arcs and faces.

use super::input::Prepared;
use super::model::{Arc, Skeleton, SkeletonFace};
use super::wave::Wave;
use crate::geometry::{Point2, Point3};
use std::collections::BTreeMap;

/// Nodes joined by an arc shorter than this share of the outline's size become one. Smaller: the rounding of a drawing
/// leaves arcs of a millionth of an inch where it means one point. Larger: real short creases go.
const ONE_NODE: f64 = 1e-10;

/// Collects the roof, in recentred coordinates.
pub(super) fn collect(prepared: &Prepared, wave: &Wave) -> Skeleton {
    let places: Vec<Point3> =
        wave.nodes.iter().map(|n| Point3::new(n.at[0].value(), n.at[1].value(), n.height.value())).collect();
    let number = merge(&places, &wave.arcs, prepared);
    let mut nodes = vec![Point3::default(); number.iter().map(|n| n + 1).max().unwrap_or(0)];
    for (place, &n) in places.iter().zip(&number).rev() {
        // In reverse, so that the first of those merged, a corner of the outline if any, gives the place.
        nodes[n] = *place;
    }
    let arcs: Vec<Arc> = wave
        .arcs
        .iter()
        .map(|arc| Arc { nodes: arc.nodes.map(|n| number[n]), sides: arc.sides })
        .filter(|arc| arc.nodes[0] != arc.nodes[1])
        .collect();
    let mut borders: Vec<Vec<[usize; 2]>> = prepared.bases.iter().map(|base| vec![base.ends]).collect();
    for arc in &arcs {
        let [from, to] = arc.nodes;
        borders[arc.sides[0]].push([from, to]);
        borders[arc.sides[1]].push([to, from]);
    }
    let faces =
        borders.iter().enumerate().map(|(side, border)| SkeletonFace { side, rings: rings(border, &nodes) }).collect();
    Skeleton { nodes, arcs, faces }
}

/// New numbers for nodes: corners of the outline keep theirs, the others follow in the order of their heights' events.
fn merge(places: &[Point3], arcs: &[Arc], prepared: &Prepared) -> Vec<usize> {
    fn root(group: &[usize], mut i: usize) -> usize {
        while group[i] != i {
            i = group[i];
        }
        i
    }
    let corners = prepared.corners.len();
    let mut group: Vec<usize> = (0..places.len()).collect();
    for arc in arcs {
        if places[arc.nodes[0]].distance(places[arc.nodes[1]]) <= ONE_NODE * prepared.size {
            let (a, b) = (root(&group, arc.nodes[0]), root(&group, arc.nodes[1]));
            if a.max(b) >= corners {
                group[a.max(b)] = a.min(b);
            }
        }
    }
    let mut next = 0;
    let mut number = vec![0; places.len()];
    for i in 0..places.len() {
        let first = root(&group, i);
        if first == i {
            number[i] = next;
            next += 1;
        } else {
            number[i] = number[first];
        }
    }
    number
}

/// Chains directed borders into rings; where a ring comes back to a node it is cut in two.
fn rings(border: &[[usize; 2]], nodes: &[Point3]) -> Vec<Vec<usize>> {
    if let Some(ring) = one_ring(border) {
        return vec![ring];
    }
    let mut onward: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for &[from, to] in border.iter().rev() {
        onward.entry(from).or_default().push(to);
    }
    let mut found = Vec::new();
    let mut start = border.first().map(|b| b[0]);
    while let Some(first) = start {
        let mut path = vec![first];
        while let Some(&here) = path.last() {
            let back = path.len().checked_sub(2).map(|p| path[p]);
            let Some(next) = onward.get_mut(&here).and_then(|ways| take_way(ways, here, back, nodes)) else { break };
            if let Some(at) = path.iter().position(|&n| n == next) {
                let ring: Vec<usize> = path.drain(at + 1..).collect();
                if !ring.is_empty() {
                    let mut closed = vec![next];
                    closed.extend(ring);
                    found.push(closed);
                }
            } else {
                path.push(next);
            }
        }
        onward.retain(|_, ways| !ways.is_empty());
        start = onward.keys().next().copied();
    }
    // The ring along the side itself first.
    if let Some(&[from, to]) = border.first()
        && let Some(own) = found.iter().position(|r| r.contains(&from) && r.contains(&to))
    {
        found.swap(0, own);
        let at = found[0].iter().position(|&n| n == from).unwrap_or(0);
        found[0].rotate_left(at);
    }
    found
}

/// The one ring that borders make which come to no node twice.
fn one_ring(border: &[[usize; 2]]) -> Option<Vec<usize>> {
    let mut onward = border.to_vec();
    onward.sort_unstable();
    if onward.windows(2).any(|w| w[0][0] == w[1][0]) {
        return None;
    }
    let first = border.first()?[0];
    let (mut ring, mut here) = (Vec::with_capacity(border.len()), first);
    while ring.len() < border.len() {
        ring.push(here);
        here = onward[onward.binary_search_by_key(&here, |b| b[0]).ok()?][1];
        if here == first {
            break;
        }
    }
    (here == first && ring.len() == border.len()).then_some(ring)
}

/// The way on from a node: at a pinch the one that turns left most, so that rings stay apart.
fn take_way(ways: &mut Vec<usize>, here: usize, back: Option<usize>, nodes: &[Point3]) -> Option<usize> {
    if ways.len() > 1
        && let Some(back) = back
    {
        let toward = |n: usize| -> Point2 { nodes[n].plan() };
        let (at, from) = (toward(here), toward(back));
        // Clockwise from the way back: the first met is the sharpest left turn.
        let reversed = from - at;
        let key = |n: usize| {
            let v = toward(n) - at;
            let turn = reversed.cross(v);
            let half = if turn < 0.0 {
                0
            } else if turn > 0.0 || reversed.dot(v) < 0.0 {
                1
            } else {
                2
            };
            (half, v)
        };
        ways.sort_by(|&a, &b| {
            let ((half_a, v), (half_b, w)) = (key(a), key(b));
            // Last is taken.
            half_b.cmp(&half_a).then(v.cross(w).total_cmp(&0.0).reverse())
        });
    }
    ways.pop()
}

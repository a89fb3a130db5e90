//! What rises from the sides of an outline becomes faces: the slopes of a side apart where they are in pieces, those of several sides
//! together where they are one plane, as beside a wing whose ridge ends on a longer slope.

use super::outline::{SAME, STRAIGHT, Sides};
use crate::geometry::{Point2, Ring, Segment2};
use crate::index::NodeId;
use crate::plan::PlanGraph;
use crate::skeleton::Skeleton;
use std::collections::{BTreeMap, BTreeSet};

/// A connected piece of one plane.
pub(super) struct Part {
    /// The sides it rises from.
    pub sides: Vec<usize>,
    /// The outer ring, then holes.
    pub rings: Vec<Vec<NodeId>>,
}

/// The directed borders of a ring of nodes.
pub(super) fn pairs(ring: &[NodeId]) -> impl Iterator<Item = (NodeId, NodeId)> {
    (0..ring.len()).map(move |i| (ring[i], ring[(i + 1) % ring.len()]))
}

/// The sloping parts of all sides, in the order of the sides.
pub(super) fn parts(plan: &PlanGraph, sides: &Sides, skeleton: &Skeleton, places: &[NodeId]) -> Vec<Part> {
    let outline = |ring: &[NodeId]| Ring::new(ring.iter().map(|n| plan.nodes[n.index()]).collect());
    let mut parts: Vec<Part> = Vec::new();
    for (side, &rise) in sides.rises.iter().enumerate() {
        let first = parts.len();
        let mut holes = Vec::new();
        for ring in skeleton.slopes(side, rise) {
            let mut ring: Vec<NodeId> = ring.into_iter().map(|n| places[n]).collect();
            ring.dedup();
            if ring.len() > 1 && ring.first() == ring.last() {
                ring.pop();
            }
            // What is left of a sliver once its nodes are joined.
            if ring.len() < 3 {
                continue;
            }
            if outline(&ring).signed_area() > 0.0 {
                parts.push(Part { sides: vec![side], rings: vec![ring] });
            } else {
                holes.push(ring);
            }
        }
        for hole in holes {
            let within = |p: &Part| outline(&p.rings[0]).contains(plan.nodes[hole[0].index()]);
            let around = (first..parts.len()).find(|&i| within(&parts[i])).unwrap_or(first);
            if let Some(part) = parts.get_mut(around) {
                part.rings.push(hole);
            }
        }
    }
    parts
}

/// Joins neighbouring parts that are one plane; `drawn` counts the nodes of the outline, which stay.
pub(super) fn joined(plan: &PlanGraph, drawn: usize, sides: &Sides, mut parts: Vec<Part>) -> Vec<Part> {
    let owner: BTreeMap<(NodeId, NodeId), usize> = parts
        .iter()
        .enumerate()
        .flat_map(|(i, p)| p.rings.iter().flat_map(|r| pairs(r)).map(move |pair| (pair, i)))
        .collect();
    let mut group: Vec<usize> = (0..parts.len()).collect();
    for (&(a, b), &one) in &owner {
        let Some(&other) = owner.get(&(b, a)) else { continue };
        let (from, to) = (group[one].max(group[other]), group[one].min(group[other]));
        if from != to && one_plane(plan, sides, &parts[one], &parts[other]) {
            group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
        }
    }
    let mut loose: BTreeSet<NodeId> = BTreeSet::new();
    for first in 0..parts.len() {
        let members: Vec<usize> = (first..parts.len()).filter(|&i| group[i] == first).collect();
        if members.len() < 2 {
            continue;
        }
        let mut borders: BTreeSet<(NodeId, NodeId)> =
            members.iter().flat_map(|&i| parts[i].rings.iter().flat_map(|r| pairs(r))).collect();
        let inner: Vec<(NodeId, NodeId)> =
            borders.iter().copied().filter(|&(a, b)| borders.contains(&(b, a))).collect();
        for (a, b) in inner {
            borders.remove(&(a, b));
            loose.extend([a, b]);
        }
        let of = members.iter().flat_map(|&i| parts[i].sides.clone()).collect::<BTreeSet<_>>();
        let rings = chained(plan, borders);
        members[1..].iter().for_each(|&i| parts[i].rings.clear());
        parts[first] = Part { sides: of.into_iter().collect(), rings };
    }
    parts.retain(|p| !p.rings.is_empty());
    loosen(plan, drawn, &loose, &mut parts);
    parts
}

/// Whether two parts lie in one plane: the foot of the one is on the other's line, and both rise alike.
fn one_plane(plan: &PlanGraph, sides: &Sides, one: &Part, other: &Part) -> bool {
    let (p, q) = (sides.plane(one.sides[0]), sides.plane(other.sides[0]));
    let limit = STRAIGHT * p.pitch().max(q.pitch());
    let close = |n: &NodeId| (p.height(plan.nodes[n.index()]) - q.height(plan.nodes[n.index()])).abs() <= limit;
    one.rings.iter().chain(&other.rings).flatten().all(close)
}

/// Chains borders into rings with their face to the left, the outer ring first.
fn chained(plan: &PlanGraph, borders: BTreeSet<(NodeId, NodeId)>) -> Vec<Vec<NodeId>> {
    let at = |n: NodeId| plan.nodes[n.index()];
    let mut left = borders;
    let mut rings: Vec<Vec<NodeId>> = Vec::new();
    while let Some(&(start, second)) = left.iter().next() {
        left.remove(&(start, second));
        let mut ring = vec![start];
        let (mut before, mut here) = (start, second);
        while here != start {
            ring.push(here);
            let ways = left.range((here, NodeId(0))..).take_while(|w| w.0 == here).map(|w| w.1);
            // Where rings touch, the way that turns left most keeps them apart.
            let Some(next) = ways.max_by(|&a, &b| {
                leftness(at(before), at(here), at(a)).total_cmp(&leftness(at(before), at(here), at(b)))
            }) else {
                break;
            };
            left.remove(&(here, next));
            (before, here) = (here, next);
        }
        rings.push(ring);
    }
    let area = |r: &Vec<NodeId>| Ring::new(r.iter().map(|&n| at(n)).collect()).signed_area();
    rings.sort_by(|a, b| area(b).total_cmp(&area(a)));
    rings
}

/// Grows with the turn to the left on the way from `before` over `here` to `next`: -2 back on the right, 0 straight on, 2 back on the left.
fn leftness(before: Point2, here: Point2, next: Point2) -> f64 {
    let (Some(u), Some(v)) = ((here - before).unit(), (next - here).unit()) else { return 0.0 };
    let (sine, cosine) = (u.cross(v), u.dot(v));
    if sine >= 0.0 { 1.0 - cosine } else { cosine - 1.0 }
}

/// Takes nodes out of rings where after joining two borders run straight through them and nothing else ends.
fn loosen(plan: &PlanGraph, drawn: usize, loose: &BTreeSet<NodeId>, parts: &mut [Part]) {
    let mut beside: BTreeMap<NodeId, BTreeSet<NodeId>> = BTreeMap::new();
    for (a, b) in parts.iter().flat_map(|p| p.rings.iter().flat_map(|r| pairs(r))) {
        for (node, other) in [(a, b), (b, a)] {
            if loose.contains(&node) {
                beside.entry(node).or_default().insert(other);
            }
        }
    }
    let at = |n: NodeId| plan.nodes[n.index()];
    let straight = |(node, others): &(&NodeId, &BTreeSet<NodeId>)| {
        let ends: Vec<NodeId> = others.iter().copied().collect();
        let &[a, b] = ends.as_slice() else { return false };
        node.index() >= drawn && Segment2::new(at(a), at(b)).distance_to(at(**node)) <= STRAIGHT + SAME
    };
    let gone: BTreeSet<NodeId> = beside.iter().filter(straight).map(|(&node, _)| node).collect();
    for ring in parts.iter_mut().flat_map(|p| &mut p.rings) {
        ring.retain(|n| !gone.contains(n));
    }
}

//! Nodes and faces of a straight skeleton become a plan: one point for nodes over one place, one edge between two faces.
//!
//! Walls (of a gable or raised eave that stands on inside the outline, of the gable above a Dutch gable's hip) have no area in
//! plan. The faces on their two sides meet along them at different heights, each with nodes of its own, so both are cut at the
//! nodes of either.

use super::outline::{Refused, SAME, STRAIGHT, Sides};
use super::outline_faces::{Part, joined, pairs, parts};
use crate::geometry::{Point2, Segment2};
use crate::index::{EdgeId, FaceId, NodeId, RoofId};
use crate::plan::{HalfEdge, PlanEdge, PlanFace, PlanGraph};
use crate::skeleton::Skeleton;
use std::collections::{BTreeMap, BTreeSet};

/// A plan of one roof.
pub(super) struct Graph {
    /// The plan.
    pub plan: PlanGraph,
    /// The sides each face rises from: one, or several on one line.
    pub sides_of_face: Vec<Vec<usize>>,
    /// The pieces of each drawn edge, the one that has its id first.
    pub pieces: BTreeMap<EdgeId, Vec<EdgeId>>,
}

/// Directed edges of faces, each with its face.
type Owners = BTreeMap<[NodeId; 2], [Option<FaceId>; 2]>;

/// Builds the plan over the outline of `before`.
///
/// # Errors
/// Words and a place where the faces don't fit together.
pub(super) fn build(before: &PlanGraph, sides: &Sides, skeleton: &Skeleton) -> Result<Graph, Refused> {
    let mut plan = before.clone();
    let places = places(&mut plan, skeleton);
    let mut parts = parts(&plan, sides, skeleton, &places);
    cut_at_nodes(&plan, sides, &mut parts);
    let drawn_nodes = before.nodes.len();
    let parts = joined(&plan, drawn_nodes, sides, parts);
    let mut owners = Owners::new();
    for (number, part) in parts.iter().enumerate() {
        for (from, to) in part.rings.iter().flat_map(|r| pairs(r)) {
            let entry = owners.entry([from.min(to), from.max(to)]).or_default();
            if entry[usize::from(from > to)].replace(FaceId::new(number)).is_some() || from == to {
                return Err(("two faces lie on one another".into(), Some(plan.nodes[from.index()])));
            }
        }
    }
    let drawn = drawn_edges(before, sides, &owners, &plan)?;
    let (numbers, pieces) = number_edges(&mut plan, sides, &parts, &owners, &drawn)?;
    let half =
        |(from, to): (NodeId, NodeId)| HalfEdge { edge: numbers[&[from.min(to), from.max(to)]], forward: from < to };
    plan.faces = parts
        .iter()
        .map(|part| {
            let mut rings = part.rings.iter().map(|r| pairs(r).map(half).collect::<Vec<_>>());
            let exterior = rings.next().unwrap_or_default();
            PlanFace { roof: RoofId(0), exterior, holes: rings.collect(), plane: None }
        })
        .collect();
    plan.roofs[0].faces = (0..parts.len()).map(FaceId::new).collect();
    reclip(&mut plan);
    Ok(Graph { plan, sides_of_face: parts.into_iter().map(|p| p.sides).collect(), pieces })
}

/// The plan's node for each node of the skeleton; nodes over one place are one, new ones are added to `plan`.
fn places(plan: &mut PlanGraph, skeleton: &Skeleton) -> Vec<NodeId> {
    // A cell is wider than what counts as one place, so that two points of one place lie in neighbouring cells.
    let cell = |p: Point2| [(p.x / (4.0 * SAME)).floor() as i64, (p.y / (4.0 * SAME)).floor() as i64];
    let mut cells: BTreeMap<[i64; 2], Vec<NodeId>> = BTreeMap::new();
    for (number, &at) in plan.nodes.iter().enumerate() {
        cells.entry(cell(at)).or_default().push(NodeId::new(number));
    }
    let mut ids = Vec::new();
    for node in &skeleton.nodes {
        let at = node.plan();
        let [x, y] = cell(at);
        let around = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| [x, y]));
        let near = around.filter_map(|c| cells.get(&c)).flatten().copied();
        let nearest = near
            .map(|n| (plan.nodes[n.index()].distance(at), n))
            .filter(|n| n.0 <= SAME)
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        ids.push(nearest.map_or_else(
            || {
                plan.nodes.push(at);
                let id = NodeId::new(plan.nodes.len() - 1);
                cells.entry([x, y]).or_default().push(id);
                id
            },
            |n| n.1,
        ));
    }
    ids
}

/// Puts nodes into the borders they lie on: corners of the outline that were merged away, and those of the other side of a wall.
fn cut_at_nodes(plan: &PlanGraph, sides: &Sides, parts: &mut [Part]) {
    let directed: BTreeSet<(NodeId, NodeId)> =
        parts.iter().flat_map(|p| p.rings.iter().flat_map(|r| pairs(r))).collect();
    let drawn: BTreeSet<(NodeId, NodeId)> = sides
        .rings
        .iter()
        .flat_map(|ring| (0..ring.len()).map(|i| (ring[i].0, ring[(i + 1) % ring.len()].0)))
        .collect();
    let open: BTreeSet<(NodeId, NodeId)> =
        directed.iter().copied().filter(|&(a, b)| !directed.contains(&(b, a)) && !drawn.contains(&(a, b))).collect();
    if open.is_empty() {
        return;
    }
    let ends: BTreeSet<NodeId> = open.iter().flat_map(|&(a, b)| [a, b]).collect();
    let merged = sides.merged_away();
    let at = |n: NodeId| plan.nodes[n.index()];
    let between = |(from, to): (NodeId, NodeId)| -> Vec<NodeId> {
        let edge = Segment2::new(at(from), at(to));
        let strays = merged.iter().filter(|(chord, n)| {
            chord.distance_to(edge.a) <= SAME
                && chord.distance_to(edge.b) <= SAME
                && edge.distance_to(at(*n)) <= STRAIGHT + SAME
        });
        let on_it = ends.iter().copied().filter(|&n| edge.distance_to(at(n)) <= SAME);
        let mut on: Vec<NodeId> = on_it.chain(strays.map(|s| s.1)).filter(|&n| n != from && n != to).collect();
        on.sort_by(|&a, &b| at(a).distance(edge.a).total_cmp(&at(b).distance(edge.a)).then(a.cmp(&b)));
        on.dedup();
        on
    };
    for ring in parts.iter_mut().flat_map(|p| &mut p.rings) {
        let full = pairs(ring).flat_map(|pair| {
            let cuts = if open.contains(&pair) { between(pair) } else { Vec::new() };
            std::iter::once(pair.0).chain(cuts)
        });
        *ring = full.collect();
    }
}

/// The drawn edge that each border with one face lies on.
fn drawn_edges(
    before: &PlanGraph,
    sides: &Sides,
    owners: &Owners,
    plan: &PlanGraph,
) -> Result<BTreeMap<[NodeId; 2], EdgeId>, Refused> {
    let all: Vec<EdgeId> = sides.rings.iter().flatten().map(|s| s.1.edge).collect();
    let exact: BTreeMap<[NodeId; 2], EdgeId> = all.iter().map(|&e| (before.edges[e.index()].ends, e)).collect();
    let mut found = BTreeMap::new();
    for key in owners.iter().filter(|(_, faces)| faces.contains(&None)).map(|o| o.0) {
        let [a, b] = key.map(|n| plan.nodes[n.index()]);
        let near = |e: EdgeId| {
            let line = before.segment(e);
            [a, b].map(|p| line.distance_to(p)).into_iter().fold(0.0, f64::max)
        };
        let nearest = || {
            let off = all.iter().map(|&e| (near(e), e)).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            off.filter(|o| o.0 <= STRAIGHT + SAME).map(|o| o.1)
        };
        let Some(edge) = exact.get(key).copied().or_else(nearest) else {
            return Err(("its faces do not meet there".into(), Some(a.lerp(b, 0.5))));
        };
        found.insert(*key, edge);
    }
    Ok(found)
}

/// Numbers the edges. A drawn edge's id goes to the piece its own face rises from, else (a gable) to the longest; others follow.
#[expect(clippy::type_complexity, reason = "two maps by what they are looked up with")]
fn number_edges(
    plan: &mut PlanGraph,
    sides: &Sides,
    parts: &[Part],
    owners: &Owners,
    drawn: &BTreeMap<[NodeId; 2], EdgeId>,
) -> Result<(BTreeMap<[NodeId; 2], EdgeId>, BTreeMap<EdgeId, Vec<EdgeId>>), Refused> {
    let length = |key: &[NodeId; 2]| plan.nodes[key[0].index()].distance(plan.nodes[key[1].index()]);
    let mut first: BTreeMap<EdgeId, (bool, f64, [NodeId; 2])> = BTreeMap::new();
    for (key, &edge) in drawn {
        let own = owners[key].iter().flatten().any(|f| parts[f.index()].sides.contains(&sides.side_of(edge)));
        let candidate = (own, length(key), *key);
        let best = first.entry(edge).or_insert(candidate);
        // Pieces of one length to a ten-thousandth of an inch: the first in the order of nodes, whatever the rounding.
        if (own && !best.0) || (own == best.0 && candidate.1 > best.1 + 1e-4) {
            *best = candidate;
        }
    }
    for (_, half) in sides.rings.iter().flatten() {
        if !first.contains_key(&half.edge) {
            return Err((format!("{} bounds no face", half.edge), Some(plan.segment(half.edge).midpoint())));
        }
    }
    let any = plan.edges.first().map(|e| e.sources.clone()).unwrap_or_default();
    let (mut numbers, mut pieces) = (BTreeMap::new(), BTreeMap::new());
    for (&edge, &(_, _, key)) in &first {
        numbers.insert(key, edge);
        pieces.insert(edge, vec![edge]);
    }
    for (key, faces) in owners {
        let on = drawn.get(key).copied();
        let sources = on.map_or_else(|| any.clone(), |e| plan.edges[e.index()].sources.clone());
        let edge = PlanEdge { ends: *key, left: faces[0], right: faces[1], sources };
        if let Some(id) = numbers.get(key) {
            plan.edges[id.index()] = edge;
        } else {
            let id = EdgeId::new(plan.edges.len());
            plan.edges.push(edge);
            numbers.insert(*key, id);
            if let Some(of) = on.and_then(|e| pieces.get_mut(&e)) {
                of.push(id);
            }
        }
    }
    Ok((numbers, pieces))
}

/// Openings of the outline's one face are parted among the new faces.
fn reclip(plan: &mut PlanGraph) {
    /// Slivers on a neighbouring face are rounding, square inches.
    const SLIVER: f64 = 1.0;
    if plan.openings.is_empty() {
        return;
    }
    let faces: Vec<_> = plan.roofs[0].faces.iter().map(|&f| (f, plan.region(f))).collect();
    for opening in &mut plan.openings {
        let whole: Vec<_> = opening.parts.iter().map(|p| p.1.clone()).collect();
        let on = |(f, region): &(FaceId, crate::geometry::Region)| {
            let f = *f;
            crate::geometry::intersection(std::slice::from_ref(region), &whole).into_iter().map(move |r| (f, r))
        };
        opening.parts = faces.iter().flat_map(on).filter(|p| p.1.area() >= SLIVER).collect();
    }
}

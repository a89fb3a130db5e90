//! Cells become faces, courtyards and openings, and the whole a [`PlanGraph`] with its ids.

use super::cells::Cells;
use super::draft::{Draft, by_place};
use super::half_edge::start;
use super::model::{HalfEdge, PlanEdge, PlanFace, PlanGraph, PlanRoof};
use super::report::Report;
use crate::finding::Severity;
use crate::geometry::{Plane, Point2, Ring};
use crate::index::{EdgeId, FaceId, NodeId, OriginId, RoofId};
use crate::units::decimal;
use std::collections::BTreeMap;

/// What fills a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fill {
    /// Lines bound it; no heights say more.
    Lines,
    /// A facet covers it, with this plane.
    Facet(Plane),
    /// Facets were drawn and none covers it.
    Nothing,
}

/// A closed figure on the roof lines that is an opening.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FoundOpening {
    /// Its outline, counter-clockwise.
    pub outline: Ring,
    /// Where it was drawn.
    pub origin: OriginId,
}

/// What became of a connected piece.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fate {
    /// Part of the roof with this number (not yet in order).
    Roof(usize),
    /// An opening, or something drawn inside one.
    Opening,
}

/// Decides for each piece and cell what it is, then gives ids.
///
/// A piece by itself inside a face is an opening up to `opening_limit` square inches. A larger one is a courtyard when nothing
/// is drawn in it, and more roof otherwise.
pub(super) fn assemble(
    draft: &Draft,
    cells: &Cells,
    fills: &[Fill],
    opening_limit: f64,
    report: &mut Report,
) -> (PlanGraph, Vec<FoundOpening>) {
    let mut is_face: Vec<bool> = fills.iter().map(|fill| *fill != Fill::Nothing).collect();
    let mut fates = vec![Fate::Opening; cells.pieces.len()];
    let mut openings = Vec::new();
    let mut roofs: Vec<Ring> = Vec::new();
    let mut order: Vec<usize> = (0..cells.pieces.len()).collect();
    // What holds a piece is larger than the piece, so it is decided first.
    order.sort_by(|&a, &b| cells.pieces[b].area.total_cmp(&cells.pieces[a].area).then(a.cmp(&b)));
    for number in order {
        let piece = &cells.pieces[number];
        let contour = contour_ring(draft, cells, piece.contour);
        let holder = piece.inside.map(|cell| (cell, fates[cells.cells[cell].piece]));
        fates[number] = match holder {
            Some((_, Fate::Opening)) => Fate::Opening,
            Some((cell, Fate::Roof(roof))) if is_face[cell] => {
                let covered = piece.cells.iter().any(|&c| matches!(fills[c], Fill::Facet(_)));
                let place = contour.bounds().map_or(Point2::default(), |b| b.center());
                if !covered && piece.area <= opening_limit {
                    let first = cells.walks.walks[piece.contour][0] / 2;
                    openings.push(FoundOpening { outline: contour, origin: draft.edges[first].sources[0] });
                    Fate::Opening
                } else {
                    if !covered && piece.cells.len() == 1 {
                        let feet = decimal(piece.area / 144.0, 0);
                        let words = format!("a closed ring of {feet} sq ft inside a face is taken as a courtyard");
                        report.add(Severity::Assumed, "courtyard", words, place, piece.area);
                        is_face[piece.cells[0]] = false;
                    }
                    Fate::Roof(roof)
                }
            }
            _ if piece.cells.iter().any(|&cell| is_face[cell]) => {
                roofs.push(contour);
                Fate::Roof(roofs.len() - 1)
            }
            _ => Fate::Opening,
        };
    }
    let rank = roof_order(&roofs);
    let roof_of_piece: Vec<Option<usize>> = fates
        .iter()
        .map(|fate| match fate {
            Fate::Roof(roof) => Some(rank[*roof]),
            Fate::Opening => None,
        })
        .collect();
    (Numbering { draft, cells, fills, is_face, roof_of_piece }.graph(), openings)
}

fn contour_ring(draft: &Draft, cells: &Cells, walk: usize) -> Ring {
    super::half_edge::ring(draft, &cells.walks.walks[walk]).counter_clockwise()
}

/// The place of each roof in the order left to right, then bottom to top. Left edges within the same foot count as one, so a
/// sloppy line does not renumber roofs drawn above each other.
fn roof_order(roofs: &[Ring]) -> Vec<usize> {
    let corner = |roof: usize| roofs[roof].bounds().map_or(Point2::default(), |b| b.min);
    let mut order: Vec<usize> = (0..roofs.len()).collect();
    order.sort_by(|&a, &b| {
        let (p, q) = (corner(a), corner(b));
        (p.x / 12.0).round().total_cmp(&(q.x / 12.0).round()).then_with(|| by_place(p, q)).then(a.cmp(&b))
    });
    let mut rank = vec![0; roofs.len()];
    for (place, roof) in order.into_iter().enumerate() {
        rank[roof] = place;
    }
    rank
}

/// What is needed to give ids.
struct Numbering<'a> {
    draft: &'a Draft,
    cells: &'a Cells,
    fills: &'a [Fill],
    is_face: Vec<bool>,
    roof_of_piece: Vec<Option<usize>>,
}

/// A face before it has an id: its roof and its loops as darts, each starting at its lowest node.
struct RawFace {
    cell: usize,
    roof: usize,
    loops: Vec<Vec<usize>>,
}

impl Numbering<'_> {
    fn graph(&self) -> PlanGraph {
        let mut faces = self.raw_faces();
        let mut roof_of_node: BTreeMap<usize, usize> = BTreeMap::new();
        for face in &faces {
            for &dart in face.loops.iter().flatten() {
                roof_of_node.insert(start(self.draft, dart), face.roof);
            }
        }
        // Draft nodes are in (y, x) order already.
        let mut order: Vec<(usize, usize)> = roof_of_node.iter().map(|(&node, &roof)| (roof, node)).collect();
        order.sort_unstable();
        let node_ids: BTreeMap<usize, NodeId> =
            order.iter().enumerate().map(|(id, &(_, node))| (node, NodeId::new(id))).collect();
        let loops_of = |face: &RawFace| -> Vec<Vec<NodeId>> {
            face.loops.iter().map(|l| l.iter().map(|&d| node_ids[&start(self.draft, d)]).collect()).collect()
        };
        for face in &mut faces {
            for darts in &mut face.loops {
                let lowest = (0..darts.len()).min_by_key(|&i| node_ids[&start(self.draft, darts[i])]).unwrap_or(0);
                darts.rotate_left(lowest);
            }
            face.loops[1..].sort_by_key(|darts| node_ids[&start(self.draft, darts[0])]);
        }
        faces.sort_by_cached_key(|face| (face.roof, loops_of(face)));
        let mut face_of_dart: BTreeMap<usize, FaceId> = BTreeMap::new();
        for (id, face) in faces.iter().enumerate() {
            face_of_dart.extend(face.loops.iter().flatten().map(|&dart| (dart, FaceId::new(id))));
        }
        let (edges, edge_ids) = self.edges(&node_ids, &face_of_dart);
        let half = |&dart: &usize| HalfEdge { edge: edge_ids[&(dart / 2)], forward: dart % 2 == 0 };
        let plan_faces: Vec<PlanFace> = faces
            .iter()
            .map(|face| PlanFace {
                roof: RoofId::new(face.roof),
                exterior: face.loops[0].iter().map(half).collect(),
                holes: face.loops[1..].iter().map(|l| l.iter().map(half).collect()).collect(),
                plane: match self.fills[face.cell] {
                    Fill::Facet(plane) => Some(plane),
                    Fill::Lines | Fill::Nothing => None,
                },
            })
            .collect();
        PlanGraph {
            nodes: order.iter().map(|&(_, node)| self.draft.nodes[node].at).collect(),
            edges,
            roofs: roofs_of(&plan_faces),
            faces: plan_faces,
            ..PlanGraph::default()
        }
    }

    fn raw_faces(&self) -> Vec<RawFace> {
        let holes = self.cells.holes();
        let mut faces = Vec::new();
        for (number, cell) in self.cells.cells.iter().enumerate() {
            let Some(roof) = self.roof_of_piece[cell.piece].filter(|_| self.is_face[number]) else { continue };
            let inner = holes[number].iter().filter(|&&piece| self.roof_of_piece[piece].is_some());
            let walks = std::iter::once(cell.walk).chain(inner.map(|&piece| self.cells.pieces[piece].contour));
            let loops = walks.map(|walk| self.cells.walks.walks[walk].clone()).collect();
            faces.push(RawFace { cell: number, roof, loops });
        }
        faces
    }

    fn edges(
        &self,
        node_ids: &BTreeMap<usize, NodeId>,
        face_of_dart: &BTreeMap<usize, FaceId>,
    ) -> (Vec<PlanEdge>, BTreeMap<usize, EdgeId>) {
        let mut kept: Vec<(PlanEdge, usize)> = Vec::new();
        for (number, edge) in self.draft.edges.iter().enumerate() {
            let side = |dart: usize| face_of_dart.get(&dart).copied();
            let (left, right) = (side(2 * number), side(2 * number + 1));
            if left.is_some() || right.is_some() {
                // Both ends are in one roof, so their order is that of the draft.
                let ends = edge.ends.map(|end| node_ids[&end]);
                kept.push((PlanEdge { ends, left, right, sources: edge.sources.clone() }, number));
            }
        }
        kept.sort_by_key(|(edge, _)| edge.ends);
        let ids = kept.iter().enumerate().map(|(id, (_, number))| (*number, EdgeId::new(id))).collect();
        (kept.into_iter().map(|(edge, _)| edge).collect(), ids)
    }
}

fn roofs_of(faces: &[PlanFace]) -> Vec<PlanRoof> {
    let mut roofs: Vec<PlanRoof> = Vec::new();
    for (id, face) in faces.iter().enumerate() {
        // Faces are in roof order, and every roof has one.
        if roofs.len() <= face.roof.index() {
            roofs.push(PlanRoof { faces: Vec::new(), outline_only: false, has_heights: true });
        }
        let roof = &mut roofs[face.roof.index()];
        roof.faces.push(FaceId::new(id));
        roof.has_heights &= face.plane.is_some();
        roof.outline_only = roof.faces.len() == 1 && !roof.has_heights;
    }
    roofs
}

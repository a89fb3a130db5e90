//! One connected roof of the plan, laid out for solving: faces, folds between them, and the outline in runs.

use super::lift::Label;
use crate::geometry::{Point2, Segment2, Vector2};
use crate::index::{EdgeId, FaceId, NodeId, RoofId};
use crate::plan::PlanGraph;
use std::collections::{BTreeMap, BTreeSet};

/// Two outline edges, or two parts of a wall, whose directions differ by less than this (as a sine: 6 degrees) go straight on. Smaller, and a
/// gable whose peak was clicked off its line is taken for two sides of a bay; larger, and a shallow bay becomes a gable.
pub(super) const STRAIGHT: f64 = 0.105;

/// A ridge that ends on the outline runs across it, more than 60 degrees off (this is the cosine): hips of equal slopes run at 45.
const ACROSS_OUTLINE: f64 = 0.5;

/// Points this near the line from end to end lie on it, inches: a line drawn in pieces is one fold, as the planes of two faces meet in
/// one straight line. Larger, and a bend that says the faces do not meet is lost; smaller, and each piece of a line drawn by hand is
/// judged by itself.
const ON_LINE: f64 = 2.0;

/// A straight line between two faces: an interior edge, or several that were drawn for it.
#[derive(Debug, Clone)]
pub(super) struct Fold {
    /// Its edges, from `segment.a` on.
    pub edges: Vec<EdgeId>,
    /// Where it ends.
    pub nodes: [NodeId; 2],
    /// Local number of the face to the left, walking from `segment.a`.
    pub left: usize,
    /// Local number of the face to the right.
    pub right: usize,
    /// In plan.
    pub segment: Segment2,
    /// From `segment.a` to `segment.b`, length 1; zero for an edge without length.
    pub along: Vector2,
    /// Plan length, inches.
    pub length: f64,
    /// Numbers of its ends among the points where folds end.
    pub ends: [usize; 2],
    /// Whether the surface jumps here, as somebody said or as is tried; then its sides need not meet.
    pub cut: bool,
    /// Whether it is cut as a further part of a wall that another fold stands for.
    pub further: bool,
}

/// An outline edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Border {
    /// Its id.
    pub edge: EdgeId,
    /// Local number of its face.
    pub face: usize,
    /// In plan, its face to the left.
    pub segment: Segment2,
    /// Along the edge, length 1, the face to the left; zero for an edge without length.
    pub along: Vector2,
    /// Plan length, inches.
    pub length: f64,
    /// Which run of straight outline of one face it belongs to.
    pub run: usize,
}

/// Two runs of the outline that meet where folds end.
#[derive(Debug, Clone)]
struct Meeting {
    /// The run before and the run after.
    runs: [usize; 2],
    /// Whether the outline goes straight on.
    straight: bool,
    /// Direction of the outline that ends there.
    along: Vector2,
    /// The folds.
    folds: Vec<usize>,
}

/// One connected roof.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// Plan faces in local order: that in which the solver takes them out.
    pub faces: Vec<FaceId>,
    /// Middle of each face's corners.
    pub centres: Vec<Point2>,
    /// Plan area of each face.
    pub areas: Vec<f64>,
    /// Lines between faces.
    pub folds: Vec<Fold>,
    /// Outline edges.
    pub borders: Vec<Border>,
    /// Borders of each run.
    pub runs: Vec<Vec<usize>>,
    /// Pairs of runs that meet in a straight line where one fold ends: the two halves of a gable, unless something else.
    pub peaks: Vec<[usize; 2]>,
    /// Of each peak, the one fold that ends there square to the outline: the ridge of a gable.
    pub ridges: Vec<Option<usize>>,
    /// Pairs of runs that meet at a corner where a fold ends.
    pub corners: Vec<[usize; 2]>,
    /// Folds that end square to a tried wall where nothing else does: the ridge of a gable that stands back from the outline.
    pub fronts: Vec<usize>,
    /// How many runs of outline each face has.
    pub sides: Vec<usize>,
    /// Of each run, whether it is all the outline of its face, and neither half of a gable nor beside a wall.
    pub only: Vec<bool>,
    /// What peaks and corners are told from.
    meetings: Vec<Meeting>,
    /// Of each point where folds end, whether it lies on the outline.
    pub outer: Vec<bool>,
    /// Square root of the plan area, inches: the length that unknown heights are measured in.
    pub size: f64,
}

impl Piece {
    /// Lays out one roof of the plan.
    pub(super) fn of(plan: &PlanGraph, roof: RoofId, steps: &BTreeSet<EdgeId>) -> Self {
        let faces = fewest_neighbours_first(plan, &plan.roofs[roof.index()].faces);
        let local: BTreeMap<FaceId, usize> = faces.iter().enumerate().map(|(i, &f)| (f, i)).collect();
        let number = |face: Option<FaceId>| face.and_then(|f| local.get(&f).copied());
        let (mut folds, mut borders) = (Vec::new(), Vec::new());
        let sides = faces.iter().map(|face| &plan.faces[face.index()]);
        let sides = sides.flat_map(|face| face.holes.iter().chain([&face.exterior]).flatten());
        let own: BTreeSet<EdgeId> = sides.map(|half| half.edge).collect();
        for id in own {
            let edge = &plan.edges[id.index()];
            let segment = plan.segment(id);
            let (along, length) = direction(segment);
            match (number(edge.left), number(edge.right)) {
                (Some(left), Some(right)) if left != right => {
                    let cut = steps.contains(&id);
                    let (edges, nodes, ends, further) = (vec![id], edge.ends, [0; 2], false);
                    folds.push(Fold { edges, nodes, left, right, segment, along, length, ends, cut, further });
                }
                (Some(face), None) => borders.push(Border { edge: id, face, segment, along, length, run: 0 }),
                (None, Some(face)) => {
                    let segment = Segment2::new(segment.b, segment.a);
                    borders.push(Border { edge: id, face, segment, along: -along, length, run: 0 });
                }
                _ => {}
            }
        }
        let folds = joined(plan, folds, &borders);
        let regions: Vec<_> = faces.iter().map(|&f| plan.region(f)).collect();
        let areas: Vec<f64> = regions.iter().map(|r| r.area().max(1e-6)).collect();
        let centres = regions
            .iter()
            .map(|r| {
                let points = r.exterior.sides().map(|s| s.a);
                let sum = points.fold(Vector2::default(), |sum, p| sum + p.to_vector());
                let count = r.exterior.sides().count().max(1) as f64;
                Point2::new(sum.x / count, sum.y / count)
            })
            .collect();
        let size = areas.iter().sum::<f64>().sqrt();
        let mut piece = Self {
            faces,
            centres,
            areas,
            folds,
            borders,
            runs: Vec::new(),
            peaks: Vec::new(),
            ridges: Vec::new(),
            corners: Vec::new(),
            fronts: Vec::new(),
            sides: Vec::new(),
            only: Vec::new(),
            meetings: Vec::new(),
            outer: Vec::new(),
            size,
        };
        piece.number_points(plan);
        piece.join_runs(plan);
        piece
    }

    /// Numbers the points where folds end and marks those on the outline.
    fn number_points(&mut self, plan: &PlanGraph) {
        let mut numbers: BTreeMap<NodeId, usize> = BTreeMap::new();
        for fold in &mut self.folds {
            fold.ends = fold.nodes.map(|node| {
                let next = numbers.len();
                *numbers.entry(node).or_insert(next)
            });
        }
        self.outer = vec![false; numbers.len()];
        for node in self.borders.iter().flat_map(|b| plan.edges[b.edge.index()].ends) {
            if let Some(&point) = numbers.get(&node) {
                self.outer[point] = true;
            }
        }
    }

    /// Groups the outline into straight runs and finds where folds end on it.
    fn join_runs(&mut self, plan: &PlanGraph) {
        // At each node: the border that ends there and the one that starts there (one outline loop passing), and folds.
        let mut passing: BTreeMap<NodeId, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for (position, border) in self.borders.iter().enumerate() {
            let edge = &plan.edges[border.edge.index()];
            let forward = edge.left == Some(self.faces[border.face]);
            let (start, end) = if forward { (edge.ends[0], edge.ends[1]) } else { (edge.ends[1], edge.ends[0]) };
            passing.entry(end).or_default().0.push(position);
            passing.entry(start).or_default().1.push(position);
        }
        let mut folds_at: BTreeMap<NodeId, Vec<usize>> = BTreeMap::new();
        for (position, fold) in self.folds.iter().enumerate() {
            for node in fold.nodes {
                folds_at.entry(node).or_default().push(position);
            }
        }
        let mut group: Vec<usize> = (0..self.borders.len()).collect();
        let mut meetings = Vec::new();
        for (node, (ending, starting)) in &passing {
            let ([before], [after]) = (ending.as_slice(), starting.as_slice()) else { continue };
            let (u, v) = (self.borders[*before].along, self.borders[*after].along);
            let straight = u.cross(v).abs() < STRAIGHT && u.dot(v) > 0.0;
            if self.borders[*before].face == self.borders[*after].face {
                if straight {
                    let (from, to) = (group[*after], group[*before]);
                    group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
                }
            } else if let Some(folds) = folds_at.get(node) {
                meetings.push((*before, *after, straight, folds.clone()));
            }
        }
        let mut numbers = BTreeMap::new();
        for (position, &root) in group.iter().enumerate() {
            let next = numbers.len();
            let run = *numbers.entry(root).or_insert(next);
            self.borders[position].run = run;
            if run == self.runs.len() {
                self.runs.push(Vec::new());
            }
            self.runs[run].push(position);
        }
        let meeting = |(before, after, straight, folds): (usize, usize, bool, Vec<usize>)| {
            let runs = [before, after].map(|border| self.borders[border].run);
            let along = self.borders[before].along;
            Meeting { runs, straight, along, folds }
        };
        self.meetings = meetings.into_iter().map(meeting).collect();
        self.sides = vec![0; self.faces.len()];
        self.runs.iter().for_each(|run| self.sides[self.borders[run[0]].face] += 1);
        self.tell_peaks();
    }

    /// Tells peaks from corners, and the sides that faces have to themselves. A line along which the surface jumps is no ridge: what meets at its end are two roofs.
    fn tell_peaks(&mut self) {
        let (mut peaks, mut ridges, mut corners) = (Vec::new(), Vec::new(), Vec::new());
        for meeting in &self.meetings {
            let mut folds = meeting.folds.iter().copied().filter(|&fold| !self.folds[fold].cut);
            let Some(first) = folds.next() else { continue };
            if meeting.straight {
                let alone = folds.next().is_none();
                peaks.push(meeting.runs);
                ridges.push(Some(first).filter(|&fold| alone && self.square(fold, meeting.along)));
            } else {
                corners.push(meeting.runs);
            }
        }
        (self.peaks, self.ridges, self.corners) = (peaks, ridges, corners);
        let face = |run: usize| self.borders[self.runs[run][0]].face;
        let mut sides = self.sides.clone();
        self.folds.iter().filter(|fold| fold.cut).for_each(|fold| (sides[fold.left], sides[fold.right]) = (0, 0));
        self.only = (0..self.runs.len()).map(|run| sides[face(run)] == 1).collect();
        self.peaks.iter().flatten().for_each(|&run| self.only[run] = false);
    }

    /// The same with a wall along these folds.
    pub(super) fn with_wall(&self, wall: &[usize]) -> Self {
        let mut piece = self.clone();
        for (position, &fold) in wall.iter().enumerate() {
            (piece.folds[fold].cut, piece.folds[fold].further) = (true, position > 0);
        }
        piece.tell_peaks();
        for point in 0..piece.outer.len() {
            let ends_here = |fold: &usize| piece.folds[*fold].ends.contains(&point);
            let mut parts = wall.iter().copied().filter(ends_here);
            let (Some(part), Some(_)) = (parts.next(), parts.next()) else { continue };
            let mut others = (0..piece.folds.len()).filter(|fold| !piece.folds[*fold].cut && ends_here(fold));
            if let (Some(ridge), None) = (others.next(), others.next())
                && piece.square(ridge, piece.folds[part].along)
            {
                piece.fronts.push(ridge);
            }
        }
        piece
    }

    /// Sum of lengths, each times the number of its label: tells labelings apart whatever the numbers of their runs.
    pub(super) fn labelled_lengths(&self, labels: &[Label]) -> f64 {
        self.borders.iter().map(|b| b.length * f64::from(labels[b.run] as u8)).sum()
    }

    /// Whether a fold ends where the outline goes straight on, and nearer to square to it than a hip.
    pub(super) fn ends_at_peak(&self, fold: &Fold) -> bool {
        let ends = |&other: &usize| self.folds[other].edges == fold.edges;
        let across = |meeting: &Meeting| meeting.straight && meeting.along.dot(fold.along).abs() < ACROSS_OUTLINE;
        self.meetings.iter().any(|meeting| across(meeting) && meeting.folds.iter().any(ends))
    }

    /// Whether a fold runs square to a direction, within the tolerance of a straight outline.
    fn square(&self, fold: usize, along: Vector2) -> bool {
        let own = self.folds[fold].along;
        own != Vector2::default() && own.dot(along).abs() < STRAIGHT
    }
}

/// Direction of length 1, zero where there is none, and length.
fn direction(segment: Segment2) -> (Vector2, f64) {
    ((segment.b - segment.a).unit().unwrap_or_default(), segment.length())
}

/// Folds between the same two faces that go straight on where nothing else ends, as one. A step along one of them is a step along all.
fn joined(plan: &PlanGraph, folds: Vec<Fold>, borders: &[Border]) -> Vec<Fold> {
    let mut at: BTreeMap<NodeId, Vec<usize>> = BTreeMap::new();
    for (position, fold) in folds.iter().enumerate() {
        fold.nodes.iter().for_each(|&node| at.entry(node).or_default().push(position));
    }
    for node in borders.iter().flat_map(|b| plan.edges[b.edge.index()].ends) {
        at.remove(&node);
    }
    let mut chain_of: Vec<usize> = (0..folds.len()).collect();
    let mut chains: Vec<Option<Fold>> = folds.into_iter().map(Some).collect();
    for (node, meeting) in at {
        let [a, b] = meeting.as_slice() else { continue };
        let (a, b) = (chain_of[*a].min(chain_of[*b]), chain_of[*a].max(chain_of[*b]));
        let (Some(first), Some(second)) = (&chains[a], &chains[b]) else { continue };
        if let Some(whole) = one_line(plan, node, first, second).filter(|_| a != b) {
            chain_of.iter_mut().filter(|chain| **chain == b).for_each(|chain| *chain = a);
            (chains[a], chains[b]) = (Some(whole), None);
        }
    }
    chains.into_iter().flatten().collect()
}

/// Two folds that meet at a node as one, if they part the same faces in one straight line.
fn one_line(plan: &PlanGraph, node: NodeId, first: &Fold, second: &Fold) -> Option<Fold> {
    let before = if first.nodes[1] == node { first.clone() } else { first.reversed() };
    let after = if second.nodes[0] == node { second.clone() } else { second.reversed() };
    if before.left != after.left || before.right != after.right {
        return None;
    }
    let segment = Segment2::new(before.segment.a, after.segment.b);
    let (along, length) = direction(segment);
    let edges = [before.edges, after.edges].concat();
    let straight = edges.iter().all(|edge| {
        let own = plan.segment(*edge);
        segment.distance_to(own.a) < ON_LINE && segment.distance_to(own.b) < ON_LINE
    });
    let nodes = [before.nodes[0], after.nodes[1]];
    let cut = before.cut || after.cut;
    straight.then_some(Fold { edges, nodes, segment, along, length, cut, ..before })
}

impl Fold {
    /// Walked from its other end.
    fn reversed(&self) -> Self {
        Self {
            edges: self.edges.iter().rev().copied().collect(),
            nodes: [self.nodes[1], self.nodes[0]],
            left: self.right,
            right: self.left,
            segment: Segment2::new(self.segment.b, self.segment.a),
            along: -self.along,
            ..self.clone()
        }
    }
}

/// The faces by how many neighbours they have, each joined with its neighbours as it is taken out: the order in which the
/// solver's factor stays small however wide the roof is, since the face that all wings lean on comes last.
fn fewest_neighbours_first(plan: &PlanGraph, faces: &[FaceId]) -> Vec<FaceId> {
    let mut beside: BTreeMap<FaceId, BTreeSet<FaceId>> = faces.iter().map(|&f| (f, BTreeSet::new())).collect();
    for edge in &plan.edges {
        if let (Some(left), Some(right)) = (edge.left, edge.right)
            && left != right
            && beside.contains_key(&left)
            && beside.contains_key(&right)
        {
            beside.entry(left).or_default().insert(right);
            beside.entry(right).or_default().insert(left);
        }
    }
    let mut waiting: BTreeSet<(usize, FaceId)> = beside.iter().map(|(&face, own)| (own.len(), face)).collect();
    let mut order = Vec::new();
    while let Some((_, face)) = waiting.pop_first() {
        order.push(face);
        let own = beside.remove(&face).unwrap_or_default();
        for &one in &own {
            let Some(others) = beside.get_mut(&one) else { continue };
            waiting.remove(&(others.len(), one));
            others.remove(&face);
            others.extend(own.iter().filter(|&&other| other != one));
            waiting.insert((others.len(), one));
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::plan_of;
    use super::*;
    use crate::geometry::Point3;

    fn piece(corners: &[(f64, f64)], faces: &[&[usize]]) -> Piece {
        let corners: Vec<Point3> = corners.iter().map(|&(x, y)| Point3::new(x, y, 0.0)).collect();
        Piece::of(&plan_of(&corners, faces), RoofId::new(0), &BTreeSet::new())
    }

    /// Every face of a hipped house has one side; of a gable house with a triangle of a slope at one end, only that triangle has, and not once a
    /// wall parts it from the rest.
    #[test]
    fn a_face_has_its_only_side_to_itself_unless_a_wall_is_beside_it() {
        let corners = [(0.0, 0.0), (480.0, 0.0), (480.0, 288.0), (0.0, 288.0), (144.0, 144.0), (480.0, 144.0)];
        let half = piece(&corners, &[&[0, 1, 5, 4], &[5, 2, 3, 4], &[3, 0, 4]]);
        let only = |piece: &Piece| piece.only.iter().filter(|&&only| only).count();
        assert_eq!(half.only.len() - only(&half), 4, "two eaves and two rakes of the gable's faces");
        assert_eq!(only(&half), 1);
        let end = (0..half.folds.len()).find(|&fold| half.folds[fold].segment.length() < 210.0).expect("a hip");
        assert_eq!(only(&half.with_wall(&[end])), 0);
        let hipped = [(0.0, 0.0), (480.0, 0.0), (480.0, 288.0), (0.0, 288.0), (144.0, 144.0), (336.0, 144.0)];
        let hipped = piece(&hipped, &[&[0, 1, 5, 4], &[1, 2, 5], &[2, 3, 4, 5], &[3, 0, 4]]);
        assert_eq!(only(&hipped), 4);
    }
}

//! One roof drawn without heights becomes planes, kinds and questions.

use super::hints::{Fall, Hints};
use super::lift::{FaceFacts, Label, Pull};
use super::model::Question;
use super::piece::Piece;
use super::questions::questions;
use super::scale::{Scaled, scale};
use super::search::{Candidate, Known, Solver, as_read, search};
use super::settle::{Verdict, verdicts};
use crate::geometry::Vector2;
use crate::index::{EdgeId, RoofId};
use crate::plan::PlanGraph;
use crate::terms::EdgeKind;

/// A drawn arrow within this of an edge's normal (as a cosine: 10 degrees) points square to it. Smaller, and an arrow drawn by
/// eye tilts its face; larger, and an eave that really runs off level is made level.
const SQUARE_ENOUGH: f64 = 0.985;

/// The best answer for one roof and how sure it is.
#[derive(Debug, Clone)]
pub(super) struct Reconstruction {
    /// The roof as it was solved.
    pub piece: Piece,
    /// Whether the search ran into its bound.
    pub capped: bool,
    /// The cheapest answer.
    pub best: Candidate,
    /// Its planes at their real height.
    pub scaled: Scaled,
    /// By edge.
    pub verdicts: Vec<Verdict>,
    /// What stays open.
    pub questions: Vec<Question>,
}

/// Solves one roof.
pub(super) fn reconstruct(plan: &PlanGraph, roof: RoofId, hints: &Hints, default_pitch: f64) -> Option<Reconstruction> {
    let steps = hints.kinds.iter().filter(|(_, said)| said.0 == EdgeKind::Step).map(|(&edge, _)| edge).collect();
    let piece = Piece::of(plan, roof, &steps);
    let known = known(plan, &piece, hints);
    let mut solver = Solver::of(&piece);
    let (candidates, capped) = search(&piece, &known, &mut solver);
    let best = polished(&piece, &known, candidates.first()?, &mut solver);
    let scaled = scale(&piece, &best.planes, &best.priced.borders, hints, default_pitch);
    let verdicts = verdicts(&piece, &candidates, capped);
    let questions = questions(&piece, &candidates, capped, hints, default_pitch);
    Some(Reconstruction { capped, piece, best, scaled, verdicts, questions })
}

/// Solves a clean drawing once more with pitches nearly let go, so that they no longer pull at what the lines settle. A
/// drawing with real misfits keeps the balanced answer, which is the better guess. Labels are those that the answer reads as: one that
/// it contradicts (a high edge that came out as an eave) only bends the planes.
fn polished(piece: &Piece, known: &Known, best: &Candidate, solver: &mut Solver) -> Candidate {
    /// Points of a clean drawing are off by no more, inches.
    const CLEAN: f64 = 0.25;
    let labels = as_read(piece, known, best);
    let mut solved = |pull| solver.answer(piece, known, &known.faces, labels.clone(), pull);
    let balanced = if labels == best.labels { best.clone() } else { solved(Pull::Balanced) };
    let faint = solved(Pull::Faint);
    let same = faint.priced.borders == best.priced.borders && faint.priced.folds == best.priced.folds;
    if same && faint.priced.misses.iter().chain(&balanced.priced.misses).all(|&m| m < CLEAN) {
        faint
    } else {
        best.clone()
    }
}

/// Hints in the terms of the search.
fn known(plan: &PlanGraph, piece: &Piece, hints: &Hints) -> Known {
    let mut known = Known {
        runs: vec![None; piece.runs.len()],
        faces: vec![FaceFacts::default(); piece.faces.len()],
        kinds: hints.kinds.iter().map(|(&edge, said)| (edge, said.0)).collect(),
    };
    let given: Vec<f64> = piece
        .faces
        .iter()
        .filter_map(|f| hints.pitches.get(f)?.first())
        .map(|g| g.pitch)
        .filter(|&p| p > 0.0)
        .collect();
    let mean = given.iter().sum::<f64>() / given.len().max(1) as f64;
    for (local, face) in piece.faces.iter().enumerate() {
        if let Some(given) = hints.pitches.get(face).and_then(|g| g.first())
            && mean > 0.0
        {
            known.faces[local].pitch = Some(given.pitch / mean);
        }
        match hints.falls.get(face) {
            Some(&Fall::To(edge)) => fall_to(piece, &mut known, local, edge, plan),
            Some(&Fall::Along(downhill)) => fall_along(piece, &mut known, local, downhill),
            None => {}
        }
    }
    for border in &piece.borders {
        if let Some(label) = hints.kinds.get(&border.edge).and_then(|said| label_of(said.0)) {
            known.runs[border.run] = Some(label);
        }
    }
    known
}

fn label_of(kind: EdgeKind) -> Option<Label> {
    match kind {
        EdgeKind::Eave => Some(Label::Eave),
        EdgeKind::Rake | EdgeKind::Sidewall | EdgeKind::Skew => Some(Label::Rake),
        EdgeKind::HighEdge => Some(Label::High),
        EdgeKind::FlatEdge => Some(Label::Flat),
        _ => None,
    }
}

/// A face falls square to the edge it is said to fall to.
fn fall_to(piece: &Piece, known: &mut Known, face: usize, edge: EdgeId, plan: &PlanGraph) {
    let outward = |along: Vector2| -along.left();
    if let Some(border) = piece.borders.iter().find(|b| b.edge == edge) {
        known.runs[border.run] = Some(Label::Eave);
        known.kinds.entry(edge).or_insert(EdgeKind::Eave);
        known.faces[face].downhill = Some(outward(border.along));
        return;
    }
    let segment = plan.segment(edge);
    if let Some(along) = (segment.b - segment.a).unit() {
        let forward = plan.edges[edge.index()].left == Some(piece.faces[face]);
        known.faces[face].downhill = Some(if forward { outward(along) } else { along.left() });
    }
}

/// An arrow drawn by eye means the edge it points at, where there is one square to it.
fn fall_along(piece: &Piece, known: &mut Known, face: usize, downhill: Vector2) {
    let nearest = piece
        .borders
        .iter()
        .filter(|b| b.face == face)
        .map(|b| (-b.along.left().dot(downhill), b))
        .filter(|(cosine, _)| *cosine > SQUARE_ENOUGH)
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.edge.cmp(&a.1.edge)));
    known.faces[face].downhill = Some(match nearest {
        Some((_, border)) => {
            known.runs[border.run] = Some(Label::Eave);
            known.kinds.entry(border.edge).or_insert(EdgeKind::Eave);
            -border.along.left()
        }
        None => downhill,
    });
}

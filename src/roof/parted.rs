//! Answers for lines that the best answer leaves unexplained: where its planes hardly fold, or make a ridge whose slopes come down far
//! apart, or a rival has a wall, one face beside the line, or both, may be a house of their own that walls part from all others; so may a
//! face that nothing holds, or that is too narrow to tell.
//!
//! What such a part would be by itself is offered and never taken. Unlike the walls of `walls`, its walls need not run straight, and the
//! rest of the roof stays as it was answered.

use super::energy::{POINT_MISS, unexplained};
use super::falls::{LEFT_FLAT, falls};
use super::lift::{Label, Pull};
use super::piece::{Fold, Piece};
use super::search::{Candidate, Known, Solver, nearby};
use super::settle::{drawn_level, rivals_within};
use super::variants::LEAST_MARGIN;
use super::walls::{cheapest, other_falls};
use crate::terms::EdgeKind;
use std::collections::BTreeSet;

/// A strip along the outline whose area over its longest side there is less than this, inches, may fall any way: points drawn a little off
/// turn its slope.
const NARROW: f64 = 4.0 * POINT_MISS;

/// A ridge whose nearer eave is less than this share as far off, in plan and in height, as the farther one is not taken for granted: the same lines
/// are drawn where a wall parts two flat roofs. Larger, and a house whose ridge is out of the middle is asked about (the least of some 90 real
/// ones that no other line holds is at 0.52); smaller, and such a wall passes for a ridge.
const LIKE_DROPS: f64 = 0.5;

/// Lines that may be walls beyond those that `best` leaves unexplained: where a rival has one, or a ridge is far out of the middle.
pub(super) fn suspects<'a>(
    piece: &Piece,
    best: &Candidate,
    rivals: impl Iterator<Item = &'a Candidate>,
) -> BTreeSet<usize> {
    let lines = || piece.folds.iter().enumerate().filter(|(_, fold)| !fold.cut);
    let is_step = |rival: &Candidate, fold: usize| rival.priced.folds[fold] == EdgeKind::Step;
    let mut found: BTreeSet<usize> = BTreeSet::new();
    for rival in rivals {
        found.extend(lines().map(|line| line.0).filter(|&fold| is_step(rival, fold)));
    }
    found.extend(lines().filter(|(i, fold)| uneven(piece, best, fold, best.priced.folds[*i])).map(|line| line.0));
    found
}

/// Whether a fold is a ridge from which no two eaves on both sides are about as far down or about as far off: how steep the slopes of a
/// ridge are is settled by lines beside it, if at all.
fn uneven(piece: &Piece, answer: &Candidate, fold: &Fold, kind: EdgeKind) -> bool {
    let ridge = fold.segment.midpoint();
    let drops = |face: usize| -> Vec<[f64; 2]> {
        let plane = answer.planes[face];
        let own = piece.borders.iter().zip(&answer.priced.borders);
        let eaves = own.filter(|(border, kind)| border.face == face && **kind == EdgeKind::Eave);
        let eaves = eaves.map(|(border, _)| border.segment.midpoint());
        eaves.map(|eave| [plane.height(ridge) - plane.height(eave), fold.along.cross(eave - ridge).abs()]).collect()
    };
    let (left, right) = (drops(fold.left), drops(fold.right));
    let alike = |a: f64, b: f64| a.min(b) > LIKE_DROPS * a.max(b);
    let any_alike = left.iter().any(|a| right.iter().any(|b| alike(a[0], b[0]) || alike(a[1], b[1])));
    kind == EdgeKind::Ridge && !left.is_empty() && !right.is_empty() && !any_alike
}

/// Rivals of `best`, among at most `left` labelings.
pub(super) fn parted(
    piece: &Piece,
    known: &Known,
    best: &Candidate,
    suspects: &BTreeSet<usize>,
    solver: &mut Solver,
    left: usize,
) -> Vec<Candidate> {
    let parts = parts(piece, known, best, suspects);
    let share = left / parts.len().max(1);
    let mut found: Vec<Candidate> =
        parts.iter().flat_map(|(faces, wall)| alone(piece, known, best, faces, wall, solver, share)).collect();
    let within = rivals_within(best, false);
    for candidate in &mut found {
        candidate.priced.energy = best.priced.energy + offered(candidate.priced.energy - best.priced.energy, within);
    }
    found
}

/// How much dearer than the best an answer counts so that it is a rival and no more; of two, the cheaper stays cheaper.
fn offered(over: f64, within: f64) -> f64 {
    let most = within - 2.0 * LEAST_MARGIN;
    if over > most {
        return within - LEAST_MARGIN - LEAST_MARGIN / (1.0 + over - most);
    }
    over.max(LEAST_MARGIN / (1.0 - over.min(0.0)))
}

/// Faces that may be a house of their own, and the lines that part them from others.
fn parts(
    piece: &Piece,
    known: &Known,
    best: &Candidate,
    suspects: &BTreeSet<usize>,
) -> Vec<(BTreeSet<usize>, Vec<usize>)> {
    let has = |face: usize, wanted: &[EdgeKind]| {
        let mut own = piece.borders.iter().zip(&best.priced.borders).filter(|(border, _)| border.face == face);
        own.any(|(_, kind)| wanted.contains(kind))
    };
    let askew = |face: usize| has(face, &[EdgeKind::Skew]) && !has(face, &[EdgeKind::Eave, EdgeKind::HighEdge]);
    let lines = piece.folds.iter().zip(&best.priced.folds).enumerate();
    let lines = lines.filter(|(position, (fold, kind))| {
        let unlikely = unexplained(known, &best.planes, fold, **kind) || askew(fold.left) || askew(fold.right);
        !fold.cut && (unlikely || suspects.contains(position))
    });
    let own = |face: usize| piece.borders.iter().filter(move |b| b.face == face);
    let narrow = |face: usize| piece.areas[face] < NARROW * own(face).map(|b| b.length).fold(0.0, f64::max);
    // Without anything that says so.
    let flat = |face: usize| {
        let said = known.faces[face].flat || own(face).any(|border| best.labels[border.run] == Label::Flat);
        best.planes[face].pitch() < LEFT_FLAT && !said
    };
    let unheld = (0..piece.faces.len()).filter(|&face| narrow(face) || flat(face));
    let sets: BTreeSet<BTreeSet<usize>> = lines
        .flat_map(|(_, (fold, _))| [vec![fold.left], vec![fold.right], vec![fold.left, fold.right]])
        .chain(unheld.map(|face| vec![face]))
        .map(|faces| faces.into_iter().collect())
        .collect();
    let wall_of = |faces: &BTreeSet<usize>| -> Vec<usize> {
        let around = |&fold: &usize| {
            let fold = &piece.folds[fold];
            !fold.cut && faces.contains(&fold.left) != faces.contains(&fold.right)
        };
        (0..piece.folds.len()).filter(around).collect()
    };
    let open = |wall: &[usize]| {
        let mut edges = wall.iter().flat_map(|&fold| &piece.folds[fold].edges);
        !wall.is_empty() && !edges.any(|edge| known.kinds.contains_key(edge))
    };
    sets.into_iter().map(|faces| (wall_of(&faces), faces)).filter(|(wall, _)| open(wall)).map(|(w, f)| (f, w)).collect()
}

/// The likeliest answers for these faces behind that wall, all others as they are.
fn alone(
    piece: &Piece,
    known: &Known,
    best: &Candidate,
    faces: &BTreeSet<usize>,
    wall: &[usize],
    solver: &mut Solver,
    mut left: usize,
) -> Vec<Candidate> {
    let walled = piece.with_wall(wall);
    let mut own = known.clone();
    for border in piece.borders.iter().filter(|b| !faces.contains(&b.face)) {
        own.runs[border.run] = Some(best.labels[border.run]);
    }
    let mut rest = Vec::new();
    let mut with_rest = |answers: Vec<Candidate>, solver: &mut Solver| {
        rest.extend(answers.into_iter().map(|mut answer| {
            for (face, plane) in answer.planes.iter_mut().enumerate().filter(|(face, _)| !faces.contains(face)) {
                *plane = best.planes[face];
            }
            answer.priced = solver.pricer.price(&walled, known, &answer.planes);
            answer
        }));
    };
    let answers = nearby(&walled, &own, solver, best.labels.clone(), &mut left);
    let mut firsts = cheapest(&answers);
    for first in firsts.clone() {
        firsts.extend(falls(&walled, &own, &first, solver));
    }
    let firsts = cheapest(&firsts);
    for first in &firsts {
        let others = match faces.len() {
            1 => other_falls(&walled, &own, first, solver),
            _ => gables(&walled, &own, first, faces, solver),
        };
        with_rest(others, solver);
    }
    with_rest(firsts, solver);
    rest
}

/// What `answer` becomes when two faces fall away from a line between them that is drawn as a ridge.
fn gables(
    piece: &Piece,
    known: &Known,
    answer: &Candidate,
    faces: &BTreeSet<usize>,
    solver: &mut Solver,
) -> Vec<Candidate> {
    let between = |fold: &&Fold| !fold.cut && faces.contains(&fold.left) && faces.contains(&fold.right);
    let ridges = piece.folds.iter().filter(between).filter(|fold| drawn_level(piece, fold));
    ridges
        .filter(|fold| [fold.left, fold.right].iter().all(|&face| known.faces[face].downhill.is_none()))
        .map(|ridge| {
            let mut facts = known.faces.clone();
            facts[ridge.left].downhill = Some(ridge.along.left());
            facts[ridge.right].downhill = Some(-ridge.along.left());
            let mut labels = answer.labels.clone();
            for border in piece.borders.iter().filter(|b| faces.contains(&b.face) && known.runs[b.run].is_none()) {
                labels[border.run] = Label::Rake;
            }
            solver.answer(piece, known, &facts, labels, Pull::Balanced)
        })
        .collect()
}

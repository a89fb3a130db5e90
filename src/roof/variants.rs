//! Variants of an answer that no label of the outline can make: a step along one inner line, and a nearly flat face made flat.
//!
//! They are priced like any other answer. Without them a wall inside the plan would pass for a pitch break, and a flat face
//! drawn a little off for a very low slope.

use super::lift::{FaceFacts, Pull};
use super::piece::Piece;
use super::screen::Screen;
use super::search::{Candidate, Known, Solver, WORTH_SOLVING, as_read, same};

/// A face below this share of its roof's usual pitch of 1 may as well be flat.
pub(super) const NEARLY_FLAT: f64 = 0.25;

/// A variant costs at least this more than the answer it varies, so that the answer stays first.
pub(super) const LEAST_MARGIN: f64 = 0.01;

/// The variants of `best`, none of them cheaper.
pub(super) fn variants(piece: &Piece, known: &Known, best: &Candidate, solver: &mut Solver) -> Vec<Candidate> {
    let mut found = Vec::new();
    let mut stepped = piece.clone();
    for (fold, promising) in steps(piece, known, best, solver) {
        stepped.folds[fold].cut = true;
        if promising {
            found.extend(solved_twice(&stepped, known, &known.faces, best, solver));
        }
        let priced = solver.pricer.price(&stepped, known, &best.planes);
        found.push(Candidate { labels: best.labels.clone(), planes: best.planes.clone(), priced });
        stepped.folds[fold].cut = false;
    }
    for face in (0..piece.faces.len()).filter(|&f| best.planes[f].pitch() < NEARLY_FLAT) {
        let fact = known.faces[face];
        if fact.downhill.is_none() && fact.pitch.is_none() && !fact.flat {
            let mut facts = known.faces.clone();
            facts[face].flat = true;
            found.extend(solved_twice(piece, known, &facts, best, solver));
        }
    }
    // A step explains any misfit, so it may be a rival and never the answer: that is for a person to say.
    for candidate in &mut found {
        candidate.priced.energy = candidate.priced.energy.max(best.priced.energy + LEAST_MARGIN);
    }
    found
}

/// Folds that may be steps, and whether what the roof would then become is near enough to the answer to be worked out.
fn steps(piece: &Piece, known: &Known, best: &Candidate, solver: &mut Solver) -> Vec<(usize, bool)> {
    let Solver { lifter, pricer } = solver;
    let mut screen = Screen::of(lifter, piece, &known.faces, best);
    let mut stepped = piece.clone();
    let limit = best.priced.energy + WORTH_SOLVING;
    let open = |&fold: &usize| {
        !piece.folds[fold].cut && !piece.folds[fold].edges.iter().any(|edge| known.kinds.contains_key(edge))
    };
    (0..piece.folds.len())
        .filter(open)
        .map(|fold| {
            stepped.folds[fold].cut = true;
            let promising = screen.cut(fold).is_none_or(|planes| {
                !same(&planes, &best.planes) && pricer.energy(&stepped, known, &planes, limit) < limit
            });
            stepped.folds[fold].cut = false;
            (fold, promising)
        })
        .collect()
}

/// Under the answer's own labels, and under those that read off from that.
fn solved_twice(
    piece: &Piece,
    known: &Known,
    facts: &[FaceFacts],
    best: &Candidate,
    solver: &mut Solver,
) -> Vec<Candidate> {
    let mut found = vec![solver.answer(piece, known, facts, best.labels.clone(), Pull::Balanced)];
    let read = as_read(piece, known, &found[0]);
    if read != best.labels {
        found.push(solver.answer(piece, known, facts, read, Pull::Balanced));
    }
    found
}

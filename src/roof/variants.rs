//! Variants of an answer that no label of the outline can make: a step along one inner line, and a nearly flat face made flat.
//!
//! They are priced like any other answer. Without them a wall inside the plan would pass for a pitch break, and a flat face
//! drawn a little off for a very low slope.

use super::energy::price;
use super::lift::{Pull, lift};
use super::piece::Piece;
use super::search::{Candidate, Known, as_read};

/// A face below this share of its roof's usual pitch of 1 may as well be flat.
const NEARLY_FLAT: f64 = 0.25;

/// A variant costs at least this more than the answer it varies, so that the answer stays first.
const LEAST_MARGIN: f64 = 0.01;

/// The variants of `best`, none of them cheaper.
pub(super) fn variants(piece: &Piece, known: &Known, best: &Candidate) -> Vec<Candidate> {
    let mut found = Vec::new();
    let mut stepped = piece.clone();
    for fold in
        (0..piece.folds.len()).filter(|&f| !piece.folds[f].cut && !known.kinds.contains_key(&piece.folds[f].edge))
    {
        stepped.folds[fold].cut = true;
        found.extend(solved_twice(&stepped, known, best));
        let priced = price(&stepped, known, &best.planes);
        found.push(Candidate { labels: best.labels.clone(), planes: best.planes.clone(), priced });
        stepped.folds[fold].cut = false;
    }
    for face in (0..piece.faces.len()).filter(|&f| best.planes[f].pitch() < NEARLY_FLAT) {
        let fact = known.faces[face];
        if fact.downhill.is_none() && fact.pitch.is_none() && !fact.flat {
            let mut flattened = known.clone();
            flattened.faces[face].flat = true;
            found.extend(solved_twice(piece, &flattened, best));
        }
    }
    // A step explains any misfit, so it may be a rival and never the answer: that is for a person to say.
    for candidate in &mut found {
        candidate.priced.energy = candidate.priced.energy.max(best.priced.energy + LEAST_MARGIN);
    }
    found
}

/// Under the answer's own labels, and under those that read off from that.
fn solved_twice(piece: &Piece, known: &Known, best: &Candidate) -> [Candidate; 2] {
    let solve = |labels: Vec<_>| {
        let planes = lift(piece, &labels, &known.faces, Pull::Balanced);
        let priced = price(piece, known, &planes);
        Candidate { labels, planes, priced }
    };
    let first = solve(best.labels.clone());
    let second = solve(as_read(piece, known, &first));
    [first, second]
}

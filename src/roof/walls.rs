//! Answers in which walls stand inside the plan: houses in a row at different heights, or a high part beside a lower one.
//!
//! Such a wall runs straight from outline to outline, or to another wall, however many lines it is drawn in, and costs one step. What
//! it parts is solved anew, since neither part need be what it was taken for with the other.

use super::falls::falls;
use super::lift::{Label, Pull};
use super::piece::{Fold, Piece, STRAIGHT};
use super::search::{Candidate, Known, SAME_ENERGY, Solver, nearby, same};
use super::settle::rivals_within;
use super::variants::LEAST_MARGIN;
use crate::geometry::Vector2;
use std::collections::BTreeMap;

/// Most walls tried together: each is found on top of the one that explained most.
const MOST_WALLS: usize = 4;
/// Most plans with walls that explain the same and are all gone on with; where there are more, none is.
const MOST_TIED: usize = 6;

/// A plan with walls and its best answer.
type Walled = (Piece, Candidate);

/// Answers with walls that are rivals of each other, none of them cheaper than `best`, among at most `left` labelings.
pub(super) fn walls(
    piece: &Piece,
    known: &Known,
    best: &Candidate,
    solver: &mut Solver,
    mut left: usize,
) -> Vec<Candidate> {
    let mut found = Vec::new();
    let limit = best.priced.energy + rivals_within(best, false);
    let mut parents: Vec<Walled> = vec![(piece.clone(), best.clone())];
    for _ in 0..MOST_WALLS {
        let tried: Vec<(&Walled, Vec<usize>)> =
            parents.iter().flat_map(|p| lines(&p.0, known).into_iter().map(move |wall| (p, wall))).collect();
        // Shared out, so that what is looked at does not hang on how lines are numbered.
        let share = left / tried.len().max(1);
        let mut next: Vec<Walled> = Vec::new();
        for ((piece, parent), wall) in tried {
            let parted = piece.with_wall(&wall);
            let mut own = share;
            let (answers, firsts) = one_wall(&parted, known, parent, solver, &mut own);
            left -= share - own;
            found.extend(answers);
            next.extend(firsts.into_iter().map(|first| (parted.clone(), first)));
        }
        let least = next.iter().map(|n| n.1.priced.energy).fold(f64::INFINITY, f64::min);
        next.retain(|n| n.1.priced.energy < least + SAME_ENERGY);
        if least >= limit || next.len() > MOST_TIED {
            break;
        }
        parents = next;
    }
    // A wall explains any misfit, so it may be a rival and never the answer: that is for a person to say. Of two, the cheaper comes first.
    for candidate in &mut found {
        let over = candidate.priced.energy - best.priced.energy;
        candidate.priced.energy = best.priced.energy + over.max(LEAST_MARGIN / (1.0 - over.min(0.0)));
    }
    found
}

/// Answers for a plan with one wall more than `parent` has, and the cheapest of them: several where they cost the same.
fn one_wall(
    piece: &Piece,
    known: &Known,
    parent: &Candidate,
    solver: &mut Solver,
    left: &mut usize,
) -> (Vec<Candidate>, Vec<Candidate>) {
    let mut answers = nearby(piece, known, solver, parent.labels.clone(), left);
    // Beside a wall a slope may be without level outline.
    for first in cheapest(&answers) {
        answers.extend(falls(piece, known, &first, solver));
    }
    answers.sort_by(|a, b| a.priced.energy.total_cmp(&b.priced.energy));
    let firsts = cheapest(&answers);
    if let Some(first) = firsts.first() {
        let near = first.priced.energy + rivals_within(first, false);
        answers.retain(|a| a.priced.energy < near);
    }
    for first in &firsts {
        let others = other_falls(piece, known, first, solver);
        *left = left.saturating_sub(others.len());
        answers.extend(others);
    }
    (answers, firsts)
}

/// All that cost the least and are not the same planes.
pub(super) fn cheapest(answers: &[Candidate]) -> Vec<Candidate> {
    let least = answers.iter().map(|a| a.priced.energy).fold(f64::INFINITY, f64::min);
    let mut found: Vec<Candidate> = Vec::new();
    for answer in answers.iter().filter(|a| a.priced.energy < least + SAME_ENERGY) {
        if found.iter().all(|f| !same(&f.planes, &answer.planes)) {
            found.push(answer.clone());
        }
    }
    found
}

/// What `answer` becomes when a face that walls part from all others falls square to any of its sides. The plan says nothing of its fall,
/// so that all of these are as likely.
pub(super) fn other_falls(piece: &Piece, known: &Known, answer: &Candidate, solver: &mut Solver) -> Vec<Candidate> {
    let mut alone: Vec<bool> = known.faces.iter().map(|f| f.downhill.is_none() && !f.flat).collect();
    piece.folds.iter().filter(|f| !f.cut).for_each(|f| (alone[f.left], alone[f.right]) = (false, false));
    piece.borders.iter().filter(|b| known.runs[b.run].is_some()).for_each(|b| alone[b.face] = false);
    let mut found = Vec::new();
    for face in (0..alone.len()).filter(|&face| alone[face]) {
        let own = piece.borders.iter().filter(|b| b.face == face);
        let mut labels = answer.labels.clone();
        own.clone().for_each(|border| labels[border.run] = Label::Rake);
        let walls = piece.folds.iter().filter(|f| f.left == face || f.right == face);
        let mut falls: Vec<Vector2> = Vec::new();
        for along in own.map(|b| b.along).chain(walls.map(|f| f.along)).filter(|along| *along != Vector2::default()) {
            if falls.iter().all(|fall| fall.dot(along).abs() >= STRAIGHT) {
                falls.push(along.left());
            }
        }
        for fall in falls.into_iter().flat_map(|fall| [fall, -fall]) {
            let mut facts = known.faces.clone();
            facts[face].downhill = Some(fall);
            let mut other = solver.answer(piece, known, &facts, labels.clone(), Pull::Balanced);
            other.priced.energy = other.priced.energy.min(answer.priced.energy + LEAST_MARGIN);
            found.push(other);
        }
    }
    found
}

/// Straight lines through folds from outline or wall to outline or wall.
fn lines(piece: &Piece, known: &Known) -> Vec<Vec<usize>> {
    let open = |&fold: &usize| {
        let fold = &piece.folds[fold];
        !fold.cut && !fold.edges.iter().any(|edge| known.kinds.contains_key(edge))
    };
    let mut stops = piece.outer.clone();
    for fold in piece.folds.iter().filter(|f| f.cut) {
        fold.ends.iter().for_each(|&point| stops[point] = true);
    }
    let mut at: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for fold in (0..piece.folds.len()).filter(open) {
        piece.folds[fold].ends.iter().for_each(|&point| at.entry(point).or_default().push(fold));
    }
    let mut lines = Vec::new();
    for first in (0..piece.folds.len()).filter(open) {
        for start in piece.folds[first].ends.into_iter().filter(|&point| stops[point]) {
            let line = walked(piece, &at, &stops, first, start);
            // Every line is walked from both of its ends.
            lines.extend(line.filter(|line| line.first() <= line.last()));
        }
    }
    lines.extend(fronts(piece, &at, &stops));
    lines.sort();
    lines.dedup();
    lines
}

/// Two folds in one line between whose ends a third comes square to them: the front of a dormer inside a slope, which comes to nothing at
/// both corners, with its ridge. Its faces touch no outline.
fn fronts(piece: &Piece, at: &BTreeMap<usize, Vec<usize>>, stops: &[bool]) -> Vec<Vec<usize>> {
    let mut found = Vec::new();
    let mut inside = vec![true; piece.faces.len()];
    piece.borders.iter().for_each(|b| inside[b.face] = false);
    for (&point, meeting) in at.iter().filter(|(point, _)| !stops[**point]) {
        let &[a, b, c] = meeting.as_slice() else { continue };
        for (ridge, halves) in [(a, [b, c]), (b, [a, c]), (c, [a, b])] {
            let [one, other] = halves.map(|fold| away(piece, fold, point).0);
            let Fold { along, left, right, .. } = piece.folds[ridge];
            let straight = one.cross(other).abs() < STRAIGHT && one.dot(other) < 0.0;
            if inside[left]
                && inside[right]
                && straight
                && along.dot(one).abs() < STRAIGHT
                && along.dot(other).abs() < STRAIGHT
            {
                found.push(halves.to_vec());
            }
        }
    }
    found
}

/// Direction of a fold away from one of its ends, and its other end.
fn away(piece: &Piece, fold: usize, from: usize) -> (Vector2, usize) {
    let fold = &piece.folds[fold];
    if fold.ends[0] == from { (fold.along, fold.ends[1]) } else { (-fold.along, fold.ends[0]) }
}

/// The folds of a straight line from `start` to where the next stop is.
fn walked(
    piece: &Piece,
    at: &BTreeMap<usize, Vec<usize>>,
    stops: &[bool],
    first: usize,
    start: usize,
) -> Option<Vec<usize>> {
    let mut line = vec![first];
    let (mut along, mut point) = away(piece, first, start);
    while !stops[point] {
        let last = line[line.len() - 1];
        let others = at.get(&point).into_iter().flatten().copied().filter(|&fold| fold != last);
        let mut ways: Vec<(f64, usize)> = Vec::new();
        for fold in others {
            let next = away(piece, fold, point).0;
            let ahead = next.dot(along) > 0.0;
            ways.push((if ahead { next.cross(along).abs() } else { 1.0 }, fold));
        }
        // Two planes meet in one straight line, so that where nothing else ends a line that bends is a wall before and after.
        let bends = ways.len() == 1;
        let straight = ways.into_iter().filter(|way| bends || way.0 < STRAIGHT);
        let (_, next) = straight.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
        if line.contains(&next) {
            return None;
        }
        line.push(next);
        (along, point) = away(piece, next, point);
    }
    Some(line)
}

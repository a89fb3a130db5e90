//! Answers in which faces that no level outline holds fall across a fold: the upper slopes of gambrel and mansard, or of a roof in
//! the shape of an M.
//!
//! Their outline is rakes or nothing, so that a lifting by labels alone leaves them flat. Each such face is tried falling to the
//! fold towards the outline, and away from it; a note gives its pitch, else half the usual one.

use super::energy::POINT_MISS;
use super::lift::{Label, Pull};
use super::piece::{Fold, Piece};
use super::search::{Candidate, Known, Solver, as_read};
use crate::geometry::Vector2;
use crate::terms::EdgeKind;

/// A face below this share of its roof's usual pitch of 1 may have been left flat for want of anything that raises it.
pub(super) const LEFT_FLAT: f64 = 0.05;
/// A noted face whose pitch is off by more than this factor was not held by its lines.
const OFF_ITS_NOTE: f64 = 1.1;
/// Pitch tried for a face without a note, in units of the roof's usual pitch: an upper slope is the lower one.
const UPPER_PITCH: f64 = 0.5;
/// Outline that rises less than this share of the pitch along itself would be level, and then it is no upper slope.
const SLOPING: f64 = 0.35;

/// The dearer of two ways that both fit costs at most this much more than the best answer: less than any rival may.
const EITHER_WAY: f64 = 2.0;

/// Which way the faces without level outline are tried to fall.
#[derive(Debug, Clone, Copy)]
enum Way {
    Outward,
    Inward,
}

/// What `best` becomes when its free faces fall outward, and inward.
pub(super) fn falls(piece: &Piece, known: &Known, best: &Candidate, solver: &mut Solver) -> Vec<Candidate> {
    let free = free_faces(piece, known, best);
    let towards = towards_the_outline(piece, &free);
    if towards.iter().all(Option::is_none) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for way in [Way::Outward, Way::Inward] {
        let mut tried = known.clone();
        let mut labels = as_read(piece, known, best);
        for (face, outward) in towards.iter().enumerate() {
            let Some(outward) = *outward else { continue };
            let fact = &mut tried.faces[face];
            fact.downhill = Some(match way {
                Way::Outward => outward,
                Way::Inward => -outward,
            });
            fact.pitch = fact.pitch.or(Some(UPPER_PITCH));
            for border in piece.borders.iter().filter(|b| b.face == face && known.runs[b.run].is_none()) {
                labels[border.run] = Label::Rake;
            }
        }
        found.push(solver.answer(piece, known, &tried.faces, labels, Pull::Balanced));
    }
    // Both ways draw the same lines, so that where both fit them and no note tells, neither is sure, whatever their gables cost.
    let noted = (0..free.len()).any(|face| towards[face].is_some() && known.faces[face].pitch.is_some());
    let fits = |answer: &Candidate| answer.priced.misses.iter().all(|miss| *miss < POINT_MISS);
    if !noted && found.iter().all(fits) {
        let cheaper = found.iter().map(|f| f.priced.energy).fold(best.priced.energy, f64::min);
        for answer in &mut found {
            answer.priced.energy = answer.priced.energy.min(cheaper + EITHER_WAY);
        }
    }
    found
}

/// Which faces neither an eave nor their note holds.
fn free_faces(piece: &Piece, known: &Known, best: &Candidate) -> Vec<bool> {
    let pitch = |face: usize| best.planes[face].pitch();
    let noted = |face: usize| known.faces[face].pitch.filter(|&p| p > 0.0);
    let on_eaves = piece.borders.iter().zip(&best.priced.borders).filter(|(_, kind)| **kind == EdgeKind::Eave);
    let (reached, given) = on_eaves
        .filter_map(|(border, _)| Some((pitch(border.face), noted(border.face)?)))
        .fold((0.0, 0.0), |sum, (reached, given)| (sum.0 + reached, sum.1 + given));
    // Notes count in their own mean, planes in the mean of the eaves.
    let scale = if given > 0.0 { reached / given } else { 1.0 };
    let off = |face: usize| {
        noted(face).is_some_and(|p| pitch(face).max(p * scale) > OFF_ITS_NOTE * pitch(face).min(p * scale))
    };
    let open = |face: usize| known.faces[face].downhill.is_none() && !known.faces[face].flat;
    (0..piece.faces.len()).map(|face| open(face) && (pitch(face) < LEFT_FLAT || off(face))).collect()
}

/// For each free face, square to its longest fold with a face that is nearer to the held ones. None where a fall that way
/// would leave some of its outline level.
fn towards_the_outline(piece: &Piece, free: &[bool]) -> Vec<Option<Vector2>> {
    let mut towards = vec![None; free.len()];
    let mut held: Vec<bool> = free.iter().map(|f| !f).collect();
    loop {
        let mut next = held.clone();
        for face in (0..free.len()).filter(|&f| !held[f]) {
            let beside = |fold: &&Fold| {
                !fold.cut && ((fold.left == face && held[fold.right]) || (fold.right == face && held[fold.left]))
            };
            let longest = piece
                .folds
                .iter()
                .filter(beside)
                .max_by(|a, b| a.length.total_cmp(&b.length).then_with(|| b.edges.cmp(&a.edges)));
            let Some(fold) = longest else { continue };
            let left = (fold.segment.b - fold.segment.a).unit().unwrap_or_default().left();
            let down = if fold.left == face { -left } else { left };
            let own = piece.borders.iter().filter(|b| b.face == face);
            next[face] = true;
            towards[face] = own.map(|b| b.along.dot(down).abs()).all(|share| share > SLOPING).then_some(down);
        }
        if next == held {
            return towards;
        }
        held = next;
    }
}

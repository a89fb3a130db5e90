//! Candidates become kinds, each with how sure it is.

use super::piece::{Fold, Piece, STRAIGHT};
use super::search::Candidate;
use crate::geometry::Vector2;
use crate::index::EdgeId;
use crate::terms::EdgeKind;

/// An answer whose energy is this much above the best is no rival any more. Smaller, and wrong answers pass as certain;
/// larger, and people are asked about roofs that leave nothing open.
pub(super) const RIVAL: f64 = 2.7;
/// A best answer stranger than this is doubted: its rivals count from further off, as the truth may be a roof that no answer
/// looked at describes. Smaller, and plain lean-tos are asked about; larger, and a wall inside the plan passes for a fold.
pub(super) const STRANGE: f64 = 3.5;
/// By how much further, for each unit stranger, and at most.
const DOUBT: f64 = 1.5;
const MOST_DOUBT: f64 = 3.0;
/// Most other kinds listed for an edge.
const MOST_ALTERNATIVES: usize = 3;

/// What is known about one edge's kind.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Verdict {
    /// Which edge.
    pub edge: EdgeId,
    /// Its kind in the best answer.
    pub kind: EdgeKind,
    /// How much worse the best answer with another kind is.
    pub margin: f64,
    /// Whether another kind is a rival.
    pub open: bool,
    /// Other kinds of its rivals, likeliest first.
    pub alternatives: Vec<EdgeKind>,
}

/// How much worse than the best an answer may be and still be its rival. After a search that was cut off, twice as much.
pub(super) fn rivals_within(best: &Candidate, capped: bool) -> f64 {
    let doubt = (DOUBT * (best.priced.strange - STRANGE)).clamp(0.0, MOST_DOUBT);
    (RIVAL + doubt).max(if capped { 2.0 * RIVAL } else { 0.0 })
}

/// A verdict for every edge of the piece, folds first. `candidates` come cheapest first.
pub(super) fn verdicts(piece: &Piece, candidates: &[Candidate], capped: bool) -> Vec<Verdict> {
    let within = rivals_within(&candidates[0], capped);
    let doubted = candidates[0].priced.strange > STRANGE;
    let folds = piece.folds.iter().enumerate().flat_map(|(i, fold)| {
        let kind = move |c: &Candidate| c.priced.folds[i];
        let drawn = if drawn_level(piece, fold) { EdgeKind::Ridge } else { EdgeKind::Hip };
        fold.edges.iter().map(move |&edge| verdict(candidates, within, edge, doubted, Some(drawn), kind))
    });
    let borders = (0..piece.borders.len())
        .map(|i| verdict(candidates, within, piece.borders[i].edge, doubted, None, |c| c.priced.borders[i]));
    folds.chain(borders).collect()
}

/// Whether a fold is drawn as level ridges are: along the outline of a face beside it, or square to it, or to where the outline goes
/// straight on, or along another line of both its faces. Hips cut across corners.
pub(super) fn drawn_level(piece: &Piece, fold: &Fold) -> bool {
    let own = |face: usize| piece.borders.iter().filter(move |b| b.face == face).map(|b| b.along);
    let lines = |face: usize| piece.folds.iter().filter(move |f| f.left == face || f.right == face);
    let along = |other: Vector2| other.cross(fold.along).abs() < STRAIGHT;
    let square = |other: Vector2| other.dot(fold.along).abs() < STRAIGHT;
    let faces = [fold.left, fold.right];
    let of_both = || {
        faces.iter().all(|&face| {
            lines(face).filter(|other| other.edges != fold.edges).map(|f| f.along).chain(own(face)).any(along)
        })
    };
    let by_outline = faces.iter().any(|&face| own(face).any(|other| along(other) || square(other)));
    by_outline || of_both() || piece.ends_at_peak(fold)
}

fn verdict(
    candidates: &[Candidate],
    within: f64,
    edge: EdgeId,
    doubted: bool,
    drawn: Option<EdgeKind>,
    kind_of: impl Fn(&Candidate) -> EdgeKind,
) -> Verdict {
    let best = &candidates[0];
    let kind = kind_of(best);
    let mut margin = f64::INFINITY;
    let mut alternatives = Vec::new();
    for candidate in candidates {
        let other = kind_of(candidate);
        let over = candidate.priced.energy - best.priced.energy;
        if other == kind {
            continue;
        }
        margin = margin.min(over);
        if over < within && !alternatives.contains(&other) {
            alternatives.push(other);
        }
    }
    let open = margin < within;
    if let Some(drawn) = drawn {
        order(kind, &mut alternatives, drawn, doubted && open);
    }
    alternatives.truncate(MOST_ALTERNATIVES);
    Verdict { edge, kind, margin, open, alternatives }
}

/// Puts other kinds of a line in the order in which to ask about them, and adds what was not looked at where a wall may stand.
fn order(kind: EdgeKind, alternatives: &mut Vec<EdgeKind>, drawn: EdgeKind, doubted: bool) {
    let against = if drawn == EdgeKind::Ridge { EdgeKind::Hip } else { EdgeKind::Ridge };
    // Whether there is a wall is the first thing to know of a line; nobody draws one where the surface goes straight on. Whether a line
    // that sheds water to both sides is level is seen from how it is drawn.
    let rank = |other: EdgeKind| match other {
        EdgeKind::Step => 0,
        EdgeKind::PitchBreak => 2,
        other if other == against => 2,
        EdgeKind::FlatBreak => 4,
        _ => 1,
    };
    let mut ranked: Vec<(u8, EdgeKind)> = alternatives.iter().map(|&other| (rank(other), other)).collect();
    if doubted && (kind == EdgeKind::Step || alternatives.contains(&EdgeKind::Step)) {
        for (rank, other) in [(1, drawn), (3, EdgeKind::Valley), (3, EdgeKind::PitchBreak)] {
            if other != kind && !alternatives.contains(&other) {
                ranked.push((rank, other));
            }
        }
    }
    ranked.sort_by_key(|other| other.0);
    *alternatives = ranked.into_iter().map(|other| other.1).collect();
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::plan_of;
    use super::*;
    use crate::geometry::Point3;
    use crate::index::RoofId;
    use std::collections::BTreeSet;

    fn drawn(corners: &[(f64, f64)], faces: &[&[usize]]) -> Vec<([u32; 2], bool)> {
        let corners: Vec<Point3> = corners.iter().map(|&(x, y)| Point3::new(x, y, 0.0)).collect();
        let plan = plan_of(&corners, faces);
        let piece = Piece::of(&plan, RoofId::new(0), &BTreeSet::new());
        piece.folds.iter().map(|fold| (fold.nodes.map(|node| node.0), drawn_level(&piece, fold))).collect()
    }

    /// A hipped house 40 by 24 ft: its ridge runs along its eaves, its hips cut across its corners.
    #[test]
    fn a_ridge_is_drawn_level_and_a_hip_is_not() {
        let corners = [(0.0, 0.0), (480.0, 0.0), (480.0, 288.0), (0.0, 288.0), (144.0, 144.0), (336.0, 144.0)];
        let folds = drawn(&corners, &[&[0, 1, 5, 4], &[1, 2, 5], &[2, 3, 4, 5], &[3, 0, 4]]);
        assert_eq!(folds.len(), 5);
        for (nodes, level) in folds {
            assert_eq!(level, nodes.iter().all(|node| *node >= 4), "{nodes:?}");
        }
    }

    /// Two slopes on a lot whose sides are not square to its front; the back of one is cut off askew, so that no outline runs along their
    /// ridge: it still ends where the front goes straight on.
    #[test]
    fn a_ridge_that_ends_at_a_peak_is_drawn_level() {
        let corners = [(0.0, 0.0), (0.0, 240.0), (0.0, 480.0), (300.0, 700.0), (300.0, 130.0), (400.0, 0.0)];
        let folds = drawn(&corners, &[&[0, 5, 4, 1], &[1, 4, 3, 2]]);
        assert!(matches!(folds.as_slice(), [(_, true)]), "{folds:?}");
    }

    /// A hip to where the outline goes straight on, as where a wing ends in a wall, still is one: 45 degrees to an outline of 40 by 20 ft that
    /// has a point in the middle of its long side.
    #[test]
    fn a_hip_that_ends_on_a_straight_outline_is_not_drawn_level() {
        let corners = [(0.0, 0.0), (240.0, 0.0), (480.0, 0.0), (480.0, 240.0), (120.0, 120.0), (0.0, 240.0)];
        let folds = drawn(&corners, &[&[0, 1, 4], &[1, 2, 3, 5, 4], &[5, 0, 4]]);
        let hip = folds.iter().find(|fold| fold.0 == [1, 4] || fold.0 == [4, 1]).expect("a line from the middle");
        assert!(!hip.1, "{folds:?}");
    }

    /// Where a line of a strange roof may be a wall, what its drawing is like comes right after that, and what was not looked at last; elsewhere
    /// only what was looked at is listed.
    #[test]
    fn a_line_that_may_be_a_wall_may_be_any_fold() {
        use EdgeKind::{FlatBreak, Hip, PitchBreak, Ridge, Step, Valley};
        let ordered = |kind, found: &[EdgeKind], drawn, doubted| {
            let mut alternatives = found.to_vec();
            order(kind, &mut alternatives, drawn, doubted);
            alternatives
        };
        assert_eq!(ordered(Valley, &[Hip, Step], Ridge, true), [Step, Ridge, Hip, PitchBreak]);
        assert_eq!(ordered(Valley, &[Hip, Step], Ridge, false), [Step, Hip]);
        assert_eq!(ordered(Valley, &[FlatBreak, Step], Hip, true), [Step, Hip, PitchBreak, FlatBreak]);
        assert_eq!(ordered(Valley, &[FlatBreak, Hip], Ridge, true), [Hip, FlatBreak]);
        assert_eq!(ordered(Ridge, &[PitchBreak, Valley], Ridge, true), [Valley, PitchBreak]);
    }
}

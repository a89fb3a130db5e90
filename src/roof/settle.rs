//! Candidates become kinds, each with how sure it is.

use super::piece::Piece;
use super::search::Candidate;
use crate::index::EdgeId;
use crate::terms::EdgeKind;

/// An answer whose energy is this much above the best is no rival any more. Smaller, and wrong answers pass as certain;
/// larger, and people are asked about roofs that leave nothing open.
const RIVAL: f64 = 2.7;
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
    let folds = piece.folds.iter().enumerate().flat_map(|(i, fold)| {
        let kind = move |c: &Candidate| c.priced.folds[i];
        fold.edges.iter().map(move |&edge| verdict(candidates, within, edge, kind))
    });
    let borders =
        (0..piece.borders.len()).map(|i| verdict(candidates, within, piece.borders[i].edge, |c| c.priced.borders[i]));
    folds.chain(borders).collect()
}

fn verdict(candidates: &[Candidate], within: f64, edge: EdgeId, kind_of: impl Fn(&Candidate) -> EdgeKind) -> Verdict {
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
    // Whether there is a wall is the first thing to know of a line; nobody draws one where the surface goes straight on.
    alternatives.sort_by_key(|other| match other {
        EdgeKind::Step => 0,
        EdgeKind::PitchBreak => 2,
        EdgeKind::FlatBreak => 3,
        _ => 1,
    });
    alternatives.truncate(MOST_ALTERNATIVES);
    Verdict { edge, kind, margin, open: margin < within, alternatives }
}

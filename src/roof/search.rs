//! Best-first search over what each run of the outline may be.

use super::energy::{Priced, price};
use super::falls::falls;
use super::lift::{FaceFacts, Label, Pull, lift};
use super::piece::Piece;
use super::variants::variants;
use crate::geometry::Plane;
use crate::index::EdgeId;
use crate::terms::EdgeKind;
use std::collections::{BTreeMap, BTreeSet};

/// Most solves a piece may cost. A count, so that the answer is the same on a slow machine.
const MOST_SOLVES: usize = 4000;
/// Most labelings whose neighbours are looked at.
const MOST_EXPANSIONS: usize = 8;
/// Work of one piece in multiply-adds, which lowers the number of solves on a large roof.
const MOST_WORK: usize = 400_000_000;
/// What one fold or border costs to set up and to price, in multiply-adds: a few logarithms and a place in a sort. Smaller, and
/// a plan of thousands of lines takes minutes; larger, and the search of a large roof is cut short.
const LINE_WORK: usize = 400;

/// One answer.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Candidate {
    /// Label of each run.
    pub labels: Vec<Label>,
    /// Plane of each face.
    pub planes: Vec<Plane>,
    /// Its kinds and cost.
    pub priced: Priced,
}

/// What is fixed before the search.
#[derive(Debug, Clone, Default)]
pub(super) struct Known {
    /// Label of a run that a hint settles.
    pub runs: Vec<Option<Label>>,
    /// By face.
    pub faces: Vec<FaceFacts>,
    /// Kinds that somebody said.
    pub kinds: BTreeMap<EdgeId, EdgeKind>,
}

/// All answers looked at, the cheapest first, and whether the search ran into its bound.
pub(super) fn search(piece: &Piece, known: &Known) -> (Vec<Candidate>, bool) {
    let most = MOST_SOLVES.min(MOST_WORK / work(piece)).max(1);
    let mut seen = BTreeSet::new();
    let mut found: Vec<(Candidate, bool)> = Vec::new();
    let mut solves = 0;
    let mut capped = false;
    let mut consider = |labels: Vec<Label>, found: &mut Vec<(Candidate, bool)>| {
        if solves >= most || !seen.insert(labels.clone()) {
            return solves < most;
        }
        solves += 1;
        let planes = lift(piece, &labels, &known.faces, Pull::Balanced);
        let priced = price(piece, known, &planes);
        found.push((Candidate { labels, planes, priced }, false));
        true
    };
    for start in starts(piece, known) {
        consider(start, &mut found);
    }
    for _ in 0..MOST_EXPANSIONS {
        if capped {
            break;
        }
        let next = (0..found.len())
            .filter(|&i| !found[i].1)
            .min_by(|&i, &j| found[i].0.priced.energy.total_cmp(&found[j].0.priced.energy));
        let Some(next) = next else { break };
        found[next].1 = true;
        let read = as_read(piece, known, &found[next].0);
        let labels = found[next].0.labels.clone();
        for labels in std::iter::once(read).chain(neighbours(piece, known, &labels)) {
            capped |= !consider(labels, &mut found);
        }
    }
    let mut candidates: Vec<Candidate> = found.into_iter().map(|f| f.0).collect();
    sort(&mut candidates);
    if let Some(best) = candidates.first() {
        let more = falls(piece, known, best);
        candidates.extend(more);
        sort(&mut candidates);
    }
    // Each fold is varied three times and each face twice, every time on the whole piece.
    capped |= 3 * piece.folds.len() + 2 * piece.faces.len() > most;
    if !capped && let Some(best) = candidates.first() {
        let more = variants(piece, known, best);
        candidates.extend(more);
    }
    sort(&mut candidates);
    (candidates, capped)
}

fn sort(candidates: &mut [Candidate]) {
    candidates.sort_by(|a, b| a.priced.energy.total_cmp(&b.priced.energy).then_with(|| a.labels.cmp(&b.labels)));
}

/// Level outline except gable peaks; level outline throughout; and, where a fall is known, nothing else.
fn starts(piece: &Piece, known: &Known) -> Vec<Vec<Label>> {
    let mut gables = vec![Label::Eave; piece.runs.len()];
    for &run in piece.peaks.iter().flatten() {
        gables[run] = Label::Rake;
    }
    let mut all = vec![gables, vec![Label::Eave; piece.runs.len()]];
    if known.faces.iter().any(|f| f.downhill.is_some()) {
        all.push(vec![Label::Rake; piece.runs.len()]);
    }
    for labels in &mut all {
        for (label, fixed) in labels.iter_mut().zip(&known.runs) {
            if let Some(fixed) = fixed {
                *label = *fixed;
            }
        }
    }
    all
}

/// Multiply-adds of one solve: its factorisation, from the width of its envelope, and what its lines cost.
fn work(piece: &Piece) -> usize {
    let mut first: Vec<usize> = (0..piece.faces.len()).collect();
    for fold in &piece.folds {
        let (low, high) = (fold.left.min(fold.right), fold.left.max(fold.right));
        first[high] = first[high].min(low);
    }
    first.iter().enumerate().map(|(face, first)| 27 * (face - first + 1) * (face - first + 1)).sum::<usize>()
        + LINE_WORK * (piece.folds.len() + piece.borders.len()).max(1)
}

/// The labels that an answer's own kinds suggest.
pub(super) fn as_read(piece: &Piece, known: &Known, candidate: &Candidate) -> Vec<Label> {
    (0..piece.runs.len())
        .map(|run| match (known.runs[run], candidate.priced.borders[piece.runs[run][0]]) {
            (Some(fixed), _) => fixed,
            (None, EdgeKind::Eave) => Label::Eave,
            (None, EdgeKind::HighEdge) => Label::High,
            (None, EdgeKind::FlatEdge) => Label::Flat,
            _ => Label::Rake,
        })
        .collect()
}

/// Labelings one change away: one run, or the two runs that meet where a fold ends.
fn neighbours(piece: &Piece, known: &Known, labels: &[Label]) -> Vec<Vec<Label>> {
    let mut out = Vec::new();
    let fixed = |run: usize| known.runs.get(run).copied().flatten().is_some();
    for run in (0..labels.len()).filter(|&r| !fixed(r)) {
        for label in [Label::Eave, Label::Rake, Label::High, Label::Flat] {
            if labels[run] != label {
                let mut next = labels.to_vec();
                next[run] = label;
                out.push(next);
            }
        }
    }
    for pair in piece.peaks.iter().chain(&piece.corners).filter(|p| p.iter().all(|&r| !fixed(r))) {
        for label in [Label::Eave, Label::Rake] {
            if pair.iter().all(|&run| labels[run] != label) {
                let mut next = labels.to_vec();
                pair.iter().for_each(|&run| next[run] = label);
                out.push(next);
            }
        }
    }
    out
}

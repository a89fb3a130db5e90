//! Best-first search over what each run of the outline may be.

use super::energy::{Priced, Pricer};
use super::falls::falls;
use super::lift::{FaceFacts, Label, Lifter, Pull};
use super::parted::{parted, suspects};
use super::piece::Piece;
use super::screen::Screen;
use super::settle::{RIVAL, STRANGE, rivals_within};
use super::variants::{LEAST_MARGIN, variants};
use super::walls::walls;
use crate::geometry::Plane;
use crate::index::EdgeId;
use crate::terms::EdgeKind;
use std::collections::{BTreeMap, BTreeSet};

/// Most labelings looked at in a piece. A count, so that the answer is the same on a slow machine.
const MOST_SOLVES: usize = 4000;
/// Most labelings whose neighbours are looked at.
const MOST_EXPANSIONS: usize = 8;
/// An answer this much dearer than the best has no neighbours worth looking at. Smaller, and an answer two changes away is missed;
/// larger, and doubtful roofs are looked over for far-fetched answers that happen to be cheap.
const WORTH_EXPANDING: f64 = 6.0;
/// A labeling that by a rough look is this much dearer than the best is not solved: more than any rival may be, and than rough looks
/// are off.
pub(super) const WORTH_SOLVING: f64 = 9.0;
/// Once all other kinds are this much dearer than the best, nothing two changes away will come near it: more than any rival may be.
const UNIQUE: f64 = 6.0;
/// Energies that differ by less are equal but for rounding.
pub(super) const SAME_ENERGY: f64 = 1e-6;
/// Lengths that differ by less, inches, are equal but for rounding.
const SAME_LENGTH: f64 = 1e-3;
/// Slopes that differ by less, at a usual pitch of 1, are the same.
const SAME_SLOPE: f64 = 1e-4;
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

/// Solves and prices answers for one piece.
pub(super) struct Solver {
    pub lifter: Lifter,
    pub pricer: Pricer,
}

impl Solver {
    /// For this piece, or the same with other folds cut.
    pub(super) fn of(piece: &Piece) -> Self {
        Self { lifter: Lifter::of(piece), pricer: Pricer::default() }
    }

    /// The answer under these labels, lifted by `facts` and priced by what is known.
    pub(super) fn answer(
        &mut self,
        piece: &Piece,
        known: &Known,
        facts: &[FaceFacts],
        labels: Vec<Label>,
        pull: Pull,
    ) -> Candidate {
        let planes = self.lifter.lift(piece, &labels, facts, pull);
        let priced = self.pricer.price(piece, known, &planes);
        Candidate { labels, planes, priced }
    }
}

/// All answers looked at closely, the cheapest first, and whether the search ran into its bound.
pub(super) fn search(piece: &Piece, known: &Known, solver: &mut Solver) -> (Vec<Candidate>, bool) {
    let most = MOST_SOLVES.min(MOST_WORK / work(piece, solver)).max(1);
    let mut hunt = Hunt { piece, known, solver, seen: BTreeSet::new(), found: Vec::new(), expansions: 0, left: most };
    for start in starts(piece, known) {
        hunt.solve(start);
    }
    let mut capped = !hunt.look_around(UNIQUE);
    if let Some(best) = hunt.best().map(|best| best.priced.clone()).filter(|best| !capped && best.strange > STRANGE) {
        let usual = hunt.found.len();
        capped = !hunt.look_around(f64::INFINITY);
        // What is cheap and far from the usual answers may be the truth, and is for a person to say.
        for (candidate, _) in &mut hunt.found[usual..] {
            candidate.priced.energy = candidate.priced.energy.max(best.energy + LEAST_MARGIN);
        }
    }
    let mut candidates: Vec<Candidate> = hunt.found.into_iter().map(|f| f.0).collect();
    sort(piece, &mut candidates);
    if let Some(best) = candidates.first() {
        let more = falls(piece, known, best, solver);
        candidates.extend(more);
        sort(piece, &mut candidates);
    }
    // Each fold is varied three times and each face twice, every time on the whole piece.
    capped |= 3 * piece.folds.len() + 2 * piece.faces.len() > most;
    if !capped && let Some(best) = candidates.first() {
        let mut more = variants(piece, known, best, solver);
        let doubted = best.priced.strange > STRANGE;
        if doubted {
            more.extend(walls(piece, known, best, solver, most));
        }
        let found: Vec<&Candidate> = candidates.iter().chain(&more).filter(|other| rivals(best, other)).collect();
        // On a strange roof any line may be a wall to some rival, which says nothing of that line.
        let told = found.iter().copied().filter(|other| other.priced.energy < best.priced.energy + RIVAL);
        let suspects = suspects(piece, best, told);
        if (doubted && !found.is_empty()) || !suspects.is_empty() {
            let parted = parted(piece, known, best, &suspects, solver, most);
            more.extend(parted);
        }
        candidates.extend(more);
    }
    sort(piece, &mut candidates);
    (candidates, capped)
}

/// Answers near `labels` and near the usual ones, the cheapest first, as long as labelings are left.
pub(super) fn nearby(
    piece: &Piece,
    known: &Known,
    solver: &mut Solver,
    labels: Vec<Label>,
    left: &mut usize,
) -> Vec<Candidate> {
    let mut hunt = Hunt { piece, known, solver, seen: BTreeSet::new(), found: Vec::new(), expansions: 0, left: *left };
    for start in starts(piece, known).into_iter().chain([labels]) {
        hunt.solve(start);
    }
    hunt.look_around(UNIQUE);
    *left = hunt.left;
    let mut found: Vec<Candidate> = hunt.found.into_iter().map(|f| f.0).collect();
    sort(piece, &mut found);
    found
}

/// Whether planes are the same but for rounding: their labels differ where the lines alone settle the slope.
pub(super) fn same(planes: &[Plane], others: &[Plane]) -> bool {
    planes.iter().zip(others).all(|(p, q)| (p.uphill_gradient() - q.uphill_gradient()).length() < SAME_SLOPE)
}

/// Whether another answer is a rival of the best after a whole search.
fn rivals(best: &Candidate, other: &Candidate) -> bool {
    let over = other.priced.energy - best.priced.energy;
    over < rivals_within(best, false) && other_kinds(&other.priced, &best.priced)
}

/// Whether any edge is of another kind.
fn other_kinds(priced: &Priced, other: &Priced) -> bool {
    priced.folds != other.folds || priced.borders != other.borders
}

/// A search under way.
struct Hunt<'a> {
    piece: &'a Piece,
    known: &'a Known,
    solver: &'a mut Solver,
    seen: BTreeSet<Vec<Label>>,
    /// Answers, and whether their neighbours were looked at.
    found: Vec<(Candidate, bool)>,
    /// How many answers had their neighbours looked at.
    expansions: usize,
    /// How many more labelings may be looked at.
    left: usize,
}

impl Hunt<'_> {
    fn least(&self) -> f64 {
        self.found.iter().map(|f| f.0.priced.energy).fold(f64::INFINITY, f64::min)
    }

    /// Energy of the cheapest answer with another kind on some edge than the best has.
    fn second(&self) -> f64 {
        let Some(best) = self.best().map(|b| &b.priced) else { return f64::INFINITY };
        self.found
            .iter()
            .map(|f| &f.0.priced)
            .filter(|p| other_kinds(p, best))
            .map(|p| p.energy)
            .fold(f64::INFINITY, f64::min)
    }

    /// The cheapest answer.
    fn best(&self) -> Option<&Candidate> {
        self.found.iter().map(|f| &f.0).min_by(|a, b| a.priced.energy.total_cmp(&b.priced.energy))
    }

    /// Looks at the neighbours of the cheapest answers until answers with other kinds are dearer than the best by more than `unique`. Whether
    /// nothing was left out for want of work.
    fn look_around(&mut self, unique: f64) -> bool {
        while self.expansions < MOST_EXPANSIONS {
            let energy = |i: usize| self.found[i].0.priced.energy;
            let open = (0..self.found.len()).filter(|&i| !self.found[i].1);
            let rakes = |i: usize| self.found[i].0.labels.iter().filter(|l| **l == Label::Rake).count();
            // Energies that differ by rounding alone are equal; which comes first must not hang on how edges are numbered.
            let coarse = |i: usize| (energy(i) / SAME_ENERGY).round();
            let lengths = |i: usize| (self.piece.labelled_lengths(&self.found[i].0.labels) / SAME_LENGTH).round();
            let order = |&i: &usize, &j: &usize| {
                let equal = || rakes(i).cmp(&rakes(j)).then_with(|| lengths(i).total_cmp(&lengths(j)));
                coarse(i).total_cmp(&coarse(j)).then_with(equal)
            };
            let Some(next) = open.min_by(order) else { break };
            let least = self.least();
            if energy(next) > least + WORTH_EXPANDING || (self.expansions > 0 && self.second() > least + unique) {
                break;
            }
            self.found[next].1 = true;
            self.expansions += 1;
            if !self.expand(next) {
                return false;
            }
        }
        true
    }

    /// Counts a labeling that was not seen before; whether it is to be looked at.
    fn take(&mut self, labels: &[Label]) -> bool {
        let fresh = self.left > 0 && !self.seen.contains(labels);
        if fresh {
            self.seen.insert(labels.to_vec());
            self.left -= 1;
        }
        fresh
    }

    fn solve(&mut self, labels: Vec<Label>) {
        if self.take(&labels) {
            self.keep(labels);
        }
    }

    fn keep(&mut self, labels: Vec<Label>) {
        let answer = self.solver.answer(self.piece, self.known, &self.known.faces, labels, Pull::Balanced);
        self.found.push((answer, false));
    }

    /// Looks at the neighbours of an answer, and closely at those that may be worth it, the most promising first. Whether none was left
    /// out for want of work.
    fn expand(&mut self, position: usize) -> bool {
        let (piece, known) = (self.piece, self.known);
        let parent = self.found[position].0.clone();
        self.solve(as_read(piece, known, &parent));
        let limit = self.least() + WORTH_SOLVING;
        let mut promising: Vec<(f64, Vec<Label>)> = Vec::new();
        let mut screen = Screen::of(&mut self.solver.lifter, piece, &known.faces, &parent);
        let mut labels = parent.labels.clone();
        for change in changes(piece, known, &parent.labels) {
            for &run in &change.runs {
                labels[run] = change.label;
            }
            if self.left == 0 {
                return false;
            }
            if !self.seen.contains(&labels) {
                self.seen.insert(labels.clone());
                self.left -= 1;
                let planes = screen.relabelled(&labels, &change.runs);
                if planes.as_ref().is_some_and(|planes| same(planes, &parent.planes)) {
                    let (planes, priced) = (parent.planes.clone(), parent.priced.clone());
                    self.found.push((Candidate { labels: labels.clone(), planes, priced }, false));
                } else {
                    let energy = planes.map_or(0.0, |planes| self.solver.pricer.energy(piece, known, &planes, limit));
                    if energy < limit {
                        promising.push((energy, labels.clone()));
                    }
                }
            }
            for &run in &change.runs {
                labels[run] = parent.labels[run];
            }
        }
        promising.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        for (energy, labels) in promising {
            if energy < self.least() + WORTH_SOLVING {
                self.keep(labels);
            }
        }
        true
    }
}

/// The cheapest first. Labels that make the same planes cost the same; which of them comes first must not hang on how runs are numbered.
fn sort(piece: &Piece, candidates: &mut [Candidate]) {
    let coarse = |c: &Candidate| (c.priced.energy / SAME_ENERGY).round();
    let lengths = |c: &Candidate| (piece.labelled_lengths(&c.labels) / SAME_LENGTH).round();
    candidates.sort_by(|a, b| {
        let equal = || lengths(a).total_cmp(&lengths(b)).then_with(|| a.labels.cmp(&b.labels));
        coarse(a).total_cmp(&coarse(b)).then_with(equal)
    });
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

/// Multiply-adds of one solve: its factorisation, and what its lines cost.
fn work(piece: &Piece, solver: &Solver) -> usize {
    solver.lifter.work() + LINE_WORK * (piece.folds.len() + piece.borders.len()).max(1)
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

/// Another label on some runs.
struct Change {
    runs: Vec<usize>,
    label: Label,
}

/// Changes by one run, or by the two runs that meet where a fold ends.
fn changes(piece: &Piece, known: &Known, labels: &[Label]) -> Vec<Change> {
    let mut out = Vec::new();
    let free = |run: &usize| known.runs[*run].is_none();
    for run in (0..labels.len()).filter(free) {
        for label in [Label::Eave, Label::Rake, Label::High, Label::Flat] {
            if labels[run] != label {
                out.push(Change { runs: vec![run], label });
            }
        }
    }
    for pair in piece.peaks.iter().chain(&piece.corners).filter(|p| p.iter().all(free)) {
        for label in [Label::Eave, Label::Rake] {
            if pair.iter().all(|&run| labels[run] != label) {
                out.push(Change { runs: pair.to_vec(), label });
            }
        }
    }
    out
}

//! Pieces become rolls: one-dimensional cutting stock with kerf.
//!
//! Every piece is whole, every roll is equally long, and between two pieces of a roll the blade takes its kerf. A plan comes with
//! a lower bound that no plan can beat, so that its gap is known: 0 means proven.
//!
//! Lengths are counted in sixty-fourths of an inch, pieces rounded up and rolls down. A piece of length `l` with kerf `k` on
//! a roll of `L` fits just when pieces of `l + k` fit on `L + k`, the last cut being spared.
//!
//! Method: first fit and fullest-roll-first by search give plans; the linear relaxation over patterns, solved by column generation
//! (Gilmore and Gomory 1961), gives the bound, and its solution rounded down plus a plan for the rest gives another plan. If a
//! gap stays, rolls are filled one after another in all undominated ways within a budget of steps. All budgets are counts.

mod fill;
mod relax;
mod search;

use fill::{fullest_first, longest_first};

/// Parts of an inch that lengths are counted in.
const GRAIN: f64 = 64.0;

/// Steps of the exhaustive search before it gives up, over the whole plan.
const SEARCH_STEPS: usize = 80_000;

/// Pieces of a few lengths to cut from rolls of one length, in whole units.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Demand {
    /// Length of a roll.
    roll: u64,
    /// Different lengths, longest first; none is longer than a roll.
    lengths: Vec<u64>,
    /// Pieces of each.
    counts: Vec<u32>,
}

/// Pieces of each length on one roll, and how often that is cut.
type Pattern = (Vec<u32>, u32);

impl Demand {
    fn used(&self, pattern: &[u32]) -> u64 {
        self.lengths.iter().zip(pattern).map(|(l, n)| l * u64::from(*n)).sum()
    }

    fn total(&self) -> u64 {
        self.used(&self.counts)
    }

    fn is_done(&self) -> bool {
        self.counts.iter().all(|n| *n == 0)
    }

    /// The pieces in all need at least so many rolls of material.
    fn material_bound(&self) -> usize {
        self.total().div_ceil(self.roll) as usize
    }
}

fn rolls_of(patterns: &[Pattern]) -> usize {
    patterns.iter().map(|(_, times)| *times as usize).sum()
}

/// What is cut from which roll.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Cutting {
    /// For each roll the places of its pieces in the list given, longest first.
    pub rolls: Vec<Vec<usize>>,
    /// Fewest rolls any plan can need.
    pub bound: usize,
    /// Pieces longer than a roll, by their places; on no roll.
    pub too_long: Vec<usize>,
}

/// Plans rolls of `roll` inches for pieces of `lengths` inches with `kerf` inches lost to each cut between two pieces.
pub(super) fn cutting(lengths: &[f64], roll: f64, kerf: f64) -> Cutting {
    let blade = (kerf * GRAIN - 1e-6).ceil().max(0.0) as u64;
    let whole = |inches: f64| (inches * GRAIN - 1e-6).ceil().max(1.0) as u64 + blade;
    let capacity = (roll * GRAIN + 1e-6).floor().max(0.0) as u64 + blade;
    let mut order: Vec<usize> = (0..lengths.len()).collect();
    order.sort_by(|&a, &b| lengths[b].total_cmp(&lengths[a]).then(a.cmp(&b)));
    let (fitting, too_long): (Vec<usize>, Vec<usize>) =
        order.into_iter().partition(|&at| whole(lengths[at]) <= capacity);
    let mut demand = Demand { roll: capacity, lengths: Vec::new(), counts: Vec::new() };
    let mut places: Vec<Vec<usize>> = Vec::new();
    for &at in &fitting {
        let length = whole(lengths[at]);
        if demand.lengths.last() != Some(&length) {
            demand.lengths.push(length);
            demand.counts.push(0);
            places.push(Vec::new());
        }
        if let (Some(count), Some(place)) = (demand.counts.last_mut(), places.last_mut()) {
            *count += 1;
            place.push(at);
        }
    }
    let (patterns, bound) = plan(&demand);
    // Pieces go to their rolls in the order given, so that rolls hold neighbours.
    let mut next = vec![0; places.len()];
    let mut rolls = Vec::new();
    for (pattern, times) in &patterns {
        for _ in 0..*times {
            let mut pieces = Vec::new();
            for (kind, count) in pattern.iter().enumerate() {
                pieces.extend(&places[kind][next[kind]..next[kind] + *count as usize]);
                next[kind] += *count as usize;
            }
            rolls.push(pieces);
        }
    }
    Cutting { rolls, bound, too_long }
}

/// The best plan found, and the fewest rolls any plan can need.
fn plan(demand: &Demand) -> (Vec<Pattern>, usize) {
    if demand.is_done() {
        return (Vec::new(), 0);
    }
    let mut bound = demand.material_bound();
    let mut best = longest_first(demand);
    let take = |found: Vec<Pattern>, best: &mut Vec<Pattern>| {
        if rolls_of(&found) < rolls_of(best) {
            *best = found;
        }
    };
    if rolls_of(&best) > bound {
        take(fullest_first(demand), &mut best);
    }
    if rolls_of(&best) > bound {
        let relaxed = relax::relax(demand);
        bound = bound.max(relaxed.bound);
        for (patterns, rest) in relaxed.rounded(demand) {
            if rolls_of(&best) <= bound {
                break;
            }
            let allowed = rolls_of(&best).saturating_sub(rolls_of(&patterns));
            let tail = search::search(&rest, allowed, SEARCH_STEPS / 8).plan.unwrap_or_else(|| fullest_first(&rest));
            take([patterns, tail].concat(), &mut best);
        }
    }
    if rolls_of(&best) > bound {
        let found = search::search(demand, rolls_of(&best), SEARCH_STEPS);
        if let Some(better) = found.plan {
            take(better, &mut best);
        }
        if found.exhausted {
            bound = rolls_of(&best);
        }
    }
    (best, bound)
}

#[cfg(test)]
mod tests;

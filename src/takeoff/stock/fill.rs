//! Plans that are quick to make: longest piece first, and the fullest roll first.

use super::{Demand, Pattern};

/// Steps to look for the fullest roll before the best so far is taken.
const FILL_STEPS: usize = 20_000;

/// Longest first, each from the first roll with enough left.
pub(super) fn longest_first(demand: &Demand) -> Vec<Pattern> {
    let mut rolls: Vec<(u64, Vec<u32>)> = Vec::new();
    for (kind, (&length, &count)) in demand.lengths.iter().zip(&demand.counts).enumerate() {
        for _ in 0..count {
            let at = rolls.iter().position(|(left, _)| *left >= length).unwrap_or_else(|| {
                rolls.push((demand.roll, vec![0; demand.lengths.len()]));
                rolls.len() - 1
            });
            rolls[at].0 -= length;
            rolls[at].1[kind] += 1;
        }
    }
    rolls.into_iter().map(|(_, pattern)| (pattern, 1)).collect()
}

/// Roll by roll the longest piece left with the company that fills it best, as often as the pieces last.
pub(super) fn fullest_first(demand: &Demand) -> Vec<Pattern> {
    let mut left = demand.clone();
    let mut patterns: Vec<Pattern> = Vec::new();
    while let Some(first) = left.counts.iter().position(|n| *n > 0) {
        let pattern = fullest(&left, first);
        let times = (0..pattern.len())
            .filter(|&k| pattern[k] > 0)
            .map(|k| left.counts[k] / pattern[k])
            .min()
            .unwrap_or(1)
            .max(1);
        for (count, taken) in left.counts.iter_mut().zip(&pattern) {
            *count -= taken * times;
        }
        patterns.push((pattern, times));
    }
    patterns
}

/// The fullest roll that holds a piece of kind `first`, the longest there is.
fn fullest(demand: &Demand, first: usize) -> Vec<u32> {
    let mut pattern = vec![0; demand.lengths.len()];
    pattern[first] = 1;
    let mut search = Fullest { demand, best: pattern.clone(), least: u64::MAX, steps: 0 };
    search.go(&mut pattern, first, demand.roll - demand.lengths[first]);
    search.best
}

struct Fullest<'a> {
    demand: &'a Demand,
    best: Vec<u32>,
    /// Left over by the best.
    least: u64,
    steps: usize,
}

impl Fullest<'_> {
    /// Tries kinds from `kind` on for `left` units.
    fn go(&mut self, pattern: &mut Vec<u32>, kind: usize, left: u64) {
        self.steps += 1;
        if left < self.least {
            self.least = left;
            self.best.clone_from(pattern);
        }
        for next in kind..self.demand.lengths.len() {
            if self.least == 0 || self.steps > FILL_STEPS {
                return;
            }
            let length = self.demand.lengths[next];
            if length <= left && pattern[next] < self.demand.counts[next] {
                pattern[next] += 1;
                self.go(pattern, next, left - length);
                pattern[next] -= 1;
            }
        }
    }
}

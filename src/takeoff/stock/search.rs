//! The exact search: rolls are filled one after another in all ways that matter.
//!
//! Some roll holds the longest piece left, and nothing is lost by filling that roll until no piece left fits any more. So only such
//! fillings are tried, the fullest first, and a branch ends when the material left needs as many rolls as are allowed.

use super::{Demand, Pattern, rolls_of};

/// What the search came to.
pub(super) struct Found {
    /// A plan of fewer rolls than asked for, the best one found.
    pub plan: Option<Vec<Pattern>>,
    /// Whether everything was tried, so that there is no better one.
    pub exhausted: bool,
}

/// Looks for a plan of fewer than `fewer_than` rolls, in at most `steps` steps.
pub(super) fn search(demand: &Demand, fewer_than: usize, steps: usize) -> Found {
    if demand.is_done() {
        return Found { plan: (fewer_than > 0).then(Vec::new), exhausted: true };
    }
    let mut state = State { demand, rolls: Vec::new(), best: None, allowed: fewer_than.saturating_sub(1), steps };
    let mut left = demand.counts.clone();
    let exhausted = state.go(&mut left);
    debug_assert!(state.best.as_ref().is_none_or(|b| rolls_of(b) < fewer_than));
    Found { plan: state.best, exhausted }
}

struct State<'a> {
    demand: &'a Demand,
    rolls: Vec<Vec<u32>>,
    best: Option<Vec<Pattern>>,
    /// Rolls a better plan may have.
    allowed: usize,
    steps: usize,
}

impl State<'_> {
    /// Fills rolls for the pieces `left`; false when the steps ran out.
    fn go(&mut self, left: &mut Vec<u32>) -> bool {
        let material = self.demand.used(left).div_ceil(self.demand.roll) as usize;
        if self.rolls.len() + material > self.allowed {
            return true;
        }
        let Some(first) = left.iter().position(|n| *n > 0) else {
            self.best = Some(self.rolls.iter().map(|pattern| (pattern.clone(), 1)).collect());
            // An allowance of 0 rolls never is met again, so this cannot pass below it.
            self.allowed = self.rolls.len() - 1;
            return true;
        };
        let mut fillings = Vec::new();
        let mut pattern = vec![0; left.len()];
        pattern[first] = 1;
        left[first] -= 1;
        let room = self.demand.roll - self.demand.lengths[first];
        let whole = self.fillings(left, &mut pattern, first, room, &mut fillings);
        left[first] += 1;
        if !whole {
            return false;
        }
        // The fullest first; the patterns themselves settle ties.
        fillings.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| b.1.cmp(&a.1)));
        for (_, filling) in fillings {
            if self.rolls.len() + material > self.allowed {
                break;
            }
            for (count, taken) in left.iter_mut().zip(&filling) {
                *count -= taken;
            }
            self.rolls.push(filling);
            let finished = self.go(left);
            if let Some(filling) = self.rolls.pop() {
                for (count, taken) in left.iter_mut().zip(&filling) {
                    *count += taken;
                }
            }
            if !finished {
                return false;
            }
        }
        true
    }

    /// All ways to fill `room` from the pieces `left` until none fits, kinds from `kind` on; false when the steps ran out.
    fn fillings(
        &mut self,
        left: &mut Vec<u32>,
        pattern: &mut Vec<u32>,
        kind: usize,
        room: u64,
        found: &mut Vec<(u64, Vec<u32>)>,
    ) -> bool {
        if self.steps == 0 {
            return false;
        }
        self.steps -= 1;
        // Whether a piece that this branch passed over, or will not reach, still fits: then the filling is dominated.
        let fits = |k: usize| left[k] > 0 && self.demand.lengths[k] <= room;
        let open: Vec<usize> = (kind..left.len()).filter(|&k| fits(k)).collect();
        if open.is_empty() {
            if !(0..kind).any(fits) {
                found.push((room, pattern.clone()));
            }
            return true;
        }
        for next in open {
            pattern[next] += 1;
            left[next] -= 1;
            let whole = self.fillings(left, pattern, next, room - self.demand.lengths[next], found);
            pattern[next] -= 1;
            left[next] += 1;
            if !whole {
                return false;
            }
        }
        true
    }
}

//! The linear relaxation over all patterns, by column generation, and plans rounded from it.
//!
//! # Source
//! Gilmore and Gomory 1961. The bound is safe in floating point: for prices `y >= 0` of the lengths and `z` an upper bound on what any pattern is
//! worth, no plan has fewer than `sum(count * y) / z` rolls, whatever the prices are (Farley 1990).

use super::{Demand, Pattern};

/// Rounds of column generation before the bound so far is taken.
const ROUNDS: usize = 2_000;
/// Steps to look for a pattern that is worth more than a roll before the table is worked out.
const QUICK_STEPS: usize = 3_000;
/// Cells of all tables together.
const TABLE_CELLS: usize = 60_000_000;
/// Cells of one table: a byte each.
const LARGEST_TABLE: usize = 20_000_000;
/// What floating point may have added to a bound.
const SAFE: f64 = 1e-6;

/// A solution of the relaxation.
pub(super) struct Relaxed {
    /// Fewest rolls of any plan.
    pub bound: usize,
    /// Patterns in use, each with how often, as a fraction; largest first.
    patterns: Vec<(Vec<u32>, f64)>,
}

impl Relaxed {
    /// Patterns rounded down, or some of them up, as far as the pieces last, each with the pieces that are left over.
    pub(super) fn rounded(&self, demand: &Demand) -> Vec<(Vec<Pattern>, Demand)> {
        [1.0, 0.7, 0.5, 0.3]
            .map(|from| {
                let mut rest = demand.clone();
                let mut taken: Vec<Pattern> = Vec::new();
                for (pattern, share) in &self.patterns {
                    let wanted = (share + 1e-9).floor() as u32 + u32::from(share.fract() >= from);
                    let last =
                        (0..pattern.len()).filter(|&k| pattern[k] > 0).map(|k| rest.counts[k] / pattern[k]).min();
                    let times = wanted.min(last.unwrap_or(0));
                    if times > 0 {
                        for (count, used) in rest.counts.iter_mut().zip(pattern) {
                            *count -= used * times;
                        }
                        taken.push((pattern.clone(), times));
                    }
                }
                (taken, rest)
            })
            .to_vec()
    }
}

/// Solves the relaxation.
pub(super) fn relax(demand: &Demand) -> Relaxed {
    let kinds = demand.lengths.len();
    let mut basis = Basis::homogeneous(demand);
    let mut table = Table::new(demand);
    let mut bound = 0.0_f64;
    for round in 0..ROUNDS {
        let prices = basis.prices();
        let priced: Vec<f64> = prices.iter().map(|y| y.max(0.0)).collect();
        // A piece too many (a surplus) enters where its price is negative, else a pattern worth more than its roll.
        let surplus = (0..kinds).filter(|&k| prices[k] < -1e-9).min_by(|&a, &b| prices[a].total_cmp(&prices[b]));
        let mut worth = quick(demand, &priced);
        let last = round + 1 == ROUNDS;
        if worth.at_most.is_none() && (last || (surplus.is_none() && worth.value <= WORTH_A_ROLL)) {
            match table.most_worth(&priced) {
                Some(exact) => worth = exact,
                None => break,
            }
        }
        if let Some(most) = worth.at_most {
            let sum: f64 = priced.iter().zip(&demand.counts).map(|(y, n)| y * f64::from(*n)).sum();
            bound = bound.max(sum / most.max(1.0));
        }
        let entering = match surplus {
            Some(kind) => Column::Surplus(kind),
            None if worth.value > WORTH_A_ROLL => Column::Pattern(worth.pattern),
            None => break,
        };
        if !basis.enter(entering) {
            break;
        }
    }
    Relaxed { bound: (bound - SAFE).ceil().max(0.0) as usize, patterns: basis.patterns() }
}

/// A pattern worth more than this saves something.
const WORTH_A_ROLL: f64 = 1.0 + 1e-9;

#[derive(Debug, Clone)]
enum Column {
    Pattern(Vec<u32>),
    /// One piece of a kind more than asked for.
    Surplus(usize),
}

/// A basis of the relaxation with its inverse.
struct Basis {
    columns: Vec<Column>,
    inverse: Vec<Vec<f64>>,
    values: Vec<f64>,
}

impl Basis {
    /// One pattern a length, as many of it as fit.
    fn homogeneous(demand: &Demand) -> Self {
        let kinds = demand.lengths.len();
        let mut basis = Self { columns: Vec::new(), inverse: vec![vec![0.0; kinds]; kinds], values: Vec::new() };
        for kind in 0..kinds {
            let fit = ((demand.roll / demand.lengths[kind]) as u32).min(demand.counts[kind]).max(1);
            let mut pattern = vec![0; kinds];
            pattern[kind] = fit;
            basis.columns.push(Column::Pattern(pattern));
            basis.inverse[kind][kind] = 1.0 / f64::from(fit);
            basis.values.push(f64::from(demand.counts[kind]) / f64::from(fit));
        }
        basis
    }

    /// What a piece of each length costs in rolls: the costs of the basis times its inverse.
    fn prices(&self) -> Vec<f64> {
        let mut prices = vec![0.0; self.values.len()];
        for (column, row) in self.columns.iter().zip(&self.inverse) {
            if matches!(column, Column::Pattern(_)) {
                for (price, x) in prices.iter_mut().zip(row) {
                    *price += x;
                }
            }
        }
        prices
    }

    /// Takes a column in for the one that first would fall below zero; false when none does.
    fn enter(&mut self, column: Column) -> bool {
        let direction: Vec<f64> = self
            .inverse
            .iter()
            .map(|row| match &column {
                Column::Pattern(pattern) => row.iter().zip(pattern).map(|(x, n)| x * f64::from(*n)).sum(),
                Column::Surplus(kind) => -row[*kind],
            })
            .collect();
        let ratio = |at: usize| self.values[at] / direction[at];
        let leaving =
            (0..direction.len()).filter(|&at| direction[at] > 1e-9).min_by(|&a, &b| ratio(a).total_cmp(&ratio(b)));
        let Some(leaving) = leaving else { return false };
        let pivot = direction[leaving];
        for x in &mut self.inverse[leaving] {
            *x /= pivot;
        }
        self.values[leaving] /= pivot;
        let (row, value) = (self.inverse[leaving].clone(), self.values[leaving]);
        for (at, factor) in direction.iter().enumerate() {
            if at != leaving && *factor != 0.0 {
                for (x, y) in self.inverse[at].iter_mut().zip(&row) {
                    *x -= factor * y;
                }
                self.values[at] = (self.values[at] - factor * value).max(0.0);
            }
        }
        self.columns[leaving] = column;
        true
    }

    fn patterns(self) -> Vec<(Vec<u32>, f64)> {
        let used = self.columns.into_iter().zip(self.values).filter_map(|(column, value)| match column {
            Column::Pattern(pattern) if value > 1e-9 => Some((pattern, value)),
            _ => None,
        });
        let mut patterns: Vec<(Vec<u32>, f64)> = used.collect();
        patterns.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| b.0.cmp(&a.0)));
        patterns
    }
}

/// A pattern of much worth at given prices.
struct Worth {
    pattern: Vec<u32>,
    value: f64,
    /// No pattern is worth more; none when the search for a better one was broken off.
    at_most: Option<f64>,
}

/// Tries kinds in order of price by length, cut off where even the best price cannot catch up, for a number of steps.
fn quick(demand: &Demand, prices: &[f64]) -> Worth {
    let mut order: Vec<usize> = (0..prices.len()).filter(|&k| prices[k] > 0.0 && demand.counts[k] > 0).collect();
    let density = |k: usize| prices[k] / demand.lengths[k] as f64;
    order.sort_by(|&a, &b| density(b).total_cmp(&density(a)).then(a.cmp(&b)));
    let densities: Vec<f64> = order.iter().map(|&k| density(k)).collect();
    let mut pricing = Pricing {
        demand,
        prices,
        order: &order,
        densities: &densities,
        best: vec![0; prices.len()],
        value: 0.0,
        steps: QUICK_STEPS,
    };
    let mut pattern = vec![0; prices.len()];
    pricing.go(&mut pattern, 0, demand.roll, 0.0);
    let at_most = (pricing.steps > 0).then_some(pricing.value);
    Worth { value: pricing.value, at_most, pattern: pricing.best }
}

struct Pricing<'a> {
    demand: &'a Demand,
    prices: &'a [f64],
    order: &'a [usize],
    densities: &'a [f64],
    best: Vec<u32>,
    value: f64,
    steps: usize,
}

impl Pricing<'_> {
    fn go(&mut self, pattern: &mut Vec<u32>, at: usize, left: u64, value: f64) {
        if value > self.value {
            self.value = value;
            self.best.clone_from(pattern);
        }
        if at == self.order.len() || self.steps == 0 {
            return;
        }
        self.steps -= 1;
        // Not even filling what is left at the best price would beat the best so far.
        if value + self.densities[at] * left as f64 <= self.value {
            return;
        }
        let kind = self.order[at];
        let (length, price) = (self.demand.lengths[kind], self.prices[kind]);
        let most = ((left / length) as u32).min(self.demand.counts[kind]);
        for count in (0..=most).rev() {
            pattern[kind] = count;
            self.go(pattern, at + 1, left - length * u64::from(count), value + price * f64::from(count));
        }
        pattern[kind] = 0;
    }
}

/// The exact answer by a table over all lengths up to a roll, piece by piece, in units of what divides all lengths.
struct Table {
    /// The kind of each piece that may be taken, and its length in the table's units.
    pieces: Vec<(usize, usize)>,
    kinds: usize,
    roll: usize,
    cells_left: usize,
}

impl Table {
    fn new(demand: &Demand) -> Self {
        let divisor = demand.lengths.iter().fold(0, |a, b| greatest_common(a, *b)).max(1);
        let mut pieces = Vec::new();
        for (kind, length) in demand.lengths.iter().enumerate() {
            let fit = (demand.roll / length).min(u64::from(demand.counts[kind]));
            pieces.extend((0..fit).map(|_| (kind, (length / divisor) as usize)));
        }
        // Sums of lengths are whole multiples, so what a roll has beyond one is never used.
        let roll = (demand.roll / divisor) as usize;
        Self { pieces, kinds: demand.lengths.len(), roll, cells_left: TABLE_CELLS }
    }

    /// The pattern worth most; none when the cells have run out.
    fn most_worth(&mut self, prices: &[f64]) -> Option<Worth> {
        let width = self.roll + 1;
        let cells = self.pieces.len() * width;
        if cells > LARGEST_TABLE {
            return None;
        }
        self.cells_left = self.cells_left.checked_sub(cells)?;
        let mut value = vec![0.0_f64; width];
        let mut taken = vec![false; cells];
        for ((kind, length), taken) in self.pieces.iter().zip(taken.chunks_mut(width)) {
            let price = prices[*kind];
            if price <= 0.0 {
                continue;
            }
            for at in (*length..width).rev() {
                let with = value[at - length] + price;
                if with > value[at] {
                    value[at] = with;
                    taken[at] = true;
                }
            }
        }
        let mut pattern = vec![0; self.kinds];
        let mut at = self.roll;
        for ((kind, length), taken) in self.pieces.iter().zip(taken.chunks(width)).rev() {
            if taken[at] {
                pattern[*kind] += 1;
                at -= length;
            }
        }
        Some(Worth { pattern, value: value[self.roll], at_most: Some(value[self.roll]) })
    }
}

fn greatest_common(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { greatest_common(b, a % b) }
}

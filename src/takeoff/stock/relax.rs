//! The linear relaxation over all patterns, by column generation, and plans rounded from it.
//!
//! # Source
//! Gilmore and Gomory 1961. The bound is safe in floating point: for prices `y >= 0` of the lengths and `z` an upper bound on what any pattern is
//! worth, no plan has fewer than `sum(count * y) / z` rolls, whatever the prices are (Farley 1990).

use super::{Demand, Pattern};

/// Rounds of column generation before the bound so far is taken.
const ROUNDS: usize = 1_500;
/// Steps to look for the pattern that is worth most; when they run out, an upper bound takes its place.
const PRICING_STEPS: usize = 50_000;
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
    let mut bound = 0.0_f64;
    for _ in 0..ROUNDS {
        let prices = basis.prices();
        let priced: Vec<f64> = prices.iter().map(|y| y.max(0.0)).collect();
        let worth = most_worth(demand, &priced);
        let sum: f64 = priced.iter().zip(&demand.counts).map(|(y, n)| y * f64::from(*n)).sum();
        bound = bound.max(sum / worth.at_most.max(1.0));
        // A piece too many (a surplus) enters where its price is negative, else the pattern worth most.
        let surplus = (0..kinds).filter(|&k| prices[k] < -1e-9).min_by(|&a, &b| prices[a].total_cmp(&prices[b]));
        let entering = match surplus {
            Some(kind) => Column::Surplus(kind),
            None if worth.value > 1.0 + 1e-9 => Column::Pattern(worth.pattern),
            None => break,
        };
        if !basis.enter(entering) {
            break;
        }
    }
    Relaxed { bound: (bound - SAFE).ceil().max(0.0) as usize, patterns: basis.patterns() }
}

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

/// The pattern worth most at given prices.
struct Worth {
    pattern: Vec<u32>,
    value: f64,
    /// No pattern is worth more.
    at_most: f64,
}

/// Finds it by trying kinds in order of price by length, cut off where even the best price cannot catch up.
fn most_worth(demand: &Demand, prices: &[f64]) -> Worth {
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
        steps: PRICING_STEPS,
    };
    let mut pattern = vec![0; prices.len()];
    pricing.go(&mut pattern, 0, demand.roll, 0.0);
    let relaxed = densities.first().map_or(0.0, |d| d * demand.roll as f64);
    let at_most = if pricing.steps == 0 { relaxed.max(pricing.value) } else { pricing.value };
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

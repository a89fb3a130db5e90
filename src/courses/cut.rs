//! Runs become pieces.
//!
//! A run longer than the longest piece is cut with an end gap between pieces. The gaps of all courses of a zone stand above each other in one
//! open column: the leads of the pieces beside it leave there straight up or down without crossing an element. Seams staggered from
//! course to course would leave every inner end gap closed off by the element above and below, so the column wins over the stagger.
//! Every run of the zone that spans a column is cut there, also one short enough to stay whole, to keep the column open to both ends.

use super::model::Run;
use crate::geometry::Interval;

/// Sums of cut steps are exact; lengths along a slope are not.
const ROUNDING: f64 = 1e-6;

/// Settings of the cut.
#[derive(Debug, Clone, Copy)]
pub(super) struct CutRule {
    /// Longest piece of a course, inches.
    pub longest: f64,
    /// Between the ends of two pieces.
    pub end_gap: f64,
    /// Pieces are whole steps of this.
    pub step: f64,
    /// Shorter pieces are not laid.
    pub shortest: f64,
}

impl CutRule {
    /// The longest whole number of steps within `length`, and within the longest piece.
    fn down(self, length: f64) -> f64 {
        let length = length.min(self.longest);
        if self.step > 0.0 { ((length + ROUNDING) / self.step).floor() * self.step } else { length }
    }
}

/// Gaps that cut all `runs` of one zone into pieces no longer than allowed, from left to right.
///
/// Long runs that lie above each other share their columns: the fewest that serve the leftmost and the rightmost end of all of them.
pub(super) fn columns(runs: &[&Run], rule: CutRule) -> Vec<Interval> {
    let mut long: Vec<Interval> =
        runs.iter().map(|run| run.along).filter(|along| along.length() > rule.longest + ROUNDING).collect();
    long.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.high.total_cmp(&b.high)));
    let mut stacks: Vec<Interval> = Vec::new();
    for along in long {
        match stacks.last_mut() {
            Some(stack) if along.low < stack.high => stack.high = stack.high.max(along.high),
            _ => stacks.push(along),
        }
    }
    let mut gaps = Vec::new();
    for stack in stacks {
        let pieces = fewest(stack.length(), rule);
        let each = rule.down((stack.length() - (pieces - 1) as f64 * rule.end_gap) / pieces as f64);
        for piece in 1..pieces {
            let low = stack.low + piece as f64 * each + (piece - 1) as f64 * rule.end_gap;
            gaps.push(Interval { low, high: low + rule.end_gap });
        }
    }
    gaps
}

/// The fewest equal pieces of a run.
fn fewest(length: f64, rule: CutRule) -> usize {
    let mut pieces = 1;
    while (length - (pieces - 1) as f64 * rule.end_gap) / pieces as f64 > rule.longest + ROUNDING {
        pieces += 1;
    }
    pieces
}

/// A run in pieces and the stretches between them that are too short to lay.
pub(super) struct CutRun {
    pub pieces: Vec<Interval>,
    pub too_short: Vec<Interval>,
}

/// Cuts one run at the columns. A piece lies against its column; a whole run lies against its left end.
pub(super) fn cut(run: Interval, columns: &[Interval], rule: CutRule) -> CutRun {
    let inside: Vec<Interval> = columns.iter().filter(|gap| gap.overlap(run).is_some()).copied().collect();
    let mut made = CutRun { pieces: Vec::new(), too_short: Vec::new() };
    let equal = inside.windows(2).map(|pair| pair[1].low - pair[0].high).reduce(f64::min);
    for position in 0..=inside.len() {
        let low = if position == 0 { run.low } else { inside[position - 1].high };
        let high = inside.get(position).map_or(run.high, |gap| gap.low);
        if high - low <= ROUNDING {
            continue;
        }
        let mut length = rule.down(high - low);
        // The last piece collects what rounding took from the others: it is cut like them.
        if let Some(equal) = equal
            && length > equal
            && length - equal <= rule.step * inside.len() as f64 + ROUNDING
        {
            length = equal;
        }
        if length < rule.shortest - ROUNDING || length <= 0.0 {
            made.too_short.push(Interval { low, high });
        } else if position == 0 && !inside.is_empty() {
            made.pieces.push(Interval { low: high - length, high });
        } else {
            made.pieces.push(Interval { low, high: low + length });
        }
    }
    made
}

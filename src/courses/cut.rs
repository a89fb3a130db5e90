//! Runs become pieces.
//!
//! A run longer than the longest piece is cut with an end gap between pieces. The gaps of all courses of a zone stand above each other in one
//! open column: the leads of the pieces beside it leave there straight up or down without crossing an element. Seams staggered from
//! course to course would leave every inner end gap closed off by the element above and below, so the column wins over the stagger.
//! Every run of the zone that spans a column is cut there, also one short enough to stay whole, to keep the column open to both ends.

use super::model::{Layer, Run};
use crate::geometry::Interval;

/// Lengths this near are one, inches: far below any mark on a tape, and above what a turned or metric drawing loses, so that a run of 468 in that
/// comes out as 467.9999 is still cut to 468.
pub(super) const SAME_LENGTH: f64 = 1e-3;

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
    /// Layer of the roof: it decides where leads may leave.
    pub layer: Layer,
}

impl CutRule {
    /// The longest whole number of steps within `length`, and within the longest piece.
    fn down(self, length: f64) -> f64 {
        let length = length.min(self.longest);
        if self.step > 0.0 { ((length + SAME_LENGTH) / self.step).floor() * self.step } else { length }
    }
}

/// Gaps that cut all `runs` of one zone into pieces no longer than allowed, from left to right.
///
/// Long runs that lie above each other share their columns: the fewest that serve the leftmost and the rightmost end of all of them.
pub(super) fn columns(runs: &[&Run], rule: CutRule) -> Vec<Interval> {
    let mut long: Vec<Interval> =
        runs.iter().map(|run| run.along).filter(|along| along.length() > rule.longest + SAME_LENGTH).collect();
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
        // What rounding down leaves over is shared by both ends, so that a mirrored roof is cut alike.
        let spare = stack.length() - pieces as f64 * each - (pieces - 1) as f64 * rule.end_gap;
        for piece in 1..pieces {
            let low = stack.low + 0.5 * spare + piece as f64 * each + (piece - 1) as f64 * rule.end_gap;
            gaps.push(Interval { low, high: low + rule.end_gap });
        }
    }
    gaps
}

/// The fewest equal pieces of a run.
fn fewest(length: f64, rule: CutRule) -> usize {
    let mut pieces = 1;
    while (length - (pieces - 1) as f64 * rule.end_gap) / pieces as f64 > rule.longest + SAME_LENGTH {
        pieces += 1;
    }
    pieces
}

/// One piece: its place, and the whole steps it is cut to.
pub(super) struct Piece {
    pub along: Interval,
    pub cut_length: f64,
}

/// A run in pieces and the stretches between them that are too short to lay.
pub(super) struct CutRun {
    pub pieces: Vec<Piece>,
    pub too_short: Vec<Interval>,
}

/// Cuts one run at the columns. A piece with one column lies against it; another lies in the middle of its stretch, what rounding down
/// leaves over shared by both ends, so that a mirrored roof is laid alike.
pub(super) fn cut(run: Interval, columns: &[Interval], rule: CutRule) -> CutRun {
    let inside: Vec<Interval> = columns.iter().filter(|gap| gap.overlap(run).is_some()).copied().collect();
    let mut made = CutRun { pieces: Vec::new(), too_short: Vec::new() };
    let equal = inside.windows(2).map(|pair| rule.down(pair[1].low - pair[0].high)).reduce(f64::min);
    for position in 0..=inside.len() {
        let low = if position == 0 { run.low } else { inside[position - 1].high };
        let high = inside.get(position).map_or(run.high, |gap| gap.low);
        if high - low <= SAME_LENGTH {
            continue;
        }
        let mut length = rule.down(high - low);
        // The last piece collects what rounding took from the others: it is cut like them.
        if let Some(equal) = equal
            && length > equal
            && length - equal <= rule.step * inside.len() as f64 + SAME_LENGTH
        {
            length = equal;
        }
        if length < rule.shortest - SAME_LENGTH || length <= 0.0 {
            made.too_short.push(Interval { low, high });
            continue;
        }
        let laid = length.min(high - low);
        let along = match (position > 0, position < inside.len()) {
            (true, false) => Interval { low, high: low + laid },
            (false, true) => Interval { low: high - laid, high },
            _ => {
                let low = low + 0.5 * (high - low - laid);
                Interval { low, high: low + laid }
            }
        };
        made.pieces.push(Piece { along, cut_length: length });
    }
    made
}

#[cfg(test)]
mod tests {
    use super::*;

    const RULE: CutRule =
        CutRule { longest: 600.0, end_gap: 6.0, step: 0.5, shortest: 24.0, layer: Layer::UnderShingles };

    fn pieces(run: (f64, f64), columns: &[Interval]) -> Vec<(f64, f64)> {
        let made = cut(Interval { low: run.0, high: run.1 }, columns, RULE);
        made.pieces.iter().map(|p| (p.along.low, p.cut_length)).collect()
    }

    #[test]
    fn a_whole_run_is_cut_down_to_a_half_inch() {
        assert_eq!(pieces((6.0, 101.75), &[]), [(6.125, 95.5)]);
        assert_eq!(pieces((6.0, 473.999_95), &[]), [(6.0, 468.0)]);
    }

    #[test]
    fn pieces_lie_against_their_column() {
        let column = [Interval { low: 300.0, high: 306.0 }];
        assert_eq!(pieces((10.3, 590.2), &column), [(10.5, 289.5), (306.0, 284.0)]);
    }

    #[test]
    fn a_scrap_beside_a_column_is_not_laid() {
        let column = [Interval { low: 30.0, high: 36.0 }];
        let made = cut(Interval { low: 10.0, high: 400.0 }, &column, RULE);
        assert_eq!(made.pieces.len(), 1);
        assert_eq!(made.too_short, [Interval { low: 10.0, high: 30.0 }]);
    }

    #[test]
    fn fewest_pieces() {
        // Two pieces of 600 and their gap are 1206 in.
        for (length, count) in [(600.0, 1), (600.5, 2), (1206.0, 2), (1206.5, 3), (1332.0, 3)] {
            assert_eq!(fewest(length, RULE), count, "{length}");
        }
    }
}

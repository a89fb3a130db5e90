//! The repairs in their order, round by round, until nothing changes.

use super::draft::{Draft, ROUNDING};
use super::prune::trim_overshoots;
use super::report::Report;
use super::snap::{join_ends, join_short_pieces, put_on_lines, straighten_joints};
use super::split::{around, cut_crossings};
use crate::error::{Error, Result};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Point2, Segment2, SegmentIndex};
use crate::index::OriginId;
use crate::units::{decimal, feet_inches};
use std::collections::{BTreeMap, BTreeSet};

/// Rounds of repairs that may move points.
const ROUNDS: usize = 4;

/// Rounds of cutting alone, after the last repair. Each cut rounds a point by less than [`ROUNDING`]; drawings settle in two.
const CUTTING_ROUNDS: usize = 8;

/// Pairs of ends in one tolerance square that any drawing may have; beyond them joining ends takes longer than reading did.
const CROWDED_PAIRS: usize = 100_000;

/// Further pairs allowed for each end: sixteen ends at one corner are a busy corner.
const CROWDED_PAIRS_PER_END: usize = 16;

/// Pairs of lines with meeting boxes that any drawing may have: a roof plan has a few thousand, a hatch has the square of its lines.
const DENSE_PAIRS: usize = 1_000_000;

/// Further pairs allowed for each line.
const DENSE_PAIRS_PER_LINE: usize = 64;

/// How far past a junction a line may overshoot and still be cut off, in gap tolerances: 1 in by default. Longer free ends are
/// set aside as dangling lines, which gives the same faces and tells more.
const OVERSHOOT_TOLERANCES: f64 = 2.0;

/// Joins, cuts and trims lines until edges meet only at nodes.
///
/// At most four rounds move points, none further than `tolerance` from where it was drawn.
pub(super) fn repair(lines: &[(Segment2, OriginId)], tolerance: f64, report: &mut Report) -> Result<Draft> {
    let mut draft = Draft::new(lines);
    // Copies of one line go first: every step after this looks at lines in pairs.
    drop_doubles(&mut draft, report);
    refuse_crowds(&draft, tolerance)?;
    refuse_density(&draft)?;
    mend(&mut draft, tolerance, report)?;
    Ok(draft)
}

/// The rounds of [`repair`] on a draft that has more lines than before.
pub(super) fn mend(draft: &mut Draft, tolerance: f64, report: &mut Report) -> Result<()> {
    for _ in 0..ROUNDS {
        let mut changed = join_ends(draft, tolerance, report);
        drop_doubles(draft, report);
        changed |= put_on_lines(draft, tolerance, report);
        changed |= cut_crossings(draft, report)?;
        drop_doubles(draft, report);
        changed |= trim_overshoots(draft, OVERSHOOT_TOLERANCES * tolerance, report);
        changed |= join_short_pieces(draft, tolerance, report);
        drop_doubles(draft, report);
        if !changed {
            break;
        }
    }
    straighten_joints(draft, tolerance);
    for _ in 0..CUTTING_ROUNDS {
        let mut changed = put_on_lines(draft, ROUNDING, report);
        changed |= cut_crossings(draft, report)?;
        drop_doubles(draft, report);
        if !changed {
            return Ok(());
        }
    }
    report.push(
        Finding::new(
            Severity::Warning,
            "unsettled-lines",
            "lines still cross after all rounds of repair; faces near them may be wrong",
            Place::none(),
        )
        .with_hint("look for lines on top of each other, and lower the gap tolerance"),
    );
    Ok(())
}

/// Refuses drawings with so many ends within the tolerance of each other that joining them would mean nothing.
fn refuse_crowds(draft: &Draft, tolerance: f64) -> Result<()> {
    let mut squares: BTreeMap<(i64, i64), usize> = BTreeMap::new();
    for node in &draft.nodes {
        let square = (node.at.x / tolerance).floor() as i64;
        *squares.entry((square, (node.at.y / tolerance).floor() as i64)).or_default() += 1;
    }
    let pairs: usize = squares.values().map(|count| count * count).sum();
    let crowd = squares.iter().max_by_key(|(_, count)| **count);
    match crowd {
        Some((square, count)) if pairs > CROWDED_PAIRS + CROWDED_PAIRS_PER_END * draft.nodes.len() => {
            let at = Point2::new(square.0 as f64 * tolerance, square.1 as f64 * tolerance);
            let message = format!("{count} line ends lie within {} in of each other", decimal(tolerance, 3));
            Err(Error::refused("crowded-ends", message)
                .at(Place::at(at))
                .with_hint("check the drawing's units, or lower drawing.gap_tolerance"))
        }
        _ => Ok(()),
    }
}

/// Refuses drawings in which so many lines lie beside each other that looking at them in pairs takes longer than reading did.
fn refuse_density(draft: &Draft) -> Result<()> {
    let segments = draft.segments();
    let index = SegmentIndex::new(&segments);
    let mut pairs = 0;
    for &segment in &segments {
        pairs += index.meeting(around(segment)).len();
        if pairs > DENSE_PAIRS + DENSE_PAIRS_PER_LINE * segments.len() {
            let message = format!("the {} roof lines lie too densely to be a roof", segments.len());
            return Err(Error::refused("too-dense", message)
                .at(Place::at(segment.midpoint()))
                .with_hint("name the layers that hold the roof and no hatch with --layer"));
        }
    }
    Ok(())
}

fn drop_doubles(draft: &mut Draft, report: &mut Report) {
    for line in draft.drop_doubles() {
        let words = format!("a line of {} drawn twice counts once", feet_inches(line.length()));
        report.add(Severity::Repaired, "dropped-double", words, line.midpoint(), line.length());
    }
}

/// A place where two free ends face each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gap {
    /// The two ends.
    pub ends: [Point2; 2],
    /// Their distance, inches.
    pub width: f64,
}

/// The narrowest gap between two free ends. Ends of one line do not make a gap.
///
/// The ends are swept from left to right; only those within the narrowest gap so far are kept, in order of height, so each is compared with a
/// few others however many stand above each other.
pub(super) fn narrowest_gap(draft: &Draft) -> Option<Gap> {
    let edges_at = draft.edges_at();
    let mut free: Vec<usize> = (0..draft.nodes.len()).filter(|&n| edges_at[n].len() == 1).collect();
    free.sort_by(|&a, &b| draft.nodes[a].at.x.total_cmp(&draft.nodes[b].at.x).then(a.cmp(&b)));
    let at = |end: usize| draft.nodes[end].at;
    // Nodes are numbered from bottom to top.
    let mut kept: BTreeSet<usize> = BTreeSet::new();
    let mut oldest = 0;
    let mut best: Option<Gap> = None;
    for &end in &free {
        let least = best.map_or(f64::INFINITY, |gap| gap.width);
        while at(free[oldest]).x < at(end).x - least {
            kept.remove(&free[oldest]);
            oldest += 1;
        }
        let below = kept.range(..end).rev().take_while(|&&other| at(end).y - at(other).y <= least);
        let above = kept.range(end..).take_while(|&&other| at(other).y - at(end).y <= least);
        for &other in below.chain(above).filter(|&&other| edges_at[other] != edges_at[end]) {
            let width = at(other).distance(at(end));
            if best.is_none_or(|gap| width < gap.width) {
                best = Some(Gap { ends: [at(other), at(end)], width });
            }
        }
        kept.insert(end);
    }
    best
}

/// The gap in words: `2 1/4" (2.25 in)`.
pub(super) fn gap_words(gap: Gap) -> String {
    format!("{} ({} in)", feet_inches(gap.width), decimal(gap.width, 2))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{prop, prop_assert, proptest};

    #[test]
    fn the_narrowest_gap_is_between_two_lines() {
        let line = |a: f64, b: f64, c: f64, d: f64| (Segment2::new(Point2::new(a, b), Point2::new(c, d)), OriginId(0));
        let draft = Draft::new(&[line(0.0, 0.0, 1.0, 0.0), line(4.0, 4.0, 90.0, 4.0), line(93.0, 4.0, 93.0, 50.0)]);
        let gap = narrowest_gap(&draft).unwrap();
        assert_eq!((gap.width, gap.ends), (3.0, [Point2::new(90.0, 4.0), Point2::new(93.0, 4.0)]));
    }

    proptest! {
        /// The promise of the stage: no drawn point ends further away than the tolerance.
        #[test]
        fn nothing_moves_further_than_the_tolerance(ends in prop::collection::vec((0_i32..160, 0_i32..160), 2..60)) {
            let point = |&(x, y): &(i32, i32)| Point2::new(f64::from(x) / 8.0, f64::from(y) / 8.0);
            let lines: Vec<(Segment2, OriginId)> =
                ends.chunks_exact(2).map(|pair| (Segment2::new(point(&pair[0]), point(&pair[1])), OriginId(0))).collect();
            let draft = repair(&lines, 0.5, &mut Report::default()).unwrap();
            for node in &draft.nodes {
                prop_assert!(node.drawn.iter().all(|p| p.distance(node.at) <= 0.5 + 1e-9), "{:?}", node);
            }
        }
    }
}

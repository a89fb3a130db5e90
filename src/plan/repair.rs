//! The repairs in their order, round by round, until nothing changes.

use super::draft::{Draft, ROUNDING};
use super::prune::trim_overshoots;
use super::report::Report;
use super::snap::{join_ends, join_short_pieces, put_on_lines};
use super::split::cut_crossings;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Point2, Segment2};
use crate::index::OriginId;
use crate::units::{decimal, feet_inches};

/// Rounds of repairs that may move points.
const ROUNDS: usize = 4;

/// Rounds of cutting alone, after the last repair. Each cut rounds a point by less than [`ROUNDING`]; drawings settle in two.
const CUTTING_ROUNDS: usize = 8;

/// How far past a junction a line may overshoot and still be cut off, in gap tolerances: 1 in by default. Longer free ends are
/// set aside as dangling lines, which gives the same faces and tells more.
const OVERSHOOT_TOLERANCES: f64 = 2.0;

/// Joins, cuts and trims lines until edges meet only at nodes.
///
/// At most four rounds move points, none further than `tolerance` from where it was drawn.
pub(super) fn repair(lines: &[(Segment2, OriginId)], tolerance: f64, report: &mut Report) -> Draft {
    let mut draft = Draft::new(lines);
    for _ in 0..ROUNDS {
        let mut changed = join_ends(&mut draft, tolerance, report);
        changed |= put_on_lines(&mut draft, tolerance, report);
        changed |= cut_crossings(&mut draft, report);
        drop_doubles(&mut draft, report);
        changed |= trim_overshoots(&mut draft, OVERSHOOT_TOLERANCES * tolerance, report);
        changed |= join_short_pieces(&mut draft, tolerance, report);
        drop_doubles(&mut draft, report);
        if !changed {
            return draft;
        }
    }
    for _ in 0..CUTTING_ROUNDS {
        let mut changed = put_on_lines(&mut draft, ROUNDING, report);
        changed |= cut_crossings(&mut draft, report);
        drop_doubles(&mut draft, report);
        if !changed {
            return draft;
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
    draft
}

fn drop_doubles(draft: &mut Draft, report: &mut Report) {
    for line in draft.drop_doubles() {
        let words = format!("a line of {} drawn twice counts once", feet_inches(line.length()));
        report.add(Severity::Repaired, "dropped-double", words, line.midpoint(), line.length());
    }
}

/// The narrowest gap between two free ends: its ends and its width. Ends of one line do not make a gap.
pub(super) fn narrowest_gap(draft: &Draft) -> Option<(Point2, Point2, f64)> {
    let edges_at = draft.edges_at();
    let free: Vec<usize> = (0..draft.nodes.len()).filter(|&n| edges_at[n].len() == 1).collect();
    let mut best: Option<(Point2, Point2, f64)> = None;
    for (i, &a) in free.iter().enumerate() {
        for &b in &free[i + 1..] {
            let (p, q) = (draft.nodes[a].at, draft.nodes[b].at);
            let width = p.distance(q);
            if edges_at[a] != edges_at[b] && best.is_none_or(|(_, _, least)| width < least) {
                best = Some((p, q, width));
            }
        }
    }
    best
}

/// The gap in words: `2 1/4" (2.25 in)`.
pub(super) fn gap_words(width: f64) -> String {
    format!("{} ({} in)", feet_inches(width), decimal(width, 2))
}

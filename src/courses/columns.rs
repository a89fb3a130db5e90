//! Lead columns: strips left open through all courses of a zone so that every piece has an end from which a lead can leave.
//!
//! A lead may not run in a hip, ridge or valley margin (cap nails, the valley's own nails), so a piece between two of those is locked in
//! unless a column passes one of its ends. Columns where long runs are cut serve as they are; a zone whose runs still have no way out gets more.
//! Every column is as wide as the leads in it need, and at least the end gap.

use super::cut::{CutRule, SAME_LENGTH};
use super::model::{Run, RunLimit};
use crate::catalog::LeadCable;
use crate::geometry::Interval;
use crate::terms::EdgeKind;
use crate::zones::FaceLayout;

/// The columns of a zone, from left to right: `gaps`, where its long runs are cut, widened where needed, and more for runs without a way out.
///
/// `passing` leads from bands above come down on top of the zone's own; every column has room for all of them, since which one they take
/// is decided later.
///
/// A run ends at a way out when it ends at a rake or sidewall (a margin lane), at the zone's own end, at an opening beside which the strip
/// is open up or down through the other courses, or at a column.
pub(super) fn lead_columns(
    layout: &FaceLayout,
    runs: &[&Run],
    gaps: &[Interval],
    passing: u32,
    rule: CutRule,
    lead: &LeadCable,
) -> Vec<Interval> {
    let locked: Vec<&Run> = runs
        .iter()
        .copied()
        .filter(|run| !gaps.iter().any(|gap| gap.overlap(run.along).is_some()))
        .filter(|run| !opens(layout, runs, run, 0) && !opens(layout, runs, run, 1))
        .collect();
    let mut middles: Vec<f64> = gaps.iter().map(|gap| 0.5 * (gap.low + gap.high)).collect();
    middles.extend(stabs(&locked, rule, rule.end_gap.max(lead.column_width(2 * locked.len() as u32))));
    middles.sort_by(f64::total_cmp);
    let loads = loads(layout, runs, &middles);
    middles
        .iter()
        .zip(loads)
        .map(|(&middle, leads)| {
            let half = 0.5 * rule.end_gap.max(lead.column_width(leads + passing));
            Interval { low: middle - half, high: middle + half }
        })
        .collect()
}

/// Whether a lead may leave a run's own end: 0 is the left one, 1 the right.
fn opens(layout: &FaceLayout, runs: &[&Run], run: &Run, side: usize) -> bool {
    match &run.limits[side] {
        RunLimit::Zone => true,
        RunLimit::Edge(edge) => {
            let kind = layout.edges.iter().find(|e| e.edge == *edge).map(|e| e.kind);
            matches!(kind, Some(EdgeKind::Rake | EdgeKind::Sidewall))
        }
        RunLimit::Opening(opening) => {
            let Some(keep) = layout.openings.iter().find(|o| o.opening == *opening) else { return false };
            let beside = match side {
                0 => Interval::new(keep.flashing.u.high, run.along.low),
                _ => Interval::new(run.along.high, keep.flashing.u.low),
            };
            let covers = |other: &&&Run| other.along.overlap(beside).is_some();
            let above = runs.iter().filter(|other| other.course > run.course).any(|other| covers(&other));
            let below = runs.iter().filter(|other| other.course < run.course).any(|other| covers(&other));
            !above || !below
        }
    }
}

/// The fewest places that pass through every locked run, each in the middle of what its runs share.
///
/// A run long enough is divided so that both parts are worth laying; a shorter one keeps at least one part.
fn stabs(locked: &[&Run], rule: CutRule, width: f64) -> Vec<f64> {
    let mut reaches: Vec<Interval> = locked
        .iter()
        .map(|run| {
            let both = rule.shortest + 0.5 * width;
            let aside = if run.along.length() >= 2.0 * both { both } else { 0.5 * width.min(run.along.length()) };
            Interval { low: run.along.low + aside, high: run.along.high - aside }
        })
        .collect();
    reaches.sort_by(|a, b| a.high.total_cmp(&b.high).then(a.low.total_cmp(&b.low)));
    let mut shared: Vec<Interval> = Vec::new();
    for reach in reaches {
        match shared.last_mut() {
            Some(last) if reach.low <= last.high + SAME_LENGTH => last.low = last.low.max(reach.low).min(last.high),
            _ => shared.push(reach),
        }
    }
    shared.iter().map(|reach| 0.5 * (reach.low + reach.high)).collect()
}

/// Leads that leave through each column. A piece between two columns counts half in both, so that a mirrored roof is cut alike.
fn loads(layout: &FaceLayout, runs: &[&Run], middles: &[f64]) -> Vec<u32> {
    let mut halves = vec![0u32; middles.len()];
    for run in runs {
        let inside: Vec<usize> = (0..middles.len()).filter(|&at| run.along.contains(middles[at])).collect();
        for piece in 0..=inside.len() {
            let (left, right) = (piece.checked_sub(1).map(|at| inside[at]), inside.get(piece).copied());
            let free =
                (left.is_none() && opens(layout, runs, run, 0)) || (right.is_none() && opens(layout, runs, run, 1));
            let columns: Vec<usize> = left.into_iter().chain(right).collect();
            for &column in columns.iter().filter(|_| !free) {
                halves[column] += 2 / columns.len() as u32;
            }
        }
    }
    halves.iter().map(|halves| halves.div_ceil(2)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::courses::ElementRole;
    use crate::geometry::{FaceFrame, Plane, Point2, Region};
    use crate::index::{EdgeId, FaceId, RunId, ZoneId};
    use crate::zones::FaceEdge;

    const RULE: CutRule = CutRule { longest: 600.0, end_gap: 6.0, step: 0.5, shortest: 24.0 };

    fn layout(left: EdgeKind, right: EdgeKind) -> FaceLayout {
        let edge = |id, kind| FaceEdge {
            edge: EdgeId(id),
            kind,
            a: Point2::new(0.0, 0.0),
            b: Point2::new(1.0, 0.0),
            setback: 6.0,
            why: String::new(),
        };
        FaceLayout {
            face: FaceId(0),
            frame: FaceFrame::new(Plane { a: 0.0, b: 0.5, c: 0.0 }, Point2::new(0.0, 0.0)).unwrap(),
            region: Region::default(),
            edges: vec![edge(0, left), edge(1, right)],
            openings: Vec::new(),
        }
    }

    /// Courses between two hips at 6:12, each 4.47 in shorter at both ends than the one below.
    fn hip_runs(length: f64, courses: u32) -> Vec<Run> {
        (0..courses)
            .map(|course| Run {
                id: RunId(course),
                zone: ZoneId(0),
                face: FaceId(0),
                course,
                element: ElementRole::Deck,
                along: Interval::new(12.0 + 4.47 * f64::from(course), length - 12.0 - 4.47 * f64::from(course)),
                across: Interval::new(5.0 * f64::from(course), 5.0 * f64::from(course) + 4.0),
                limits: [RunLimit::Edge(EdgeId(0)), RunLimit::Edge(EdgeId(1))],
            })
            .collect()
    }

    #[test]
    fn a_face_between_hips_gets_one_column_in_its_middle() {
        let lead = &Catalogue::sample().leads[0];
        let runs = hip_runs(300.0, 9);
        let runs: Vec<&Run> = runs.iter().collect();
        let columns = lead_columns(&layout(EdgeKind::Hip, EdgeKind::Valley), &runs, &[], 0, RULE, lead);
        assert_eq!(columns.len(), 1);
        assert!((0.5 * (columns[0].low + columns[0].high) - 150.0).abs() < 1e-9);
        // 18 leads of 1/4 in, 1/8 in apart: 17 x 3/8 in, and 3/8 in from the middles of the outer ones to the elements.
        assert!((columns[0].length() - 7.125).abs() < 1e-9);
    }

    #[test]
    fn a_rake_needs_no_column_and_cuts_of_long_runs_serve() {
        let lead = &Catalogue::sample().leads[0];
        let runs = hip_runs(300.0, 9);
        let runs: Vec<&Run> = runs.iter().collect();
        assert!(lead_columns(&layout(EdgeKind::Hip, EdgeKind::Rake), &runs, &[], 0, RULE, lead).is_empty());
        let gap = [Interval::new(147.0, 153.0)];
        let columns = lead_columns(&layout(EdgeKind::Hip, EdgeKind::Rake), &runs, &gap, 0, RULE, lead);
        assert_eq!(columns, gap);
    }
}

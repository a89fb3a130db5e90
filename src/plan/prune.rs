//! What bounds no face is set aside: overshoots, dangling lines.

use super::draft::Draft;
use super::half_edge::walk_sides;
use super::report::Report;
use crate::finding::Severity;
use crate::units::{decimal, feet_inches};

/// Cuts off dangling ends no longer than `limit` that stick out past a junction. Says whether anything changed.
pub(super) fn trim_overshoots(draft: &mut Draft, limit: f64, report: &mut Report) -> bool {
    let degrees = draft.degrees();
    let stub = |edge: usize| {
        let ends = draft.edges[edge].ends;
        let (free, held) = if degrees[ends[0]] == 1 { (ends[0], ends[1]) } else { (ends[1], ends[0]) };
        let length = draft.segment(edge).length();
        (degrees[free] == 1 && degrees[held] >= 3 && length <= limit).then_some((held, length))
    };
    let stubs: Vec<Option<(usize, f64)>> = (0..draft.edges.len()).map(stub).collect();
    for &(held, length) in stubs.iter().flatten() {
        let words = format!("an overshoot of {} in cut off", decimal(length, 3));
        report.add(Severity::Repaired, "trimmed-overshoot", words, draft.nodes[held].at, length);
    }
    let changed = stubs.iter().any(Option::is_some);
    if changed {
        draft.keep_edges(|edge| stubs[edge].is_none());
    }
    changed
}

/// Sets aside lines with a free end, and lines left with one by that, until none remain.
pub(super) fn drop_dangles(draft: &mut Draft, report: &mut Report) {
    let edges_at = draft.edges_at();
    let mut degrees = draft.degrees();
    let mut dropped = vec![false; draft.edges.len()];
    let mut free: Vec<usize> = (0..draft.nodes.len()).filter(|&n| degrees[n] == 1).collect();
    while let Some(node) = free.pop() {
        let Some(&edge) = edges_at[node].iter().find(|&&edge| !dropped[edge]) else { continue };
        dropped[edge] = true;
        for end in draft.edges[edge].ends {
            degrees[end] -= 1;
            if degrees[end] == 1 {
                free.push(end);
            }
        }
        let line = draft.segment(edge);
        let words = format!("a line of {} that bounds no face is not used", feet_inches(line.length()));
        report.add(Severity::Ignored, "dangling-line", words, line.midpoint(), line.length());
    }
    if dropped.contains(&true) {
        draft.keep_edges(|edge| !dropped[edge]);
    }
}

/// Sets aside lines with the same area on both sides: they join two closed figures and bound neither.
pub(super) fn drop_bridges(draft: &mut Draft, report: &mut Report) {
    let walk_of = walk_sides(draft).walk_of;
    let bridge = |edge: usize| walk_of[2 * edge] == walk_of[2 * edge + 1];
    let bridges: Vec<bool> = (0..draft.edges.len()).map(bridge).collect();
    for edge in (0..bridges.len()).filter(|&edge| bridges[edge]) {
        let line = draft.segment(edge);
        let words = format!("a line of {} that divides no face is not used", feet_inches(line.length()));
        report.add(Severity::Ignored, "bridging-line", words, line.midpoint(), line.length());
    }
    if bridges.contains(&true) {
        draft.keep_edges(|edge| !bridges[edge]);
    }
}

//! Ends that nearly meet are joined, and ends that nearly reach a line are put on it.
//!
//! Terms: a *drawn* point is an end as it came from the drawing; a node stands for one or more of them and is never further
//! from any of them than the tolerance.

use super::draft::{Draft, DraftNode, ROUNDING};
use super::report::Report;
use crate::finding::Severity;
use crate::geometry::{Point2, Segment2, SegmentIndex, Vector2};
use crate::units::decimal;
use std::collections::BTreeMap;

/// How strongly a joined point is held at the middle of its ends, against the lines that run to it. Small: an end that
/// overshoots lies on its own line, so lines tell the corner better than ends do. Not zero: near-parallel lines alone would
/// let the point slide along them.
const MIDDLE_WEIGHT: f64 = 0.1;

/// Offset of a joint over the length of the shorter piece below which a line drawn in pieces is straight: about a degree.
const STRAIGHT_BEND: f64 = 0.02;

/// Joins ends closer than `tolerance` in clusters no wider than it (complete linkage: nearest pairs first, a pair joined
/// only if all drawn points of both sides lie within the tolerance of each other). Says whether anything changed.
pub(super) fn join_ends(draft: &mut Draft, tolerance: f64, report: &mut Report) -> bool {
    let points: Vec<Segment2> = draft.nodes.iter().map(|n| Segment2::new(n.at, n.at)).collect();
    let index = SegmentIndex::new(&points);
    let mut pairs = Vec::new();
    for (i, node) in draft.nodes.iter().enumerate() {
        for j in index.near(node.at, tolerance) {
            let distance = node.at.distance(draft.nodes[j].at);
            if i < j && distance <= tolerance {
                pairs.push((distance, i, j));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut cluster_of: Vec<usize> = (0..draft.nodes.len()).collect();
    let mut clusters: Vec<Vec<usize>> = cluster_of.iter().map(|&n| vec![n]).collect();
    for (_, i, j) in pairs {
        let (a, b) = (cluster_of[i].min(cluster_of[j]), cluster_of[i].max(cluster_of[j]));
        if a != b && fit_together(draft, &clusters[a], &clusters[b], tolerance) {
            let moved = std::mem::take(&mut clusters[b]);
            for &node in &moved {
                cluster_of[node] = a;
            }
            clusters[a].extend(moved);
        }
    }
    let joined: Vec<Vec<usize>> = clusters.into_iter().filter(|c| c.len() > 1).collect();
    let edges_at = draft.edges_at();
    for cluster in &joined {
        let target = meeting_point(draft, &edges_at, cluster, tolerance);
        let drawn = drawn_points(draft, cluster);
        let size = drawn.iter().map(|p| p.distance(target)).fold(0.0, f64::max);
        if size > ROUNDING {
            let words = format!("{} line ends up to {} in apart joined", cluster.len(), decimal(width(&drawn), 3));
            report.add(Severity::Repaired, "snapped-end", words, target, size);
        }
        for &node in cluster {
            draft.nodes[node] = DraftNode { at: target, drawn: drawn.clone() };
        }
    }
    draft.settle();
    !joined.is_empty()
}

fn fit_together(draft: &Draft, a: &[usize], b: &[usize], tolerance: f64) -> bool {
    let drawn = |nodes: &[usize]| drawn_points(draft, nodes);
    let others = drawn(b);
    drawn(a).iter().all(|p| others.iter().all(|q| p.distance(*q) <= tolerance))
}

fn drawn_points(draft: &Draft, nodes: &[usize]) -> Vec<Point2> {
    nodes.iter().flat_map(|&n| draft.nodes[n].drawn.iter().copied()).collect()
}

fn width(points: &[Point2]) -> f64 {
    points.iter().flat_map(|p| points.iter().map(|q| p.distance(*q))).fold(0.0, f64::max)
}

/// Where the lines that end at the nodes of a cluster meet: least squares to the lines, held near the middle of the ends.
///
/// Ends that differ by rounding only keep the point most lines were drawn to. The middle alone is taken when the lines would
/// pull the point away from a drawn end by more than `tolerance`.
fn meeting_point(draft: &Draft, edges_at: &[Vec<usize>], cluster: &[usize], tolerance: f64) -> Point2 {
    let drawn = drawn_points(draft, cluster);
    let ends: Vec<(usize, Segment2)> = cluster
        .iter()
        .flat_map(|&end| edges_at[end].iter().map(move |&edge| (end, edge)))
        .filter(|&(_, edge)| !draft.edges[edge].ends.iter().all(|end| cluster.contains(end)))
        .map(|(end, edge)| (end, draft.segment(edge)))
        .collect();
    if width(&drawn) <= 100.0 * ROUNDING {
        let uses = |node: usize| ends.iter().filter(|(end, _)| *end == node).count();
        let best = cluster.iter().copied().max_by_key(|&n| (uses(n), std::cmp::Reverse(n)));
        return draft.nodes[best.unwrap_or(cluster[0])].at;
    }
    let count = drawn.len() as f64;
    let sum = drawn.iter().fold(Vector2::default(), |sum, p| sum + (*p - drawn[0]));
    let middle = drawn[0] + sum * (1.0 / count);
    // Normal equations of the distances to the lines, relative to the middle.
    let held = MIDDLE_WEIGHT * count;
    let (mut xx, mut xy, mut yy, mut x, mut y) = (held, 0.0, held, 0.0, 0.0);
    for (_, line) in &ends {
        // The direction of a piece hardly longer than the tolerance says nothing.
        if line.length() < 4.0 * tolerance {
            continue;
        }
        let Some(normal) = (line.b - line.a).left().unit() else { continue };
        let away = normal.dot(line.a - middle);
        xx += normal.x * normal.x;
        xy += normal.x * normal.y;
        yy += normal.y * normal.y;
        x += normal.x * away;
        y += normal.y * away;
    }
    let determinant = xx * yy - xy * xy;
    let target = middle + Vector2::new((x * yy - y * xy) / determinant, (y * xx - x * xy) / determinant);
    if drawn.iter().all(|p| p.distance(target) <= tolerance) { target } else { middle }
}

/// Puts nodes on lines that pass within `tolerance`, and cuts those lines there. A node that may not move that far stays, and
/// the line bends to it. Says whether anything changed.
pub(super) fn put_on_lines(draft: &mut Draft, tolerance: f64, report: &mut Report) -> bool {
    let index = SegmentIndex::new(&draft.segments());
    let mut cuts: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for node in 0..draft.nodes.len() {
        let at = draft.nodes[node].at;
        let passing = passing_lines(draft, &index, node, tolerance);
        let Some(&(distance, nearest)) = passing.first() else { continue };
        if distance > ROUNDING {
            let target = resting_point(draft, at, &passing);
            if draft.nodes[node].drawn.iter().all(|p| p.distance(target) <= tolerance) {
                draft.nodes[node].at = target;
            }
            let words = format!("a line end {} in beside a line put on it", decimal(distance, 3));
            report.add(Severity::Repaired, "snapped-end", words, draft.nodes[node].at, distance);
        } else {
            let length = decimal(draft.segment(nearest).length(), 1);
            let words = format!("a line of {length} in cut where another ends on it");
            report.add(Severity::Note, "split-line", words, at, distance);
        }
        for (_, edge) in passing {
            cuts.entry(edge).or_default().push(node);
        }
    }
    let changed = !cuts.is_empty();
    if changed {
        draft.cut(&cuts);
    }
    changed
}

/// The lines that pass within `tolerance` of a node between their ends, nearest first.
fn passing_lines(draft: &Draft, index: &SegmentIndex, node: usize, tolerance: f64) -> Vec<(f64, usize)> {
    let at = draft.nodes[node].at;
    // Twice the tolerance: ends of the indexed lines may have moved since by up to one.
    let mut passing: Vec<(f64, usize)> = index
        .near(at, 2.0 * tolerance)
        .into_iter()
        .filter(|&edge| !draft.edges[edge].ends.contains(&node))
        .filter_map(|edge| {
            let line = draft.segment(edge);
            let between = line.nearest_parameter(at);
            let distance = line.distance_to(at);
            (between > 0.0 && between < 1.0 && distance <= tolerance).then_some((distance, edge))
        })
        .collect();
    passing.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    passing
}

/// Where a node comes to rest: where the two nearest lines cross, if there are two and they cross nearby, else on the nearest.
fn resting_point(draft: &Draft, at: Point2, passing: &[(f64, usize)]) -> Point2 {
    let first = draft.segment(passing[0].1);
    let foot = first.nearest_point(at);
    let crossing = passing[1..].iter().find_map(|&(distance, edge)| {
        let (t, _) = first.line_meeting(draft.segment(edge))?;
        let meeting = first.a.lerp(first.b, t);
        (meeting.distance(at) <= 2.0 * distance.max(passing[0].0)).then_some(meeting)
    });
    crossing.unwrap_or(foot)
}

/// Joins the two ends of pieces shorter than `tolerance` when the joined point stays within the tolerance of every drawn
/// point. Catches corners whose ends scatter too widely for one cluster. Says whether anything changed.
pub(super) fn join_short_pieces(draft: &mut Draft, tolerance: f64, report: &mut Report) -> bool {
    let mut short: Vec<(f64, usize)> = (0..draft.edges.len())
        .map(|edge| (draft.segment(edge).length(), edge))
        .filter(|(length, _)| *length < tolerance)
        .collect();
    short.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let edges_at = draft.edges_at();
    let mut touched = vec![false; draft.nodes.len()];
    let mut changed = false;
    for (length, edge) in short {
        let ends = draft.edges[edge].ends;
        if ends.iter().any(|&end| touched[end]) {
            continue;
        }
        let target = meeting_point(draft, &edges_at, &ends, tolerance);
        let drawn = drawn_points(draft, &ends);
        if drawn.iter().all(|p| p.distance(target) <= tolerance) {
            let words = format!("two points {} in apart joined", decimal(length, 3));
            report.add(Severity::Repaired, "snapped-end", words, target, length);
            for end in ends {
                touched[end] = true;
                draft.nodes[end] = DraftNode { at: target, drawn: drawn.clone() };
            }
            changed = true;
        }
    }
    draft.settle();
    changed
}

/// Puts joints of a line drawn in pieces back on the straight line between their neighbours.
///
/// Only nodes that join several drawn ends, have two edges, and bend hardly at all; a corner drawn as such stays.
pub(super) fn straighten_joints(draft: &mut Draft, tolerance: f64) {
    let edges_at = draft.edges_at();
    for (node, edges) in edges_at.iter().enumerate() {
        let &[first, second] = edges.as_slice() else { continue };
        if width(&draft.nodes[node].drawn) <= ROUNDING {
            continue;
        }
        let other =
            |edge: usize| draft.nodes[draft.edges[edge].ends.into_iter().find(|&n| n != node).unwrap_or(node)].at;
        let (at, chord) = (draft.nodes[node].at, Segment2::new(other(first), other(second)));
        let target = chord.nearest_point(at);
        let bend = target.distance(at) / (at.distance(chord.a).min(at.distance(chord.b)));
        let between = chord.nearest_parameter(at);
        if bend < STRAIGHT_BEND
            && between > 0.0
            && between < 1.0
            && draft.nodes[node].drawn.iter().all(|p| p.distance(target) <= tolerance)
        {
            draft.nodes[node].at = target;
        }
    }
    draft.settle();
}

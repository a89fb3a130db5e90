//! Lines that stop short: at an opening they run on beneath it, anywhere else the gap is told.
//!
//! A ridge is often drawn only up to the chimney that stands on it. The roof below goes on, so the line is led through the
//! opening: straight to its other half, to the point where several lines meet, or to a line so made.

use super::cells::{Cells, find_cells};
use super::draft::{Draft, DraftEdge, DraftNode};
use super::half_edge::{ring, start};
use super::repair::{Gap, gap_words, mend};
use super::report::Report;
use crate::error::Result;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Point2, Region, Ring, Segment2, Vector2};
use crate::index::OriginId;
use crate::units::decimal;

/// Sine of the angle by which two halves of one line may differ: about one degree.
const STRAIGHT: f64 = 0.02;

/// Lines this near an opening's outline stop at it, inches, or the gap tolerance if that is more: a flashing's width of slop.
const STOPS_AT: f64 = 1.0;

/// Free ends of one roof nearer than this face each other across a gap, inches. Wider ones are parts drawn apart.
const WIDEST_GAP: f64 = 48.0;

/// A free end at an opening.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stop {
    node: usize,
    at: Point2,
    /// The way the line would run on, length 1.
    onward: Vector2,
    origin: OriginId,
}

/// Leads lines that stop at any of `openings` through it. Says whether all of them could be.
///
/// # Errors
/// As repairing the lines again.
pub(super) fn lead_through(draft: &mut Draft, openings: &[Ring], tolerance: f64, report: &mut Report) -> Result<bool> {
    let mut all = true;
    let mut changed = false;
    let mut free = free_ends(draft);
    for opening in openings {
        let mut stops = take_stops(&mut free, opening, tolerance.max(STOPS_AT));
        let mut made: Vec<Segment2> = Vec::new();
        while let Some((i, j)) = straight_pair(&stops) {
            let (b, a) = (stops.remove(j), stops.remove(i));
            made.push(Segment2::new(a.at, b.at));
            draft.edges.push(DraftEdge { ends: [a.node, b.node], sources: vec![a.origin.min(b.origin)] });
        }
        if let Some(point) = common_point(&stops, opening, 2.0 * tolerance) {
            let node = draft.nodes.len();
            draft.nodes.push(DraftNode { at: point, drawn: vec![point] });
            for stop in stops.drain(..) {
                made.push(Segment2::new(stop.at, point));
                draft.edges.push(DraftEdge { ends: [stop.node, node], sources: vec![stop.origin] });
            }
        }
        let lines = made.clone();
        stops.retain(|stop| {
            let Some(point) = ahead(stop, &lines, opening) else { return true };
            let node = draft.nodes.len();
            draft.nodes.push(DraftNode { at: point, drawn: vec![point] });
            draft.edges.push(DraftEdge { ends: [stop.node, node], sources: vec![stop.origin] });
            made.push(Segment2::new(stop.at, point));
            false
        });
        for line in &made {
            let words = format!("a line led {} in through an opening it stops at", decimal(line.length(), 1));
            report.add(Severity::Repaired, "line-through-opening", words, line.midpoint(), line.length());
        }
        changed |= !made.is_empty();
        all &= stops.is_empty();
    }
    if changed {
        draft.settle();
        mend(draft, tolerance, report)?;
    }
    Ok(all)
}

fn free_ends(draft: &Draft) -> Vec<Stop> {
    let edges_at = draft.edges_at();
    (0..draft.nodes.len())
        .filter(|&node| edges_at[node].len() == 1)
        .filter_map(|node| {
            let at = draft.nodes[node].at;
            let edge = &draft.edges[edges_at[node][0]];
            let from = draft.nodes[edge.ends[usize::from(edge.ends[0] == node)]].at;
            Some(Stop { node, at, onward: (at - from).unit()?, origin: edge.sources[0] })
        })
        .collect()
}

/// Takes the free ends in an opening or within `reach` of its outline.
fn take_stops(free: &mut Vec<Stop>, opening: &Ring, reach: f64) -> Vec<Stop> {
    let Some(around) = opening.bounds().map(|b| b.grown(reach)) else { return Vec::new() };
    let here =
        |stop: &Stop| around.contains(stop.at) && (opening.contains(stop.at) || opening.distance_to(stop.at) <= reach);
    let (stops, others) = free.iter().partition(|stop| here(stop));
    *free = others;
    stops
}

/// The first two stops that continue each other.
fn straight_pair(stops: &[Stop]) -> Option<(usize, usize)> {
    let pairs = (0..stops.len()).flat_map(|i| (i + 1..stops.len()).map(move |j| (i, j)));
    pairs.into_iter().find(|&(i, j)| {
        let (a, b) = (stops[i], stops[j]);
        (b.at - a.at).unit().is_some_and(|way| {
            way.cross(a.onward).abs() < STRAIGHT
                && way.cross(b.onward).abs() < STRAIGHT
                && way.dot(a.onward) > 0.0
                && way.dot(b.onward) < 0.0
        })
    })
}

/// Where all the stops' lines meet inside the opening, if they do.
fn common_point(stops: &[Stop], opening: &Ring, slack: f64) -> Option<Point2> {
    let [first, second, ..] = stops else { return None };
    let line = |stop: &Stop| Segment2::new(stop.at, stop.at + stop.onward);
    let (t, _) = line(first).line_meeting(line(second))?;
    let point = first.at + first.onward * t;
    let meets = |stop: &Stop| {
        let to = point - stop.at;
        to.dot(stop.onward) > 0.0 && to.cross(stop.onward).abs() <= slack
    };
    (opening.contains(point) && stops.iter().all(meets)).then_some(point)
}

/// The nearest point ahead of a stop on one of `lines`, inside the opening.
fn ahead(stop: &Stop, lines: &[Segment2], opening: &Ring) -> Option<Point2> {
    let way = Segment2::new(stop.at, stop.at + stop.onward);
    lines
        .iter()
        .filter_map(|&line| way.line_meeting(line))
        .filter(|(t, s)| *t > 0.0 && (0.0..=1.0).contains(s))
        .map(|(t, _)| (t, stop.at + stop.onward * t))
        .filter(|(_, point)| opening.contains(*point))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, point)| point)
}

/// Takes out closed figures that roof lines stop at although the roof goes on below: small, inside the roof, no line at any of
/// their corners, and every line that stops at a side can be led through. Gives their outlines with an entity of each.
///
/// # Errors
/// As repairing the lines again.
pub(super) fn take_out_figures(
    draft: &mut Draft,
    limit: f64,
    tolerance: f64,
    report: &mut Report,
) -> Result<Vec<(Ring, OriginId)>> {
    let mut taken = Vec::new();
    let cells = find_cells(draft);
    let degrees = draft.degrees();
    let figures: Vec<(Ring, Vec<Segment2>)> = (0..cells.cells.len())
        .filter(|&cell| cells.cells[cell].area <= limit && is_figure(draft, &cells, &degrees, cell))
        .map(|cell| {
            let walk = &cells.walks.walks[cells.cells[cell].walk];
            (ring(draft, walk), walk.iter().map(|&dart| draft.segment(dart / 2)).collect())
        })
        .collect();
    for (outline, sides) in figures {
        let mut attempt = draft.clone();
        let is_side = |edge: usize| sides.contains(&draft.segment(edge));
        let origin = (0..draft.edges.len()).find(|&edge| is_side(edge)).map(|edge| draft.edges[edge].sources[0]);
        attempt.keep_edges(|edge| !is_side(edge));
        let mut told = Report::default();
        let outlines = [outline];
        if lead_through(&mut attempt, &outlines, tolerance, &mut told)? {
            report.take(told);
            *draft = attempt;
            taken.extend(outlines.into_iter().zip(origin));
        }
    }
    Ok(taken)
}

/// Whether lines meet a cell only in the middle of its straight sides, from at least two places, with roof all around it.
fn is_figure(draft: &Draft, cells: &Cells, all_degrees: &[usize], cell: usize) -> bool {
    let walk = &cells.walks.walks[cells.cells[cell].walk];
    let degrees: Vec<usize> = walk.iter().map(|&dart| all_degrees[start(draft, dart)]).collect();
    let at = |i: usize| draft.nodes[start(draft, walk[i % walk.len()])].at;
    let count = walk.len();
    let straight = |i: usize| {
        let (before, after) = (at(i) - at(i + count - 1), at(i + 1) - at(i));
        before.unit().zip(after.unit()).is_some_and(|(a, b)| a.cross(b).abs() < STRAIGHT && a.dot(b) > 0.0)
    };
    let stops = (0..count).filter(|&i| degrees[i] == 3).count();
    stops >= 2
        && (0..count).all(|i| degrees[i] == 2 || (degrees[i] == 3 && straight(i)))
        && walk.iter().all(|&dart| cells.cell_left_of(dart ^ 1).is_some_and(|other| other != cell))
}

/// Tells where free ends of one roof face each other: the roof is open there, or two of its faces are read as one.
///
/// `repaired` still has its dangling lines; `faces` are the faces found without them.
pub(super) fn tell_gaps(repaired: &Draft, faces: &[Region], report: &mut Report) {
    let edges_at = repaired.edges_at();
    let piece_of = super::cells::connected(repaired);
    let free: Vec<usize> = (0..repaired.nodes.len()).filter(|&n| edges_at[n].len() == 1).collect();
    let points: Vec<Segment2> =
        free.iter().map(|&n| Segment2::new(repaired.nodes[n].at, repaired.nodes[n].at)).collect();
    let index = crate::geometry::SegmentIndex::new(&points);
    let partner = |i: usize| -> Option<(usize, f64)> {
        let at = points[i].a;
        index
            .near(at, WIDEST_GAP)
            .into_iter()
            .filter(|&j| edges_at[free[i]] != edges_at[free[j]] && piece_of[free[i]] == piece_of[free[j]])
            .map(|j| (j, at.distance(points[j].a)))
            .filter(|(_, width)| *width <= WIDEST_GAP)
            .min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)))
    };
    for i in 0..free.len() {
        let Some((j, width)) = partner(i).filter(|(j, _)| i < *j) else { continue };
        let long = |n: usize| repaired.segment(edges_at[n][0]).length() > width;
        if partner(j).is_none_or(|(back, _)| back != i) || !long(free[i]) || !long(free[j]) {
            continue;
        }
        let middle = points[i].a.lerp(points[j].a, 0.5);
        let gap = gap_words(Gap { ends: [points[i].a, points[j].a], width });
        let (severity, code, message) = if faces.iter().any(|face| face.contains(middle)) {
            (
                Severity::Warning,
                "broken-line",
                format!("a line inside a face is broken by a gap of {gap}; it divides nothing"),
            )
        } else {
            let message = format!("the roof outline is open by {gap}; the face behind the gap is lost");
            (Severity::Blocking, "open-outline", message)
        };
        report.push(
            Finding::new(severity, code, message, Place::at(middle))
                .with_hint("close the gap in the drawing, or set drawing.gap_tolerance above it"),
        );
    }
}

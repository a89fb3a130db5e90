//! Lines that stop short: at an opening they run on beneath it, anywhere else the gap is told.
//!
//! A ridge is often drawn only up to the chimney that stands on it. The roof below goes on, so the line is led through the
//! opening: straight to its other half, to the point where several lines meet, or to a line so made.

use super::cells::{Cells, connected, find_cells};
use super::draft::{Draft, DraftEdge, DraftNode};
use super::half_edge::{ring, start};
use super::notes::FaceFinder;
use super::repair::{Gap, gap_words, mend};
use super::report::Report;
use crate::error::Result;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Point2, Ring, Segment2, SegmentIndex, Vector2};
use crate::index::OriginId;
use crate::units::decimal;
use std::collections::BTreeMap;

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
    let free = free_ends(draft);
    let index = SegmentIndex::new(&free.iter().map(|stop| Segment2::new(stop.at, stop.at)).collect::<Vec<_>>());
    let mut taken = vec![false; free.len()];
    for opening in openings {
        let mut stops = take_stops(&free, &index, &mut taken, opening, tolerance.max(STOPS_AT));
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

/// Takes the free ends in an opening or within `reach` of its outline that no opening took before.
fn take_stops(free: &[Stop], index: &SegmentIndex, taken: &mut [bool], opening: &Ring, reach: f64) -> Vec<Stop> {
    let Some(around) = opening.bounds().map(|b| b.grown(reach)) else { return Vec::new() };
    let here = |stop: &Stop| opening.contains(stop.at) || opening.distance_to(stop.at) <= reach;
    let mut stops = Vec::new();
    for number in index.meeting(around) {
        if !taken[number] && here(&free[number]) {
            taken[number] = true;
            stops.push(free[number]);
        }
    }
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
    let cells = find_cells(draft);
    let degrees = draft.degrees();
    // Figures by the connected piece they are part of: lines of other pieces have no part in the attempt, and each attempt costs no more
    // than its own roof.
    let mut figures: BTreeMap<usize, Vec<(Ring, Vec<Segment2>)>> = BTreeMap::new();
    for cell in 0..cells.cells.len() {
        if cells.cells[cell].area <= limit && is_figure(draft, &cells, &degrees, cell) {
            let walk = &cells.walks.walks[cells.cells[cell].walk];
            let sides = walk.iter().map(|&dart| draft.segment(dart / 2)).collect();
            figures.entry(cells.cells[cell].piece).or_default().push((ring(draft, walk), sides));
        }
    }
    if figures.is_empty() {
        return Ok(Vec::new());
    }
    let mut pieces = draft.apart(&connected(draft));
    let mut taken = Vec::new();
    for (piece, figures) in figures {
        for (outline, sides) in figures {
            taken.extend(take_out(&mut pieces[piece], outline, &sides, tolerance, report)?);
        }
    }
    if !taken.is_empty() {
        *draft = Draft::together(pieces);
        // A line led through may meet what stood by itself inside the figure.
        mend(draft, tolerance, report)?;
    }
    Ok(taken)
}

/// Takes one figure out of the piece it is part of, if every line that stops at it can be led through.
fn take_out(
    draft: &mut Draft,
    outline: Ring,
    sides: &[Segment2],
    tolerance: f64,
    report: &mut Report,
) -> Result<Option<(Ring, OriginId)>> {
    let is_side = |edge: usize| sides.contains(&draft.segment(edge));
    let Some(first) = (0..draft.edges.len()).find(|&edge| is_side(edge)) else { return Ok(None) };
    let origin = draft.edges[first].sources[0];
    let mut attempt = draft.clone();
    attempt.keep_edges(|edge| !is_side(edge));
    let mut told = Report::default();
    let outlines = [outline];
    if !lead_through(&mut attempt, &outlines, tolerance, &mut told)? {
        return Ok(None);
    }
    report.take(told);
    *draft = attempt;
    let [outline] = outlines;
    Ok(Some((outline, origin)))
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
/// `repaired` still has its dangling lines; `faces` finds the faces found without them.
pub(super) fn tell_gaps(repaired: &Draft, faces: &FaceFinder, report: &mut Report) {
    let edges_at = repaired.edges_at();
    let piece_of = connected(repaired);
    let free: Vec<usize> = (0..repaired.nodes.len()).filter(|&n| edges_at[n].len() == 1).collect();
    let points: Vec<Segment2> =
        free.iter().map(|&n| Segment2::new(repaired.nodes[n].at, repaired.nodes[n].at)).collect();
    // An index for each connected piece: only ends of one roof face each other.
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, &node) in free.iter().enumerate() {
        members.entry(piece_of[node]).or_default().push(i);
    }
    let indexes: BTreeMap<usize, SegmentIndex> = members
        .iter()
        .map(|(&piece, own)| (piece, SegmentIndex::new(&own.iter().map(|&i| points[i]).collect::<Vec<_>>())))
        .collect();
    let nearest = |i: usize, reach: f64| -> Option<(usize, f64)> {
        let (at, piece) = (points[i].a, piece_of[free[i]]);
        indexes[&piece]
            .near(at, reach)
            .into_iter()
            .map(|own| members[&piece][own])
            .filter(|&j| edges_at[free[i]] != edges_at[free[j]])
            .map(|j| (j, at.distance(points[j].a)))
            .filter(|(_, width)| *width <= reach)
            .min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)))
    };
    // Wider and wider, so that ends in a thicket are compared with their neighbours alone.
    let partner = |i: usize| [0.05, 0.2, 1.0].iter().find_map(|share| nearest(i, share * WIDEST_GAP));
    let partners: Vec<Option<(usize, f64)>> = (0..free.len()).map(partner).collect();
    for i in 0..free.len() {
        let Some((j, width)) = partners[i].filter(|(j, _)| i < *j) else { continue };
        let long = |n: usize| repaired.segment(edges_at[n][0]).length() > width;
        if partners[j].is_none_or(|(back, _)| back != i) || !long(free[i]) || !long(free[j]) {
            continue;
        }
        let middle = points[i].a.lerp(points[j].a, 0.5);
        let gap = gap_words(Gap { ends: [points[i].a, points[j].a], width });
        let (severity, code, message) = if faces.face_at(middle).is_some() {
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

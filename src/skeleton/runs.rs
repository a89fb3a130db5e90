//! Neighbouring sides on one line that rise alike become one.

use super::model::{Outline, OutlineRing};
use crate::geometry::{Point2, Segment2};

/// An outline with fewer sides.
#[derive(Debug, Clone, PartialEq)]
pub struct MergedRuns {
    /// The outline.
    pub outline: Outline,
    /// For each side given, the side it is part of now.
    pub side_of: Vec<usize>,
}

/// Joins neighbouring sides that rise alike where the corners between them stray less than `tolerance` from the line
/// through the ends of the run.
#[must_use]
pub fn merged_runs(outline: &Outline, tolerance: f64) -> MergedRuns {
    let mut merged = MergedRuns { outline: Outline::default(), side_of: Vec::new() };
    for ring in &outline.rings {
        let count = ring.points.len();
        let base = merged.outline.side_count();
        let Some(first) = (0..count).find(|&i| is_corner(ring, i, tolerance)) else {
            merged.side_of.extend(base..base + count);
            merged.outline.rings.push(ring.clone());
            continue;
        };
        let mut kept = OutlineRing::default();
        let mut side_of = vec![base; count];
        let mut start = first;
        // Walk once round from a corner; a run grows while all corners in it stay near its line.
        for step in 1..=count {
            let here = first + step;
            let grows = step < count
                && ring.rises[here % count] == ring.rises[start % count]
                && straight(ring, start, here + 1, tolerance);
            side_of[(here - 1) % count] = base + kept.points.len();
            if !grows {
                kept.points.push(ring.points[start % count]);
                kept.rises.push(ring.rises[start % count]);
                start = here;
            }
        }
        merged.side_of.extend(side_of);
        merged.outline.rings.push(kept);
    }
    merged
}

fn point(ring: &OutlineRing, i: usize) -> Point2 {
    ring.points[i % ring.points.len()]
}

/// Whether corner `i` ends a run whatever lies further on.
fn is_corner(ring: &OutlineRing, i: usize, tolerance: f64) -> bool {
    let count = ring.points.len();
    ring.rises[(i + count - 1) % count] != ring.rises[i] || !straight(ring, i + count - 1, i + 1 + count, tolerance)
}

/// Whether all corners strictly between two of them lie near the line through the two, in order.
fn straight(ring: &OutlineRing, from: usize, to: usize, tolerance: f64) -> bool {
    let (a, b) = (point(ring, from), point(ring, to));
    let chord = Segment2::new(a, b);
    (from + 1..to).all(|i| {
        let (before, at) = (point(ring, i - 1), point(ring, i));
        chord.distance_to(at) <= tolerance && (at - before).dot(b - a) > 0.0
    }) && (b - point(ring, to - 1)).dot(b - a) > 0.0
}

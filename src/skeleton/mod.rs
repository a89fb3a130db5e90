//! An outline with a pitch for each side becomes the roof over it: a weighted straight skeleton.
//!
//! Every side of the outline moves inward by its *run* (cotangent of its pitch) while the roof rises by one; where moving
//! sides meet, the roof has its hips, valleys and ridges, and what a side sweeps is its face. A side of run 0 is a
//! gable. A side with a *start* rests until the roof has that height (an eave higher than the others, or the small hip of a
//! jerkinhead); what its neighbours take of it before is the wall of a step. A side with a *stop* is a gable from that
//! height on (a Dutch gable).
//!
//! # Guarantees
//! Every result is checked (`check`): faces tile the outline, lie on their planes, and don't cross. Rather an error than
//! a wrong roof. The same input gives the same numbers.
//!
//! # Choices
//! Where parallel sides that run the same way come to lie on one line with different runs the answer is not determined:
//! the steeper one takes over the front of the other. One that will never move again (a gable) gives way to a moving one; one that
//! has not started yet does not: a lower roof ends at the wall below a higher eave, and the eave runs through above it.
//! Neighbouring sides on one line with different pitches are refused. Neighbouring sides on one line with one pitch are
//! parted by a crease square to them; [`merged_runs`] joins them beforehand.
//!
//! # Source
//! O. Aichholzer, F. Aurenhammer, "Straight skeletons for general polygonal figures in the plane" (1996); T. Biedl et al.,
//! "Weighted straight skeletons in the plane" (2015); from memory.
//!
//! Not handled: negative runs (sides that lean outward), and limits on height.

mod check;
mod contact;
mod double;
mod events;
mod faces;
mod input;
mod lines;
mod model;
#[cfg(test)]
mod random;
#[cfg(test)]
mod reference;
mod runs;
#[cfg(test)]
mod tests;
mod wave;

pub use model::*;
pub use runs::{MergedRuns, merged_runs};

use crate::error::{Error, Result};
use crate::finding::Place;
use crate::geometry::{Point2, Point3};
use double::Double;
use events::{Event, Watch, What};
use input::{Prepared, prepare};
use lines::Line;
use wave::{Lost, Node, Tolerance, Wave};

/// Roofs an outline.
///
/// # Units
/// Any, one for all; heights come in the unit of the points.
///
/// # Errors
/// - `outline-not-simple`, `rise-out-of-range`, `collinear-pitches`, `no-slope`: the outline can't be roofed.
/// - `roof-not-found`: no roof was found that passes the checks, with the place where it failed.
pub fn straight_skeleton(outline: &Outline) -> Result<Skeleton> {
    let prepared = prepare(outline)?;
    let moved = |p: Point2| Point2::new(p.x + prepared.origin.x, p.y + prepared.origin.y);
    let failed = |words: String, at: Point2| {
        Error::refused("roof-not-found", format!("no sound roof over this outline was found: {words}"))
            .at(Place::at(moved(at)))
            .with_hint("draw the ridges, hips and valleys, or simplify the outline there")
    };
    let mut wave = start(&prepared);
    // Each event ends a vertex, and each vertex awaits few at a time.
    let budget = 200 * prepared.bases.len() + 10_000;
    wave.run(budget)
        .map_err(|Lost(words, at)| failed(words.into(), at.map_or(prepared.corners[0], |[x, y]| Point2::new(x, y))))?;
    let mut skeleton = faces::collect(&prepared, &wave);
    check::check(&prepared, &skeleton).map_err(|flaw| failed(flaw.words, flaw.at))?;
    for node in &mut skeleton.nodes {
        *node = Point3::new(node.x + prepared.origin.x, node.y + prepared.origin.y, node.z);
    }
    let given = outline.rings.iter().flat_map(|r| r.points.iter());
    for (node, corner) in skeleton.nodes.iter_mut().zip(given) {
        *node = corner.at_height(node.z);
    }
    Ok(skeleton)
}

/// The wavefront on the outline.
fn start(prepared: &Prepared) -> Wave {
    let rises = || prepared.bases.iter().map(|b| b.rise);
    let lowest = prepared.lowest();
    let turns = || rises().filter(|r| r.run > 0.0).flat_map(|r| [r.start, r.stop]);
    let highest = turns().filter(|h| h.is_finite()).fold(lowest, f64::max);
    let flattest = rises().map(|r| r.run).filter(|&r| r > 0.0).fold(f64::INFINITY, f64::min);
    let now = Double::from(lowest);
    let mut watch = Watch::until(highest + 1.01 * prepared.size / flattest);
    let mut lines = Vec::new();
    for (side, base) in prepared.bases.iter().enumerate() {
        let [a, b] = base.ends.map(|corner| prepared.exact[corner]);
        let mut line = Line::new(a, b, base.rise);
        let Rise { run, start, stop } = base.rise;
        if run <= 0.0 || start <= lowest {
            line.advance();
        } else {
            watch.push(Event { height: Double::from(start), what: What::Turn(side) });
        }
        if run > 0.0 && stop.is_finite() {
            watch.push(Event { height: Double::from(stop), what: What::Turn(side) });
        }
        lines.push(line);
    }
    let nodes = prepared.exact.iter().map(|&at| Node { at, height: now });
    let mut wave = Wave {
        same_line: same_lines(&lines, prepared.size),
        lines,
        vertices: Vec::new(),
        nodes: nodes.collect(),
        arcs: Vec::new(),
        now,
        tolerance: Tolerance::of(prepared.size),
        fresh: Vec::new(),
        relinked: Vec::new(),
        stale: Vec::new(),
        watch,
    };
    for ring in &prepared.rings {
        wave.ring(ring, |side| prepared.bases[side].ends[0]);
    }
    wave
}

/// Numbers sides so that those on exactly one line, moving alike, have the same number.
fn same_lines(lines: &[Line], size: f64) -> Vec<usize> {
    /// Share of the size within which offsets of twice the digits are the same.
    const SAME: f64 = 1e-26;
    let mut order: Vec<usize> = (0..lines.len()).collect();
    let key = |i: usize| lines[i].plain();
    order.sort_by(|&a, &b| {
        let (p, q) = (key(a), key(b));
        p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1])).then(p[2].total_cmp(&q[2])).then(a.cmp(&b))
    });
    let mut number: Vec<usize> = (0..lines.len()).collect();
    for pair in order.windows(2) {
        if lines[pair[0]].coincides(&lines[pair[1]], SAME * size) {
            number[pair[1]] = number[pair[0]];
        }
    }
    number
}

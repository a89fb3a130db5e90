//! A slow, plain second way to the same roof, to compare with: the whole wavefront as rings of sides, moved from one
//! change to the next. Everything is worked out anew at every step, in plain numbers; general position only.
//!
//! What it gives is the area and the first moments of each side's face, summed over the trapezoids a side sweeps between
//! two changes. It shares nothing with the solver but the outline.

use super::{Outline, Rise};
use crate::geometry::{Point2, Vector2};

/// Area, and area times centre, of each side's face.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Swept {
    /// Area in plan.
    pub area: f64,
    /// Area times the centre's x.
    pub moment_x: f64,
    /// Area times the centre's y.
    pub moment_y: f64,
}

#[derive(Debug, Clone, Copy)]
struct Side {
    at: Point2,
    along: Vector2,
    inward: Vector2,
    rise: Rise,
}

impl Side {
    /// How fast it moves just above a height.
    fn rate(&self, now: f64) -> f64 {
        if now >= self.rise.start && now < self.rise.stop { self.rise.run } else { 0.0 }
    }
}

impl Swept {
    /// Adds a polygon.
    pub fn add(&mut self, corners: &[Point2]) {
        let origin = corners[0];
        for pair in corners[1..].windows(2) {
            let twice = (pair[0] - origin).cross(pair[1] - origin);
            self.area += 0.5 * twice;
            self.moment_x += twice / 6.0 * (origin.x + pair[0].x + pair[1].x);
            self.moment_y += twice / 6.0 * (origin.y + pair[0].y + pair[1].y);
        }
    }
}

/// How far a side has moved at a height, if until then it goes on as it does now.
fn moved(side: &Side, now: f64, height: f64) -> f64 {
    side.rise.moved(now) + side.rate(now) * (height - now)
}

/// Where the lines of two sides meet at a height.
fn meet(a: &Side, b: &Side, now: f64, height: f64) -> Point2 {
    let (p, q) = (a.at + a.inward * moved(a, now, height), b.at + b.inward * moved(b, now, height));
    p + a.along * ((q - p).cross(b.along) / a.along.cross(b.along))
}

/// A number that changes evenly with height: its value at `now` and its growth.
fn linear(now: f64, of: impl Fn(f64) -> f64) -> (f64, f64) {
    let value = of(now);
    (value, of(now + 1.0) - value)
}

/// Sweeps an outline whose outer ring is counter-clockwise and whose holes are clockwise. `None` when it comes to
/// something that is not in general position.
#[must_use]
pub fn sweep(outline: &Outline) -> Option<Vec<Swept>> {
    let mut sides = Vec::new();
    let mut rings: Vec<Vec<usize>> = Vec::new();
    for ring in &outline.rings {
        let count = ring.points.len();
        rings.push((sides.len()..sides.len() + count).collect());
        for i in 0..count {
            let along = (ring.points[(i + 1) % count] - ring.points[i]).unit()?;
            sides.push(Side { at: ring.points[i], along, inward: along.left(), rise: ring.rises[i] });
        }
    }
    let mut swept = vec![Swept::default(); sides.len()];
    let turns = |side: &Side| [side.rise.start, side.rise.stop];
    let sloping = || sides.iter().filter(|s| s.rise.run > 0.0);
    let mut now = sloping().map(|s| s.rise.start).fold(f64::INFINITY, f64::min);
    for _ in 0..20 * sides.len() {
        rings.retain(|r| r.len() > 2);
        if rings.is_empty() {
            return swept.iter().all(|s| (s.area + s.moment_x + s.moment_y).is_finite()).then_some(swept);
        }
        let change = next_change(&sides, &rings, now);
        // No change reaches past the height at which a side starts or stops.
        let turn = sloping().flat_map(turns).filter(|&h| h > now).fold(f64::INFINITY, f64::min);
        let then = change.map_or(turn, |c| c.0.min(turn));
        if then.is_infinite() {
            return None;
        }
        for ring in &rings {
            for (i, &side) in ring.iter().enumerate() {
                let (before, after) = (ring[(i + ring.len() - 1) % ring.len()], ring[(i + 1) % ring.len()]);
                let corner = |a: usize, b: usize, h: f64| meet(&sides[a], &sides[b], now, h);
                swept[side].add(&[
                    corner(before, side, now),
                    corner(side, after, now),
                    corner(side, after, then),
                    corner(before, side, then),
                ]);
            }
        }
        now = then;
        if let Some((height, change)) = change
            && height <= turn
        {
            apply(&mut rings, change);
        }
    }
    None
}

#[derive(Debug, Clone, Copy)]
enum Change {
    /// The side at this position of the ring has no length any more.
    Gone(usize, usize),
    /// The corner before this position of the ring runs into the side at the other.
    Split([usize; 2], [usize; 2]),
}

/// The first thing to happen after `now`; of several the first found.
fn next_change(sides: &[Side], rings: &[Vec<usize>], now: f64) -> Option<(f64, Change)> {
    let mut best: Option<(f64, Change)> = None;
    let mut offer = |height: f64, change: Change| {
        if height.is_finite() && height >= now - 1e-9 && best.is_none_or(|b| height < b.0) {
            best = Some((height, change));
        }
    };
    let corner = |r: usize, i: usize, height: f64| {
        let ring = &rings[r];
        meet(&sides[ring[(i + ring.len() - 1) % ring.len()]], &sides[ring[i % ring.len()]], now, height)
    };
    for (r, ring) in rings.iter().enumerate() {
        for (i, &own) in ring.iter().enumerate() {
            let along = sides[own].along;
            let (length, growth) = linear(now, |h| (corner(r, i + 1, h) - corner(r, i, h)).dot(along));
            if growth < 0.0 {
                offer(now - length / growth, Change::Gone(r, i));
            }
            let before = ring[(i + ring.len() - 1) % ring.len()];
            if sides[before].along.cross(along) >= 0.0 {
                continue;
            }
            for (q, other) in rings.iter().enumerate() {
                for (j, &hit) in other.iter().enumerate().filter(|(_, s)| **s != own && **s != before) {
                    let line = sides[hit];
                    let lead = |h: f64| (corner(r, i, h) - line.at).dot(line.inward) - moved(&line, now, h);
                    let (distance, growth) = linear(now, lead);
                    if growth >= 0.0 || distance < -1e-9 {
                        continue;
                    }
                    let height = now - distance / growth;
                    let (p, a, b) = (corner(r, i, height), corner(q, j, height), corner(q, j + 1, height));
                    if (p - a).dot(line.along) >= 0.0 && (b - p).dot(line.along) >= 0.0 {
                        offer(height, Change::Split([r, i], [q, j]));
                    }
                }
            }
        }
    }
    best
}

fn apply(rings: &mut Vec<Vec<usize>>, change: Change) {
    match change {
        Change::Gone(r, i) => {
            rings[r].remove(i);
        }
        Change::Split([r, i], [q, j]) => {
            let from = |ring: &[usize], start: usize| -> Vec<usize> {
                (0..ring.len()).map(|k| ring[(start + k) % ring.len()]).collect()
            };
            // From the side after the corner once round, and from the side that is hit once round.
            let turned = from(&rings[r], i);
            if r == q {
                let at = (j + turned.len() - i) % turned.len();
                let first = turned[..=at].to_vec();
                let second = turned[at..].to_vec();
                rings[r] = first;
                rings.push(second);
            } else {
                let mut joined = turned;
                let other = from(&rings[q], j);
                joined.extend(&other);
                joined.push(other[0]);
                rings[r] = joined;
                rings.remove(q);
            }
        }
    }
}

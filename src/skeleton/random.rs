//! Random outlines for tests and benches.

use super::{Outline, OutlineRing, Rise};
use crate::geometry::{Point2, Side, side_of_line};

// A file of its own, without imports, which the bench includes too.
include!("random_ring.rs");

/// What a random outline holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mix {
    /// One pitch.
    Alike,
    /// Random pitches, some gables, and often a hole.
    Pitches,
    /// The same, and sides that start higher or stop lower than others.
    Heights,
}

/// A random outline.
#[must_use]
pub fn random_outline(random: &mut Rng, corners: usize, mix: Mix) -> Outline {
    let points = random_ring(random, corners);
    if mix == Mix::Alike {
        let rises = vec![Rise::new(1.0); points.len()];
        return Outline { rings: vec![OutlineRing { points, rises }] };
    }
    let mut rise = |gable: bool| {
        let run = 0.5 + 1.5 * random.share();
        if gable && random.share() < 0.15 {
            return Rise::GABLE;
        }
        let (kind, height) = if mix == Mix::Heights { (random.share(), 6.0 * random.share()) } else { (1.0, 0.0) };
        match kind {
            k if k < 0.25 => Rise::new(run).from(height),
            k if k < 0.4 => Rise::new(run).until(0.1 + height),
            k if k < 0.45 => Rise::new(run).from(-height).until(0.1 + height),
            _ => Rise::new(run),
        }
    };
    let rises = points.iter().map(|_| rise(true)).collect();
    let hole: Vec<Rise> = (0..3).map(|_| rise(false)).collect();
    let mut outline = Outline { rings: vec![OutlineRing { points, rises }] };
    for _ in 0..20 {
        let at = Point2::new(100.0 * random.share(), 90.0 * random.share());
        let corner = |x: f64, y: f64| Point2::new(at.x + x, at.y + y);
        let points = vec![corner(0.0, 0.0), corner(0.9, 4.1), corner(4.3, 0.7)];
        let ring = OutlineRing { points, rises: hole.clone() };
        let with = Outline { rings: vec![outline.rings[0].clone(), ring] };
        if super::input::prepare(&with).is_ok() {
            outline = with;
            break;
        }
    }
    outline
}

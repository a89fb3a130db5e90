//! What goes in and what comes out.

use crate::geometry::{Point2, Point3};
use serde::Serialize;

/// One side of the outline as it rises.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rise {
    /// Run per rise, the cotangent of the pitch: how far the side moves inward while the roof rises by one. 0 for a gable.
    pub run: f64,
    /// Height at which the side starts to move, in the unit of the points; until then it rests like a gable.
    pub start: f64,
    /// Height at which it stops, above `start`; from there on it is a gable. Infinite for a side that goes on.
    pub stop: f64,
}

impl Rise {
    /// A side of this run per rise that starts at height 0.
    #[must_use]
    pub const fn new(run: f64) -> Self {
        Self { run, start: 0.0, stop: f64::INFINITY }
    }

    /// The same from another height on.
    #[must_use]
    pub const fn from(self, start: f64) -> Self {
        Self { start, ..self }
    }

    /// The same up to a height only.
    #[must_use]
    pub const fn until(self, stop: f64) -> Self {
        Self { stop, ..self }
    }

    /// How far the side has moved when the roof has a height.
    #[must_use]
    pub fn moved(self, height: f64) -> f64 {
        self.run * (height.min(self.stop) - self.start).max(0.0)
    }

    /// A vertical side.
    pub const GABLE: Self = Self::new(0.0);
}

/// One closed ring of an outline; side `i` goes from point `i` to the next.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OutlineRing {
    /// Corners in order, the first not repeated; either way round.
    pub points: Vec<Point2>,
    /// One entry a side.
    pub rises: Vec<Rise>,
}

/// The outline to be roofed: the outer ring first, then holes.
///
/// Sides are numbered ring after ring, as given.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outline {
    /// Outer ring, then holes.
    pub rings: Vec<OutlineRing>,
}

impl Outline {
    /// The number of sides of all rings.
    #[must_use]
    pub fn side_count(&self) -> usize {
        self.rings.iter().map(|r| r.points.len()).sum()
    }
}

/// A crease of the roof between the faces of two sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Arc {
    /// Nodes at its ends, the earlier (lower) first.
    pub nodes: [usize; 2],
    /// The sides whose faces meet: walking from the first node to the second, the face of the first lies to the left.
    pub sides: [usize; 2],
}

/// The face that rises from one side.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct SkeletonFace {
    /// The side.
    pub side: usize,
    /// Closed rings of nodes with the face to the left: the one with the side's own line first. Seen from above the
    /// face of a gable is a line; a side has a vertical part below its start and above its stop.
    pub rings: Vec<Vec<usize>>,
}

/// The roof over an outline.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Skeleton {
    /// Points of the roof; the first ones are the outline's corners, ring after ring.
    #[serde(skip)]
    pub nodes: Vec<Point3>,
    /// Creases.
    pub arcs: Vec<Arc>,
    /// One face a side, in the order of the sides.
    pub faces: Vec<SkeletonFace>,
}

impl Skeleton {
    /// The parts of a side's face that slope, each a ring with the face to the left: its walls below `rise.start` and above
    /// `rise.stop` are left out. Empty for a gable, and for a side whose neighbours meet before it starts.
    #[must_use]
    pub fn slopes(&self, side: usize, rise: Rise) -> Vec<Vec<usize>> {
        if rise.run <= 0.0 {
            return Vec::new();
        }
        self.faces[side].rings.iter().flat_map(|ring| self.slopes_of(ring, rise)).collect()
    }

    /// Nodes on the walls drop out. Above the stop the slope's upper edge runs straight on along the wall's foot; below the start
    /// each part between two pieces of wall closes along its own eave.
    fn slopes_of(&self, ring: &[usize], rise: Rise) -> Vec<Vec<usize>> {
        /// Heights of nodes are rounded once, from twice the digits.
        const SAME: f64 = 1e-9;
        let slack = SAME * (1.0 + rise.start.abs());
        let height = |n: &usize| self.nodes[*n].z;
        let kept: Vec<usize> = ring.iter().copied().filter(|n| height(n) <= rise.stop + slack).collect();
        let below = |n: &usize| height(n) < rise.start - slack;
        let Some(first) = kept.iter().position(below) else {
            return if kept.len() > 2 { vec![kept] } else { Vec::new() };
        };
        let turned: Vec<usize> = kept[first..].iter().chain(&kept[..first]).copied().collect();
        turned.split(below).filter(|part| part.len() > 2).map(<[usize]>::to_vec).collect()
    }
}

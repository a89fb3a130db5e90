//! Segments found by place (`rstar`).

use super::{Box2, Point2, Segment2};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// An index over plan segments; answers carry the position given at building time, in rising order.
#[derive(Debug)]
pub struct SegmentIndex {
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
}

impl SegmentIndex {
    /// Indexes the segments by their boxes.
    #[must_use]
    pub fn new(segments: &[Segment2]) -> Self {
        let entries = segments
            .iter()
            .enumerate()
            .map(|(position, s)| {
                let corners = Rectangle::from_corners([s.a.x, s.a.y], [s.b.x, s.b.y]);
                GeomWithData::new(corners, position)
            })
            .collect();
        Self { tree: RTree::bulk_load(entries) }
    }

    /// Positions of all segments whose boxes meet `area`, in rising order.
    #[must_use]
    pub fn meeting(&self, area: Box2) -> Vec<usize> {
        let envelope = AABB::from_corners([area.min.x, area.min.y], [area.max.x, area.max.y]);
        let mut found: Vec<usize> = self.tree.locate_in_envelope_intersecting(envelope).map(|e| e.data).collect();
        found.sort_unstable();
        found
    }

    /// Positions of all segments whose boxes come within `distance` of `point`, in rising order.
    #[must_use]
    pub fn near(&self, point: Point2, distance: f64) -> Vec<usize> {
        self.meeting(Box2 { min: point, max: point }.grown(distance))
    }
}

//! A leaf becomes points in drawing coordinates.

use super::drawing::Drawing;
use super::entity::{FacetShape, Shape};
use super::expand::{Expanded, Leaf, MOST_OF_ONE};
use super::flatten::{self, plane_of, stretch};
use crate::geometry::{Box2, Matrix4, Point2, Point3};

/// What one leaf draws, in drawing units.
#[derive(Debug, Default)]
pub(super) struct Drawn {
    /// Straight pieces with whether the last point joins the first.
    pub paths: Vec<(Vec<Point3>, bool)>,
    /// Flat facets in space.
    pub facets: Vec<FacetShape>,
}

impl Drawn {
    /// All its points in plan.
    pub fn plan_points(&self) -> impl Iterator<Item = Point2> + '_ {
        let paths = self.paths.iter().flat_map(|(points, _)| points);
        let facets = self.facets.iter().flat_map(|facet| &facet.corners);
        paths.chain(facets).map(|point| point.plan())
    }

    /// How many points it has.
    pub fn size(&self) -> usize {
        let paths: usize = self.paths.iter().map(|(points, _)| points.len()).sum();
        paths + self.facets.iter().map(|facet| facet.corners.len()).sum::<usize>()
    }

    /// The box of its plan.
    pub fn plan_box(&self) -> Option<Box2> {
        Box2::around(self.plan_points())
    }

    /// The lowest and highest point of its lines; none without lines.
    pub fn line_heights(&self) -> Option<(f64, f64)> {
        let mut heights = self.paths.iter().flat_map(|(points, _)| points).map(|point| point.z);
        let first = heights.next()?;
        Some(heights.fold((first, first), |(low, high), z| (low.min(z), high.max(z))))
    }

    /// Its closed paths become facets.
    pub fn close_into_facets(&mut self) {
        for (corners, _) in self.paths.drain(..) {
            let drawn = vec![true; corners.len()];
            self.facets.push(FacetShape { corners, drawn });
        }
    }

    /// The lowest and highest corner of its facets; none without facets.
    pub fn heights(&self) -> Option<(f64, f64)> {
        let mut heights = self.facets.iter().flat_map(|facet| &facet.corners).map(|corner| corner.z);
        let first = heights.next()?;
        Some(heights.fold((first, first), |(low, high), z| (low.min(z), high.max(z))))
    }
}

/// The map from a leaf's own coordinates to the drawing's.
pub(super) fn leaf_map(drawing: &Drawing, expanded: &Expanded, leaf: Leaf) -> Matrix4 {
    let entity = &drawing.entities[leaf.entity];
    let placed = expanded.placements[leaf.placement].map;
    let in_space = match &entity.shape {
        Shape::Line(_) | Shape::Facets(_) | Shape::Leader(_) | Shape::Ellipse(_) | Shape::Spline(_) => true,
        Shape::Polyline(line) => line.in_space,
        Shape::Text(text) => text.in_space,
        _ => false,
    };
    match entity.normal.as_deref() {
        Some(&normal) if !in_space => placed.after(&plane_of(normal)),
        _ => placed,
    }
}

/// What a leaf draws, curves flattened to `error` drawing units (infinity: as few pieces as the shape allows).
pub(super) fn draw(drawing: &Drawing, expanded: &Expanded, leaf: Leaf, error: f64) -> Drawn {
    let map = leaf_map(drawing, expanded, leaf);
    let error = error / stretch(&map).max(f64::MIN_POSITIVE);
    let mapped = |points: Vec<Point3>| points.into_iter().map(|p| map.point(p)).collect::<Vec<_>>();
    let mut drawn = Drawn::default();
    match &drawing.entities[leaf.entity].shape {
        Shape::Line(ends) => drawn.paths.push((mapped(ends.to_vec()), false)),
        Shape::Polyline(line) => drawn.paths.push((mapped(flatten::polyline(line, error)), line.closed)),
        Shape::Arc(arc) => {
            let (points, closed) = flatten::arc(arc, error);
            drawn.paths.push((mapped(points), closed));
        }
        Shape::Ellipse(ellipse) => {
            let (points, closed) = ellipse.flatten(error);
            drawn.paths.push((mapped(points), closed));
        }
        Shape::Spline(spline) => {
            let (points, closed) = spline.flatten(error);
            drawn.paths.push((mapped(points), closed));
        }
        Shape::Solid(corners) => drawn.paths.push((mapped(corners.to_vec()), true)),
        Shape::Facets(facets) => {
            drawn.facets = facets
                .iter()
                .map(|facet| FacetShape { corners: mapped(facet.corners.clone()), drawn: facet.drawn.clone() })
                .collect();
        }
        Shape::Leader(points) => drawn.paths.push((mapped(points.to_vec()), false)),
        Shape::Hatch(boundaries) => {
            for boundary in boundaries {
                if drawn.size() > MOST_OF_ONE {
                    break;
                }
                let flat = boundary.flatten(error).into_iter();
                drawn.paths.extend(flat.map(|(points, closed)| (mapped(points), closed)));
            }
        }
        Shape::Insert(_) | Shape::Text(_) | Shape::Dimension(_) | Shape::Aside | Shape::Unread => {}
    }
    drawn.paths = drawn.paths.into_iter().filter_map(|(points, closed)| tidy(points, closed)).collect();
    drawn.facets.retain(|facet| facet.corners.iter().all(|corner| usable(*corner)));
    drawn
}

/// A path without repeated points, closed where it ends on its start; `None` when nothing of it is left in plan.
fn tidy(mut points: Vec<Point3>, mut closed: bool) -> Option<(Vec<Point3>, bool)> {
    if !points.iter().all(|point| usable(*point)) {
        return None;
    }
    points.dedup();
    if points.len() >= 3 && points.first() == points.last() {
        points.pop();
        closed = true;
    }
    let first = points.first()?.plan();
    if points.iter().all(|point| point.plan() == first) {
        return None;
    }
    Some((closed && points.len() >= 3, points)).map(|(closed, points)| (points, closed))
}

fn usable(point: Point3) -> bool {
    [point.x, point.y, point.z].iter().all(|value| value.abs() <= super::group::LARGEST)
}

/// The drawn sides of level facets as lines: without heights a facet is only its outline.
pub(super) fn sides(facets: &[FacetShape]) -> Vec<(Vec<Point3>, bool)> {
    let mut lines = Vec::new();
    for facet in facets {
        let count = facet.corners.len();
        for (side, _) in facet.drawn.iter().enumerate().filter(|(_, drawn)| **drawn) {
            lines.extend(tidy(vec![facet.corners[side], facet.corners[(side + 1) % count]], false));
        }
    }
    lines
}

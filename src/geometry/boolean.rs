//! Union, difference and intersection of regions (`geo`, which overlays them with integer robustness).

use super::{Point2, Region, Ring};
use geo::bool_ops::{FillRule, unary_union};
use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon};

/// Regions may overlap, and holes turn against exteriors: whatever is wound round at least once is inside.
const OVERLAP: FillRule = FillRule::Positive;

/// What lies in any of `regions`.
#[must_use]
pub fn union(regions: &[Region]) -> Vec<Region> {
    from_polygons(&unary_union(&to_polygons(regions)))
}

/// What lies in `of` and not in any of `without`.
#[must_use]
pub fn difference(of: &[Region], without: &[Region]) -> Vec<Region> {
    from_polygons(&to_polygons(of).difference_with_fill_rule(&to_polygons(without), OVERLAP))
}

/// What lies in one of `first` and one of `second`.
#[must_use]
pub fn intersection(first: &[Region], second: &[Region]) -> Vec<Region> {
    from_polygons(&to_polygons(first).intersection_with_fill_rule(&to_polygons(second), OVERLAP))
}

pub(super) fn to_polygons(regions: &[Region]) -> MultiPolygon {
    MultiPolygon(regions.iter().map(to_polygon).collect())
}

pub(super) fn to_polygon(region: &Region) -> Polygon {
    let line = |ring: &Ring| LineString(ring.points.iter().map(|p| Coord { x: p.x, y: p.y }).collect());
    Polygon::new(line(&region.exterior), region.holes.iter().map(line).collect())
}

/// Back to our conventions: rings open, exteriors counter-clockwise, holes clockwise.
pub(super) fn from_polygons(polygons: &MultiPolygon) -> Vec<Region> {
    let ring = |line: &LineString| {
        let mut points: Vec<Point2> = line.0.iter().map(|c| Point2::new(c.x, c.y)).collect();
        if points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        Ring::new(points).counter_clockwise()
    };
    polygons
        .iter()
        .map(|polygon| Region {
            exterior: ring(polygon.exterior()),
            holes: polygon
                .interiors()
                .iter()
                .map(|hole| {
                    let mut hole = ring(hole);
                    hole.points.reverse();
                    hole
                })
                .collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, size: f64) -> Region {
        Region::simple(vec![
            Point2::new(x, 0.0),
            Point2::new(x + size, 0.0),
            Point2::new(x + size, size),
            Point2::new(x, size),
        ])
    }

    #[test]
    fn areas_add_up() {
        let (a, b) = (square(0.0, 10.0), square(6.0, 10.0));
        let area = |regions: Vec<Region>| regions.iter().map(Region::area).sum::<f64>();
        assert!((area(union(&[a.clone(), b.clone()])) - 160.0).abs() < 1e-6);
        assert!((area(intersection(std::slice::from_ref(&a), std::slice::from_ref(&b))) - 40.0).abs() < 1e-6);
        assert!((area(difference(&[a], &[b])) - 60.0).abs() < 1e-6);
    }
}

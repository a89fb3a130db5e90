//! Regions grown and shrunk by a distance with mitred corners (`geo`).

use super::Region;
use super::boolean::{from_polygons, to_polygons};
use geo::Buffer;
use geo::algorithm::buffer::{BufferStyle, LineJoin};

/// The regions grown by `distance` inches on every side; corners stay sharp.
#[must_use]
pub fn outset(regions: &[Region], distance: f64) -> Vec<Region> {
    // A mitre limit of 0.1 rad keeps every roof corner sharp and stops needles from running away.
    let style = BufferStyle::new(distance).line_join(LineJoin::Miter(0.1));
    from_polygons(&to_polygons(regions).buffer_with_style(style))
}

/// The regions shrunk by `distance` inches on every side; a region may vanish or fall apart.
#[must_use]
pub fn inset(regions: &[Region], distance: f64) -> Vec<Region> {
    outset(regions, -distance)
}

#[cfg(test)]
mod tests {
    use super::super::{Point2, Region};
    use super::*;

    #[test]
    fn a_rectangle_grows_and_shrinks_square() {
        let shape = Region::simple(vec![
            Point2::new(0.0, 0.0),
            Point2::new(20.0, 0.0),
            Point2::new(20.0, 10.0),
            Point2::new(0.0, 10.0),
        ]);
        let area = |regions: Vec<Region>| regions.iter().map(Region::area).sum::<f64>();
        assert!((area(outset(std::slice::from_ref(&shape), 1.0)) - 264.0).abs() < 1e-6);
        assert!((area(inset(&[shape], 1.0)) - 144.0).abs() < 1e-6);
    }
}

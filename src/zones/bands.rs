//! Bands as polygons, by boolean operations: for drawing, and as a test of runs that were found another way.

use super::model::{FaceEdge, FaceLayout, Interval2, Zone, ZoneKind};
use crate::geometry::{Interval, Point2, Region, difference, intersection, trig};

/// Sides of the half circle at each end of a swollen edge. Inscribed, so the polygon never takes more than the setback; at 6 in the chord
/// lies 1/64 in inside the arc.
const CAP_SIDES: usize = 24;
/// Scraps smaller than this are rounding of the boolean operation, square inches.
const SCRAP: f64 = 0.05;

/// The part of a zone between two heights where an element may lie: its band within every setback and outside every keep-out.
///
/// `widen` adds to a valley band's width, inches: its courses are square-cut and end past the band's slanting edge.
#[must_use]
pub fn clear_regions(layout: &FaceLayout, zone: &Zone, across: Interval, widen: f64) -> Vec<Region> {
    if across.length() <= 0.0 {
        return Vec::new();
    }
    let mut band =
        intersection(std::slice::from_ref(&layout.region), &[rectangle(Interval2 { u: zone.along, v: across })]);
    if zone.kind == ZoneKind::Valley {
        let width = zone.valley_width + widen;
        let beside: Vec<Region> = layout
            .edges
            .iter()
            .filter(|edge| zone.edges.contains(&edge.edge))
            .filter_map(|edge| swollen(edge, width))
            .collect();
        band = intersection(&band, &beside);
    }
    let mut taken: Vec<Region> = layout.edges.iter().filter_map(|edge| swollen(edge, edge.setback)).collect();
    taken.extend(layout.openings.iter().map(|opening| rectangle(opening.keep_out)));
    taken.extend(layout.keep_outs.iter().map(|area| rectangle(area.keep_out)));
    taken.extend(zone.excluded.iter().map(|&area| rectangle(area)));
    let mut clear = if taken.is_empty() { band } else { difference(&band, &taken) };
    clear.retain(|region| region.area() > SCRAP);
    clear
}

fn rectangle(area: Interval2) -> Region {
    Region::simple(vec![
        Point2::new(area.u.low, area.v.low),
        Point2::new(area.u.high, area.v.low),
        Point2::new(area.u.high, area.v.high),
        Point2::new(area.u.low, area.v.high),
    ])
}

/// All points within `distance` of an edge; none when it has no length or the distance is 0.
fn swollen(edge: &FaceEdge, distance: f64) -> Option<Region> {
    let along = (edge.b - edge.a).unit()?;
    if distance <= 0.0 {
        return None;
    }
    let half_turn = |centre: Point2, back: f64| {
        (0..=CAP_SIDES).map(move |step| {
            let angle = std::f64::consts::PI * step as f64 / CAP_SIDES as f64;
            let outward = along * (back * trig::sin(angle)) - along.left() * (back * trig::cos(angle));
            centre + outward * distance
        })
    };
    Some(Region::simple(half_turn(edge.b, 1.0).chain(half_turn(edge.a, -1.0)).collect()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::index::EdgeId;
    use crate::terms::EdgeKind;

    #[test]
    fn a_swollen_edge_is_a_rectangle_with_two_half_circles() {
        let edge = FaceEdge {
            edge: EdgeId(0),
            kind: EdgeKind::Hip,
            a: Point2::new(0.0, 0.0),
            b: Point2::new(30.0, 40.0),
            setback: 6.0,
            why: String::new(),
        };
        let area = swollen(&edge, 6.0).unwrap().area();
        let exact = 50.0 * 12.0 + std::f64::consts::PI * 36.0;
        assert!(area < exact && area > exact - 0.5, "{area} against {exact}");
    }
}

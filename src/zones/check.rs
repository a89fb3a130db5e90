//! What must hold for zones, found without the code that made them.

use super::model::{FaceLayout, Zone, ZoneKind, Zones};
use crate::geometry::{Point2, Segment2};
use crate::roof::Roof;
use crate::terms::EdgeKind;

/// Lengths agree within this, inches: 1/1000 of the finest mark on a tape.
const SAME: f64 = 1e-4;
/// Polygons from boolean operations keep this share of a setback: their round ends have straight sides.
const ROUND_END_SHARE: f64 = 0.98;

/// What is wrong with the zones; empty when nothing is.
#[must_use]
pub fn check_invariants(roof: &Roof, zones: &Zones) -> Vec<String> {
    let mut wrong = Vec::new();
    if !zones.faces.windows(2).all(|pair| pair[0].face < pair[1].face) {
        wrong.push("faces are not in order".into());
    }
    for layout in &zones.faces {
        check_layout(roof, layout, &mut wrong);
    }
    for (position, zone) in zones.zones.iter().enumerate() {
        if zone.id.index() != position {
            wrong.push(format!("zone {} stands at {position}", zone.id));
        }
        match zones.layout(zone.face) {
            Some(layout) => check_zone(layout, zone, zones, &mut wrong),
            None => wrong.push(format!("{} lies on {}, which has no layout", zone.id, zone.face)),
        }
    }
    wrong
}

fn check_layout(roof: &Roof, layout: &FaceLayout, wrong: &mut Vec<String>) {
    let face = layout.face;
    let plan = roof.region(face);
    let area = plan.area() * roof.face(face).plane.slope_factor();
    if (layout.region.area() - area).abs() > 1e-6 * area.max(1.0) {
        wrong.push(format!("{face} laid flat has another area than its surface"));
    }
    for edge in &layout.edges {
        let true_length = {
            let [a, b] = roof.edge(edge.edge).ends;
            roof.corner(face, a).distance(roof.corner(face, b))
        };
        if (edge.a.distance(edge.b) - true_length).abs() > SAME {
            wrong.push(format!(
                "{} on {face} is {} in long flat and {true_length} in space",
                edge.edge,
                edge.a.distance(edge.b)
            ));
        }
        let back = layout.frame.to_plan(edge.a);
        if roof.segment(edge.edge).distance_to(back) > SAME {
            wrong.push(format!("{} on {face} does not go back to its place in the plan", edge.edge));
        }
        if edge.setback < 0.0 || (edge.kind == EdgeKind::Eave && edge.setback != 0.0) {
            wrong.push(format!("{} on {face} has a setback of {}", edge.edge, edge.setback));
        }
    }
    for opening in &layout.openings {
        let inside = |p: &Point2| opening.flashing.u.contains(p.x) && opening.flashing.v.contains(p.y);
        let around = opening.keep_out.u.low <= opening.flashing.u.low - 1.0 + SAME
            && opening.keep_out.u.high >= opening.flashing.u.high + 1.0 - SAME
            && opening.keep_out.v.low <= opening.flashing.v.low - 1.0 + SAME
            && opening.keep_out.v.high >= opening.flashing.v.high + 1.0 - SAME;
        if !around || !opening.outline.exterior.points.iter().all(inside) {
            wrong.push(format!("the keep-out of {} on {face} does not surround it", opening.opening));
        }
    }
}

fn check_zone(layout: &FaceLayout, zone: &Zone, zones: &Zones, wrong: &mut Vec<String>) {
    let id = zone.id;
    let wanted = |kind: EdgeKind| match zone.kind {
        ZoneKind::Eave => matches!(kind, EdgeKind::Eave | EdgeKind::Step),
        ZoneKind::Valley => kind == EdgeKind::Valley,
    };
    for &edge in &zone.edges {
        if !layout.edges.iter().any(|side| side.edge == edge && wanted(side.kind)) {
            wrong.push(format!("{id} follows {edge}, which is no such edge of {}", zone.face));
        }
    }
    if zone.edges.is_empty() || zone.required_reach <= 0.0 || zone.along.length() <= 0.0 {
        wrong.push(format!("{id} is empty"));
    }
    if let Some(eave) = zone.continues {
        let eave = &zones.zones[eave.index()];
        if eave.face != zone.face || eave.base_v != zone.base_v || eave.kind != ZoneKind::Eave {
            wrong.push(format!("{id} continues {}, whose course lines it does not share", eave.id));
        }
    }
    for point in zone.regions.iter().flat_map(|region| region.rings()).flat_map(|ring| &ring.points) {
        check_region_corner(layout, zone, *point, wrong);
    }
}

fn check_region_corner(layout: &FaceLayout, zone: &Zone, p: Point2, wrong: &mut Vec<String>) {
    let id = zone.id;
    let outside = !layout.region.contains(p) && layout.region.rings().all(|ring| ring.distance_to(p) > SAME);
    if outside {
        wrong.push(format!("{id} leaves {} at {}, {}", zone.face, p.x, p.y));
    }
    if p.y < zone.base_v - SAME || p.y > zone.base_v + zone.required_reach + SAME {
        wrong.push(format!("{id} leaves its band at {}, {}", p.x, p.y));
    }
    for edge in &layout.edges {
        let distance = Segment2::new(edge.a, edge.b).distance_to(p);
        if distance < ROUND_END_SHARE * edge.setback - SAME {
            wrong.push(format!("{id} comes within {distance} in of {}", edge.edge));
        }
    }
    for opening in &layout.openings {
        let (u, v) = (opening.keep_out.u, opening.keep_out.v);
        if p.x > u.low + SAME && p.x < u.high - SAME && p.y > v.low + SAME && p.y < v.high - SAME {
            wrong.push(format!("{id} enters the keep-out of {}", opening.opening));
        }
    }
}

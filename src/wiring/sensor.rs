//! The sensor stands at the highest open place of the heated roof.

use super::model::Sensor;
use crate::geometry::{Point2, Segment2};
use crate::terms::EdgeKind;
use crate::zones::{FaceEdge, FaceLayout, Zones};

/// Below the ridge, clear of the cap shingles, inches.
const BELOW_RIDGE: f64 = 12.0;

/// The highest place among the heated faces: below the middle of a ridge or high edge (of the topmost corner where a face has
/// neither), moved along it when an opening stands there. Ties fall to the smallest face.
pub(super) fn sensor(zones: &Zones) -> Option<Sensor> {
    let heated = zones.faces.iter().filter(|l| zones.zones.iter().any(|z| z.face == l.face));
    let mut best: Option<Sensor> = None;
    for layout in heated {
        let Some(at) = places(layout).into_iter().find(|&p| open(layout, p)) else { continue };
        let at = layout.frame.to_space(at);
        if best.as_ref().is_none_or(|b| at.z > b.at.z + 1e-6) {
            best = Some(Sensor { face: layout.face, at });
        }
    }
    best
}

/// Candidates of one face, the best first.
fn places(layout: &FaceLayout) -> Vec<Point2> {
    let below = |p: Point2| Point2::new(p.x, p.y - BELOW_RIDGE);
    let top = |e: &&FaceEdge| matches!(e.kind, EdgeKind::Ridge | EdgeKind::HighEdge);
    let level = layout.edges.iter().filter(top).max_by(|a, b| a.a.y.max(a.b.y).total_cmp(&b.a.y.max(b.b.y)));
    if let Some(edge) = level {
        let line = Segment2::new(edge.a, edge.b);
        return [0.5, 0.375, 0.625, 0.25, 0.75].iter().map(|&t| below(line.a.lerp(line.b, t))).collect();
    }
    let corners = layout.edges.iter().map(|e| e.a);
    // A hip end narrows to a point: stand further down, where both hips are away.
    let apex = corners.max_by(|a, b| a.y.total_cmp(&b.y).then(b.x.total_cmp(&a.x)));
    apex.map_or_else(Vec::new, |p| [18.0, 24.0, 36.0].map(|down| Point2::new(p.x, p.y - down)).to_vec())
}

fn open(layout: &FaceLayout, at: Point2) -> bool {
    layout.region.contains(at)
        && !layout.keep_outs.iter().any(|k| k.keep_out.u.contains(at.x) && k.keep_out.v.contains(at.y))
        && !layout.openings.iter().any(|o| o.keep_out.u.contains(at.x) && o.keep_out.v.contains(at.y))
}

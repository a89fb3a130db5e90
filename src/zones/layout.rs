//! Faces laid flat, with what each of their edges keeps clear.

use super::Inputs;
use super::model::{FaceEdge, FaceLayout, StarterStrip};
use super::obstacles;
use super::openings::{OpeningPart, keep_outs, parts_by_face};
use crate::finding::Finding;
use crate::geometry::{FaceFrame, Interval, Point2, Region, Ring};
use crate::import::SourceFrame;
use crate::index::{EdgeId, FaceId};
use crate::job::ValleyType;
use crate::plan::HalfEdge;
use crate::roof::{Abuts, Roof};
use crate::terms::EdgeKind;
use crate::units::decimal;

/// Faces flatter than this have no fall line to lay courses by: about 1/4 in 12, the least slope water is trusted to run on.
const LEAST_SLOPE: f64 = 0.25 / 12.0;
/// Eaves whose heights up the slope differ by no more than this are on one level, inches: less than the drip edge can be set to.
pub(super) const ONE_LEVEL: f64 = 0.5;
/// Bare metal keeps an element at least this far away, inches (common practice).
pub(super) const BEYOND_METAL: f64 = 1.0;

/// Every sloping face laid flat, in face order.
pub(super) fn layouts(inputs: &Inputs, frame: &SourceFrame, findings: &mut Vec<Finding>) -> Vec<FaceLayout> {
    let openings = parts_by_face(inputs.roof);
    let mut faces: Vec<FaceLayout> = inputs
        .roof
        .faces
        .iter()
        .filter_map(|face| {
            let parts = openings.get(&face.id).map_or(&[][..], Vec::as_slice);
            layout(inputs, face.id, parts, findings)
        })
        .collect();
    obstacles::place(inputs, frame, &mut faces, findings);
    faces
}

fn layout(inputs: &Inputs, face: FaceId, parts: &[OpeningPart], findings: &mut Vec<Finding>) -> Option<FaceLayout> {
    let roof = inputs.roof;
    let frame = frame_of(roof, face)?;
    let edges: Vec<FaceEdge> = half_edges(roof, face)
        .map(|half| {
            let plan = roof.directed(half);
            let (setback, why) = setback_of(inputs, face, half.edge);
            FaceEdge {
                edge: half.edge,
                kind: roof.edge(half.edge).kind,
                a: frame.to_face(plan.a),
                b: frame.to_face(plan.b),
                setback,
                why,
            }
        })
        .collect();
    let region = develop(&roof.region(face), &frame);
    let openings = keep_outs(parts, &frame, inputs.job, findings);
    let starters = starters(roof, face, &edges);
    Some(FaceLayout { face, frame, region, edges, openings, keep_outs: Vec::new(), starters })
}

/// The starter strips of a face's eaves, from low to high; those of one level share its height.
fn starters(roof: &Roof, face: FaceId, edges: &[FaceEdge]) -> Vec<StarterStrip> {
    let mut eaves: Vec<&FaceEdge> = edges.iter().filter(|e| kind_for(roof, face, e.edge) == EdgeKind::Eave).collect();
    let top = |edge: &FaceEdge| edge.a.y.max(edge.b.y);
    eaves.sort_by(|a, b| top(a).total_cmp(&top(b)));
    eaves
        .chunk_by(|a, b| top(b) - top(a) <= ONE_LEVEL)
        .flat_map(|level| {
            // One strip an eave: between two of one level a lower eave may lie, whose own courses run through there.
            let v = level.iter().map(|e| top(e)).fold(f64::NEG_INFINITY, f64::max);
            level.iter().map(move |e| StarterStrip { v, along: Interval::new(e.a.x, e.b.x) })
        })
        .collect()
}

/// A plan region on the face's surface.
pub(super) fn develop(region: &Region, frame: &FaceFrame) -> Region {
    let ring = |ring: &Ring| Ring::new(ring.points.iter().map(|&p| frame.to_face(p)).collect());
    Region { exterior: ring(&region.exterior), holes: region.holes.iter().map(ring).collect() }
}

fn half_edges(roof: &Roof, face: FaceId) -> impl Iterator<Item = HalfEdge> {
    let face = roof.face(face);
    face.exterior.iter().chain(face.holes.iter().flatten()).copied()
}

/// The frame with its origin at the left end of the face's lowest eave, else at its lowest corner.
fn frame_of(roof: &Roof, face: FaceId) -> Option<FaceFrame> {
    let plane = roof.face(face).plane;
    if plane.pitch() < LEAST_SLOPE {
        return None;
    }
    let rough = FaceFrame::new(plane, Point2::default())?;
    let by_level_then_left = |points: Vec<Point2>| {
        let lowest = points.iter().map(|&p| rough.to_face(p).y).fold(f64::INFINITY, f64::min);
        points
            .into_iter()
            .filter(|&p| rough.to_face(p).y <= lowest + ONE_LEVEL)
            .min_by(|&p, &q| rough.to_face(p).x.total_cmp(&rough.to_face(q).x))
    };
    let eave_ends = half_edges(roof, face)
        .filter(|half| roof.edge(half.edge).kind == EdgeKind::Eave)
        .flat_map(|half| {
            let plan = roof.directed(half);
            [plan.a, plan.b]
        })
        .collect();
    let corners = || half_edges(roof, face).map(|half| roof.directed(half).a).collect();
    FaceFrame::new(plane, by_level_then_left(eave_ends).or_else(|| by_level_then_left(corners()))?)
}

/// What an edge is to one of its faces: a step is a wall to the lower face, and an eave, rake or high edge to the upper one.
pub(super) fn kind_for(roof: &Roof, face: FaceId, edge: EdgeId) -> EdgeKind {
    let kind = roof.edge(edge).kind;
    if kind != EdgeKind::Step {
        return kind;
    }
    let middle = roof.segment(edge).midpoint();
    let own = roof.face(face).plane;
    let higher =
        roof.across(edge, face).is_none_or(|other| own.height(middle) >= roof.face(other).plane.height(middle));
    if !higher {
        return EdgeKind::Sidewall;
    }
    let segment = roof.segment(edge);
    let left_is_inside = roof.edge(edge).left == Some(face);
    let (Some(along), Some(uphill)) = ((segment.b - segment.a).unit(), own.uphill_gradient().unit()) else {
        return EdgeKind::Unknown;
    };
    let inward = if left_is_inside { along.left() } else { -along.left() };
    // The same shares of the pitch as the roof stage reads its boundary kinds by.
    match (uphill.dot(along).abs(), uphill.dot(inward) > 0.0) {
        (share, true) if share <= 0.2 => EdgeKind::Eave,
        (share, false) if share <= 0.2 => EdgeKind::HighEdge,
        _ => EdgeKind::Rake,
    }
}

/// How far elements stay from an edge, square to it on the surface, and why.
fn setback_of(inputs: &Inputs, face: FaceId, edge: EdgeId) -> (f64, String) {
    let Inputs { roof, job, .. } = inputs;
    let heat = &job.heat;
    let wall = heat.wall_setback.max(heat.opening_flashing + BEYOND_METAL);
    let wall_words =
        format!("wall: {} in of flashing and {} in beyond it", decimal(heat.opening_flashing, 2), BEYOND_METAL);
    let at_wall = roof.edge(edge).abuts == Some(Abuts::Wall);
    let (setback, what) = match kind_for(roof, face, edge) {
        EdgeKind::Eave => (0.0, "starter line at the drip edge".into()),
        EdgeKind::Rake | EdgeKind::Skew | EdgeKind::FlatEdge | EdgeKind::Unknown => {
            (heat.outer_setback, "outer edge where runs end".into())
        }
        EdgeKind::Ridge => (heat.ridge_setback, "ridge: cap nails".into()),
        EdgeKind::HighEdge if at_wall => (wall, wall_words),
        EdgeKind::HighEdge => (heat.ridge_setback, "high edge".into()),
        EdgeKind::Hip => (heat.hip_setback, "hip: cap nails".into()),
        EdgeKind::Valley => {
            let nails = if heat.valley_nails_moved { 0.0 } else { inputs.valley_nails(edge, face) };
            let what = match inputs.valley_type(edge) {
                ValleyType::OpenMetal if nails > heat.valley_setback => {
                    "valley of open metal: half its lining and 1 in"
                }
                ValleyType::ClosedCut if nails > heat.valley_setback => "closed-cut valley, cut side: end nails",
                ValleyType::Woven if nails > heat.valley_setback => "woven valley: end nails",
                _ => "valley: lining and its nails",
            };
            (heat.valley_setback.max(nails), what.into())
        }
        EdgeKind::Sidewall | EdgeKind::Step => (wall, wall_words),
        EdgeKind::PitchBreak | EdgeKind::FlatBreak => {
            (0.5 * job.courses.end_gap, "fold: half the gap between the ends of two pieces".into())
        }
    };
    (setback, format!("{what}, {} in square to the edge on the slope", decimal(setback, 2)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::geometry::Point3;
    use crate::job::Job;
    use crate::roof::fixtures::{gable, hipped_l};
    use crate::units::DrawingUnit;
    use crate::zones::{Hints, reach};

    fn laid_out(roof: &Roof) -> Vec<FaceLayout> {
        let job = Job::with_defaults(&Catalogue::sample()).unwrap();
        let walls = reach::WallLines::new(&roof.walls);
        let inputs = Inputs { roof, job: &job, hints: Hints::new(), entries: Vec::new(), walls };
        let frame =
            SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
        layouts(&inputs, &frame, &mut Vec::new())
    }

    #[test]
    fn a_gable_face_is_a_rectangle_from_the_left_end_of_its_eave() {
        // 12 ft of run at 6:12 is 12 x 13.42 = 161 in of slope (framing square).
        for face in laid_out(&gable(480.0, 288.0, 0.5)) {
            let bounds = face.region.exterior.bounds().unwrap();
            assert!(bounds.min.distance(Point2::default()) < 1e-9);
            assert!((bounds.max.x - 480.0).abs() < 1e-9 && (bounds.max.y - 160.997).abs() < 1e-3);
            let setbacks: Vec<f64> = face.edges.iter().map(|e| e.setback).collect();
            assert_eq!(setbacks.iter().filter(|s| **s == 6.0).count(), 3, "{setbacks:?}");
        }
    }

    #[test]
    fn every_face_of_the_l_starts_at_its_own_eave() {
        let roof = hipped_l();
        for face in laid_out(&roof) {
            let eave = face.edges.iter().find(|e| e.kind == EdgeKind::Eave).unwrap();
            assert!(eave.a.distance(Point2::default()) < 1e-9, "{:?}", eave);
            assert!((face.region.area() - roof.region(face.face).area() * 1.25_f64.sqrt()).abs() < 1e-6);
        }
    }
}

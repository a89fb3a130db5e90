//! Shapes the trade meets, worked out in space, their heights taken away: what is certain must be right, and what is open must
//! list the truth.

use super::fixtures::plan_of;
use super::*;
use crate::catalog::Catalogue;
use crate::geometry::{Point3, trig};
use crate::index::{EdgeId, FaceId, NodeId, OriginId};
use crate::job::Job;
use crate::plan::PlacedNote;
use crate::units::DrawingUnit;

fn settings() -> RoofSettings {
    Job::with_defaults(&Catalogue::sample()).unwrap().roof
}

fn solve(plan: &PlanGraph) -> Roof {
    let frame = SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
    let roof = roof(plan, &frame, &settings()).unwrap().value;
    assert_eq!(check_invariants(&roof), Vec::<String>::new());
    roof
}

fn without_heights(mut plan: PlanGraph) -> PlanGraph {
    plan.faces.iter_mut().for_each(|f| f.plane = None);
    plan.roofs.iter_mut().for_each(|r| r.has_heights = false);
    plan
}

fn points(corners: &[(f64, f64, f64)]) -> Vec<Point3> {
    corners.iter().map(|&(x, y, z)| Point3::new(x, y, z)).collect()
}

/// Kinds with heights and without, edge by edge; returns the measured kinds in order.
fn comes_out(plan: &PlanGraph) -> Vec<EdgeKind> {
    let measured = solve(plan);
    let solved = solve(&without_heights(plan.clone()));
    for (edge, truth) in solved.edges.iter().zip(&measured.edges) {
        let listed = edge.basis == Basis::Ambiguous && edge.alternatives.contains(&truth.kind);
        assert!(
            edge.kind == truth.kind || listed,
            "{}: a {} came out as a {} ({:?}, or {:?})",
            edge.id,
            truth.kind.words(),
            edge.kind.words(),
            edge.basis,
            edge.alternatives
        );
    }
    measured.edges.iter().map(|e| e.kind).collect()
}

/// With these pitches noted on the faces (rise in 12, by face), every edge comes out right and none open, at those pitches.
fn comes_out_by_notes(plan: &PlanGraph, rises: &[f64]) {
    let measured = solve(plan);
    let mut noted = without_heights(plan.clone());
    for (face, rise) in rises.iter().enumerate() {
        let (pitch, text) = (rise / 12.0, format!("{rise}:12"));
        let at = crate::geometry::Point2::new(0.0, 0.0);
        noted.notes.push(PlacedNote { face: FaceId::new(face), pitch, text, at, origin: OriginId(0) });
    }
    let solved = solve(&noted);
    for (edge, truth) in solved.edges.iter().zip(&measured.edges) {
        assert_eq!((edge.kind, edge.basis), (truth.kind, Basis::Solved), "{}: or {:?}", edge.id, edge.alternatives);
    }
    for (face, rise) in solved.faces.iter().zip(rises) {
        assert!((face.pitch - rise / 12.0).abs() < 1e-3, "{}: {} for {rise}:12", face.id, face.pitch);
    }
    assert!(solved.questions.is_empty());
}

fn is_open(plan: &PlanGraph) -> bool {
    !solve(&without_heights(plan.clone())).questions.is_empty()
}

fn count(kinds: &[EdgeKind], kind: EdgeKind) -> usize {
    kinds.iter().filter(|k| **k == kind).count()
}

/// A gable wing at a square inner corner of a gabled house, by their rises in 12; its left valley runs from node 1 to node 11.
fn unequal_corner(main: f64, wing: f64) -> PlanGraph {
    let (half, ridge) = (72.0, 144.0 * main / 12.0);
    let top = half * wing / 12.0;
    let meets = top * 12.0 / main;
    let corners = points(&[
        (0.0, 0.0, 0.0),
        (200.0, 0.0, 0.0),
        (200.0, -150.0, 0.0),
        (272.0, -150.0, top),
        (344.0, -150.0, 0.0),
        (344.0, 0.0, 0.0),
        (600.0, 0.0, 0.0),
        (600.0, 144.0, ridge),
        (600.0, 288.0, 0.0),
        (0.0, 288.0, 0.0),
        (0.0, 144.0, ridge),
        (272.0, meets, top),
    ]);
    plan_of(&corners, &[&[0, 1, 11, 5, 6, 7, 10], &[1, 2, 3, 11], &[3, 4, 5, 11], &[10, 7, 8, 9]])
}

/// Unequal eaves at a square inner corner: plan angles of the valley from both eaves, and its pitch, in degrees. 10:12 and 13:12:
/// 52.431408, 37.568592, 33.44556. 8:12 and 14:12: 60.255119, 29.744881, 30.063493, and on a run of 18.5 ft at 8:12 a rise of 12.333333 ft,
/// a run of the valley of 21.30740 ft and its length of 24.61943 ft.
///
/// # Source
/// oocities.org/web_sketches, hip and valley side cuts at 90 degrees (10:12 and 13:12; the plan angles recomputed), and irregular roof
/// framing (8:12 and 14:12).
#[test]
fn an_unequal_valley_lies_off_45_degrees() {
    let degrees = |radians: f64| radians * 180.0 / std::f64::consts::PI;
    let cases =
        [(10.0, 13.0, 52.431_408, 37.568_592, 33.445_56, 5e-6), (8.0, 14.0, 60.255_119, 29.744_881, 30.063_493, 5e-7)];
    for (main, wing, from_main, from_wing, valley_pitch, digits) in cases {
        let plan = unequal_corner(main, wing);
        assert_eq!(count(&comes_out(&plan), EdgeKind::Valley), 2);

        let mut noted = without_heights(plan);
        let at = crate::geometry::Point2::new(0.0, 0.0);
        let (pitch, text) = (main / 12.0, format!("{main}:12"));
        noted.notes.push(PlacedNote { face: FaceId(0), pitch, text, at, origin: OriginId(0) });
        let roof = solve(&noted);
        let valley = roof.edges.iter().find(|e| e.ends == [NodeId(1), NodeId(11)]).expect("the valley").id;
        let run = roof.segment(valley);
        let from_main_eave = degrees(trig::atan2(run.b.y - run.a.y, run.b.x - run.a.x));
        assert!((from_main_eave - from_main).abs() < 5e-7, "{from_main_eave}");
        assert!((90.0 - from_main_eave - from_wing).abs() < 5e-7);
        let rise = roof.corner(FaceId(0), NodeId(11)).z - roof.corner(FaceId(0), NodeId(1)).z;
        let pitch = degrees(trig::atan2(rise, run.length()));
        assert!((pitch - valley_pitch).abs() < digits, "{pitch}");
        assert!((roof.faces[1].pitch - wing / 12.0).abs() < 1e-6, "{}", roof.faces[1].pitch);
        if main == 8.0 {
            let scale = 18.5 / (run.b.y - run.a.y);
            for (found, wanted) in
                [(rise, 12.333_333), (run.length(), 21.307_40), (roof.slope_length(valley), 24.619_43)]
            {
                assert!((found * scale - wanted).abs() < 5e-6, "{} for {wanted}", found * scale);
            }
        }
    }
}

#[test]
fn a_turret_of_twelve_sides_has_twelve_hips() {
    let sides = 12;
    let mut corners: Vec<Point3> = (0..sides)
        .map(|i| {
            let turn = std::f64::consts::TAU * i as f64 / sides as f64;
            Point3::new(90.0 * trig::cos(turn), 90.0 * trig::sin(turn), 0.0)
        })
        .collect();
    corners.push(Point3::new(0.0, 0.0, 120.0));
    let faces: Vec<[usize; 3]> = (0..sides).map(|i| [i, (i + 1) % sides, sides]).collect();
    let rings: Vec<&[usize]> = faces.iter().map(|f| f.as_slice()).collect();
    let kinds = comes_out(&plan_of(&corners, &rings));
    assert_eq!([EdgeKind::Eave, EdgeKind::Hip].map(|k| count(&kinds, k)), [12, 12]);
}

#[test]
fn a_gambrel_has_two_pitch_breaks() {
    let line = |y: f64, z: f64| [(0.0, y, z), (480.0, y, z)];
    let corners: Vec<(f64, f64, f64)> =
        [line(0.0, 0.0), line(60.0, 90.0), line(144.0, 123.6), line(228.0, 90.0), line(288.0, 0.0)].concat();
    let plan = plan_of(&points(&corners), &[&[0, 1, 3, 2], &[2, 3, 5, 4], &[4, 5, 7, 6], &[6, 7, 9, 8]]);
    let kinds = comes_out(&plan);
    assert_eq!([EdgeKind::PitchBreak, EdgeKind::Ridge, EdgeKind::Rake].map(|k| count(&kinds, k)), [2, 1, 8]);
    // Without notes it may as well be a roof in the shape of an M, the two middle slopes falling to a valley.
    assert!(is_open(&plan));
    comes_out_by_notes(&plan, &[18.0, 4.8, 4.8, 18.0]);
}

#[test]
fn a_mansard_has_pitch_breaks_all_round() {
    let corners = points(&[
        (0.0, 0.0, 0.0),
        (480.0, 0.0, 0.0),
        (480.0, 288.0, 0.0),
        (0.0, 288.0, 0.0),
        (60.0, 60.0, 120.0),
        (420.0, 60.0, 120.0),
        (420.0, 228.0, 120.0),
        (60.0, 228.0, 120.0),
        (144.0, 144.0, 153.6),
        (336.0, 144.0, 153.6),
    ]);
    let plan = plan_of(
        &corners,
        &[
            &[0, 1, 5, 4],
            &[1, 2, 6, 5],
            &[2, 3, 7, 6],
            &[3, 0, 4, 7],
            &[4, 5, 9, 8],
            &[5, 6, 9],
            &[6, 7, 8, 9],
            &[7, 4, 8],
        ],
    );
    assert_eq!(count(&comes_out(&plan), EdgeKind::PitchBreak), 4);
    assert!(is_open(&plan));
    comes_out_by_notes(&plan, &[24.0, 24.0, 24.0, 24.0, 4.8, 4.8, 4.8, 4.8]);
}

#[test]
fn a_courtyard_has_eaves_inside_and_valleys_at_its_corners() {
    let ring = |inset: f64, z: f64| {
        let far = 600.0 - inset;
        [(inset, inset, z), (far, inset, z), (far, far, z), (inset, far, z)]
    };
    let corners = points(&[ring(0.0, 0.0), ring(90.0, 45.0), ring(180.0, 0.0)].concat());
    let faces: Vec<[usize; 4]> = (0..8)
        .map(|i| {
            let (base, side, next) = (4 * (i / 4), i % 4, (i + 1) % 4);
            [base + side, base + next, base + 4 + next, base + 4 + side]
        })
        .collect();
    let rings: Vec<&[usize]> = faces.iter().map(|f| f.as_slice()).collect();
    let kinds = comes_out(&plan_of(&corners, &rings));
    let counts = [EdgeKind::Eave, EdgeKind::Ridge, EdgeKind::Hip, EdgeKind::Valley].map(|k| count(&kinds, k));
    assert_eq!(counts, [8, 4, 4, 4]);
}

#[test]
fn a_bevelled_corner_has_a_face_of_its_own() {
    // Where the bevel's two hips meet: as far from the front as from the bevel, 60 / (2 - sqrt 2).
    let off = 60.0 / (2.0 - 2.0_f64.sqrt());
    let corners = points(&[
        (0.0, 0.0, 0.0),
        (420.0, 0.0, 0.0),
        (480.0, 60.0, 0.0),
        (480.0, 288.0, 0.0),
        (0.0, 288.0, 0.0),
        (144.0, 144.0, 72.0),
        (336.0, 144.0, 72.0),
        (480.0 - off, off, off / 2.0),
    ]);
    let plan = plan_of(&corners, &[&[0, 1, 7, 6, 5], &[1, 2, 7], &[2, 3, 6, 7], &[3, 4, 5, 6], &[4, 0, 5]]);
    assert_eq!([EdgeKind::Eave, EdgeKind::Hip].map(|k| count(&comes_out(&plan), k)), [5, 6]);
}

#[test]
fn an_octagonal_bay_has_two_valleys() {
    let root = 2.0_f64.sqrt();
    let apex = (40.0 / root - 20.0) / (1.0 - 1.0 / root);
    let top = 40.0 / (root - 1.0);
    let corners = points(&[
        (0.0, 0.0, 0.0),
        (150.0, 0.0, 0.0),
        (170.0, -20.0, 0.0),
        (210.0, -20.0, 0.0),
        (230.0, 0.0, 0.0),
        (480.0, 0.0, 0.0),
        (480.0, 288.0, 0.0),
        (0.0, 288.0, 0.0),
        (144.0, 144.0, 72.0),
        (336.0, 144.0, 72.0),
        (190.0, apex, (apex + 20.0) / 2.0),
        (190.0, top, top / 2.0),
    ]);
    let plan = plan_of(
        &corners,
        &[
            &[0, 1, 11, 4, 5, 9, 8],
            &[1, 2, 10, 11],
            &[2, 3, 10],
            &[3, 4, 11, 10],
            &[5, 6, 9],
            &[6, 7, 8, 9],
            &[7, 0, 8],
        ],
    );
    let kinds = comes_out(&plan);
    assert_eq!([EdgeKind::Eave, EdgeKind::Valley].map(|k| count(&kinds, k)), [8, 2]);
}

#[test]
fn a_wall_dormer_has_two_valleys() {
    // A gable dormer flush with the wall below, its eaves at the height of the main eave.
    let corners = points(&[
        (0.0, 0.0, 0.0),
        (180.0, 0.0, 0.0),
        (240.0, 0.0, 30.0),
        (300.0, 0.0, 0.0),
        (480.0, 0.0, 0.0),
        (480.0, 144.0, 72.0),
        (480.0, 288.0, 0.0),
        (0.0, 288.0, 0.0),
        (0.0, 144.0, 72.0),
        (240.0, 60.0, 30.0),
    ]);
    let plan = plan_of(&corners, &[&[0, 1, 9, 3, 4, 5, 8], &[1, 2, 9], &[2, 3, 9], &[8, 5, 6, 7]]);
    assert_eq!(count(&comes_out(&plan), EdgeKind::Valley), 2);
    let solved = solve(&without_heights(plan));
    assert!(solved.edges.iter().all(|e| e.basis == Basis::Solved), "{:?}", solved.edges);
}

/// A house beside a lower one with its ridge the other way: the wall between them is drawn in two lines, as the lower ridge ends on it, and
/// one answer has it whole.
#[test]
fn a_wall_between_two_houses_is_asked_about_as_a_whole() {
    let corners = points(
        &[
            (0.0, 0.0),
            (200.0, 0.0),
            (340.0, 0.0),
            (480.0, 0.0),
            (480.0, 288.0),
            (340.0, 288.0),
            (200.0, 288.0),
            (0.0, 288.0),
            (0.0, 144.0),
            (200.0, 144.0),
        ]
        .map(|(x, y)| (x, y, 0.0)),
    );
    let mut plan = plan_of(&corners, &[&[0, 1, 9, 8], &[8, 9, 6, 7], &[1, 2, 5, 6, 9], &[2, 3, 4, 5]]);
    let planes = [(0.0, 0.5, 0.0), (0.0, -0.5, 144.0), (0.5, 0.0, 0.0), (-0.5, 0.0, 340.0)];
    for (face, (a, b, c)) in plan.faces.iter_mut().zip(planes) {
        face.plane = Some(Plane { a, b, c });
    }
    let kinds = comes_out(&plan);
    assert_eq!([EdgeKind::Step, EdgeKind::Eave, EdgeKind::Ridge].map(|k| count(&kinds, k)), [2, 3, 2]);
    let solved = solve(&without_heights(plan));
    let mut options = solved.questions.iter().flat_map(|q| &q.options);
    let walled = options.any(|o| o.lifting.kinds.iter().filter(|(_, kind)| *kind == EdgeKind::Step).count() == 2);
    assert!(walled, "no answer has the wall whole");
}

/// A gable dormer of 6:12 in the middle of a 6:12 slope, without cheeks. Its front, 120 in wide, stands 40 in up from the eave, where the
/// slope is at 20 in; its peak is 30 in above that, which the slope reaches 100 in from the eave: so far the dormer's ridge runs in, and two
/// valleys lead there at 45 degrees from the corners of its front. There the slope is at 20 in and the peak at 50 in: a step of 30 in that
/// comes to nothing at both corners.
#[test]
fn a_dormer_inside_a_slope_has_two_valleys_and_a_wall_in_front() {
    let corners = points(&[
        (0.0, 0.0, 0.0),
        (480.0, 0.0, 0.0),
        (480.0, 144.0, 72.0),
        (480.0, 288.0, 0.0),
        (0.0, 288.0, 0.0),
        (0.0, 144.0, 72.0),
        (180.0, 40.0, 20.0),
        (240.0, 40.0, 50.0),
        (300.0, 40.0, 20.0),
        (240.0, 100.0, 50.0),
    ]);
    let mut plan = plan_of(&corners, &[&[0, 1, 2, 5], &[5, 2, 3, 4], &[6, 7, 9], &[7, 8, 9]]);
    let front = [[6, 7], [7, 8], [8, 9], [6, 9]];
    let edge = |ends: [u32; 2]| {
        let wanted = [NodeId(ends[0]), NodeId(ends[1])];
        plan.edges
            .iter()
            .position(|e| e.ends == wanted || e.ends == [wanted[1], wanted[0]])
            .expect("an edge of the dormer")
    };
    let around: Vec<usize> = front.into_iter().map(edge).collect();
    // The slope lies around the dormer.
    let mut hole = Vec::new();
    for (&at, from) in around.iter().zip([6, 7, 8, 9]).rev() {
        let forward = plan.edges[at].ends[0] != NodeId(from);
        let side = &mut plan.edges[at];
        *(if forward { &mut side.left } else { &mut side.right }) = Some(FaceId(0));
        hole.push(crate::plan::HalfEdge { edge: EdgeId::new(at), forward });
    }
    plan.faces[0].holes.push(hole);
    plan.roofs[0].faces = (0..4).map(FaceId).collect();
    let kinds = comes_out(&plan);
    let counts = [EdgeKind::Valley, EdgeKind::Step, EdgeKind::Ridge].map(|k| count(&kinds, k));
    assert_eq!(counts, [2, 2, 2]);
    let measured = solve(&plan);
    for at in [around[0], around[1]] {
        assert!((measured.edges[at].gap - 30.0).abs() < 1e-9, "{}", measured.edges[at].gap);
    }
}

#[test]
fn a_porch_roof_against_a_wall_is_not_taken_for_a_fold_in_silence() {
    let corners = points(&[
        (0.0, 0.0, 0.0),
        (480.0, 0.0, 0.0),
        (480.0, 144.0, 72.0),
        (0.0, 144.0, 72.0),
        (480.0, 288.0, 0.0),
        (0.0, 288.0, 0.0),
        (480.0, -96.0, -32.0),
        (0.0, -96.0, -32.0),
    ]);
    let mut plan = plan_of(&corners, &[&[0, 1, 2, 3], &[3, 2, 4, 5], &[7, 6, 1, 0]]);
    if let Some(plane) = &mut plan.faces[2].plane {
        plane.c -= 40.0;
    }
    let kinds = comes_out(&plan);
    assert_eq!(count(&kinds, EdgeKind::Step), 1);
}

/// The truth among the kinds that are offered for an edge between two corners.
fn offered(roof: &Roof, ends: [u32; 2], truth: EdgeKind) -> bool {
    let wanted = [NodeId(ends[0]), NodeId(ends[1])];
    let found = roof.edges.iter().find(|e| e.ends == wanted || e.ends == [wanted[1], wanted[0]]);
    let edge = found.expect("an edge between these corners");
    edge.kind == truth || (edge.basis == Basis::Ambiguous && edge.alternatives.contains(&truth))
}

/// A gable house with flat roofs behind it and along one gable, all at heights of their own. The walls around it turn at its corner, so that
/// no straight line from outline to outline parts it, and a lifting without walls leaves its ridge as a break.
#[test]
fn a_house_in_the_corner_of_flat_roofs_has_its_ridge_on_offer() {
    let corners = points(
        &[
            (0.0, 0.0),
            (240.0, 0.0),
            (240.0, 72.0),
            (240.0, 144.0),
            (0.0, 144.0),
            (0.0, 72.0),
            (-110.0, 180.0),
            (-130.0, 20.0),
            (-60.0, 230.0),
            (10.0, 420.0),
            (330.0, 400.0),
            (-10.0, 200.0),
        ]
        .map(|(x, y)| (x, y, 0.0)),
    );
    let faces: [&[usize]; 6] =
        [&[0, 1, 2, 5], &[5, 2, 3, 4], &[7, 0, 5, 4, 6], &[6, 4, 11, 8], &[8, 11, 9], &[11, 4, 3, 10, 9]];
    let solved = solve(&without_heights(plan_of(&corners, &faces)));
    let house =
        [([2, 5], EdgeKind::Ridge), ([0, 1], EdgeKind::Eave), ([1, 2], EdgeKind::Rake), ([2, 3], EdgeKind::Rake)];
    for (ends, truth) in house.into_iter().chain([[0, 5], [4, 5], [3, 4]].map(|ends| (ends, EdgeKind::Step))) {
        assert!(offered(&solved, ends, truth), "{ends:?} {truth:?}");
    }
}

/// A gable house, a flat roof along one gable and a strip 4 in wide along one eave, which falls inward from its outer side: a parapet's.
#[test]
fn a_narrow_strip_along_an_eave_may_fall_any_way() {
    let corners = points(
        &[
            (0.0, 0.0),
            (480.0, -4.0),
            (480.0, 0.0),
            (480.0, 120.0),
            (480.0, 240.0),
            (0.0, 240.0),
            (0.0, 120.0),
            (520.0, -4.0),
            (520.0, 240.0),
        ]
        .map(|(x, y)| (x, y, 0.0)),
    );
    let plan = plan_of(&corners, &[&[0, 1, 2], &[0, 2, 3, 6], &[6, 3, 4, 5], &[1, 7, 8, 4, 3, 2]]);
    let solved = solve(&without_heights(plan));
    let steps = [[0, 2], [1, 2], [2, 3], [3, 4]].map(|ends| (ends, EdgeKind::Step));
    let house =
        [([3, 6], EdgeKind::Ridge), ([0, 6], EdgeKind::Rake), ([5, 6], EdgeKind::Rake), ([4, 5], EdgeKind::Eave)];
    for (ends, truth) in steps.into_iter().chain(house).chain([([0, 1], EdgeKind::HighEdge)]) {
        assert!(offered(&solved, ends, truth), "{ends:?} {truth:?}");
    }
}

/// A flat roof 16 ft deep and a higher one of 7 ft along the same wall: in plan a gable house with its ridge out of the middle. Nothing but
/// that tells it from one.
#[test]
fn a_ridge_far_out_of_the_middle_may_be_a_wall() {
    let two = |depth: f64| {
        let outline = [(0.0, 0.0), (360.0, 0.0), (360.0, 192.0), (360.0, depth), (0.0, depth), (0.0, 192.0)];
        let corners = points(&outline.map(|(x, y)| (x, y, 0.0)));
        solve(&without_heights(plan_of(&corners, &[&[0, 1, 2, 5], &[5, 2, 3, 4]])))
    };
    let uneven = two(276.0);
    assert!(offered(&uneven, [2, 5], EdgeKind::Step));
    assert!(offered(&uneven, [2, 5], EdgeKind::Ridge));
    for (ends, truth) in [([0, 1], EdgeKind::HighEdge), ([0, 5], EdgeKind::Eave), ([2, 3], EdgeKind::HighEdge)] {
        assert!(offered(&uneven, ends, truth), "{ends:?} {truth:?}");
    }
    let even = two(312.0);
    assert!(even.edges.iter().all(|edge| edge.basis == Basis::Solved), "{:?}", even.edges);
}

/// A slope narrower at its far end, and a lower flat roof along the wall at its side. A lifting without walls makes a ridge of the wall and an
/// eave of the short far end; that the line may be a wall leaves open which way the slope falls.
#[test]
fn a_slope_beside_a_line_that_may_be_a_wall_may_fall_any_way() {
    let outline = [(0.0, 330.0), (4.0, 140.0), (180.0, 160.0), (70.0, 330.0), (2.0, -60.0), (240.0, -20.0)];
    let plan = plan_of(&points(&outline.map(|(x, y)| (x, y, 0.0))), &[&[0, 1, 2, 3], &[1, 4, 5, 2]]);
    let solved = solve(&without_heights(plan));
    let truth =
        [([1, 2], EdgeKind::Step), ([0, 1], EdgeKind::Eave), ([2, 3], EdgeKind::HighEdge), ([0, 3], EdgeKind::Rake)];
    for (ends, truth) in truth {
        assert!(offered(&solved, ends, truth), "{ends:?} {truth:?}");
    }
}

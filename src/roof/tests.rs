//! The whole stage on roofs worked by hand.

use super::*;
use crate::catalog::Catalogue;
use crate::finding::Severity;
use crate::geometry::{Point2, Point3, Segment2, Vector2, trig};
use crate::index::{EdgeId, FaceId, NodeId, OriginId};
use crate::job::{EdgeHint, FaceHint, Job, Target};
use crate::plan::{PlacedArrow, PlacedNote};
use crate::units::DrawingUnit;
use fixtures::plan_of;

fn frame() -> SourceFrame {
    SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) }
}

fn settings() -> RoofSettings {
    Job::with_defaults(&Catalogue::sample()).unwrap().roof
}

/// The fixture's plan with its heights taken away.
fn without_heights(mut plan: PlanGraph) -> PlanGraph {
    for face in &mut plan.faces {
        face.plane = None;
    }
    for unit in &mut plan.roofs {
        unit.has_heights = false;
        unit.outline_only = unit.faces.len() == 1;
    }
    plan
}

fn note(face: usize, pitch: f64) -> PlacedNote {
    PlacedNote {
        face: FaceId::new(face),
        pitch,
        text: crate::units::pitch_in_12(pitch),
        at: Point2::new(0.0, 0.0),
        origin: OriginId(0),
    }
}

fn solve(plan: &PlanGraph, settings: &RoofSettings) -> Outcome<Roof> {
    let outcome = roof(plan, &frame(), settings).unwrap();
    assert_eq!(check_invariants(&outcome.value), Vec::<String>::new());
    outcome
}

fn kind_between(roof: &Roof, a: usize, b: usize) -> &RoofEdge {
    let ends = [NodeId::new(a.min(b)), NodeId::new(a.max(b))];
    roof.edges.iter().find(|e| e.ends == ends).expect("edge")
}

fn codes(outcome: &Outcome<Roof>) -> Vec<&'static str> {
    outcome.findings.iter().map(|f| f.code).collect()
}

fn gable_plan() -> PlanGraph {
    plan_of(
        &[
            (0.0, 0.0, 0.0),
            (480.0, 0.0, 0.0),
            (0.0, 144.0, 72.0),
            (480.0, 144.0, 72.0),
            (0.0, 288.0, 0.0),
            (480.0, 288.0, 0.0),
        ]
        .map(|(x, y, z)| Point3::new(x, y, z)),
        &[&[0, 1, 3, 2], &[2, 3, 5, 4]],
    )
}

/// A hip roof over `length` by `width` whose long sides have pitch `side` and short ends pitch `end`.
fn hip_plan(length: f64, width: f64, side: f64, end: f64) -> PlanGraph {
    let rise = side * width / 2.0;
    let run = rise / end;
    plan_of(
        &[
            Point3::new(0.0, 0.0, 0.0),
            Point3::new(length, 0.0, 0.0),
            Point3::new(length, width, 0.0),
            Point3::new(0.0, width, 0.0),
            Point3::new(run, width / 2.0, rise),
            Point3::new(length - run, width / 2.0, rise),
        ],
        &[&[0, 1, 5, 4], &[1, 2, 5], &[2, 3, 4, 5], &[3, 0, 4]],
    )
}

#[test]
fn a_gable_without_heights_is_solved_at_the_default_pitch() {
    let outcome = solve(&without_heights(gable_plan()), &settings());
    let roof = &outcome.value;
    assert!(roof.edges.iter().all(|e| e.basis == Basis::Solved), "{:?}", roof.edges);
    assert_eq!(kind_between(roof, 0, 1).kind, EdgeKind::Eave);
    assert_eq!(kind_between(roof, 2, 3).kind, EdgeKind::Ridge);
    assert_eq!(kind_between(roof, 0, 2).kind, EdgeKind::Rake);
    assert_eq!(codes(&outcome), ["assumed-pitch"]);
    assert_eq!(outcome.findings[0].severity, Severity::Assumed);
    assert!((roof.faces[0].pitch - 0.5).abs() < 1e-6 && roof.faces[0].pitch_basis == Basis::Assumed);
    assert!(roof.corner(FaceId(0), NodeId(0)).z.abs() < 1e-3, "the eave stands at 0");
    assert!((roof.corner(FaceId(0), NodeId(2)).z - 72.0).abs() < 1e-3, "half of 288 at 6:12 is 72");
}

#[test]
fn the_same_gable_with_heights_is_measured() {
    let outcome = solve(&gable_plan(), &settings());
    assert!(outcome.findings.is_empty(), "{:?}", outcome.findings);
    assert!(outcome.value.edges.iter().all(|e| e.basis == Basis::Measured && e.margin == f64::INFINITY));
}

#[test]
fn a_hipped_l_without_heights_has_its_valley() {
    let measured = fixtures::hipped_l();
    let corners: Vec<Point3> = (0..10)
        .map(|n| {
            let node = NodeId::new(n);
            let edge = measured.edges.iter().find(|e| e.ends.contains(&node)).unwrap();
            measured.corner(edge.left.or(edge.right).unwrap(), node)
        })
        .collect();
    let plan =
        plan_of(&corners, &[&[0, 1, 6], &[1, 2, 8, 7, 6], &[2, 3, 9, 8], &[3, 4, 9], &[4, 5, 7, 8, 9], &[5, 0, 6, 7]]);
    let roof = solve(&without_heights(plan), &settings()).value;
    for (solved, measured) in roof.edges.iter().zip(&measured.edges) {
        assert_eq!((solved.kind, solved.basis), (measured.kind, Basis::Solved), "{}", solved.id);
    }
    for (solved, measured) in roof.faces.iter().zip(&measured.faces) {
        assert!((solved.pitch - measured.pitch).abs() < 1e-6, "{}: {}", solved.id, solved.pitch);
    }
}

/// A half-hip: the gable's peak cut off by a small hip end over a rake on each side.
#[test]
fn a_half_hip_has_a_level_edge_between_two_rakes() {
    let plan = plan_of(
        &[
            Point3::new(0.0, 0.0, 0.0),
            Point3::new(480.0, 0.0, 0.0),
            Point3::new(480.0, 96.0, 96.0),
            Point3::new(480.0, 192.0, 96.0),
            Point3::new(480.0, 288.0, 0.0),
            Point3::new(0.0, 288.0, 0.0),
            Point3::new(0.0, 144.0, 144.0),
            Point3::new(432.0, 144.0, 144.0),
        ],
        &[&[0, 1, 2, 7, 6], &[2, 3, 7], &[3, 4, 5, 6, 7]],
    );
    let roof = solve(&without_heights(plan), &settings()).value;
    let sure = |a, b, kind| {
        let edge = kind_between(&roof, a, b);
        assert!(edge.kind == kind || edge.alternatives.contains(&kind), "{:?} for {kind:?}", edge);
    };
    sure(2, 3, EdgeKind::Eave);
    sure(1, 2, EdgeKind::Rake);
    sure(3, 4, EdgeKind::Rake);
    sure(0, 1, EdgeKind::Eave);
    sure(6, 7, EdgeKind::Ridge);
    sure(2, 7, EdgeKind::Hip);
}

fn single_face() -> PlanGraph {
    without_heights(plan_of(
        &[
            Point3::new(0.0, 0.0, 0.0),
            Point3::new(240.0, 0.0, 0.0),
            Point3::new(240.0, 120.0, 40.0),
            Point3::new(0.0, 120.0, 40.0),
        ],
        &[&[0, 1, 2, 3]],
    ))
}

#[test]
fn an_outline_alone_is_asked_about_until_the_job_says_something() {
    let outcome = solve(&single_face(), &settings());
    assert_eq!(outcome.findings.iter().filter(|f| f.code == "outline-only").count(), 1);
    assert!(outcome.value.edges.iter().all(|e| e.basis == Basis::Ambiguous && !e.alternatives.is_empty()));
}

#[test]
fn an_outline_with_a_pitch_is_roofed_over_and_says_so() {
    let mut settings = settings();
    settings.default_pitch = crate::job::Setting::given(0.5);
    let outcome = solve(&single_face(), &settings);
    assert_eq!(outcome.findings.iter().filter(|f| f.code == "outline-roofed").count(), 1);
    assert_eq!(outcome.findings[0].severity, Severity::Assumed);
    assert_eq!(outcome.value.faces.len(), 4);
    assert!(outcome.value.edges.iter().all(|e| e.basis == Basis::Assumed));
    assert!(outcome.value.questions.is_empty());
}

#[test]
fn an_outline_of_gables_alone_stops_the_layout() {
    let mut settings = settings();
    settings.edges = (1..=4).map(|i| edge_hint(Target::Tag(format!("E{i}")), EdgeKind::Rake)).collect();
    let outcome = solve(&single_face(), &settings);
    let blocking: Vec<_> = outcome.findings.iter().filter(|f| f.severity == Severity::Blocking).collect();
    assert_eq!(blocking.len(), 1, "{:?}", outcome.findings);
    assert_eq!(blocking[0].code, "outline-only");
    assert!(outcome.value.faces.len() == 1);
}

#[test]
fn an_arrow_settles_a_single_sloping_face() {
    let mut plan = single_face();
    // Drawn by eye, 6 degrees off the eave's normal.
    let downhill = Vector2::new(trig::sin(0.1), -trig::cos(0.1));
    plan.arrows.push(PlacedArrow { face: FaceId(0), downhill, origin: OriginId(0) });
    let roof = solve(&plan, &settings()).value;
    assert_eq!(kind_between(&roof, 0, 1).kind, EdgeKind::Eave);
    assert_eq!(kind_between(&roof, 2, 3).kind, EdgeKind::HighEdge);
    assert_eq!(kind_between(&roof, 2, 3).abuts, Some(Abuts::Unknown));
    assert_eq!(kind_between(&roof, 1, 2).kind, EdgeKind::Rake);
    assert!(roof.edges.iter().all(|e| e.basis != Basis::Ambiguous), "{:#?}", roof.edges);
}

#[test]
fn the_job_settles_a_single_sloping_face() {
    let plan = single_face();
    let mut settings = settings();
    let uphill = plan.edges.iter().position(|e| e.ends == [NodeId(2), NodeId(3)]).unwrap();
    settings.faces.push(FaceHint {
        target: Target::Near(Point2::new(100.0, 50.0)),
        pitch: Some(0.25),
        falls_to: Some(Target::Tag(EdgeId::new(uphill).to_string())),
        under: None,
        line: 7,
    });
    let outcome = solve(&plan, &settings);
    assert!(outcome.findings.is_empty(), "{:?}", outcome.findings);
    assert_eq!(kind_between(&outcome.value, 2, 3).kind, EdgeKind::Eave);
    assert_eq!(kind_between(&outcome.value, 0, 1).kind, EdgeKind::HighEdge);
    assert!((outcome.value.faces[0].pitch - 0.25).abs() < 1e-9);
    assert_eq!(outcome.value.faces[0].pitch_basis, Basis::Set);
}

#[test]
fn a_wall_drawn_along_a_high_edge_is_what_it_abuts() {
    let mut plan = single_face();
    plan.arrows.push(PlacedArrow { face: FaceId(0), downhill: Vector2::new(0.0, -1.0), origin: OriginId(0) });
    plan.walls.push(Segment2::new(Point2::new(-20.0, 121.0), Point2::new(300.0, 121.0)));
    let roof = solve(&plan, &settings()).value;
    assert_eq!(kind_between(&roof, 2, 3).abuts, Some(Abuts::Wall));
}

fn edge_hint(target: Target, kind: EdgeKind) -> EdgeHint {
    EdgeHint { kind: Some(kind), ..EdgeHint::of(target, 12) }
}

#[test]
fn a_hint_that_names_nothing_is_an_error_with_the_nearest() {
    let plan = without_heights(gable_plan());
    let mut settings = settings();
    settings.edges.push(edge_hint(Target::Tag("E99".into()), EdgeKind::Eave));
    let error = roof(&plan, &frame(), &settings).unwrap_err();
    assert_eq!((error.code, error.place.line), ("hint-target", Some(12)));
    assert!(error.hint.unwrap().contains("E1 to E7"));

    settings.edges[0] = edge_hint(Target::Near(Point2::new(240.0, -60.0)), EdgeKind::Eave);
    let error = roof(&plan, &frame(), &settings).unwrap_err();
    assert!(error.hint.unwrap().contains("E1 (60 in off)"), "the lower eave is nearest");

    settings.edges[0] = edge_hint(Target::Tag("E1".into()), EdgeKind::Ridge);
    assert_eq!(roof(&plan, &frame(), &settings).unwrap_err().code, "hint-target", "an outline edge is no ridge");
}

#[test]
fn a_hint_near_a_point_uses_drawing_coordinates() {
    let plan = without_heights(gable_plan());
    let metres = SourceFrame {
        units: DrawingUnit::Metres,
        inches_per_unit: 1000.0 / 25.4,
        origin: Point3::new(500.0, 700.0, 0.0),
    };
    let mut settings = settings();
    settings.edges.push(edge_hint(Target::Near(Point2::new(506.0, 700.1)), EdgeKind::Eave));
    let outcome = roof(&plan, &metres, &settings).unwrap();
    assert_eq!(kind_between(&outcome.value, 0, 1).basis, Basis::Set);
}

#[test]
fn a_hint_against_heights_is_reported_with_both() {
    let mut settings = settings();
    settings.edges.push(edge_hint(Target::Tag("E1".into()), EdgeKind::Rake));
    let outcome = solve(&gable_plan(), &settings);
    assert_eq!(codes(&outcome), ["hint-contradiction"]);
    let message = &outcome.findings[0].message;
    assert!(message.contains("rake") && message.contains("eave") && message.contains("heights"), "{message}");
}

#[test]
fn contradictory_pitch_notes_are_reported_with_both_values() {
    let mut plan = without_heights(hip_plan(480.0, 288.0, 0.5, 0.5));
    plan.notes = vec![note(0, 0.5), note(0, 2.0 / 3.0)];
    let outcome = solve(&plan, &settings());
    assert_eq!(codes(&outcome), ["contradictory-pitch"]);
    let message = &outcome.findings[0].message;
    assert!(message.contains("6:12") && message.contains("8:12"), "{message}");
}

#[test]
fn a_drawing_that_cannot_be_flat_says_by_how_much() {
    let mut plan = without_heights(hip_plan(480.0, 288.0, 0.5, 0.5));
    // One end of the ridge pulled 2 ft sideways: hips and eaves no longer agree.
    plan.nodes[5].y += 24.0;
    let outcome = roof(&plan, &frame(), &settings()).unwrap();
    assert!(codes(&outcome).iter().any(|c| ["non-planar", "ambiguous-edge"].contains(c)), "{:?}", outcome.findings);
}

/// Unequal pitch: 8:12 and 14:12 at a square corner. Plan angles of the hip 60.255119 and 29.744881 degrees, hip pitch
/// 30.063493 degrees, hip run 21.30740 ft and length 24.61943 ft for an 8:12 run of 18.5 ft.
///
/// # Source
/// geocities.ws/web_sketches/framing_math, irregular_roof.html, recomputed independently.
#[test]
fn an_unequal_hip_comes_out_as_the_framing_tables_have_it() {
    let rise = 18.5 * 12.0 * 8.0 / 12.0;
    let mut plan = without_heights(hip_plan(900.0, 444.0, 8.0 / 12.0, 14.0 / 12.0));
    plan.notes = vec![note(0, 8.0 / 12.0), note(1, 14.0 / 12.0)];
    let outcome = solve(&plan, &settings());
    assert!(outcome.findings.is_empty(), "{:?}", outcome.findings);
    let roof = outcome.value;
    let hip = kind_between(&roof, 0, 4);
    assert_eq!(hip.kind, EdgeKind::Hip);
    let run = roof.segment(hip.id).length();
    let degrees = |radians: f64| radians * 180.0 / std::f64::consts::PI;
    let top = roof.corner(FaceId(0), NodeId(4)).z;
    assert!((top - rise).abs() < 1e-3, "{top}");
    assert!((degrees(trig::atan2(top, run)) - 30.063_493).abs() < 1e-5);
    let plan_run = roof.segment(hip.id);
    let angle = trig::atan2((plan_run.b.y - plan_run.a.y).abs(), (plan_run.b.x - plan_run.a.x).abs());
    assert!((degrees(angle) - 60.255_119).abs() < 1e-5, "from the 8:12 eave: {}", degrees(angle));
    assert!((run / 12.0 - 21.307_40).abs() < 1e-4);
    assert!((roof.slope_length(hip.id) / 12.0 - 24.619_43).abs() < 1e-4);
    assert!((roof.faces[1].pitch - 14.0 / 12.0).abs() < 1e-6);
}

/// Hip length per foot of common run, and slope length of the common: sqrt(288 + r^2) and sqrt(144 + r^2).
///
/// # Source
/// Framing-square table; 18.76 (8 in) seen in NAVEDTRA 14044, 17.69 (5 in hip) and the rest computed.
#[test]
fn hips_and_commons_have_the_lengths_of_the_framing_square() {
    for (rise, common, hip) in [
        (2.0, 12.17, 17.09),
        (4.0, 12.65, 17.44),
        (5.0, 13.00, 17.69),
        (6.0, 13.42, 18.00),
        (7.0, 13.89, 18.36),
        (8.0, 14.42, 18.76),
        (10.0, 15.62, 19.70),
        (12.0, 16.97, 20.78),
        (16.0, 20.00, 23.32),
        (18.0, 21.63, 24.74),
    ] {
        let mut plan = without_heights(hip_plan(600.0, 288.0, 0.5, 0.5));
        plan.notes = vec![note(0, rise / 12.0)];
        let roof = solve(&plan, &settings()).value;
        let hip_edge = kind_between(&roof, 0, 4).id;
        let per_foot = roof.slope_length(hip_edge) / 12.0;
        assert!((per_foot - hip).abs() < 0.01, "{rise} in 12: hip {per_foot}, table {hip}");
        let slope = roof.faces[0].plane.slope_factor() * 12.0;
        assert!((slope - common).abs() < 0.01, "{rise} in 12: common {slope}, table {common}");
    }
}

/// A hip over a 15 ft common run at 8:12 rises 10 ft over 21.21 ft and is 23.45 ft long.
///
/// # Source
/// NAVEDTRA 14044 (Builder 3 & 2, volume 2), "Hip - Continued".
#[test]
fn the_navy_manuals_hip() {
    let mut plan = without_heights(hip_plan(720.0, 360.0, 0.5, 0.5));
    plan.notes = vec![note(2, 8.0 / 12.0)];
    let roof = solve(&plan, &settings()).value;
    let hip = kind_between(&roof, 0, 4).id;
    assert!((roof.segment(hip).length() / 12.0 - 21.21).abs() < 0.005);
    assert!((roof.corner(FaceId(0), NodeId(4)).z / 12.0 - 10.0).abs() < 1e-4);
    assert!((roof.slope_length(hip) / 12.0 - 23.45).abs() < 0.005);
}

/// A 16 ft span at 7 in 12: the rafter is 9 ft 3 1/8 in.
///
/// # Source
/// NAVEDTRA 14044 (Builder 3 & 2, volume 2), page of figure 2-17.
#[test]
fn the_navy_manuals_rafter() {
    let mut plan = without_heights(plan_of(
        &[
            (0.0, 0.0, 0.0),
            (480.0, 0.0, 0.0),
            (0.0, 96.0, 56.0),
            (480.0, 96.0, 56.0),
            (0.0, 192.0, 0.0),
            (480.0, 192.0, 0.0),
        ]
        .map(|(x, y, z)| Point3::new(x, y, z)),
        &[&[0, 1, 3, 2], &[2, 3, 5, 4]],
    ));
    plan.notes = vec![note(1, 7.0 / 12.0)];
    let roof = solve(&plan, &settings()).value;
    let rake = kind_between(&roof, 0, 2).id;
    assert_eq!(crate::units::feet_inches(roof.slope_length(rake)), "9'-3 1/8\"");
}

#[test]
fn a_measured_step_parts_the_roof() {
    // A porch roof 40 in below the eave line of the wall it leans on.
    let roof = fixtures::roof_of(
        &[
            Point3::new(0.0, 0.0, 0.0),
            Point3::new(240.0, 0.0, 0.0),
            Point3::new(240.0, 96.0, 32.0),
            Point3::new(0.0, 96.0, 32.0),
        ],
        &[&[0, 1, 2, 3]],
    );
    assert_eq!(check_invariants(&roof), Vec::<String>::new());
    let mut plan = plan_of(
        &[
            Point3::new(0.0, 0.0, 0.0),
            Point3::new(240.0, 0.0, 0.0),
            Point3::new(240.0, 96.0, 32.0),
            Point3::new(0.0, 96.0, 32.0),
            Point3::new(240.0, 240.0, 80.0),
            Point3::new(0.0, 240.0, 80.0),
        ],
        &[&[0, 1, 2, 3], &[3, 2, 4, 5]],
    );
    plan.faces[1].plane.as_mut().unwrap().c += 40.0;
    let roof = solve(&plan, &settings()).value;
    let step = kind_between(&roof, 2, 3);
    assert_eq!(step.kind, EdgeKind::Step);
    assert!((step.gap - 40.0).abs() < 1e-3);
    assert_ne!(roof.faces[0].part, roof.faces[1].part);
}

/// The hipped L's plan, turned, mirrored, scaled and moved, its corners renumbered by `first` places.
fn moved_l(
    turn: f64,
    mirror: bool,
    size: f64,
    shift: (f64, f64),
    first: usize,
) -> (PlanGraph, impl Fn(usize) -> usize) {
    let measured = fixtures::hipped_l();
    let (sin, cos) = (trig::sin(turn), trig::cos(turn));
    let number = move |old: usize| (old + first) % 10;
    let mut corners = vec![Point3::new(0.0, 0.0, 0.0); 10];
    for (old, p) in measured.points.iter().enumerate() {
        let node = NodeId::new(old);
        let edge = measured.edges.iter().find(|e| e.ends.contains(&node)).unwrap();
        let z = measured.corner(edge.left.or(edge.right).unwrap(), node).z * size;
        let (x, y) = (p.x * size, p.y * size * if mirror { -1.0 } else { 1.0 });
        corners[number(old)] = Point3::new(x * cos - y * sin + shift.0, x * sin + y * cos + shift.1, z);
    }
    let mut faces: Vec<Vec<usize>> =
        [vec![0, 1, 6], vec![1, 2, 8, 7, 6], vec![2, 3, 9, 8], vec![3, 4, 9], vec![4, 5, 7, 8, 9], vec![5, 0, 6, 7]]
            .into_iter()
            .map(|ring| ring.into_iter().map(number).collect())
            .collect();
    if mirror {
        faces.iter_mut().for_each(|ring| ring.reverse());
    }
    faces.rotate_left(first % 6);
    let rings: Vec<&[usize]> = faces.iter().map(Vec::as_slice).collect();
    (without_heights(plan_of(&corners, &rings)), number)
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(24))]

    #[test]
    fn the_same_roof_drawn_another_way_has_the_same_kinds(
        turn in 0.0..6.3f64,
        mirror: bool,
        size in 0.5..2.0f64,
        x in -2000.0..2000.0f64,
        y in -2000.0..2000.0f64,
        first in 0..10usize,
    ) {
        let measured = fixtures::hipped_l();
        let (plan, number) = moved_l(turn, mirror, size, (x, y), first);
        let solved = solve(&plan, &settings()).value;
        for edge in &measured.edges {
            let other = kind_between(&solved, number(edge.ends[0].index()), number(edge.ends[1].index()));
            proptest::prop_assert_eq!((other.kind, other.basis), (edge.kind, Basis::Solved));
        }
    }
}

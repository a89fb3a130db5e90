//! A roof drawn at its walls or its fascia against the same roof drawn at its drip edge, by hand.

use eavesdraft::catalog::Catalogue;
use eavesdraft::finding::{Finding, Severity};
use eavesdraft::job::{EdgeHint, Job, OutlineMeaning, Setting, Target};
use eavesdraft::pipeline::{Project, lay_out, survey};
use eavesdraft::terms::EdgeKind;

type P = (f64, f64);

/// A drawing in inches: closed outline, folds, and pitch notes with where they stand.
fn drawing(outline: &[P], folds: &[(P, P)], notes: &[(&str, P)]) -> Vec<u8> {
    let ring = (0..outline.len()).map(|i| (outline[i], outline[(i + 1) % outline.len()]));
    let mut entities = String::new();
    for (a, b) in ring.chain(folds.iter().copied()) {
        entities +=
            &format!("  0\nLINE\n  8\nA-ROOF\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n", a.0, a.1, b.0, b.1);
    }
    for (text, at) in notes {
        entities += &format!("  0\nTEXT\n  8\nA-ROOF-TEXT\n 10\n{:?}\n 20\n{:?}\n 40\n6.0\n  1\n{text}\n", at.0, at.1);
    }
    format!(
        "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n"
    )
    .into_bytes()
}

fn job(outline: OutlineMeaning) -> Job {
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.roof.outline = Setting::given(outline);
    job.roof.overhang = Setting::given(12.0);
    job.roof.rake_overhang = Setting::given(12.0);
    job.heat.valleys = true;
    job
}

/// Lays the drawing out and tries every stage's invariants.
fn project(bytes: &[u8], job: Job) -> Project {
    let project = lay_out(survey(bytes, &job).unwrap(), job).unwrap();
    let (roof, none) = (&project.survey.roof, Vec::<String>::new());
    assert_eq!(eavesdraft::roof::check_invariants(roof), none);
    assert_eq!(eavesdraft::zones::check_invariants(roof, &project.zones), none);
    assert_eq!(eavesdraft::courses::check_invariants(&project.zones, &project.courses, &project.job), none);
    let wired = eavesdraft::wiring::check_invariants(&project.zones, &project.courses, &project.wiring, &project.job);
    assert_eq!(wired, none);
    project
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|f| f.code).collect()
}

fn blocking(project: &Project) -> Vec<&Finding> {
    project.findings.iter().filter(|f| f.severity == Severity::Blocking).collect()
}

/// The same faces, elements, leads, circuits and takeoff, to a thousandth of an inch.
fn assert_same(drawn: &Project, moved: &Project) {
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-3, "{a} is not {b}");
    let (d, m) = (&drawn.survey.roof, &moved.survey.roof);
    assert_eq!(d.points.len(), m.points.len());
    // Each survey counts from its own drawing's corner, so places are compared in the drawing.
    let placed = |project: &Project, at| project.survey.linework.frame.plan_to_drawing(at);
    for (&a, &b) in d.points.iter().zip(&m.points) {
        let (a, b) = (placed(drawn, a), placed(moved, b));
        assert!(a.distance(b) < 1e-3, "{a:?} is not {b:?}");
    }
    for (a, b) in d.faces.iter().zip(&m.faces) {
        near(a.plane.a, b.plane.a);
        near(a.plane.b, b.plane.b);
        let corner = |roof: &eavesdraft::roof::Roof, half| roof.corner(a.id, roof.start(half)).z;
        for (&i, &j) in a.exterior.iter().zip(&b.exterior) {
            near(corner(d, i), corner(m, j));
        }
    }
    let kinds = |project: &Project| project.survey.roof.edges.iter().map(|e| e.kind).collect::<Vec<_>>();
    assert_eq!(kinds(drawn), kinds(moved));
    for (a, b) in drawn.zones.zones.iter().zip(&moved.zones.zones) {
        near(a.required_reach, b.required_reach);
    }
    assert_eq!(drawn.courses.segments.len(), moved.courses.segments.len());
    for (a, b) in drawn.courses.segments.iter().zip(&moved.courses.segments) {
        assert_eq!((&a.tag, a.cut_length), (&b.tag, b.cut_length));
        near(a.along.low, b.along.low);
    }
    assert_eq!(drawn.wiring.leads.len(), moved.wiring.leads.len());
    for (a, b) in drawn.wiring.leads.iter().zip(&moved.wiring.leads) {
        near(a.length, b.length);
    }
    assert_eq!(drawn.wiring.circuits.len(), moved.wiring.circuits.len());
    assert_eq!(drawn.wiring.unfed, moved.wiring.unfed);
    assert_eq!(drawn.takeoff.cuts, moved.takeoff.cuts);
}

const GABLE: [P; 4] = [(0.0, 0.0), (480.0, 0.0), (480.0, 288.0), (0.0, 288.0)];

/// The gable whose eave edge is 40 ft by 24 ft has walls of 38 ft by 22 ft inside overhangs of 12 in.
#[test]
fn a_gable_drawn_at_its_walls_is_the_gable_drawn_at_its_eaves() {
    let drawn = project(&drawing(&GABLE, &[((0.0, 144.0), (480.0, 144.0))], &[]), job(OutlineMeaning::EaveEdge));
    let walls = GABLE.map(|(x, y)| (x.clamp(12.0, 468.0), y.clamp(12.0, 276.0)));
    let bytes = drawing(&walls, &[((12.0, 144.0), (468.0, 144.0))], &[]);
    let moved = project(&bytes, job(OutlineMeaning::Wall));
    assert_same(&drawn, &moved);
    let note = moved.findings.iter().find(|f| f.code == "outline-offset").unwrap();
    assert_eq!(note.severity, Severity::Note);
    assert!(note.message.contains("by 12 in"), "{}", note.message);
    assert!((moved.checks.load.element_length / 12.0 - 702.0).abs() < 1e-9);
    assert_eq!(moved.survey.roof.walls.len(), 6);
}

#[test]
fn overhangs_nobody_gave_are_assumed_and_said() {
    let mut defaults = job(OutlineMeaning::Wall);
    defaults.roof.overhang = Setting::assumed(12.0);
    defaults.roof.rake_overhang = Setting::assumed(12.0);
    let project = project(&drawing(&GABLE, &[((0.0, 144.0), (480.0, 144.0))], &[]), defaults);
    let said = project.findings.iter().find(|f| f.code == "outline-offset").unwrap();
    assert_eq!(said.severity, Severity::Assumed);
    assert!(said.message.ends_with("assumed: overhang and rake_overhang"), "{}", said.message);
}

/// Eaves 18 in out and rakes 6 in: a roof of 492 x 324 in over walls of 480 x 288 in.
#[test]
fn rakes_and_eaves_move_by_their_own_distances() {
    let mut job = job(OutlineMeaning::Wall);
    job.roof.overhang = Setting::given(18.0);
    job.roof.rake_overhang = Setting::given(6.0);
    let project = project(&drawing(&GABLE, &[((0.0, 144.0), (480.0, 144.0))], &[]), job);
    let roof = &project.survey.roof;
    let mut lengths: Vec<(EdgeKind, f64)> = roof.edges.iter().map(|e| (e.kind, roof.segment(e.id).length())).collect();
    lengths.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let expected = [492.0, 492.0, 162.0, 162.0, 162.0, 162.0, 492.0];
    for ((kind, length), expected) in lengths.iter().zip(expected) {
        assert!((length - expected).abs() < 1e-6, "{kind:?} {length}");
    }
    // (18 + 24) in of run at 6:12.
    assert!(project.zones.zones.iter().all(|z| (z.required_reach - 42.0 * 1.25_f64.sqrt()).abs() < 1e-3));
}

const L: [P; 6] = [(288.0, -216.0), (528.0, -216.0), (528.0, 288.0), (0.0, 288.0), (0.0, 0.0), (288.0, 0.0)];
const L_RIDGES: [P; 4] = [(408.0, -96.0), (408.0, 120.0), (384.0, 144.0), (144.0, 144.0)];

fn l_drawing(outline: [P; 6]) -> Vec<u8> {
    let folds = [
        (outline[0], L_RIDGES[0]),
        (outline[1], L_RIDGES[0]),
        (L_RIDGES[0], L_RIDGES[1]),
        (outline[5], L_RIDGES[1]),
        (L_RIDGES[1], L_RIDGES[2]),
        (outline[2], L_RIDGES[2]),
        (L_RIDGES[2], L_RIDGES[3]),
        (outline[3], L_RIDGES[3]),
        (outline[4], L_RIDGES[3]),
    ];
    drawing(&outline, &folds, &[])
}

/// At equal pitches hips and the valley go on at 45 degrees to the corners of the eaves 12 in further out.
#[test]
fn a_hipped_l_drawn_at_its_walls_is_the_l_drawn_at_its_eaves() {
    let drawn = project(&l_drawing(L), job(OutlineMeaning::EaveEdge));
    let walls = [(300.0, -204.0), (516.0, -204.0), (516.0, 276.0), (12.0, 276.0), (12.0, 12.0), (300.0, 12.0)];
    let moved = project(&l_drawing(walls), job(OutlineMeaning::Wall));
    assert_same(&drawn, &moved);
    assert!(!drawn.wiring.feeds.is_empty() && moved.findings.iter().any(|f| f.code == "outline-offset"));
}

#[test]
fn a_fascia_moves_by_its_distance_to_the_drip_edge_where_the_job_gives_one() {
    let drawn = project(&l_drawing(L), job(OutlineMeaning::EaveEdge));
    let fascia = [(288.5, -215.5), (527.5, -215.5), (527.5, 287.5), (0.5, 287.5), (0.5, 0.5), (288.5, 0.5)];
    let mut given = job(OutlineMeaning::Fascia);
    given.roof.fascia_to_drip = Some(0.5);
    let moved = project(&l_drawing(fascia), given);
    assert_same(&drawn, &moved);
    let taken = project(&l_drawing(fascia), job(OutlineMeaning::Fascia));
    assert!(codes(&taken.findings).contains(&"outline-is-fascia"));
    assert_eq!(taken.survey.roof.points, taken.survey.roof.drawn);
}

/// A hip roof 480 x 240 in with sides at 6:12 and ends at 12:12: the ends rise as high over 60 in of run as the sides over 120 in.
fn unequal_hip() -> Vec<u8> {
    let outline = [(0.0, 0.0), (480.0, 0.0), (480.0, 240.0), (0.0, 240.0)];
    let (left, right) = ((60.0, 120.0), (420.0, 120.0));
    let folds = [(outline[0], left), (outline[3], left), (left, right), (outline[1], right), (outline[2], right)];
    let notes =
        [("6:12", (240.0, 40.0)), ("6:12", (240.0, 200.0)), ("12:12", (12.0, 120.0)), ("12:12", (468.0, 120.0))];
    drawing(&outline, &folds, &notes)
}

fn hint(near: P, overhang: f64) -> EdgeHint {
    let target = Target::Near(eavesdraft::geometry::Point2::new(near.0, near.1));
    EdgeHint { overhang: Some(overhang), ..EdgeHint::of(target, 1) }
}

/// Eaves come out level where overhang x pitch is the same: 12 in at 6:12 and 6 in at 12:12, 6 in below the plate.
#[test]
fn unequal_pitches_move_out_level_with_overhangs_to_match() {
    let mut job = job(OutlineMeaning::Wall);
    job.roof.edges = vec![hint((0.0, 120.0), 6.0), hint((480.0, 120.0), 6.0)];
    let project = project(&unequal_hip(), job);
    assert_eq!(blocking(&project), Vec::<&Finding>::new());
    let roof = &project.survey.roof;
    let bounds = eavesdraft::geometry::Box2::around(roof.points.iter().copied()).unwrap();
    assert!((bounds.width() - 492.0).abs() < 1e-6 && (bounds.height() - 264.0).abs() < 1e-6, "{bounds:?}");
    assert!(roof.edges.iter().all(|e| e.gap < 1e-3));
    // The hips rise 66 in from an end's eave 6 in further out: 66 in of run at 12:12.
    let hips: Vec<f64> =
        roof.edges.iter().filter(|e| e.kind == EdgeKind::Hip).map(|e| roof.slope_length(e.id)).collect();
    let expected = (66.0_f64.powi(2) + 132.0_f64.powi(2) + 66.0_f64.powi(2)).sqrt();
    assert!(hips.len() == 4 && hips.iter().all(|h| (h - expected).abs() < 0.01), "{hips:?} {expected}");
}

/// With 12 in all round the eaves would come out 6 in apart in height: no roof is made of it.
#[test]
fn unequal_pitches_with_equal_overhangs_are_refused_with_the_overhang_that_fits() {
    let project = project(&unequal_hip(), job(OutlineMeaning::Wall));
    let blocking = blocking(&project);
    assert_eq!(blocking.iter().map(|f| f.code).collect::<Vec<_>>(), ["offset-fold"; 4]);
    let hints: Vec<&str> = blocking.iter().filter_map(|f| f.hint.as_deref()).collect();
    assert!(hints.iter().any(|h| h.contains("overhang = \"6 in\"")), "{hints:?}");
    assert_eq!(project.survey.roof.points, project.survey.roof.drawn, "nothing is moved");
}

/// A collinear eave and eave with other overhangs would need a jog that is not drawn.
#[test]
fn a_straight_line_with_two_overhangs_is_refused() {
    let outline = [(0.0, 0.0), (240.0, 0.0), (480.0, 0.0), (480.0, 288.0), (240.0, 288.0), (0.0, 288.0)];
    let folds = [
        ((0.0, 144.0), (240.0, 144.0)),
        ((240.0, 144.0), (480.0, 144.0)),
        ((240.0, 0.0), (240.0, 144.0)),
        ((240.0, 144.0), (240.0, 288.0)),
    ];
    let mut job = job(OutlineMeaning::Wall);
    job.roof.edges = vec![hint((120.0, 0.0), 18.0)];
    let project = project(&drawing(&outline, &folds, &[]), job);
    let codes: Vec<&str> = blocking(&project).iter().map(|f| f.code).collect();
    assert!(codes.contains(&"offset-corner"), "{codes:?}");
}

/// A U whose court is 20 in wide between the walls of its wings: overhangs of 12 in run into one another.
#[test]
fn overhangs_that_run_into_one_another_are_refused() {
    let outline = [
        (0.0, 0.0),
        (240.0, 0.0),
        (240.0, 240.0),
        (260.0, 240.0),
        (260.0, 0.0),
        (500.0, 0.0),
        (500.0, 480.0),
        (0.0, 480.0),
    ];
    let (a, b, c, d) = ((120.0, 120.0), (380.0, 120.0), (120.0, 360.0), (380.0, 360.0));
    let folds = [
        (outline[0], a),
        (outline[1], a),
        (outline[4], b),
        (outline[5], b),
        (a, c),
        (b, d),
        (c, d),
        (outline[2], c),
        (outline[3], d),
        (outline[6], d),
        (outline[7], c),
    ];
    let project = project(&drawing(&outline, &folds, &[]), job(OutlineMeaning::Wall));
    let codes: Vec<&str> = blocking(&project).iter().map(|f| f.code).collect();
    assert!(codes.contains(&"offset-collision"), "{codes:?}");
    assert_eq!(project.survey.roof.points, project.survey.roof.drawn);
}

//! A drawing that holds only an outline is roofed over.

use eavesdraft::catalog::Catalogue;
use eavesdraft::finding::Severity;
use eavesdraft::job::{EdgeHint, Job, Setting, Target};
use eavesdraft::pipeline::{Survey, lay_out, survey};
use eavesdraft::terms::EdgeKind;

fn drawing(points: &[(f64, f64)]) -> Vec<u8> {
    let mut ring = format!("  0\nLWPOLYLINE\n100\nAcDbPolyline\n  8\nA-ROOF\n 90\n{}\n 70\n1\n", points.len());
    for (x, y) in points {
        ring += &format!(" 10\n{x:?}\n 20\n{y:?}\n");
    }
    format!(
        "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{ring}  0\nENDSEC\n  0\nEOF\n"
    )
    .into_bytes()
}

fn hint(near: (f64, f64), kind: Option<EdgeKind>) -> EdgeHint {
    let target = Target::Near(eavesdraft::geometry::Point2::new(near.0, near.1));
    EdgeHint { kind, ..EdgeHint::of(target, 1) }
}

fn read(points: &[(f64, f64)], edges: Vec<EdgeHint>) -> (Survey, Job) {
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.roof.default_pitch = Setting::given(0.5);
    job.roof.edges = edges;
    let survey = survey(&drawing(points), &job).unwrap();
    assert_eq!(eavesdraft::roof::check_invariants(&survey.roof), Vec::<String>::new());
    (survey, job)
}

/// Total plan length of the edges of one kind, feet.
fn feet(survey: &Survey, kind: EdgeKind) -> f64 {
    let roof = &survey.roof;
    roof.edges.iter().filter(|e| e.kind == kind).map(|e| roof.segment(e.id).length() / 12.0).sum()
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-4, "{a} is not {b}");
}

const RECTANGLE: [(f64, f64); 4] = [(0.0, 0.0), (480.0, 0.0), (480.0, 288.0), (0.0, 288.0)];

/// Equal hips run at 45 degrees in plan, so a ridge is length less width (common practice, no source): 40 - 24 = 16 ft.
#[test]
fn a_rectangle_gets_a_hip_roof() {
    let (survey, job) = read(&RECTANGLE, Vec::new());
    assert_eq!(survey.roof.faces.len(), 4);
    near(feet(&survey, EdgeKind::Ridge), 16.0);
    near(feet(&survey, EdgeKind::Hip), 4.0 * 12.0 * 2f64.sqrt());
    near(feet(&survey, EdgeKind::Eave), 128.0);
    let code = |code: &str| survey.findings.iter().filter(|f| f.code == code).count();
    assert_eq!((code("outline-roofed"), code("likely-gable"), code("outline-only")), (1, 2, 0));
    let project = lay_out(survey, job).unwrap();
    assert!(project.findings.iter().all(|f| f.severity != Severity::Blocking), "{:?}", project.findings);
}

/// One gable leaves one hip end of half the width: 40 - 12 = 28 ft of ridge.
#[test]
fn a_gable_of_the_job_parts_at_the_ridge() {
    let (survey, job) = read(&RECTANGLE, vec![hint((480.0, 100.0), Some(EdgeKind::Rake))]);
    assert_eq!(survey.roof.faces.len(), 3);
    near(feet(&survey, EdgeKind::Ridge), 28.0);
    near(feet(&survey, EdgeKind::Rake), 24.0);
    assert_eq!(survey.roof.edges.iter().filter(|e| e.kind == EdgeKind::Rake).count(), 2);
    let project = lay_out(survey, job).unwrap();
    assert!(project.findings.iter().all(|f| f.severity != Severity::Blocking), "{:?}", project.findings);
}

/// A T with a gable on its stem: two valleys at 45 degrees, each half the stem's width deep.
#[test]
fn a_tee_with_one_gable() {
    let tee = [
        (0.0, 0.0),
        (180.0, 0.0),
        (180.0, -180.0),
        (420.0, -180.0),
        (420.0, 0.0),
        (600.0, 0.0),
        (600.0, 288.0),
        (0.0, 288.0),
    ];
    let (survey, _) = read(&tee, vec![hint((300.0, -180.0), Some(EdgeKind::Rake))]);
    assert_eq!(survey.roof.faces.len(), 7);
    near(feet(&survey, EdgeKind::Valley), 2.0 * 10.0 * 2f64.sqrt());
    near(feet(&survey, EdgeKind::Rake), 20.0);
}

/// An L whose wing has twice the pitch: along the valley 6/12 of the run to one eave equals 12/12 of the run to the other,
/// so it leaves the inner corner at an angle of tangent 2 (from the equality of heights).
#[test]
fn an_ell_with_unequal_pitches() {
    let ell = [(0.0, 0.0), (600.0, 0.0), (600.0, 288.0), (240.0, 288.0), (240.0, 600.0), (0.0, 600.0)];
    let mut steep = hint((240.0, 450.0), None);
    steep.pitch = Some(1.0);
    let (survey, _) = read(&ell, vec![steep]);
    let roof = &survey.roof;
    let valley = roof.edges.iter().find(|e| e.kind == EdgeKind::Valley).unwrap();
    let along = roof.segment(valley.id);
    near((along.b.y - along.a.y).abs() / (along.b.x - along.a.x).abs(), 2.0);
}

#[test]
fn two_lines_of_a_job_draft_an_outline() {
    let folder = tempfile::tempdir().unwrap();
    let (plan, job) = (folder.path().join("house.dxf"), folder.path().join("job.toml"));
    std::fs::write(&plan, drawing(&RECTANGLE)).unwrap();
    std::fs::write(&job, "roof.default_pitch = \"8:12\"\nroof.edge = [{ near = [480, 100], kind = \"rake\" }]\n")
        .unwrap();
    let out = folder.path().join("out");
    let run = std::process::Command::new(env!("CARGO_BIN_EXE_eavesdraft"))
        .arg("draft")
        .arg(&plan)
        .arg("--job")
        .arg(&job)
        .arg("--output")
        .arg(&out)
        .output()
        .unwrap();
    assert_eq!(run.status.code(), Some(0), "{}", String::from_utf8_lossy(&run.stderr));
    assert!(std::fs::read_dir(&out).unwrap().count() > 5);
}

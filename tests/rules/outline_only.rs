//! A drawing that holds only an outline is roofed over.

use eavesdraft::catalog::Catalogue;
use eavesdraft::finding::Severity;
use eavesdraft::job::{EdgeHint, GableForm, Job, Measure, PartGable, Setting, Target};
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

const TEE: [(f64, f64); 8] = [
    (0.0, 0.0),
    (180.0, 0.0),
    (180.0, -180.0),
    (420.0, -180.0),
    (420.0, 0.0),
    (600.0, 0.0),
    (600.0, 288.0),
    (0.0, 288.0),
];

/// A T with a gable on its stem: two valleys at 45 degrees, each half the stem's width deep.
#[test]
fn a_tee_with_one_gable() {
    let (survey, _) = read(&TEE, vec![hint((300.0, -180.0), Some(EdgeKind::Rake))]);
    assert_eq!(survey.roof.faces.len(), 6, "the slope on both sides of the stem is one");
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

const FOOT: f64 = 12.0;

/// Plan area of the faces whose foot is the given outline edge's, square feet.
fn area_over(survey: &Survey, at: (f64, f64)) -> f64 {
    let roof = &survey.roof;
    let point = eavesdraft::geometry::Point2::new(at.0, at.1);
    let edge = roof
        .edges
        .iter()
        .filter(|e| e.kind == EdgeKind::Eave)
        .min_by(|a, b| roof.segment(a.id).distance_to(point).total_cmp(&roof.segment(b.id).distance_to(point)))
        .unwrap();
    roof.sides(edge.id).map(|f| roof.region(f).area() / 144.0).sum()
}

fn heights(survey: &Survey) -> (f64, f64) {
    let roof = &survey.roof;
    let all = roof.faces.iter().flat_map(|f| f.exterior.iter().map(|h| roof.corner(f.id, roof.start(*h)).z / FOOT));
    all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)))
}

fn laid_out(survey: Survey, job: Job) -> eavesdraft::pipeline::Project {
    let project = lay_out(survey, job).unwrap();
    assert!(project.findings.iter().all(|f| f.severity != Severity::Blocking), "{:?}", project.findings);
    assert!(!project.courses.segments.is_empty());
    let (zones, courses, wiring, job) = (&project.zones, &project.courses, &project.wiring, &project.job);
    for wrong in [
        eavesdraft::zones::check_invariants(&project.survey.roof, zones),
        eavesdraft::courses::check_invariants(zones, courses, job),
        eavesdraft::wiring::check_invariants(zones, courses, wiring, job),
    ] {
        assert_eq!(wrong, Vec::<String>::new());
    }
    project
}

/// A Dutch gable on the east end of 40 x 24 ft at 6:12, its gable 4 ft in from the eave: the hip is a trapezoid of 24 and
/// 24 - 2 x 4 = 16 ft over 4 ft, 80 sq ft; the gable stands on it from 2 ft up to the ridge at 6 ft, 16 ft wide in two halves.
#[test]
fn a_dutch_gable_stands_on_its_hip() {
    let mut end = hint((480.0, 100.0), None);
    end.part = Some(PartGable { form: GableForm::DutchGable, at: Measure::Setback(48.0) });
    let (survey, job) = read(&RECTANGLE, vec![end]);
    near(area_over(&survey, (480.0, 144.0)), 80.0);
    near(feet(&survey, EdgeKind::Step), 16.0);
    // Ridge from the west hip, 12 ft in, to the gable, 4 ft in.
    near(feet(&survey, EdgeKind::Ridge), 24.0);
    near(feet(&survey, EdgeKind::Hip), (2.0 * 12.0 + 2.0 * 4.0) * 2f64.sqrt());
    near(heights(&survey).1, 6.0);
    let steps: Vec<f64> = survey.roof.edges.iter().filter(|e| e.kind == EdgeKind::Step).map(|e| e.gap / FOOT).collect();
    assert_eq!(steps.len(), 2);
    steps.iter().for_each(|&gap| near(gap, 4.0));
    laid_out(survey, job);
}

/// The same by its height: 2 ft over the eave at 6:12 is 4 ft in.
#[test]
fn a_dutch_gable_by_height_is_the_one_by_setback() {
    let mut end = hint((480.0, 100.0), None);
    end.part = Some(PartGable { form: GableForm::DutchGable, at: Measure::Height(24.0) });
    let (survey, _) = read(&RECTANGLE, vec![end]);
    near(area_over(&survey, (480.0, 144.0)), 80.0);
}

/// A jerkinhead on the east end: the ridge, 6 ft over the eaves, ends 3 ft in, so its hip at 6:12 starts 6 - 1.5 = 4.5 ft up, where
/// the gable is 2 x (12 - 9) = 6 ft wide: 9 sq ft, and rakes of 9 ft each in plan.
#[test]
fn a_jerkinhead_clips_its_gable() {
    let mut end = hint((480.0, 100.0), None);
    end.part = Some(PartGable { form: GableForm::Jerkinhead, at: Measure::Setback(36.0) });
    let (survey, job) = read(&RECTANGLE, vec![end.clone()]);
    near(area_over(&survey, (480.0, 144.0)), 9.0);
    near(feet(&survey, EdgeKind::Rake), 18.0);
    near(feet(&survey, EdgeKind::Ridge), 40.0 - 12.0 - 3.0);
    near(feet(&survey, EdgeKind::Step), 0.0);
    laid_out(survey, job);
    end.part = Some(PartGable { form: GableForm::Jerkinhead, at: Measure::Height(54.0) });
    let (survey, _) = read(&RECTANGLE, vec![end]);
    near(area_over(&survey, (480.0, 144.0)), 9.0);
}

/// The north eave 2 ft over the others at 6:12: the ends climb 4 ft along its wall, so 32 ft of it is left. South and north meet where
/// 2 z + 2 (z - 2) = 24, 7 ft up, 14 ft from the south.
#[test]
fn a_raised_eave_keeps_its_tag_and_its_wall() {
    let mut north = hint((240.0, 288.0), None);
    north.raise = Some(24.0);
    let (survey, job) = read(&RECTANGLE, vec![north]);
    let eave =
        survey.roof.edges.iter().find(|e| e.basis == eavesdraft::roof::Basis::Set && e.kind == EdgeKind::Eave).unwrap();
    near(survey.roof.segment(eave.id).length() / FOOT, 32.0);
    assert_eq!(
        eave.id,
        survey
            .plan
            .edges
            .iter()
            .enumerate()
            .map(|(i, _)| eavesdraft::index::EdgeId::new(i))
            .find(|&e| survey.plan.segment(e).midpoint().y > 280.0)
            .unwrap()
    );
    near(feet(&survey, EdgeKind::Rake), 8.0);
    near(heights(&survey).1, 7.0);
    laid_out(survey, job);
}

const PORCH: [(f64, f64); 8] = [
    (0.0, 0.0),
    (120.0, 0.0),
    (120.0, -96.0),
    (360.0, -96.0),
    (360.0, 0.0),
    (480.0, 0.0),
    (480.0, 288.0),
    (0.0, 288.0),
];

/// A porch 20 x 8 ft with gables at its sides, 3 ft lower than the house and rising 3 in 12: at the house it is 2 ft up, 1 ft below the
/// eave, which runs through over it. The porch is 160 sq ft, and the wall above it 20 ft long.
#[test]
fn a_lower_porch_ends_below_the_eave_of_the_house() {
    let mut front = hint((240.0, -96.0), None);
    (front.raise, front.pitch) = (Some(-36.0), Some(0.25));
    let sides = [(120.0, -50.0), (360.0, -50.0)].map(|at| hint(at, Some(EdgeKind::Rake)));
    let (survey, job) = read(&PORCH, [vec![front], sides.to_vec()].concat());
    near(area_over(&survey, (240.0, -96.0)), 160.0);
    near(feet(&survey, EdgeKind::Step), 20.0);
    // The house's front slope is one face from eave to ridge, over the porch's wall as well.
    near(area_over(&survey, (60.0, 0.0)), (40.0 + 16.0) / 2.0 * 12.0);
    near(heights(&survey).0, 0.0);
    near(heights(&survey).1, 9.0);
    laid_out(survey, job);
}

/// A gable at an inner corner stands on into the roof beside it: an L whose north wing, 20 ft wide, ends its east side in a gable.
#[test]
fn a_gable_at_an_inner_corner_is_a_wall_inside() {
    let ell = [(0.0, 0.0), (600.0, 0.0), (600.0, 288.0), (240.0, 288.0), (240.0, 600.0), (0.0, 600.0)];
    let (survey, _) = read(&ell, vec![hint((240.0, 450.0), Some(EdgeKind::Rake))]);
    assert!(feet(&survey, EdgeKind::Step) > 0.0, "{:?}", survey.findings);
    assert!(survey.findings.iter().all(|f| f.severity != Severity::Blocking));
}

fn codes(survey: &Survey, code: &str) -> Vec<Severity> {
    survey.findings.iter().filter(|f| f.code == code).map(|f| f.severity).collect()
}

/// Only what nobody said is assumed: with every side and the pitch given nothing is, and the folds follow.
#[test]
fn what_the_job_says_is_not_assumed() {
    let side = |at: (f64, f64), kind| hint(at, Some(kind));
    let all = vec![
        side((240.0, 0.0), EdgeKind::Eave),
        side((480.0, 100.0), EdgeKind::Rake),
        side((240.0, 288.0), EdgeKind::Eave),
        side((0.0, 100.0), EdgeKind::Eave),
    ];
    let (survey, _) = read(&RECTANGLE, all.clone());
    assert_eq!(codes(&survey, "outline-roofed"), [Severity::Note]);
    let bases = |survey: &Survey, basis| survey.roof.edges.iter().filter(|e| e.basis == basis).count();
    assert_eq!(bases(&survey, eavesdraft::roof::Basis::Assumed), 0);
    assert_eq!(bases(&survey, eavesdraft::roof::Basis::Set), 5, "the gable in two pieces");
    assert!(survey.roof.faces.iter().all(|f| f.pitch_basis == eavesdraft::roof::Basis::Set));

    let (survey, _) = read(&RECTANGLE, all[1..].to_vec());
    assert_eq!(codes(&survey, "outline-roofed"), [Severity::Assumed]);
    let assumed: Vec<_> = survey.roof.edges.iter().filter(|e| e.basis == eavesdraft::roof::Basis::Assumed).collect();
    assert_eq!(assumed.iter().filter(|e| e.kind == EdgeKind::Eave).count(), 1);
}

/// A pitch on a gable, an eave too high to have a face, a Dutch gable above its hip's peak: told, not passed over.
#[test]
fn entries_that_change_nothing_are_told() {
    let mut gable = hint((480.0, 100.0), Some(EdgeKind::Rake));
    gable.pitch = Some(1.0);
    let (survey, _) = read(&RECTANGLE, vec![gable]);
    assert_eq!(codes(&survey, "entry-unused"), [Severity::Warning]);
    let mut high = hint((480.0, 100.0), None);
    high.raise = Some(100.0);
    let (survey, _) = read(&RECTANGLE, vec![high]);
    assert_eq!(codes(&survey, "entry-unused"), [Severity::Warning]);
    let mut dutch = hint((480.0, 100.0), None);
    dutch.part = Some(PartGable { form: GableForm::DutchGable, at: Measure::Height(80.0) });
    let (survey, _) = read(&RECTANGLE, vec![dutch]);
    assert_eq!(codes(&survey, "entry-unused"), [Severity::Warning]);
}

fn with_job(text: &str) -> Result<Survey, eavesdraft::error::Error> {
    let job = Job::from_toml(text, &Catalogue::sample()).unwrap().value;
    survey(&drawing(&RECTANGLE), &job)
}

/// Folds and further faces of a roof over an outline are named by the tags that `inspect` prints for the same job.
#[test]
fn folds_and_new_faces_can_be_named() {
    let bare = with_job("roof.default_pitch = \"6:12\"\n").unwrap();
    let ridge = bare.roof.edges.iter().find(|e| e.kind == EdgeKind::Ridge).unwrap().id;
    let told =
        with_job(&format!("roof.default_pitch = \"6:12\"\n[[roof.edge]]\ntag = \"{ridge}\"\nkind = \"ridge\"\n"))
            .unwrap();
    assert_eq!(told.roof.edge(ridge).basis, eavesdraft::roof::Basis::Set);
    let near_it =
        with_job("roof.default_pitch = \"6:12\"\n[[roof.edge]]\nnear = [240, 150]\nkind = \"ridge\"\n").unwrap();
    assert_eq!(near_it.roof.edge(ridge).basis, eavesdraft::roof::Basis::Set);
    let wrong =
        with_job(&format!("roof.default_pitch = \"6:12\"\n[[roof.edge]]\ntag = \"{ridge}\"\nkind = \"valley\"\n"))
            .unwrap();
    assert_eq!(codes(&wrong, "hint-contradiction").len(), 1);
    for (entry, line) in [("tag = \"E10\"\nkind = \"ridge\"", 2), ("near = [240, 400]\nkind = \"ridge\"", 2)] {
        let error = with_job(&format!("roof.default_pitch = \"6:12\"\n[[roof.edge]]\n{entry}\n")).unwrap_err();
        assert_eq!((error.code, error.place.line), ("hint-target", Some(line)));
    }
    let error = with_job(&format!("[[roof.edge]]\ntag = \"{ridge}\"\npitch = \"8:12\"\n")).unwrap_err();
    assert_eq!(error.code, "hint-target");
    // The faces are numbered as the sides are walked; one at 12:12 among 6:12.
    for face in ["tag = \"F3\"", "near = [240, 270]"] {
        let pitched =
            with_job(&format!("roof.default_pitch = \"6:12\"\n[[roof.face]]\n{face}\npitch = \"12:12\"\n")).unwrap();
        let steep: Vec<_> = pitched.roof.faces.iter().filter(|f| (f.pitch - 1.0).abs() < 1e-9).collect();
        assert_eq!(steep.len(), 1);
        assert_eq!(steep[0].pitch_basis, eavesdraft::roof::Basis::Set);
    }
}

/// Drawn at the walls and moved out by 12 in all round: the hip below a Dutch gable grows to 26 ft below over 5 ft, (26 + 16) / 2 x 5 =
/// 105 sq ft, while its gable stays; the small hip of a jerkinhead grows down to 8 ft over 4 ft, 16 sq ft, its rakes stay 18 ft in plan.
#[test]
fn gables_in_part_are_moved_out_with_the_outline() {
    for (form, measure, area, kind, length) in [
        (GableForm::DutchGable, 48.0, 105.0, EdgeKind::Step, 16.0),
        (GableForm::Jerkinhead, 36.0, 16.0, EdgeKind::Rake, 18.0),
    ] {
        let mut end = hint((480.0, 100.0), None);
        end.part = Some(PartGable { form, at: Measure::Setback(measure) });
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.roof.default_pitch = Setting::given(0.5);
        job.roof.outline = Setting::given(eavesdraft::job::OutlineMeaning::Wall);
        job.roof.overhang = Setting::given(12.0);
        job.roof.edges = vec![end];
        let survey = survey(&drawing(&RECTANGLE), &job).unwrap();
        assert_eq!(eavesdraft::roof::check_invariants(&survey.roof), Vec::<String>::new());
        near(area_over(&survey, (492.0, 144.0)), area);
        near(feet(&survey, kind), length);
        near(heights(&survey).0, 0.0);
        laid_out(survey, job);
    }
}

/// One edge named by its tag and by a point: two kinds are an error, for one of them must be wrong.
#[test]
fn two_entries_of_one_edge_must_agree() {
    let job = "[[roof.edge]]\ntag = \"E2\"\nkind = \"rake\"\n[[roof.edge]]\nnear = [0, 100]\n";
    let error = with_job(&format!("{job}kind = \"eave\"\n")).unwrap_err();
    assert_eq!((error.code, error.place.line), ("hint-target", Some(4)));
    assert!(with_job(&format!("{job}overhang = \"1 ft\"\n")).is_ok());
}

/// Two houses on a sheet are roofed over each by itself; the tags of both outlines stay, and a gable of the second is the second's.
#[test]
fn each_outline_of_a_sheet_has_its_own_roof() {
    let ring = |x: f64| RECTANGLE.map(|(a, b)| (a + x, b));
    let text = |ring: &[(f64, f64)]| String::from_utf8(drawing(ring)).unwrap();
    let second = text(&ring(1000.0));
    let from = second.find("  0\nLWPOLYLINE").unwrap();
    let entity = &second[from..second.rfind("  0\nENDSEC").unwrap()];
    let first = text(&ring(0.0));
    let both = first.replacen("  0\nLWPOLYLINE", &format!("{entity}  0\nLWPOLYLINE"), 1);
    let read = |edges: Vec<EdgeHint>| {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.roof.default_pitch = Setting::given(0.5);
        job.roof.edges = edges;
        let survey = survey(both.as_bytes(), &job).unwrap();
        assert_eq!(eavesdraft::roof::check_invariants(&survey.roof), Vec::<String>::new());
        survey
    };
    let plain = read(Vec::new());
    assert_eq!(plain.roof.units.iter().map(|u| u.faces.len()).collect::<Vec<_>>(), [4, 4]);
    let gabled = read(vec![hint((1480.0, 100.0), Some(EdgeKind::Rake))]);
    assert_eq!(gabled.roof.units.iter().map(|u| u.faces.len()).collect::<Vec<_>>(), [4, 3]);
    for edge in 0..8 {
        let id = eavesdraft::index::EdgeId::new(edge);
        let middle = plain.plan.segment(id).midpoint();
        assert!(gabled.roof.segment(id).distance_to(middle) < 1e-6 || gabled.roof.edge(id).kind == EdgeKind::Rake);
    }
}

fn run(words: &[&std::ffi::OsStr]) -> std::process::Output {
    std::process::Command::new(env!("CARGO_BIN_EXE_eavesdraft")).args(words).output().unwrap()
}

/// Drafts a drawing by the command and reads `N.json`; `job` makes the job file from what `init` writes.
fn drafted(points: &[(f64, f64)], job: impl Fn(String) -> String) -> serde_json::Value {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| folder.path().join(name);
    std::fs::write(file("house.dxf"), drawing(points)).unwrap();
    let made = run(&["init".as_ref(), file("house.dxf").as_ref(), "-o".as_ref(), file("template.toml").as_ref()]);
    assert_eq!(made.status.code(), Some(0), "{}", String::from_utf8_lossy(&made.stderr));
    std::fs::write(file("job.toml"), job(std::fs::read_to_string(file("template.toml")).unwrap())).unwrap();
    let (plan, settings, out) = (file("house.dxf"), file("job.toml"), file("out"));
    let made =
        run(&["draft".as_ref(), plan.as_ref(), "--job".as_ref(), settings.as_ref(), "-o".as_ref(), out.as_ref()]);
    assert_eq!(made.status.code(), Some(0), "{}", String::from_utf8_lossy(&made.stderr));
    let names: Vec<String> =
        std::fs::read_dir(&out).unwrap().map(|f| f.unwrap().file_name().to_string_lossy().into_owned()).collect();
    for ending in ["-sheets.pdf", "-sheets.dxf", "-overlay.dxf", "-segments.csv", "-materials.csv", "-E-101.svg"] {
        assert!(names.iter().any(|n| n.ends_with(ending)), "{ending} is missing: {names:?}");
    }
    let json = names.iter().find(|n| n.ends_with(".json")).unwrap();
    serde_json::from_slice(&std::fs::read(out.join(json)).unwrap()).unwrap()
}

/// The required reach of each zone, inches, rising.
fn reaches(made: &serde_json::Value) -> Vec<f64> {
    let zones = made["zones"].as_array().unwrap();
    let mut all: Vec<f64> = zones.iter().map(|z| z["required_reach"].as_f64().unwrap()).collect();
    all.sort_by(f64::total_cmp);
    all
}

const TWO_LINES: &str = "roof.default_pitch = \"8:12\"\nroof.edge = [{ near = [480, 100], kind = \"rake\" }]\n";

/// Rectangle, 8:12, one gable: three eaves, each heated (12 + 24) x sqrt(1 + (8/12)^2) = 43.27 in up the slope.
#[test]
fn two_lines_of_a_job_draft_a_rectangle() {
    let made = drafted(&RECTANGLE, |_| TWO_LINES.into());
    let reaches = reaches(&made);
    assert_eq!(reaches.len(), 3);
    reaches.iter().for_each(|&r| assert!((r - 43.267).abs() < 0.01, "{r}"));
}

/// L with a wing eave at 12:12 among 6:12: (12 + 24) x 1.4142 = 50.91 in there and 40.25 in elsewhere; a valley has a band on each side.
#[test]
fn two_lines_of_a_job_draft_an_ell_of_unequal_pitches() {
    let ell = [(0.0, 0.0), (600.0, 0.0), (600.0, 288.0), (240.0, 288.0), (240.0, 600.0), (0.0, 600.0)];
    let made = drafted(&ell, |_| {
        "roof.default_pitch = \"6:12\"\nroof.edge = [{ near = [240, 450], pitch = \"12:12\" }]\n".into()
    });
    let eaves: Vec<f64> = reaches(&made).into_iter().filter(|r| *r < 51.0).collect();
    assert_eq!(eaves.len(), 6);
    eaves[..5].iter().for_each(|&r| assert!((r - 40.249).abs() < 0.01, "{r}"));
    assert!((eaves[5] - 50.912).abs() < 0.01, "{eaves:?}");
}

/// T with a gable on its stem: the slope on both sides of the stem is one face with two eaves on one level, so five eave zones.
#[test]
fn two_lines_of_a_job_draft_a_tee_with_a_gable() {
    let made = drafted(&TEE, |_| {
        "roof.default_pitch = \"6:12\"\nroof.edge = [{ near = [300, -180], kind = \"rake\" }]\n".into()
    });
    let kinds = |kind: &str| {
        let edges = made["roofs"][0]["edges"].as_array().unwrap();
        edges.iter().filter(|e| e["kind"] == kind).count()
    };
    assert_eq!((kinds("rake"), kinds("eave"), kinds("valley")), (2, 7, 2));
    assert!(reaches(&made).iter().filter(|r| (**r - 40.249).abs() < 0.01).count() >= 6);
}

/// What `init` writes for a bare outline: its edges ready to fill in, the short ends suggested as gables, nothing guessed. With the pitch
/// and one entry uncommented it drafts.
#[test]
fn the_template_of_an_outline_is_filled_in_and_drafts() {
    let made = drafted(&RECTANGLE, |template| {
        assert_eq!(template.matches("#[[roof.edge]]").count(), 4, "{template}");
        assert_eq!(template.matches("Short end of a wing").count(), 2, "{template}");
        let east = template.split("#[[roof.edge]]\n").find(|entry| entry.starts_with("#tag = \"E2\"")).unwrap();
        assert!(east.contains("#kind = \"eave\"") && east.contains("#pitch = \"6:12\""), "{east}");
        template
            .replace("#default_pitch =", "default_pitch =")
            .replace("#[[roof.edge]]\n#tag = \"E2\"\n", "[[roof.edge]]\ntag = \"E2\"\nkind = \"rake\"\n")
    });
    assert_eq!(made["roofs"][0]["faces"].as_array().unwrap().len(), 3);
}

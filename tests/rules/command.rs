//! The command as a person uses it: exit statuses, streams, wrong input, and nothing half written.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name)
}

fn run(words: &[&std::ffi::OsStr]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_eavesdraft")).args(words).output().unwrap()
}

macro_rules! eavesdraft {
    ($($word:expr),* $(,)?) => { run(&[$(std::ffi::OsStr::new(&$word)),*]) };
}

/// Asserts status, error code and that a remedy is printed; nothing may go to standard output.
fn assert_refused(output: &Output, status: i32, code: &str) {
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(status), "{errors}");
    assert!(errors.contains(&format!("[{code}]")), "expected [{code}] in:\n{errors}");
    assert!(errors.contains("hint:"), "no remedy in:\n{errors}");
    assert!(output.stdout.is_empty(), "data on stdout: {}", String::from_utf8_lossy(&output.stdout));
}

fn file(folder: &Path, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, bytes).unwrap();
    path
}

/// A plan from group-code pairs in an ENTITIES section.
fn drawing(entities: &str) -> String {
    format!("  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n")
}

fn line(layer: &str, a: (f64, f64), b: (f64, f64)) -> String {
    format!("  0\nLINE\n  8\n{layer}\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n", a.0, a.1, b.0, b.1)
}

#[test]
fn no_arguments_prints_the_help_and_ends_with_2() {
    let output = run(&[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("Usage:"));
}

#[test]
fn help_and_version_are_data() {
    for word in ["--help", "--version"] {
        let output = eavesdraft!(word);
        assert_eq!(output.status.code(), Some(0));
        assert!(String::from_utf8_lossy(&output.stdout).contains("eavesdraft"));
    }
}

#[test]
fn a_missing_file_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let output = eavesdraft!("inspect", folder.path().join("nowhere.dxf"));
    assert_refused(&output, 3, "not-found");
    assert!(String::from_utf8_lossy(&output.stderr).contains("nowhere.dxf"));
}

#[test]
fn a_folder_in_place_of_the_plan_is_explained() {
    let folder = tempfile::tempdir().unwrap();
    assert_refused(&eavesdraft!("inspect", folder.path()), 3, "plan-is-folder");
}

#[test]
fn the_job_file_in_place_of_the_plan_is_explained() {
    assert_refused(&eavesdraft!("inspect", sample("gable/job.toml")), 2, "plan-is-job");
}

#[test]
fn a_picture_renamed_dxf_is_recognised() {
    let folder = tempfile::tempdir().unwrap();
    let picture = file(folder.path(), "plan.dxf", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01");
    let output = eavesdraft!("draft", picture, "-o", folder.path().join("out"));
    assert_refused(&output, 3, "not-dxf");
    assert!(String::from_utf8_lossy(&output.stderr).contains("PNG"));
    assert!(!folder.path().join("out").exists());
}

#[test]
fn an_empty_file_is_said_to_be_empty() {
    let folder = tempfile::tempdir().unwrap();
    assert_refused(&eavesdraft!("inspect", file(folder.path(), "plan.dxf", b"")), 3, "empty-file");
}

#[test]
fn a_truncated_file_is_read_as_far_as_it_goes_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let whole = std::fs::read(sample("hipped-l/plan.dxf")).unwrap();
    let cut = file(folder.path(), "plan.dxf", &whole[..whole.len() * 9 / 10]);
    let output = eavesdraft!("inspect", cut);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{errors}");
    assert!(errors.contains("warning[truncated]"), "{errors}");
}

#[test]
fn a_drawing_without_a_roof_lists_its_layers() {
    let folder = tempfile::tempdir().unwrap();
    let text = drawing(&line("C-TOPO", (0.0, 0.0), (300.0, 0.0)));
    let output = eavesdraft!("inspect", file(folder.path(), "plan.dxf", text.as_bytes()), "--layer", "A-ROOF*");
    assert_refused(&output, 1, "no-roof");
    assert!(String::from_utf8_lossy(&output.stderr).contains("C-TOPO"));
}

#[test]
fn an_open_outline_names_the_gap_and_its_size() {
    let folder = tempfile::tempdir().unwrap();
    // A rectangle 480 x 288 whose left side stops 8 in short of its corner.
    let text = drawing(
        &[
            line("A-ROOF", (0.0, 0.0), (480.0, 0.0)),
            line("A-ROOF", (480.0, 0.0), (480.0, 288.0)),
            line("A-ROOF", (480.0, 288.0), (0.0, 288.0)),
            line("A-ROOF", (0.0, 288.0), (0.0, 8.0)),
        ]
        .concat(),
    );
    let output = eavesdraft!("inspect", file(folder.path(), "plan.dxf", text.as_bytes()), "--units", "in");
    assert_refused(&output, 1, "open-outline");
    assert!(String::from_utf8_lossy(&output.stderr).contains("8\""), "{}", String::from_utf8_lossy(&output.stderr));
}

/// Rooms of a floor plan are faces too, but no slopes meet in all their walls.
#[test]
fn a_floor_plan_is_doubted_as_a_roof() {
    let rectangle = |w: f64, h: f64| [[0.0, 0.0, w, 0.0], [w, 0.0, w, h], [w, h, 0.0, h], [0.0, h, 0.0, 0.0]];
    let partitions = [
        [200.0, 0.0, 200.0, 150.0],
        [200.0, 150.0, 0.0, 150.0],
        [200.0, 110.0, 480.0, 110.0],
        [320.0, 110.0, 320.0, 360.0],
        [320.0, 240.0, 480.0, 240.0],
        [140.0, 150.0, 140.0, 360.0],
        [140.0, 260.0, 320.0, 260.0],
        [230.0, 110.0, 230.0, 260.0],
    ];
    let lines = rectangle(480.0, 360.0).into_iter().chain(partitions);
    let entities: String = lines.map(|[ax, ay, bx, by]| line("PLAN", (ax, ay), (bx, by))).collect();
    let folder = tempfile::tempdir().unwrap();
    let plan = file(folder.path(), "floor.dxf", drawing(&entities).as_bytes());
    let output = eavesdraft!("inspect", plan);
    let text = String::from_utf8_lossy(&output.stderr);
    assert!(text.contains("warning[unlikely-roof]: 10 of 16 lines between the faces"), "{text}");
    assert!(text.contains("warning[non-planar]: 7 more like these"), "{text}");
}

#[test]
fn nonsense_units_are_refused_with_the_choices() {
    let output = eavesdraft!("inspect", sample("gable/plan.dxf"), "--units", "parsec");
    assert_eq!(output.status.code(), Some(2));
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(errors.contains("parsec") && errors.contains("mm"), "{errors}");
}

#[test]
fn an_unknown_job_key_names_the_line_and_the_nearest_key() {
    let folder = tempfile::tempdir().unwrap();
    let job = file(folder.path(), "job.toml", b"[roof]\nwork = \"new-roof\"\novrhang = \"12 in\"\n");
    let output = eavesdraft!("draft", sample("gable/plan.dxf"), "--job", job, "-o", folder.path().join("out"));
    assert_eq!(output.status.code(), Some(2));
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(errors.contains("ovrhang") && errors.contains("line 3") && errors.contains("overhang"), "{errors}");
}

#[test]
fn an_output_folder_that_cannot_be_made_is_named_before_anything_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let in_the_way = file(folder.path(), "out", b"a file, not a folder");
    let output = eavesdraft!("draft", sample("gable/plan.dxf"), "--job", sample("gable/job.toml"), "-o", in_the_way);
    assert_refused(&output, 3, "output-folder");
    assert_eq!(std::fs::read(folder.path().join("out")).unwrap(), b"a file, not a folder");
}

#[test]
fn a_failed_run_leaves_earlier_output_whole() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let made = eavesdraft!("draft", sample("gable/plan.dxf"), "--job", sample("gable/job.toml"), "-o", out);
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let read_all = || {
        let mut files: Vec<(PathBuf, Vec<u8>)> = std::fs::read_dir(&out)
            .unwrap()
            .map(|e| e.unwrap().path())
            .map(|p| (p.clone(), std::fs::read(p).unwrap()))
            .collect();
        files.sort();
        files
    };
    let before = read_all();
    assert!(before.len() > 8);
    let broken = file(folder.path(), "plan.dxf", b"\x89PNG\r\n\x1a\n");
    assert!(!eavesdraft!("draft", broken, "--job", sample("gable/job.toml"), "-o", out).status.success());
    assert!(before == read_all(), "earlier output changed");
}

#[test]
fn init_never_overwrites_and_its_file_drafts() {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("job.toml");
    let made = eavesdraft!("init", sample("hipped-l/plan.dxf"), "-o", job);
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let again = eavesdraft!("init", sample("hipped-l/plan.dxf"), "-o", job);
    assert_refused(&again, 2, "output-exists");
    let checked = eavesdraft!("check", sample("hipped-l/plan.dxf"), "--job", job);
    assert_eq!(checked.status.code(), Some(0), "{}", String::from_utf8_lossy(&checked.stderr));
}

#[test]
fn every_stage_can_be_dumped() {
    for stage in ["import", "plan", "roof", "zones", "courses", "wiring", "checks", "takeoff", "sheet"] {
        let output = eavesdraft!(
            "draft",
            sample("gable/plan.dxf"),
            "--job",
            sample("gable/job.toml"),
            "-o",
            "never-made",
            "--dump",
            stage
        );
        assert!(output.status.success(), "{stage}: {}", String::from_utf8_lossy(&output.stderr));
        let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert!(value.is_object(), "{stage}");
    }
    assert!(!Path::new("never-made").exists());
}

/// Four parallel slopes are a gambrel or two gables side by side: the plan does not say, so the command asks instead of guessing.
#[test]
fn a_roof_that_cannot_be_known_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let text = drawing(
        &[
            line("A-ROOF", (0.0, 0.0), (480.0, 0.0)),
            line("A-ROOF", (480.0, 0.0), (480.0, 288.0)),
            line("A-ROOF", (480.0, 288.0), (0.0, 288.0)),
            line("A-ROOF", (0.0, 288.0), (0.0, 0.0)),
            line("A-ROOF", (0.0, 72.0), (480.0, 72.0)),
            line("A-ROOF", (0.0, 144.0), (480.0, 144.0)),
            line("A-ROOF", (0.0, 216.0), (480.0, 216.0)),
        ]
        .concat(),
    );
    let plan = file(folder.path(), "plan.dxf", text.as_bytes());
    let output = eavesdraft!("draft", plan, "--units", "in", "-o", folder.path().join("out"));
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{errors}");
    assert!(errors.contains("hint:"), "{errors}");
    let names: Vec<String> = std::fs::read_dir(folder.path().join("out"))
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(names, ["plan-key-plan.svg"]);
}

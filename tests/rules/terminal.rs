//! What a person reads on the terminal: short questions, counted findings, the right file named, nothing raw from a drawing.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn run<'w>(words: impl IntoIterator<Item = &'w OsStr>) -> Output {
    Command::new(env!("CARGO_BIN_EXE_eavesdraft")).args(words).output().unwrap()
}

macro_rules! eavesdraft {
    ($($word:expr),* $(,)?) => { run([$(OsStr::new(&$word)),*]) };
}

fn errors(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn data(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// A plan of straight lines on one layer.
fn plan(folder: &Path, name: &str, layer: &str, lines: &[[f64; 4]]) -> PathBuf {
    let lines: String = lines
        .iter()
        .map(|[a, b, c, d]| format!("  0\nLINE\n  8\n{layer}\n 10\n{a:?}\n 20\n{b:?}\n 11\n{c:?}\n 21\n{d:?}\n"))
        .collect();
    let path = folder.join(name);
    std::fs::write(&path, format!("  0\nSECTION\n  2\nENTITIES\n{lines}  0\nENDSEC\n  0\nEOF\n")).unwrap();
    path
}

/// 40 ft by 24 ft, its sides scaled.
fn rectangle(scale: f64) -> Vec<[f64; 4]> {
    let (w, h) = (480.0 * scale, 288.0 * scale);
    vec![[0.0, 0.0, w, 0.0], [w, 0.0, w, h], [w, h, 0.0, h], [0.0, h, 0.0, 0.0]]
}

/// A gable: the rectangle with its ridge.
fn gable(scale: f64) -> Vec<[f64; 4]> {
    let mut lines = rectangle(scale);
    lines.push([0.0, 144.0 * scale, 480.0 * scale, 144.0 * scale]);
    lines
}

/// One diagonal across a rectangle: two pairs of sides may be the eaves.
fn diagonal() -> Vec<[f64; 4]> {
    let mut lines = rectangle(1.0);
    lines.push([0.0, 0.0, 480.0, 288.0]);
    lines
}

#[test]
fn a_question_is_asked_once_with_its_place_and_answers_that_differ() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = plan(folder.path(), "plan.dxf", "A-ROOF", &diagonal());
    let output = eavesdraft!("inspect", drawing, "--units", "in");
    let text = data(&output);
    let asked = text.split("question Q1: ").nth(1).unwrap_or_else(|| panic!("{text}"));
    let mut lines = asked.lines();
    let question = lines.next().unwrap();
    assert!(question.starts_with("What are ") && question.ends_with('?'), "{question}");
    assert_eq!(lines.next(), Some("   at: E1, (240, 0) in"), "the middle of the lower side");
    let answers: Vec<&str> = lines.by_ref().take_while(|line| line.starts_with("    ")).collect();
    assert!(answers.len() >= 2 && answers[0].starts_with("    a) "), "{asked}");
    let mut words: Vec<&str> = answers.iter().map(|answer| &answer[7..]).collect();
    words.sort_unstable();
    words.dedup();
    assert_eq!(words.len(), answers.len(), "no answer twice: {answers:?}");
    for clause in words[0].split("; ") {
        assert!(!words.iter().all(|other| other.split("; ").any(|c| c == clause)), "all answers say '{clause}'");
    }
    assert_eq!(asked.matches("hint:").count(), 1, "how to answer is said once: {asked}");
    // The finding does not repeat it all.
    assert!(!errors(&output).contains("Which is right"), "{}", errors(&output));
}

#[test]
fn control_characters_of_a_drawing_or_path_never_reach_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = plan(folder.path(), "plan.dxf", "A-ROOF\u{1b}[31m\u{202e}RED", &gable(1.0));
    for command in ["inspect", "check"] {
        let output = eavesdraft!(command, drawing, "--units", "in");
        let all = data(&output) + &errors(&output);
        assert!(all.contains("\\u{1b}[31m"), "the layer is named, escaped: {all}");
        assert!(!all.contains(['\u{1b}', '\u{202e}']), "{all:?}");
    }
    let missing = eavesdraft!("inspect", folder.path().join("no\u{1b}where.dxf"));
    assert!(errors(&missing).contains("no\\u{1b}where.dxf") && !errors(&missing).contains('\u{1b}'));
}

#[test]
fn an_error_names_the_file_it_is_about() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = plan(folder.path(), "plan.dxf", "A-ROOF", &gable(1.0));
    let job = folder.path().join("house.toml");
    std::fs::write(&job, "[roof]\ncovering = \"slate\"\n").unwrap();
    let refused = eavesdraft!("check", drawing, "--job", job, "--units", "in");
    assert_eq!(refused.status.code(), Some(1), "{}", errors(&refused));
    assert!(errors(&refused).contains("[covering]") && errors(&refused).contains("house.toml"), "{}", errors(&refused));
    std::fs::write(&job, "[[roof.edge]]\ntag = \"E99\"\nkind = \"eave\"\n").unwrap();
    let unknown = eavesdraft!("check", drawing, "--job", job, "--units", "in");
    assert_eq!(unknown.status.code(), Some(2), "{}", errors(&unknown));
    assert!(errors(&unknown).contains("house.toml") && !errors(&unknown).contains("at: plan"), "{}", errors(&unknown));
    let blocked = folder.path().join("file");
    std::fs::write(&blocked, "not a folder").unwrap();
    let output = eavesdraft!("draft", drawing, "--units", "in", "-o", blocked);
    assert_eq!(output.status.code(), Some(3), "{}", errors(&output));
    let place = errors(&output).lines().find(|line| line.trim_start().starts_with("at:")).unwrap().to_owned();
    assert!(place.contains("file") && !place.contains("plan.dxf"), "{place}");
}

#[test]
fn two_untouched_jobs_do_not_overwrite_each_other() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    for name in ["north wing", "south.wing"] {
        let drawing = plan(folder.path(), &format!("{name}.dxf"), "A-ROOF", &gable(1.0));
        let job = folder.path().join(format!("{name}.toml"));
        let made = eavesdraft!("init", drawing, "--units", "in", "-o", job);
        assert!(made.status.success(), "{}", errors(&made));
        let drafted = eavesdraft!("draft", drawing, "--job", job, "--units", "in", "-o", out);
        assert!(drafted.status.success(), "{}", errors(&drafted));
    }
    for file in ["north-wing.json", "south-wing.json"] {
        assert!(out.join(file).is_file(), "{file}");
    }
}

#[test]
fn a_job_without_a_number_takes_the_drawings_name() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = plan(folder.path(), "-barn.dxf", "A-ROOF", &gable(1.0));
    let job = folder.path().join("job.toml");
    std::fs::write(&job, "[project]\ntitle = \"Barn\"\n").unwrap();
    let output = eavesdraft!("draft", drawing, "--job", job, "--units", "in", "-o", folder.path().join("out"));
    assert!(output.status.success(), "{}", errors(&output));
    assert!(folder.path().join("out/barn.json").is_file(), "without the dash that would look like an option");
}

/// 4,800,000 units long: no unit makes a roof of it.
#[test]
fn a_roof_of_implausible_size_asks_for_the_unit() {
    let folder = tempfile::tempdir().unwrap();
    let mut text = std::fs::read_to_string(plan(folder.path(), "lines.dxf", "A-ROOF", &gable(10_000.0))).unwrap();
    // The header claims metres.
    text.insert_str(0, "  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n6\n  0\nENDSEC\n");
    let drawing = folder.path().join("plan.dxf");
    std::fs::write(&drawing, text).unwrap();
    let out = folder.path().join("out");
    let output = eavesdraft!("draft", drawing, "-o", out);
    assert_eq!(output.status.code(), Some(1), "{}", errors(&output));
    assert!(errors(&output).contains("must settle[roof-too-large]"), "{}", errors(&output));
    assert!(errors(&output).contains("--units"), "{}", errors(&output));
    assert!(!out.join("plan.json").exists(), "no layout is drawn");
    let named = eavesdraft!("inspect", drawing, "--units", "mm");
    assert!(!errors(&named).contains("roof-too-large"), "{}", errors(&named));
}

#[test]
fn many_findings_of_one_code_are_one_line_and_json_keeps_them_all() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = plan(folder.path(), "plan.dxf", "A-ROOF", &gable(1.0));
    let text = data(&eavesdraft!("check", drawing, "--units", "in"));
    assert_eq!(text.matches("[assumed-setting]").count(), 1, "{text}");
    let line = text.lines().find(|line| line.contains("[assumed-setting]")).unwrap();
    let json: serde_json::Value =
        serde_json::from_slice(&eavesdraft!("check", drawing, "--units", "in", "--json").stdout).unwrap();
    let settings: Vec<&serde_json::Value> =
        json.as_array().unwrap().iter().filter(|f| f["code"] == "assumed-setting").collect();
    assert!(settings.len() > 3 && line.contains(&format!("{} settings", settings.len())), "{line}");
    for setting in settings {
        assert!(line.contains(setting["place"]["item"].as_str().unwrap()), "{line}: {setting}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_nowhere_is_explained() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = plan(folder.path(), "plan.dxf", "A-ROOF", &gable(1.0));
    let link = folder.path().join("link");
    std::os::unix::fs::symlink(folder.path().join("gone"), &link).unwrap();
    for command in ["draft", "init"] {
        let output = eavesdraft!(command, drawing, "--units", "in", "-o", link);
        assert_eq!(output.status.code(), Some(3), "{}", errors(&output));
        assert!(errors(&output).contains("[output-link]") && errors(&output).contains("hint:"), "{}", errors(&output));
        assert!(link.is_symlink() && !link.exists(), "nothing was made");
    }
}

#[test]
fn every_command_gives_json_on_standard_output_alone() {
    let folder = tempfile::tempdir().unwrap();
    let sure = plan(folder.path(), "plan.dxf", "A-ROOF", &gable(1.0));
    let open = plan(folder.path(), "open.dxf", "A-ROOF", &diagonal());
    let out = folder.path().join("out");
    let job = folder.path().join("job.toml");
    for (words, status) in [
        (vec![OsStr::new("inspect"), sure.as_os_str()], 0),
        (vec![OsStr::new("check"), sure.as_os_str()], 0),
        (vec![OsStr::new("init"), sure.as_os_str(), OsStr::new("-o"), job.as_os_str()], 0),
        (vec![OsStr::new("draft"), sure.as_os_str(), OsStr::new("-o"), out.as_os_str()], 0),
        (vec![OsStr::new("check"), open.as_os_str()], 1),
        (vec![OsStr::new("draft"), open.as_os_str(), OsStr::new("-o"), out.as_os_str()], 1),
    ] {
        let words = words.into_iter().chain(["--units", "in", "--json"].map(OsStr::new));
        let words: Vec<&OsStr> = words.collect();
        let output = run(words.iter().copied());
        assert_eq!(output.status.code(), Some(status), "{words:?}: {}", errors(&output));
        let value: serde_json::Value =
            serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{words:?}: {e}: {}", data(&output)));
        assert!(value.is_object() || value.is_array(), "{words:?}");
    }
}

#[test]
fn wrong_uses_end_with_2_and_say_so_on_standard_error() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = plan(folder.path(), "plan.dxf", "A-ROOF", &gable(1.0));
    let path = drawing.to_str().unwrap();
    for words in [
        vec!["paint", path],
        vec!["draft", path],
        vec!["draft", path, "-o"],
        vec!["inspect", path, "--units", "cubits"],
        vec!["inspect"],
        vec!["init", path],
        vec!["check", path, "--leave-open"],
        vec!["draft", path, "-o", "never-made", "--dump", "kitchen"],
    ] {
        let output = run(words.iter().map(OsStr::new));
        assert_eq!(output.status.code(), Some(2), "{words:?}: {}", errors(&output));
        assert!(output.stdout.is_empty() && !output.stderr.is_empty(), "{words:?}");
    }
    assert!(!Path::new("never-made").exists());
}

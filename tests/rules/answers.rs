//! An open roof answered in the job file: from the key plan to the drawing, by the command as a person uses it.

use std::ffi::OsStr;
use std::path::Path;
use std::process::{Command, Output};

fn run(words: &[&OsStr]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_eavesdraft")).args(words).output().unwrap()
}

macro_rules! eavesdraft {
    ($($word:expr),* $(,)?) => { run(&[$(OsStr::new(&$word)),*]) };
}

fn assert_status(output: &Output, status: i32) {
    assert_eq!(output.status.code(), Some(status), "{}", String::from_utf8_lossy(&output.stderr));
}

/// Four slopes side by side under one length of eave: a gambrel, or two gables with a valley between them.
fn four_slopes() -> String {
    let across = [0.0, 60.0, 144.0, 228.0, 288.0];
    let mut lines: Vec<[f64; 4]> = across.iter().map(|&y| [0.0, y, 480.0, y]).collect();
    for pair in across.windows(2) {
        lines.extend([0.0, 480.0].map(|x| [x, pair[0], x, pair[1]]));
    }
    let entities: String = lines
        .iter()
        .map(|[ax, ay, bx, by]| format!("  0\nLINE\n  8\nA-ROOF\n 10\n{ax:?}\n 20\n{ay:?}\n 11\n{bx:?}\n 21\n{by:?}\n"))
        .collect();
    format!(
        "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n"
    )
}

/// Uncomments the entry of one edge as a person would, and writes the kind.
fn answer(template: &str, edge: &str, kind: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    let mut answered = false;
    let mut lines = template.lines().peekable();
    while let Some(line) = lines.next() {
        if line == "#[[roof.edge]]" && lines.peek() == Some(&format!("#tag = \"{edge}\"").as_str()) {
            inside = true;
        }
        let open = inside && line.starts_with("#kind = ");
        let plain = line.strip_prefix('#').filter(|rest| inside && !rest.starts_with('#'));
        out += &if open { format!("kind = \"{kind}\"") } else { plain.unwrap_or(line).to_owned() };
        out.push('\n');
        answered |= open;
        inside &= !open;
    }
    assert!(answered, "no entry for {edge} in:\n{template}");
    out
}

fn edges(folder: &Path, job: &Path) -> Vec<serde_json::Value> {
    let output = eavesdraft!("inspect", folder.join("plan.dxf"), "--job", job, "--json");
    assert_status(&output, 0);
    let read: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    read["roofs"][0]["edges"].as_array().unwrap().clone()
}

#[test]
fn an_answer_written_in_the_template_carries_through_to_the_drawing() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let (plan, template, job) = (folder.join("plan.dxf"), folder.join("template.toml"), folder.join("job.toml"));
    std::fs::write(&plan, four_slopes()).unwrap();

    let (open, drawn) = (folder.join("open"), folder.join("drawn"));
    assert_status(&eavesdraft!("draft", plan, "-o", open), 1);
    let written: Vec<_> = std::fs::read_dir(&open).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert_eq!(written, ["plan-key-plan.svg"]);

    assert_status(&eavesdraft!("init", plan, "-o", template), 0);
    let mut text = std::fs::read_to_string(&template).unwrap();
    let gambrel = [("E4", "pitch-break"), ("E7", "ridge"), ("E10", "pitch-break")];
    for (edge, kind) in gambrel {
        text = answer(&text, edge, kind);
    }
    std::fs::write(&job, text).unwrap();
    assert_status(&eavesdraft!("draft", plan, "--job", job, "-o", drawn), 0);
    assert!(std::fs::read_dir(&drawn).unwrap().count() > 1);

    let edges = edges(folder, &job);
    for (edge, kind) in gambrel {
        let found = edges.iter().find(|e| e["id"] == edge).unwrap();
        assert_eq!((found["kind"].as_str(), found["basis"].as_str()), (Some(kind), Some("set")), "{found}");
    }
}

//! Bad files against the program itself: it ends, in words, within 2 s a megabyte + 1 s and 64 MB + four times the file.

#![expect(clippy::print_stdout, reason = "a harness prints its table")]

#[path = "../fuzz/mutate.rs"]
mod mutate;

use std::path::{Path, PathBuf};
use std::process::Command;

/// Megabyte.
const MB: u64 = 1 << 20;

/// Address space of the program before it has read anything: its own image and libraries, with and without optimisation.
const IMAGE: u64 = 48 * MB;

/// An unoptimised program may take this many times longer.
const SLOWNESS: u64 = if cfg!(debug_assertions) { 20 } else { 3 };

/// The program to test: the one built with these tests, or the one `EAVESDRAFT_BIN` names.
fn program() -> PathBuf {
    std::env::var_os("EAVESDRAFT_BIN").map_or_else(|| env!("CARGO_BIN_EXE_eavesdraft").into(), PathBuf::from)
}

/// What is wrong with how the program ends on a file; its first words otherwise.
///
/// The shell caps the address space, so an allocation past the bound stops the program and fails the test.
fn end_of(file: &Path) -> Result<String, String> {
    let size = std::fs::metadata(file).unwrap().len();
    let seconds = (1 + 2 * size / MB) * SLOWNESS;
    let kilobytes = (64 * MB + 4 * size + IMAGE) / 1024;
    let output = Command::new("bash")
        .args(["-c", r#"ulimit -v "$1"; exec timeout "$2" "$3" check "$4""#, "bash"])
        .arg(kilobytes.to_string())
        .arg(seconds.to_string())
        .arg(program())
        .arg(file)
        .output()
        .expect("bash cannot be started");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let first = said.lines().next().unwrap_or("").to_owned();
    match output.status.code() {
        Some(0) => Ok(first),
        Some(1 | 3) if !said.trim().is_empty() => Ok(first),
        Some(124) => Err(format!("runs longer than {seconds} s on {size} bytes")),
        code => Err(format!("ends with {code:?} within {} MB: {said}", kilobytes / 1024)),
    }
}

fn assert_all_end(files: &[PathBuf]) {
    let mut wrong = Vec::new();
    for file in files {
        let name = file.file_name().unwrap().to_string_lossy();
        match end_of(file) {
            Ok(words) => println!("{name}: {words}"),
            Err(words) => wrong.push(format!("{name}: {words}")),
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), files.len(), wrong.join("\n"));
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn hostile_files_end_within_their_bounds() {
    let data = PathBuf::from(std::env::var_os("EAVESDRAFT_DATA").expect("EAVESDRAFT_DATA names the data folder"));
    let entries = std::fs::read_dir(data.join("dxf/hostile")).unwrap();
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    files.sort();
    assert!(files.len() >= 40, "{} files", files.len());
    assert_all_end(&files);
}

const GABLE: &str = "0\nLWPOLYLINE\n8\nA-ROOF\n90\n4\n70\n1\n10\n0\n20\n0\n10\n480\n20\n0\n10\n480\n20\n288\n10\n0\n20\n288\n\
    0\nLINE\n8\nA-ROOF\n10\n0\n20\n144\n11\n480\n21\n144\n";
const HEADER: &str = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n";

fn drawing(tables: &str, blocks: &str, entities: &str) -> String {
    let section = |name: &str, body: &str| format!("0\nSECTION\n2\n{name}\n{body}0\nENDSEC\n");
    HEADER.to_owned()
        + &section("TABLES", tables)
        + &section("BLOCKS", blocks)
        + &section("ENTITIES", entities)
        + "0\nEOF\n"
}

/// Files too large to keep.
fn large() -> Vec<(&'static str, String)> {
    let long = 64 << 20;
    let layers: String = (0..1_000_000).map(|i| format!("0\nLAYER\n2\nL{i}\n70\n0\n62\n7\n")).collect();
    let used: String =
        (0..300_000).map(|i| format!("0\nLINE\n8\nLAYER-{i}\n10\n{i}\n20\n0\n11\n{i}\n21\n9\n")).collect();
    let mut bomb =
        "0\nBLOCK\n8\n0\n2\nB0\n10\n0\n20\n0\n0\nLINE\n8\n0\n10\n0\n20\n0\n11\n9\n21\n9\n0\nENDBLK\n".to_owned();
    for level in 1..100 {
        let inner = format!("0\nINSERT\n8\n0\n2\nB{}\n10\n1\n20\n1\n", level - 1).repeat(10);
        bomb += &format!("0\nBLOCK\n8\n0\n2\nB{level}\n10\n0\n20\n0\n{inner}0\nENDBLK\n");
    }
    let wide_bomb: String = (1..60)
        .map(|level| {
            let inner = format!("0\nINSERT\n8\nA-ROOF\n2\nW{}\n10\n1\n20\n1\n70\n2\n44\n1\n", level - 1);
            format!("0\nBLOCK\n8\n0\n2\nW{level}\n10\n0\n20\n0\n{inner}0\nENDBLK\n")
        })
        .collect();
    let wide_bomb = "0\nBLOCK\n8\n0\n2\nW0\n10\n0\n20\n0\n0\nTEXT\n8\n0\n10\n0\n20\n0\n40\n1\n1\nX\n0\nENDBLK\n"
        .to_owned()
        + &wide_bomb;
    let vertices = "10\n1.5\n20\n2.5\n".repeat(2_000_000);
    let copies = GABLE.repeat(20_000);
    let rays: String =
        (0..3000).map(|i| format!("0\nLINE\n8\nA-ROOF\n10\n0\n20\n{i}\n11\n480\n21\n{}\n", 2999 - i)).collect();
    let nest = format!("0\nLINE\n{}8\nA-ROOF\n10\n0\n20\n0\n11\n9\n21\n9\n", "102\n{A\n".repeat(2_000_000));
    vec![
        ("one line of letters", "A".repeat(long)),
        ("one line of digits", "1".repeat(long)),
        ("one long code", drawing("", "", &format!("{GABLE}{}\n1\n", "9".repeat(long)))),
        (
            "one long text",
            drawing(
                "",
                "",
                &format!("{GABLE}0\nTEXT\n8\nA-ROOF\n10\n0\n20\n0\n40\n1\n1\n{}\n", "%%d".repeat(long / 3)),
            ),
        ),
        (
            "one long number",
            drawing("", "", &format!("{GABLE}0\nLINE\n8\nA-ROOF\n10\n{}\n20\n0\n11\n1\n21\n1\n", "1".repeat(long))),
        ),
        (
            "one long layer name",
            drawing("", "", &format!("{GABLE}0\nLINE\n8\n{}\n10\n1\n20\n0\n11\n1\n21\n1\n", "A".repeat(long))),
        ),
        ("a million layers", drawing(&format!("0\nTABLE\n2\nLAYER\n{layers}0\nENDTAB\n"), "", GABLE)),
        ("300,000 layers in use", drawing("", "", &(used + GABLE))),
        ("a hundred-level block bomb", drawing("", &bomb, "0\nINSERT\n8\nA-ROOF\n2\nB99\n10\n0\n20\n0\n")),
        (
            "a sixty-level block bomb of texts",
            drawing("", &wide_bomb, &format!("{GABLE}0\nINSERT\n8\nA-ROOF\n2\nW59\n10\n0\n20\n0\n")),
        ),
        (
            "two million vertices on one spot",
            drawing("", "", &format!("{GABLE}0\nLWPOLYLINE\n8\nA-ROOF\n90\n2000000\n70\n0\n{vertices}")),
        ),
        ("20,000 copies of one roof", drawing("", "", &copies)),
        ("3,000 lines through each other", drawing("", "", &rays)),
        ("two million open lists", drawing("", "", &(nest + GABLE))),
    ]
}

#[test]
#[ignore = "needs bash and half a gigabyte of disk"]
fn large_hostile_files_end_within_their_bounds() {
    let folder = tempfile::tempdir().unwrap();
    let mut wrong = Vec::new();
    for (name, text) in large() {
        let file = folder.path().join("plan.dxf");
        std::fs::write(&file, &text).unwrap();
        drop(text);
        match end_of(&file) {
            Ok(words) => println!("{name}: {words}"),
            Err(words) => wrong.push(format!("{name}: {words}")),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
#[ignore = "needs bash and some minutes"]
fn five_thousand_spoilt_drawings_end_within_their_bounds() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("plan.dxf");
    let mut wrong = Vec::new();
    let seeds = mutate::seeds();
    // The numbers of `tests/rules/mutants.rs` run on from 0.
    for (place, seed) in seeds.iter().enumerate() {
        for number in 1000..1000 + 5000 / seeds.len() as u64 {
            std::fs::write(&file, mutate::spoil(seed, number)).unwrap();
            if let Err(words) = end_of(&file) {
                wrong.push(format!("mutant {number} of seed {place}: {words}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}:\n{}", wrong.len(), wrong.join("\n"));
}

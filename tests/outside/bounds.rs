//! Time and memory of the built program on bad files, each in a process of its own, against the bounds every file must keep: 2 s for each
//! MB and 1 s, and 64 MB and four times the file.
//!
//! The processor time of the process is compared, so that a busy machine fails no file; a hang on anything but the processor would be ended
//! by the runner. A program built without optimisation is allowed [`UNOPTIMISED`] times the time; its memory bound is the same, and
//! only a part of the mutants is run. `cargo test --release --test outside bounds -- --include-ignored` measures the bounds themselves on all
//! 5,000; with `EAVESDRAFT_TRUE_BOUNDS=1` any build is held to them on all.

use super::mutate;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

const MB: f64 = 1024.0 * 1024.0;
/// How much slower the program may be when built without optimisation.
const UNOPTIMISED: f64 = 15.0;
/// No run goes on for longer than this, in seconds of processor time: over the bound of the largest file.
const HARD_SECONDS: usize = 400;

/// What one run took.
#[derive(Debug)]
struct Run {
    name: String,
    /// Exit status, or minus the signal.
    status: i32,
    seconds: f64,
    megabytes: f64,
}

fn measure(folder: &Path) -> Vec<Run> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/measure.py");
    let output = Command::new("python3")
        .arg(script)
        .args([env!("CARGO_BIN_EXE_eavesdraft").as_ref(), folder.as_os_str()])
        .args([HARD_SECONDS.to_string(), "2".to_owned()])
        .output()
        .expect("python3 runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines()
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            let kib: f64 = cells[3].parse().unwrap();
            Run {
                name: cells[0].to_owned(),
                status: cells[1].parse().unwrap(),
                seconds: cells[2].parse().unwrap(),
                megabytes: kib / 1024.0,
            }
        })
        .collect()
}

/// Whether the bounds themselves are measured rather than those of a program built without optimisation.
fn true_bounds() -> bool {
    !cfg!(debug_assertions) || std::env::var_os("EAVESDRAFT_TRUE_BOUNDS").is_some_and(|value| value == "1")
}

/// Runs the program on every file of a folder; every file must keep its bounds and end with a status of the program's own.
fn keep_bounds(folder: &Path, count: usize) -> Vec<Run> {
    let slower = if true_bounds() { 1.0 } else { UNOPTIMISED };
    let runs = measure(folder);
    assert_eq!(runs.len(), count, "runs of {}", folder.display());
    let mut statuses: BTreeMap<i32, usize> = BTreeMap::new();
    let mut broken = Vec::new();
    let (mut slowest, mut largest) = (0.0_f64, 0.0_f64);
    for run in &runs {
        let size = std::fs::metadata(folder.join(&run.name)).unwrap().len() as f64 / MB;
        let (most_seconds, most_megabytes) = (slower * (2.0 * size + 1.0), 64.0 + 4.0 * size);
        slowest = slowest.max(run.seconds / most_seconds);
        largest = largest.max(run.megabytes / most_megabytes);
        *statuses.entry(run.status).or_default() += 1;
        // 0 made, 1 refused, 3 unreadable; 2 would blame the command line, 101 is a panic, a signal is a crash or the end of patience.
        let ended = matches!(run.status, 0 | 1 | 3);
        if !ended || run.seconds > most_seconds || run.megabytes > most_megabytes {
            broken.push(format!("{run:?} of at most {most_seconds:.2} s and {most_megabytes:.1} MB"));
        }
    }
    println!(
        "{count} files: ended {statuses:?}; slowest at {:.0} % of its time, largest at {:.0} % of its memory",
        100.0 * slowest,
        100.0 * largest
    );
    assert!(broken.is_empty(), "{} of {count}:\n{}", broken.len(), broken.join("\n"));
    runs
}

fn data() -> PathBuf {
    let folder = std::env::var_os("EAVESDRAFT_DATA");
    PathBuf::from(folder.expect("EAVESDRAFT_DATA must name the data folder"))
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA and python3"]
fn hostile_files_keep_the_bounds() {
    let folder = data().join("dxf/hostile");
    let count = std::fs::read_dir(&folder).unwrap().count();
    assert!(count >= 46, "{count} hostile files");
    keep_bounds(&folder, count);
}

#[test]
#[ignore = "needs python3"]
fn large_hostile_files_keep_the_bounds() {
    let folder = tempfile::tempdir().unwrap();
    let files = super::hostile::files();
    for (name, bytes) in &files {
        std::fs::write(folder.path().join(format!("{name}.dxf")), bytes).unwrap();
    }
    assert!(files.len() >= 20, "{} files", files.len());
    keep_bounds(folder.path(), files.len());
}

/// Mutants by truncation, byte flips, swapped pairs and huge counts, of drawings with one of every kind of entity and of the samples.
#[test]
#[ignore = "needs python3"]
fn mutants_keep_the_bounds() {
    let each = if true_bounds() { 1000 } else { 60 };
    let folder = tempfile::tempdir().unwrap();
    let seeds = mutate::seeds();
    for (place, seed) in seeds.iter().enumerate() {
        for number in 0..each {
            let bytes = mutate::spoil(seed, number);
            std::fs::write(folder.path().join(format!("seed-{place}-mutant-{number:04}.dxf")), bytes).unwrap();
        }
    }
    let runs = keep_bounds(folder.path(), seeds.len() * each as usize);
    let made = runs.iter().filter(|run| run.status == 0).count();
    // A spoiler that spoils nothing, or everything, proves nothing.
    assert!(made * 10 > runs.len() && made < runs.len() * 9 / 10, "{made} of {} made", runs.len());
}

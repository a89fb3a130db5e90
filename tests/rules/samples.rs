//! The samples are what their generator draws, and `output/` is what the program makes of them.

use std::path::{Path, PathBuf};

#[path = "../../samples/make_samples.rs"]
mod make_samples;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Samples by folder name.
pub const SAMPLES: [&str; 4] = ["gable", "hipped-l", "hipped-l-metric", "cross-gable-retrofit"];

#[test]
fn sample_plans_are_what_the_generator_draws() {
    for (name, text) in make_samples::all() {
        let path = root().join("samples").join(name);
        // Written only when it differs: other tests read these files at the same time.
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        if std::env::var_os("UPDATE_GOLDEN").is_some() && kept != text {
            std::fs::write(&path, &text).unwrap();
        }
        assert_eq!(std::fs::read_to_string(&path).unwrap(), text, "{name}: run cargo run --example make-samples");
    }
}

/// Drafts a sample into `folder` and returns the files made, by name.
pub fn draft(sample: &str, folder: &Path) -> Vec<(String, Vec<u8>)> {
    let sample_folder = root().join("samples").join(sample);
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_eavesdraft"))
        .args(["draft"])
        .arg(sample_folder.join("plan.dxf"))
        .arg("--job")
        .arg(sample_folder.join("job.toml"))
        .arg("-o")
        .arg(folder)
        .output()
        .unwrap();
    assert!(output.status.success(), "{sample}: {}", String::from_utf8_lossy(&output.stderr));
    files_in(folder)
}

fn files_in(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let entry = entry.unwrap();
            (entry.file_name().to_string_lossy().into_owned(), std::fs::read(entry.path()).unwrap())
        })
        .collect();
    files.sort();
    files
}

/// `UPDATE_GOLDEN=1 cargo test --test rules output_is` accepts what the program now makes; read the diff before committing.
#[test]
fn output_is_what_the_samples_draft() {
    for sample in SAMPLES {
        let made = tempfile::tempdir().unwrap();
        let files = draft(sample, made.path());
        let kept = root().join("output").join(sample);
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            if kept.exists() {
                std::fs::remove_dir_all(&kept).unwrap();
            }
            std::fs::create_dir_all(&kept).unwrap();
            for (name, bytes) in &files {
                std::fs::write(kept.join(name), bytes).unwrap();
            }
        }
        let golden = files_in(&kept);
        let names = |files: &[(String, Vec<u8>)]| files.iter().map(|f| f.0.clone()).collect::<Vec<_>>();
        assert_eq!(names(&files), names(&golden), "{sample}: other files");
        for ((name, new), (_, old)) in files.iter().zip(&golden) {
            assert!(new == old, "{sample}/{name} differs from output/: look at it, then UPDATE_GOLDEN=1");
        }
    }
}

#[test]
fn two_runs_give_the_same_bytes() {
    let (first, second) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    assert!(draft("hipped-l-metric", first.path()) == draft("hipped-l-metric", second.path()));
}

//! Outlines of real and made roofs: a checked roof or a question in words, never a panic.

use eavesdraft::catalog::Catalogue;
use eavesdraft::finding::Severity;
use eavesdraft::job::{Job, Setting};
use std::path::{Path, PathBuf};

fn outlines() -> Vec<PathBuf> {
    let data = std::env::var("EAVESDRAFT_DATA").unwrap_or_else(|_| "../shared/data".into());
    let Ok(sets) = std::fs::read_dir(Path::new(&data).join("roofs")) else { return Vec::new() };
    let mut files: Vec<PathBuf> = sets
        .filter_map(|set| std::fs::read_dir(set.unwrap().path()).ok())
        .flat_map(|files| files.map(|f| f.unwrap().path()))
        .filter(|f| f.to_string_lossy().ends_with(".outline.dxf"))
        .collect();
    files.sort();
    files
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn every_outline_gives_a_checked_roof_or_a_question() {
    let files = outlines();
    assert!(!files.is_empty() || std::env::var("EAVESDRAFT_REQUIRE").is_err(), "no outlines");
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.roof.default_pitch = Setting::given(0.5);
    let (mut roofed, mut asked, mut refused, mut wrong) = (0, 0, 0, Vec::new());
    for file in &files {
        let bytes = std::fs::read(file).unwrap();
        let survey = match eavesdraft::pipeline::survey(&bytes, &job) {
            Ok(survey) => survey,
            Err(error) => {
                println!("{}: [{}] {}", file.display(), error.code, error.message);
                refused += 1;
                continue;
            }
        };
        let flaws = eavesdraft::roof::check_invariants(&survey.roof);
        if !flaws.is_empty() {
            wrong.push(format!("{}: {flaws:?}", file.display()));
        }
        if let Some(finding) = survey.findings.iter().find(|f| f.severity == Severity::Blocking) {
            println!("{}: [{}] {}", file.display(), finding.code, finding.message);
            asked += 1;
        } else {
            assert!(survey.findings.iter().any(|f| f.code == "outline-roofed"), "{}", file.display());
            roofed += 1;
        }
    }
    println!("{} outlines: {roofed} roofed, {asked} asked about, {refused} refused", files.len());
    assert!(wrong.is_empty(), "{wrong:#?}");
}

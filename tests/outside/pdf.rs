//! What we write as PDF, checked by qpdf and read back by pdftotext.

use std::process::Command;

/// Fails when a program is missing: a check that did not run proves nothing.
#[test]
#[ignore = "needs qpdf and pdftotext"]
fn qpdf_finds_no_fault_and_pdftotext_finds_the_words() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("sheets.pdf");
    std::fs::write(&path, eavesdraft::write::sheets_pdf(&crate::fixtures::set()).unwrap()).unwrap();
    let check = Command::new("qpdf").arg("--check").arg(&path).output().expect("qpdf cannot be started");
    assert!(check.status.success(), "{}", String::from_utf8_lossy(&check.stderr));
    let read = Command::new("pdftotext").arg(&path).arg("-").output().expect("pdftotext cannot be started");
    let words = String::from_utf8_lossy(&read.stdout);
    for text in ["E1 6:12 26.6° 50%", "40'-0\"", "J1", "E-101 PLAN", "E-401 FACE F1"] {
        assert!(words.contains(text), "{text}: {words}");
    }
}

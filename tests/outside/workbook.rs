//! The workbook by two independent readers: openpyxl for the stored values, LibreOffice for what the formulas give.

use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{lay_out, survey};
use eavesdraft::thermal::Weather;
use eavesdraft::write::workbook;
use std::path::Path;
use std::process::Command;

#[test]
#[ignore = "needs python3 with openpyxl, and soffice"]
fn stored_totals_are_what_the_formulas_give() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let sample = root.join("samples/gable");
    let text = std::fs::read_to_string(sample.join("job.toml")).unwrap();
    let mut job = Job::from_toml(&text, &Catalogue::sample()).unwrap().value;
    job.estimate.labour.rate = Some(71.5);
    (job.estimate.prices.markup, job.estimate.prices.tax) = (0.125, 0.06);
    let survey = survey(&std::fs::read(sample.join("plan.dxf")).unwrap(), &job).unwrap();
    let mut project = lay_out(survey, job).unwrap();
    let weather = std::fs::read_to_string(sample.join("weather.epw")).unwrap();
    project.add_season(&Weather::from_epw(&weather).unwrap());
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book.xlsx");
    std::fs::write(&book, workbook(&project).unwrap()).unwrap();
    let check = Command::new("python3")
        .arg(root.join("tests/outside/check_workbook.py"))
        .arg(&book)
        .arg(folder.path())
        .output()
        .unwrap();
    let (said, complained) = (String::from_utf8_lossy(&check.stdout), String::from_utf8_lossy(&check.stderr));
    assert!(check.status.success(), "{said}{complained}");
    println!("{said}");
    let total: f64 = said.lines().find_map(|l| l.strip_prefix("Total ")).unwrap().parse().unwrap();
    assert!((total - project.takeoff.quote.total).abs() < 1e-6);
}

//! All files of a draft by name.

use super::{
    OutputFile, circuits_csv, json_bytes, labels_page, load_page, materials_csv, overlay_dxf, project_json, record_csv,
    segments_csv, sheet_svg, sheets_dxf, sheets_pdf, verify_csv, view_page, workbook,
};
use crate::error::Result;
use crate::pipeline::Project;
use crate::sheet::SheetSet;
use crate::threads::joined;
use std::path::Path;

/// Makes every file of a draft: sheets as PDF, SVG and DXF, the overlay, tables, JSON. Names begin with the job number.
///
/// # Errors
/// When a writer refuses a value.
pub fn project_files(project: &Project, set: &SheetSet) -> Result<Vec<OutputFile>> {
    let number = &project.job.project.number;
    let file = |name: &str, bytes: Vec<u8>| OutputFile { name: format!("{number}-{name}"), bytes };
    // The large kinds are made side by side, the PDF longest of all, and the rest meanwhile; each is a pure function, and the order of
    // the files is always the same.
    std::thread::scope(|scope| {
        let pdf = scope.spawn(|| sheets_pdf(set));
        let dxf = scope.spawn(|| sheets_dxf(set));
        let book = scope.spawn(|| workbook(project));
        let json = scope.spawn(|| json_bytes(&project_json(project)));
        let svgs: Vec<Vec<u8>> = set.sheets.iter().map(|sheet| sheet_svg(set, sheet)).collect();
        let tables = [
            file("overlay.dxf", overlay_dxf(set, &project.survey.linework.frame)),
            file("segments.csv", segments_csv(project)),
            file("circuits.csv", circuits_csv(project)),
            file("load.md", load_page(project)),
            file("materials.csv", materials_csv(project)),
            file("verify.csv", verify_csv(project)),
            file("record.csv", record_csv(project)),
            file("labels.html", labels_page(project)),
        ];
        let page = view_page(project, set, &svgs);
        let mut files = vec![file("sheets.pdf", joined(pdf)?), file("sheets.dxf", joined(dxf))];
        files.extend(tables);
        files.push(OutputFile { name: format!("{number}.xlsx"), bytes: joined(book)? });
        files.push(OutputFile { name: format!("{number}.html"), bytes: page });
        files.push(OutputFile { name: format!("{number}.json"), bytes: joined(json)? });
        let sheets = set.sheets.iter().zip(svgs);
        files.extend(sheets.map(|(sheet, bytes)| file(&format!("{}.svg", sheet.number), bytes)));
        Ok(files)
    })
}

/// Names of sheets and key plans in `folder` that an earlier draft of this job left and that `files` does not replace: a crew
/// could take them for current ones.
#[must_use]
pub fn stale_sheets(folder: &Path, number: &str, files: &[OutputFile]) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let ours = |name: &str| {
        let Some(rest) = name.strip_prefix(number).and_then(|rest| rest.strip_prefix('-')) else { return false };
        let sheet = rest.strip_prefix("E-").and_then(|rest| rest.strip_suffix(".svg"));
        rest == "key-plan.svg" || sheet.is_some_and(|digits| digits.chars().all(|c| c.is_ascii_digit()))
    };
    let mut stale: Vec<String> = entries
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| ours(name) && !files.iter().any(|file| file.name == *name))
        .collect();
    stale.sort();
    stale
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_sheets_of_this_job_that_are_not_made_anew_are_stale() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["7-E-401.svg", "7-E-402.svg", "7-key-plan.svg", "7-plan.svg", "77-E-403.svg", "7-segments.csv"] {
            std::fs::write(folder.path().join(name), "x").unwrap();
        }
        let new = [OutputFile { name: "7-E-401.svg".into(), bytes: Vec::new() }];
        assert_eq!(stale_sheets(folder.path(), "7", &new), ["7-E-402.svg", "7-key-plan.svg"]);
    }
}

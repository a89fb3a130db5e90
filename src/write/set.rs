//! All files of a draft by name.

use super::{
    OutputFile, circuits_csv, json_bytes, materials_csv, overlay_dxf, project_json, segments_csv, sheet_svg,
    sheets_dxf, sheets_pdf, verify_csv,
};
use crate::error::Result;
use crate::pipeline::Project;
use crate::sheet::SheetSet;

/// Makes every file of a draft: sheets as PDF, SVG and DXF, the overlay, tables, JSON. Names begin with the job number.
///
/// # Errors
/// When a writer refuses a value.
pub fn project_files(project: &Project, set: &SheetSet) -> Result<Vec<OutputFile>> {
    let number = &project.job.project.number;
    let file = |name: &str, bytes: Vec<u8>| OutputFile { name: format!("{number}-{name}"), bytes };
    let mut files = vec![
        file("sheets.pdf", sheets_pdf(set)?),
        file("sheets.dxf", sheets_dxf(set)),
        file("overlay.dxf", overlay_dxf(set, &project.survey.linework.frame)),
        file("segments.csv", segments_csv(project)),
        file("circuits.csv", circuits_csv(project)),
        file("materials.csv", materials_csv(project)),
        file("verify.csv", verify_csv(project)),
        OutputFile { name: format!("{number}.json"), bytes: json_bytes(&project_json(project))? },
    ];
    for sheet in &set.sheets {
        files.push(file(&format!("{}.svg", sheet.number), sheet_svg(set, sheet)));
    }
    Ok(files)
}

//! `inspect` and `init`.

use super::draft::survey_of;
use super::load::{Loaded, UNNUMBERED};
use super::report::{Exit, findings_text};
use super::survey_words::survey_text;
use super::{Done, json_text, write_one};
use crate::error::{Error, Result};
use crate::job;
use crate::sheet;
use crate::write;
use std::path::Path;

/// Says what was read and how sure it is.
pub(super) fn inspect(loaded: Loaded, json: bool, svg: Option<&Path>) -> Result<Done> {
    let survey = survey_of(&loaded)?;
    if let Some(path) = svg {
        let set = sheet::key_plan(&survey, &loaded.job);
        if let Some(page) = set.sheets.first() {
            write_one(path, write::sheet_svg(&set, page))?;
        }
    }
    let frame = survey.linework.frame;
    if json {
        let data = json_text(&write::inspect_json(&survey.linework, &survey.roof, &survey.findings))?;
        return Ok(Done { data, rest: String::new(), exit: Exit::Made });
    }
    Ok(Done { data: survey_text(&survey), rest: findings_text(&survey.findings, Some(&frame)), exit: Exit::Made })
}

/// Writes a job file filled from the drawing.
pub(super) fn init(loaded: Loaded, output: &Path, json: bool) -> Result<Done> {
    let plan_number = loaded.plan_number.clone();
    if output.exists() {
        return Err(Error::usage("output-exists", format!("{} is already there", output.display()))
            .with_hint("name another file; a job file is never overwritten"));
    }
    let survey = survey_of(&Loaded { findings: Vec::new(), ..loaded })?;
    let text = job::template(&survey.roof, &survey.linework.drawing, &survey.linework.frame);
    // Two drawings drafted into one folder must not overwrite each other.
    let number = |number: &str| format!("number = \"{number}\"");
    let text = text.replacen(&number(UNNUMBERED), &number(&plan_number), 1);
    write_one(output, text.into_bytes())?;
    let data = if json {
        json_text(&write::inspect_json(&survey.linework, &survey.roof, &survey.findings))?
    } else {
        format!("{}\n", output.display())
    };
    Ok(Done { data, rest: findings_text(&survey.findings, Some(&survey.linework.frame)), exit: Exit::Made })
}

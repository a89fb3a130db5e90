//! What the command line means: the job, the drawing's bytes and where they came from.

use super::args::{Source, ensure_plan_is_a_drawing};
use crate::catalog::Catalogue;
use crate::error::{Error, Result};
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::job::Job;
use crate::thermal::Weather;
use std::path::Path;

/// Everything a command needs before the first stage.
#[derive(Debug)]
pub(super) struct Loaded {
    /// The job with the command line's overrides in it.
    pub job: Job,
    /// The drawing.
    pub bytes: Vec<u8>,
    /// What reading the job said.
    pub findings: Vec<Finding>,
    /// A year of weather.
    pub weather: Option<Weather>,
    /// The verify form, filled in.
    pub measured: Option<String>,
    /// The record form, filled in.
    pub record: Option<String>,
    /// A job number made of the drawing's name.
    pub plan_number: String,
}

/// The number of a job that names none.
pub(super) const UNNUMBERED: &str = "draft";

/// Files beside plan and job, as named on the command line.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Forms<'a> {
    /// A year of weather.
    pub weather: Option<&'a Path>,
    /// The verify form, filled in.
    pub measured: Option<&'a Path>,
    /// The record form, filled in.
    pub record: Option<&'a Path>,
}

/// Reads the job, the drawing and the forms named on the command line.
pub(super) fn load(source: &Source, forms: &Forms) -> std::result::Result<Loaded, (Error, String)> {
    let plan_name = source.plan.display().to_string();
    ensure_plan_is_a_drawing(source).map_err(|e| (e, String::new()))?;
    let outcome = match &source.job {
        Some(path) => read_job(path).map_err(|e| (e, path.display().to_string()))?,
        None => without_job().map_err(|e| (e, String::new()))?,
    };
    let bytes = read(&source.plan, "plan", "check the path of the drawing").map_err(|e| (e, plan_name))?;
    let mut job = outcome.value;
    if let Some(units) = source.units {
        job.drawing.units = Some(units.into());
    }
    if !source.layer.is_empty() {
        job.drawing.roof_layers.clone_from(&source.layer);
    }
    let plan_number = number_of(&source.plan);
    if job.project.number == UNNUMBERED {
        job.project.number.clone_from(&plan_number);
    }
    let named = |path: &Path| {
        let name = path.display().to_string();
        move |e: Error| (e, name)
    };
    let form = |path: Option<&Path>, what, hint| match path {
        Some(path) => read_text(path, what, hint).map(Some).map_err(named(path)),
        None => Ok(None),
    };
    let measured = form(forms.measured, "verify form", "draft writes the empty form as N-verify.csv")?;
    let record = form(forms.record, "test record", "draft writes the empty form as N-record.csv")?;
    let weather_path = forms.weather.map(Path::to_path_buf).or_else(|| {
        let folder = source.job.as_deref().and_then(Path::parent).unwrap_or(Path::new("."));
        job.estimate.season.weather.as_ref().map(|name| folder.join(name))
    });
    let weather = match &weather_path {
        Some(path) => Some(read_weather(path).map_err(named(path))?),
        None => None,
    };
    Ok(Loaded { job, bytes, findings: outcome.findings, weather, measured, record, plan_number })
}

/// Weather files are ASCII but for a place name now and then: what is not UTF-8 there is replaced, and only words suffer.
fn read_weather(path: &Path) -> Result<Weather> {
    let bytes = read(path, "weather file", "a weather file in the EPW format, hour by hour for a year")?;
    Weather::from_epw(&String::from_utf8_lossy(&bytes))
}

/// The drawing's name as a job number, which begins file names: letters, digits, `-` and `_`, at most 64.
fn number_of(plan: &Path) -> String {
    let stem = plan.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let safe: String = stem.chars().map(|c| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' }).collect();
    let number: String = safe.trim_start_matches('-').chars().take(64).collect();
    if number.is_empty() { UNNUMBERED.to_owned() } else { number }
}

/// Reads a job file and the catalogue it names, which lies relative to the job file.
fn read_job(path: &Path) -> Result<Outcome<Job>> {
    let text = read_text(path, "job", "check the path; `eavesdraft init PLAN.dxf -o JOB.toml` writes a job file")?;
    let catalogue = match Job::catalogue_path(&text)? {
        Some(name) => {
            let file = path.parent().unwrap_or(Path::new(".")).join(&name);
            let text = read_text(&file, "catalogue", "the path is taken from the job file's own folder")?;
            Catalogue::from_toml(&text).map_err(|mut e| {
                e.message = format!("catalogue {name}: {}", e.message);
                e
            })?
        }
        None => Catalogue::sample(),
    };
    Job::from_toml(&text, &catalogue)
}

/// The job of defaults.
fn without_job() -> Result<Outcome<Job>> {
    let job = Job::with_defaults(&Catalogue::sample())?;
    let finding = Finding::new(
        Severity::Assumed,
        "no-job",
        "no job file was given: every setting is a default and product values are the invented sample's",
        Place::none(),
    )
    .with_hint("eavesdraft init PLAN.dxf -o JOB.toml writes one to fill in; then pass --job JOB.toml");
    let mut findings = vec![finding];
    findings.extend(job.assumptions());
    Ok(Outcome { value: job, findings })
}

fn read_text(path: &Path, what: &'static str, hint: &str) -> Result<String> {
    String::from_utf8(read(path, what, hint)?).map_err(|e| {
        Error::usage("not-text", format!("{} is not UTF-8 text", path.display()))
            .with_hint(format!("byte {} is not valid; save the file as UTF-8", e.utf8_error().valid_up_to()))
    })
}

fn read(path: &Path, what: &'static str, hint: &str) -> Result<Vec<u8>> {
    std::fs::read(path).map_err(|e| {
        let code = if e.kind() == std::io::ErrorKind::NotFound { "not-found" } else { "cannot-read" };
        Error::unreadable(code, format!("cannot read the {what} {}: {e}", path.display())).with_hint(hint)
    })
}

//! `draft` and `check`.

use super::args::Stage;
use super::load::Loaded;
use super::report::{Exit, findings_in_drawing, findings_text};
use super::survey_words::questions_text;
use super::{Done, dump_text, json_text};
use crate::error::{Error, Result};
use crate::field;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::Box2;
use crate::job::Job;
use crate::pipeline::{self, Project, Survey};
use crate::sheet;
use crate::write::{self, OutputFile};
use std::path::PathBuf;

/// How to draft.
pub(super) struct Options {
    pub folder: PathBuf,
    pub leave_open: bool,
    pub json: bool,
    pub dump: Option<Stage>,
}

/// Drafts everything, or the key plan and the questions only while edges that matter are open.
pub(super) fn draft(mut loaded: Loaded, options: &Options) -> Result<Done> {
    loaded.job.roof.leave_open |= options.leave_open;
    let survey = survey_of(&loaded)?;
    if let Some(stage) = options.dump
        && let Some(data) = dump_survey(stage, &survey)?
    {
        return Ok(Done { data, rest: String::new(), exit: Exit::Made });
    }
    if !loaded.job.roof.leave_open && must_ask(&survey) {
        return ask(&survey, &loaded, options);
    }
    let mut project = laid_out(survey, &loaded)?;
    if let Some(stage) = options.dump {
        return Ok(Done { data: dump_project(stage, &project)?, rest: String::new(), exit: Exit::Made });
    }
    if project.zones.zones.is_empty() {
        project.findings.push(
            Finding::new(
                Severity::Warning,
                "nothing-heated",
                "no zone is heated: the sheets show the roof only",
                Place::none(),
            )
            .with_hint("set eaves = true under [heat], or look at the findings for the faces left cold"),
        );
    }
    let frame = project.survey.linework.frame;
    if project.findings.iter().any(|f| f.severity == Severity::Blocking) && !project.job.roof.leave_open {
        return Ok(Done {
            data: read_as_json(&project.survey, &project.findings, options)?,
            rest: findings_text(&project.findings, Some(&frame)) + "\nnothing was drawn: settle the findings above\n",
            exit: Exit::Refused,
        });
    }
    let set = sheet::sheets(&project);
    project.findings.extend(set.findings);
    let files = write::project_files(&project, &set.value)?;
    write::write_all(&options.folder, &files)?;
    remove_stale(&project, options, &files)?;
    let data = if options.json {
        json_text(&write::project_json(&project))?
    } else {
        summary(&project, &options.folder, &files)
    };
    let rest = findings_text(&project.findings, Some(&frame)) + &questions_text(&project.survey);
    Ok(Done { data, rest, exit: Exit::Made })
}

/// The layout: made anew where the roof was measured, with its season, and judged against its record where there is one.
fn laid_out(survey: Survey, loaded: &Loaded) -> Result<Project> {
    let mut project = pipeline::lay_out(survey, loaded.job.clone())?;
    if let Some(text) = &loaded.measured {
        let answers = field::answers(text)?;
        let mut job = project.job.clone();
        let redrafted = field::settle(&answers, &(&project).into(), &mut job)?;
        if job != project.job {
            let findings = job_findings(loaded, &job);
            let mut survey = pipeline::survey(&loaded.bytes, &job)?;
            survey.findings.splice(0..0, findings);
            project = pipeline::lay_out(survey, job)?;
        }
        let outcome = field::compare(&answers, redrafted, &(&project).into())?;
        project.findings.extend(outcome.findings);
        project.measured = Some(outcome.value);
    }
    if let Some(weather) = &loaded.weather {
        project.add_season(weather);
    }
    if let Some(text) = &loaded.record {
        let outcome = field::judge(text, &(&project).into())?;
        project.findings.extend(outcome.findings);
        project.laid = Some(field::as_built(&outcome.value, &(&project).into()));
        project.record = Some(outcome.value);
        // As-built sheets stand beside those the work was built from and replace none of them.
        project.job.project.number.push_str("-as-built");
        project.job.project.title.push_str(", as built");
    }
    Ok(project)
}

/// What reading the job said, less what measuring has settled since.
fn job_findings(loaded: &Loaded, job: &Job) -> Vec<Finding> {
    let still = job.assumptions();
    let settled = |f: &Finding| f.code == "assumed-setting" && !still.contains(f);
    loaded.findings.iter().filter(|f| !settled(f)).cloned().collect()
}

/// Takes away sheets of an earlier draft of this job that the new one no longer has.
fn remove_stale(project: &Project, options: &Options, files: &[OutputFile]) -> Result<()> {
    for name in write::stale_sheets(&options.folder, &project.job.project.number, files) {
        let path = options.folder.join(&name);
        std::fs::remove_file(&path).map_err(|e| {
            Error::unreadable(
                "stale-sheet",
                format!("{} is of an earlier draft and cannot be removed: {e}", path.display()),
            )
            .with_hint("the new files are all written; remove this one by hand")
        })?;
    }
    Ok(())
}

/// Findings only.
pub(super) fn check(loaded: Loaded, json: bool) -> Result<Done> {
    let survey = survey_of(&loaded)?;
    let frame = survey.linework.frame;
    let open = must_ask(&survey) && !loaded.job.roof.leave_open;
    let questions = questions_text(&survey);
    let findings = if open {
        survey.findings
    } else {
        let project = pipeline::lay_out(survey, loaded.job)?;
        let set = sheet::sheets(&project);
        [project.findings, set.findings].concat()
    };
    let blocked = open || findings.iter().any(|f| f.severity == Severity::Blocking);
    let data = if json {
        json_text(&findings_in_drawing(&findings, &frame))?
    } else {
        findings_text(&findings, Some(&frame)) + &questions
    };
    Ok(Done { data, rest: String::new(), exit: if blocked { Exit::Refused } else { Exit::Made } })
}

/// The survey of a drawing with what reading the job said; a roof too large to be one asks for the unit.
pub(super) fn survey_of(loaded: &Loaded) -> Result<Survey> {
    let mut survey = pipeline::survey(&loaded.bytes, &loaded.job)?;
    survey.findings.splice(0..0, loaded.findings.iter().cloned());
    survey.findings.extend(too_large(&survey, loaded));
    Ok(survey)
}

/// The longest roof that is taken without a person having named the unit, feet: longer than any building this is for, and a small
/// house drawn in millimetres and read as inches passes it.
const LONGEST_ROOF: f64 = 2000.0;

/// A blocking finding for a roof of implausible size whose unit nobody set.
fn too_large(survey: &Survey, loaded: &Loaded) -> Option<Finding> {
    if loaded.job.drawing.units.is_some() {
        return None;
    }
    let sizes = survey.roof.units.iter().filter_map(|unit| {
        let corners = unit.faces.iter().flat_map(|&face| survey.roof.region(face).exterior.points);
        Box2::around(corners).map(|bounds| (bounds.width().max(bounds.height()) / 12.0, bounds.center()))
    });
    let (feet, at) = sizes.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(feet, _)| *feet > LONGEST_ROOF)?;
    let words = format!(
        "the roof is {} ft long, read in {}: more than the {LONGEST_ROOF:.0} ft that are drafted without asking",
        crate::units::decimal(feet, 0),
        survey.linework.frame.units.short(),
    );
    Some(
        Finding::new(Severity::Blocking, "roof-too-large", words, Place::at(at))
            .with_hint("name the unit of the drawing with --units, or units under [drawing] in the job file"),
    )
}

/// Whether the layout would rest on an edge nobody has settled.
fn must_ask(survey: &Survey) -> bool {
    !pipeline::open_faces(&survey.roof).is_empty() || survey.findings.iter().any(|f| f.severity == Severity::Blocking)
}

/// Writes the key plan and says what to settle.
fn ask(survey: &Survey, loaded: &Loaded, options: &Options) -> Result<Done> {
    let set = sheet::key_plan(survey, &loaded.job);
    let name = format!("{}-key-plan.svg", loaded.job.project.number);
    let bytes = set.sheets.first().map(|page| write::sheet_svg(&set, page)).unwrap_or_default();
    write::write_all(&options.folder, &[OutputFile { name: name.clone(), bytes }])?;
    let mut rest = findings_text(&survey.findings, Some(&survey.linework.frame));
    let earlier = options.folder.join(format!("{}-sheets.pdf", loaded.job.project.number));
    if earlier.exists() {
        rest +=
            &format!("warning[earlier-draft]: {} and the files beside it are of an earlier draft\n", earlier.display());
        rest += " hint: do not build from them until these questions are answered and the job is drafted anew\n";
    }
    rest += &questions_text(survey);
    rest += &format!(
        "\nno layout was drawn: the drawing leaves edges open that the heating depends on\n hint: see {}; answer the questions, \
         or pass --leave-open to draft the rest\n",
        options.folder.join(&name).display()
    );
    Ok(Done { data: read_as_json(survey, &survey.findings, options)?, rest, exit: Exit::Refused })
}

/// With `--json`, what was read of a drawing that no layout was made of; else nothing.
fn read_as_json(survey: &Survey, findings: &[Finding], options: &Options) -> Result<String> {
    if !options.json {
        return Ok(String::new());
    }
    json_text(&write::inspect_json(&survey.linework, &survey.roof, findings))
}

fn dump_survey(stage: Stage, survey: &Survey) -> Result<Option<String>> {
    Ok(Some(match stage {
        Stage::Import => dump_text(&survey.linework)?,
        Stage::Plan => dump_text(&survey.plan)?,
        Stage::Roof => dump_text(&survey.roof)?,
        _ => return Ok(None),
    }))
}

fn dump_project(stage: Stage, project: &Project) -> Result<String> {
    match stage {
        Stage::Import | Stage::Plan | Stage::Roof => unreachable!("printed before the layout"),
        Stage::Zones => dump_text(&project.zones),
        Stage::Courses => dump_text(&project.courses),
        Stage::Wiring => dump_text(&project.wiring),
        Stage::Checks => dump_text(&project.checks),
        Stage::Takeoff => dump_text(&project.takeoff),
        Stage::Sheet => dump_text(&sheet::sheets(project).value),
    }
}

/// The result in a few lines.
fn summary(project: &Project, folder: &std::path::Path, files: &[OutputFile]) -> String {
    let feet = |inches: f64| crate::units::decimal(inches / 12.0, 1);
    let assumed = project.findings.iter().filter(|f: &&Finding| f.severity == Severity::Assumed).count();
    let mut text = format!(
        "{} pieces of element, {} ft; {} W on {} circuits; {} boxes; {} leads, {} ft\n",
        project.wiring.feeds.len(),
        feet(project.checks.load.element_length),
        crate::units::decimal(project.checks.load.watts, 0),
        project.wiring.circuits.len(),
        project.wiring.boxes.len(),
        project.wiring.leads.len(),
        feet(project.wiring.leads.iter().map(|l| l.length).sum()),
    );
    if assumed > 0 {
        text += &format!("PRELIMINARY: {assumed} things are assumed and must be settled before construction\n");
    }
    for file in files {
        text += &format!("{}\n", folder.join(&file.name).display());
    }
    text
}

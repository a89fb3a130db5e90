//! The command line: what was typed, what it means, and what is printed.
//!
//! Data goes to standard output, everything else to standard error.

mod args;
mod draft;
mod inspect;
mod load;
mod progress;
mod report;
mod survey_words;

use args::{Command, Source};
use progress::{PATIENCE, Progress};
use report::{Exit, error_text, printed};
use std::ffi::OsString;
use std::io::{IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;

use crate::error::{Error, Result};
use crate::write::OutputFile;

/// Runs the program on its command line and returns the exit status: 0 made, 1 refused because of findings that a person
/// must settle, 2 usage, 3 unreadable input or unwritable output.
#[must_use]
pub fn run(words: impl IntoIterator<Item = OsString>) -> ExitCode {
    // Not locked: the progress line is written from beside.
    let mut streams = Streams { data: std::io::stdout(), rest: std::io::stderr() };
    match args::parse(words) {
        Ok(cli) => {
            let exit = execute(&cli.command, &mut streams);
            ExitCode::from(exit as u8)
        }
        Err(help) => {
            let text = help.render().to_string();
            let asked = !help.use_stderr();
            if asked {
                streams.data(&text)
            } else {
                streams.rest(&text)
            };
            ExitCode::from(if asked { Exit::Made } else { Exit::Usage } as u8)
        }
    }
}

/// Where output goes. A closed pipe (`| head`) is no failure of ours, so write errors end the printing quietly.
struct Streams<D, R> {
    data: D,
    rest: R,
}

impl<D: Write, R: Write> Streams<D, R> {
    fn data(&mut self, text: &str) {
        let _closed_pipe = self.data.write_all(text.as_bytes()).and_then(|()| self.data.flush());
    }
    fn rest(&mut self, text: &str) {
        let _closed_pipe = self.rest.write_all(text.as_bytes()).and_then(|()| self.rest.flush());
    }
}

/// What a command made.
struct Done {
    /// For standard output.
    data: String,
    /// For standard error.
    rest: String,
    exit: Exit,
}

fn execute<D: Write, R: Write>(command: &Command, streams: &mut Streams<D, R>) -> Exit {
    let source = match command {
        Command::Draft { source, .. }
        | Command::Inspect { source, .. }
        | Command::Init { source, .. }
        | Command::Record { source, .. }
        | Command::Check { source, .. } => source,
    };
    let progress = progress_of(source);
    let answer = ensure_outputs_lead_somewhere(command).and_then(|()| load::load(source, &forms_of(command))).and_then(
        |loaded| {
            let done = match command {
                Command::Draft { output, leave_open, json, dump, .. } => draft::draft(
                    loaded,
                    &draft::Options { folder: output.clone(), leave_open: *leave_open, json: *json, dump: *dump },
                ),
                Command::Record { output, json, .. } => draft::draft(
                    loaded,
                    &draft::Options { folder: output.clone(), leave_open: false, json: *json, dump: None },
                ),
                Command::Inspect { json, svg, .. } => inspect::inspect(loaded, *json, svg.as_deref()),
                Command::Init { output, json, .. } => inspect::init(loaded, output, *json),
                Command::Check { json, .. } => draft::check(loaded, *json),
            };
            done.map_err(|e| {
                let file = file_of(&e, command, source);
                (e, file)
            })
        },
    );
    drop(progress);
    match answer {
        Ok(done) => {
            streams.rest(&done.rest);
            streams.data(&done.data);
            done.exit
        }
        Err((error, file)) => {
            streams.rest(&error_text(&error, &file));
            error.class.into()
        }
    }
}

/// The files beside plan and job that a command reads.
fn forms_of(command: &Command) -> load::Forms<'_> {
    match command {
        Command::Draft { weather, measured, .. } => {
            load::Forms { weather: weather.as_deref(), measured: measured.as_deref(), record: None }
        }
        Command::Record { weather, measured, record, .. } => {
            load::Forms { weather: weather.as_deref(), measured: measured.as_deref(), record: Some(record) }
        }
        Command::Inspect { .. } | Command::Init { .. } | Command::Check { .. } => load::Forms::default(),
    }
}

/// Tells on a terminal, and nowhere else, that a drawing is being worked on.
fn progress_of(source: &Source) -> Progress {
    let screen = std::io::stderr();
    if !screen.is_terminal() {
        return Progress::silent();
    }
    Progress::start(format!("working on {}", printed(&source.plan.display().to_string())), PATIENCE, screen)
}

/// Where a command writes, if anywhere.
fn output_of(command: &Command) -> Option<&Path> {
    match command {
        Command::Draft { output, dump: None, .. } | Command::Init { output, .. } | Command::Record { output, .. } => {
            Some(output)
        }
        Command::Inspect { svg, .. } => svg.as_deref(),
        Command::Draft { .. } | Command::Check { .. } => None,
    }
}

/// A link whose target is gone is neither a folder to write into nor a file to make.
fn ensure_outputs_lead_somewhere(command: &Command) -> std::result::Result<(), (Error, String)> {
    let dead = output_of(command).filter(|path| path.is_symlink() && !path.exists());
    dead.map_or(Ok(()), |path| {
        let words = format!("{} is a link whose target is not there", path.display());
        let error = Error::unreadable("output-link", words)
            .with_hint("make the target, remove the link, or name another place");
        Err((error, path.display().to_string()))
    })
}

/// The file an error is about: the output for what cannot be written, the job for what it says, else the drawing.
fn file_of(error: &Error, command: &Command, source: &Source) -> String {
    let forms = forms_of(command);
    let form = match error.code {
        "measured-value" => forms.measured,
        "record-value" => forms.record,
        // Either form; the record is read last.
        "form-columns" | "form-syntax" => forms.record.or(forms.measured),
        _ => None,
    };
    if let Some(form) = form {
        return form.display().to_string();
    }
    let about_output =
        error.code.starts_with("output-") || matches!(error.code, "stale-sheet" | "pdf-output" | "xlsx-output");
    let about_job = matches!(error.class, crate::error::Class::Usage) || matches!(error.code, "covering" | "nail-band");
    let file = match (about_output, about_job) {
        (true, _) => output_of(command),
        (_, true) => source.job.as_deref(),
        _ => None,
    };
    file.unwrap_or(&source.plan).display().to_string()
}

/// Writes one file whole, by a temporary name.
fn write_one(path: &Path, bytes: Vec<u8>) -> Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = path
        .file_name()
        .ok_or_else(|| Error::usage("output-name", format!("{} names no file", path.display())))?
        .to_string_lossy()
        .into_owned();
    crate::write::write_all(folder, &[OutputFile { name, bytes }])
}

/// A published value (`inspect --json`, `draft --json`) as JSON text: rounded, and refused when a number is not finite.
fn json_text(value: &impl serde::Serialize) -> Result<String> {
    let bytes = crate::write::json_bytes(value)?;
    String::from_utf8(bytes).map_err(|e| Error::unreadable("json-output", format!("JSON is not text: {e}")))
}

/// A stage's value as it stands, for looking at: nothing rounded, absent and infinite values as null.
fn dump_text(value: &impl serde::Serialize) -> Result<String> {
    serde_json::to_string_pretty(value)
        .map(|text| text + "\n")
        .map_err(|e| Error::unreadable("json-output", format!("the value cannot be written: {e}")))
}

//! What was typed.

use crate::error::{Error, Result};
use crate::units::DrawingUnit;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Drafts the heating layout that keeps eaves and valleys free of ice dams, from a roof plan in DXF.
///
/// The layout is a working drawing, not an approval: licensed electricians, the local code and the element maker's
/// instructions govern. Work on a roof with fall protection and with the circuits de-energised.
#[derive(Debug, Parser)]
#[command(name = "eavesdraft", version, max_term_width = 110, arg_required_else_help = true)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The six things the program does.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Draft everything: sheets (PDF, SVG, DXF), overlay, tables, JSON
    ///
    /// Exit status: 0 drawn, 1 refused until a person settles something, 2 wrong command or job file, 3 unreadable input.
    Draft {
        /// Input and job.
        #[command(flatten)]
        source: Source,
        /// Folder to write into; made if it is not there
        #[arg(short, long, value_name = "DIR")]
        output: PathBuf,
        /// Draft the rest where the drawing leaves edges open; faces that touch them stay cold
        #[arg(long)]
        leave_open: bool,
        /// Weather file (EPW) for the hours, energy and cost of a season; in place of the job's
        #[arg(long, value_name = "FILE.epw")]
        weather: Option<PathBuf>,
        /// The verify form with the roof's measures filled in: compare, draft anew, and mark cut lists for cutting when all agrees
        #[arg(long, value_name = "M.csv")]
        measured: Option<PathBuf>,
        /// Print the layout as JSON on standard output; while edges are open, what was read
        #[arg(long)]
        json: bool,
        /// Print one stage's value as JSON instead of drafting files
        #[arg(long, value_name = "STAGE")]
        dump: Option<Stage>,
    },
    /// Say what was read from the drawing and how sure it is; lay nothing out
    Inspect {
        /// Input and job.
        #[command(flatten)]
        source: Source,
        /// Print JSON instead of words
        #[arg(long)]
        json: bool,
        /// Write the key plan: edges with tags, kinds and open questions
        #[arg(long, value_name = "KEY.svg")]
        svg: Option<PathBuf>,
    },
    /// Write a commented job file filled from the drawing
    Init {
        /// Input and job.
        #[command(flatten)]
        source: Source,
        /// The job file to write; an existing one is never overwritten
        #[arg(short, long, value_name = "JOB.toml")]
        output: PathBuf,
        /// Print what was read as JSON on standard output, as inspect does
        #[arg(long)]
        json: bool,
    },
    /// Judge the readings of a test record and draw the as-built sheets
    ///
    /// The record is the form that draft writes as N-record.csv, filled in. Readings that call for a stop are warnings; the sheets are
    /// drawn all the same, as what was found.
    Record {
        /// Input and job.
        #[command(flatten)]
        source: Source,
        /// The record form with its readings filled in
        #[arg(long, value_name = "R.csv")]
        record: PathBuf,
        /// Folder to write into; made if it is not there
        #[arg(short, long, value_name = "DIR")]
        output: PathBuf,
        /// The verify form with the roof's measures filled in, as the work was drafted with
        #[arg(long, value_name = "M.csv")]
        measured: Option<PathBuf>,
        /// Weather file (EPW); in place of the job's
        #[arg(long, value_name = "FILE.epw")]
        weather: Option<PathBuf>,
        /// Print the layout with its record as JSON on standard output
        #[arg(long)]
        json: bool,
    },
    /// Print findings only, for scripts
    Check {
        /// Input and job.
        #[command(flatten)]
        source: Source,
        /// Print JSON instead of words
        #[arg(long)]
        json: bool,
    },
}

/// The drawing and how to read it.
#[derive(Debug, Args)]
pub struct Source {
    /// The roof plan, a DXF drawing
    #[arg(value_name = "PLAN.dxf")]
    pub plan: PathBuf,
    /// Job file: title block, roof, heat, products, boxes, panel. Without it every setting is a default and said to be assumed
    #[arg(long, value_name = "JOB.toml")]
    pub job: Option<PathBuf>,
    /// Unit of the drawing, in place of what it says itself
    #[arg(long, value_name = "UNIT")]
    pub units: Option<UnitName>,
    /// Layers that hold the roof, with * and ?; may be given more than once (default: layers named ROOF)
    #[arg(long, value_name = "GLOB")]
    pub layer: Vec<String>,
}

/// A unit as typed.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum UnitName {
    /// Inches
    In,
    /// Feet
    Ft,
    /// Millimetres
    Mm,
    /// Centimetres
    Cm,
    /// Metres
    M,
}

impl From<UnitName> for DrawingUnit {
    fn from(name: UnitName) -> Self {
        match name {
            UnitName::In => Self::Inches,
            UnitName::Ft => Self::Feet,
            UnitName::Mm => Self::Millimetres,
            UnitName::Cm => Self::Centimetres,
            UnitName::M => Self::Metres,
        }
    }
}

/// A stage whose value can be printed.
#[derive(Debug, Clone, Copy, ValueEnum, PartialEq, Eq)]
pub enum Stage {
    /// Linework after blocks, curves and units
    Import,
    /// Nodes, edges and faces
    Plan,
    /// Planes, kinds and questions
    Roof,
    /// Heated zones
    Zones,
    /// Elements in courses
    Courses,
    /// Leads, boxes and circuits
    Wiring,
    /// Judgements
    Checks,
    /// Material
    Takeoff,
    /// Placed drawing items
    Sheet,
}

/// Reads the command line.
///
/// # Errors
/// What clap says, already worded for the terminal: help and version end with status 0, everything else with 2.
pub fn parse(words: impl IntoIterator<Item = std::ffi::OsString>) -> std::result::Result<Cli, clap::Error> {
    Cli::try_parse_from(words)
}

/// Explains the mistake of naming a folder, or the job file, where the plan belongs.
///
/// # Errors
/// `plan-is-folder` or `plan-is-job`.
pub fn ensure_plan_is_a_drawing(source: &Source) -> Result<()> {
    if source.plan.is_dir() {
        return Err(Error::unreadable("plan-is-folder", format!("{} is a folder", source.plan.display()))
            .with_hint("name the DXF drawing inside it"));
    }
    if source.plan.extension().is_some_and(|e| e.eq_ignore_ascii_case("toml")) {
        return Err(Error::usage("plan-is-job", format!("{} looks like a job file", source.plan.display()))
            .with_hint("the drawing comes first: eavesdraft draft PLAN.dxf --job JOB.toml -o DIR"));
    }
    Ok(())
}

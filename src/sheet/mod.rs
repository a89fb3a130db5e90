//! The layout is drawn: [`SheetSet`].

mod blocks;
mod check;
mod clip;
mod control;
mod details;
mod dimensions;
mod face_leads;
mod face_model;
mod face_sheet;
mod face_tags;
#[cfg(test)]
mod fixtures;
mod flatten;
mod flow;
mod frame;
mod labels;
mod layers;
mod load_calc;
mod model;
mod notes;
mod numbers;
mod one_line;
mod owner_sheet;
mod pad;
mod plan_model;
mod plan_sheet;
mod questions;
mod record_sheet;
mod revisions;
mod roof_lines;
mod scales;
mod schedule;
mod set;
mod status;
mod text;
mod views;

pub use check::check_invariants;
pub use dimensions::{DimensionParts, FIGURE_HEIGHT, dimension_parts};
pub use flatten::{Mark, MarkKind, TextBox, flatten, flatten_model_item, place_text};
pub use model::*;
pub use questions::{Asked, asked};
pub use set::{key_plan, sheets};
pub use status::preliminary;
pub use text::{FONT_FAMILY, Glyph, can_print, font_bytes, font_size, glyphs, printable, text_width, wrap};

use crate::checks::Checks;
use crate::courses::{Courses, Segment};
use crate::field::{Measured, Record};
use crate::finding::Finding;
use crate::job::Job;
use crate::roof::Roof;
use crate::takeoff::Takeoff;
use crate::thermal::Seasons;
use crate::wiring::Wiring;
use crate::zones::Zones;

/// A finished layout as the sheets need it.
#[derive(Debug, Clone, Copy)]
pub struct Drawn<'a> {
    /// The job.
    pub job: &'a Job,
    /// The roof.
    pub roof: &'a Roof,
    /// Where heat goes.
    pub zones: &'a Zones,
    /// Elements.
    pub courses: &'a Courses,
    /// Leads, boxes, circuits.
    pub wiring: &'a Wiring,
    /// Judgements.
    pub checks: &'a Checks,
    /// What to order.
    pub takeoff: &'a Takeoff,
    /// What a season costs, when there is a weather file.
    pub season: Option<&'a Seasons>,
    /// The roof as measured, when it was.
    pub measured: Option<&'a Measured>,
    /// The record as it came back, for as-built sheets.
    pub record: Option<&'a Record>,
    /// Pieces as they are drawn on the plan and the faces: as laid where there is a record, else as they are to be cut.
    pub laid: &'a [Segment],
    /// Findings of all stages.
    pub findings: &'a [Finding],
}

/// A roof as the key plan needs it.
#[derive(Debug, Clone, Copy)]
pub struct Surveyed<'a> {
    /// The roof.
    pub roof: &'a Roof,
}

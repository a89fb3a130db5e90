//! The layout is drawn: [`SheetSet`].

mod blocks;
mod check;
mod clip;
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
mod model;
mod notes;
mod pad;
mod plan_model;
mod plan_sheet;
mod questions;
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
use crate::courses::Courses;
use crate::finding::Finding;
use crate::job::Job;
use crate::roof::Roof;
use crate::takeoff::Takeoff;
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
    /// Findings of all stages.
    pub findings: &'a [Finding],
}

/// A roof as the key plan needs it.
#[derive(Debug, Clone, Copy)]
pub struct Surveyed<'a> {
    /// The roof.
    pub roof: &'a Roof,
}

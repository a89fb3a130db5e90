//! The layout is drawn: [`SheetSet`].

mod clip;
mod dimensions;
mod flatten;
mod model;
mod text;

pub use dimensions::{DimensionParts, FIGURE_HEIGHT, dimension_parts};
pub use flatten::{Mark, MarkKind, TextBox, flatten, flatten_model_item, place_text};
pub use model::*;
pub use text::{FONT_FAMILY, can_print, font_bytes, font_size, printable, text_width, wrap};

pub use text::{Glyph, glyphs};

use crate::checks::Checks;
use crate::courses::Courses;
use crate::finding::{Finding, Outcome};
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

/// Draws nothing yet.
#[must_use]
pub fn sheets(_drawn: &Drawn) -> Outcome<SheetSet> {
    Outcome { value: SheetSet::default(), findings: Vec::new() }
}

/// Draws nothing yet.
#[must_use]
pub fn key_plan(_roof: &Roof, _job: &Job) -> SheetSet {
    SheetSet::default()
}

//! What a retrofit refuses before anything is laid, and what must be tried on the roof.
//!
//! Element slides between two shingle courses whose seals are broken with a flat tool. It must be no thicker than a loosened tab lifts, and
//! the shingles must be the only layer: under a second one the tabs lie uneven and the nails of both are in the way.

use super::model::Courses;
use crate::error::{Error, Result};
use crate::finding::{Finding, Place, Severity};
use crate::job::{Job, Work};
use crate::units::{decimal, feet_inches};

/// Shingles crack below and tear above these temperatures, degrees Fahrenheit. Common practice, no source; from memory.
pub(super) const COLDEST: f64 = 40.0;
/// See [`COLDEST`].
pub(super) const WARMEST: f64 = 80.0;

/// Refuses a roof that takes no element between its courses.
///
/// # Errors
/// `two-layers` when more than one layer of shingles lies there; `lift` when an element is thicker than a tab lifts.
pub(super) fn refuse(job: &Job) -> Result<()> {
    if job.roof.work.value != Work::Retrofit {
        return Ok(());
    }
    let layers = job.roof.shingle_layers.value;
    if layers > 1 {
        return Err(Error::refused(
            "two-layers",
            format!("{layers} layers of shingles lie on the roof; element is slid under one layer only"),
        )
        .with_hint("strip the roof and set work = \"new-roof\""));
    }
    for element in [&job.products.starter.value, &job.products.deck.value] {
        let thickness = element.thickness.inches();
        if thickness > job.courses.lift {
            return Err(Error::refused(
                "lift",
                format!(
                    "{} is {} in thick and a loosened tab lifts {} in",
                    element.words,
                    decimal(thickness, 3),
                    decimal(job.courses.lift, 3)
                ),
            )
            .with_hint("use a thinner element, or set lift to what the test on the roof allows"));
        }
    }
    Ok(())
}

/// What the crew must try and know before it orders anything.
pub(super) fn findings(courses: &Courses, job: &Job) -> Vec<Finding> {
    if job.roof.work.value != Work::Retrofit || courses.segments.is_empty() {
        return Vec::new();
    }
    let mut findings = vec![
        Finding::new(
            Severity::Warning,
            "lift-test",
            format!(
                "before ordering, loosen and lift a tab in every heated course near both ends: each must rise {} without cracking or tearing, \
                 between {} and {} °F; where one does not, or where element would show through cutouts, this roof takes none",
                feet_inches(job.courses.lift),
                decimal(COLDEST, 0),
                decimal(WARMEST, 0)
            ),
            Place::none(),
        )
        .with_hint("common practice without a source: the instructions of the shingle's and the element's makers govern"),
    ];
    if !job.roof.shingle_layers.given {
        findings.push(
            Finding::new(Severity::Assumed, "assumed-layers", "one layer of shingles is assumed", Place::none())
                .with_hint("look at a rake or an eave, and set shingle_layers under [roof]"),
        );
    }
    findings
}

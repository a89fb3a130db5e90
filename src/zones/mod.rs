//! [`Roof`] becomes [`Zones`]: where heat goes, how far up the slope, and what every sloping face keeps clear.
//!
//! A heated eave gives the band from its drip edge up to the reach, over the part of the face that drains to it; a heated valley adds the
//! band beside its line. What drains to which eave follows the fall line: a point belongs to the highest eave straight below it, and what
//! lies beyond the end of an eave (beside a valley) to the eave at the valley's foot.
//!
//! Not handled: the melt path below a zone, and the wider keep-outs of valley types. Both fit without new types: a valley type
//! changes `FaceEdge::setback` and its `why`, and a melt path starts from `Zone::edges`.

mod bands;
pub mod check;
mod eaves;
mod heated;
mod layout;
mod model;
mod notes;
mod openings;
mod reach;
mod targets;
mod valleys;

pub use bands::clear_regions;
pub use model::*;
pub use reach::{IceBarrierRule, LeastOnSlope, WallFace, barrier_rule};

use crate::error::{Error, Result};
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::import::SourceFrame;
use crate::index::EdgeId;
use crate::job::{Covering, EdgeHint, Job, OutlineMeaning};
use crate::roof::Roof;
use std::collections::BTreeMap;

/// What the job says, by edge.
type Hints = BTreeMap<EdgeId, EdgeHint>;

/// What every face's zones are worked out from.
struct Inputs<'a> {
    roof: &'a Roof,
    job: &'a Job,
    hints: Hints,
    walls: reach::WallLines<'a>,
}

/// Decides where heat goes.
///
/// # Errors
/// `covering` when the roof is not covered with asphalt shingle; `unknown-edge` when a hint names no edge.
pub fn zones(roof: &Roof, frame: &SourceFrame, job: &Job) -> Result<Outcome<Zones>> {
    refuse_other_coverings(job)?;
    let hints = targets::resolve(roof, frame, &job.roof.edges)?;
    let inputs = Inputs { roof, job, hints, walls: reach::WallLines::new(&roof.walls) };
    let mut findings = outline_findings(job);
    let faces = layout::layouts(roof, job, &mut findings);
    let zones = heated::zones_of(&inputs, &faces, &mut findings);
    Ok(Outcome { value: Zones { faces, zones }, findings })
}

fn refuse_other_coverings(job: &Job) -> Result<()> {
    let words = match job.roof.covering.value {
        Covering::AsphaltShingle => return Ok(()),
        Covering::Slate => "slate",
        Covering::Tile => "tile",
        Covering::Metal => "metal",
        Covering::Wood => "wood shingles or shakes",
        Covering::Membrane => "a flat roof's membrane",
    };
    Err(Error::refused(
        "covering",
        format!("the roof is covered with {words}; flat element is laid under asphalt shingles only"),
    )
    .with_hint("this layout does not fit the roof; set covering = \"asphalt-shingle\" only if that is what lies on it"))
}

/// What the drawn outline means for every distance counted from the drip edge.
fn outline_findings(job: &Job) -> Vec<Finding> {
    match job.roof.outline.value {
        OutlineMeaning::EaveEdge => Vec::new(),
        OutlineMeaning::Fascia => vec![
            Finding::new(
                Severity::Assumed,
                "outline-is-fascia",
                "the outline is the face of the fascia: crew distances are counted from it as from the drip edge's outer face",
                Place::none(),
            )
            .with_hint("measure from the drip edge on the roof and compare with the first course before cutting"),
        ],
        OutlineMeaning::Wall => vec![
            Finding::new(
                Severity::Blocking,
                "outline-is-wall",
                format!(
                    "the outline is the exterior wall and the roof reaches {} in further out: its eaves, rakes and lengths are not in the drawing",
                    crate::units::decimal(job.roof.overhang.value, 2)
                ),
                Place::none(),
            )
            .with_hint("draw the roof's own edge (the drip edge) and keep the walls on their own layer, or set outline = \"eave-edge\""),
        ],
    }
}

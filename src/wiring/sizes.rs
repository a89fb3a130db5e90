//! The few widths that every lane and lead shares.

use crate::job::Job;

/// Cap shingles are 12 in wide and nailed 5 to 6 in from the line they cover; leads stay this far from it, inches.
const CAP_NAILS: f64 = 6.0;

/// No lead runs along a valley within this distance of its line, inches.
pub(super) const VALLEY_KEEP_OUT: f64 = 14.0;

/// Widths of leads and of what they stay clear of, inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sizes {
    /// Lead diameter.
    pub diameter: f64,
    /// From a lead's middle to a fastener.
    pub to_fastener: f64,
    /// From a lead's middle to an element's edge.
    pub to_element: f64,
    /// From middle to middle of neighbouring leads.
    pub pitch: f64,
    /// From a rake to the middle of the nearest lead: inside the end nails.
    pub from_rake: f64,
    /// From a hip, ridge or flat edge.
    pub from_cap: f64,
    /// From a wall, outside its flashing.
    pub from_wall: f64,
}

impl Sizes {
    pub(super) fn of(job: &Job) -> Self {
        let diameter = job.products.lead.value.diameter.inches();
        let to_fastener = job.wiring.lead_clearance + 0.5 * diameter;
        Self {
            diameter,
            to_fastener,
            to_element: job.products.lead.value.beside_element(),
            pitch: job.products.lead.value.pitch(),
            from_rake: job.products.shingle.value.end_nail.inches() + to_fastener,
            from_cap: CAP_NAILS + to_fastener,
            from_wall: job.heat.opening_flashing + to_fastener,
        }
    }

    /// Leads that fit side by side where their middles may lie anywhere in `width`.
    pub(super) fn capacity(&self, width: f64) -> u32 {
        if width < 0.0 { 0 } else { ((width + 1e-6) / self.pitch).floor() as u32 + 1 }
    }
}

/// A length in thousandths of an inch, to rank by: lengths that differ only by rounding must rank alike however the roof is turned, or
/// chance decides which is taken first. The steps lie clear of the sixteenths that lengths on a roof fall on.
pub(super) fn coarse(length: f64) -> i64 {
    (length * 1000.0 + 0.3).floor() as i64
}

/// A length in millionths of an inch, to add up in whole numbers: sums then hang on no order, and a mirrored roof gives the same ones.
pub(super) fn fine(length: f64) -> i64 {
    (length * 1e6 + 0.3).floor() as i64
}

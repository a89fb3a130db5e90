//! The course lines of a zone whose eave lies up the slope of a face that has a lower one.
//!
//! Shingle courses of a face run through from its lowest eave. At an eave further up a starter strip is nailed along the drip edge, and the first
//! course over it is the part above the eave of the one that comes up from below: the lines, and the nails, stay those of the face. So an
//! element there lies on the face's own lines, and where a nail row or the starter strip's comes too near, that one course stays cold.

use super::model::CourseRule;
use crate::geometry::Interval;
use crate::job::Job;
use crate::units::decimal;
use crate::zones::{FaceLayout, Zone};

/// A course whose exposure ends within this above an eave ends at it, inches: an eighth of an inch is what a shingler sees.
const SAME_COURSE: f64 = 0.125;

/// The course lines of one zone.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lattice<'a> {
    pub rule: &'a CourseRule,
    /// `v` of the zone's foot, inches.
    base_v: f64,
    /// The line of course 0 above that, inches; mostly 0 or below.
    pub shift: f64,
    at_drip_edge: bool,
}

impl<'a> Lattice<'a> {
    pub(super) fn new(layout: &FaceLayout, zone: &Zone, rule: &'a CourseRule) -> Self {
        let above = if layout.starters.is_empty() { 0.0 } else { zone.base_v - layout.course_base() };
        let past = above - (above / rule.exposure).floor() * rule.exposure;
        let shift = if rule.exposure - past < SAME_COURSE { rule.exposure - past } else { -past };
        // A zone on the lowest eave itself is not shifted by rounding.
        let shift = if above.abs() < 1e-6 { 0.0 } else { shift };
        Self { rule, base_v: zone.base_v, shift, at_drip_edge: zone.at_drip_edge }
    }

    /// Lower and upper edge of a course's element, `v` inches. The starter element lies on the zone's own drip edge.
    pub(super) fn across(&self, course: u32) -> Interval {
        let above = self.rule.across(course);
        let low = self.base_v + above.low + if course == 0 { 0.0 } else { self.shift };
        Interval { low, high: low + above.length() }
    }

    /// Upper edge of a course's element above the zone's foot, inches.
    pub(super) fn top(&self, course: u32) -> f64 {
        self.across(course).high - self.base_v
    }

    /// The smallest number of deck courses whose top element reaches `reach` inches above the zone's foot.
    pub(super) fn deck_courses(&self, reach: f64) -> u32 {
        if reach <= self.rule.starter_width { 0 } else { self.rule.deck_courses(reach - self.shift).max(1) }
    }

    /// Why a course cannot be laid at all, if it cannot: a nail row or the starter strip's own is too near.
    pub(super) fn refused(&self, course: u32, job: &Job) -> Option<String> {
        if self.shift == 0.0 || !self.at_drip_edge {
            return None;
        }
        let shingle = &job.products.shingle.value;
        let clearance = self.rule.clearance;
        let own = self.across(course);
        let near = |low: f64, high: f64| low - own.high < clearance - 1e-9 && own.low - high < clearance - 1e-9;
        if course == 0 {
            // The first course over the eave is the one whose exposure it cuts.
            let butt = self.base_v + self.shift;
            let apart = butt + self.rule.nail_low - own.high;
            return near(butt + self.rule.nail_low, butt + self.rule.nail_high).then(|| {
                format!("the nails of the course that comes up beside it lie {} in above it", decimal(apart, 2))
            });
        }
        let strip = (shingle.starter_nail_low.inches(), shingle.starter_nail_high.inches());
        near(self.base_v + strip.0, self.base_v + strip.1)
            .then(|| "the starter strip of this eave is nailed there".to_owned())
            .or_else(|| {
                (own.low < self.base_v + self.rule.starter_width)
                    .then(|| "the element on the eave lies there".to_owned())
            })
    }
}

//! Where elements lie between the nails.
//!
//! Shingle course k has its butt at (k-1)e above the drip edge, so its nails stand on the deck at (k-1)e + [n_lo, n_hi]. Deck element j has its
//! lower edge `rise` above line j*e, between the nails of shingle courses j and j+1:
//! `n_hi - e + c <= rise <= n_lo - width - c`.

use super::cut::SAME_LENGTH;
use super::model::{CourseRule, Layer};
use crate::error::{Error, Result};
use crate::geometry::Interval;
use crate::job::{Job, Work};
use crate::units::decimal;

/// Sums of sixteenths are exact; lengths given in millimetres are not.
const ROUNDING: f64 = 1e-9;

/// The numbers all courses share.
///
/// # Errors
/// `nail-band` when no element fits between the nails with its clearance, or the job's rise does not.
pub(super) fn course_rule(job: &Job) -> Result<CourseRule> {
    let shingle = &job.products.shingle.value;
    let (exposure, clearance) = (shingle.exposure.inches(), job.courses.nail_clearance);
    let (nail_low, nail_high) = (shingle.nail_low.inches(), shingle.nail_high.inches());
    let deck_width = job.products.deck.value.width.inches();
    let (low, high) = (nail_high - exposure + clearance, nail_low - deck_width - clearance);
    if high < low - ROUNDING {
        return Err(Error::refused(
            "nail-band",
            format!(
                "a {} in deck element does not fit between the nails of {}: {} in are clear between two nail rows and {} in are needed with {} in on each side",
                decimal(deck_width, 3),
                shingle.words,
                decimal(exposure - (nail_high - nail_low), 3),
                decimal(deck_width + 2.0 * clearance, 3),
                decimal(clearance, 3),
            ),
        )
        .with_hint("use a narrower element, a shingle with a larger exposure or a narrower nail band, or a smaller nail_clearance"));
    }
    let window = Interval { low, high: high.max(low) };
    let rise = job.courses.rise.unwrap_or(0.5 * (low + high));
    if rise < low - ROUNDING || rise > high + ROUNDING {
        return Err(Error::refused(
            "nail-band",
            format!(
                "rise = {} in puts the deck element within {} in of a nail row; {} to {} in keeps clear",
                decimal(rise, 4),
                decimal(clearance, 3),
                decimal(low, 4),
                decimal(high, 4)
            ),
        )
        .with_hint("leave rise out for the middle of the window"));
    }
    let layer = match job.roof.work.value {
        Work::NewRoof => Layer::UnderShingles,
        Work::Retrofit => Layer::BetweenCourses,
    };
    let rule = CourseRule {
        layer,
        exposure,
        nail_low,
        nail_high,
        clearance,
        rise,
        rise_window: window,
        starter_width: job.products.starter.value.width.inches(),
        deck_width,
    };
    check_starter(job, &rule)?;
    Ok(rule)
}

/// The starter element lies from the drip edge to its width; the starter strip's nails, the first shingles' nails and deck element 1 stay clear of it,
/// and deck element 1 stays clear of the starter strip's nails.
fn check_starter(job: &Job, rule: &CourseRule) -> Result<()> {
    let shingle = &job.products.shingle.value;
    let (row_low, row_high) = (shingle.starter_nail_low.inches(), shingle.starter_nail_high.inches());
    let first_deck = rule.exposure + rule.rise;
    let free = row_low.min(rule.nail_low);
    if rule.starter_width + rule.clearance > free + ROUNDING {
        return Err(Error::refused(
            "nail-band",
            format!(
                "the {} in starter element reaches within {} in of the nails {} in above the drip edge",
                decimal(rule.starter_width, 3),
                decimal(rule.clearance, 3),
                decimal(free, 3)
            ),
        )
        .with_hint("use a narrower starter element, or a starter strip nailed higher"));
    }
    if row_high + rule.clearance > first_deck + ROUNDING || rule.starter_width > first_deck {
        return Err(Error::refused(
            "nail-band",
            format!(
                "the first deck element begins {} in above the drip edge, within {} in of the starter strip's nails at {} in",
                decimal(first_deck, 3),
                decimal(rule.clearance, 3),
                decimal(row_high, 3)
            ),
        )
        .with_hint("use a starter strip nailed lower, or a larger rise inside the window"));
    }
    Ok(())
}

impl CourseRule {
    /// The shingle courses under and over the element of a course, 0 being the starter strip; none where it lies under all of them.
    #[must_use]
    pub fn between(&self, course: u32) -> Option<[u32; 2]> {
        (self.layer == Layer::BetweenCourses).then_some([course, course + 1])
    }

    /// Lower and upper edge of a course's element above the drip edge, inches. Course 0 is the starter.
    #[must_use]
    pub fn across(&self, course: u32) -> Interval {
        if course == 0 {
            return Interval { low: 0.0, high: self.starter_width };
        }
        let low = f64::from(course) * self.exposure + self.rise;
        Interval { low, high: low + self.deck_width }
    }

    /// The smallest number of deck courses whose top element reaches `reach` inches above the drip edge.
    #[must_use]
    pub fn deck_courses(&self, reach: f64) -> u32 {
        if reach <= self.starter_width {
            return 0;
        }
        let lines = (reach - self.rise - self.deck_width - SAME_LENGTH) / self.exposure;
        lines.ceil().max(1.0) as u32
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::units::Length;

    fn job() -> Job {
        Job::with_defaults(&Catalogue::sample()).unwrap()
    }

    fn with_shingle(key: &str) -> Job {
        let mut job = job();
        job.products.shingle.value = Catalogue::sample().shingles.into_iter().find(|s| s.key == key).unwrap();
        job
    }

    /// Three-tab, nails at 5 5/8 (common practice): 1 to 1 1/4 in, middle 1 1/8.
    #[test]
    fn three_tab_window() {
        let rule = course_rule(&job()).unwrap();
        assert_eq!((rule.rise_window.low, rule.rise_window.high, rule.rise), (1.0, 1.25, 1.125));
    }

    /// Metric laminated with the invented band 5 7/8 to 6 3/4: 1 1/2 in exactly, no slack.
    #[test]
    fn metric_laminated_has_one_rise() {
        let rule = course_rule(&with_shingle("metric-laminated")).unwrap();
        assert_eq!((rule.rise_window.low, rule.rise_window.high, rule.rise), (1.5, 1.5, 1.5));
    }

    #[test]
    fn a_nail_band_in_the_way_is_refused_with_its_numbers() {
        let mut wide = with_shingle("metric-laminated");
        wide.products.shingle.value.nail_high = Length::from_inches(7.0);
        let error = course_rule(&wide).unwrap_err();
        assert_eq!(error.code, "nail-band");
        assert!(error.message.contains("4.5 in are clear") && error.message.contains("4.75 in are needed"), "{error}");
    }

    #[test]
    fn a_rise_outside_the_window_is_refused() {
        for (rise, fits) in [(0.99, false), (1.0, true), (1.25, true), (1.26, false)] {
            let mut job = job();
            job.courses.rise = Some(rise);
            assert_eq!(course_rule(&job).is_ok(), fits, "{rise}");
        }
    }

    #[test]
    fn the_starter_keeps_clear_of_its_own_nails() {
        let mut low = job();
        low.products.shingle.value.starter_nail_low = Length::from_inches(2.25);
        assert_eq!(course_rule(&low).unwrap_err().code, "nail-band");
        let mut high = job();
        high.products.shingle.value.starter_nail_high = Length::from_inches(6.0);
        assert_eq!(course_rule(&high).unwrap_err().code, "nail-band");
    }

    /// Counts including the starter, worked by hand with rise 1 1/8: 8, 9, 12, 12, 6, 8.
    #[test]
    fn course_counts_by_reach() {
        let rule = course_rule(&job()).unwrap();
        let counts = [37.95, 40.25, 57.69, 59.40, 28.84, 36.00].map(|reach| rule.deck_courses(reach) + 1);
        assert_eq!(counts, [8, 9, 12, 12, 6, 8]);
        assert_eq!(rule.across(8).high, 45.125);
    }

    #[test]
    fn a_course_is_added_only_when_the_one_below_falls_short() {
        let rule = course_rule(&job()).unwrap();
        assert_eq!(rule.deck_courses(45.125), 8);
        assert_eq!(rule.deck_courses(45.13), 9);
        assert_eq!(rule.deck_courses(2.0), 0);
        assert_eq!(rule.deck_courses(2.1), 1);
    }
}

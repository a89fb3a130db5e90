//! Elements in shingle courses.

use crate::geometry::{Interval, Point2, Region};
use crate::index::{EdgeId, FaceId, OpeningId, RunId, SegmentId, ZoneId};
use crate::zones::Interval2;
use schemars::JsonSchema;
use serde::Serialize;

/// Which element a course takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ElementRole {
    /// The narrow one on the eave, under the starter course.
    Starter,
    /// The wide one in the courses above.
    Deck,
}

/// Which layer of the roof elements lie in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Layer {
    /// On the ice barrier, under all shingles: a new roof.
    UnderShingles,
    /// The element of course j on shingle course j and under course j + 1, the starter's under course 1: a retrofit.
    BetweenCourses,
}

/// Where elements lie between the nails: the numbers shared by all courses.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CourseRule {
    /// Layer of the roof.
    pub layer: Layer,
    /// Course spacing on the slope, inches.
    pub exposure: f64,
    /// Lower edge of the nail band above a shingle's butt, inches.
    pub nail_low: f64,
    /// Upper edge of the nail band above a shingle's butt, inches.
    pub nail_high: f64,
    /// Clearance kept on both sides of a deck element, inches.
    pub clearance: f64,
    /// Lower edge of a deck element above its course line, inches.
    pub rise: f64,
    /// Rises that keep the clearance, inches.
    pub rise_window: Interval,
    /// Starter element width, inches.
    pub starter_width: f64,
    /// Deck element width, inches.
    pub deck_width: f64,
}

/// How a zone was filled.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ZoneCourses {
    /// The zone.
    pub zone: ZoneId,
    /// Deck courses 1..=n that carry elements.
    pub deck_courses: u32,
    /// The course lines of its face from those an eave at its own foot would have, inches; 0 at the face's lowest eave.
    pub shift: f64,
    /// Slope inches from the drip edge that must be heated.
    pub required_reach: f64,
    /// Upper edge of the top element, slope inches from the drip edge.
    pub provided_reach: f64,
    /// Element area over zone area.
    pub coverage: f64,
    /// Widest stretch up the slope without element, inches.
    pub widest_gap: f64,
    /// The zone raised to the provided reach, `(u, v)`.
    pub regions: Vec<Region>,
}

/// What ends a run on one side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum RunLimit {
    /// A roof edge's setback.
    Edge(EdgeId),
    /// An opening's keep-out.
    Opening(OpeningId),
    /// An area of the job that stays free.
    KeepOut,
    /// The zone's own end.
    Zone,
}

/// A clear stretch of one course.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Run {
    /// Its id.
    pub id: RunId,
    /// The zone it fills.
    pub zone: ZoneId,
    /// The face it lies on.
    pub face: FaceId,
    /// 0 is the starter.
    pub course: u32,
    /// Which element.
    pub element: ElementRole,
    /// From left to right as seen facing up the slope, inches.
    pub along: Interval,
    /// Lower and upper edge of the element, `v` inches.
    pub across: Interval,
    /// What ends it left and right.
    pub limits: [RunLimit; 2],
}

/// One piece of element, cut and laid whole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Segment {
    /// Its id.
    pub id: SegmentId,
    /// What the crew writes on it: face, course and position.
    pub tag: String,
    /// The run it is cut from.
    pub run: RunId,
    /// The zone it heats.
    pub zone: ZoneId,
    /// The face it lies on.
    pub face: FaceId,
    /// 0 is the starter.
    pub course: u32,
    /// Which element.
    pub element: ElementRole,
    /// Catalogue key of the element.
    pub element_key: String,
    /// From left to right, `u` inches.
    pub along: Interval,
    /// Lower and upper edge, `v` inches.
    pub across: Interval,
    /// Distance of its left end from the control line, inches.
    pub station: f64,
    /// Distance of its lower edge from the drip edge on the slope, inches.
    pub offset: f64,
    /// Length to cut, inches.
    pub cut_length: f64,
}

impl Segment {
    /// Middle of the left end, `(u, v)`.
    #[must_use]
    pub fn left_end(&self) -> Point2 {
        Point2::new(self.along.low, 0.5 * (self.across.low + self.across.high))
    }
    /// Middle of the right end, `(u, v)`.
    #[must_use]
    pub fn right_end(&self) -> Point2 {
        Point2::new(self.along.high, 0.5 * (self.across.low + self.across.high))
    }
    /// Width, inches.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.across.length()
    }
}

/// A strip up the slope left open through all courses of a zone, where long runs are cut: leads of the pieces beside it leave there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeadColumn {
    /// The zone.
    pub zone: ZoneId,
    /// The face it lies on.
    pub face: FaceId,
    /// From the drip edge to the top of the zone's elements, `(u, v)`.
    pub extent: Interval2,
}

/// A stretch that a zone wanted heated and that stays cold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ColdStretch {
    /// The zone.
    pub zone: ZoneId,
    /// The course.
    pub course: u32,
    /// From left to right, `u` inches.
    pub along: Interval,
    /// Why, in words.
    pub why: String,
}

/// All elements of the drawing.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Courses {
    /// The numbers all courses share; none when nothing is heated.
    pub rule: Option<CourseRule>,
    /// Zone by zone.
    pub zones: Vec<ZoneCourses>,
    /// Clear stretches.
    pub runs: Vec<Run>,
    /// Pieces.
    pub segments: Vec<Segment>,
    /// Strips left open through the courses.
    pub columns: Vec<LeadColumn>,
    /// What stays cold.
    pub cold: Vec<ColdStretch>,
}

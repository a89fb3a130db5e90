//! Nail rows of the shingles over a face, the strips between them, and the gaps left where leads cross.

use super::model::NailGap;
use super::sizes::{Sizes, coarse};
use crate::catalog::Shingle;
use crate::geometry::{Interval, Point2};
use crate::index::FaceId;
use crate::zones::StarterStrip;

/// A course whose exposure ends within this above an eave ends at it, inches (as in `courses`).
const SAME_COURSE: f64 = 0.125;
/// A starter strip may run on a little past its eave, inches.
const BESIDE_STRIP: f64 = 6.0;

/// Nail rows of one face: of the shingle courses, counted from its lowest drip edge, and of the starter strip along each eave.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct NailRows {
    base: f64,
    exposure: f64,
    row: Interval,
    starter: Interval,
    strips: Vec<StarterStrip>,
}

impl NailRows {
    pub(super) fn new(shingle: &Shingle, strips: &[StarterStrip]) -> Self {
        Self {
            base: strips.first().map_or(0.0, |strip| strip.v),
            exposure: shingle.exposure.inches(),
            row: Interval::new(shingle.nail_low.inches(), shingle.nail_high.inches()),
            starter: Interval::new(shingle.starter_nail_low.inches(), shingle.starter_nail_high.inches()),
            strips: strips.to_vec(),
        }
    }

    /// The row of a shingle course, from one.
    fn row(&self, course: u32) -> Interval {
        let up = self.butt(course);
        Interval { low: up + self.row.low, high: up + self.row.high }
    }

    /// The rows of starter strips, with the stations they reach over.
    fn starter_rows(&self) -> impl Iterator<Item = (Interval, Interval)> {
        self.strips
            .iter()
            .map(|strip| (Interval { low: strip.v + self.starter.low, high: strip.v + self.starter.high }, strip.along))
    }

    /// Height of the butt of a shingle course, from one.
    pub(super) fn butt(&self, course: u32) -> f64 {
        self.base + f64::from(course.saturating_sub(1)) * self.exposure
    }

    /// Strips between rows up to `top` where a lead along the course stays clear of both rows. The row of a starter strip up the slope counts
    /// over the whole face: a lead that comes along there may end above it.
    pub(super) fn strips(&self, top: f64, sizes: &Sizes) -> Vec<Interval> {
        let mut rows: Vec<Interval> = self.starter_rows().map(|(row, _)| row).collect();
        rows.extend((1..).map(|course| self.row(course)).take_while(|row| row.low <= top + self.exposure));
        rows.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.high.total_cmp(&b.high)));
        let mut strips = Vec::new();
        // The lowest strip starts at the drip edge, whose own nails the metal covers beside the starter element.
        let mut from = self.base + sizes.to_fastener;
        for row in rows {
            let strip = Interval { low: from, high: row.low - sizes.to_fastener };
            if strip.low >= top {
                break;
            }
            if strip.low <= strip.high {
                strips.push(strip);
            }
            from = from.max(row.high + sizes.to_fastener);
        }
        strips
    }

    /// Rows that a line between two heights and two stations touches, each with its shingle course; 0 is a starter strip.
    ///
    /// `doubt` is how far above an eave the exposure of a course may end, inches, and the course still be left out there.
    fn crossed(&self, u: Interval, v: Interval, doubt: f64) -> Vec<(u32, Interval)> {
        let highest = ((v.high - self.base) / self.exposure).max(0.0) as u32 + 1;
        let lowest = ((v.low - self.base - self.row.high) / self.exposure).floor().max(0.0) as u32;
        let beside = |along: Interval| u.high >= along.low - BESIDE_STRIP && u.low <= along.high + BESIDE_STRIP;
        let starters = self.starter_rows().filter(|(_, along)| beside(*along)).map(|(row, _)| (0, row));
        // A course that ends below an eave up the slope is not laid above it.
        let laid = |course: u32, row: Interval| {
            let under =
                |strip: &&StarterStrip| strip.along.low <= u.low && strip.along.high >= u.high && strip.v <= row.low;
            self.strips.iter().filter(under).all(|strip| self.butt(course) + self.exposure > strip.v + doubt)
        };
        starters
            .chain((lowest.max(1)..=highest).map(|course| (course, self.row(course))))
            .filter(|&(course, row)| course == 0 || laid(course, row))
            .filter(|(_, row)| v.low <= row.high && v.high >= row.low)
            .collect()
    }

    /// Whether a lead along the course at a height stays clear of every row that is nailed there.
    pub(super) fn leave_free(&self, u: Interval, v: f64, clear: f64) -> bool {
        self.crossed(u, Interval { low: v - clear, high: v + clear }, SAME_COURSE).is_empty()
    }

    /// The strip between two rows at a station that holds a height.
    pub(super) fn strip_at(&self, u: f64, v: f64, sizes: &Sizes) -> Option<Interval> {
        let beside = |strip: &&StarterStrip| {
            u >= strip.along.low - BESIDE_STRIP && u <= strip.along.high + BESIDE_STRIP || strip.v <= self.base
        };
        let here = Self { strips: self.strips.iter().filter(beside).copied().collect(), ..self.clone() };
        here.strips(v + 2.0 * self.exposure, sizes).into_iter().find(|strip| strip.contains(v))
    }

    /// Gaps that a path across this face needs, one for each row it crosses or ends nearer to than `clear`.
    pub(super) fn gaps(&self, face: FaceId, path: &[Point2], width: f64, clear: f64) -> Vec<NailGap> {
        let mut gaps = Vec::new();
        for leg in path.windows(2) {
            let v = Interval::new(leg[0].y, leg[1].y);
            let near = Interval { low: v.low - clear, high: v.high + clear };
            let (rise, shift) = ((leg[1].y - leg[0].y).abs(), (leg[1].x - leg[0].x).abs());
            // A gap too many costs nothing: a course that may or may not be laid gets one.
            for (course, row) in self.crossed(Interval::new(leg[0].x, leg[1].x), near, -SAME_COURSE) {
                let middle = 0.5 * (row.low + row.high);
                let t = if rise == 0.0 { 0.5 } else { ((middle - leg[0].y) / (leg[1].y - leg[0].y)).clamp(0.0, 1.0) };
                let at = Point2::new(leg[0].lerp(leg[1], t).x, middle);
                // A lead that crosses aslant needs the gap wider along the row, and shifts while it crosses the band.
                let slant = if rise == 0.0 { 0.0 } else { shift / rise };
                let width = width * (1.0 + slant * slant).sqrt() + slant * row.length();
                gaps.push(NailGap { face, shingle_course: course, at, width });
            }
        }
        gaps
    }
}

/// Gaps of one row that overlap become one gap as wide as all of them.
pub(super) fn merged(mut gaps: Vec<NailGap>) -> Vec<NailGap> {
    gaps.sort_by(|a, b| {
        // Starter strips of several eaves share the number 0: their rows lie at different heights.
        (a.face, a.shingle_course, coarse(a.at.y))
            .cmp(&(b.face, b.shingle_course, coarse(b.at.y)))
            .then(a.at.x.total_cmp(&b.at.x))
    });
    let mut whole: Vec<NailGap> = Vec::new();
    for gap in gaps {
        match whole.last_mut() {
            Some(last)
                if last.face == gap.face
                    && last.shingle_course == gap.shingle_course
                    && coarse(last.at.y) == coarse(gap.at.y)
                    && gap.at.x - 0.5 * gap.width <= last.at.x + 0.5 * last.width =>
            {
                let low = last.at.x - 0.5 * last.width;
                let high = (last.at.x + 0.5 * last.width).max(gap.at.x + 0.5 * gap.width);
                last.at.x = 0.5 * (low + high);
                last.width = high - low;
            }
            _ => whole.push(gap),
        }
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Job;

    fn at_zero() -> [StarterStrip; 1] {
        [StarterStrip { v: 0.0, along: Interval::new(0.0, 480.0) }]
    }

    /// An eave 12 in up the slope beside a lower one: its own starter strip is nailed at 15 to 16 in, only above it.
    #[test]
    fn the_starter_strip_of_an_upper_eave_is_crossed_above_it() {
        let upper = StarterStrip { v: 12.0, along: Interval::new(200.0, 480.0) };
        let rows = NailRows::new(&Catalogue::sample().shingles[0], &[at_zero()[0], upper]);
        let starters = |u: f64| {
            let path = [Point2::new(u, 18.125), Point2::new(u, 12.0)];
            rows.gaps(FaceId(0), &path, 1.5, 0.0).iter().filter(|g| g.shingle_course == 0).count()
        };
        assert_eq!((starters(100.0), starters(300.0)), (0, 1));
        let sizes = Sizes::of(&Job::with_defaults(&Catalogue::sample()).unwrap());
        assert!(
            rows.strips(30.0, &sizes).iter().all(|s| s.high <= 15.0 - 0.875 + 1e-9 || s.low >= 16.0 + 0.875 - 1e-9)
        );
    }

    /// Three-tab at 5 in: rows at 5 5/8, 10 5/8, 15 5/8 (FACTS 3.12); the starter's own row at 3 to 4 in.
    #[test]
    fn a_lead_up_three_courses_crosses_their_rows() {
        let shingle = &Catalogue::sample().shingles[0];
        let rows = NailRows::new(shingle, &at_zero());
        let path = [Point2::new(3.0, 18.125), Point2::new(3.0, 0.0)];
        let gaps = rows.gaps(FaceId(0), &path, 1.5, 0.0);
        let at: Vec<(u32, f64)> = gaps.iter().map(|g| (g.shingle_course, g.at.y)).collect();
        assert_eq!(at, [(0, 3.5), (1, 5.625), (2, 10.625), (3, 15.625)]);
        // Along the course between two rows nothing is crossed.
        assert!(rows.gaps(FaceId(0), &[Point2::new(0.0, 8.125), Point2::new(90.0, 8.125)], 1.5, 0.0).is_empty());
    }

    #[test]
    fn strips_between_rows_keep_the_lead_clearance() {
        let sizes = Sizes::of(&Job::with_defaults(&Catalogue::sample()).unwrap());
        let strips = NailRows::new(&Catalogue::sample().shingles[0], &at_zero()).strips(20.0, &sizes);
        // 5 5/8 + 3/4 + 1/8 to 10 5/8 - 7/8.
        assert!(strips.contains(&Interval { low: 6.5, high: 9.75 }), "{strips:?}");
    }

    #[test]
    fn neighbouring_gaps_become_one() {
        let gap = |x| NailGap { face: FaceId(0), shingle_course: 2, at: Point2::new(x, 10.625), width: 1.5 };
        let whole = merged(vec![gap(4.0), gap(3.0), gap(20.0)]);
        assert_eq!(whole.len(), 2);
        let upper = NailGap { at: Point2::new(3.5, 40.0), ..gap(3.5) };
        assert_eq!(merged(vec![gap(3.0), upper]).len(), 2, "rows of two starter strips");
        assert!((whole[0].width - 2.5).abs() < 1e-12 && (whole[0].at.x - 3.5).abs() < 1e-12);
    }
}

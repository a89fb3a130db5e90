//! Lead columns: strips left open through all courses of a zone so that every piece has an end from which a lead can leave.
//!
//! A lead may not run in a hip, ridge or valley margin (cap nails, the valley's own nails), so a piece between two of those is locked in
//! unless a column passes one of its ends. Columns where long runs are cut serve as they are; a zone whose runs still have no way out gets more.
//! Every column is as wide as the leads in it need, and at least the end gap.

use super::cut::{CutRule, SAME_LENGTH};
use super::model::{Layer, Run, RunLimit};
use super::strip::forbidden;
use crate::catalog::LeadCable;
use crate::geometry::{Interval, IntervalSet};
use crate::terms::EdgeKind;
use crate::zones::{FaceEdge, FaceLayout};

/// The columns of a zone, from left to right: `gaps`, where its long runs are cut, widened where needed, and more for runs without a way out.
///
/// `passing` leads from bands above come down on top of the zone's own; every column has room for all of them, since which one they take
/// is decided later.
///
/// A run ends at a way out when it ends at a rake or sidewall (a margin lane), at the zone's own end, at an opening beside which the strip
/// is open up or down through the other courses, or at a column.
pub(super) fn lead_columns(
    layout: &FaceLayout,
    runs: &[&Run],
    gaps: &[Interval],
    passing: u32,
    rule: CutRule,
    lead: &LeadCable,
) -> Vec<Interval> {
    let band =
        runs.iter().map(|run| run.across).reduce(|a, b| Interval { low: a.low.min(b.low), high: a.high.max(b.high) });
    let Some(band) = band else { return gaps.to_vec() };
    let ways = Ways { layout, runs, band, lead, layer: rule.layer };
    let locked: Vec<&Run> = runs
        .iter()
        .copied()
        .filter(|run| !gaps.iter().any(|gap| gap.overlap(run.along).is_some()))
        .filter(|run| !ways.open(run, 0) && !ways.open(run, 1))
        .collect();
    let mut middles: Vec<f64> = gaps.iter().map(|gap| 0.5 * (gap.low + gap.high)).collect();
    middles.extend(ways.stabs(&locked, rule, rule.end_gap.max(lead.column_width(2 * locked.len() as u32))));
    middles.sort_by(f64::total_cmp);
    let loads = ways.loads(&middles);
    middles
        .iter()
        .zip(loads)
        .map(|(&middle, leads)| {
            let half = 0.5 * rule.end_gap.max(lead.column_width(leads + passing));
            Interval { low: middle - half, high: middle + half }
        })
        .collect()
}

/// How far a rake may lean over the height of the zone and still have a straight lane in its margin, inches. Too small and a roof drawn by
/// hand gets columns it does not need; too large and the leads of the upper courses find the lane closed.
const LEAN: f64 = 0.5;
/// A lead keeps this far from a valley, and from the nails of caps on hips and ridges, inches (as `wiring` does, lead included).
const FROM_VALLEY: f64 = 14.0;
const FROM_CAP: f64 = 7.0;

/// Where the leads of one zone's runs may leave.
struct Ways<'a> {
    layout: &'a FaceLayout,
    runs: &'a [&'a Run],
    /// Heights of all its runs.
    band: Interval,
    lead: &'a LeadCable,
    layer: Layer,
}

impl Ways<'_> {
    /// Whether a lead may leave a run's own end: 0 is the left one, 1 the right.
    fn open(&self, run: &Run, side: usize) -> bool {
        match &run.limits[side] {
            RunLimit::Zone => true,
            // Ways beside what the job keeps free are not counted on.
            RunLimit::KeepOut => false,
            // Under an existing roof a lead goes sideways under its own tab: to a rake, and beneath no flashing.
            RunLimit::Edge(edge) if self.layer == Layer::BetweenCourses => {
                self.layout.edges.iter().any(|e| e.edge == *edge && e.kind == EdgeKind::Rake)
            }
            RunLimit::Opening(_) if self.layer == Layer::BetweenCourses => false,
            RunLimit::Edge(edge) => {
                let edge = self.layout.edges.iter().find(|e| e.edge == *edge);
                edge.is_some_and(|e| matches!(e.kind, EdgeKind::Rake | EdgeKind::Sidewall) && self.upright(e))
            }
            RunLimit::Opening(opening) => {
                let Some(keep) = self.layout.openings.iter().find(|o| o.opening == *opening) else { return false };
                let beside = match side {
                    0 => Interval::new(keep.flashing.u.high, run.along.low),
                    _ => Interval::new(run.along.high, keep.flashing.u.low),
                };
                let covers = |other: &&&Run| other.along.overlap(beside).is_some();
                let above = self.runs.iter().filter(|other| other.course > run.course).any(|other| covers(&other));
                let below = self.runs.iter().filter(|other| other.course < run.course).any(|other| covers(&other));
                !above || !below
            }
        }
    }

    /// Whether a margin beside this edge has room for a straight lane up the slope.
    fn upright(&self, edge: &FaceEdge) -> bool {
        let (along, up) = ((edge.b.x - edge.a.x).abs(), (edge.b.y - edge.a.y).abs());
        along * self.band.length().min(up) <= LEAN * up
    }

    /// Where a column `width` wide that passes a run comes down to an eave, by its middle.
    fn down_to_eave(&self, run: &Run, width: f64) -> IntervalSet {
        let eaves =
            self.layout.edges.iter().filter(|e| e.kind == EdgeKind::Eave && e.a.y.max(e.b.y) <= run.across.low + 1.0);
        let windows = eaves.flat_map(|eave| {
            let height = Interval::new(eave.a.y.max(eave.b.y), run.across.high);
            let shut = self.layout.edges.iter().filter_map(|edge| {
                let keep = match edge.kind {
                    EdgeKind::Valley => FROM_VALLEY,
                    EdgeKind::Hip | EdgeKind::Ridge => FROM_CAP,
                    _ => return None,
                };
                let shut = forbidden(edge.a, edge.b, keep - self.lead.beside_element(), height)?;
                Some(Interval { low: shut.low - 0.5 * width, high: shut.high + 0.5 * width })
            });
            let own = Interval::new(eave.a.x, eave.b.x);
            let open = IntervalSet::from_union(vec![own]).minus(&IntervalSet::from_union(shut.collect()));
            open.stretches().to_vec()
        });
        IntervalSet::from_union(windows.collect())
    }

    /// The fewest places that pass through every locked run, each in the middle of what its runs share.
    ///
    /// A run long enough is divided so that both parts are worth laying; a shorter one keeps at least one part. Where a column can come down
    /// to the eave beside the margins of valleys and hips it is put there; elsewhere its leads can only go up.
    fn stabs(&self, locked: &[&Run], rule: CutRule, width: f64) -> Vec<f64> {
        let mut reaches: Vec<Interval> = locked
            .iter()
            .map(|run| {
                let both = rule.shortest + 0.5 * width;
                let aside = if run.along.length() >= 2.0 * both { both } else { 0.5 * width.min(run.along.length()) };
                let all = Interval { low: run.along.low + aside, high: run.along.high - aside };
                let down = self.down_to_eave(run, width);
                let fits = down.stretches().iter().filter_map(|open| open.overlap(all));
                fits.max_by(|a, b| a.length().total_cmp(&b.length())).unwrap_or(all)
            })
            .collect();
        reaches.sort_by(|a, b| a.high.total_cmp(&b.high).then(a.low.total_cmp(&b.low)));
        let mut shared: Vec<Interval> = Vec::new();
        for reach in reaches {
            match shared.last_mut() {
                Some(last) if reach.low <= last.high + SAME_LENGTH => last.low = last.low.max(reach.low).min(last.high),
                _ => shared.push(reach),
            }
        }
        shared.iter().map(|reach| 0.5 * (reach.low + reach.high)).collect()
    }

    /// Leads that leave through each column. A piece between two columns counts half in both, so that a mirrored roof is cut alike.
    fn loads(&self, middles: &[f64]) -> Vec<u32> {
        let mut halves = vec![0u32; middles.len()];
        for run in self.runs {
            let inside: Vec<usize> = (0..middles.len()).filter(|&at| run.along.contains(middles[at])).collect();
            for piece in 0..=inside.len() {
                let (left, right) = (piece.checked_sub(1).map(|at| inside[at]), inside.get(piece).copied());
                let free = (left.is_none() && self.open(run, 0)) || (right.is_none() && self.open(run, 1));
                let columns: Vec<usize> = left.into_iter().chain(right).collect();
                for &column in columns.iter().filter(|_| !free) {
                    halves[column] += 2 / columns.len() as u32;
                }
            }
        }
        halves.iter().map(|halves| halves.div_ceil(2)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::courses::ElementRole;
    use crate::geometry::{FaceFrame, Plane, Point2, Region};
    use crate::index::{EdgeId, FaceId, RunId, ZoneId};

    const RULE: CutRule =
        CutRule { longest: 600.0, end_gap: 6.0, step: 0.5, shortest: 24.0, layer: Layer::UnderShingles };

    fn layout(left: EdgeKind, right: EdgeKind) -> FaceLayout {
        let edge = |id, kind| FaceEdge {
            edge: EdgeId(id),
            kind,
            a: Point2::new(0.0, 0.0),
            b: Point2::new(0.0, 100.0),
            setback: 6.0,
            why: String::new(),
        };
        FaceLayout {
            face: FaceId(0),
            frame: FaceFrame::new(Plane { a: 0.0, b: 0.5, c: 0.0 }, Point2::new(0.0, 0.0)).unwrap(),
            region: Region::default(),
            edges: vec![edge(0, left), edge(1, right)],
            openings: Vec::new(),
            keep_outs: Vec::new(),
            starters: Vec::new(),
        }
    }

    /// Courses between two hips at 6:12, each 4.47 in shorter at both ends than the one below.
    fn hip_runs(length: f64, courses: u32) -> Vec<Run> {
        (0..courses)
            .map(|course| Run {
                id: RunId(course),
                zone: ZoneId(0),
                face: FaceId(0),
                course,
                element: ElementRole::Deck,
                along: Interval::new(12.0 + 4.47 * f64::from(course), length - 12.0 - 4.47 * f64::from(course)),
                across: Interval::new(5.0 * f64::from(course), 5.0 * f64::from(course) + 4.0),
                limits: [RunLimit::Edge(EdgeId(0)), RunLimit::Edge(EdgeId(1))],
            })
            .collect()
    }

    #[test]
    fn a_face_between_hips_gets_one_column_in_its_middle() {
        let lead = &Catalogue::sample().leads[0];
        let runs = hip_runs(300.0, 9);
        let runs: Vec<&Run> = runs.iter().collect();
        let columns = lead_columns(&layout(EdgeKind::Hip, EdgeKind::Valley), &runs, &[], 0, RULE, lead);
        assert_eq!(columns.len(), 1);
        assert!((0.5 * (columns[0].low + columns[0].high) - 150.0).abs() < 1e-9);
        // 18 leads of 1/4 in, 1/8 in apart: 17 x 3/8 in, and 3/8 in from the middles of the outer ones to the elements.
        assert!((columns[0].length() - 7.125).abs() < 1e-9);
    }

    #[test]
    fn a_rake_needs_no_column_and_cuts_of_long_runs_serve() {
        let lead = &Catalogue::sample().leads[0];
        let runs = hip_runs(300.0, 9);
        let runs: Vec<&Run> = runs.iter().collect();
        assert!(lead_columns(&layout(EdgeKind::Hip, EdgeKind::Rake), &runs, &[], 0, RULE, lead).is_empty());
        let gap = [Interval::new(147.0, 153.0)];
        let columns = lead_columns(&layout(EdgeKind::Hip, EdgeKind::Rake), &runs, &gap, 0, RULE, lead);
        assert_eq!(columns, gap);
    }
}

//! What one lifting of a roof piece costs: the sum by which whole answers are ranked.
//!
//! Each term asks how strange a roof this would be, as a rough negative log likelihood: 1 is worth a factor of e. Terms:
//!
//! - *planarity*: how far drawn points must move for the faces to meet along their folds;
//! - *level outline*: how far outline that reads as eave or high edge runs off level;
//! - *outline kinds*: rakes that rise to a gable peak are common, other rakes less, high edges and flat faces rare;
//! - *folds*: a drawn line where the surface does not fold is strange, a pitch break or a level valley unusual;
//! - *pitches*: the faces of one roof tend to one pitch;
//! - *drainage*: water that collects at a point inside the roof is a mistake, and a slope that sheds over its rakes alone is strange.
//!
//! Weights were set on real roofs with measured heights, by kind of roof and never by single roofs.

use super::kinds::{FLAT_PITCH, boundary_kind_along, fold_kind_along};
use super::piece::{Fold, Piece};
use super::search::Known;
use super::variants::NEARLY_FLAT;
use crate::geometry::{Plane, Point2, trig};
use crate::terms::EdgeKind;

/// Miss of drawn points that is nothing special, inches: a point clicked by hand is off by 1.4 in.
pub(super) const POINT_MISS: f64 = 2.0;
/// Cost of a fold that misses by e times [`POINT_MISS`], squared.
const PLANARITY: f64 = 1.0;
/// Height by which real eaves run off level from end to end, inches at pitch 1.
const LEVEL_MISS: f64 = 4.0;
/// As for planarity.
const LEVEL: f64 = 0.7;
/// A rake whose neighbour is the other half of its gable.
const GABLE_RAKE: f64 = 0.4;
/// A rake by itself.
const LONE_RAKE: f64 = 2.0;
/// Besides, where a face has that one side to the outline and no gable is there. Of 1,090 such faces of real roofs 1,082 have their eave there, and
/// 3 a rake; larger still, and the 3 are passed over.
const ONLY_SIDE: f64 = 3.0;
/// A level run at the top of its face.
const HIGH_EDGE: f64 = 4.0;
/// A flat face.
const FLAT_FACE: f64 = 4.0;
/// Outline neither level nor clearly sloping, or sloping askew.
const SKEW_EDGE: f64 = 3.0;
/// A rake along which its slope rises by less than this share of its pitch runs more along the slope than down it. It counts as outline askew
/// where it is not all the outline of its face: of 643 such rakes of real roofs 6 are so, 3 of them on slopes that a party wall cut off from
/// their eave. Smaller, and a slope between an eave and a high edge passes for one that falls askew between two rakes; larger, and roofs
/// on lots that are not square are doubted.
const DOWN_THE_RAKE: f64 = 0.7;
/// Water crosses a fold.
const PITCH_BREAK: f64 = 3.0;
/// Notes that differ by this factor ask for a pitch break.
const NOTED_APART: f64 = 1.15;
/// A drawn line where the surface does not fold.
const NO_FOLD: f64 = 5.0;
/// The surface jumps at a drawn line: more than a rival of an ordinary roof may cost, so that a line which folds as it should
/// needs no asking, and less than a rival of a strange one may, whose lines may then each be a wall.
const STEP: f64 = 5.0;
/// Two faces whose gradients differ by less than this share of the roof's pitch hardly fold; nobody draws a line for that.
/// Costs [`NO_FOLD`] at no difference, nothing from here on.
const FAINT_FOLD: f64 = 0.12;
/// A valley without fall.
const LEVEL_VALLEY: f64 = 4.0;
/// Per face, for the squared log of its pitch over the common one.
const PITCHES: f64 = 2.0;
/// Most that one face's pitch may cost.
const PITCH_CAP: f64 = 3.0;
/// A face this many times as steep as the usual one is no slope: the steepest of 1,894 real ones is 5.2 times as steep.
pub(super) const NO_SLOPE: f64 = 8.0;
/// What that costs besides: as an answer that none of them is.
const TOO_STEEP: f64 = 4.5;
/// A point inside the roof where water collects.
const POND: f64 = 6.0;
/// A slope without an eave or a line that its water comes to. Of 1,954 slopes of real roofs with measured heights 8 are such, most of
/// them cut off at a party wall. Smaller, and a shed between gables passes for a slope askew to all its sides; larger, and what a party
/// wall cut off is taken for something else.
const NO_EAVE: f64 = 2.0;
/// Water comes to a line that its slope rises from by more than this share of its pitch.
const COMES_TO: f64 = 0.1;

/// An edge that reads as another kind than somebody said, or a face that falls the other way.
const AGAINST_HINT: f64 = 40.0;

/// A priced lifting.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Priced {
    /// Kinds of the folds, in order.
    pub folds: Vec<EdgeKind>,
    /// Kinds of the borders, in order.
    pub borders: Vec<EdgeKind>,
    /// The sum.
    pub energy: f64,
    /// The part of it that tells how strange a roof this would be, gables and the drawing's own noise left out.
    pub strange: f64,
    /// How far the ends of each fold must move for its faces to meet there, inches of plan.
    pub misses: Vec<f64>,
}

/// Prices liftings of one piece; keeps its working space from one to the next.
#[derive(Debug, Default)]
pub(super) struct Pricer {
    borders: Vec<EdgeKind>,
    folds: Vec<EdgeKind>,
    misses: Vec<f64>,
    paired: Vec<bool>,
    pitches: Vec<f64>,
    ranked: Vec<f64>,
    drains: Vec<bool>,
    sheds: Vec<bool>,
    place: Vec<usize>,
}

impl Pricer {
    /// Prices a lifting.
    pub(super) fn price(&mut self, piece: &Piece, known: &Known, planes: &[Plane]) -> Priced {
        let (energy, strange) = self.sum(piece, known, planes, f64::INFINITY);
        let (folds, borders, misses) = (self.folds.clone(), self.borders.clone(), self.misses.clone());
        Priced { folds, borders, energy, strange, misses }
    }

    /// The energy alone; at least `limit` once it is past that.
    pub(super) fn energy(&mut self, piece: &Piece, known: &Known, planes: &[Plane], limit: f64) -> f64 {
        self.sum(piece, known, planes, limit).0
    }

    /// Energy and strangeness. No term is negative, so that terms need not be worked out once the sum is past `limit`.
    fn sum(&mut self, piece: &Piece, known: &Known, planes: &[Plane], limit: f64) -> (f64, f64) {
        self.borders.clear();
        self.borders.extend(piece.borders.iter().map(|b| boundary_kind_along(b.along, planes[b.face])));
        self.folds.clear();
        self.folds.extend(piece.folds.iter().map(|f| match f.cut {
            true => EdgeKind::Step,
            false => fold_kind_along(f.along, planes[f.left], planes[f.right]),
        }));
        let (gables, outline) = self.outline_cost(piece, known, planes);
        let strange = outline + fold_cost(piece, known, planes, &self.folds);
        let mut energy = gables + strange;
        if energy >= limit {
            return (energy, strange);
        }
        self.misses.clear();
        self.misses.extend(piece.folds.iter().map(|fold| fold_miss(planes, fold)));
        let mut planarity = LogSum::default();
        self.misses.iter().for_each(|miss| planarity.add_square(miss / POINT_MISS));
        energy += PLANARITY * planarity.total() + LEVEL * self.level_cost(piece, planes);
        if energy >= limit {
            return (energy, strange);
        }
        let drainage = self.ponds(piece, planes) as f64 * POND + self.without_eave(piece, planes) as f64 * NO_EAVE;
        let rest = self.pitch_cost(piece, known, planes) + drainage;
        energy += rest + said_otherwise(piece, known, planes, &self.borders, &self.folds);
        (energy, strange + rest)
    }
}

/// Sum of `ln(1 + x^2)`: a square for small misses that stops mattering how large a large one is. Kept as a product, since
/// logarithms would take longer than all the rest.
#[derive(Debug)]
struct LogSum {
    product: f64,
    sum: f64,
}

impl Default for LogSum {
    fn default() -> Self {
        Self { product: 1.0, sum: 0.0 }
    }
}

impl LogSum {
    fn add_square(&mut self, x: f64) {
        self.product *= 1.0 + x * x;
        if self.product > 1e150 {
            self.sum += trig::ln(self.product);
            self.product = 1.0;
        }
    }

    fn total(&self) -> f64 {
        self.sum + trig::ln(self.product)
    }
}

/// How far the ends of a fold must move in plan for its faces to meet there.
fn fold_miss(planes: &[Plane], fold: &Fold) -> f64 {
    if fold.cut {
        return 0.0;
    }
    let (l, r) = (planes[fold.left], planes[fold.right]);
    let change = (l.uphill_gradient() - r.uphill_gradient()).length().max(0.2);
    let apart = |p: Point2| (l.height(p) - r.height(p)).abs();
    apart(fold.segment.a).max(apart(fold.segment.b)) / change
}

/// What answers cost that go against a hint. Not excluded, so that hints which cannot all hold still give an answer, and a
/// warning.
fn said_otherwise(piece: &Piece, known: &Known, planes: &[Plane], borders: &[EdgeKind], folds: &[EdgeKind]) -> f64 {
    let on_folds = piece.folds.iter().zip(folds).flat_map(|(f, kind)| f.edges.iter().map(move |&edge| (edge, kind)));
    let edges = piece.borders.iter().map(|b| b.edge).zip(borders).chain(on_folds);
    let said = edges.filter(|_| !known.kinds.is_empty());
    let kinds = said.filter(|(edge, kind)| known.kinds.get(edge).is_some_and(|said| !agrees(*said, **kind))).count();
    let falls: f64 = known
        .faces
        .iter()
        .zip(planes)
        .filter_map(|(fact, plane)| {
            let down = fact.downhill?;
            let off = plane.uphill_gradient().unit().map_or(1.0, |up| 1.0 + up.dot(down));
            // Nothing within about 25 degrees: arrows are drawn by eye.
            Some(AGAINST_HINT * (off - 0.1).max(0.0))
        })
        .sum();
    kinds as f64 * AGAINST_HINT + falls
}

/// Whether a kind read off planes is what somebody called it.
pub(super) fn agrees(said: EdgeKind, read: EdgeKind) -> bool {
    said == read || (said == EdgeKind::Sidewall && read == EdgeKind::Rake)
}

impl Pricer {
    /// Eaves and high edges off level, and ridges: they are built level as eaves are; one that runs off level is a hip, or a line that is
    /// no fold.
    fn level_cost(&self, piece: &Piece, planes: &[Plane]) -> f64 {
        let mut sum = LogSum::default();
        for (border, kind) in piece.borders.iter().zip(&self.borders) {
            if matches!(kind, EdgeKind::Eave | EdgeKind::HighEdge) {
                let off = planes[border.face].uphill_gradient().dot(border.along) * border.length;
                sum.add_square(off / LEVEL_MISS);
            }
        }
        for (fold, kind) in piece.folds.iter().zip(&self.folds) {
            if *kind == EdgeKind::Ridge {
                let both = planes[fold.left].uphill_gradient() + planes[fold.right].uphill_gradient();
                sum.add_square(both.dot(fold.along) * fold.length / 2.0 / LEVEL_MISS);
            }
        }
        sum.total()
    }

    /// Gables, and everything else about the outline.
    fn outline_cost(&mut self, piece: &Piece, known: &Known, planes: &[Plane]) -> (f64, f64) {
        let kinds = &self.borders;
        let kind = |run: usize| kinds[piece.runs[run][0]];
        self.paired.clear();
        self.paired.resize(piece.runs.len(), false);
        let rises = |run: usize| {
            let border = &piece.borders[piece.runs[run][0]];
            planes[border.face].uphill_gradient().dot(border.along) > 0.0
        };
        // Of the two runs of a peak the first ends there and the second starts there. One that goes on rising is a gambrel's if notes say so.
        let broken = |square: &Option<usize>| square.is_some_and(|fold| noted_apart(known, &piece.folds[fold]));
        let gable = |&(&[before, after], square): &(&[usize; 2], &Option<usize>)| {
            let rakes = [before, after].iter().all(|&run| kind(run) == EdgeKind::Rake);
            rakes && ((rises(before) && !rises(after)) || (rises(before) == rises(after) && broken(square)))
        };
        for (peak, _) in piece.peaks.iter().zip(&piece.ridges).filter(gable) {
            peak.iter().for_each(|&run| self.paired[run] = true);
        }
        let single = |run: usize| {
            let told = || known.faces[piece.borders[piece.runs[run][0]].face].downhill.is_some();
            piece.only[run] && !told()
        };
        let askew = |run: usize| {
            let border = &piece.borders[piece.runs[run][0]];
            let up = planes[border.face].uphill_gradient();
            piece.sides[border.face] > 1 && up.dot(border.along).abs() < DOWN_THE_RAKE * up.length()
        };
        let (mut gables, mut others) = (0.0, 0.0);
        for (run, &paired) in self.paired.iter().enumerate() {
            match kind(run) {
                EdgeKind::Rake if paired && !askew(run) => gables += GABLE_RAKE,
                EdgeKind::Rake if single(run) => others += LONE_RAKE + ONLY_SIDE,
                EdgeKind::Skew if single(run) => others += SKEW_EDGE + ONLY_SIDE,
                EdgeKind::Rake if !askew(run) => others += LONE_RAKE,
                EdgeKind::Rake | EdgeKind::Skew => others += SKEW_EDGE,
                EdgeKind::HighEdge => others += HIGH_EDGE,
                EdgeKind::FlatEdge => others += FLAT_FACE,
                _ => {}
            }
        }
        (gables, others)
    }

    /// Pitches count in units of what was noted for their face, so that pitches which differ as noted cost nothing.
    fn pitch_cost(&mut self, piece: &Piece, known: &Known, planes: &[Plane]) -> f64 {
        let noted = |face: usize| known.faces[face].pitch.filter(|&p| p > FLAT_PITCH).unwrap_or(1.0);
        let all = planes.iter().map(|p| p.pitch()).enumerate();
        self.pitches.clear();
        self.pitches.extend(all.filter(|(_, pitch)| *pitch > FLAT_PITCH).map(|(face, pitch)| pitch / noted(face)));
        self.ranked.clone_from(&self.pitches);
        self.ranked.sort_unstable_by(f64::total_cmp);
        let Some(&common) = self.ranked.get(self.ranked.len() / 2) else { return FLAT_FACE * piece.faces.len() as f64 };
        let cost = |p: &f64| {
            let log = trig::ln(p / common);
            (PITCHES * log * log).min(PITCH_CAP) + if *p > NO_SLOPE * common { TOO_STEEP } else { 0.0 }
        };
        self.pitches.iter().map(cost).sum()
    }

    /// Slopes whose water comes to no edge of theirs but rakes.
    fn without_eave(&mut self, piece: &Piece, planes: &[Plane]) -> usize {
        self.sheds.clear();
        // Where the water of a nearly flat face goes says little.
        self.sheds.extend(planes.iter().map(|p| p.pitch() < NEARLY_FLAT));
        for (border, kind) in piece.borders.iter().zip(&self.borders) {
            let inward = || planes[border.face].uphill_gradient().dot(border.along.left());
            self.sheds[border.face] |= *kind == EdgeKind::Eave || (*kind == EdgeKind::Skew && inward() > 0.0);
        }
        for fold in &piece.folds {
            let inward = fold.along.left();
            for (face, inward) in [(fold.left, inward), (fold.right, -inward)] {
                let plane = planes[face];
                self.sheds[face] |= plane.uphill_gradient().dot(inward) > COMES_TO * plane.pitch();
            }
        }
        self.sheds.iter().filter(|sheds| !**sheds).count()
    }

    /// Places inside the roof that water reaches and cannot leave: points joined by level folds, with no fold falling from any and
    /// no outline at any.
    fn ponds(&mut self, piece: &Piece, planes: &[Plane]) -> usize {
        fn root(place: &mut [usize], mut point: usize) -> usize {
            while place[point] != point {
                place[point] = place[place[point]];
                point = place[point];
            }
            point
        }
        self.drains.clone_from(&piece.outer);
        self.place.clear();
        self.place.extend(0..piece.outer.len());
        for fold in &piece.folds {
            let [a, b] = fold.ends;
            if fold.cut {
                // Water falls off there, or runs along the wall.
                (self.drains[a], self.drains[b]) = (true, true);
                continue;
            }
            let rise = planes[fold.left].uphill_gradient().dot(fold.along) * fold.length;
            if rise.abs() < 0.02 * fold.length {
                let (a, b) = (root(&mut self.place, a), root(&mut self.place, b));
                self.place[a.max(b)] = a.min(b);
            } else {
                self.drains[if rise > 0.0 { b } else { a }] = true;
            }
        }
        for point in 0..self.drains.len() {
            if self.drains[point] {
                let root = root(&mut self.place, point);
                self.drains[root] = true;
            }
        }
        (0..self.drains.len()).filter(|&p| self.place[p] == p && !self.drains[p]).count()
    }
}

fn fold_cost(piece: &Piece, known: &Known, planes: &[Plane], kinds: &[EdgeKind]) -> f64 {
    piece
        .folds
        .iter()
        .zip(kinds)
        .map(|(fold, kind)| match kind {
            EdgeKind::Step if fold.further => 0.0,
            EdgeKind::Step => STEP,
            EdgeKind::FlatBreak => NO_FOLD,
            EdgeKind::PitchBreak if noted_apart(known, fold) => 0.0,
            EdgeKind::PitchBreak => PITCH_BREAK,
            EdgeKind::Valley => {
                let steepest = planes[fold.left].pitch().max(planes[fold.right].pitch());
                let fall = planes[fold.left].uphill_gradient().dot(fold.along).abs();
                if fall < 0.1 * steepest { LEVEL_VALLEY } else { faint_fold(planes, fold) }
            }
            _ => faint_fold(planes, fold),
        })
        .sum()
}

/// Whether the notes on both sides of a fold give clearly different pitches: what a pitch break needs, and the reason to write
/// them.
fn noted_apart(known: &Known, fold: &Fold) -> bool {
    let noted = [fold.left, fold.right].map(|face| known.faces[face].pitch);
    matches!(noted, [Some(a), Some(b)] if a.max(b) > NOTED_APART * a.min(b))
}

/// Whether an answer leaves open why a line was drawn: its planes hardly fold there, or water crosses it and no note says why.
pub(super) fn unexplained(known: &Known, answer: &[Plane], fold: &Fold, kind: EdgeKind) -> bool {
    match kind {
        EdgeKind::Step => false,
        EdgeKind::PitchBreak => !noted_apart(known, fold),
        _ => faint_fold(answer, fold) > 0.0,
    }
}

fn faint_fold(planes: &[Plane], fold: &Fold) -> f64 {
    let (l, r) = (planes[fold.left], planes[fold.right]);
    let change = (l.uphill_gradient() - r.uphill_gradient()).length();
    let share = change / l.pitch().max(r.pitch()).max(FLAT_PITCH);
    NO_FOLD * (1.0 - share / FAINT_FOLD).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::plan_of;
    use super::*;
    use crate::geometry::Point3;
    use crate::index::RoofId;
    use std::collections::BTreeSet;

    /// A funnel of four faces holds water at its middle, a pyramid nowhere.
    #[test]
    fn water_stands_in_a_funnel_and_not_on_a_pyramid() {
        for (top, wanted) in [(-60.0, 1), (60.0, 0)] {
            let corners: Vec<Point3> = [
                (-120.0, -120.0, 0.0),
                (120.0, -120.0, 0.0),
                (120.0, 120.0, 0.0),
                (-120.0, 120.0, 0.0),
                (0.0, 0.0, top),
            ]
            .map(|(x, y, z)| Point3::new(x, y, z))
            .to_vec();
            let plan = plan_of(&corners, &[&[0, 1, 4], &[1, 2, 4], &[2, 3, 4], &[3, 0, 4]]);
            let piece = Piece::of(&plan, RoofId::new(0), &BTreeSet::new());
            let planes: Vec<Plane> =
                piece.faces.iter().map(|face| plan.faces[face.index()].plane.expect("heights are drawn")).collect();
            assert_eq!(Pricer::default().ponds(&piece, &planes), wanted);
        }
    }

    /// A pyramid over 20 ft whose slopes differ: one three times as steep as the others costs less than what no slope is, one nine times as
    /// steep as much as such an answer may.
    #[test]
    fn a_slope_many_times_as_steep_is_dear() {
        let corners = [(0.0, 0.0), (240.0, 0.0), (240.0, 240.0), (0.0, 240.0), (120.0, 120.0)];
        let corners = corners.map(|(x, y)| Point3::new(x, y, 0.0));
        let plan = plan_of(&corners, &[&[0, 1, 4], &[1, 2, 4], &[2, 3, 4], &[3, 0, 4]]);
        let piece = Piece::of(&plan, RoofId::new(0), &BTreeSet::new());
        let known = Known { faces: vec![super::super::lift::FaceFacts::default(); 4], ..Known::default() };
        let cost = |times: f64| {
            let planes = [times, 1.0, 1.0, 1.0].map(|b| Plane { a: 0.0, b, c: 0.0 });
            Pricer::default().pitch_cost(&piece, &known, &planes)
        };
        assert!(cost(1.0).abs() < 1e-12);
        assert!((cost(3.0) - PITCHES * trig::ln(3.0) * trig::ln(3.0)).abs() < 1e-9, "{}", cost(3.0));
        assert!((cost(9.0) - PITCH_CAP - TOO_STEEP).abs() < 1e-9, "{}", cost(9.0));
    }

    /// A slope between two lines with outline at two opposite sides: falling square to them it has an eave and a high edge, falling along them
    /// two rakes, and falling 65 degrees off square two that run askew, which cost as much as outline that is neither.
    #[test]
    fn a_rake_that_runs_askew_costs_more_than_one_down_the_slope() {
        let corners = [(0.0, 0.0), (240.0, 0.0), (240.0, 240.0), (0.0, 240.0), (360.0, 0.0), (360.0, 240.0)];
        let corners = corners.map(|(x, y)| Point3::new(x, y, 0.0));
        let plan = plan_of(&corners, &[&[0, 1, 2, 3], &[1, 4, 5, 2]]);
        let piece = Piece::of(&plan, RoofId::new(0), &BTreeSet::new());
        let known = Known { faces: vec![super::super::lift::FaceFacts::default(); 2], ..Known::default() };
        let cost = |a: f64, b: f64| {
            let planes = [Plane { a, b, c: 0.0 }; 2];
            let mut pricer = Pricer::default();
            pricer.price(&piece, &known, &planes);
            pricer.outline_cost(&piece, &known, &planes).1
        };
        let (down, askew) = (cost(1.0, 0.0), cost(trig::cos(1.1), trig::sin(1.1)));
        // All of both faces' outline but the far ends, which are an eave and a high edge.
        assert!((down - 4.0 * LONE_RAKE - HIGH_EDGE).abs() < 1e-9, "{down}");
        assert!(askew > 4.0 * SKEW_EDGE - 1e-9, "{askew}");
    }
}

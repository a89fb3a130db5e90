//! What one lifting of a roof piece costs: the sum by which whole answers are ranked.
//!
//! Each term asks how strange a roof this would be, as a rough negative log likelihood: 1 is worth a factor of e. Terms:
//!
//! - *planarity*: how far drawn points must move for the faces to meet along their folds;
//! - *level outline*: how far outline that reads as eave or high edge runs off level;
//! - *outline kinds*: rakes at a gable peak are common, other rakes less, high edges and flat faces rare;
//! - *folds*: a drawn line where the surface does not fold is strange, a pitch break or a level valley unusual;
//! - *pitches*: the faces of one roof tend to one pitch;
//! - *drainage*: water that collects at a point inside the roof is a mistake.
//!
//! Weights were set on real roofs with measured heights, by kind of roof and never by single roofs.

use super::kinds::{FLAT_PITCH, boundary_kind, fold_kind};
use super::piece::{Fold, Piece};
use super::search::Known;
use crate::geometry::{Plane, Point2, Segment2, trig};
use crate::terms::EdgeKind;
use std::collections::BTreeSet;

/// Miss of drawn points that is nothing special, inches: a point clicked by hand is off by 1.4 in.
const POINT_MISS: f64 = 2.0;
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
/// A level run at the top of its face.
const HIGH_EDGE: f64 = 4.0;
/// A flat face.
const FLAT_FACE: f64 = 4.0;
/// Outline neither level nor clearly sloping.
const SKEW_EDGE: f64 = 3.0;
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
/// A point inside the roof where water collects.
const POND: f64 = 6.0;

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

/// Prices a lifting.
pub(super) fn price(piece: &Piece, known: &Known, planes: &[Plane]) -> Priced {
    let borders: Vec<EdgeKind> = piece.borders.iter().map(|b| boundary_kind(b.segment, planes[b.face])).collect();
    let folds: Vec<EdgeKind> = piece
        .folds
        .iter()
        .map(|f| if f.cut { EdgeKind::Step } else { fold_kind(f.segment, planes[f.left], planes[f.right]) })
        .collect();
    let misses: Vec<f64> = (0..piece.folds.len()).map(|i| fold_miss(piece, planes, i)).collect();
    let mut energy = 0.0;
    for &miss in &misses {
        energy += PLANARITY * soft_square(miss / POINT_MISS);
    }
    energy += level_cost(piece, planes, &borders) + ridge_cost(piece, planes, &folds);
    let (gables, outline) = outline_cost(piece, &borders);
    let strange = outline
        + fold_cost(piece, known, planes, &folds)
        + pitch_cost(piece, known, planes)
        + ponds(piece, planes) as f64 * POND;
    energy += gables + strange;
    energy += said_otherwise(piece, known, planes, &borders, &folds);
    Priced { folds, borders, energy, strange, misses }
}

/// `ln(1 + x^2)`: a square for small misses that stops mattering how large a large one is.
fn soft_square(x: f64) -> f64 {
    trig::ln(1.0 + x * x)
}

/// How far the ends of a fold must move in plan for its faces to meet there.
fn fold_miss(piece: &Piece, planes: &[Plane], fold: usize) -> f64 {
    let fold = &piece.folds[fold];
    if fold.cut {
        return 0.0;
    }
    let (l, r) = (planes[fold.left], planes[fold.right]);
    let change = (l.uphill_gradient() - r.uphill_gradient()).length().max(0.2);
    [fold.segment.a, fold.segment.b].iter().map(|&p| (l.height(p) - r.height(p)).abs() / change).fold(0.0, f64::max)
}

/// What answers cost that go against a hint. Not excluded, so that hints which cannot all hold still give an answer, and a
/// warning.
fn said_otherwise(piece: &Piece, known: &Known, planes: &[Plane], borders: &[EdgeKind], folds: &[EdgeKind]) -> f64 {
    let edges = piece.borders.iter().map(|b| b.edge).zip(borders).chain(piece.folds.iter().map(|f| f.edge).zip(folds));
    let kinds = edges.filter(|(edge, kind)| known.kinds.get(edge).is_some_and(|said| !agrees(*said, **kind))).count();
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

fn level_cost(piece: &Piece, planes: &[Plane], kinds: &[EdgeKind]) -> f64 {
    piece
        .borders
        .iter()
        .zip(kinds)
        .filter(|(_, kind)| matches!(kind, EdgeKind::Eave | EdgeKind::HighEdge))
        .map(|(border, _)| {
            let off = planes[border.face].uphill_gradient().dot(border.along()) * border.segment.length();
            LEVEL * soft_square(off / LEVEL_MISS)
        })
        .sum()
}

/// Ridges are built level as eaves are; one that runs off level is a hip, or a line that is no fold.
fn ridge_cost(piece: &Piece, planes: &[Plane], kinds: &[EdgeKind]) -> f64 {
    let ridges = piece.folds.iter().zip(kinds).filter(|(_, kind)| **kind == EdgeKind::Ridge);
    ridges
        .map(|(fold, _)| {
            let both = planes[fold.left].uphill_gradient() + planes[fold.right].uphill_gradient();
            LEVEL * soft_square(both.dot(fold.segment.b - fold.segment.a) / 2.0 / LEVEL_MISS)
        })
        .sum()
}

/// Gables, and everything else about the outline.
fn outline_cost(piece: &Piece, kinds: &[EdgeKind]) -> (f64, f64) {
    let kind = |run: usize| kinds[piece.runs[run][0]];
    let (mut gables, mut others) = (0.0, 0.0);
    for run in 0..piece.runs.len() {
        match kind(run) {
            EdgeKind::Rake => {
                let paired =
                    piece.peaks.iter().any(|p| p.contains(&run) && p.iter().all(|&r| kind(r) == EdgeKind::Rake));
                if paired { gables += GABLE_RAKE } else { others += LONE_RAKE }
            }
            EdgeKind::HighEdge => others += HIGH_EDGE,
            EdgeKind::FlatEdge => others += FLAT_FACE,
            EdgeKind::Skew => others += SKEW_EDGE,
            _ => {}
        }
    }
    (gables, others)
}

fn fold_cost(piece: &Piece, known: &Known, planes: &[Plane], kinds: &[EdgeKind]) -> f64 {
    piece
        .folds
        .iter()
        .zip(kinds)
        .map(|(fold, kind)| match kind {
            EdgeKind::Step => STEP,
            EdgeKind::FlatBreak => NO_FOLD,
            EdgeKind::PitchBreak if noted_apart(known, fold) => 0.0,
            EdgeKind::PitchBreak => PITCH_BREAK,
            EdgeKind::Valley => {
                let along = (fold.segment.b - fold.segment.a).unit().unwrap_or_default();
                let steepest = planes[fold.left].pitch().max(planes[fold.right].pitch());
                let fall = planes[fold.left].uphill_gradient().dot(along).abs();
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

fn faint_fold(planes: &[Plane], fold: &Fold) -> f64 {
    let (l, r) = (planes[fold.left], planes[fold.right]);
    let change = (l.uphill_gradient() - r.uphill_gradient()).length();
    let share = change / l.pitch().max(r.pitch()).max(FLAT_PITCH);
    NO_FOLD * (1.0 - share / FAINT_FOLD).max(0.0)
}

/// Pitches count in units of what was noted for their face, so that pitches which differ as noted cost nothing.
fn pitch_cost(piece: &Piece, known: &Known, planes: &[Plane]) -> f64 {
    let noted = |face: usize| known.faces[face].pitch.filter(|&p| p > FLAT_PITCH).unwrap_or(1.0);
    let sloping = planes.iter().enumerate().filter(|(_, p)| p.pitch() > FLAT_PITCH);
    let mut pitches: Vec<f64> = sloping.map(|(face, p)| p.pitch() / noted(face)).collect();
    pitches.sort_by(f64::total_cmp);
    let Some(&common) = pitches.get(pitches.len() / 2) else { return FLAT_FACE * piece.faces.len() as f64 };
    pitches
        .iter()
        .map(|p| {
            let log = trig::ln(p / common);
            (PITCHES * log * log).min(PITCH_CAP)
        })
        .sum()
}

/// Places inside the roof that water reaches and cannot leave: points joined by level folds, with no fold falling from any and
/// no outline at any.
fn ponds(piece: &Piece, planes: &[Plane]) -> usize {
    // Adding nothing makes -0 a 0, so that equal points sort side by side.
    let plain = |p: Point2| Point2::new(p.x + 0.0, p.y + 0.0);
    let ends = |segment: Segment2| [plain(segment.a), plain(segment.b)];
    let order = |p: &Point2, q: &Point2| p.y.total_cmp(&q.y).then(p.x.total_cmp(&q.x));
    let mut points: Vec<Point2> = piece.folds.iter().flat_map(|f| ends(f.segment)).collect();
    points.sort_by(order);
    points.dedup();
    let find = |p: &Point2| points.binary_search_by(|q| order(q, p)).ok();
    let mut drains = vec![false; points.len()];
    for at in piece.borders.iter().flat_map(|b| ends(b.segment)).filter_map(|p| find(&p)) {
        drains[at] = true;
    }
    let mut level = Vec::new();
    for fold in &piece.folds {
        let [a, b] = ends(fold.segment);
        let (Some(a), Some(b)) = (find(&a), find(&b)) else { continue };
        let plane = planes[fold.left];
        let rise = plane.height(fold.segment.b) - plane.height(fold.segment.a);
        let slack = 0.02 * fold.segment.length();
        if rise.abs() < slack {
            level.push((a, b));
        } else {
            drains[if rise > 0.0 { b } else { a }] = true;
        }
    }
    let mut place: Vec<usize> = (0..points.len()).collect();
    for (a, b) in level {
        let (from, to) = (place[a].max(place[b]), place[a].min(place[b]));
        place.iter_mut().filter(|p| **p == from).for_each(|p| *p = to);
    }
    let drained: BTreeSet<usize> = (0..points.len()).filter(|&p| drains[p]).map(|p| place[p]).collect();
    place.sort_unstable();
    place.dedup();
    place.iter().filter(|p| !drained.contains(p)).count()
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::plan_of;
    use super::*;
    use crate::geometry::{Point3, Vector2};
    use crate::index::RoofId;
    use std::collections::BTreeSet;

    /// A funnel of four faces holds water at its middle, a pyramid nowhere; the middle lies at the origin, where zeros have signs.
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
            let mut piece = Piece::of(&plan, RoofId::new(0), &BTreeSet::new());
            let planes: Vec<Plane> =
                piece.faces.iter().map(|face| plan.faces[face.index()].plane.expect("heights are drawn")).collect();
            // The same point with zeros of both signs.
            for (position, fold) in piece.folds.iter_mut().enumerate() {
                let sign = if position % 2 == 0 { -1.0 } else { 1.0 };
                for end in [&mut fold.segment.a, &mut fold.segment.b] {
                    if end.to_vector() == Vector2::default() {
                        *end = Point2::new(sign * 0.0, sign * 0.0);
                    }
                }
            }
            assert_eq!(ponds(&piece, &planes), wanted);
        }
    }
}

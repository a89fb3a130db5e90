//! Skylights, chimneys, vents and hatches, each clipped to the faces it lies on.

use super::cells::find_cells;
use super::draft::{ROUNDING, by_place};
use super::faces::FoundOpening;
use super::half_edge::ring;
use super::model::{PlanGraph, PlanOpening};
use super::notes::FaceFinder;
use super::prune::drop_dangles;
use super::repair::repair;
use super::report::Report;
use super::split::cross;
use crate::error::Result;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Box2, Point2, Region, Ring, Segment2, SegmentIndex, intersection};
use crate::import::{Linework, OpeningKind, Path, Role};
use crate::index::{FaceId, OpeningId, OriginId};
use crate::job::DrawingSettings;
use crate::units::decimal;
use std::collections::BTreeMap;

/// Slivers of an opening smaller than this are not on a face, square inches.
const LEAST_PART: f64 = 1.0;

/// Lines near a figure times its corners: an opening with more drawn through it is a hatch, and each corner is compared with each line.
const MOST_THROUGH: usize = 20_000;

/// Corners of an opening that is no named one: a flattened circle of the largest size has sixty.
const MOST_CORNERS: usize = 1_000;

/// An opening before it is clipped.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Outline {
    /// What it is.
    pub kind: OpeningKind,
    /// Counter-clockwise.
    pub ring: Ring,
    /// Where it was drawn.
    pub origin: OriginId,
}

/// All openings of the drawing: by role, closed figures found among the roof lines, and unnamed closed figures on the roof.
pub(super) fn place_openings(
    linework: &Linework,
    named: Vec<Outline>,
    found: Vec<FoundOpening>,
    plan: &PlanGraph,
    finder: &FaceFinder,
    settings: &DrawingSettings,
    report: &mut Report,
) -> Vec<PlanOpening> {
    let mut outlines = named;
    outlines.extend(found.into_iter().map(|o| Outline {
        kind: OpeningKind::Unknown,
        ring: o.outline,
        origin: o.origin,
    }));
    outlines.extend(unnamed_outlines(linework, finder, settings.opening_area_limit));
    let outlines = outermost(outlines);
    let mut openings: Vec<PlanOpening> = Vec::new();
    for outline in outlines {
        let region = Region::simple(outline.ring.points);
        let Some(around) = region.exterior.bounds() else { continue };
        let parts = parts_on_faces(&region, around, finder);
        if parts.is_empty() {
            let message = format!("an opening of {} sq in lies on no face and is not used", decimal(region.area(), 0));
            report.push(Finding::new(Severity::Ignored, "opening-off-roof", message, Place::at(around.center())));
            continue;
        }
        if outline.kind == OpeningKind::Unknown {
            let message =
                format!("a closed figure of {} sq ft is taken as an opening", decimal(region.area() / 144.0, 1));
            report.push(
                Finding::new(Severity::Assumed, "assumed-opening", message, Place::at(around.center()))
                    .with_hint("draw it on a layer named after what it is: skylight, chimney, vent or hatch"),
            );
        }
        let id = OpeningId::new(0);
        openings.push(PlanOpening { id, kind: outline.kind, outline: region, parts, origin: outline.origin });
    }
    openings.sort_by(|a, b| {
        let roof = |o: &PlanOpening| plan.faces[o.parts[0].0.index()].roof;
        roof(a).cmp(&roof(b)).then(by_place(lowest(&a.outline.exterior), lowest(&b.outline.exterior)))
    });
    for (number, opening) in openings.iter_mut().enumerate() {
        opening.id = OpeningId::new(number);
    }
    openings
}

fn lowest(ring: &Ring) -> Point2 {
    ring.points.iter().copied().min_by(|a, b| by_place(*a, *b)).unwrap_or_default()
}

fn parts_on_faces(outline: &Region, around: Box2, finder: &FaceFinder) -> Vec<(FaceId, Region)> {
    let mut parts = Vec::new();
    for (face, region) in finder.faces_meeting(around) {
        let pieces = intersection(std::slice::from_ref(outline), std::slice::from_ref(region));
        parts.extend(pieces.into_iter().filter(|piece| piece.area() >= LEAST_PART).map(|piece| (face, piece)));
    }
    parts
}

/// Drops outlines that lie inside another (a frame and its glass are one skylight).
fn outermost(mut outlines: Vec<Outline>) -> Vec<Outline> {
    let area = |o: &Outline| o.ring.signed_area().abs();
    outlines.sort_by(|a, b| {
        area(b)
            .total_cmp(&area(a))
            .then(by_place(lowest(&a.ring), lowest(&b.ring)))
            .then(a.kind.cmp(&b.kind))
            .then(a.origin.cmp(&b.origin))
    });
    let nowhere = Box2 { min: Point2::default(), max: Point2::default() };
    let boxes: Vec<Box2> = outlines.iter().map(|o| o.ring.bounds().unwrap_or(nowhere)).collect();
    let index = SegmentIndex::new(&boxes.iter().map(|b| Segment2::new(b.min, b.max)).collect::<Vec<_>>());
    let mut kept = vec![true; outlines.len()];
    for number in 0..outlines.len() {
        let middle = boxes[number].center();
        let inner = &outlines[number];
        // Larger ones come first, so one that holds this is decided already.
        let holder = index.near(middle, 0.0).into_iter().take_while(|&outer| outer < number).find(|&outer| {
            let ring = &outlines[outer].ring;
            kept[outer] && ring.contains(middle) && inner.ring.points.iter().all(|&p| inside_or_on(ring, p))
        });
        if let Some(outer) = holder {
            kept[number] = false;
            // A name on either of the two names both.
            if outlines[outer].kind == OpeningKind::Unknown {
                outlines[outer].kind = inner.kind;
            }
        }
    }
    let mut kept = kept.into_iter();
    outlines.retain(|_| kept.next().unwrap_or(true));
    outlines
}

fn inside_or_on(ring: &Ring, point: Point2) -> bool {
    ring.contains(point) || ring.distance_to(point) < 0.01
}

/// Outlines of the paths an importer named as openings: one for each block reference, one for each closed figure of loose lines.
pub(super) fn named_outlines(linework: &Linework, tolerance: f64, report: &mut Report) -> Result<Vec<Outline>> {
    let mut sets: BTreeMap<(OpeningKind, Option<u32>), Vec<&Path>> = BTreeMap::new();
    for path in &linework.paths {
        if let Role::Opening(kind) = path.role {
            sets.entry((kind, path.group)).or_default().push(path);
        }
    }
    let mut outlines = Vec::new();
    for ((kind, group), paths) in sets {
        let lines: Vec<(Segment2, OriginId)> =
            paths.iter().flat_map(|path| path.plan_segments().map(|s| (s, path.origin))).collect();
        let rings = contours(&lines, tolerance)?;
        let all = lines.iter().flat_map(|(s, _)| [s.a, s.b]);
        match (rings.is_empty(), Box2::around(all)) {
            (true, Some(b)) if b.width() > 1.0 && b.height() > 1.0 => {
                let message = "an opening's outline is not closed; the upright box around it is taken";
                report.push(Finding::new(Severity::Assumed, "open-opening", message, Place::at(b.center())));
                let (low, high) = (b.min, b.max);
                let ring = Ring::new(vec![low, Point2::new(high.x, low.y), high, Point2::new(low.x, high.y)]);
                outlines.push(Outline { kind, ring, origin: paths[0].origin });
            }
            (true, _) => {
                let at = lines.first().map_or(Point2::default(), |(s, _)| s.a);
                let message = "a line on an opening layer encloses nothing and is not used";
                report.push(Finding::new(Severity::Ignored, "open-opening", message, Place::at(at)));
            }
            // One block is one opening: its largest contour.
            (false, _) if group.is_some() => {
                let largest = rings.into_iter().max_by(|a, b| a.0.signed_area().total_cmp(&b.0.signed_area()));
                outlines.extend(largest.map(|(ring, origin)| Outline { kind, ring, origin }));
            }
            (false, _) => outlines.extend(rings.into_iter().map(|(ring, origin)| Outline { kind, ring, origin })),
        }
    }
    Ok(outlines)
}

/// The outer contours of loose lines, counter-clockwise, with an entity each lies on.
fn contours(lines: &[(Segment2, OriginId)], tolerance: f64) -> Result<Vec<(Ring, OriginId)>> {
    // Small things are drawn with small gaps; what is mended here changes no face.
    let mut draft = repair(lines, tolerance.min(0.25), &mut Report::default())?;
    drop_dangles(&mut draft, &mut Report::default());
    let cells = find_cells(&draft);
    Ok(cells
        .pieces
        .iter()
        .filter(|piece| piece.area > LEAST_PART)
        .map(|piece| {
            let walk = &cells.walks.walks[piece.contour];
            (ring(&draft, walk).counter_clockwise(), draft.edges[walk[0] / 2].sources[0])
        })
        .collect())
}

/// Closed figures of no known layer that lie on the roof: no larger than the limit, and with no text inside (a tag's bubble).
fn unnamed_outlines(linework: &Linework, finder: &FaceFinder, limit: f64) -> Vec<Outline> {
    let mut outlines = Vec::new();
    let texts: Vec<Segment2> = linework.notes.iter().map(|note| Segment2::new(note.at, note.at)).collect();
    let texts = SegmentIndex::new(&texts);
    for path in linework.paths.iter().filter(|path| path.role == Role::Other && path.closed) {
        let ring = Ring::new(path.points.iter().map(|p| p.plan()).collect()).counter_clockwise();
        let area = ring.signed_area();
        let sized = area > LEAST_PART && area <= limit;
        let on_roof = sized && ring.points.iter().all(|&p| finder.face_at(p).is_some());
        let on_roof = on_roof && is_simple(&ring);
        let inside = |around| texts.meeting(around).into_iter().any(|note| ring.contains(linework.notes[note].at));
        let tagged = || ring.bounds().is_some_and(inside);
        if on_roof && !tagged() {
            outlines.push(Outline { kind: OpeningKind::Unknown, ring, origin: path.origin });
        }
    }
    outlines
}

/// Closed roof paths that may be openings although roof lines run through them: small, and no other roof line ends on them.
pub(super) fn crossed_figures(linework: &Linework, tolerance: f64, limit: f64) -> Vec<usize> {
    let roof: Vec<usize> = (0..linework.paths.len()).filter(|&p| linework.paths[p].role == Role::Roof).collect();
    let lines: Vec<(usize, Segment2)> =
        roof.iter().flat_map(|&p| linework.paths[p].plan_segments().map(move |s| (p, s))).collect();
    let segments: Vec<Segment2> = lines.iter().map(|(_, s)| *s).collect();
    let index = SegmentIndex::new(&segments);
    roof.into_iter()
        .filter(|&p| {
            let path = &linework.paths[p];
            let figure = Ring::new(path.points.iter().map(|q| q.plan()).collect()).counter_clockwise();
            let area = figure.signed_area();
            if !path.closed || area > limit || area <= LEAST_PART {
                return false;
            }
            let Some(around) = figure.bounds() else { return false };
            let nearby: Vec<Segment2> = index
                .meeting(around.grown(tolerance))
                .into_iter()
                .filter(|&i| lines[i].0 != p)
                .map(|i| segments[i])
                .collect();
            if nearby.len() * figure.points.len() > MOST_THROUGH {
                return false;
            }
            let touched = nearby.iter().any(|s| [s.a, s.b].iter().any(|&end| figure.distance_to(end) <= tolerance));
            let touching = figure.points.iter().any(|&q| nearby.iter().any(|s| s.distance_to(q) <= tolerance));
            let crossed = nearby.iter().any(|&s| figure.sides().any(|side| cross(side, s)));
            crossed && !touched && !touching && is_simple(&figure)
        })
        .collect()
}

/// Whether the sides of a figure meet at its corners only. One that crosses itself has no inside to speak of and is no opening.
fn is_simple(figure: &Ring) -> bool {
    let sides: Vec<Segment2> = figure.sides().collect();
    if sides.len() > MOST_CORNERS {
        return false;
    }
    let meet = |a: Segment2, b: Segment2| {
        let touch = [b.a, b.b].iter().any(|&end| a.distance_to(end) <= ROUNDING)
            || [a.a, a.b].iter().any(|&end| b.distance_to(end) <= ROUNDING);
        touch || cross(a, b)
    };
    let last = sides.len() - 1;
    (0..=last).all(|i| (i + 2..=last).filter(|&j| (i, j) != (0, last)).all(|j| !meet(sides[i], sides[j])))
}

/// A closed path as an opening.
pub(super) fn found_figure(path: &Path) -> FoundOpening {
    let outline = Ring::new(path.points.iter().map(|p| p.plan()).collect()).counter_clockwise();
    FoundOpening { outline, origin: path.origin }
}

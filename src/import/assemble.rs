//! The chosen leaves become linework: flattened, recentred, in inches, in order of place.

use super::arrows::{Found, find};
use super::choose::{Choice, block_path, choose, place_of};
use super::drawing::{Drawing, plain};
use super::entity::{Shape, Text};
use super::expand::{Leaf, MOST_OF_ONE, most_points, too_large};
use super::flatten::{CHORD_ERROR, stretch};
use super::ledger::Ledger;
use super::model::{Arrow, DrawingReport, EntityCount, Facet, Linework, Note, Origin, Path, Role, SourceFrame};
use super::pieces::{draw, leaf_map, sides};
use crate::error::Result;
use crate::finding::{Finding, Severity};
use crate::geometry::{Box2, Point2, Point3, Vector3};
use crate::index::{OriginId, PathId};
use crate::job::DrawingSettings;
use crate::units::feet_inches;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// Texts up to this share of the roof's longer side outside its box still speak of the roof.
const NOTE_MARGIN: f64 = 0.15;
/// Letters are about so wide as a share of their height, which only places the middle of a text.
const LETTER_WIDTH: f64 = 0.6;
/// Lines of a paragraph are 5/3 of the letter height apart (DXF reference, MTEXT line spacing factor 1).
const LINE_SPACING: f64 = 5.0 / 3.0;
/// Facets whose heights differ by less than this, in inches, are level: 1/16 in is the finest anyone draws.
const LEVEL: f64 = 1.0 / 16.0;

/// Linework on the way, in inches of the working frame.
#[derive(Debug, Default)]
struct Gathered {
    paths: Vec<(Vec<Point3>, bool, Role, usize)>,
    facets: Vec<(Vec<Point3>, usize)>,
    notes: Vec<(String, Point2, f64, usize)>,
    arrows: Vec<(Point2, Point2, usize)>,
    /// Leaves that gave something.
    used: Vec<usize>,
    /// Leaves of kinds this reader does not know.
    unread: Vec<usize>,
}

/// Makes the linework of a drawing.
///
/// # Errors
/// When no roof can be chosen or the drawing is larger than any roof plan.
pub(super) fn assemble(drawing: &Drawing, settings: &DrawingSettings, ledger: &mut Ledger) -> Result<Linework> {
    let choice = choose(drawing, settings, ledger)?;
    let frame = SourceFrame {
        units: choice.decision.unit,
        inches_per_unit: choice.decision.unit.inches(),
        origin: origin(choice.area),
    };
    let mut gathered = Gathered::default();
    let near = choice.area.grown(NOTE_MARGIN * choice.area.width().max(choice.area.height()));
    let arrows = find(drawing, &choice.expanded, near);
    gather_roof(drawing, &choice, &arrows.consumed, &frame, &mut gathered, ledger)?;
    gather_words(drawing, &choice, &frame, near, &mut gathered);
    gather_arrows(drawing, &choice, arrows, &frame, &mut gathered, ledger);
    for &leaf in &gathered.unread {
        let words = "this program does not read this kind of entity, and it may be part of the roof";
        let place = place_of(drawing, &choice.expanded, choice.expanded.leaves[leaf]);
        let kind = plain(drawing.entities[choice.expanded.leaves[leaf].entity].kind);
        let finding = Finding::new(Severity::Warning, "kind-not-read", format!("{kind}: {words}"), place);
        ledger.add(finding.with_hint("explode it or draw it as lines, arcs or polylines"));
    }
    let entities = count(drawing, &choice, &gathered);
    Ok(in_order(drawing, choice, frame, gathered, entities))
}

/// A whole number near the roof on each axis, so that subtracting it loses no digit: the roof does not straddle it unless it is 0.
fn origin(area: Box2) -> Point3 {
    let axis = |low: f64, high: f64| {
        if low > 0.0 {
            low.floor()
        } else if high < 0.0 {
            high.ceil()
        } else {
            0.0
        }
    };
    Point3::new(axis(area.min.x, area.max.x), axis(area.min.y, area.max.y), 0.0)
}

fn gather_roof(
    drawing: &Drawing,
    choice: &Choice,
    arrows: &BTreeSet<usize>,
    frame: &SourceFrame,
    gathered: &mut Gathered,
    ledger: &mut Ledger,
) -> Result<()> {
    let error = CHORD_ERROR / frame.inches_per_unit;
    let work = |points: Vec<Point3>| points.into_iter().map(|p| frame.to_working(p)).collect::<Vec<_>>();
    let (mut facets, mut lines, mut flat) = (Vec::new(), Vec::new(), Vec::new());
    let mut heights: Option<(f64, f64)> = None;
    let mut line_heights: Option<(f64, f64)> = None;
    let faces_of_polylines = drawn_as_closed_faces(drawing, choice, arrows, frame);
    let (mut total, most) = (0, most_points(drawing));
    for &position in choice.roof.iter().filter(|position| !arrows.contains(position)) {
        let leaf = choice.expanded.leaves[position];
        match drawing.entities[leaf.entity].shape {
            Shape::Unread => {
                gathered.unread.push(position);
                continue;
            }
            // Filled triangles and bars on a roof layer are arrow heads and poché, not edges.
            Shape::Solid(_) => continue,
            _ => {}
        }
        let mut drawn = draw(drawing, &choice.expanded, leaf, error);
        total += drawn.size();
        if total > most || drawn.size() > MOST_OF_ONE {
            return Err(too_large(total));
        }
        let low = drawn.line_heights();
        line_heights = join(line_heights, low);
        if faces_of_polylines {
            drawn.close_into_facets();
        }
        if drawn.size() == 0 {
            let place = place_of(drawing, &choice.expanded, leaf);
            let kind = plain(drawing.entities[leaf.entity].kind);
            let words = format!("this {kind} has no length in plan and was left out");
            ledger.add(Finding::new(Severity::Ignored, "no-length", words, place));
        }
        heights = join(heights, drawn.heights());
        flat.extend(sides(&drawn.facets).into_iter().map(|(points, closed)| (points, closed, position)));
        facets.extend(drawn.facets.into_iter().map(|facet| (facet.corners, position)));
        lines.extend(drawn.paths.into_iter().map(|(points, closed)| (points, closed, position)));
    }
    let rises = |range: Option<(f64, f64)>| range.map_or(0.0, |(low, high)| (high - low) * frame.inches_per_unit);
    let sloping = rises(heights) > LEVEL;
    if !sloping && rises(line_heights) > LEVEL {
        let rise = feet_inches(rises(line_heights));
        let words = format!(
            "the roof's lines are drawn at heights {rise} apart; heights of lines are not used, only their plan"
        );
        let finding = Finding::new(Severity::Warning, "heights-not-used", words, crate::finding::Place::none());
        ledger.add(finding.with_hint("draw each roof face as a 3DFACE or a closed 3D polyline, or give the pitch"));
    }
    if sloping {
        if !lines.is_empty() {
            let words = format!(
                "the roof has {} facets with heights; its {} other lines are not used",
                facets.len(),
                lines.len()
            );
            ledger.add(Finding::new(Severity::Note, "facets-used", words, crate::finding::Place::none()));
        }
        lines.clear();
        gathered.facets = facets.into_iter().map(|(corners, leaf)| (work(corners), leaf)).collect();
        gathered.used.extend(gathered.facets.iter().map(|(_, leaf)| *leaf));
    } else {
        lines.extend(flat);
    }
    gathered.used.extend(lines.iter().map(|(.., leaf)| *leaf));
    gathered.paths = lines.into_iter().map(|(points, closed, leaf)| (work(points), closed, Role::Roof, leaf)).collect();
    for &(position, role) in &choice.others {
        let drawn = draw(drawing, &choice.expanded, choice.expanded.leaves[position], error);
        total += drawn.size();
        if total > most || drawn.size() > MOST_OF_ONE {
            return Err(too_large(total));
        }
        let flat = sides(&drawn.facets);
        for (points, closed) in drawn.paths.into_iter().chain(flat) {
            gathered.paths.push((work(points), closed, role, position));
            gathered.used.push(position);
        }
    }
    Ok(())
}

fn join(a: Option<(f64, f64)>, b: Option<(f64, f64)>) -> Option<(f64, f64)> {
    match (a, b) {
        (Some((low, high)), Some((l, h))) => Some((low.min(l), high.max(h))),
        (a, b) => a.or(b),
    }
}

/// Whether the roof is drawn as closed polylines in space, one a face: nothing else draws it, each is flat, and at least one slopes.
fn drawn_as_closed_faces(drawing: &Drawing, choice: &Choice, arrows: &BTreeSet<usize>, frame: &SourceFrame) -> bool {
    let level = LEVEL / frame.inches_per_unit;
    let mut slopes = false;
    for &position in choice.roof.iter().filter(|position| !arrows.contains(position)) {
        let leaf = choice.expanded.leaves[position];
        match &drawing.entities[leaf.entity].shape {
            Shape::Solid(_) | Shape::Unread => continue,
            Shape::Polyline(line) if line.in_space => {}
            _ => return false,
        }
        for (points, closed) in draw(drawing, &choice.expanded, leaf, f64::INFINITY).paths {
            if !closed || !is_flat(&points, level) {
                return false;
            }
            let heights = points.iter().map(|point| point.z);
            let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), z| (l.min(z), h.max(z)));
            slopes |= high - low > level;
        }
    }
    slopes
}

/// Whether all points lie within `off` of the plane through them, its normal by Newell's sums.
fn is_flat(points: &[Point3], off: f64) -> bool {
    let first = points[0];
    let normal = (0..points.len()).fold(Vector3::new(0.0, 0.0, 0.0), |sum, i| {
        let (a, b) = (points[i] - first, points[(i + 1) % points.len()] - first);
        sum + a.cross(b)
    });
    normal.unit().is_some_and(|normal| points.iter().all(|&point| (point - first).dot(normal).abs() <= off))
}

fn gather_arrows(
    drawing: &Drawing,
    choice: &Choice,
    arrows: Found,
    frame: &SourceFrame,
    gathered: &mut Gathered,
    ledger: &mut Ledger,
) {
    let work = |p: Point2| frame.to_working(p.at_height(0.0)).plan();
    for (tail, head, leaves) in arrows.arrows {
        gathered.arrows.push((work(tail), work(head), leaves[0]));
        gathered.used.extend(leaves);
    }
    for leaf in arrows.unclear {
        let words = "this block is named for a slope arrow, but which way it points cannot be told; it was not used";
        let place = place_of(drawing, &choice.expanded, choice.expanded.leaves[leaf]);
        let finding = Finding::new(Severity::Ignored, "arrow-unclear", words, place);
        ledger.add(finding.with_hint("draw it as a leader, or as a line ending in a filled triangle"));
    }
}

fn gather_words(drawing: &Drawing, choice: &Choice, frame: &SourceFrame, near: Box2, gathered: &mut Gathered) {
    for (position, &leaf) in choice.expanded.leaves.iter().enumerate() {
        match &drawing.entities[leaf.entity].shape {
            Shape::Text(text) => {
                let map = leaf_map(drawing, &choice.expanded, leaf);
                // Decoding takes longer than all else here, and most texts of a large drawing are far from the roof.
                if !near.grown(stretch(&map) * text_reach(text)).contains(map.point(text.at).plan()) {
                    continue;
                }
                for (line, at, height) in text_lines(drawing, text) {
                    let middle = map.point(at);
                    let up = map.vector(height).length() * frame.inches_per_unit;
                    if near.contains(middle.plan()) && !line.trim().is_empty() {
                        let at = frame.to_working(middle).plan();
                        gathered.notes.push((line.trim().to_owned(), at, up, position));
                        gathered.used.push(position);
                    }
                }
            }
            Shape::Leader(_) => {
                let drawn = draw(drawing, &choice.expanded, leaf, f64::INFINITY);
                let Some((points, false)) = drawn.paths.first() else { continue };
                let (head, tail) = (points[0].plan(), points[points.len() - 1].plan());
                if near.contains(head) && near.contains(tail) {
                    let work = |p: Point2| frame.to_working(p.at_height(0.0)).plan();
                    gathered.arrows.push((work(tail), work(head), position));
                    gathered.used.push(position);
                }
            }
            _ => {}
        }
    }
}

/// How far the middle of any line of a text may lie from the point it hangs on: each of its bytes may be a letter or a line of its own.
fn text_reach(text: &Text) -> f64 {
    let bytes: usize = text.pieces.iter().map(|piece| piece.len()).sum();
    text.height.abs() * (LETTER_WIDTH + LINE_SPACING) * (1 + bytes) as f64
}

/// The lines of a text with the middle of each and the direction and size of its letters' height, in the text's own coordinates.
fn text_lines(drawing: &Drawing, text: &Text) -> Vec<(String, Point3, Vector3)> {
    let lines =
        if text.formatted { drawing.decoder.lines(&text.pieces) } else { vec![drawing.decoder.line(&text.pieces)] };
    let angle = text.angle.to_radians();
    let (c, s) = (crate::geometry::trig::cos(angle), crate::geometry::trig::sin(angle));
    let (right, up) = (Vector3::new(c, s, 0.0), Vector3::new(-s, c, 0.0));
    let count = lines.len();
    let all = text.height * (1.0 + LINE_SPACING * (count - 1) as f64);
    lines
        .into_iter()
        .enumerate()
        .map(|(place, line)| {
            let width = line.chars().count() as f64 * text.height * LETTER_WIDTH;
            let from_top = text.height * (0.5 + LINE_SPACING * place as f64);
            let across = right * (width * (0.5 - text.across));
            let at = text.at + across + up * (all * (1.0 - text.up) - from_top);
            (line, at, up * text.height)
        })
        .collect()
}

fn count(drawing: &Drawing, choice: &Choice, gathered: &Gathered) -> BTreeMap<String, EntityCount> {
    #[derive(Clone, Copy, PartialEq)]
    enum Fate {
        NotRoof,
        Used,
        Refused,
    }
    let mut fates = vec![Fate::NotRoof; drawing.entities.len()];
    for &position in &gathered.used {
        let leaf = choice.expanded.leaves[position];
        fates[leaf.entity] = Fate::Used;
        let mut at = leaf.placement;
        while at != 0 && fates[choice.expanded.placements[at].insert] != Fate::Used {
            fates[choice.expanded.placements[at].insert] = Fate::Used;
            at = choice.expanded.placements[at].parent;
        }
    }
    let unread = gathered.unread.iter().map(|&position| choice.expanded.leaves[position].entity);
    for entity in unread.chain(choice.expanded.refused.iter().copied()) {
        fates[entity] = Fate::Refused;
    }
    let mut by_kind: BTreeMap<&[u8], EntityCount> = BTreeMap::new();
    for (entity, fate) in drawing.entities.iter().zip(fates) {
        let count = by_kind.entry(entity.kind).or_default();
        count.seen += 1;
        match fate {
            Fate::Used => count.used += 1,
            Fate::NotRoof => count.not_roof += 1,
            Fate::Refused => count.refused += 1,
        }
    }
    let mut counts = drawing.refused.clone();
    for (kind, own) in by_kind {
        let count = counts.entry(plain(kind)).or_default();
        count.seen += own.seen;
        count.used += own.used;
        count.not_roof += own.not_roof;
        count.refused += own.refused;
    }
    counts
}

fn in_order(
    drawing: &Drawing,
    choice: Choice,
    frame: SourceFrame,
    mut gathered: Gathered,
    entities: BTreeMap<String, EntityCount>,
) -> Linework {
    let leaves = &choice.expanded.leaves;
    let layer = |leaf: usize| drawing.layers[leaves[leaf].layer as usize].name.as_str();
    for (points, closed, ..) in &mut gathered.paths {
        face_one_way(points, *closed);
    }
    for (corners, _) in &mut gathered.facets {
        rotate_to_lowest(corners);
    }
    gathered
        .paths
        .sort_by(|a, b| compare_points(&a.0, &b.0).then(a.1.cmp(&b.1)).then_with(|| layer(a.3).cmp(layer(b.3))));
    gathered.facets.sort_by(|a, b| compare_points(&a.0, &b.0));
    let by_place = |a: Point2, b: Point2| compare(a.at_height(0.0), b.at_height(0.0));
    gathered.notes.sort_by(|a, b| by_place(a.1, b.1).then_with(|| a.0.cmp(&b.0)));
    gathered.arrows.sort_by(|a, b| by_place(a.0, b.0).then(by_place(a.1, b.1)));

    let mut origins = Vec::new();
    let mut origin = |position: usize| {
        let leaf: Leaf = leaves[position];
        let entity = &drawing.entities[leaf.entity];
        origins.push(Origin {
            entity: plain(entity.kind),
            handle: entity.handle.map(plain),
            layer: layer(position).to_owned(),
            block_path: block_path(drawing, &choice.expanded, leaf),
            line: entity.line,
        });
        OriginId::new(origins.len() - 1)
    };
    let mut groups: BTreeMap<u32, u32> = BTreeMap::new();
    let mut paths = Vec::with_capacity(gathered.paths.len());
    for (place, (points, closed, role, leaf)) in gathered.paths.into_iter().enumerate() {
        let group = choice.expanded.placements[leaves[leaf].placement].group.map(|insert| {
            let next = groups.len() as u32;
            *groups.entry(insert).or_insert(next)
        });
        paths.push(Path { id: PathId::new(place), points, closed, role, origin: origin(leaf), group });
    }
    let facets = gathered.facets.into_iter().map(|(points, leaf)| Facet { points, origin: origin(leaf) }).collect();
    let notes = gathered
        .notes
        .into_iter()
        .map(|(text, at, height, leaf)| Note { text, at, height, origin: origin(leaf) })
        .collect();
    let arrows =
        gathered.arrows.into_iter().map(|(tail, head, leaf)| Arrow { tail, head, origin: origin(leaf) }).collect();
    let drawing = DrawingReport {
        version: drawing.header.version.clone().unwrap_or_else(|| "not named, read as R12 (AC1009)".to_owned()),
        code_page: drawing.decoder.words.clone(),
        header_units: choice.decision.header,
        units_evidence: choice.decision.words,
        entities,
        candidates: choice.candidates,
    };
    Linework { frame, drawing, paths, facets, notes, arrows, origins }
}

fn compare(a: Point3, b: Point3) -> Ordering {
    a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x)).then(a.z.total_cmp(&b.z))
}

fn compare_points(a: &[Point3], b: &[Point3]) -> Ordering {
    let pairs = a.iter().zip(b).map(|(&p, &q)| compare(p, q));
    pairs.fold(Ordering::Equal, Ordering::then).then(a.len().cmp(&b.len()))
}

/// A path drawn in either direction, or from any corner if closed, becomes the same points.
fn face_one_way(points: &mut [Point3], closed: bool) {
    if closed {
        let doubled: f64 = (0..points.len())
            .map(|i| points[i].plan().to_vector().cross(points[(i + 1) % points.len()].plan().to_vector()))
            .sum();
        if doubled < 0.0 {
            points.reverse();
        }
        rotate_to_lowest(points);
    } else {
        let backwards: Vec<Point3> = points.iter().rev().copied().collect();
        if compare_points(&backwards, points) == Ordering::Less {
            points.reverse();
        }
    }
}

fn rotate_to_lowest(points: &mut [Point3]) {
    let lowest = (0..points.len()).min_by(|&a, &b| compare(points[a], points[b])).unwrap_or(0);
    points.rotate_left(lowest);
}

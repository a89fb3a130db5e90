//! A [`Roof`] drawn at its walls or fascia goes on to its drip edge.
//!
//! Every line of the outline moves outward in plan, square to itself, by its own distance; the planes stay, so an eave comes to lie lower.
//! A corner moves to where its two moved lines meet, and a fold that ends on the outline goes on along the line in which its planes meet.
//!
//! Where that is not one surface (eaves that come out at different heights round a hip, a step, lines that run into one another) nothing is
//! moved: a blocking finding names the place and what mends it. Not handled: new corners, as where a rake cuts an eave short.

use super::model::{Abuts, Roof};
use super::scale::rounded;
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::geometry::{Box2, Plane, Point2, Segment2, SegmentIndex, Vector2};
use crate::index::{EdgeId, FaceId, NodeId};
use crate::job::{OutlineMeaning, RoofSettings};
use crate::terms::EdgeKind;
use crate::units::decimal;
use std::collections::BTreeMap;

/// Lines that turn by less than this are one straight line: the sine of about 1 degree. Too small and the meeting of two moved lines runs
/// far along them; too large and a real corner would be cut.
const STRAIGHT: f64 = 0.02;
/// Two moves of one straight line that differ by no more than this are one move, inches.
const SAME_MOVE: f64 = 0.01;
/// The planes of a fold may miss each other by this much at its new end, inches: what a hand-drawn corner is out by. More is another roof.
const FOLD_MISS: f64 = 1.0;
/// Planes whose gradients differ by less have no reliable line in common; the fold then goes on as drawn. Rise per run.
const SAME_GRADIENT: f64 = 0.05;
/// A moved line keeps at least this length, inches.
const SHORTEST: f64 = 1.0;

/// A line of the outline, its face to the left.
#[derive(Debug, Clone, Copy)]
struct Side {
    edge: EdgeId,
    face: FaceId,
    line: Segment2,
    /// To the outside, length 1.
    out: Vector2,
    /// How far it moves.
    by: f64,
}

/// The sides that meet at a node of the outline.
#[derive(Debug, Clone, Copy, Default)]
struct Corner {
    arriving: Option<Side>,
    leaving: Option<Side>,
    touching: bool,
}

/// Moves the outline to the drip edge where the job says it is drawn elsewhere. `overhangs` are those of single edges, `pieces` the edges
/// that lie on one drawn line, which moves as one.
pub(super) fn extend(
    roof: Roof,
    overhangs: &BTreeMap<EdgeId, f64>,
    pieces: &BTreeMap<EdgeId, Vec<EdgeId>>,
    settings: &RoofSettings,
) -> Outcome<Roof> {
    let mut sides = sides(&roof, overhangs, settings);
    for (edge, pieces) in pieces {
        let by = sides.iter().find(|side| side.edge == *edge).map(|side| side.by);
        for side in sides.iter_mut().filter(|side| pieces.contains(&side.edge)) {
            side.by = by.unwrap_or(side.by);
        }
    }
    if sides.iter().all(|side| side.by == 0.0) {
        return Outcome { value: roof, findings: Vec::new() };
    }
    match moved(&roof, &sides) {
        Ok(points) => {
            let findings = vec![said(&roof, &sides, overhangs, settings)];
            Outcome { value: with_points(roof, points, &sides, settings), findings }
        }
        Err(findings) => Outcome { value: roof, findings },
    }
}

fn sides(roof: &Roof, overhangs: &BTreeMap<EdgeId, f64>, settings: &RoofSettings) -> Vec<Side> {
    let distance = |edge: &super::model::RoofEdge| {
        let ends_there = match edge.kind {
            EdgeKind::HighEdge => edge.abuts != Some(Abuts::Open),
            kind => kind == EdgeKind::Sidewall,
        };
        match settings.outline.value {
            OutlineMeaning::EaveEdge => 0.0,
            OutlineMeaning::Fascia if ends_there => 0.0,
            OutlineMeaning::Fascia => settings.fascia_to_drip.unwrap_or(0.0),
            OutlineMeaning::Wall => overhangs.get(&edge.id).copied().unwrap_or(match edge.kind {
                _ if ends_there => 0.0,
                EdgeKind::Eave | EdgeKind::FlatEdge | EdgeKind::Unknown => settings.overhang.value,
                _ => settings.rake_overhang.value,
            }),
        }
    };
    let side = |edge: &super::model::RoofEdge| {
        let (face, forward) = match (edge.left, edge.right) {
            (Some(face), None) => (face, true),
            (None, Some(face)) => (face, false),
            _ => return None,
        };
        let drawn = roof.segment(edge.id);
        let line = if forward { drawn } else { Segment2::new(drawn.b, drawn.a) };
        let out = -(line.b - line.a).unit()?.left();
        Some(Side { edge: edge.id, face, line, out, by: distance(edge) })
    };
    roof.edges.iter().filter_map(side).collect()
}

/// The plan points of the extended roof, or why there is none.
fn moved(roof: &Roof, sides: &[Side]) -> Result<Vec<Point2>, Vec<Finding>> {
    let mut corners = vec![Corner::default(); roof.points.len()];
    for &side in sides {
        let edge = roof.edge(side.edge);
        let forward = edge.left.is_some();
        let (from, to) = (edge.ends[usize::from(!forward)], edge.ends[usize::from(forward)]);
        let start = &mut corners[from.index()];
        start.touching |= start.leaving.replace(side).is_some();
        let end = &mut corners[to.index()];
        end.touching |= end.arriving.replace(side).is_some();
    }
    // A step that keeps clear of the outline (the gable of a Dutch gable) stays where it is.
    let at_outline = |e: &&super::model::RoofEdge| e.ends.iter().any(|n| corners[n.index()].leaving.is_some());
    let steps = roof.edges.iter().filter(|e| e.kind == EdgeKind::Step);
    let mut findings: Vec<Finding> = steps.filter(at_outline).map(|e| refused_step(roof, e.id)).collect();
    let mut folds: Vec<Vec<EdgeId>> = vec![Vec::new(); roof.points.len()];
    for edge in roof.edges.iter().filter(|e| e.left.is_some() && e.right.is_some()) {
        edge.ends.iter().for_each(|end| folds[end.index()].push(edge.id));
    }
    let mut points = roof.points.clone();
    for (at, corner) in corners.iter().enumerate() {
        let (Some(arriving), Some(leaving)) = (corner.arriving, corner.leaving) else { continue };
        let node = NodeId::new(at);
        let shift = if corner.touching { None } else { shift(roof, node, arriving, leaving, &folds[at]) };
        match shift {
            Some(shift) => {
                points[at] = roof.points[at] + shift;
                let missed = folds[at].iter().find(|&&fold| miss(roof, fold, points[at]) > FOLD_MISS);
                findings.extend(missed.map(|&fold| refused_fold(roof, fold, points[at], arriving, leaving)));
            }
            None => findings.push(refused_corner(roof, node, arriving, leaving)),
        }
    }
    if findings.is_empty() {
        findings = collisions(roof, &points);
    }
    if findings.is_empty() { Ok(points) } else { Err(findings) }
}

/// How far the corner of two sides moves; `None` when no one point is on both moved lines and on the folds that end there.
fn shift(roof: &Roof, node: NodeId, arriving: Side, leaving: Side, folds: &[EdgeId]) -> Option<Vector2> {
    let turn = arriving.out.cross(leaving.out);
    if turn.abs() > STRAIGHT {
        // The point t with t . out = by for both sides.
        let (m, n) = (arriving.out, leaving.out);
        let x = (arriving.by * n.y - leaving.by * m.y) / turn;
        let y = (leaving.by * m.x - arriving.by * n.x) / turn;
        return Some(Vector2::new(x, y));
    }
    if arriving.out.dot(leaving.out) < 0.0 || (arriving.by - leaving.by).abs() > SAME_MOVE {
        return None;
    }
    let out = (arriving.out + leaving.out).unit()?;
    let by = 0.5 * (arriving.by + leaving.by);
    let Some(&fold) = folds.first() else { return Some(out * by) };
    let along = fold_direction(roof, fold, node)?;
    let outward = along.dot(out);
    (outward.abs() > 0.1).then(|| along * (by / outward))
}

/// The direction of a fold where it ends on the outline: of the line its planes share, or as drawn.
fn fold_direction(roof: &Roof, fold: EdgeId, node: NodeId) -> Option<Vector2> {
    let edge = roof.edge(fold);
    let gradient = |face: Option<FaceId>| face.map(|f| roof.face(f).plane.uphill_gradient());
    let between = gradient(edge.left)? - gradient(edge.right)?;
    if between.length() > SAME_GRADIENT {
        return between.left().unit();
    }
    let other = edge.ends[usize::from(edge.ends[0] == node)];
    (roof.points[node.index()] - roof.points[other.index()]).unit()
}

/// How far the two sides of a fold are apart in height over a point of the plan, inches.
fn miss(roof: &Roof, fold: EdgeId, at: Point2) -> f64 {
    let heights: Vec<f64> = roof.sides(fold).map(|face| roof.face(face).plane.height(at)).collect();
    if let [left, right] = heights.as_slice() { (left - right).abs() } else { 0.0 }
}

/// Lines that vanish, turn over or run into one another.
fn collisions(roof: &Roof, points: &[Point2]) -> Vec<Finding> {
    let segment = |ends: [NodeId; 2]| Segment2::new(points[ends[0].index()], points[ends[1].index()]);
    let lines: Vec<Segment2> = roof.edges.iter().map(|e| segment(e.ends)).collect();
    let mut findings = Vec::new();
    for (edge, line) in roof.edges.iter().zip(&lines) {
        let drawn = roof.segment(edge.id);
        let along = (drawn.b - drawn.a).unit().unwrap_or_default();
        if (line.b - line.a).dot(along) < SHORTEST.min(drawn.length()) {
            findings.push(refused_collision(roof, edge.id, None));
        }
    }
    let index = SegmentIndex::new(&lines);
    for (at, line) in lines.iter().enumerate() {
        let Some(around) = Box2::around([line.a, line.b]) else { continue };
        for other in index.meeting(around).into_iter().filter(|&other| other > at) {
            let (ends, theirs) = (roof.edges[at].ends, roof.edges[other].ends);
            let apart = ends.iter().all(|end| !theirs.contains(end));
            let meets = line.line_meeting(lines[other]);
            if apart && meets.is_some_and(|(s, t)| (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t)) {
                findings.push(refused_collision(roof, roof.edges[at].id, Some(roof.edges[other].id)));
            }
        }
    }
    findings
}

/// The roof with its points moved; one without heights of its own keeps its lowest eave at the height it had.
fn with_points(mut roof: Roof, points: Vec<Point2>, sides: &[Side], settings: &RoofSettings) -> Roof {
    let lowest = |roof: &Roof, unit: usize| {
        let of_unit = |side: &&Side| roof.face(side.face).roof.index() == unit;
        let eaves = sides.iter().filter(of_unit).filter(|side| roof.edge(side.edge).kind == EdgeKind::Eave);
        let heights = eaves.flat_map(|side| roof.edge(side.edge).ends.map(|end| roof.corner(side.face, end).z));
        heights.reduce(f64::min)
    };
    let before: Vec<Option<f64>> = (0..roof.units.len()).map(|unit| lowest(&roof, unit)).collect();
    roof.points = points;
    for unit in 0..roof.units.len() {
        if roof.units[unit].has_heights {
            continue;
        }
        let (Some(before), Some(after)) = (before[unit], lowest(&roof, unit)) else { continue };
        for face in roof.faces.iter_mut().filter(|face| face.roof.index() == unit) {
            face.plane = rounded(Plane { c: face.plane.c + before - after, ..face.plane });
        }
    }
    for at in 0..roof.edges.len() {
        let id = roof.edges[at].id;
        let ends = roof.edges[at].ends;
        roof.edges[at].gap = ends.map(|end| miss(&roof, id, roof.points[end.index()])).into_iter().fold(0.0, f64::max);
    }
    if settings.outline.value == OutlineMeaning::Wall {
        roof.walls.extend(sides.iter().filter(|side| side.by > 0.0).map(|side| side.line));
    }
    roof
}

/// What was moved, and by how much.
fn said(roof: &Roof, sides: &[Side], overhangs: &BTreeMap<EdgeId, f64>, settings: &RoofSettings) -> Finding {
    let mut groups: BTreeMap<(EdgeKind, String), Vec<EdgeId>> = BTreeMap::new();
    for side in sides {
        groups.entry((roof.edge(side.edge).kind, decimal(side.by, 2))).or_default().push(side.edge);
    }
    let words: Vec<String> = groups
        .iter()
        .map(|((kind, by), edges)| {
            let names: Vec<String> = edges.iter().map(EdgeId::to_string).collect();
            format!("{} {} by {by} in", kind.words(), names.join(", "))
        })
        .collect();
    let wall = settings.outline.value == OutlineMeaning::Wall;
    let drawn = if wall { "at the exterior walls" } else { "at the face of the fascia" };
    let taken = |kind: EdgeKind| {
        wall && sides.iter().any(|s| {
            s.by > 0.0
                && !overhangs.contains_key(&s.edge)
                && (roof.edge(s.edge).kind == EdgeKind::Eave) == (kind == EdgeKind::Eave)
        })
    };
    let mut missing = Vec::new();
    if taken(EdgeKind::Eave) && !settings.overhang.given {
        missing.push("overhang");
    }
    if taken(EdgeKind::Rake) && !settings.rake_overhang.given {
        missing.push("rake_overhang");
    }
    let message = format!("the outline is drawn {drawn} and moved out to the drip edge: {}", words.join("; "));
    let place = sides.first().map_or_else(Place::none, |s| Place::item(s.edge).with_point(s.line.midpoint()));
    if missing.is_empty() {
        return Finding::new(Severity::Note, "outline-offset", message, place)
            .with_hint("measure eaves and rakes on the roof before cutting");
    }
    Finding::new(Severity::Assumed, "outline-offset", format!("{message}; assumed: {}", missing.join(" and ")), place)
        .with_hint(format!("set {} under [roof] in the job file", missing.join(" and ")))
}

const DRAW_THE_EDGE: &str = "draw the roof's own edge (the drip edge) and set outline = \"eave-edge\"";

fn refused(code: &'static str, message: String, place: Place, hint: String) -> Finding {
    Finding::new(Severity::Blocking, code, message, place).with_hint(hint)
}

fn refused_step(roof: &Roof, edge: EdgeId) -> Finding {
    let message = format!(
        "{edge} is a step: the upper roof's overhang lies over the lower roof, where an outline drawn elsewhere than at the drip edge does not show it"
    );
    let place = Place::item(edge).with_point(roof.segment(edge).midpoint());
    refused("offset-step", message, place, DRAW_THE_EDGE.into())
}

fn refused_corner(roof: &Roof, node: NodeId, arriving: Side, leaving: Side) -> Finding {
    let message = format!(
        "{} and {} meet in a straight line or touch another corner, and are to move out by {} in and {} in: no one corner lies on both",
        arriving.edge,
        leaving.edge,
        decimal(arriving.by, 2),
        decimal(leaving.by, 2)
    );
    let place = Place::item(arriving.edge).with_point(roof.points[node.index()]);
    refused("offset-corner", message, place, format!("give both the same overhang, or {DRAW_THE_EDGE}"))
}

fn refused_fold(roof: &Roof, fold: EdgeId, at: Point2, arriving: Side, leaving: Side) -> Finding {
    let kind = |side: Side| roof.edge(side.edge).kind;
    let height = |side: Side| {
        let line = side.line;
        roof.face(side.face).plane.height(line.a + side.out * side.by)
    };
    let message = format!(
        "{} {fold} does not end in the corner of {} and {} once they are moved out by {} in and {} in: its sides miss each other by {} in there",
        roof.edge(fold).kind.words(),
        arriving.edge,
        leaving.edge,
        decimal(arriving.by, 2),
        decimal(leaving.by, 2),
        decimal(miss(roof, fold, at), 2)
    );
    let place = Place::item(fold).with_point(at);
    let (first, second) = (roof.face(arriving.face).pitch, roof.face(leaving.face).pitch);
    if kind(arriving) == EdgeKind::Eave && kind(leaving) == EdgeKind::Eave && second > 0.0 {
        let message =
            format!("{message} (eaves at {} in and {} in)", decimal(height(arriving), 2), decimal(height(leaving), 2));
        // Level fascia: overhang times pitch is the same on both sides.
        let level = decimal(arriving.by * first / second, 2);
        let hint = format!(
            "set overhang = \"{level} in\" for {} so that both eaves come out level, or {DRAW_THE_EDGE}",
            leaving.edge
        );
        return refused("offset-fold", message, place, hint);
    }
    refused("offset-fold", message, place, DRAW_THE_EDGE.into())
}

fn refused_collision(roof: &Roof, edge: EdgeId, other: Option<EdgeId>) -> Finding {
    let what = other.map_or_else(
        || format!("{edge} has no length left"),
        |other| format!("{edge} and {other} run into one another"),
    );
    let message = format!("moved out to the drip edge, {what}");
    let place = Place::item(edge).with_point(roof.segment(edge).midpoint());
    refused("offset-collision", message, place, format!("give the edges there a smaller overhang, or {DRAW_THE_EDGE}"))
}

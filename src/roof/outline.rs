//! An outline alone is roofed over by its straight skeleton.
//!
//! Edges of the outline keep their ids, so that a job can name them by the tags of the bare outline; folds and further
//! faces follow. A gable has no face: its edge parts where the ridge meets it, and the first piece keeps the id.

use super::assemble::{Surface, assemble};
use super::check::check_invariants;
use super::hints::Hints;
use super::model::Basis;
use super::scale::rounded;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Plane, Point2, Segment2};
use crate::index::{EdgeId, FaceId, NodeId};
use crate::job::RoofSettings;
use crate::plan::{HalfEdge, PlanEdge, PlanFace, PlanGraph};
use crate::skeleton::{MergedRuns, Outline, OutlineRing, Rise, Skeleton, merged_runs, straight_skeleton};
use crate::terms::EdgeKind;
use crate::units::pitch_in_12;
use std::collections::BTreeMap;

/// Corners that stray less than this from a straight side are no corners, inches.
const STRAIGHT: f64 = 1.0 / 16.0;
/// Ends nearer than this in plan are one point, and points nearer to the outline are on it, inches.
const SAME: f64 = 1e-3;

/// A plan in which one outline has become a roof.
#[derive(Debug, Clone)]
pub(super) struct Roofed {
    /// The plan with the new faces and folds.
    pub plan: PlanGraph,
    /// Planes of the new faces.
    pub surfaces: Vec<(FaceId, Surface)>,
    /// Outer edges that are rakes by the job, all pieces of each.
    pub gables: Vec<EdgeId>,
    /// What was assumed.
    pub findings: Vec<Finding>,
}

/// The sides of the outline as they are drawn.
struct Sides {
    rings: Vec<Vec<(NodeId, HalfEdge)>>,
    merged: MergedRuns,
}

/// Roofs the only face of an outline.
///
/// # Errors
/// Words and a place where no sound roof was found.
pub(super) fn roofed(
    plan: &PlanGraph,
    face: FaceId,
    hints: &Hints,
    settings: &RoofSettings,
) -> Result<Roofed, (String, Option<Point2>)> {
    let given = hints.pitches.get(&face).and_then(|g| g.first()).map(|g| g.pitch);
    let pitch = given.unwrap_or(settings.default_pitch.value);
    let basis = if given.is_some() || settings.default_pitch.given { Basis::Set } else { Basis::Assumed };
    if pitch.is_nan() || pitch <= 0.0 {
        return Err(("its pitch is 0".into(), None));
    }
    let gable = |e: EdgeId| hints.kinds.get(&e).is_some_and(|said| said.0 == EdgeKind::Rake);
    let pitch_of = |e: EdgeId| hints.edge_pitches.get(&e).copied().unwrap_or(pitch);
    let sides = sides(plan, face, |e| if gable(e) { Rise::GABLE } else { Rise::new(1.0 / pitch_of(e)) });
    let skeleton = straight_skeleton(&sides.merged.outline).map_err(|e| {
        let at = e.place.at;
        (e.message, at)
    })?;
    let mut roofed = build(plan, face, &sides, &skeleton, Surface { plane: Plane::default(), pitch_basis: basis })?;
    let mut surfaces = vec![Surface { plane: Plane::default(), pitch_basis: Basis::Assumed }; roofed.plan.faces.len()];
    for &(id, surface) in &roofed.surfaces {
        surfaces[id.index()] = surface;
    }
    let wrong = check_invariants(&assemble(&roofed.plan, &surfaces, settings.step_tolerance));
    if let Some(words) = wrong.first() {
        return Err((words.clone(), None));
    }
    let eaves = sides.rings.iter().flatten().filter(|s| !gable(s.1.edge)).count();
    roofed.findings = findings(plan, face, &sides, eaves, pitch, gable);
    Ok(roofed)
}

fn sides(plan: &PlanGraph, face: FaceId, rise: impl Fn(EdgeId) -> Rise) -> Sides {
    let drawn = &plan.faces[face.index()];
    let rings: Vec<Vec<(NodeId, HalfEdge)>> = std::iter::once(&drawn.exterior)
        .chain(&drawn.holes)
        .map(|ring| plan.loop_nodes(ring).into_iter().zip(ring.iter().copied()).collect())
        .collect();
    let outline = Outline {
        rings: rings
            .iter()
            .map(|ring| OutlineRing {
                points: ring.iter().map(|s| plan.nodes[s.0.index()]).collect(),
                rises: ring.iter().map(|s| rise(s.1.edge)).collect(),
            })
            .collect(),
    };
    Sides { merged: merged_runs(&outline, STRAIGHT), rings }
}

/// The plan's node for each node of the skeleton; new ones are added to `plan`.
fn nodes(plan: &mut PlanGraph, sides: &Sides, skeleton: &Skeleton) -> Vec<NodeId> {
    let drawn: Vec<NodeId> = sides.rings.iter().flatten().map(|s| s.0).collect();
    let corners: Vec<Point2> = sides.merged.outline.rings.iter().flat_map(|r| r.points.iter().copied()).collect();
    let old = plan.nodes.clone();
    let known = |i: usize| corners.get(i).and_then(|&at| drawn.iter().copied().find(|n| old[n.index()] == at));
    (0..skeleton.nodes.len())
        .map(|i| {
            known(i).unwrap_or_else(|| {
                plan.nodes.push(skeleton.nodes[i].plan());
                NodeId::new(plan.nodes.len() - 1)
            })
        })
        .collect()
}

fn build(
    before: &PlanGraph,
    face: FaceId,
    sides: &Sides,
    skeleton: &Skeleton,
    surface: Surface,
) -> Result<Roofed, (String, Option<Point2>)> {
    let mut plan = before.clone();
    let ids = nodes(&mut plan, sides, skeleton);
    let roof = before.faces[face.index()].roof;
    let drawn: Vec<(NodeId, HalfEdge)> = sides.rings.iter().flatten().copied().collect();
    let lines: Vec<(Segment2, Rise)> = sides.merged.outline.rings.iter().flat_map(ring_lines).collect();
    // Rings of nodes with their face; on the outline, corners that were merged away come back.
    let mut loops: Vec<(FaceId, Vec<Vec<NodeId>>)> = Vec::new();
    let mut surfaces = Vec::new();
    for found in &skeleton.faces {
        let (line, rise) = lines[found.side];
        if rise.run <= 0.0 {
            continue;
        }
        let id = if loops.is_empty() { face } else { FaceId::new(before.faces.len() + loops.len() - 1) };
        let rings = found.rings.iter().map(|r| refined(&plan, r.iter().map(|&n| ids[n]).collect(), &drawn)).collect();
        loops.push((id, rings));
        let up = (line.b - line.a).unit().map_or_else(Default::default, crate::geometry::Vector2::left);
        let (a, b) = (up.x / rise.run, up.y / rise.run);
        let plane = Plane { a, b, c: -(a * line.a.x + b * line.a.y) };
        surfaces.push((id, Surface { plane: rounded(plane), ..surface }));
    }
    let mut owners: BTreeMap<[NodeId; 2], [Option<FaceId>; 2]> = BTreeMap::new();
    for (id, rings) in &loops {
        for (from, to) in rings.iter().flat_map(|r| pairs(r)) {
            let side = usize::from(from > to);
            let entry = owners.entry([from.min(to), from.max(to)]).or_default();
            if entry[side].replace(*id).is_some() || from == to {
                return Err(("two faces lie on one another".into(), Some(plan.nodes[from.index()])));
            }
        }
    }
    let numbers = edges(&mut plan, &owners, &drawn, before)?;
    let half = |from: NodeId, to: NodeId| HalfEdge { edge: numbers[&[from.min(to), from.max(to)]], forward: from < to };
    for (id, rings) in &loops {
        let mut rings = rings.iter().map(|r| pairs(r).map(|(a, b)| half(a, b)).collect::<Vec<_>>());
        let made = PlanFace { roof, exterior: rings.next().unwrap_or_default(), holes: rings.collect(), plane: None };
        if *id == face { plan.faces[face.index()] = made } else { plan.faces.push(made) }
    }
    plan.roofs[roof.index()].faces = loops.iter().map(|l| l.0).collect();
    reclip(&mut plan, face);
    let gables = numbers
        .values()
        .copied()
        .filter(|&e| {
            let middle = plan.segment(e).midpoint();
            lines.iter().any(|(line, rise)| rise.run <= 0.0 && line.distance_to(middle) < SAME)
        })
        .collect();
    Ok(Roofed { plan, surfaces, gables, findings: Vec::new() })
}

fn ring_lines(ring: &OutlineRing) -> impl Iterator<Item = (Segment2, Rise)> {
    let count = ring.points.len();
    (0..count).map(move |i| (Segment2::new(ring.points[i], ring.points[(i + 1) % count]), ring.rises[i]))
}

fn pairs(ring: &[NodeId]) -> impl Iterator<Item = (NodeId, NodeId)> {
    (0..ring.len()).map(move |i| (ring[i], ring[(i + 1) % ring.len()]))
}

/// Puts the drawn corners that lie on an edge of the ring back into it.
fn refined(plan: &PlanGraph, ring: Vec<NodeId>, drawn: &[(NodeId, HalfEdge)]) -> Vec<NodeId> {
    let at = |n: NodeId| plan.nodes[n.index()];
    let mut full = Vec::new();
    for (from, to) in pairs(&ring) {
        full.push(from);
        let edge = Segment2::new(at(from), at(to));
        let mut on: Vec<NodeId> = drawn
            .iter()
            .map(|d| d.0)
            .filter(|&n| !ring.contains(&n) && edge.distance_to(at(n)) <= STRAIGHT + SAME)
            .collect();
        on.sort_by(|&a, &b| (at(a).distance(edge.a)).total_cmp(&at(b).distance(edge.a)));
        full.extend(on);
    }
    full
}

/// Numbers the edges: those of the outline keep their ids, the others follow.
fn edges(
    plan: &mut PlanGraph,
    owners: &BTreeMap<[NodeId; 2], [Option<FaceId>; 2]>,
    drawn: &[(NodeId, HalfEdge)],
    before: &PlanGraph,
) -> Result<BTreeMap<[NodeId; 2], EdgeId>, (String, Option<Point2>)> {
    let mut numbers = BTreeMap::new();
    let on = |plan: &PlanGraph, key: &[NodeId; 2], edge: EdgeId| {
        key.iter().all(|n| before.segment(edge).distance_to(plan.nodes[n.index()]) < SAME)
    };
    for &(_, half) in drawn {
        let old = before.edges[half.edge.index()].ends;
        let piece = if owners.contains_key(&old) {
            Some(old)
        } else {
            owners.keys().copied().find(|k| k.contains(&old[0]) && on(plan, k, half.edge))
        };
        let Some(piece) = piece else {
            return Err((format!("{} bounds no face", half.edge), Some(before.segment(half.edge).midpoint())));
        };
        numbers.insert(piece, half.edge);
    }
    for (key, sides) in owners {
        let segment = Segment2::new(plan.nodes[key[0].index()], plan.nodes[key[1].index()]);
        let outline = drawn.iter().map(|d| d.1.edge).find(|&e| on(plan, key, e));
        if segment.length() < SAME {
            return Err(("an edge of it would be shorter than 1/1000 in".into(), Some(segment.midpoint())));
        }
        if outline.is_none() && sides.contains(&None) {
            return Err(("a wall stands up inside the outline".into(), Some(segment.midpoint())));
        }
        let source = outline.or_else(|| drawn.first().map(|d| d.1.edge));
        let sources = source.map(|e| before.edges[e.index()].sources.clone()).unwrap_or_default();
        let edge = PlanEdge { ends: *key, left: sides[0], right: sides[1], sources };
        if let Some(id) = numbers.get(key) {
            plan.edges[id.index()] = edge;
        } else {
            numbers.insert(*key, EdgeId::new(plan.edges.len()));
            plan.edges.push(edge);
        }
    }
    Ok(numbers)
}

/// Openings of the outline's one face are parted among the new faces.
fn reclip(plan: &mut PlanGraph, old: FaceId) {
    /// Slivers on a neighbouring face are rounding, square inches.
    const SLIVER: f64 = 1.0;
    let Some(roof) = plan.faces.get(old.index()).map(|f| f.roof) else { return };
    let faces: Vec<_> = plan.roofs[roof.index()].faces.iter().map(|&f| (f, plan.region(f))).collect();
    for opening in plan.openings.iter_mut().filter(|o| o.parts.iter().any(|p| p.0 == old)) {
        let whole: Vec<_> = opening.parts.iter().map(|p| p.1.clone()).collect();
        opening.parts = faces
            .iter()
            .flat_map(|(f, region)| {
                crate::geometry::intersection(std::slice::from_ref(region), &whole).into_iter().map(|r| (*f, r))
            })
            .filter(|p| p.1.area() >= SLIVER)
            .collect();
    }
}

fn findings(
    plan: &PlanGraph,
    face: FaceId,
    sides: &Sides,
    eaves: usize,
    pitch: f64,
    gable: impl Fn(EdgeId) -> bool,
) -> Vec<Finding> {
    let mut findings = vec![
        Finding::new(
            Severity::Assumed,
            "outline-roofed",
            format!("only the outline is drawn; a hip roof at {} is assumed over {eaves} of its sides", pitch_in_12(pitch)),
            Place { at: plan.region(face).exterior.bounds().map(crate::geometry::Box2::center), ..Place::item(face) },
        )
        .with_hint("for a gable, name the side in the job file: [[roof.edge]], tag or near, kind = \"rake\"; or draw the ridges"),
    ];
    for ring in &sides.rings {
        let count = ring.len();
        let line = |i: usize| plan.segment(ring[i % count].1.edge);
        for (i, side) in ring.iter().enumerate() {
            let (before, here, after) = (line(i + count - 1), line(i), line(i + 1));
            let (Some(u), Some(v)) = ((before.b - before.a).unit(), (after.b - after.a).unit()) else { continue };
            let id = side.1.edge;
            let short = here.length() < before.length().min(after.length());
            if short && u.cross(v).abs() < 1e-3 && count > 3 && !gable(id) {
                findings.push(
                    Finding::new(
                        Severity::Note,
                        "likely-gable",
                        format!("{id} is the short end of a wing and could be a gable"),
                        Place::item(id).with_point(here.midpoint()),
                    )
                    .with_hint(format!("if so: [[roof.edge]], tag = \"{id}\", kind = \"rake\"")),
                );
            }
        }
    }
    findings
}

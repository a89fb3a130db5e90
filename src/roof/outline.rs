//! An outline alone is roofed over by its straight skeleton.
//!
//! A gable has no face: its edge parts where the ridge meets it. A raised eave and a jerkinhead have walls at both ends, on which
//! the faces beside them have rakes; where such a wall, or a gable's, stands on inside the outline it is a step, and so is the gable
//! above the hip of a Dutch gable.

use super::assemble::{Surface, assemble};
use super::check::check_invariants;
use super::model::{Basis, Roof};
use super::outline_graph::{Graph, build};
use super::scale::rounded;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Plane, Point2, Segment2, Vector2};
use crate::index::{EdgeId, NodeId};
use crate::job::{GableForm, Measure, PartGable};
use crate::plan::{HalfEdge, PlanGraph};
use crate::skeleton::{MergedRuns, Outline, OutlineRing, Rise, Skeleton, merged_runs, straight_skeleton};
use crate::units::{feet_inches, pitch_in_12};

/// Corners that stray less than this from a straight side are no corners, inches.
pub(super) const STRAIGHT: f64 = 1.0 / 16.0;
/// Points nearer than this in plan are one, inches.
pub(super) const SAME: f64 = 1e-3;

/// Why an outline could not be roofed, and where.
pub(super) type Refused = (String, Option<Point2>);

/// What is said of one side of an outline.
#[derive(Debug, Clone, Copy)]
pub(super) struct SideWords {
    /// Its id in the whole plan.
    pub edge: EdgeId,
    /// Whether it is called a rake.
    pub gable: bool,
    /// Whether the job says what it is; otherwise it is taken for an eave at height 0.
    pub named: bool,
    /// The pitch said of it alone, rise per run.
    pub own_pitch: Option<f64>,
    /// The pitch that holds, rise per run.
    pub pitch: f64,
    /// How that is known.
    pub pitch_basis: Basis,
    /// Height of its eave over that of the others, inches.
    pub raise: Option<f64>,
    /// A gable for a part of its height.
    pub part: Option<PartGable>,
}

/// An outline that has become a roof; ids are those of its own small plan.
#[derive(Debug, Clone)]
pub(super) struct Roofed {
    /// The plan with the new faces and folds.
    pub plan: PlanGraph,
    /// The plane of each face.
    pub surfaces: Vec<Surface>,
    /// How the kind of each edge is known.
    pub bases: Vec<Basis>,
    /// The pieces of each edge drawn, the one that has its id first.
    pub pieces: Vec<(EdgeId, Vec<EdgeId>)>,
    /// The drawn edges each face rises from.
    pub eaves: Vec<Vec<EdgeId>>,
    /// What was assumed, and what of the job changed nothing; ids are those of the whole plan.
    pub findings: Vec<Finding>,
}

/// The sides of the outline as they are drawn and as they rise.
pub(super) struct Sides {
    /// Each ring as drawn: a corner and the edge that starts there.
    pub rings: Vec<Vec<(NodeId, HalfEdge)>>,
    /// How each side rises.
    pub rises: Vec<Rise>,
    /// Their lines, roof to the left.
    pub lines: Vec<Segment2>,
    merged: MergedRuns,
}

impl Sides {
    /// The side a drawn edge is part of.
    pub(super) fn side_of(&self, edge: EdgeId) -> usize {
        let position = self.rings.iter().flatten().position(|s| s.1.edge == edge);
        position.map_or(usize::MAX, |p| self.merged.side_of[p])
    }

    /// The plane that rises from a side with a slope.
    pub(super) fn plane(&self, side: usize) -> Plane {
        let (line, rise) = (self.lines[side], self.rises[side]);
        let up = (line.b - line.a).unit().map_or_else(Default::default, Vector2::left);
        let (a, b) = (up.x / rise.run, up.y / rise.run);
        Plane { a, b, c: rise.start - (a * line.a.x + b * line.a.y) }
    }

    /// Corners in the middle of a side, each with the side's line.
    pub(super) fn merged_away(&self) -> Vec<(Segment2, NodeId)> {
        let (mut found, mut first) = (Vec::new(), 0);
        for ring in &self.rings {
            for i in 0..ring.len() {
                let (before, side) =
                    (self.merged.side_of[first + (i + ring.len() - 1) % ring.len()], self.merged.side_of[first + i]);
                if before == side {
                    found.push((self.lines[side], ring[i].0));
                }
            }
            first += ring.len();
        }
        found
    }
}

/// Roofs the only face of an outline. `words` holds one entry an edge.
///
/// # Errors
/// Words and a place where no sound roof was found.
pub(super) fn roofed(plan: &PlanGraph, words: &[SideWords], step_tolerance: f64) -> Result<Roofed, Refused> {
    let flat = words.iter().find(|w| w.pitch.is_nan() || w.pitch <= 0.0);
    if flat.is_some() {
        return Err(("its pitch is 0".into(), None));
    }
    let sides = sides(plan, words)?;
    let skeleton = straight_skeleton(&sides.merged.outline).map_err(|e| {
        let at = e.place.at;
        (e.message, at)
    })?;
    let graph = build(plan, &sides, &skeleton)?;
    let surfaces = surfaces(&graph, &sides, words);
    let roof = assemble(&graph.plan, &surfaces, step_tolerance);
    if let Some(wrong) = check_invariants(&roof).first() {
        return Err((wrong.clone(), None));
    }
    let bases = bases(&graph, &sides, &surfaces, words);
    let mut findings = unused(&sides, &skeleton, &graph, words);
    findings.extend(told(plan, words));
    findings.extend(suggested(plan, &sides, words));
    let eaves =
        graph.sides_of_face.iter().map(|of| of.iter().flat_map(|&side| edges_of(&sides, side)).collect()).collect();
    Ok(Roofed { plan: graph.plan, surfaces, bases, pieces: graph.pieces.into_iter().collect(), eaves, findings })
}

fn edges_of(sides: &Sides, side: usize) -> Vec<EdgeId> {
    let all = sides.rings.iter().flatten().zip(&sides.merged.side_of);
    all.filter(|(_, of)| **of == side).map(|(s, _)| s.1.edge).collect()
}

fn sides(plan: &PlanGraph, words: &[SideWords]) -> Result<Sides, Refused> {
    let drawn = &plan.faces[0];
    let rings: Vec<Vec<(NodeId, HalfEdge)>> = std::iter::once(&drawn.exterior)
        .chain(&drawn.holes)
        .map(|ring| plan.loop_nodes(ring).into_iter().zip(ring.iter().copied()).collect())
        .collect();
    let mut outline = Outline::default();
    for ring in &rings {
        let points = ring.iter().map(|s| plan.nodes[s.0.index()]).collect();
        let rises = (0..ring.len()).map(|i| rise(plan, ring, i, words)).collect::<Result<_, _>>()?;
        outline.rings.push(OutlineRing { points, rises });
    }
    let merged = merged_runs(&outline, STRAIGHT);
    let rises = merged.outline.rings.iter().flat_map(|r| r.rises.iter().copied()).collect();
    let lines = merged.outline.rings.iter().flat_map(ring_lines).collect();
    Ok(Sides { rings, rises, lines, merged })
}

fn ring_lines(ring: &OutlineRing) -> Vec<Segment2> {
    let count = ring.points.len();
    (0..count).map(|i| Segment2::new(ring.points[i], ring.points[(i + 1) % count])).collect()
}

/// How an edge rises, whatever part of its height is a gable.
fn plain_rise(words: &SideWords) -> Rise {
    if words.gable { Rise::GABLE } else { Rise::new(1.0 / words.pitch).from(words.raise.unwrap_or(0.0)) }
}

fn rise(plan: &PlanGraph, ring: &[(NodeId, HalfEdge)], at: usize, words: &[SideWords]) -> Result<Rise, Refused> {
    let own = &words[ring[at].1.edge.index()];
    let plain = plain_rise(own);
    let Some(PartGable { form, at: measure }) = own.part else { return Ok(plain) };
    let eave = own.raise.unwrap_or(0.0);
    Ok(match (form, measure) {
        (GableForm::DutchGable, Measure::Height(height)) => plain.until(eave + height),
        (GableForm::DutchGable, Measure::Setback(setback)) => plain.until(eave + setback * own.pitch),
        (GableForm::Jerkinhead, Measure::Height(height)) => plain.from(eave + height),
        (GableForm::Jerkinhead, Measure::Setback(setback)) => {
            let here = plan.segment(ring[at].1.edge);
            let ridge = ridge_height(plan, ring, at, words).ok_or_else(|| {
                let words = format!(
                    "how high the hip of the jerkinhead {} starts does not follow from its setback, as the sides beside it are not two parallel eaves; give its height",
                    own.edge
                );
                (words, Some(here.midpoint()))
            })?;
            let start = ridge - setback * own.pitch;
            if start <= eave {
                let words = format!(
                    "a setback of {} makes the jerkinhead {} a whole hip: the ridge is only {} over its eave",
                    feet_inches(setback),
                    own.edge,
                    feet_inches(ridge - eave)
                );
                return Err((words, Some(here.midpoint())));
            }
            plain.from(start)
        }
    })
}

/// Where the faces of the two sides beside a gable meet, if these are parallel eaves.
fn ridge_height(plan: &PlanGraph, ring: &[(NodeId, HalfEdge)], at: usize, words: &[SideWords]) -> Option<f64> {
    /// Sine of the angle within which two sides are parallel.
    const PARALLEL: f64 = 1e-3;
    let count = ring.len();
    let line = |i: usize| {
        let start = plan.nodes[ring[i % count].0.index()];
        let end = plan.nodes[ring[(i + 1) % count].0.index()];
        (start, (end - start).unit())
    };
    let own = line(at).1?;
    // Past the corners in the gable's own line.
    let beside = |mut steps: Box<dyn Iterator<Item = usize>>| {
        steps.find(|&i| line(i).1.is_some_and(|d: Vector2| d.cross(own).abs() > PARALLEL))
    };
    let before = beside(Box::new((1..count).map(move |k| at + count - k)))?;
    let after = beside(Box::new((1..count).map(move |k| at + k)))?;
    let ((p, u), (q, v)) = (line(before), line(after));
    let (u, v) = (u?, v?);
    if u.cross(v).abs() > PARALLEL || u.dot(v) > 0.0 {
        return None;
    }
    let [a, b] = [before, after].map(|i| plain_rise(&words[ring[i % count].1.edge.index()]));
    let width = (q - p).dot(u.left());
    (a.run > 0.0 && b.run > 0.0 && width > 0.0).then(|| (width + a.run * a.start + b.run * b.start) / (a.run + b.run))
}

/// The plane of each face; the lowest eave lies at height 0.
fn surfaces(graph: &Graph, sides: &Sides, words: &[SideWords]) -> Vec<Surface> {
    let sloping = graph.sides_of_face.iter().flatten();
    let lowest = sloping.map(|&side| sides.rises[side].start).fold(f64::INFINITY, f64::min);
    let surface = |of: &Vec<usize>| {
        // Of several sides on one line the longest gives the plane.
        let length = |side: &usize| sides.lines[*side].length();
        let longest = of.iter().copied().max_by(|a, b| length(a).total_cmp(&length(b)).then(b.cmp(a))).unwrap_or(0);
        let plane = sides.plane(longest);
        let bases = of.iter().flat_map(|&side| edges_of(sides, side)).map(|e| words[e.index()].pitch_basis);
        Surface {
            plane: rounded(Plane { c: plane.c - lowest, ..plane }),
            pitch_basis: bases.max().unwrap_or(Basis::Assumed),
            steps: true,
        }
    };
    graph.sides_of_face.iter().map(surface).collect()
}

/// How each edge's kind is known: of the outline by what is said of it; of folds by what is said of the sides of both faces.
fn bases(graph: &Graph, sides: &Sides, surfaces: &[Surface], words: &[SideWords]) -> Vec<Basis> {
    let mut bases = vec![Basis::Assumed; graph.plan.edges.len()];
    let all_named = words.iter().all(|w| w.named);
    let known = |face: Option<crate::index::FaceId>| {
        face.is_none_or(|f| {
            let mut edges = graph.sides_of_face[f.index()].iter().flat_map(|&side| edges_of(sides, side));
            edges.all(|e| words[e.index()].named) && surfaces[f.index()].pitch_basis == Basis::Set
        })
    };
    for (basis, edge) in bases.iter_mut().zip(&graph.plan.edges) {
        let fold = edge.left.is_some() && edge.right.is_some();
        if fold && all_named && known(edge.left) && known(edge.right) {
            *basis = Basis::Solved;
        }
    }
    for (drawn, pieces) in graph.pieces.iter().filter(|(drawn, _)| words[drawn.index()].named) {
        debug_assert_eq!(pieces.first(), Some(drawn));
        pieces.iter().for_each(|piece| bases[piece.index()] = Basis::Set);
    }
    bases
}

/// Entries of the job that change nothing, so that nobody thinks they did.
fn unused(sides: &Sides, skeleton: &Skeleton, graph: &Graph, words: &[SideWords]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (position, w) in words.iter().enumerate() {
        let side = sides.side_of(EdgeId::new(position));
        let Some(&rise) = sides.rises.get(side) else { continue };
        let middle = sides.lines[side].midpoint();
        let mut tell = |message: String, hint: &str| {
            let place = Place::item(w.edge).with_point(middle);
            findings.push(Finding::new(Severity::Warning, "entry-unused", message, place).with_hint(hint));
        };
        let id = w.edge;
        if w.gable {
            let said = match (w.own_pitch, w.raise) {
                (Some(pitch), _) => format!("its pitch {}", pitch_in_12(pitch)),
                (None, Some(raise)) => format!("its raise by {}", feet_inches(raise)),
                (None, None) => continue,
            };
            tell(
                format!("{id} is a gable and no face rises from it: {said} is not used"),
                "leave it out, or make the edge an eave, a jerkinhead or a dutch-gable",
            );
        } else if !graph.sides_of_face.iter().flatten().any(|&s| s == side) {
            tell(
                format!(
                    "the faces beside {id} meet before its eave starts at {}: it has no face",
                    feet_inches(rise.start)
                ),
                "lower it, or make it a gable",
            );
        } else if rise.stop.is_finite()
            && !skeleton.faces[side].rings.iter().flatten().any(|&n| skeleton.nodes[n].z > rise.stop + SAME)
        {
            tell(
                format!(
                    "the hip of {id} closes below the gable it is to have at {}: it is a plain hip",
                    feet_inches(rise.stop)
                ),
                "give the dutch-gable a smaller height or setback",
            );
        }
    }
    findings
}

/// Edge names in a line, the first of many.
fn names(edges: impl Iterator<Item = EdgeId>) -> String {
    /// More than this are counted.
    const SHOWN: usize = 8;
    let all: Vec<String> = edges.map(|e| e.to_string()).collect();
    match all.len().checked_sub(SHOWN) {
        None | Some(0) => all.join(", "),
        Some(more) => format!("{} and {more} more", all[..SHOWN].join(", ")),
    }
}

/// Says what was assumed.
fn told(plan: &PlanGraph, words: &[SideWords]) -> Vec<Finding> {
    let unnamed: Vec<&SideWords> = words.iter().filter(|w| !w.named).collect();
    let guessed = words.iter().find(|w| !w.gable && w.pitch_basis == Basis::Assumed);
    let mut assumed = Vec::new();
    if !unnamed.is_empty() {
        assumed.push(if unnamed.len() == words.len() {
            format!("all {} sides are eaves", words.len())
        } else {
            let (verb, noun) = if unnamed.len() == 1 { ("is", "an eave") } else { ("are", "eaves") };
            format!("{} {verb} {noun}", names(unnamed.iter().map(|w| w.edge)))
        });
    }
    if let Some(w) = guessed {
        assumed.push(format!("the pitch is {}", pitch_in_12(w.pitch)));
    }
    let at = plan.region(crate::index::FaceId(0)).exterior.bounds().map(crate::geometry::Box2::center);
    let place = Place { at, ..words.first().map_or_else(Place::none, |w| Place::item(w.edge)) };
    let finding = if assumed.is_empty() {
        let message = "only the outline is drawn; it is roofed over by the pitches and edges of the job file";
        Finding::new(Severity::Note, "outline-roofed", message, place).with_hint("compare the key plan with the roof")
    } else {
        let message = format!(
            "only the outline is drawn; it is roofed over, and assumed is that {}",
            assumed.join(", and that ")
        );
        Finding::new(Severity::Assumed, "outline-roofed", message, place)
            .with_hint("name each side in the job file: [[roof.edge]], tag or near, kind = \"eave\", \"rake\" (gable), \"dutch-gable\" or \"jerkinhead\"; or draw the ridges")
    };
    vec![finding]
}

/// The short ends of wings, of which the job says nothing: a suggestion only.
fn suggested(plan: &PlanGraph, sides: &Sides, words: &[SideWords]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for ring in &sides.rings {
        let lines: Vec<Segment2> = ring.iter().map(|s| plan.segment(s.1.edge)).collect();
        for at in short_ends(&lines) {
            let said = &words[ring[at].1.edge.index()];
            if said.named {
                continue;
            }
            let id = said.edge;
            findings.push(
                Finding::new(
                    Severity::Note,
                    "likely-gable",
                    format!("{id} is the short end of a wing and could be a gable"),
                    Place::item(id).with_point(lines[at].midpoint()),
                )
                .with_hint(format!("if so: [[roof.edge]], tag = \"{id}\", kind = \"rake\"")),
            );
        }
    }
    findings
}

/// Sides of a ring between two parallel longer ones.
fn short_ends(ring: &[Segment2]) -> Vec<usize> {
    /// Sine of the angle within which two sides are parallel.
    const PARALLEL: f64 = 1e-3;
    let count = ring.len();
    let is_short = |&i: &usize| {
        let (before, here, after) = (ring[(i + count - 1) % count], ring[i], ring[(i + 1) % count]);
        let turn = (before.b - before.a).cross(after.b - after.a).abs();
        let both = before.length() * after.length();
        here.length() < before.length().min(after.length()) && turn < PARALLEL * both
    };
    (0..count).filter(|_| count > 3).filter(is_short).collect()
}

/// The edges of bare outlines that are short ends of wings and could be gables: a suggestion only.
#[must_use]
pub fn likely_gables(roof: &Roof) -> Vec<EdgeId> {
    let bare = |face: &&super::model::RoofFace| {
        face.exterior.iter().all(|h| roof.edge(h.edge).kind == crate::terms::EdgeKind::Unknown)
    };
    let of_ring = |ring: &[HalfEdge]| -> Vec<EdgeId> {
        let lines: Vec<Segment2> = ring.iter().map(|h| roof.segment(h.edge)).collect();
        short_ends(&lines).into_iter().map(|at| ring[at].edge).collect()
    };
    roof.faces.iter().filter(bare).flat_map(|face| of_ring(&face.exterior)).collect()
}

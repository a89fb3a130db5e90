//! Outlines alone get their roofs: each is taken out of the plan, roofed over by itself (`outline`), and put back.
//!
//! Nodes and edges of an outline keep their ids, so that a job names them by the tags of the bare outline; folds and further
//! faces follow. From an outline alone a hip roof, gables and one single slope are all as likely, so nothing is assumed until the
//! job says something of the roof: its pitch, or an edge.

use super::assemble::Surface;
use super::hints::{Hints, find_face};
use super::model::Basis;
use super::outline::{Refused, Roofed, SideWords, roofed};
use crate::finding::{Finding, Place, Severity};
use crate::import::SourceFrame;
use crate::index::{EdgeId, FaceId, NodeId};
use crate::job::RoofSettings;
use crate::plan::{HalfEdge, PlanEdge, PlanFace, PlanGraph, PlanRoof};
use crate::terms::EdgeKind;
use crate::units::pitch_in_12;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

/// Pitches that differ by less are one, rise per run: a thousandth of an inch in 12 is no other pitch.
const SAME_PITCH: f64 = 1e-4;

/// The plan with its bare outlines roofed over.
pub(super) struct Covered<'a> {
    /// The plan with new faces and folds.
    pub plan: Cow<'a, PlanGraph>,
    /// Roofs that were outlines, by position.
    pub units: BTreeSet<usize>,
    /// Planes of their faces.
    pub surfaces: Vec<(FaceId, Surface)>,
    /// How the kind of each of their edges is known.
    pub bases: Vec<(EdgeId, Basis)>,
    /// All pieces of an edge that was parted, by its id; the first has that id.
    pub pieces: BTreeMap<EdgeId, Vec<EdgeId>>,
    /// Outlines without a roof, and why.
    pub refused: BTreeMap<FaceId, Refused>,
    /// What was assumed, and what of the job changed nothing.
    pub findings: Vec<Finding>,
    /// The edges of the outline a face rises from.
    eaves: BTreeMap<FaceId, Vec<EdgeId>>,
}

/// Roofs over each outline of which no single sloping face was asked for, once the job gives a pitch or an edge.
pub(super) fn cover<'a>(plan: &'a PlanGraph, frame: &SourceFrame, settings: &RoofSettings) -> Covered<'a> {
    if !settings.default_pitch.given && settings.edges.is_empty() {
        return covered_by(plan, &Hints::default(), settings, false);
    }
    let mut hints = Hints::of_outlines(plan, frame, settings);
    let covered = covered_by(plan, &hints, settings, true);
    // Faces are named on the roof they make; their pitches make it anew.
    let (by_face, findings) = pitches_by_face(&covered, &hints, frame, settings);
    if by_face.is_empty() {
        return Covered { findings: [covered.findings.clone(), findings].concat(), ..covered };
    }
    hints.edge_pitches.extend(by_face);
    let mut again = covered_by(plan, &hints, settings, true);
    again.findings.extend(findings);
    again
}

fn covered_by<'a>(plan: &'a PlanGraph, hints: &Hints, settings: &RoofSettings, wanted: bool) -> Covered<'a> {
    let mut covered = Covered {
        plan: Cow::Borrowed(plan),
        units: BTreeSet::new(),
        surfaces: Vec::new(),
        bases: Vec::new(),
        pieces: BTreeMap::new(),
        refused: BTreeMap::new(),
        findings: Vec::new(),
        eaves: BTreeMap::new(),
    };
    for (position, unit) in plan.roofs.iter().enumerate().filter(|_| wanted) {
        let &[face] = unit.faces.as_slice() else { continue };
        if !unit.outline_only || unit.has_heights || hints.single_slope(plan, face) {
            continue;
        }
        let taken = Taken::out_of(plan, face);
        let words: Vec<SideWords> = taken.edges.iter().map(|&edge| words_of(edge, face, hints, settings)).collect();
        match roofed(&taken.plan, &words, settings.step_tolerance) {
            Ok(roofed) => {
                covered.units.insert(position);
                put_back(&mut covered, &taken, face, roofed);
            }
            Err(why) => {
                covered.refused.insert(face, why);
            }
        }
    }
    covered
}

/// What is said of one side of an outline.
fn words_of(edge: EdgeId, face: FaceId, hints: &Hints, settings: &RoofSettings) -> SideWords {
    let kind = hints.kinds.get(&edge).map(|said| said.0);
    let own = hints.edge_pitches.get(&edge).copied();
    let noted = one_pitch(hints, face);
    let (raise, part) = (hints.raises.get(&edge).copied(), hints.parts.get(&edge).copied());
    SideWords {
        edge,
        gable: kind == Some(EdgeKind::Rake),
        named: kind.is_some() || own.is_some() || raise.is_some() || part.is_some(),
        own_pitch: own,
        pitch: own.or(noted).unwrap_or(settings.default_pitch.value),
        pitch_basis: if own.or(noted).is_some() || settings.default_pitch.given { Basis::Set } else { Basis::Assumed },
        raise,
        part,
    }
}

/// The pitch that all notes in an outline give.
fn one_pitch(hints: &Hints, face: FaceId) -> Option<f64> {
    let given = hints.pitches.get(&face)?;
    let first = given.first()?.pitch;
    given.iter().all(|g| (g.pitch - first).abs() < SAME_PITCH).then_some(first)
}

/// Pitches of single faces of the roofs made, for the edges these faces rise from: by the job, and by notes that differ.
fn pitches_by_face(
    covered: &Covered,
    hints: &Hints,
    frame: &SourceFrame,
    settings: &RoofSettings,
) -> (Vec<(EdgeId, f64)>, Vec<Finding>) {
    let by_job = settings.faces.iter().filter_map(|hint| {
        let face = find_face(&covered.plan, frame, &hint.target, hint.line).ok()?;
        Some((face, hint.pitch?, format!("job line {}", hint.line)))
    });
    let differing = covered.plan.notes.iter().filter(|note| {
        let first = covered.plan.faces[note.face.index()].roof;
        let outline = hints.pitches.keys().find(|&&f| covered.plan.faces[f.index()].roof == first);
        outline.is_some_and(|&f| one_pitch(hints, f).is_none())
    });
    let by_note = differing.map(|note| (note.face, note.pitch, format!("note \"{}\"", note.text)));
    let (mut found, mut findings): (BTreeMap<EdgeId, f64>, Vec<Finding>) = Default::default();
    for (face, pitch, by) in by_job.chain(by_note) {
        for &edge in covered.eaves.get(&face).into_iter().flatten() {
            let Some(&other) = hints.edge_pitches.get(&edge).or_else(|| found.get(&edge)) else {
                found.insert(edge, pitch);
                continue;
            };
            if (other - pitch).abs() >= SAME_PITCH {
                let (first, second) = (pitch_in_12(other), pitch_in_12(pitch));
                let message =
                    format!("{face} is {second} by {by}, but {first} was given for {edge} before; the latter is used");
                findings.push(
                    Finding::new(Severity::Warning, "contradictory-pitch", message, Place::item(face))
                        .with_hint("correct the note or the entries of the job file"),
                );
            }
        }
    }
    (found.into_iter().collect(), findings)
}

/// An outline by itself, its nodes and edges in the order of their ids in the whole plan.
struct Taken {
    plan: PlanGraph,
    nodes: Vec<NodeId>,
    edges: Vec<EdgeId>,
}

impl Taken {
    fn out_of(plan: &PlanGraph, face: FaceId) -> Self {
        let drawn = &plan.faces[face.index()];
        let halves = || drawn.exterior.iter().chain(drawn.holes.iter().flatten());
        let edges: BTreeSet<EdgeId> = halves().map(|h| h.edge).collect();
        let nodes: BTreeSet<NodeId> = edges.iter().flat_map(|e| plan.edges[e.index()].ends).collect();
        let (edges, nodes): (Vec<EdgeId>, Vec<NodeId>) = (edges.into_iter().collect(), nodes.into_iter().collect());
        let node = |n: NodeId| NodeId::new(nodes.partition_point(|&other| other < n));
        let half = |h: &HalfEdge| HalfEdge { edge: EdgeId::new(edges.partition_point(|&e| e < h.edge)), ..*h };
        let own = |f: Option<FaceId>| f.filter(|&f| f == face).map(|_| FaceId(0));
        let edge = |e: &EdgeId| {
            let PlanEdge { ends, left, right, sources } = plan.edges[e.index()].clone();
            PlanEdge { ends: ends.map(node), left: own(left), right: own(right), sources }
        };
        let ring = |r: &Vec<HalfEdge>| r.iter().map(half).collect();
        let openings = plan.openings.iter().filter(|o| o.parts.iter().any(|p| p.0 == face)).cloned();
        let on_it = |mut o: crate::plan::PlanOpening| {
            o.parts = o.parts.into_iter().filter(|p| p.0 == face).map(|p| (FaceId(0), p.1)).collect();
            o
        };
        let outline = PlanFace {
            roof: crate::index::RoofId(0),
            exterior: ring(&drawn.exterior),
            holes: drawn.holes.iter().map(ring).collect(),
            plane: None,
        };
        let small = PlanGraph {
            nodes: nodes.iter().map(|n| plan.nodes[n.index()]).collect(),
            edges: edges.iter().map(edge).collect(),
            faces: vec![outline],
            roofs: vec![PlanRoof { faces: vec![FaceId(0)], outline_only: true, has_heights: false }],
            openings: openings.map(on_it).collect(),
            ..PlanGraph::default()
        };
        Self { plan: small, nodes, edges }
    }
}

/// Puts a roof in the place of its outline.
fn put_back(covered: &mut Covered, taken: &Taken, face: FaceId, roofed: Roofed) {
    let plan = covered.plan.to_mut();
    let roof = plan.faces[face.index()].roof;
    let after = (plan.nodes.len(), plan.edges.len(), plan.faces.len());
    let follow = |local: usize, known: usize, next: usize| next + local - known;
    let node = |n: NodeId| {
        let known = taken.nodes.get(n.index()).copied();
        known.unwrap_or_else(|| NodeId::new(follow(n.index(), taken.nodes.len(), after.0)))
    };
    let edge = |e: EdgeId| {
        let known = taken.edges.get(e.index()).copied();
        known.unwrap_or_else(|| EdgeId::new(follow(e.index(), taken.edges.len(), after.1)))
    };
    let face_of = |f: FaceId| if f.index() == 0 { face } else { FaceId::new(follow(f.index(), 1, after.2)) };
    let small = roofed.plan;
    plan.nodes.extend_from_slice(&small.nodes[taken.nodes.len()..]);
    for (local, made) in small.edges.into_iter().enumerate() {
        let PlanEdge { ends, left, right, sources } = made;
        let made = PlanEdge { ends: ends.map(node), left: left.map(face_of), right: right.map(face_of), sources };
        if local < taken.edges.len() { plan.edges[taken.edges[local].index()] = made } else { plan.edges.push(made) }
    }
    let ring = |r: Vec<HalfEdge>| r.into_iter().map(|h| HalfEdge { edge: edge(h.edge), ..h }).collect();
    for (local, made) in small.faces.into_iter().enumerate() {
        let holes = made.holes.into_iter().map(ring).collect();
        let made = PlanFace { roof, exterior: ring(made.exterior), holes, plane: None };
        if local == 0 { plan.faces[face.index()] = made } else { plan.faces.push(made) }
    }
    plan.roofs[roof.index()].faces = small.roofs[0].faces.iter().map(|&f| face_of(f)).collect();
    for made in small.openings {
        plan.openings[made.id.index()].parts = made.parts.into_iter().map(|p| (face_of(p.0), p.1)).collect();
    }
    let regions: Vec<_> = plan.roofs[roof.index()].faces.iter().map(|&f| (f, plan.region(f))).collect();
    for note in plan.notes.iter_mut().filter(|note| note.face == face) {
        note.face = regions.iter().find(|(_, region)| region.contains(note.at)).map_or(face, |r| r.0);
    }
    covered.surfaces.extend(roofed.surfaces.into_iter().enumerate().map(|(f, s)| (face_of(FaceId::new(f)), s)));
    covered.bases.extend(roofed.bases.into_iter().enumerate().map(|(e, basis)| (edge(EdgeId::new(e)), basis)));
    covered.pieces.extend(
        roofed
            .pieces
            .into_iter()
            .filter(|(_, p)| p.len() > 1)
            .map(|(e, p)| (edge(e), p.into_iter().map(edge).collect())),
    );
    covered.eaves.extend(
        roofed.eaves.into_iter().enumerate().map(|(f, e)| (face_of(FaceId::new(f)), e.into_iter().map(edge).collect())),
    );
    covered.findings.extend(roofed.findings);
}

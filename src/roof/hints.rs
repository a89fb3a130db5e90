//! What the job file and the drawing say about single edges and faces.

use crate::error::{Error, Result};
use crate::finding::Place;
use crate::geometry::{Point2, Vector2};
use crate::import::SourceFrame;
use crate::index::{EdgeId, FaceId};
use crate::job::{RoofSettings, Target};
use crate::plan::PlanGraph;
use crate::terms::EdgeKind;
use crate::units::decimal;
use std::collections::BTreeMap;

/// A point names what lies within this of it, inches: about the width of a finger on a plotted plan at 1/8 in to the foot.
const REACH: f64 = 24.0;

/// A pitch somebody gave for a face.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct GivenPitch {
    /// Rise per run.
    pub pitch: f64,
    /// Who said so: `note "6:12"`, `job line 12`.
    pub by: String,
}

/// A fall somebody gave for a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fall {
    /// To this edge.
    To(EdgeId),
    /// Downhill in plan, length 1, as an arrow was drawn.
    Along(Vector2),
}

/// All hints, by what they are about.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Hints {
    /// Kinds set by the job, with the job's line.
    pub kinds: BTreeMap<EdgeId, (EdgeKind, usize)>,
    /// Pitches, the job's first.
    pub pitches: BTreeMap<FaceId, Vec<GivenPitch>>,
    /// Falls; the job outweighs an arrow.
    pub falls: BTreeMap<FaceId, Fall>,
    /// Pitches set for single edges of an outline, rise per run.
    pub edge_pitches: BTreeMap<EdgeId, f64>,
    /// Overhangs set for single edges, inches.
    pub overhangs: BTreeMap<EdgeId, f64>,
}

impl Hints {
    /// Collects and checks them.
    ///
    /// # Errors
    /// `hint-target` when an entry of the job names no edge or face of this roof.
    pub(super) fn collect(plan: &PlanGraph, frame: &SourceFrame, settings: &RoofSettings) -> Result<Self> {
        let mut hints = Self::default();
        for arrow in &plan.arrows {
            hints.falls.insert(arrow.face, Fall::Along(arrow.downhill));
        }
        for hint in &settings.edges {
            let edge = find_edge(plan, frame, &hint.target, hint.line)?;
            if let Some(overhang) = hint.overhang {
                hints.overhangs.insert(edge, overhang);
            }
            if let Some(pitch) = hint.pitch {
                check_bare_outline(plan, edge, hint.line)?;
                hints.edge_pitches.insert(edge, pitch);
            }
            if let Some(kind) = hint.kind {
                check_kind_fits(plan, edge, kind, hint.line)?;
                hints.kinds.insert(edge, (kind, hint.line));
            }
        }
        for hint in &settings.faces {
            let face = find_face(plan, frame, &hint.target, hint.line)?;
            if let Some(pitch) = hint.pitch {
                let by = format!("job line {}", hint.line);
                hints.pitches.entry(face).or_default().push(GivenPitch { pitch, by });
            }
            if let Some(target) = &hint.falls_to {
                let edge = find_edge(plan, frame, target, hint.line)?;
                let sides = [plan.edges[edge.index()].left, plan.edges[edge.index()].right];
                if !sides.contains(&Some(face)) {
                    return Err(no_target(format!("{face} has no edge {edge}"), hint.line)
                        .with_hint(format!("{face} is bounded by {}", edges_of(plan, face))));
                }
                hints.falls.insert(face, Fall::To(edge));
            }
        }
        for note in &plan.notes {
            let by = format!("note \"{}\"", note.text);
            hints.pitches.entry(note.face).or_default().push(GivenPitch { pitch: note.pitch, by });
        }
        Ok(hints)
    }

    /// Whether what is said about an outline alone asks for one sloping face: a fall, or a kind that no hip roof has.
    pub(super) fn single_slope(&self, plan: &PlanGraph, face: FaceId) -> bool {
        self.falls.contains_key(&face)
            || self.kinds.iter().any(|(e, said)| {
                let edge = &plan.edges[e.index()];
                !matches!(said.0, EdgeKind::Rake | EdgeKind::Eave) && [edge.left, edge.right].contains(&Some(face))
            })
    }
}

fn no_target(message: String, line: usize) -> Error {
    Error::usage("hint-target", message).at(Place::line(line))
}

/// A pitch by edge says something only where the faces are not drawn.
fn check_bare_outline(plan: &PlanGraph, edge: EdgeId, line: usize) -> Result<()> {
    let sides = &plan.edges[edge.index()];
    let faces = || sides.left.into_iter().chain(sides.right);
    if faces().all(|f| plan.roofs[plan.faces[f.index()].roof.index()].outline_only) {
        return Ok(());
    }
    let face = faces().next().unwrap_or(FaceId(0));
    Err(no_target(format!("{edge} has a pitch, but the faces of this roof are drawn"), line)
        .with_hint(format!("give the pitch of the face instead: [[roof.face]] tag = \"{face}\"")))
}

fn edges_of(plan: &PlanGraph, face: FaceId) -> String {
    let names: Vec<String> = plan.faces[face.index()].exterior.iter().map(|h| h.edge.to_string()).collect();
    names.join(", ")
}

/// An outline kind on an interior line, or the reverse, names the wrong edge.
fn check_kind_fits(plan: &PlanGraph, edge: EdgeId, kind: EdgeKind, line: usize) -> Result<()> {
    let sides = &plan.edges[edge.index()];
    let interior = sides.left.is_some() && sides.right.is_some();
    let folds = matches!(
        kind,
        EdgeKind::Ridge
            | EdgeKind::Hip
            | EdgeKind::Valley
            | EdgeKind::PitchBreak
            | EdgeKind::FlatBreak
            | EdgeKind::Step
    );
    if interior == folds {
        return Ok(());
    }
    let (lies, needs) =
        if interior { ("inside the roof", "the outline") } else { ("on the outline", "an interior line") };
    let nearest: Vec<String> = plan
        .edges
        .iter()
        .enumerate()
        .filter(|(_, e)| (e.left.is_some() && e.right.is_some()) == folds)
        .map(|(i, _)| EdgeId::new(i).to_string())
        .take(8)
        .collect();
    Err(no_target(format!("{edge} lies {lies} and cannot be a {}, which is a kind of {needs}", kind.words()), line)
        .with_hint(format!("edges it could be: {}", nearest.join(", "))))
}

fn number(tag: &str, letter: char) -> Option<usize> {
    tag.strip_prefix(letter)?.parse::<usize>().ok()?.checked_sub(1)
}

fn working(frame: &SourceFrame, at: Point2) -> Point2 {
    frame.to_working(at.at_height(frame.origin.z)).plan()
}

fn find_edge(plan: &PlanGraph, frame: &SourceFrame, target: &Target, line: usize) -> Result<EdgeId> {
    match target {
        Target::Tag(tag) => number(tag, 'E').filter(|&n| n < plan.edges.len()).map(EdgeId::new).ok_or_else(|| {
            no_target(format!("no edge {tag} on this roof"), line)
                .with_hint(format!("its edges are E1 to E{}; `inspect` lists them", plan.edges.len()))
        }),
        Target::Near(at) => {
            let point = working(frame, *at);
            let mut near: Vec<(f64, EdgeId)> =
                (0..plan.edges.len()).map(EdgeId::new).map(|e| (plan.segment(e).distance_to(point), e)).collect();
            near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            match near.first() {
                Some(&(distance, edge)) if distance <= REACH => Ok(edge),
                _ => Err(nothing_near(*at, "edge", line, near.iter().map(|n| (n.0, n.1.to_string())))),
            }
        }
    }
}

fn find_face(plan: &PlanGraph, frame: &SourceFrame, target: &Target, line: usize) -> Result<FaceId> {
    match target {
        Target::Tag(tag) => number(tag, 'F').filter(|&n| n < plan.faces.len()).map(FaceId::new).ok_or_else(|| {
            no_target(format!("no face {tag} on this roof"), line)
                .with_hint(format!("its faces are F1 to F{}; `inspect` lists them", plan.faces.len()))
        }),
        Target::Near(at) => {
            let point = working(frame, *at);
            let mut near: Vec<(f64, FaceId)> = (0..plan.faces.len())
                .map(FaceId::new)
                .map(|f| {
                    let region = plan.region(f);
                    (if region.contains(point) { 0.0 } else { region.exterior.distance_to(point) }, f)
                })
                .collect();
            near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            match near.first() {
                Some(&(distance, face)) if distance <= REACH => Ok(face),
                _ => Err(nothing_near(*at, "face", line, near.iter().map(|n| (n.0, n.1.to_string())))),
            }
        }
    }
}

fn nothing_near(at: Point2, what: &str, line: usize, near: impl Iterator<Item = (f64, String)>) -> Error {
    let nearest: Vec<String> = near.take(3).map(|(d, name)| format!("{name} ({} in off)", decimal(d, 0))).collect();
    no_target(
        format!("no {what} within {REACH} in of the point {}, {} of the drawing", decimal(at.x, 3), decimal(at.y, 3)),
        line,
    )
    .with_hint(format!("the nearest are {}", nearest.join(", ")))
}

//! What the job file and the drawing say about single edges and faces.

use crate::error::{Error, Result};
use crate::finding::Place;
use crate::geometry::{Point2, Vector2};
use crate::import::SourceFrame;
use crate::index::{EdgeId, FaceId};
use crate::job::{EdgeHint, PartGable, RoofSettings, Target};
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
    /// Eaves of an outline set higher than others, or (negative) lower, inches.
    pub raises: BTreeMap<EdgeId, f64>,
    /// Edges of an outline that are a gable for a part of their height.
    pub parts: BTreeMap<EdgeId, PartGable>,
    /// Overhangs set for single edges, inches.
    pub overhangs: BTreeMap<EdgeId, f64>,
}

/// Where the edge of an entry is to be looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lies {
    Outside,
    Inside,
    Anywhere,
}

/// What an entry says tells where its edge lies.
fn lies(hint: &EdgeHint) -> Lies {
    if hint.kind.is_some_and(is_fold) {
        Lies::Inside
    } else if hint.kind.is_some() || hint.shapes_outline() || hint.overhang.is_some() {
        Lies::Outside
    } else {
        Lies::Anywhere
    }
}

fn is_fold(kind: EdgeKind) -> bool {
    use EdgeKind::{FlatBreak, Hip, PitchBreak, Ridge, Step, Valley};
    matches!(kind, Ridge | Hip | Valley | PitchBreak | FlatBreak | Step)
}

fn is_inside(plan: &PlanGraph, edge: EdgeId) -> bool {
    let sides = &plan.edges[edge.index()];
    sides.left.is_some() && sides.right.is_some()
}

impl Hints {
    /// What is said of bare outlines before they are roofed over. Entries that name none of their edges are left for [`Self::collect`],
    /// which sees the folds too.
    pub(super) fn of_outlines(plan: &PlanGraph, frame: &SourceFrame, settings: &RoofSettings) -> Self {
        let mut hints = Self::default();
        for arrow in &plan.arrows {
            hints.falls.insert(arrow.face, Fall::Along(arrow.downhill));
        }
        for hint in settings.edges.iter().filter(|hint| lies(hint) == Lies::Outside) {
            let Ok(edge) = find_edge(plan, frame, hint) else { continue };
            hints.kinds.extend(hint.kind.map(|kind| (edge, (kind, hint.line))));
            hints.take_shape(edge, hint);
        }
        for hint in &settings.faces {
            if let (Some(target), Ok(face)) = (&hint.falls_to, find_face(plan, frame, &hint.target, hint.line))
                && let Ok(edge) = find_target(plan, frame, target, hint.line, Lies::Outside)
            {
                hints.falls.insert(face, Fall::To(edge));
            }
        }
        hints.take_notes(plan);
        hints
    }

    fn take_shape(&mut self, edge: EdgeId, hint: &EdgeHint) {
        self.edge_pitches.extend(hint.pitch.map(|pitch| (edge, pitch)));
        self.raises.extend(hint.raise.map(|raise| (edge, raise)));
        self.parts.extend(hint.part.map(|part| (edge, part)));
    }

    fn take_notes(&mut self, plan: &PlanGraph) {
        for note in &plan.notes {
            let by = format!("note \"{}\"", note.text);
            self.pitches.entry(note.face).or_default().push(GivenPitch { pitch: note.pitch, by });
        }
    }

    /// Gives what is said of the whole of a parted edge to its pieces.
    #[must_use]
    pub(super) fn spread(mut self, pieces: &BTreeMap<EdgeId, Vec<EdgeId>>) -> Self {
        for (edge, pieces) in pieces {
            if let Some(&overhang) = self.overhangs.get(edge) {
                pieces.iter().for_each(|&piece| {
                    self.overhangs.entry(piece).or_insert(overhang);
                });
            }
        }
        self
    }

    /// Collects and checks them.
    ///
    /// # Errors
    /// `hint-target` when an entry of the job names no edge or face of this roof.
    pub(super) fn collect(plan: &PlanGraph, frame: &SourceFrame, settings: &RoofSettings) -> Result<Self> {
        let mut hints = Self::default();
        for arrow in &plan.arrows {
            hints.falls.insert(arrow.face, Fall::Along(arrow.downhill));
        }
        let mut shaped = BTreeMap::new();
        for hint in &settings.edges {
            let edge = find_edge(plan, frame, hint)?;
            if let Some(overhang) = hint.overhang {
                hints.overhangs.insert(edge, overhang);
            }
            if hint.shapes_outline() {
                check_bare_outline(plan, edge, hint)?;
            }
            if hint.shapes_outline() || hint.kind.is_some() {
                check_said_once(&mut shaped, edge, hint)?;
                hints.take_shape(edge, hint);
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
                let edge = find_target(plan, frame, target, hint.line, Lies::Anywhere)?;
                let sides = [plan.edges[edge.index()].left, plan.edges[edge.index()].right];
                if !sides.contains(&Some(face)) {
                    return Err(no_target(format!("{face} has no edge {edge}"), hint.line)
                        .with_hint(format!("{face} is bounded by {}", edges_of(plan, face))));
                }
                hints.falls.insert(face, Fall::To(edge));
            }
        }
        hints.take_notes(plan);
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

/// Two entries, one by tag and one by a point, may name one edge; they must not say two things of it.
fn check_said_once<'a>(said: &mut BTreeMap<EdgeId, &'a EdgeHint>, edge: EdgeId, hint: &'a EdgeHint) -> Result<()> {
    let Some(before) = said.insert(edge, hint) else { return Ok(()) };
    let kinds = |h: &EdgeHint| (h.kind, h.part);
    let two_kinds = kinds(before) != (None, None) && kinds(hint) != (None, None) && kinds(before) != kinds(hint);
    let two = |a: Option<f64>, b: Option<f64>| a.is_some() && b.is_some() && a != b;
    if two_kinds || two(before.pitch, hint.pitch) || two(before.raise, hint.raise) {
        return Err(no_target(
            format!("{edge} is named by the entries of lines {} and {}, which differ", before.line, hint.line),
            hint.line,
        )
        .with_hint("keep one of them, or look where the other's edge lies: `inspect --svg` draws the tags"));
    }
    Ok(())
}

/// What shapes a roof by an edge says something only of an edge of an outline whose faces are not drawn.
fn check_bare_outline(plan: &PlanGraph, edge: EdgeId, hint: &EdgeHint) -> Result<()> {
    let sides = &plan.edges[edge.index()];
    let faces = || sides.left.into_iter().chain(sides.right);
    let bare = faces().all(|f| plan.roofs[plan.faces[f.index()].roof.index()].outline_only);
    if bare && !is_inside(plan, edge) {
        return Ok(());
    }
    let face = faces().next().unwrap_or(FaceId(0));
    let said = match (hint.pitch, hint.raise) {
        (Some(_), _) => "has a pitch",
        (None, Some(_)) => "has a raise",
        (None, None) => "is to be a gable in part",
    };
    let (why, instead) = if bare {
        ("lies inside the roof", "name the edge of the outline that the face rises from".to_owned())
    } else {
        (
            "belongs to a roof whose faces are drawn",
            format!("draw it, or give the pitch of the face: [[roof.face]] tag = \"{face}\""),
        )
    };
    Err(no_target(format!("{edge} {said}, but {why}"), hint.line).with_hint(instead))
}

fn edges_of(plan: &PlanGraph, face: FaceId) -> String {
    let names: Vec<String> = plan.faces[face.index()].exterior.iter().map(|h| h.edge.to_string()).collect();
    names.join(", ")
}

/// An outline kind on an interior line, or the reverse, names the wrong edge.
fn check_kind_fits(plan: &PlanGraph, edge: EdgeId, kind: EdgeKind, line: usize) -> Result<()> {
    let (interior, folds) = (is_inside(plan, edge), is_fold(kind));
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

fn find_edge(plan: &PlanGraph, frame: &SourceFrame, hint: &EdgeHint) -> Result<EdgeId> {
    find_target(plan, frame, &hint.target, hint.line, lies(hint))
}

fn find_target(plan: &PlanGraph, frame: &SourceFrame, target: &Target, line: usize, lies: Lies) -> Result<EdgeId> {
    let fits = |edge: &EdgeId| lies == Lies::Anywhere || is_inside(plan, *edge) == (lies == Lies::Inside);
    match target {
        Target::Tag(tag) => number(tag, 'E').filter(|&n| n < plan.edges.len()).map(EdgeId::new).ok_or_else(|| {
            no_target(format!("no edge {tag} on this roof"), line)
                .with_hint(format!("its edges are E1 to E{}; `inspect` lists them", plan.edges.len()))
        }),
        Target::Near(at) => {
            let point = working(frame, *at);
            let mut near: Vec<(f64, EdgeId)> = (0..plan.edges.len())
                .map(EdgeId::new)
                .filter(fits)
                .map(|e| (plan.segment(e).distance_to(point), e))
                .collect();
            near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let what = match lies {
                Lies::Outside => "edge of the outline",
                Lies::Inside => "line inside the roof",
                Lies::Anywhere => "edge",
            };
            match near.first() {
                Some(&(distance, edge)) if distance <= REACH => Ok(edge),
                _ => Err(nothing_near(*at, what, line, near.iter().map(|n| (n.0, n.1.to_string())))),
            }
        }
    }
}

pub(super) fn find_face(plan: &PlanGraph, frame: &SourceFrame, target: &Target, line: usize) -> Result<FaceId> {
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
    .with_hint(if nearest.is_empty() {
        "this roof has none".into()
    } else {
        format!("the nearest are {}", nearest.join(", "))
    })
}

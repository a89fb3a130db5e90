//! What a person must know about a roof's heights and kinds.

use super::energy::agrees;
use super::hints::Hints;
use super::model::{AnswerOption, Basis, Lifting, Question, Roof, RoofEdge};
use super::questions::telling_answers;
use super::reconstruct::Reconstruction;
use crate::finding::{Finding, Place, Severity};
use crate::index::{EdgeId, FaceId};
use crate::job::RoofSettings;
use crate::plan::PlanRoof;
use crate::terms::EdgeKind;
use crate::units::{decimal, feet_inches, pitch_in_12};

/// Faces that meet within this over a fold meet, inches; more is worth a word.
const WORTH_A_WORD: f64 = 1.0 / 16.0;
/// Points of a plan further off than this are no drawing noise, inches.
const BAD_FIT: f64 = 3.0;
/// Fewer lines that do not fit are drawn wrong on a roof.
const FEWEST_MISFITS: usize = 4;
/// Pitches that differ by more than this share contradict each other; less is rounding of a note.
const SAME_PITCH: f64 = 0.03;

/// Findings on a roof with heights.
pub(super) fn measured(roof: &Roof, unit: &PlanRoof, hints: &Hints) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut gaps: Vec<(f64, EdgeId)> = roof
        .edges
        .iter()
        .filter(|e| e.kind != EdgeKind::Step && e.gap > WORTH_A_WORD)
        .filter(|e| roof.sides(e.id).any(|f| unit.faces.contains(&f)))
        .map(|e| (e.gap, e.id))
        .collect();
    gaps.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    if let Some(&(gap, edge)) = gaps.first() {
        findings.push(
            Finding::new(
                Severity::Warning,
                "face-gap",
                format!("faces miss each other in height at {} edges, at most by {}", gaps.len(), feet_inches(gap)),
                Place::item(edge).with_point(roof.segment(edge).midpoint()),
            )
            .with_hint("below the step tolerance they are taken to meet; correct the heights, or set step_tolerance"),
        );
    }
    findings.extend(pitches(roof, &unit.faces, hints, "measured from heights"));
    findings
}

/// Findings on a roof lifted from its plan.
pub(super) fn solved(roof: &Roof, solved: &Reconstruction, hints: &Hints, settings: &RoofSettings) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let Some((face, pitch)) = solved.scaled.assumed
        && !settings.default_pitch.given
    {
        let face = solved.piece.faces[face];
        findings.push(
            Finding::new(
                Severity::Assumed,
                "assumed-pitch",
                format!(
                    "no pitch given; {face} taken at {} and the other faces as the plan makes them",
                    pitch_in_12(pitch)
                ),
                Place::item(face),
            )
            .with_hint("write a pitch such as 6:12 on a face of the drawing, or give it in the job file under [roof]"),
        );
    }
    if solved.capped {
        findings.push(
            Finding::new(
                Severity::Warning,
                "search-bound",
                format!("a roof of {} faces allows more answers than are looked at", solved.piece.faces.len()),
                Place::item(solved.piece.faces[0]),
            )
            .with_hint("draw slope arrows, or use 3D faces, so that less is open"),
        );
    }
    let misfits = bad_fits(solved);
    findings.extend(unlikely_roof(misfits.len(), solved));
    findings.extend(misfits);
    findings.extend(pitches(roof, &solved.piece.faces, hints, "that the plan makes"));
    for question in &solved.questions {
        let names: Vec<String> = question.edges.iter().map(EdgeId::to_string).collect();
        let first = question.edges[0];
        findings.push(
            Finding::new(
                Severity::Warning,
                "ambiguous-edge",
                format!(
                    "the drawing leaves open what {} {}",
                    names.join(", "),
                    if names.len() == 1 { "is" } else { "are" }
                ),
                Place::item(first).with_point(roof.segment(first).midpoint()),
            )
            .with_hint(how_to_answer(question)),
        );
    }
    findings
}

/// The answers in a line, each once and only by what tells it from the others, and where to give one.
fn how_to_answer(question: &Question) -> String {
    let answers = telling_answers(question);
    let either = if answers.is_empty() { String::new() } else { format!("{}; ", answers.join(", or ")) };
    format!("{either}draw a slope arrow, or set the kind of {} under [[roof.edge]] in the job file", question.edges[0])
}

/// That many lines of a piece divide no flat slopes: elevations and floor plans are read as well as roofs.
fn unlikely_roof(misfits: usize, solved: &Reconstruction) -> Option<Finding> {
    let folds = solved.piece.folds.len();
    (misfits >= FEWEST_MISFITS && 4 * misfits > folds).then(|| {
        let words = format!(
            "{misfits} of {folds} lines between the faces of this figure fit no flat slopes; it may be no roof plan"
        );
        Finding::new(Severity::Warning, "unlikely-roof", words, Place::item(solved.piece.faces[0])).with_hint(
            "name the layers of the roof's outline, ridges, hips and valleys with --layer or [drawing] roof_layers",
        )
    })
}

fn bad_fits(solved: &Reconstruction) -> Vec<Finding> {
    solved
        .piece
        .folds
        .iter()
        .zip(&solved.best.priced.misses)
        .filter(|(_, miss)| **miss > BAD_FIT)
        .map(|(fold, miss)| {
            Finding::new(
                Severity::Warning,
                "non-planar",
                format!(
                    "{} and {} are flat only if the ends of {} move by {} in",
                    solved.piece.faces[fold.left],
                    solved.piece.faces[fold.right],
                    fold.edges[0],
                    decimal(*miss, 1)
                ),
                Place::item(fold.edges[0]).with_point(fold.segment.midpoint()),
            )
            .with_hint("check where its ridge, hip and valley lines meet, or draw the missing line between two slopes")
        })
        .collect()
}

/// Pitches given for a face against each other and against the surface.
fn pitches(roof: &Roof, faces: &[FaceId], hints: &Hints, where_from: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    let differ = |a: f64, b: f64| (a - b).abs() > SAME_PITCH * a.max(b);
    for &face in faces {
        let Some(given) = hints.pitches.get(&face) else { continue };
        let first = &given[0];
        let actual = roof.face(face).pitch;
        let mut tell = |message: String| {
            findings.push(
                Finding::new(Severity::Warning, "contradictory-pitch", message, Place::item(face))
                    .with_hint("correct the note, the job file or the lines of the face"),
            );
        };
        for other in given.iter().skip(1).filter(|o| differ(o.pitch, first.pitch)) {
            tell(format!(
                "{face} has two pitches: {} by {}, {} by {}; the first is used",
                pitch_in_12(first.pitch),
                first.by,
                pitch_in_12(other.pitch),
                other.by
            ));
        }
        if differ(first.pitch, actual) {
            tell(format!(
                "{face} is {} by {} but {} {where_from}",
                pitch_in_12(first.pitch),
                first.by,
                pitch_in_12(actual)
            ));
        }
    }
    findings
}

/// The question and finding of a roof of which only the outline was drawn.
pub(super) fn outline_only(
    roof: &Roof,
    unit: &PlanRoof,
    edges: Vec<EdgeId>,
    why: Option<&(String, Option<crate::geometry::Point2>)>,
) -> (Question, Finding) {
    let face = unit.faces.first().copied().unwrap_or(FaceId(0));
    let planes = unit.faces.iter().map(|&f| (f, roof.face(f).plane)).collect();
    let kinds = edges.iter().map(|&e| (e, EdgeKind::Unknown)).collect();
    let options = vec![AnswerOption {
        words: "nothing is known but the outline".into(),
        lifting: Lifting { planes, kinds, energy: 0.0 },
    }];
    let remedy = "draw the ridge, hip and valley lines on the roof layer, or use 3D faces; to have it roofed over with equal hips, set \
                  default_pitch under [roof] in the job file and name its gables under [[roof.edge]]; for a single sloping face, \
                  add a slope arrow or [[roof.face]] with falls_to";
    let question = Question { edges, words: format!("How does {face} slope? To settle it, {remedy}."), options };
    let at = roof.region(face).exterior.bounds().map(crate::geometry::Box2::center);
    let at = why.and_then(|w| w.1).or(at);
    let place = Place { at, ..Place::item(face) };
    let finding = Finding::new(
        Severity::Blocking,
        "outline-only",
        match why {
            Some((why, _)) => format!("{face} has an outline and nothing else, and no roof over it was found: {why}"),
            None => {
                format!("{face} has an outline and nothing else: ridge, hip and valley lines or heights are missing")
            }
        },
        place,
    )
    .with_hint(remedy);
    (question, finding)
}

/// A kind set by the job that the surface does not bear out.
pub(super) fn contradicted(edge: &RoofEdge, said: EdgeKind, line: usize) -> Finding {
    debug_assert!(!agrees(said, edge.kind));
    let source = if edge.basis == Basis::Measured { "its heights" } else { "the rest of the drawing" };
    Finding::new(
        Severity::Warning,
        "hint-contradiction",
        format!(
            "the job calls {} a {}, but {source} make it a {}; the latter is used",
            edge.id,
            said.words(),
            edge.kind.words()
        ),
        Place { line: Some(line), ..Place::item(edge.id) },
    )
    .with_hint("correct the drawing or the entry of the job file")
}

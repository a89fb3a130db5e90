//! A surveyed roof in words.

use crate::index::EdgeId;
use crate::pipeline::Survey;
use crate::roof::{Basis, Question, Roof};
use crate::units::{decimal, feet_inches, pitch_in_12};
use std::fmt::Write;

/// The report `inspect` prints.
pub(super) fn survey_text(survey: &Survey) -> String {
    let mut out = String::new();
    drawing(&mut out, survey);
    for unit in &survey.roof.units {
        writeln!(out, "\nroof {}: {} faces", unit.id, unit.faces.len()).expect("writing to a string");
        for &face in &unit.faces {
            face_line(&mut out, &survey.roof, face);
        }
        writeln!(out, "  edge   kind         how known   slope length  falls from faces").expect("writing to a string");
        for edge in survey
            .roof
            .edges
            .iter()
            .filter(|e| e.left.or(e.right).is_some_and(|face| survey.roof.face(face).roof == unit.id))
        {
            edge_line(&mut out, &survey.roof, edge.id);
        }
    }
    for question in &survey.roof.questions {
        out += &question_text(question);
    }
    out
}

fn drawing(out: &mut String, survey: &Survey) {
    let drawing = &survey.linework.drawing;
    writeln!(
        out,
        "drawing {} ({}), unit {}: {}",
        drawing.version,
        drawing.code_page,
        survey.linework.frame.units.short(),
        drawing.units_evidence
    )
    .expect("writing to a string");
    writeln!(out, "  entity         seen   used   not roof   refused").expect("writing to a string");
    for (kind, count) in &drawing.entities {
        writeln!(out, "  {kind:<12} {:>6} {:>6} {:>10} {:>9}", count.seen, count.used, count.not_roof, count.refused)
            .expect("writing to a string");
    }
    for candidate in &drawing.candidates {
        let mark = if candidate.chosen { "taken as the roof" } else { "also possible" };
        writeln!(
            out,
            "  {mark}: {} ({} sq ft box, {} paths)",
            candidate.words,
            decimal(candidate.area / 144.0, 0),
            candidate.paths
        )
        .expect("writing to a string");
    }
}

fn face_line(out: &mut String, roof: &Roof, id: crate::index::FaceId) {
    let face = roof.face(id);
    writeln!(
        out,
        "  {id}: pitch {} ({}), {} sq ft on the slope",
        pitch_in_12(face.pitch),
        basis_word(face.pitch_basis),
        decimal(roof.region(id).area() * face.plane.slope_factor() / 144.0, 1)
    )
    .expect("writing to a string");
}

fn edge_line(out: &mut String, roof: &Roof, id: EdgeId) {
    let edge = roof.edge(id);
    let faces: Vec<String> = roof.sides(id).map(|f| f.to_string()).collect();
    write!(
        out,
        "  {:<6} {:<12} {:<11} {:>12}  {}",
        id.to_string(),
        edge.kind.words(),
        basis_word(edge.basis),
        feet_inches(roof.slope_length(id)),
        faces.join(" ")
    )
    .expect("writing to a string");
    if !edge.alternatives.is_empty() {
        let others: Vec<&str> = edge.alternatives.iter().map(|k| k.words()).collect();
        write!(out, "  or {}", others.join(", ")).expect("writing to a string");
    }
    out.push('\n');
}

/// A question with its answers.
pub(super) fn question_text(question: &Question) -> String {
    let edges: Vec<String> = question.edges.iter().map(ToString::to_string).collect();
    let mut out = format!("\nquestion ({}): {}\n", edges.join(" "), question.words);
    for option in &question.options {
        writeln!(out, "  - {}", option.words).expect("writing to a string");
    }
    out
}

/// How a value is known, in one word.
fn basis_word(basis: Basis) -> &'static str {
    match basis {
        Basis::Measured => "measured",
        Basis::Set => "set",
        Basis::Solved => "solved",
        Basis::Assumed => "assumed",
        Basis::Ambiguous => "open",
    }
}

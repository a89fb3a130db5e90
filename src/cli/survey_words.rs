//! A surveyed roof in words.

use super::report::printed;
use crate::index::EdgeId;
use crate::pipeline::Survey;
use crate::roof::{Basis, Roof};
use crate::sheet;
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
    out += &questions_text(survey);
    out
}

fn drawing(out: &mut String, survey: &Survey) {
    let drawing = &survey.linework.drawing;
    writeln!(
        out,
        "drawing {} ({}), unit {}: {}",
        printed(&drawing.version),
        printed(&drawing.code_page),
        survey.linework.frame.units.short(),
        printed(&drawing.units_evidence)
    )
    .expect("writing to a string");
    writeln!(out, "  entity         seen   used   not roof   refused").expect("writing to a string");
    for (kind, count) in &drawing.entities {
        let kind = printed(kind);
        writeln!(out, "  {kind:<12} {:>6} {:>6} {:>10} {:>9}", count.seen, count.used, count.not_roof, count.refused)
            .expect("writing to a string");
    }
    for candidate in &drawing.candidates {
        let mark = if candidate.chosen { "taken as the roof" } else { "also possible" };
        writeln!(
            out,
            "  {mark}: {} ({} sq ft box, {} paths)",
            printed(&candidate.words),
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

/// The open questions with their answers, each with its place in the drawing, and once how to answer.
pub(super) fn questions_text(survey: &Survey) -> String {
    let (roof, frame) = (&survey.roof, &survey.linework.frame);
    let mut out = String::new();
    let mut choices = false;
    for (i, question) in roof.questions.iter().enumerate() {
        let put = sheet::asked(question);
        write!(out, "\nquestion Q{}: {}", i + 1, put.words).expect("writing to a string");
        if let Some(&edge) = question.edges.first() {
            let line = roof.segment(edge);
            let at = frame.plan_to_drawing(line.a.lerp(line.b, 0.5));
            let place = (decimal(at.x, 3), decimal(at.y, 3), frame.units.short());
            write!(out, "\n   at: {edge}, ({}, {}) {}", place.0, place.1, place.2).expect("writing to a string");
        }
        out.push('\n');
        for (letter, words) in ('a'..).zip(&put.options) {
            writeln!(out, "    {letter}) {words}").expect("writing to a string");
        }
        choices |= !put.options.is_empty();
    }
    if choices {
        out += " hint: draw an arrow that points downhill on a face in question, or answer under [[roof.edge]] or [[roof.face]] in \
                the job file; eavesdraft init writes the entries\n";
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

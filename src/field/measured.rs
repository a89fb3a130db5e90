//! The form as it came back against the roof as drawn.
//!
//! Overhangs, pitches, exposure, valley covering and what lies under a deck are settings: [`settle`] puts the measured ones into the
//! job, from which the layout is made anew. Lengths of edges and places of openings are drawing: a difference stays open until
//! the drawing is corrected.

use super::Site;
use super::form::{Drawn, FormRow, What, form, under_words, valley_words};
use super::model::{Difference, Measured};
use super::table;
use crate::error::{Error, Result};
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::job::{EdgeHint, FaceHint, Job, Target, Under, ValleyType};
use crate::units::{Length, parse_length, parse_pitch};

/// A length measured on a roof is no better than this, inches.
const LENGTH_TOLERANCE: f64 = 0.5;
/// Courses are chalked to this, inches.
const EXPOSURE_TOLERANCE: f64 = 0.125;
/// A pitch read with a square is no better than a quarter of an inch in twelve.
const PITCH_TOLERANCE: f64 = 0.25 / 12.0;

/// A measured value of the form.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    item: String,
    what: String,
    measured: String,
    line: usize,
}

/// Reads the form.
///
/// # Errors
/// `form-columns`, `form-syntax`: see the table reader.
pub fn answers(text: &str) -> Result<Vec<Answer>> {
    let lines = table::read(text, &["item", "what", "measured"])?;
    let answer = |line: &table::Line| Answer {
        item: line.cell("item").to_owned(),
        what: line.cell("what").to_owned(),
        measured: line.cell("measured").to_owned(),
        line: line.number,
    };
    Ok(lines.iter().map(answer).collect())
}

fn about(answer: &Answer, row: &FormRow) -> bool {
    answer.item.eq_ignore_ascii_case(&row.item) && answer.what.eq_ignore_ascii_case(row.what.words())
}

/// The measured value of a row; none while the cell is empty.
fn measured(answer: &Answer, row: &FormRow) -> Result<Option<Drawn>> {
    let text = answer.measured.as_str();
    if text.is_empty() {
        return Ok(None);
    }
    // What is written just as it is drawn is that, whatever the rounding of print.
    if text.eq_ignore_ascii_case(&row.drawn.words()) || text.eq_ignore_ascii_case("as drawn") {
        return Ok(Some(row.drawn));
    }
    let refuse = |allowed: &str| {
        let words = format!("{}, {}: '{text}' is not what was asked for", row.item, row.what.words());
        Error::usage("measured-value", words)
            .at(Place::line(answer.line))
            .with_hint(format!("write {allowed}, or 'as drawn'"))
    };
    let length = "a length with its unit, such as 12'-3 1/2\" or 3.75 m";
    match row.drawn {
        Drawn::Inches(_) => parse_length(text).map(Length::inches).map(Drawn::Inches).map_err(|_| refuse(length)),
        Drawn::Pitch(_) => {
            parse_pitch(text).map(|p| Drawn::Pitch(p.rise_per_run())).map_err(|_| refuse("a pitch, such as 6:12"))
        }
        Drawn::Valley(_) => [ValleyType::OpenMetal, ValleyType::ClosedCut, ValleyType::Woven]
            .into_iter()
            .find(|kind| text.eq_ignore_ascii_case(valley_words(*kind)))
            .map(Drawn::Valley)
            .ok_or_else(|| refuse("'open metal', 'closed-cut' or 'woven'")),
        Drawn::Under(_) => [Under::Attic, Under::Soffit, Under::Cathedral, Under::Conditioned]
            .into_iter()
            .find(|under| text.eq_ignore_ascii_case(under_words(*under)))
            .map(Drawn::Under)
            .ok_or_else(|| refuse("'reachable attic', 'soffit only', 'cathedral ceiling' or 'rooms'")),
    }
    .map(Some)
}

/// Whether a measured value is the drawn one as well as it can be measured.
fn same(what: What, drawn: Drawn, found: Drawn) -> bool {
    let exposure = matches!(what, What::ExposureLeft | What::ExposureRight);
    match (drawn, found) {
        (Drawn::Inches(a), Drawn::Inches(b)) => {
            (a - b).abs() <= if exposure { EXPOSURE_TOLERANCE } else { LENGTH_TOLERANCE } + 1e-9
        }
        (Drawn::Pitch(a), Drawn::Pitch(b)) => (a - b).abs() <= PITCH_TOLERANCE + 1e-9,
        (a, b) => a == b,
    }
}

/// Rows of the form with what was measured of them.
fn rows(answers: &[Answer], site: &Site) -> Result<Vec<(FormRow, Option<Drawn>)>> {
    form(site)
        .into_iter()
        .map(|row| {
            // Of two lines for one measure the last one counts.
            let found = match answers.iter().rev().find(|a| about(a, &row)) {
                Some(answer) => measured(answer, &row)?,
                None => None,
            };
            Ok((row, found))
        })
        .collect()
}

/// Puts measured settings into the job: those that differ, and those that so far were only assumed, which thereby are settled.
/// Returns the differences taken in.
///
/// # Errors
/// `measured-value` for a cell that holds something else than was asked for.
pub fn settle(answers: &[Answer], site: &Site, job: &mut Job) -> Result<Vec<Difference>> {
    let mut redrafted = Vec::new();
    let rows = rows(answers, site)?;
    // The exposure is of the whole roof: taken in only where all measures agree.
    let agreed = |kinds: &[What]| {
        let mut found =
            rows.iter().filter(|(row, _)| kinds.contains(&row.what)).filter_map(|(row, v)| v.map(|v| (row.what, v)));
        let first = found.next()?;
        found.all(|(what, value)| same(what, first.1, value)).then_some(first.1)
    };
    let exposure = agreed(&[What::ExposureLeft, What::ExposureRight]);
    for (row, found) in &rows {
        let Some(found) = *found else { continue };
        let differs = !same(row.what, row.drawn, found);
        let value = if differs { found } else { row.drawn };
        if !differs && row.basis != "assumed" {
            continue;
        }
        let taken = match (row.what, value) {
            (What::Overhang, Drawn::Inches(inches)) => {
                let target = Target::Tag(row.item.clone());
                job.roof.edges.push(EdgeHint { overhang: Some(inches), ..EdgeHint::of(target, 0) });
                true
            }
            (What::Pitch, Drawn::Pitch(pitch)) => set_face(job, &row.item, |hint| hint.pitch = Some(pitch)),
            (What::Access, Drawn::Under(under)) => set_face(job, &row.item, |hint| hint.under = Some(under)),
            (What::ExposureLeft | What::ExposureRight, Drawn::Inches(inches)) if exposure.is_some() => {
                let shingle = &mut job.products.shingle;
                shingle.given = true;
                if differs {
                    shingle.value.exposure = Length::from_inches(inches);
                }
                true
            }
            (What::ValleyType, Drawn::Valley(kind)) => {
                let target = Target::Tag(row.item.clone());
                job.roof.edges.push(EdgeHint { valley_type: Some(kind), ..EdgeHint::of(target, 0) });
                true
            }
            _ => false,
        };
        if taken && differs {
            redrafted.push(difference(row, found));
        }
    }
    // Every deck was looked at: the general setting stands for none of them any more.
    let looked_at = |(row, found): &(FormRow, Option<Drawn>)| row.what != What::Access || found.is_some();
    if rows.iter().all(looked_at) && rows.iter().any(|(row, _)| row.what == What::Access) {
        job.roof.under.given = true;
    }
    Ok(redrafted)
}

/// Changes what is known about a face; a hint by its tag is kept, else one is added.
fn set_face(job: &mut Job, tag: &str, change: impl FnOnce(&mut FaceHint)) -> bool {
    let target = Target::Tag(tag.to_owned());
    let hints = &mut job.roof.faces;
    let at = hints.iter().position(|h| h.target == target).unwrap_or_else(|| {
        hints.push(FaceHint { target, pitch: None, falls_to: None, under: None, line: 0 });
        hints.len() - 1
    });
    change(&mut hints[at]);
    true
}

fn difference(row: &FormRow, found: Drawn) -> Difference {
    Difference {
        item: row.item.clone(),
        what: row.what.words().to_owned(),
        drawn: row.drawn.words(),
        measured: found.words(),
    }
}

/// Compares the layout as redrafted with what was measured.
///
/// # Errors
/// `measured-value` for a cell that holds something else than was asked for.
pub fn compare(answers: &[Answer], redrafted: Vec<Difference>, site: &Site) -> Result<Outcome<Measured>> {
    let rows = rows(answers, site)?;
    let mut findings = Vec::new();
    let mut open = Vec::new();
    for (row, found) in &rows {
        let Some(found) = *found else { continue };
        if !same(row.what, row.drawn, found) {
            open.push(difference(row, found));
        }
    }
    for found in &open {
        let words = format!("{}: drawn {}, measured {}", found.what, found.drawn, found.measured);
        findings.push(
            Finding::new(Severity::Warning, "measured-differs", words, Place::item(&found.item))
                .with_hint("correct the drawing or measure again; until then nothing is for cutting"),
        );
    }
    let answered = rows.iter().filter(|(_, found)| found.is_some()).count();
    if answered < rows.len() {
        let first = rows.iter().find(|(_, found)| found.is_none());
        let first = first.map(|(row, _)| format!("{}, {}", row.item, row.what.words())).unwrap_or_default();
        let words = format!("{} of {} measures are missing, the first: {first}", rows.len() - answered, rows.len());
        findings.push(
            Finding::new(Severity::Warning, "measured-missing", words, Place::none())
                .with_hint("fill in every row of the form; until then nothing is for cutting"),
        );
    }
    for answer in answers.iter().filter(|a| !a.measured.is_empty() && !rows.iter().any(|(row, _)| about(a, row))) {
        let words = format!("the form measures {}, '{}', which this layout does not ask for", answer.item, answer.what);
        findings.push(
            Finding::new(Severity::Warning, "measured-unknown", words, Place::line(answer.line))
                .with_hint("use the form written with this drawing"),
        );
    }
    Ok(Outcome { value: Measured { asked: rows.len(), answered, redrafted, open }, findings })
}

//! Findings and errors as a person reads them on the terminal.

use crate::error::{Class, Error};
use crate::finding::{Finding, Place, Severity};
use crate::import::SourceFrame;
use crate::units::decimal;
use std::fmt::Write;

/// Exit statuses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Made.
    Made = 0,
    /// A person must settle something.
    Refused = 1,
    /// Wrong command line, job file or catalogue.
    Usage = 2,
    /// Unreadable input or unwritable output.
    Unreadable = 3,
}

impl From<Class> for Exit {
    fn from(class: Class) -> Self {
        match class {
            Class::Refused => Self::Refused,
            Class::Usage => Self::Usage,
            Class::Unreadable => Self::Unreadable,
        }
    }
}

/// An error with its code first, for scripts that grep.
#[must_use]
pub fn error_text(error: &Error, file: &str) -> String {
    let mut text = format!("error[{}]: {}", error.code, error.message);
    let place = place_words(&error.place, None);
    if !file.is_empty() || !place.is_empty() {
        let separator = if file.is_empty() || place.is_empty() { "" } else { ": " };
        write!(text, "\n   at: {file}{separator}{place}").expect("writing to a string");
    }
    if let Some(hint) = &error.hint {
        write!(text, "\n hint: {hint}").expect("writing to a string");
    }
    text.push('\n');
    text
}

/// Findings, the gravest first, each with its place and hint.
#[must_use]
pub fn findings_text(findings: &[Finding], frame: Option<&SourceFrame>) -> String {
    let mut order: Vec<&Finding> = findings.iter().collect();
    order.sort_by_key(|f| std::cmp::Reverse(f.severity));
    let mut text = String::new();
    for finding in order {
        let word = severity_word(finding.severity);
        writeln!(text, "{word}[{}]: {}", finding.code, finding.message).expect("writing to a string");
        let place = place_words(&finding.place, frame);
        if !place.is_empty() {
            writeln!(text, "   at: {place}").expect("writing to a string");
        }
        if let Some(hint) = &finding.hint {
            writeln!(text, " hint: {hint}").expect("writing to a string");
        }
    }
    text
}

/// The word printed before a finding.
#[must_use]
pub fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Note => "note",
        Severity::Ignored => "ignored",
        Severity::Repaired => "repaired",
        Severity::Assumed => "assumed",
        Severity::Cold => "left cold",
        Severity::Warning => "warning",
        Severity::Blocking => "must settle",
    }
}

/// A place in words; points are turned back to drawing coordinates when the frame is known.
fn place_words(place: &Place, frame: Option<&SourceFrame>) -> String {
    let mut words = Vec::new();
    if let Some(item) = &place.item {
        words.push(item.clone());
    }
    if let Some(layer) = &place.layer {
        words.push(format!("layer {layer}"));
    }
    if let Some(handle) = &place.handle {
        words.push(format!("handle {handle}"));
    }
    if !place.block_path.is_empty() {
        words.push(format!("block {}", place.block_path.join(" > ")));
    }
    if let Some(line) = place.line {
        words.push(format!("line {line}"));
    }
    if let Some(at) = place.at {
        let (point, unit) = frame.map_or((at, "in"), |f| (f.plan_to_drawing(at), f.units.short()));
        words.push(format!("({}, {}) {unit}", decimal(point.x, 3), decimal(point.y, 3)));
    }
    words.join(", ")
}

/// Findings with their points in drawing coordinates, for JSON.
#[must_use]
pub fn findings_in_drawing(findings: &[Finding], frame: &SourceFrame) -> Vec<Finding> {
    findings
        .iter()
        .cloned()
        .map(|mut finding| {
            finding.place.at = finding.place.at.map(|at| frame.plan_to_drawing(at));
            finding
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point2;

    #[test]
    fn the_gravest_finding_comes_first_with_its_hint() {
        let findings = [
            Finding::new(Severity::Note, "small", "a small thing", Place::none()),
            Finding::new(Severity::Blocking, "big", "a big thing", Place::at(Point2::new(1.0, 2.0)))
                .with_hint("do this"),
        ];
        let text = findings_text(&findings, None);
        assert_eq!(
            text,
            "must settle[big]: a big thing\n   at: (1, 2) in\n hint: do this\nnote[small]: a small thing\n"
        );
    }
}

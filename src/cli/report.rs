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
    let mut text = format!("error[{}]: {}", error.code, printed(&error.message));
    let (file, place) = (printed(file), printed(&place_words(&error.place, None)));
    if !file.is_empty() || !place.is_empty() {
        let separator = if file.is_empty() || place.is_empty() { "" } else { ": " };
        write!(text, "\n   at: {file}{separator}{place}").expect("writing to a string");
    }
    if let Some(hint) = &error.hint {
        write!(text, "\n hint: {}", printed(hint)).expect("writing to a string");
    }
    text.push('\n');
    text
}

/// Findings of one code from which on they are counted instead of printed one by one.
const GROUPED: usize = 2;

/// Warnings of one code that are all printed whole; of more than that, the first few.
const MOST_WARNINGS: usize = 6;
const SHOWN_WARNINGS: usize = 3;
/// Places of the others that are named in the line.
const MOST_PLACES: usize = 20;

/// Findings, the gravest first, each with its place and hint. Several notes, repairs or assumptions of one code become one line
/// with their number, and their hint only where it is the same for all; of many warnings the first are printed and the others named by their
/// places. JSON output keeps every one.
#[must_use]
pub fn findings_text(findings: &[Finding], frame: Option<&SourceFrame>) -> String {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for finding in findings {
        let same = |group: &&mut Vec<&Finding>| group[0].code == finding.code && group[0].severity == finding.severity;
        match groups.iter_mut().find(same) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups.sort_by_key(|group| std::cmp::Reverse(group[0].severity));
    let mut text = String::new();
    for group in groups {
        // What a person must settle or what stays cold is never folded away.
        let severity = group[0].severity;
        if severity == Severity::Warning && group.len() > MOST_WARNINGS {
            group[..SHOWN_WARNINGS].iter().for_each(|finding| one_finding(&mut text, finding, frame));
            further_warnings(&mut text, &group[SHOWN_WARNINGS..], frame);
        } else if severity >= Severity::Cold || group.len() < GROUPED {
            group.iter().for_each(|finding| one_finding(&mut text, finding, frame));
        } else {
            many_findings(&mut text, &group, frame);
        }
    }
    text
}

fn one_finding(text: &mut String, finding: &Finding, frame: Option<&SourceFrame>) {
    let word = severity_word(finding.severity);
    writeln!(text, "{word}[{}]: {}", finding.code, printed(&finding.message)).expect("writing to a string");
    let place = place_words(&finding.place, frame);
    if !place.is_empty() {
        writeln!(text, "   at: {}", printed(&place)).expect("writing to a string");
    }
    // The questions printed after the findings say this in fewer words.
    let asked_below = finding.code == "ambiguous-edge";
    if let Some(hint) = finding.hint.as_ref().filter(|_| !asked_below) {
        writeln!(text, " hint: {}", printed(hint)).expect("writing to a string");
    }
}

/// The places of warnings that say what the ones before them said.
fn further_warnings(text: &mut String, group: &[&Finding], frame: Option<&SourceFrame>) {
    let named = |finding: &&Finding| finding.place.item.clone().unwrap_or_else(|| place_words(&finding.place, frame));
    let mut places: Vec<String> = group.iter().map(named).filter(|place| !place.is_empty()).collect();
    if places.len() > MOST_PLACES {
        places.truncate(MOST_PLACES);
        places.push("...".to_owned());
    }
    let (word, code) = (severity_word(group[0].severity), group[0].code);
    writeln!(text, "{word}[{code}]: {} more like these; whole with --json", group.len()).expect("writing to a string");
    if !places.is_empty() {
        writeln!(text, "   at: {}", printed(&places.join(", "))).expect("writing to a string");
    }
}

fn many_findings(text: &mut String, group: &[&Finding], frame: Option<&SourceFrame>) {
    let first = group[0];
    let word = severity_word(first.severity);
    if first.code == "assumed-setting" {
        // Each is a key of the job file: naming the keys is enough to find them.
        let keys: Vec<&str> = group.iter().filter_map(|f| f.place.item.as_deref()).collect();
        writeln!(text, "{word}[{}]: {} settings are defaults: {}", first.code, group.len(), printed(&keys.join(", ")))
            .expect("writing to a string");
        text.push_str(" hint: set them in the job file; `eavesdraft init` lists each with its default\n");
        return;
    }
    writeln!(text, "{word}[{}]: {} times; the first: {}", first.code, group.len(), printed(&first.message))
        .expect("writing to a string");
    let place = place_words(&first.place, frame);
    if !place.is_empty() {
        writeln!(text, "   at: {}; the others with --json", printed(&place)).expect("writing to a string");
    }
    if let Some(hint) = &first.hint
        && group.iter().all(|finding| finding.hint == first.hint)
    {
        writeln!(text, " hint: {}", printed(hint)).expect("writing to a string");
    }
}

/// Text from a drawing or a path made safe for a terminal: control characters, and those that turn the direction of writing,
/// are shown as their code.
#[must_use]
pub fn printed(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() || turns(c) {
            write!(shown, "\\u{{{:x}}}", u32::from(c)).expect("writing to a string");
        } else {
            shown.push(c);
        }
    }
    shown
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
    #[test]
    fn of_many_warnings_the_first_are_whole_and_the_others_placed() {
        let warning =
            |i: usize| Finding::new(Severity::Warning, "bent", format!("E{i} is bent"), Place::item(format!("E{i}")));
        let six: Vec<Finding> = (1..=6).map(warning).collect();
        assert_eq!(findings_text(&six, None).matches("is bent").count(), 6);
        let eight: Vec<Finding> = (1..=8).map(warning).collect();
        let text = findings_text(&eight, None);
        assert_eq!(text.matches("is bent").count(), 3);
        assert!(
            text.ends_with("warning[bent]: 5 more like these; whole with --json\n   at: E4, E5, E6, E7, E8\n"),
            "{text}"
        );
    }
}

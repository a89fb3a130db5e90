//! Repairs become findings, many of one kind together.

use crate::finding::{Finding, Place, Severity};
use crate::geometry::Point2;

/// More repairs of one kind than this are told as one finding with their number and the largest.
const TOLD_ONE_BY_ONE: usize = 6;

/// One repair.
#[derive(Debug, Clone, PartialEq)]
struct Entry {
    severity: Severity,
    code: &'static str,
    words: String,
    at: Point2,
    size: f64,
}

/// What was repaired or set aside so far.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Report {
    entries: Vec<Entry>,
    findings: Vec<Finding>,
}

impl Report {
    /// Notes a repair of `size` inches at a point; `words` say what was done, with the size.
    pub(super) fn add(&mut self, severity: Severity, code: &'static str, words: String, at: Point2, size: f64) {
        self.entries.push(Entry { severity, code, words, at, size });
    }

    /// Takes over all of another report.
    pub(super) fn take(&mut self, other: Self) {
        self.entries.extend(other.entries);
        self.findings.extend(other.findings);
    }

    /// Takes over what another report says about moved points; cuts and doubles it leaves behind.
    pub(super) fn take_moves(&mut self, other: Self) {
        self.entries.extend(other.entries.into_iter().filter(|e| e.code == "snapped-end"));
        self.findings.extend(other.findings);
    }

    /// Notes a finding that stands by itself.
    pub(super) fn push(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// The findings: repairs by code, each code largest first, long lists told as one.
    pub(super) fn finish(mut self) -> Vec<Finding> {
        self.entries.sort_by(|a, b| {
            (b.severity, a.code)
                .cmp(&(a.severity, b.code))
                .then(b.size.total_cmp(&a.size))
                .then(super::draft::by_place(a.at, b.at))
                .then_with(|| a.words.cmp(&b.words))
        });
        let mut told = Vec::new();
        for entries in self.entries.chunk_by(|a, b| (a.code, a.severity) == (b.code, b.severity)) {
            if entries.len() <= TOLD_ONE_BY_ONE {
                told.extend(entries.iter().map(|e| Finding::new(e.severity, e.code, e.words.clone(), Place::at(e.at))));
            } else {
                let largest = &entries[0];
                let message = format!("{} times; the largest: {}", entries.len(), largest.words);
                told.push(Finding::new(largest.severity, largest.code, message, Place::at(largest.at)));
            }
        }
        told.extend(self.findings);
        told
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_of_a_kind_are_one_finding_with_the_largest() {
        let mut report = Report::default();
        for i in 0..20_u32 {
            let size = f64::from(i);
            report.add(Severity::Repaired, "snapped-end", format!("moved {size} in"), Point2::new(size, 0.0), size);
        }
        report.add(Severity::Ignored, "dangling-line", "a line".into(), Point2::default(), 1.0);
        let findings = report.finish();
        assert_eq!(findings.len(), 2);
        assert_eq!(findings[0].message, "20 times; the largest: moved 19 in");
        assert_eq!(findings[0].place.at, Some(Point2::new(19.0, 0.0)));
    }
}

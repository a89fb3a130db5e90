//! Findings in the order met, with a bound for files that are wrong in a million places.

use super::record::Refusal;
use crate::finding::{Finding, Place, Severity};
use std::collections::BTreeMap;

/// Findings of one code beyond this are counted, not listed: nobody reads the hundredth, and memory stays bounded.
const MOST_OF_A_CODE: usize = 50;

/// Gathers findings.
#[derive(Debug, Default)]
pub(super) struct Ledger {
    findings: Vec<Finding>,
    refusals: usize,
    counts: BTreeMap<&'static str, (usize, Severity)>,
}

impl Ledger {
    /// Takes a finding down.
    pub fn add(&mut self, finding: Finding) {
        let count = self.counts.entry(finding.code).or_insert((0, finding.severity));
        count.0 += 1;
        if count.0 <= MOST_OF_A_CODE {
            self.findings.push(finding);
        }
    }

    /// Whether a finding of this code was taken down.
    pub fn has(&self, code: &str) -> bool {
        self.counts.contains_key(code)
    }

    /// Takes down that an entity was refused.
    pub fn refusal(&mut self, refusal: &Refusal, kind: &str, place: Place) {
        self.refusals += 1;
        let words = format!("this {kind} was not read: {}", refusal.words);
        self.add(Finding::new(Severity::Warning, refusal.code, words, place));
    }

    /// How many entities were refused and why the first was, in words; empty if none was.
    pub fn refused_words(&self) -> String {
        if self.refusals == 0 {
            return String::new();
        }
        let first = self.findings.iter().find(|finding| finding.message.contains("was not read"));
        let words = first.map_or(String::new(), |finding| {
            let line = finding.place.line.map_or(String::new(), |line| format!(" (line {line})"));
            format!(", the first because: {}{line}", finding.message)
        });
        let entities =
            if self.refusals == 1 { "1 entity was".to_owned() } else { format!("{} entities were", self.refusals) };
        format!("; {entities} refused{words}")
    }

    /// Takes over the findings of another ledger.
    pub fn append(&mut self, other: Self) {
        self.refusals += other.refusals;
        for finding in other.close() {
            self.add(finding);
        }
    }

    /// All findings, with a last word on those not listed.
    pub fn close(mut self) -> Vec<Finding> {
        for (code, (count, severity)) in self.counts {
            if let Some(more) = count.checked_sub(MOST_OF_A_CODE).filter(|&more| more > 0) {
                let words = format!("{more} more findings like '{code}' are not listed");
                self.findings.push(Finding::new(severity, code, words, Place::none()));
            }
        }
        self.findings
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_of_a_kind_end_in_a_count() {
        let mut ledger = Ledger::default();
        for _ in 0..1000 {
            ledger.refusal(&Refusal::new("bad-number", "x"), "LINE", Place::none());
        }
        let findings = ledger.close();
        assert_eq!(findings.len(), 51);
        assert!(findings[50].message.starts_with("950 more"));
    }
}

//! What no number settles: clauses a reviewer will ask about, all from memory, each for the authority to decide.

use super::element::in_use;
use super::model::{SourceLabel, Verdict};
use super::rules::{Judged, Rule};
use crate::catalog::Element;
use crate::courses::Courses;
use crate::job::Job;
use crate::wiring::Wiring;

const fn asked(code: &'static str, clause: &'static str, words: &'static str, remedy: &'static str) -> Rule {
    Rule { code, words, clause: Some(clause), source: SourceLabel::Memory, unit: "", remedy }
}

const LEADS_UNDER_COVERING: Rule = asked(
    "leads-under-covering",
    "426.23(B)",
    "leads lie bare under the shingles: outside a raceway only where the element's listing says so",
    "show the listing to the authority, or run the leads in raceway",
);

const HIDDEN_CONNECTIONS: Rule = asked(
    "hidden-connections",
    "300.15",
    "connections of leads and jumpers are hidden under the shingles: only as part of a listed assembly",
    "show the listing of the connection kit to the authority",
);

const BOX_ACCESS: Rule = asked(
    "box-access",
    "314.29",
    "every box stays reachable without opening the building or the roof",
    "agree the places of the boxes with the authority",
);

const PEOPLE_PROTECTION: Rule = asked(
    "people-protection",
    "210.8(F)",
    "whether a dwelling's outdoor circuits want ground-fault protection of people beside that of equipment depends on the edition",
    "ask the authority which protection the adopted edition wants",
);

const LABELS: Rule = asked(
    "labels",
    "426.13, 426.25",
    "caution labels at panel, disconnect, boxes, attic hatch and eave, and the element's own marking at its leads",
    "order the labels in the material list",
);

const CONTROLS: Rule = asked(
    "controls",
    "energy code",
    "controls switch heating off on a dry or warm day",
    "set the sensor and controller as the local energy code asks",
);

/// One line for each. What hangs on the element's listing says what the catalogue states of it.
pub(super) fn judge(courses: &Courses, wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    let listings = listings(courses, wiring, job);
    for rule in [LEADS_UNDER_COVERING, HIDDEN_CONNECTIONS] {
        out.push(rule.judge("whole roof", Verdict::Authority, 1.0, None, listings.clone()));
    }
    for rule in [BOX_ACCESS, PEOPLE_PROTECTION, LABELS, CONTROLS] {
        out.push(rule.judge("whole roof", Verdict::Authority, 1.0, None, "to be shown on the plans".to_owned()));
    }
}

fn listings(courses: &Courses, wiring: &Wiring, job: &Job) -> String {
    let said = |element: &Element| match (&element.listing, element.listed_under_roof_covering) {
        (Some(listing), true) => format!("{}: {listing}, use under a roof covering included", element.key),
        (Some(listing), false) => format!("{}: {listing}, which leaves use under a roof covering out", element.key),
        (None, _) => format!("{}: the catalogue names no listing", element.key),
    };
    in_use(courses, wiring, job).into_iter().map(said).collect::<Vec<_>>().join("; ")
}

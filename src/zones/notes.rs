//! What a person must know about the zones as a whole: hints without effect, and values nobody gave.

use super::layout::kind_for;
use super::model::{FaceLayout, Zone};
use super::{Hints, Inputs};
use crate::finding::{Finding, Place, Severity};
use crate::index::EdgeId;
use crate::job::{Job, ValleyType};
use crate::roof::{Basis, Roof};
use crate::terms::EdgeKind;
use crate::units::decimal;

/// Hints that ask for heat where none can lie.
pub(super) fn note_hints_without_effect(
    roof: &Roof,
    layouts: &[FaceLayout],
    hints: &Hints,
    findings: &mut Vec<Finding>,
) {
    for (&edge, hint) in hints.iter().filter(|(_, hint)| hint.heated == Some(true)) {
        let kind = roof.edge(edge).kind;
        let possible = layouts.iter().any(|layout| {
            layout.edges.iter().any(|side| side.edge == edge)
                && matches!(kind_for(roof, layout.face, edge), EdgeKind::Eave | EdgeKind::Valley)
        });
        if !possible {
            findings.push(
                Finding::new(
                    Severity::Warning,
                    "heat-not-possible",
                    format!(
                        "the job asks to heat {edge}, which is a {}; only eaves and valleys are heated",
                        kind.words()
                    ),
                    Place { line: Some(hint.line), ..Place::item(edge).with_point(roof.segment(edge).midpoint()) },
                )
                .with_hint("name an eave or a valley, or say what kind this edge is"),
            );
        }
    }
}

/// The overhang and the rule that nobody gave, once for all zones that hang on them.
pub(super) fn note_assumptions(roof: &Roof, zones: &[Zone], job: &Job, findings: &mut Vec<Finding>) {
    let by_rule: Vec<&Zone> = zones.iter().filter(|zone| zone.reach_basis == Basis::Assumed).collect();
    let Some(first) = by_rule.first() else { return };
    let edges: Vec<String> = by_rule.iter().flat_map(|zone| &zone.edges).map(EdgeId::to_string).collect();
    let place = || Place::item(first.edges[0]).with_point(roof.segment(first.edges[0]).midpoint());
    if by_rule.iter().any(|zone| zone.reach_words.contains(super::reach::ASSUMED)) {
        findings.push(
            Finding::new(
                Severity::Assumed,
                "assumed-overhang",
                format!(
                    "no wall line and no overhang is given for {}: {} in from the drip edge to the exterior wall line is assumed",
                    edges.join(", "),
                    decimal(job.roof.overhang.value, 2)
                ),
                place(),
            )
            .with_hint("set overhang in the job, or draw the exterior walls on their own layer"),
        );
    }
    if !job.heat.reach_rule.given {
        findings.push(
            Finding::new(
                Severity::Assumed,
                "assumed-reach-rule",
                format!(
                    "the edition of the residential code is not given: {} is assumed",
                    super::barrier_rule(job.heat.reach_rule.value).name
                ),
                place(),
            )
            .with_hint("set reach_rule to the edition in force at the site"),
        );
    }
}

/// How the valleys of heated faces are covered: what is not known, and where metal or end nails reach further than the plain setback.
pub(super) fn note_valley_type(inputs: &Inputs, layouts: &[FaceLayout], zones: &[Zone], findings: &mut Vec<Finding>) {
    let job = inputs.job;
    let mut sides: Vec<(EdgeId, f64)> = Vec::new();
    for layout in layouts.iter().filter(|l| zones.binary_search_by_key(&l.face, |zone| zone.face).is_ok()) {
        let valleys = layout.edges.iter().filter(|edge| edge.kind == EdgeKind::Valley);
        sides.extend(valleys.map(|edge| (edge.edge, inputs.valley_nails(edge.edge, layout.face))));
    }
    sides.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
    sides.dedup_by_key(|(edge, _)| *edge);
    let place = |edge: EdgeId| Place::item(edge).with_point(inputs.roof.segment(edge).midpoint());
    let names = |edges: &[EdgeId]| edges.iter().map(EdgeId::to_string).collect::<Vec<_>>().join(", ");
    let kept = decimal(job.heat.valley_setback, 2);
    let valleys = || sides.iter().map(|(edge, _)| *edge);
    let unknown: Vec<EdgeId> = valleys().filter(|&e| inputs.valley_type(e) == ValleyType::Unknown).collect();
    if let Some(&first) = unknown.first() {
        let all = names(&unknown);
        let words = format!("how {all} is covered is not given: elements keep {kept} in from the valley line");
        findings.push(
            Finding::new(Severity::Assumed, "assumed-valley-type", words, place(first))
                .with_hint("set valley_type; look for lining metal and end nails further out before laying"),
        );
    }
    let through = |edge: EdgeId| inputs.hints.get(&edge).is_some_and(|hint| hint.through.is_some());
    let both_cut: Vec<EdgeId> =
        valleys().filter(|&e| inputs.valley_type(e) == ValleyType::ClosedCut && !through(e)).collect();
    if let Some(&first) = both_cut.first() {
        let words = format!(
            "which side of {} runs through is not given: both sides are laid as the cut side",
            names(&both_cut)
        );
        findings.push(
            Finding::new(Severity::Assumed, "assumed-cut-side", words, place(first))
                .with_hint("name the face whose shingles run through: through = \"F2\" in an [[roof.edge]] entry"),
        );
    }
    for (edge, nails) in sides.into_iter().filter(|(_, nails)| *nails > job.heat.valley_setback) {
        let reach = decimal(nails, 2);
        let (severity, words, hint) = if job.heat.valley_nails_moved {
            let words = format!(
                "metal or end nails of {edge} usually reach {reach} in from its line; elements keep {kept} in, and the job says that the nails are moved"
            );
            (
                Severity::Warning,
                words,
                "keep every nail out of the elements' way there, and look at each valley before covering it",
            )
        } else {
            let words = format!(
                "metal or end nails of {edge} reach {reach} in from its line: elements keep that far off, not {kept} in"
            );
            (
                Severity::Note,
                words,
                "valley_nails_moved = true under [heat] holds the plain setback where the crew moves the nails",
            )
        };
        findings.push(Finding::new(severity, "valley-nails", words, place(edge)).with_hint(hint));
    }
}

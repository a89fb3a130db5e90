//! What a person must know about the zones as a whole: hints without effect, and values nobody gave.

use super::Hints;
use super::layout::kind_for;
use super::model::{FaceLayout, Zone};
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

/// How the valleys of heated faces are covered: their metal or end nails may reach further than the setback kept here.
pub(super) fn note_valley_type(
    roof: &Roof,
    layouts: &[FaceLayout],
    zones: &[Zone],
    job: &Job,
    findings: &mut Vec<Finding>,
) {
    let mut valleys: Vec<EdgeId> = layouts
        .iter()
        .filter(|layout| zones.binary_search_by_key(&layout.face, |zone| zone.face).is_ok())
        .flat_map(|layout| layout.edges.iter().filter(|edge| edge.kind == EdgeKind::Valley).map(|edge| edge.edge))
        .collect();
    valleys.sort_unstable();
    valleys.dedup();
    let Some(&first) = valleys.first() else { return };
    let names: Vec<String> = valleys.iter().map(EdgeId::to_string).collect();
    let kept = decimal(job.heat.valley_setback, 2);
    let place = Place::item(first).with_point(roof.segment(first).midpoint());
    let (covered, reach) = match job.roof.valley_type.value {
        ValleyType::Unknown => {
            let words = format!(
                "how {} is covered is not given: elements keep {kept} in from the valley line",
                names.join(", ")
            );
            findings.push(
                Finding::new(Severity::Assumed, "assumed-valley-type", words, place)
                    .with_hint("set valley_type; look for lining metal and end nails further out before laying"),
            );
            return;
        }
        ValleyType::OpenMetal => ("an open valley of 24 in lining", 13.0),
        ValleyType::ClosedCut => ("a closed-cut valley", 14.0),
        ValleyType::Woven => ("a woven valley", 14.0),
    };
    if job.heat.valley_setback < reach {
        let words = format!(
            "{} is {covered}, whose metal or end nails may reach {} in from its line; elements keep {kept} in",
            names.join(", "),
            decimal(reach, 0)
        );
        findings.push(Finding::new(Severity::Warning, "valley-nails", words, place).with_hint(format!(
            "set valley_setback = \"{} in\", or keep nails out of the elements' way there",
            decimal(reach, 0)
        )));
    }
}

//! What a panel too small has to do without. A circuit it cannot carry is not installed: its pieces stay cold, and what is left is wired
//! as if they had never been laid.

use super::model::{Circuit, Shed, Unfed, Wiring};
use crate::courses::Courses;
use crate::electrical::CONTINUOUS_FACTOR;
use crate::finding::{Finding, Place, Severity};
use crate::index::{CircuitId, SegmentId, ZoneId};
use crate::job::{Job, Panel};
use std::collections::BTreeSet;

/// A value this much over its limit, as a share, still counts as equal.
const EQUAL: f64 = 1e-6;

/// Circuits to leave out until the rest fits the panel: the highest priority number first, then the last circuit. Empty without a
/// panel, or when all fits.
pub(super) fn too_much(wiring: &Wiring, courses: &Courses, job: &Job) -> Vec<Shed> {
    let Some(panel) = &job.electrical.panel else { return Vec::new() };
    let mut left: Vec<&Circuit> = wiring.circuits.iter().collect();
    left.sort_by_key(|c| (c.priority, c.id));
    let mut shed = Vec::new();
    while !fits(&left, panel, job.electrical.poles()) {
        let Some(last) = left.pop() else { break };
        shed.push(described(last, wiring, courses));
    }
    shed
}

fn fits(circuits: &[&Circuit], panel: &Panel, poles: u32) -> bool {
    let amps: f64 = circuits.iter().map(|c| c.amps).sum();
    let spaces = circuits.len() as u64 * u64::from(poles);
    CONTINUOUS_FACTOR * amps <= panel.spare_amps * (1.0 + EQUAL) && spaces <= u64::from(panel.spaces)
}

fn described(circuit: &Circuit, wiring: &Wiring, courses: &Courses) -> Shed {
    let chains = circuit.chains.iter().map(|id| &wiring.chains[id.index()]);
    let mut segments: Vec<SegmentId> = chains.flat_map(|chain| chain.segments.iter().copied()).collect();
    segments.sort();
    let zones: BTreeSet<ZoneId> = segments.iter().map(|id| courses.segments[id.index()].zone).collect();
    Shed {
        circuit: circuit.id,
        tag: circuit.tag.clone(),
        priority: circuit.priority,
        amps: circuit.amps,
        watts: circuit.watts,
        segments,
        zones: zones.into_iter().collect(),
    }
}

/// Marks what is shed in the wiring of what is left: numbered on behind its circuits, the first to go last, and each piece not fed.
pub(super) fn mark(mut shed: Vec<Shed>, courses: &Courses, job: &Job, wiring: &mut Wiring) -> Option<Finding> {
    let (first, panel) = (shed.first()?.priority, job.electrical.panel.as_ref()?);
    let all = wiring.circuits.len() + shed.len();
    for (at, item) in shed.iter_mut().enumerate() {
        item.circuit = CircuitId::new(all - 1 - at);
        item.tag = item.circuit.to_string();
        wiring.unfed.extend(item.segments.iter().map(|&segment| Unfed {
            segment,
            zone: courses.segments[segment.index()].zone,
            why: format!(
                "not installed: panel {} cannot carry circuit {} (priority {})",
                panel.tag, item.tag, item.priority
            ),
        }));
    }
    wiring.unfed.sort_by_key(|u| u.segment);
    let words: Vec<String> = shed.iter().map(words_of).collect();
    let message = format!(
        "panel {} cannot carry all circuits; not installed, the first to go first: {}",
        panel.tag,
        words.join("; ")
    );
    let hint = if shed.iter().all(|s| s.priority == first) && wiring.circuits.iter().all(|c| c.priority == first) {
        "have the service enlarged, or set `priority` under [[roof.edge]] so that the least needed goes first"
    } else {
        "have the service enlarged, or heat less"
    };
    let finding = Finding::new(Severity::Warning, "panel-sheds", message, Place::item(&shed[0].tag)).with_hint(hint);
    wiring.shed = shed;
    Some(finding)
}

fn words_of(shed: &Shed) -> String {
    let zones: Vec<String> = shed.zones.iter().map(ToString::to_string).collect();
    format!("{} (priority {}, {:.1} A, of {})", shed.tag, shed.priority, shed.amps, zones.join(" "))
}

#[cfg(test)]
mod tests {
    use super::super::hand_made::{courses, wiring};
    use super::*;
    use crate::catalog::Catalogue;

    /// Two circuits of 5 A on 7 A of spare: 12.5 A are wanted; the second priority goes, 6.25 A stay. Two poles each: three spaces
    /// carry one of them.
    #[test]
    fn the_lowest_priority_goes_first() {
        let mut two = wiring();
        let first = two.circuits[0].clone();
        let second =
            Circuit { id: CircuitId::new(1), tag: "C2".into(), priority: 2, chains: Vec::new(), ..first.clone() };
        two.circuits = vec![Circuit { priority: 1, ..first }, second];
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        let shed = |job: &Job, wiring: &Wiring| -> Vec<String> {
            too_much(wiring, &courses(), job).into_iter().map(|s| s.tag).collect()
        };
        assert_eq!(shed(&job, &two), Vec::<String>::new());
        let panel =
            Panel { tag: "P1".into(), spaces: 8, spare_amps: 7.0, bus_amps: None, service: None, home_run: 120.0 };
        job.electrical.panel = Some(panel.clone());
        assert_eq!(shed(&job, &two), ["C2"]);
        two.circuits[0].priority = 3;
        assert_eq!(shed(&job, &two), ["C1"]);
        job.electrical.panel = Some(Panel { spare_amps: 6.0, ..panel.clone() });
        assert_eq!(shed(&job, &two), ["C1", "C2"]);
        job.electrical.panel = Some(Panel { spare_amps: 100.0, spaces: 3, ..panel.clone() });
        assert_eq!(shed(&job, &two), ["C1"]);
        job.electrical.panel = Some(Panel { spare_amps: 12.5, spaces: 4, ..panel });
        assert_eq!(shed(&job, &two), Vec::<String>::new());
    }

    #[test]
    fn what_is_shed_is_numbered_behind_what_stays_and_not_fed() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        let panel =
            Panel { tag: "P1".into(), spaces: 8, spare_amps: 1.0, bus_amps: None, service: None, home_run: 120.0 };
        job.electrical.panel = Some(panel);
        let shed = too_much(&wiring(), &courses(), &job);
        let mut left = Wiring::default();
        let finding = mark(shed, &courses(), &job, &mut left).unwrap();
        assert_eq!((left.shed[0].tag.as_str(), left.shed[0].segments.len(), left.unfed.len()), ("C1", 3, 3));
        assert!(finding.message.contains("C1 (priority 1, 5.0 A, of Z1)"), "{}", finding.message);
        assert!(finding.hint.unwrap().contains("priority"));
        assert!(left.unfed.iter().all(|u| u.why.starts_with("not installed")));
    }
}

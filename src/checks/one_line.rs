//! The one-line diagram as data: what hangs on what, from the panel to each chain.

use super::model::{CircuitSupply, OneLineItem, OneLineKind};
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::{Wiring, branch};

/// Items in the order a reader follows them: panel, then each circuit with its breaker, controller poles, home run, boxes
/// and chains. Every item but the first hangs on an earlier one.
pub(super) fn one_line(supplies: &[CircuitSupply], wiring: &Wiring, job: &Job) -> Vec<OneLineItem> {
    let mut items = Vec::new();
    if wiring.circuits.is_empty() {
        return items;
    }
    let mut push = |kind, tag: String, words: String, from: Option<usize>| {
        items.push(OneLineItem { kind, tag, words, from });
        items.len() - 1
    };
    let panel = job.electrical.panel.as_ref();
    let volts = decimal(job.electrical.volts.value, 0);
    let (tag, words) = match panel {
        Some(panel) => (panel.tag.clone(), format!("{volts} V, {} A left", decimal(panel.spare_amps, 1))),
        None => ("panel".to_owned(), format!("{volts} V, not known")),
    };
    let panel_item = push(OneLineKind::Panel, tag, words, None);
    for (circuit, supply) in wiring.circuits.iter().zip(supplies) {
        let poles = supply.poles;
        let breaker = format!(
            "{} A, {poles} pole, lines {}, ground-fault protection of equipment {} mA, lockable as the disconnect",
            decimal(circuit.breaker, 0),
            supply.lines,
            decimal(job.electrical.ground_fault_trip, 0)
        );
        let at = push(OneLineKind::Breaker, circuit.tag.clone(), breaker, Some(panel_item));
        let words = format!("{poles} poles of at least {} A", decimal(supply.continuous_amps, 2));
        let at = push(OneLineKind::Controller, circuit.tag.clone(), words, Some(at));
        let length = branch(job, circuit.breaker, circuit.amps).home_run;
        let length = if panel.is_some() { format!(", {} ft", decimal(length / 12.0, 0)) } else { String::new() };
        let words = format!(
            "2 × {} AWG + {} AWG ground in {}{length}",
            circuit.conductor_awg,
            circuit.ground_awg,
            supply.conduit.as_deref().unwrap_or("conduit beyond the tables used here")
        );
        let home_run = push(OneLineKind::HomeRun, circuit.tag.clone(), words, Some(at));
        let chains = || circuit.chains.iter().map(|id| &wiring.chains[id.index()]);
        let mut boxes: Vec<_> = chains().map(|chain| chain.junction_box).collect();
        boxes.sort();
        boxes.dedup();
        for id in boxes {
            let item = &wiring.boxes[id.index()];
            let at = push(OneLineKind::JunctionBox, item.tag.clone(), item.box_key.clone(), Some(home_run));
            for chain in chains().filter(|chain| chain.junction_box == id) {
                let count = chain.segments.len();
                let words = format!(
                    "{count} piece{}, {} ft, {} W, {} A",
                    if count == 1 { "" } else { "s" },
                    decimal(chain.element_length / 12.0, 1),
                    decimal(chain.watts, 0),
                    decimal(chain.amps, 2)
                );
                push(OneLineKind::Chain, chain.id.to_string(), words, Some(at));
            }
        }
    }
    items
}

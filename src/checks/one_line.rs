//! The one-line diagram as data: what hangs on what, from the service to each chain.

use super::devices::switched_by;
use super::model::{CircuitSupply, OneLineItem, OneLineKind};
use crate::electrical::Switching;
use crate::index::BoxId;
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::{Circuit, Wiring, branch};

/// Items as they are collected.
struct Diagram<'a> {
    items: Vec<OneLineItem>,
    wiring: &'a Wiring,
    job: &'a Job,
}

/// Items in the order a reader follows them: service, panel, controller with its sensor, then each circuit with its breaker,
/// disconnect, contactor poles, home run, boxes and chains. Every item but the first hangs on an earlier one.
pub(super) fn one_line(supplies: &[CircuitSupply], wiring: &Wiring, job: &Job) -> Vec<OneLineItem> {
    let mut diagram = Diagram { items: Vec::new(), wiring, job };
    if wiring.circuits.is_empty() {
        return diagram.items;
    }
    let panel = diagram.supply();
    diagram.control(panel);
    for (circuit, supply) in wiring.circuits.iter().zip(supplies) {
        diagram.circuit(circuit, supply, panel);
    }
    diagram.items
}

impl Diagram<'_> {
    fn push(&mut self, kind: OneLineKind, tag: &str, words: String, from: Option<usize>) -> usize {
        self.items.push(OneLineItem { kind, tag: tag.to_owned(), words, from });
        self.items.len() - 1
    }

    /// Service and panel; returns the panel.
    fn supply(&mut self) -> usize {
        let electrical = &self.job.electrical;
        let volts = decimal(electrical.volts.value, 0);
        let fault = electrical.fault_current.map_or_else(
            || "fault current: by the utility, to be given".to_owned(),
            |amps| format!("fault current {} A as given", decimal(amps, 0)),
        );
        let Some(panel) = &electrical.panel else {
            let service = self.push(OneLineKind::Service, "service", format!("{volts} V, main to be given"), None);
            return self.push(OneLineKind::Panel, "panel", format!("to be given; {fault}"), Some(service));
        };
        let words = match panel.service {
            Some(service) => format!(
                "{volts} V, main {} A, load without de-icing {} A, of which {} A never runs with it",
                decimal(service.main_amps, 0),
                decimal(service.existing_amps, 1),
                decimal(service.non_coincident_amps, 1)
            ),
            None => format!("{volts} V"),
        };
        let service = self.push(OneLineKind::Service, "service", words, None);
        let bus = panel.bus_amps.map_or_else(String::new, |amps| format!("bus {} A, ", decimal(amps, 0)));
        let words = format!("{bus}{} spaces free, {} A left; {fault}", panel.spaces, decimal(panel.spare_amps, 1));
        self.push(OneLineKind::Panel, &panel.tag, words, Some(service))
    }

    fn control(&mut self, panel: usize) {
        let words = match &self.job.products.controller {
            Some(controller) => format!("{}, output {} A", controller.key, decimal(controller.amps, 1)),
            None => "not in the catalogue".to_owned(),
        };
        let controller = self.push(OneLineKind::Controller, "TC", words, Some(panel));
        if self.wiring.sensor.is_some() {
            self.push(OneLineKind::Sensor, "TS", "temperature and moisture".to_owned(), Some(controller));
        }
    }

    fn circuit(&mut self, circuit: &Circuit, supply: &CircuitSupply, panel: usize) {
        let job = self.job;
        let (poles, number) = (supply.poles, circuit.id.index() + 1);
        let breaker = format!(
            "{} A, {poles} pole, lines {}, ground-fault protection of equipment {} mA",
            decimal(circuit.breaker, 0),
            supply.lines,
            decimal(job.electrical.ground_fault_trip, 0)
        );
        let mut at = self.push(OneLineKind::Breaker, &circuit.tag, breaker, Some(panel));
        let (tag, words) = match &job.products.disconnect {
            Some(product) => (
                format!("DS{number}"),
                format!("{poles} of {} poles, {} A, lockable", product.poles, decimal(product.amps, 0)),
            ),
            None => (circuit.tag.clone(), "the breaker itself, lockable".to_owned()),
        };
        at = self.push(OneLineKind::Disconnect, &tag, words, Some(at));
        let needed = decimal(supply.continuous_amps, 2);
        let (tag, words) = match switched_by(self.wiring, job) {
            Switching::Contactors { contactor, .. } => {
                let each = (contactor.poles / poles.max(1)).max(1) as usize;
                let words =
                    format!("{poles} of {} poles, {} A, for {needed} A", contactor.poles, decimal(contactor.amps, 0));
                (format!("M{}", circuit.id.index() / each + 1), words)
            }
            Switching::Controller(controller) => {
                ("TC".to_owned(), format!("{poles} of {} poles of its output, for {needed} A", controller.poles))
            }
            Switching::Unknown => (circuit.tag.clone(), format!("{poles} poles of at least {needed} A")),
        };
        at = self.push(OneLineKind::Contactor, &tag, words, Some(at));
        let length = branch(job, circuit.breaker, circuit.amps).home_run;
        let known = job.electrical.panel.is_some();
        let length = if known { format!(", {} ft", decimal(length / 12.0, 0)) } else { String::new() };
        let words = format!(
            "2 × {} AWG + {} AWG ground in {}{length}",
            circuit.conductor_awg,
            circuit.ground_awg,
            supply.conduit.as_deref().unwrap_or("conduit beyond the tables used here")
        );
        let home_run = self.push(OneLineKind::HomeRun, &circuit.tag, words, Some(at));
        self.boxes(circuit, home_run);
    }

    fn boxes(&mut self, circuit: &Circuit, home_run: usize) {
        let wiring = self.wiring;
        let chains = || circuit.chains.iter().map(|id| &wiring.chains[id.index()]);
        let mut boxes: Vec<BoxId> = chains().map(|chain| chain.junction_box).collect();
        boxes.sort();
        boxes.dedup();
        for id in boxes {
            let item = &wiring.boxes[id.index()];
            let at = self.push(OneLineKind::JunctionBox, &item.tag, item.box_key.clone(), Some(home_run));
            for chain in chains().filter(|chain| chain.junction_box == id) {
                let count = chain.segments.len();
                let words = format!(
                    "{count} piece{}, {} ft, {} W, {} A",
                    if count == 1 { "" } else { "s" },
                    decimal(chain.element_length / 12.0, 1),
                    decimal(chain.watts, 0),
                    decimal(chain.amps, 2)
                );
                self.push(OneLineKind::Chain, &chain.id.to_string(), words, Some(at));
            }
        }
    }
}

//! Checks on what switches the circuits: disconnect, contactor, controller.

use super::model::{SourceLabel, Verdict};
use super::rules::{self, Judged, Rule, at_most};
use crate::catalog::{Contactor, Controller, Disconnect};
use crate::electrical::{Balance, CONTINUOUS_FACTOR, Switching, devices_for, switching};
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::Wiring;

const DISCONNECT_RATING: Rule = Rule {
    code: "disconnect-rating",
    words: "the disconnect opens all ungrounded conductors of a circuit together, shows that it is open, can be locked open, and is rated for the circuit's breaker",
    clause: Some("426.50"),
    source: SourceLabel::Memory,
    unit: "A a pole",
    remedy: "name another disconnect under [products], or put it in the catalogue",
};

const CONTACTOR_RATING: Rule = Rule {
    code: "contactor-rating",
    words: "each pole of the contactor carries its circuit as a continuous load at the supply voltage, and no circuit is split over two contactors",
    clause: None,
    source: SourceLabel::Practice,
    unit: "A a pole",
    remedy: "name another contactor under [products], or put it in the catalogue",
};

const CONTROLLER_OUTPUT: Rule = Rule {
    code: "controller-output",
    words: "the controller's output carries what it switches: the contactors' coils, or the circuits themselves",
    clause: None,
    source: SourceLabel::Practice,
    unit: "A",
    remedy: "name another controller or contactor under [products]",
};

/// What the circuits ask of a switch.
struct Asked {
    circuits: usize,
    poles: u32,
    /// 125 % of the fullest circuit, amperes.
    pole_amps: f64,
    /// The largest breaker in use, amperes.
    breaker: f64,
    volts: f64,
}

impl Asked {
    fn of(wiring: &Wiring, job: &Job) -> Self {
        let most = |of: fn(&crate::wiring::Circuit) -> f64| wiring.circuits.iter().map(of).fold(0.0, f64::max);
        Self {
            circuits: wiring.circuits.len(),
            poles: job.electrical.poles(),
            pole_amps: CONTINUOUS_FACTOR * most(|c| c.amps),
            breaker: most(|c| c.breaker),
            volts: job.electrical.volts.value,
        }
    }
}

/// What switches the circuits of a job.
pub(super) fn switched_by<'a>(wiring: &Wiring, job: &'a Job) -> Switching<'a> {
    let asked = Asked::of(wiring, job);
    let products = &job.products;
    let load = (asked.pole_amps, asked.volts);
    switching(products.controller.as_ref(), products.contactor.as_ref(), (asked.circuits, asked.poles), load)
}

pub(super) fn judge(balance: &Balance, wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    let asked = Asked::of(wiring, job);
    let lines = balance.amps.iter().copied().fold(0.0, f64::max);
    let whole = format!(
        "one switch for all circuits would take 1.25 × {} A in the fullest line = {} A; the place is not drawn",
        decimal(lines, 2),
        decimal(CONTINUOUS_FACTOR * lines, 2)
    );
    let needed = CONTINUOUS_FACTOR * lines;
    out.push(rules::DISCONNECT.judge("whole roof", Verdict::Authority, needed, None, whole));
    out.extend(job.products.disconnect.as_ref().map(|product| disconnect(product, &asked)));
    let working = format!(
        "{} poles (circuits {} × {}); the fullest circuit 125 % = {} A a pole",
        asked.circuits as u64 * u64::from(asked.poles),
        asked.circuits,
        asked.poles,
        decimal(asked.pole_amps, 2)
    );
    out.push(rules::CONTROLLER.judge("whole roof", Verdict::Authority, asked.pole_amps, None, working));
    match switched_by(wiring, job) {
        Switching::Controller(controller) => out.push(direct(controller, &asked)),
        Switching::Contactors { contactor, count } => {
            out.push(contactor_rating(contactor, count, &asked));
            out.extend(job.products.controller.as_ref().map(|c| coils(c, contactor, count, &asked)));
        }
        Switching::Unknown => {}
    }
}

fn yes(holds: bool) -> &'static str {
    if holds { "yes" } else { "no" }
}

fn disconnect(product: &Disconnect, asked: &Asked) -> Judged {
    let needed = asked.pole_amps.max(asked.breaker);
    let count = devices_for(asked.circuits, asked.poles, product.poles);
    let fit = product.all_poles && product.indicating && product.lockable && product.volts >= asked.volts;
    let verdict = if fit && count.is_some() { at_most(needed, product.amps) } else { Verdict::Fail };
    let working = format!(
        "the larger of {} A (125 %) and the {} A breaker; {}: {} poles of {} A, {} V for {} V, {}; opens all poles {}, indicating {}, lockable {}",
        decimal(asked.pole_amps, 2),
        decimal(asked.breaker, 0),
        product.key,
        product.poles,
        decimal(product.amps, 1),
        decimal(product.volts, 0),
        decimal(asked.volts, 0),
        counted(count),
        yes(product.all_poles),
        yes(product.indicating),
        yes(product.lockable)
    );
    DISCONNECT_RATING.judge(&product.key, verdict, needed, Some(product.amps), working)
}

fn counted(count: Option<usize>) -> String {
    count.map_or_else(|| "too few poles for one circuit".to_owned(), |count| format!("{count} needed"))
}

fn contactor_rating(contactor: &Contactor, count: Option<usize>, asked: &Asked) -> Judged {
    let fit = count.is_some() && contactor.volts >= asked.volts;
    let verdict = if fit { at_most(asked.pole_amps, contactor.amps) } else { Verdict::Fail };
    let working = format!(
        "the fullest circuit 125 % = {} A a pole; {}: {} poles of {} A, {} V for {} V; circuits of {} poles {}: {}",
        decimal(asked.pole_amps, 2),
        contactor.key,
        contactor.poles,
        decimal(contactor.amps, 1),
        decimal(contactor.volts, 0),
        decimal(asked.volts, 0),
        asked.poles,
        asked.circuits,
        counted(count)
    );
    CONTACTOR_RATING.judge(&contactor.key, verdict, asked.pole_amps, Some(contactor.amps), working)
}

/// Coils are taken to draw their current from the controller all at once, at its output's voltage.
fn coils(controller: &Controller, contactor: &Contactor, count: Option<usize>, asked: &Asked) -> Judged {
    let count = count.unwrap_or(asked.circuits);
    let amps = contactor.coil_amps * count as f64;
    let working = format!(
        "coils {count} × {} A = {} A; {}: {} A",
        decimal(contactor.coil_amps, 3),
        decimal(amps, 3),
        controller.key,
        decimal(controller.amps, 1)
    );
    CONTROLLER_OUTPUT.judge(&controller.key, at_most(amps, controller.amps), amps, Some(controller.amps), working)
}

fn direct(controller: &Controller, asked: &Asked) -> Judged {
    let working = format!(
        "switches the circuits itself: 125 % of the fullest = {} A a pole; {}: {} poles of {} A",
        decimal(asked.pole_amps, 2),
        controller.key,
        controller.poles,
        decimal(controller.amps, 1)
    );
    let verdict = at_most(asked.pole_amps, controller.amps);
    CONTROLLER_OUTPUT.judge(&controller.key, verdict, asked.pole_amps, Some(controller.amps), working)
}

//! How each circuit is supplied, and what its pieces should read.

use super::circuit::conduit_wires;
use super::model::{CircuitSupply, Reading, ReadingOf, Verdict};
use super::rules::{self, Judged, at_most, over};
use super::solved::{SolvedChain, element_of};
use crate::courses::Courses;
use crate::electrical::{
    Balance, CONTINUOUS_FACTOR, Lines, Part, Piece, balance, circuit_drop, conduit_for, element_strip, solve,
    solve_rated, solve_start, solve_steady,
};
use crate::index::SegmentId;
use crate::job::Job;
use crate::units::{INCHES_PER_FOOT, decimal};
use crate::wiring::{Circuit, Wiring};

/// Share of the trip setting that leakage may use up. Common practice, no source.
const LEAKAGE_SHARE: f64 = 0.5;

/// Circuits hung on the supply's lines.
pub(super) fn lines(wiring: &Wiring, job: &Job) -> Balance {
    let amps: Vec<f64> = wiring.circuits.iter().map(|c| c.amps).collect();
    balance(&amps, job.electrical.supply, job.electrical.poles())
}

/// A line for each circuit.
pub(super) fn supplies(
    solved: &[SolvedChain],
    balance: &Balance,
    courses: &Courses,
    wiring: &Wiring,
    job: &Job,
) -> Vec<CircuitSupply> {
    let of = |(circuit, lines): (&Circuit, &Lines)| {
        let kind = job.electrical.conduit;
        let conduit = conduit_for(kind, &conduit_wires(circuit, job));
        let home_run = job.electrical.panel.as_ref().map(|panel| panel.home_run);
        let measured = job.electrical.measured_volts.map(|volts| at_volts(circuit, volts, solved, job));
        CircuitSupply {
            circuit: circuit.id,
            poles: job.electrical.poles(),
            lines: lines.to_string(),
            continuous_amps: CONTINUOUS_FACTOR * circuit.amps,
            conduit: conduit.map(|size| format!("{} in {}", size.name, kind.words())),
            drop: home_run.and_then(|feet| circuit_drop(circuit.conductor_awg, circuit.amps, feet)),
            leakage: leakage(circuit, courses, wiring, job),
            start_amps: start_amps(circuit, solved, job),
            measured_amps: measured.map(|(amps, _)| amps),
            measured_watts: measured.map(|(_, watts)| watts),
        }
    };
    wiring.circuits.iter().zip(&balance.lines).map(of).collect()
}

/// Milliamperes from all element of a circuit to ground; none when the catalogue is silent on one of its elements.
fn leakage(circuit: &Circuit, courses: &Courses, wiring: &Wiring, job: &Job) -> Option<f64> {
    let chains = circuit.chains.iter().map(|id| &wiring.chains[id.index()]);
    let segments = chains.flat_map(|chain| &chain.segments).map(|id| &courses.segments[id.index()]);
    segments
        .map(|s| element_of(s, job).leakage_per_foot.map(|per_foot| per_foot * s.cut_length / INCHES_PER_FOOT))
        .sum()
}

/// Amperes and watts of a circuit in steady use at another supply voltage.
fn at_volts(circuit: &Circuit, volts: f64, solved: &[SolvedChain], job: &Job) -> (f64, f64) {
    circuit.chains.iter().fold((0.0, 0.0), |(amps, watts), id| {
        let state = solve_steady(volts, &solved[id.index()].parts, job.electrical.running_temperature.value);
        (amps + state.amps, watts + state.watts)
    })
}

/// Amperes of a circuit at switching on, each piece at its start factor; none when the catalogue is silent on one of its elements.
fn start_amps(circuit: &Circuit, solved: &[SolvedChain], job: &Job) -> Option<f64> {
    let cold = job.electrical.start_temperature;
    // Element that starts as it runs need not be solved again.
    let as_it_runs = |part: &Part| match part {
        Part::Lead(_) => true,
        Part::Element { element, .. } => element.power_curve.is_empty() && element.cold_start_factor == Some(1.0),
    };
    let chain_amps = |chain: &SolvedChain| {
        if chain.parts.iter().all(as_it_runs) {
            return Some(chain.state.amps);
        }
        solve_start(job.electrical.volts.value, &chain.parts, cold).map(|state| state.amps)
    };
    circuit.chains.iter().map(|id| chain_amps(&solved[id.index()])).sum()
}

/// Judges start current, leakage and the measured voltage of each circuit.
pub(super) fn judge(supplies: &[CircuitSupply], wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    for (circuit, supply) in wiring.circuits.iter().zip(supplies) {
        out.extend(measured_load(circuit, supply, job));
        out.push(cold_start(circuit, supply, job));
        out.push(leakage_check(circuit, supply, job));
    }
}

fn measured_load(circuit: &Circuit, supply: &CircuitSupply, job: &Job) -> Option<Judged> {
    let volts = job.electrical.measured_volts?;
    let (amps, watts) = (supply.measured_amps?, supply.measured_watts?);
    let needed = CONTINUOUS_FACTOR * amps;
    let working = format!(
        "{} V: {} W, {} A, {} % of the power at {} V; 1.25 × {} A = {} A",
        decimal(volts, 1),
        decimal(watts, 1),
        decimal(amps, 3),
        decimal(100.0 * watts / circuit.watts.max(1e-9), 1),
        decimal(job.electrical.volts.value, 1),
        decimal(amps, 3),
        decimal(needed, 3)
    );
    let verdict = at_most(needed, circuit.breaker);
    Some(rules::MEASURED_LOAD.judge(&circuit.tag, verdict, needed, Some(circuit.breaker), working))
}

fn cold_start(circuit: &Circuit, supply: &CircuitSupply, job: &Job) -> Judged {
    let Some(amps) = supply.start_amps else {
        let working = "the catalogue states neither `cold_start_factor` nor `power_curve`".to_owned();
        return rules::COLD_START.judge(&circuit.tag, Verdict::Authority, circuit.amps, None, working);
    };
    let working = format!(
        "{} A at {} °F, {} A running; breaker {} A",
        decimal(amps, 3),
        decimal(job.electrical.start_temperature, 0),
        decimal(circuit.amps, 3),
        decimal(circuit.breaker, 1)
    );
    let beyond = over(amps, circuit.breaker);
    let verdict = if beyond { Verdict::Authority } else { Verdict::Pass };
    let mut judged = rules::COLD_START.judge(&circuit.tag, verdict, amps, Some(circuit.breaker), working);
    judged.beyond_comparison = beyond;
    judged
}

fn leakage_check(circuit: &Circuit, supply: &CircuitSupply, job: &Job) -> Judged {
    let trip = job.electrical.ground_fault_trip;
    let limit = LEAKAGE_SHARE * trip;
    let Some(leakage) = supply.leakage else {
        let working = "the catalogue states no `leakage_per_foot`".to_owned();
        return rules::LEAKAGE.judge(&circuit.tag, Verdict::Authority, 0.0, None, working);
    };
    let working = format!(
        "{} mA of {} mA: half of the {} mA trip setting",
        decimal(leakage, 2),
        decimal(limit, 1),
        decimal(trip, 1)
    );
    rules::LEAKAGE.judge(&circuit.tag, at_most(leakage, limit), leakage, Some(limit), working)
}

/// Resistances to expect, far ends open, at rated resistance. Element whose resistance changes with temperature gets no limits: a cold
/// reading says little.
pub(super) fn readings(solved: &[SolvedChain], courses: &Courses, wiring: &Wiring, job: &Job) -> Vec<Reading> {
    let volts = job.electrical.volts.value;
    let with_limits = |item: String, of, ohms: f64, tolerance: Option<f64>| Reading {
        item,
        of,
        ohms,
        low: tolerance.map(|share| ohms * (1.0 - share)),
        high: tolerance.map(|share| ohms * (1.0 + share)),
    };
    let tolerance = |id: &SegmentId| {
        let element = element_of(&courses.segments[id.index()], job);
        let constant = element.power_curve.is_empty();
        element.resistance_tolerance.filter(|_| constant).map(crate::units::Share::part_of_one)
    };
    let segments = wiring.feeds.iter().map(|feed| {
        let segment = &courses.segments[feed.segment.index()];
        let strip = element_strip(element_of(segment, job), segment.cut_length);
        let ohms = solve(volts, &[Piece::Strip(strip)]).ohms();
        with_limits(segment.tag.clone(), ReadingOf::Segment, ohms, tolerance(&feed.segment))
    });
    let changes = |part: &Part| matches!(part, Part::Element { element, .. } if !element.power_curve.is_empty());
    let chains = solved.iter().map(|SolvedChain { chain, parts, state }| {
        let rated = parts.iter().any(changes).then(|| solve_rated(volts, parts).ohms());
        // The widest tolerance among a chain's pieces holds for them together.
        let widest = chain.segments.iter().map(tolerance).collect::<Option<Vec<f64>>>();
        let share = widest.map(|shares| shares.into_iter().fold(0.0, f64::max));
        with_limits(chain.id.to_string(), ReadingOf::Chain, rated.unwrap_or_else(|| state.ohms()), share)
    });
    segments.chain(chains).collect()
}

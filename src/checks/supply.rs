//! How each circuit is supplied, what its pieces should read, and what a panel too small has to do without.

use super::circuit::{conduit_wires, element_of, pieces};
use super::model::{CircuitSupply, Reading, ReadingOf, Shed, Verdict};
use super::rules::{self, Judged, at_most, over};
use crate::courses::Courses;
use crate::electrical::{
    Balance, CONTINUOUS_FACTOR, Piece, balance, circuit_drop, conduit_for, element_strip, solve, start_factor,
};
use crate::job::Job;
use crate::units::{INCHES_PER_FOOT, decimal};
use crate::wiring::{Chain, Circuit, Wiring};

/// Share of the trip setting that leakage may use up. Common practice, no source.
const LEAKAGE_SHARE: f64 = 0.5;

/// Circuits hung on the supply's lines.
pub(super) fn lines(wiring: &Wiring, job: &Job) -> Balance {
    let amps: Vec<f64> = wiring.circuits.iter().map(|c| c.amps).collect();
    balance(&amps, job.electrical.supply, job.electrical.poles())
}

/// A line for each circuit.
pub(super) fn supplies(courses: &Courses, wiring: &Wiring, job: &Job) -> Vec<CircuitSupply> {
    let lines = lines(wiring, job).lines;
    let of = |(circuit, lines): (&Circuit, _)| {
        let kind = job.electrical.conduit;
        let conduit = conduit_for(kind, &conduit_wires(circuit, job));
        let home_run = job.electrical.panel.as_ref().map(|panel| panel.home_run);
        CircuitSupply {
            circuit: circuit.id,
            poles: job.electrical.poles(),
            lines: ToString::to_string(&lines),
            continuous_amps: CONTINUOUS_FACTOR * circuit.amps,
            conduit: conduit.map(|size| format!("{} in {}", size.name, kind.words())),
            drop: home_run.and_then(|feet| circuit_drop(circuit.conductor_awg, circuit.amps, feet)),
            leakage: leakage(circuit, courses, wiring, job),
            start_amps: start_amps(circuit, courses, wiring, job),
            measured_watts: job.electrical.measured_volts.map(|v| power(circuit, v, courses, wiring, job).1),
        }
    };
    wiring.circuits.iter().zip(lines).map(of).collect()
}

fn chains<'a>(circuit: &'a Circuit, wiring: &'a Wiring) -> impl Iterator<Item = &'a Chain> + 'a {
    circuit.chains.iter().map(|id| &wiring.chains[id.index()])
}

/// Milliamperes from all element of a circuit to ground; none when the catalogue is silent on one of its elements.
fn leakage(circuit: &Circuit, courses: &Courses, wiring: &Wiring, job: &Job) -> Option<f64> {
    let segments = chains(circuit, wiring).flat_map(|chain| &chain.segments).map(|id| &courses.segments[id.index()]);
    segments
        .map(|s| element_of(s, job).leakage_per_foot.map(|per_foot| per_foot * s.cut_length / INCHES_PER_FOOT))
        .sum()
}

/// Amperes and watts of a circuit at another supply voltage, constant resistance.
fn power(circuit: &Circuit, volts: f64, courses: &Courses, wiring: &Wiring, job: &Job) -> (f64, f64) {
    chains(circuit, wiring).fold((0.0, 0.0), |(amps, watts), chain| {
        let state = solve(volts, &pieces(chain, courses, wiring, job));
        (amps + state.amps, watts + state.watts)
    })
}

/// Amperes of a circuit at switching on, each piece at its start factor; none when the catalogue is silent on one of its elements.
fn start_amps(circuit: &Circuit, courses: &Courses, wiring: &Wiring, job: &Job) -> Option<f64> {
    let cold = job.electrical.start_temperature;
    let chain_amps = |chain: &Chain| {
        let mut cut = pieces(chain, courses, wiring, job);
        let factors: Option<Vec<f64>> = chain
            .segments
            .iter()
            .map(|id| start_factor(element_of(&courses.segments[id.index()], job), cold))
            .collect();
        let strips = cut.iter_mut().filter_map(|piece| match piece {
            Piece::Strip(strip) | Piece::Branch(strip) => Some(strip),
            Piece::Lead(_) => None,
        });
        for (strip, factor) in strips.zip(factors?) {
            strip.siemens_per_foot *= factor;
        }
        Some(solve(job.electrical.volts.value, &cut).amps)
    };
    chains(circuit, wiring).map(chain_amps).sum()
}

/// Judges start current, leakage and the measured voltage of each circuit.
pub(super) fn judge(supplies: &[CircuitSupply], courses: &Courses, wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    for (circuit, supply) in wiring.circuits.iter().zip(supplies) {
        out.extend(measured_load(circuit, courses, wiring, job));
        out.push(cold_start(circuit, supply, job));
        out.push(leakage_check(circuit, supply, job));
    }
}

fn measured_load(circuit: &Circuit, courses: &Courses, wiring: &Wiring, job: &Job) -> Option<Judged> {
    let volts = job.electrical.measured_volts?;
    let (amps, watts) = power(circuit, volts, courses, wiring, job);
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

/// Resistances to expect, far ends open. Element whose resistance changes with temperature gets no limits: a cold reading says little.
pub(super) fn readings(courses: &Courses, wiring: &Wiring, job: &Job) -> Vec<Reading> {
    let volts = job.electrical.volts.value;
    let with_limits = |item: String, of, ohms: f64, tolerance: Option<f64>| Reading {
        item,
        of,
        ohms,
        low: tolerance.map(|share| ohms * (1.0 - share)),
        high: tolerance.map(|share| ohms * (1.0 + share)),
    };
    let tolerance = |id: &crate::index::SegmentId| {
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
    let chains = wiring.chains.iter().map(|chain| {
        let ohms = solve(volts, &pieces(chain, courses, wiring, job)).ohms();
        // The widest tolerance among a chain's pieces holds for them together.
        let widest = chain.segments.iter().map(tolerance).collect::<Option<Vec<f64>>>();
        let share = widest.map(|shares| shares.into_iter().fold(0.0, f64::max));
        with_limits(chain.id.to_string(), ReadingOf::Chain, ohms, share)
    });
    segments.chain(chains).collect()
}

/// Circuits to leave off until the rest fits the panel: the highest priority number first, then the last circuit. Empty without a
/// panel, or when all fits.
pub(super) fn shed(wiring: &Wiring, job: &Job) -> Vec<Shed> {
    let Some(panel) = &job.electrical.panel else { return Vec::new() };
    let mut left: Vec<&Circuit> = wiring.circuits.iter().collect();
    left.sort_by_key(|c| (c.priority, c.id));
    let fits = |left: &[&Circuit]| {
        let amps: f64 = left.iter().map(|c| c.amps).sum();
        let poles = left.len() as f64 * f64::from(job.electrical.poles());
        !over(CONTINUOUS_FACTOR * amps, panel.spare_amps) && !over(poles, f64::from(panel.spaces))
    };
    let mut shed = Vec::new();
    while !fits(&left) {
        let Some(last) = left.pop() else { break };
        shed.push(Shed {
            circuit: last.id,
            tag: last.tag.clone(),
            priority: last.priority,
            amps: last.amps,
            watts: last.watts,
        });
    }
    shed
}

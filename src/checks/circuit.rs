//! Checks on chains and branch circuits.

use super::model::{SourceLabel, Verdict};
use super::rules::{self, Judged, at_most, over};
use super::solved::SolvedChain;
use crate::courses::Courses;
use crate::electrical::{
    CONTINUOUS_FACTOR, COPPER_OHMS, Conditions, INSULATION, Label, Part, SMALL_CONDUCTORS, STANDARD_RATINGS,
    allowed_amps, ambient_factor, branch_sizes, bundling_factor, circuit_drop, conduit_for, equipment_ground_for,
    fill_limit, protected_at, table_amps, trade_sizes, wires_area,
};
use crate::index::SegmentId;
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::{CARRYING_OF_A_CIRCUIT, Circuit, Wiring, branch};

/// Drop of a branch circuit in an informational note, percent (210.19(A), seen as quoted; not enforceable).
const BRANCH_DROP_PERCENT: f64 = 3.0;
/// Drop of feeder and branch circuit together in the same note, percent (215.2(A), seen as quoted; not enforceable).
const TOTAL_DROP_PERCENT: f64 = 5.0;

pub(super) fn judge_chains(solved: &[SolvedChain], courses: &Courses, job: &Job, out: &mut Vec<Judged>) {
    for solved in solved {
        let chain = solved.chain;
        out.extend(lead_drop(solved, job));
        let lead = &job.products.lead.value;
        let working =
            format!("{} A from the box; lead {} AWG, {} A", decimal(chain.amps, 3), lead.awg, decimal(lead.amps, 1));
        let verdict = at_most(chain.amps, lead.amps);
        out.push(rules::LEAD_CURRENT.judge(chain.id.to_string(), verdict, chain.amps, Some(lead.amps), working));
        out.extend(bus_current(solved, courses));
    }
}

/// The segment of a chain whose bus bars come nearest to what they may carry; what a segment feeds through passes its buses too.
fn bus_current(solved: &SolvedChain, courses: &Courses) -> Option<Judged> {
    let through = solved.state.pieces.iter().zip(&solved.parts).filter_map(|(state, part)| match part {
        Part::Element { element, beside: false, .. } => Some((state.near_amps, element.bus_amps)),
        Part::Element { element, beside: true, .. } => Some((state.near_amps - state.far_amps, element.bus_amps)),
        Part::Lead(_) => None,
    });
    let loaded = solved.chain.segments.iter().zip(through).map(|(id, (amps, limit))| (*id, amps, limit));
    let share = |(_, amps, limit): &(SegmentId, f64, Option<f64>)| limit.map_or(f64::INFINITY, |limit| amps / limit);
    let (segment, amps, limit) = loaded.max_by(|a, b| share(a).total_cmp(&share(b)))?;
    let verdict = limit.map_or(Verdict::Authority, |limit| at_most(amps, limit));
    let rating =
        limit.map_or_else(|| "no rating in the catalogue".to_owned(), |l| format!("rated {} A", decimal(l, 1)));
    let working = format!("{} A into {}, {rating}", decimal(amps, 3), courses.segments[segment.index()].tag);
    Some(rules::BUS_CURRENT.judge(solved.chain.id.to_string(), verdict, amps, limit, working))
}

fn lead_drop(solved: &SolvedChain, job: &Job) -> Option<Judged> {
    let SolvedChain { chain, parts, state } = solved;
    let volts = job.electrical.volts.value;
    let lost: f64 = parts
        .iter()
        .zip(&state.pieces)
        .filter(|(part, _)| matches!(part, Part::Lead(_)))
        .map(|(_, s)| s.near_volts - s.far_volts)
        .sum();
    if parts.is_empty() {
        return None;
    }
    let percent = 100.0 * lost / volts;
    let limit = 100.0 * job.electrical.lead_drop;
    let density = 100.0 * (chain.far_end_volts / volts) * (chain.far_end_volts / volts);
    // Only of constant resistance does power follow the square of the voltage.
    let changes = |part: &Part| matches!(part, Part::Element { element, .. } if !element.power_curve.is_empty());
    let there = if parts.iter().any(changes) {
        String::new()
    } else {
        format!(", {} % of full power there", decimal(density, 1))
    };
    let working = format!(
        "{} V of {} V lost in leads = {} %; far end {} V{there}",
        decimal(lost, 2),
        decimal(volts, 1),
        decimal(percent, 2),
        decimal(chain.far_end_volts, 1),
    );
    Some(rules::LEAD_DROP.judge(chain.id.to_string(), at_most(percent, limit), percent, Some(limit), working))
}

pub(super) fn judge_circuits(wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    for circuit in &wiring.circuits {
        let conditions = branch(job, circuit.breaker, circuit.amps).conditions;
        out.push(continuous_load(circuit));
        out.push(standard_breaker(circuit, job));
        out.push(conductor(circuit, &conditions));
        out.push(equipment_ground(circuit, job));
        out.push(lead_protection(circuit, job, &conditions));
        out.push(conduit_fill(circuit, job));
        out.extend(home_run(circuit, job));
        out.extend(total_drop(circuit, job));
    }
}

fn continuous_load(circuit: &Circuit) -> Judged {
    let needed = CONTINUOUS_FACTOR * circuit.amps;
    let working = format!(
        "1.25 × {} A = {} A; breaker {} A",
        decimal(circuit.amps, 3),
        decimal(needed, 3),
        decimal(circuit.breaker, 1)
    );
    rules::CONTINUOUS_LOAD.judge(&circuit.tag, at_most(needed, circuit.breaker), needed, Some(circuit.breaker), working)
}

fn standard_breaker(circuit: &Circuit, job: &Job) -> Judged {
    let largest = job.electrical.largest_breaker;
    let standard = STANDARD_RATINGS.rows.iter().any(|r| (r - circuit.breaker).abs() < 1e-9);
    let verdict = if standard { at_most(circuit.breaker, largest) } else { Verdict::Fail };
    let word = if standard { "a standard rating" } else { "not a standard rating" };
    let working = format!("{} A is {word}; the job allows {} A", decimal(circuit.breaker, 1), decimal(largest, 1));
    rules::STANDARD_BREAKER.judge(&circuit.tag, verdict, circuit.breaker, Some(largest), working)
}

fn conductor(circuit: &Circuit, conditions: &Conditions) -> Judged {
    let needed = (CONTINUOUS_FACTOR * circuit.amps).max(circuit.breaker);
    let awg = circuit.conductor_awg;
    let rated = protected_at(awg, conditions).zip(allowed_amps(awg, conditions));
    let Some((rating, allowed)) = rated else {
        let working = format!("{awg} AWG is not in the table used here, or it is too hot for it");
        return rules::CONDUCTOR.judge(&circuit.tag, Verdict::Authority, needed, None, working);
    };
    let column = |rating| table_amps(awg, rating, conditions.edition).unwrap_or_default();
    let factors = ambient_factor(INSULATION, conditions.ambient).unwrap_or_default();
    let working = format!(
        "the larger of 1.25 × {} A and the {} A breaker = {} A; {awg} AWG copper: {} °C terminals {} A, {} A × ambient {} × \
         {} carrying {} = {} A, protected at {} A",
        decimal(circuit.amps, 3),
        decimal(circuit.breaker, 1),
        decimal(needed, 3),
        decimal(conditions.terminals.celsius(), 0),
        decimal(column(conditions.terminals), 1),
        decimal(column(INSULATION), 1),
        decimal(factors, 2),
        conditions.carrying,
        decimal(bundling_factor(conditions.carrying), 2),
        decimal(allowed, 2),
        decimal(rating, 2)
    );
    rules::CONDUCTOR.judge(&circuit.tag, at_most(needed, rating), needed, Some(rating), working)
}

fn equipment_ground(circuit: &Circuit, job: &Job) -> Judged {
    let used = f64::from(circuit.ground_awg);
    let by_ampacity = branch_sizes(&branch(job, circuit.breaker, circuit.amps)).map(|sizes| sizes.by_ampacity);
    let ground =
        by_ampacity.and_then(|awg| equipment_ground_for(circuit.breaker, awg, circuit.conductor_awg).map(|g| (awg, g)));
    let Some((by_ampacity, awg)) = ground else {
        let working = format!("{} A is beyond the table used here", decimal(circuit.breaker, 1));
        return rules::EQUIPMENT_GROUND_SIZE.judge(&circuit.tag, Verdict::Authority, used, None, working);
    };
    let grown = if by_ampacity == circuit.conductor_awg {
        String::new()
    } else {
        format!(", grown with the conductor from {by_ampacity} to {} AWG", circuit.conductor_awg)
    };
    let working = format!(
        "{} A breaker: {awg} AWG copper or heavier{grown}; used {} AWG",
        decimal(circuit.breaker, 1),
        circuit.ground_awg
    );
    let limit = f64::from(awg);
    rules::EQUIPMENT_GROUND_SIZE.judge(&circuit.tag, at_most(used, limit), used, Some(limit), working)
}

/// Wires of a circuit's conduit: two conductors for each circuit in it and one ground for all.
pub(super) fn conduit_wires(circuit: &Circuit, job: &Job) -> Vec<u32> {
    let conductors = (CARRYING_OF_A_CIRCUIT * job.electrical.circuits_per_conduit) as usize;
    let mut wires = vec![circuit.conductor_awg; conductors];
    wires.push(circuit.ground_awg);
    wires
}

fn conduit_fill(circuit: &Circuit, job: &Job) -> Judged {
    let kind = job.electrical.conduit;
    let wires = conduit_wires(circuit, job);
    let mut judged = match (wires_area(&wires), conduit_for(kind, &wires)) {
        (Some(area), Some(size)) => {
            let limit = fill_limit(size, wires.len());
            let working = format!(
                "{} THWN {} AWG and a {} AWG ground = {} sq in; {} in {} takes {} sq in of {} wires",
                wires.len() - 1,
                circuit.conductor_awg,
                circuit.ground_awg,
                decimal(area, 4),
                size.name,
                kind.words(),
                decimal(limit, 3),
                wires.len()
            );
            rules::CONDUIT_FILL.judge(&circuit.tag, at_most(area, limit), area, Some(limit), working)
        }
        (area, _) => {
            let working = "beyond the conduit sizes used here".to_owned();
            rules::CONDUIT_FILL.judge(&circuit.tag, Verdict::Authority, area.unwrap_or_default(), None, working)
        }
    };
    if trade_sizes(kind).label == Label::Memory {
        judged.check.source = SourceLabel::Memory;
    }
    judged
}

/// A lead lighter than its breaker protects is not a pass, and not a failure either: a listing may size it.
fn lead_protection(circuit: &Circuit, job: &Job, conditions: &Conditions) -> Judged {
    let lead = &job.products.lead.value;
    let limit = SMALL_CONDUCTORS.of(lead.awg).or_else(|| protected_at(lead.awg, conditions));
    let verdict = match limit {
        Some(limit) if !over(circuit.breaker, limit) => Verdict::Pass,
        _ => Verdict::Authority,
    };
    let working = match limit {
        Some(limit) => format!(
            "{} A breaker; {} AWG lead protected up to {} A",
            decimal(circuit.breaker, 1),
            lead.awg,
            decimal(limit, 1)
        ),
        None => format!(
            "{} A breaker; {} AWG lead is lighter than the table used here",
            decimal(circuit.breaker, 1),
            lead.awg
        ),
    };
    let mut judged = rules::LEAD_PROTECTION.judge(&circuit.tag, verdict, circuit.breaker, limit, working);
    judged.beyond_comparison = verdict == Verdict::Authority;
    judged
}

fn home_run(circuit: &Circuit, job: &Job) -> Option<Judged> {
    let panel = job.electrical.panel.as_ref()?;
    let volts = job.electrical.volts.value;
    let Some(drop) = circuit_drop(circuit.conductor_awg, circuit.amps, panel.home_run) else {
        let working = format!("{} AWG is not in the table used here", circuit.conductor_awg);
        return Some(rules::HOME_RUN_DROP.judge(&circuit.tag, Verdict::Authority, 0.0, None, working));
    };
    let percent = 100.0 * drop / volts;
    let limit = job.electrical.branch_drop.map_or(BRANCH_DROP_PERCENT, |share| 100.0 * share);
    let beyond = over(percent, limit);
    let verdict = match (beyond, job.electrical.branch_drop) {
        (false, _) => Verdict::Pass,
        (true, Some(_)) => Verdict::Fail,
        (true, None) => Verdict::Authority,
    };
    let working = format!(
        "2 × {} ft × {} ohm/kft × {} A / 1000 = {} V of {} V = {} %",
        decimal(panel.home_run / 12.0, 1),
        decimal(COPPER_OHMS.of(circuit.conductor_awg).unwrap_or_default(), 3),
        decimal(circuit.amps, 3),
        decimal(drop, 2),
        decimal(volts, 1),
        decimal(percent, 2)
    );
    let mut judged = rules::HOME_RUN_DROP.judge(&circuit.tag, verdict, percent, Some(limit), working);
    judged.beyond_comparison = verdict == Verdict::Authority;
    Some(judged)
}

fn total_drop(circuit: &Circuit, job: &Job) -> Option<Judged> {
    let (panel, feeder) = (job.electrical.panel.as_ref()?, 100.0 * job.electrical.feeder_drop?);
    let branch =
        100.0 * circuit_drop(circuit.conductor_awg, circuit.amps, panel.home_run)? / job.electrical.volts.value;
    let total = branch + feeder;
    let beyond = over(total, TOTAL_DROP_PERCENT);
    let verdict = if beyond { Verdict::Authority } else { Verdict::Pass };
    let working =
        format!("feeder {} % + branch {} % = {} %", decimal(feeder, 2), decimal(branch, 2), decimal(total, 2));
    let mut judged = rules::TOTAL_DROP.judge(&circuit.tag, verdict, total, Some(TOTAL_DROP_PERCENT), working);
    judged.beyond_comparison = beyond;
    Some(judged)
}

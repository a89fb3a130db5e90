//! Checks on chains and branch circuits.

use super::model::Verdict;
use super::rules::{self, Judged, at_most, over};
use crate::courses::Courses;
use crate::electrical::{
    CONTINUOUS_FACTOR, COPPER_60C, Piece, SMALL_CONDUCTORS, STANDARD_RATINGS, circuit_drop, equipment_ground_for, solve,
};
use crate::index::SegmentId;
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::{Chain, Circuit, Lead, Wiring, chain_pieces};

/// Drop of a branch circuit in an informational note, percent (210.19(A), seen as quoted; not enforceable).
const BRANCH_DROP_PERCENT: f64 = 3.0;

pub(super) fn judge_chains(courses: &Courses, wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    for chain in &wiring.chains {
        out.extend(lead_drop(chain, courses, wiring, job));
        let lead = &job.products.lead.value;
        let working =
            format!("{} A from the box; lead {} AWG, {} A", decimal(chain.amps, 3), lead.awg, decimal(lead.amps, 1));
        let verdict = at_most(chain.amps, lead.amps);
        out.push(rules::LEAD_CURRENT.judge(chain.id.to_string(), verdict, chain.amps, Some(lead.amps), working));
    }
}

/// A chain as the pieces current passes, from the box outwards.
fn pieces(chain: &Chain, courses: &Courses, wiring: &Wiring, job: &Job) -> Vec<Piece> {
    let feed = |id: &SegmentId| wiring.feeds.iter().find(|f| f.segment == *id);
    let leads: Vec<&Lead> = chain.segments.iter().filter_map(feed).map(|f| &wiring.leads[f.lead.index()]).collect();
    chain_pieces(courses, &chain.segments, &leads, job)
}

fn lead_drop(chain: &Chain, courses: &Courses, wiring: &Wiring, job: &Job) -> Option<Judged> {
    let pieces = pieces(chain, courses, wiring, job);
    let volts = job.electrical.volts.value;
    let state = solve(volts, &pieces);
    let lost: f64 = pieces
        .iter()
        .zip(&state.pieces)
        .filter(|(piece, _)| matches!(piece, Piece::Lead(_)))
        .map(|(_, s)| s.near_volts - s.far_volts)
        .sum();
    if pieces.is_empty() {
        return None;
    }
    let percent = 100.0 * lost / volts;
    let limit = 100.0 * job.electrical.lead_drop;
    let density = 100.0 * (chain.far_end_volts / volts) * (chain.far_end_volts / volts);
    let working = format!(
        "{} V of {} V lost in leads = {} %; far end {} V, {} % of full power there",
        decimal(lost, 2),
        decimal(volts, 1),
        decimal(percent, 2),
        decimal(chain.far_end_volts, 1),
        decimal(density, 1)
    );
    Some(rules::LEAD_DROP.judge(chain.id.to_string(), at_most(percent, limit), percent, Some(limit), working))
}

pub(super) fn judge_circuits(wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    for circuit in &wiring.circuits {
        out.push(continuous_load(circuit));
        out.push(standard_breaker(circuit, job));
        out.push(conductor(circuit));
        out.push(equipment_ground(circuit));
        out.push(lead_protection(circuit, job));
        out.extend(home_run(circuit, job));
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

/// The rating a copper conductor may carry and be protected at: its 60 °C ampacity under the small-conductor limit.
fn rating_of(awg: u32) -> Option<f64> {
    let ampacity = COPPER_60C.rows.iter().find(|r| r.awg == awg)?.amps;
    let small = SMALL_CONDUCTORS.rows.iter().find(|r| r.awg == awg).map_or(f64::INFINITY, |r| r.amps);
    Some(ampacity.min(small))
}

fn conductor(circuit: &Circuit) -> Judged {
    let needed = (CONTINUOUS_FACTOR * circuit.amps).max(circuit.breaker);
    let awg = circuit.conductor_awg;
    let Some(rating) = rating_of(awg) else {
        let working = format!("{awg} AWG is not in the table used here");
        return rules::CONDUCTOR.judge(&circuit.tag, Verdict::Authority, needed, None, working);
    };
    let working = format!(
        "the larger of 1.25 × {} A and the {} A breaker = {} A; {awg} AWG copper {} A",
        decimal(circuit.amps, 3),
        decimal(circuit.breaker, 1),
        decimal(needed, 3),
        decimal(rating, 1)
    );
    rules::CONDUCTOR.judge(&circuit.tag, at_most(needed, rating), needed, Some(rating), working)
}

fn equipment_ground(circuit: &Circuit) -> Judged {
    let used = f64::from(circuit.ground_awg);
    match equipment_ground_for(circuit.breaker) {
        Some(awg) => {
            let working = format!(
                "{} A breaker: {awg} AWG copper or heavier; used {} AWG",
                decimal(circuit.breaker, 1),
                circuit.ground_awg
            );
            rules::EQUIPMENT_GROUND_SIZE.judge(
                &circuit.tag,
                at_most(used, f64::from(awg)),
                used,
                Some(f64::from(awg)),
                working,
            )
        }
        None => {
            let working = format!("{} A is beyond the table used here", decimal(circuit.breaker, 1));
            rules::EQUIPMENT_GROUND_SIZE.judge(&circuit.tag, Verdict::Authority, used, None, working)
        }
    }
}

/// A lead lighter than its breaker protects is not a pass, and not a failure either: a listing may size it.
fn lead_protection(circuit: &Circuit, job: &Job) -> Judged {
    let lead = &job.products.lead.value;
    let limit =
        SMALL_CONDUCTORS.rows.iter().find(|r| r.awg == lead.awg).map(|r| r.amps).or_else(|| rating_of(lead.awg));
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
    let beyond = over(percent, BRANCH_DROP_PERCENT);
    let verdict = if beyond { Verdict::Authority } else { Verdict::Pass };
    let ohms = drop / (2.0 * circuit.amps.max(1e-9) * panel.home_run.max(1e-9) / 12_000.0);
    let working = format!(
        "2 × {} ft × {} ohm/kft × {} A / 1000 = {} V of {} V = {} %",
        decimal(panel.home_run / 12.0, 1),
        decimal(ohms, 3),
        decimal(circuit.amps, 3),
        decimal(drop, 2),
        decimal(volts, 1),
        decimal(percent, 2)
    );
    let mut judged = rules::HOME_RUN_DROP.judge(&circuit.tag, verdict, percent, Some(BRANCH_DROP_PERCENT), working);
    judged.beyond_comparison = beyond;
    Some(judged)
}

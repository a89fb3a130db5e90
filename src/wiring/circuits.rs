//! Chains behind their real leads, and chains grouped on branch circuits.

use super::model::{Chain, Circuit, Lead};
use super::packing::{Load, grouped};
use crate::courses::{Courses, ElementRole};
use crate::electrical::{
    Branch, ChainState, Conditions, Part, Rating, branch_sizes, breaker_for, celsius, continuous_capacity,
    largest_standard_rating, lead_loop_ohms, solve_steady,
};
use crate::index::{CircuitId, SegmentId};
use crate::job::Job;
use crate::zones::Zones;

/// Current-carrying conductors of a two-wire circuit.
pub const CARRYING_OF_A_CIRCUIT: u32 = 2;

/// A chain as the parts that current passes, from the box outwards: `leads` holds the feed and then the jumpers, `segments` the
/// elements in the same order. A segment whose jumper leaves from its far end carries what follows; one whose jumper leaves from the
/// end it is fed at stands beside it.
#[must_use]
pub fn chain_parts<'a>(courses: &Courses, segments: &[SegmentId], leads: &[&Lead], job: &'a Job) -> Vec<Part<'a>> {
    let mut parts = Vec::with_capacity(2 * segments.len());
    for (at, (id, lead)) in segments.iter().zip(leads).enumerate() {
        let segment = &courses.segments[id.index()];
        let element = match segment.element {
            ElementRole::Starter => &job.products.starter.value,
            ElementRole::Deck => &job.products.deck.value,
        };
        let beside = leads.get(at + 1).is_some_and(|next| next.from == lead.to);
        parts.push(Part::Lead(lead_loop_ohms(&job.products.lead.value, lead.length)));
        parts.push(Part::Element { element, inches: segment.cut_length, beside });
    }
    parts
}

/// Solves a chain behind its leads, in steady use.
pub(super) fn chain_state(courses: &Courses, segments: &[SegmentId], leads: &[&Lead], job: &Job) -> ChainState {
    let electrical = &job.electrical;
    solve_steady(
        electrical.volts.value,
        &chain_parts(courses, segments, leads, job),
        electrical.running_temperature.value,
    )
}

/// A branch circuit with the wires its job asks for; `carrying` and home run as the job says, no home run without a panel.
#[must_use]
pub fn branch(job: &Job, breaker: f64, amps: f64) -> Branch {
    let electrical = &job.electrical;
    let conditions = Conditions {
        edition: electrical.code_edition.value,
        terminals: if electrical.terminals >= 75 { Rating::C75 } else { Rating::C60 },
        ambient: celsius(electrical.ambient),
        carrying: CARRYING_OF_A_CIRCUIT * electrical.circuits_per_conduit,
    };
    Branch {
        breaker,
        amps,
        volts: electrical.volts.value,
        home_run: electrical.panel.as_ref().map_or(0.0, |panel| panel.home_run),
        drop_limit: electrical.branch_drop,
        conditions,
    }
}

/// The continuous current one circuit may carry, amperes.
pub(super) fn circuit_capacity(job: &Job) -> Option<f64> {
    largest_standard_rating(job.electrical.largest_breaker).map(continuous_capacity)
}

/// Groups chains on the fewest circuits that packing finds, box by box where that costs none.
/// Chains are marked with their circuit. Every chain must fit a circuit of its own.
pub(super) fn group(chains: &mut [Chain], zones: &Zones, courses: &Courses, job: &Job) -> Vec<Circuit> {
    let Some(capacity) = circuit_capacity(job) else { return Vec::new() };
    let priority = |chain: &Chain| {
        let of = |id: &SegmentId| zones.zones[courses.segments[id.index()].zone.index()].priority;
        chain.segments.iter().map(of).min().unwrap_or(u32::MAX)
    };
    let loads: Vec<Load> = chains
        .iter()
        .map(|c| Load { priority: priority(c), junction_box: c.junction_box, amps: c.amps, chains: vec![c.id] })
        .collect();
    let mut circuits = Vec::new();
    for (number, group) in grouped(&loads, capacity).into_iter().enumerate() {
        let mut members = group.chains;
        members.sort();
        let id = CircuitId::new(number);
        for member in &members {
            chains[member.index()].circuit = id;
        }
        let own = || members.iter().map(|m| &chains[m.index()]);
        let amps: f64 = own().map(|c| c.amps).sum();
        let breaker = breaker_for(amps).unwrap_or(job.electrical.largest_breaker);
        let sizes = branch_sizes(&branch(job, breaker, amps));
        circuits.push(Circuit {
            id,
            tag: id.to_string(),
            watts: own().map(|c| c.watts).sum(),
            amps,
            breaker,
            conductor_awg: sizes.map_or(0, |s| s.conductor),
            ground_awg: sizes.map_or(0, |s| s.ground),
            priority: own().map(priority).min().unwrap_or(u32::MAX),
            chains: members.clone(),
        });
    }
    circuits
}

//! Chains behind their real leads, and chains grouped on branch circuits.

use super::model::{Chain, Circuit, Lead};
use crate::courses::{Courses, ElementRole};
use crate::electrical::{
    ChainState, Piece, breaker_for, conductor_for, continuous_capacity, element_strip, equipment_ground_for,
    largest_standard_rating, lead_loop_ohms, solve,
};
use crate::index::{ChainId, CircuitId, SegmentId};
use crate::job::Job;
use crate::zones::Zones;

/// Solves a chain behind its leads: `leads` holds the feed and then the jumpers, `segments` the elements in the same order.
pub(super) fn chain_state(courses: &Courses, segments: &[SegmentId], leads: &[&Lead], job: &Job) -> ChainState {
    let mut pieces = Vec::new();
    for (segment, lead) in segments.iter().zip(leads) {
        let segment = &courses.segments[segment.index()];
        let element = match segment.element {
            ElementRole::Starter => &job.products.starter.value,
            ElementRole::Deck => &job.products.deck.value,
        };
        pieces.push(Piece::Lead(lead_loop_ohms(&job.products.lead.value, lead.length)));
        pieces.push(Piece::Strip(element_strip(element, segment.cut_length)));
    }
    solve(job.electrical.volts.value, &pieces)
}

/// The continuous current one circuit may carry, amperes.
pub(super) fn circuit_capacity(job: &Job) -> Option<f64> {
    largest_standard_rating(job.electrical.largest_breaker).map(continuous_capacity)
}

/// Groups chains on circuits: by priority, then box, largest first, each into the first circuit with room.
/// Chains are marked with their circuit. Every chain must fit a circuit of its own.
pub(super) fn group(chains: &mut [Chain], zones: &Zones, courses: &Courses, job: &Job) -> Vec<Circuit> {
    let Some(capacity) = circuit_capacity(job) else { return Vec::new() };
    let priority = |chain: &Chain| {
        let of = |id: &SegmentId| zones.zones[courses.segments[id.index()].zone.index()].priority;
        chain.segments.iter().map(of).min().unwrap_or(u32::MAX)
    };
    let mut order: Vec<usize> = (0..chains.len()).collect();
    order.sort_by(|&a, &b| {
        let (x, y) = (&chains[a], &chains[b]);
        (priority(x), x.junction_box)
            .cmp(&(priority(y), y.junction_box))
            .then(y.amps.total_cmp(&x.amps))
            .then(x.id.cmp(&y.id))
    });
    let mut groups: Vec<(f64, Vec<ChainId>)> = Vec::new();
    for at in order {
        let amps = chains[at].amps;
        // One part in a million: 24 A of load on 24 A of room is a fit whatever the last bit says.
        match groups.iter_mut().find(|(sum, _)| sum + amps <= capacity * (1.0 + 1e-6)) {
            Some((sum, members)) => {
                *sum += amps;
                members.push(chains[at].id);
            }
            None => groups.push((amps, vec![chains[at].id])),
        }
    }
    let mut circuits = Vec::new();
    for (number, (_, mut members)) in groups.into_iter().enumerate() {
        members.sort();
        let id = CircuitId::new(number);
        for member in &members {
            chains[member.index()].circuit = id;
        }
        let own = || members.iter().map(|m| &chains[m.index()]);
        let amps: f64 = own().map(|c| c.amps).sum();
        let breaker = breaker_for(amps).unwrap_or(job.electrical.largest_breaker);
        circuits.push(Circuit {
            id,
            tag: id.to_string(),
            watts: own().map(|c| c.watts).sum(),
            amps,
            breaker,
            conductor_awg: conductor_for(breaker).unwrap_or(0),
            ground_awg: equipment_ground_for(breaker).unwrap_or(0),
            priority: own().map(priority).min().unwrap_or(u32::MAX),
            chains: members.clone(),
        });
    }
    circuits
}

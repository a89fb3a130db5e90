//! Each chain solved once, for every check that asks.

use crate::catalog::Element;
use crate::courses::{Courses, ElementRole, Segment};
use crate::electrical::{ChainState, Part, solve_steady};
use crate::job::Job;
use crate::wiring::{Chain, Lead, Wiring, chain_parts};

/// A chain with its parts from the box outwards and how they stand in steady use at the supply voltage.
pub(super) struct SolvedChain<'a> {
    pub chain: &'a Chain,
    pub parts: Vec<Part<'a>>,
    pub state: ChainState,
}

/// All chains, in chain order.
pub(super) fn solved<'a>(courses: &Courses, wiring: &'a Wiring, job: &'a Job) -> Vec<SolvedChain<'a>> {
    let electrical = &job.electrical;
    let of = |chain: &'a Chain| {
        let feeds = chain.segments.iter().filter_map(|&segment| wiring.feed(segment));
        let leads: Vec<&Lead> = feeds.map(|feed| &wiring.leads[feed.lead.index()]).collect();
        let parts = chain_parts(courses, &chain.segments, &leads, job);
        let state = solve_steady(electrical.volts.value, &parts, electrical.running_temperature.value);
        SolvedChain { chain, parts, state }
    };
    wiring.chains.iter().map(of).collect()
}

/// The product a segment is cut from.
pub(super) fn element_of<'a>(segment: &Segment, job: &'a Job) -> &'a Element {
    match segment.element {
        ElementRole::Starter => &job.products.starter.value,
        ElementRole::Deck => &job.products.deck.value,
    }
}

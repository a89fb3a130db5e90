//! [`Courses`] become [`Wiring`].
//!
//! Lanes are found on every face, joined to one route graph, and filled: segments are chained, chains are routed to boxes, leads
//! are drawn leg by leg, chains are solved behind their leads and grouped on circuits. A segment with no way out is refused.
//!
//! A chain is fed once and its segments are joined by jumpers. Both bus bars run the whole segment, so a jumper leaves from the end
//! that was not fed where a lane opens there, and the chain snakes up the courses. Where that end is shut in by a hip, a valley or an
//! opening, the jumper leaves from the fed end, and the segments hang side by side on one line. A jumper is two connections either
//! way. All element of a chain together is no longer than one piece may be, so no connection carries more than a whole piece draws.

mod assign;
mod boxes;
mod build;
mod chains;
mod check;
mod circuits;
mod cover;
mod crossings;
mod draw;
mod flow;
mod graph;
#[cfg(test)]
pub(crate) mod hand_made;
mod hints;
mod lanes;
mod larger;
mod leading;
mod legs;
mod model;
mod nails;
mod network;
mod optimum;
#[cfg(test)]
mod optimum_tests;
mod packing;
#[cfg(test)]
mod refusals;
mod relay;
mod retrofit;
#[cfg(test)]
mod retrofit_tests;
#[cfg(test)]
mod samples;
mod sensor;
mod shed;
mod sizes;
mod slots;
mod space;
#[cfg(test)]
mod tests;
mod tracks;

pub use check::check_invariants;
pub use circuits::{CARRYING_OF_A_CIRCUIT, branch, chain_parts};
pub use model::*;

use crate::courses::Courses;
use crate::error::Result;
use crate::finding::Outcome;
use crate::import::SourceFrame;
use crate::index::SegmentId;
use crate::job::{Job, Work};
use crate::roof::Roof;
use crate::zones::Zones;
use std::collections::BTreeSet;

/// Feeds every segment, or says why it cannot. What the panel cannot carry is left off and the rest wired anew.
///
/// # Errors
/// `box-place` when a box of the job lies nowhere near the roof.
pub fn wiring(
    roof: &Roof,
    zones: &Zones,
    courses: &Courses,
    frame: &SourceFrame,
    job: &Job,
) -> Result<Outcome<Wiring>> {
    let mut shed: Vec<Shed> = Vec::new();
    loop {
        let left_off: BTreeSet<SegmentId> = shed.iter().flat_map(|s| s.segments.iter().copied()).collect();
        let mut wired = wire(roof, zones, courses, frame, job, &left_off)?;
        let more = shed::too_much(&wired.value, zones, courses, job);
        if more.is_empty() {
            wired.findings.extend(shed::mark(shed, courses, job, &mut wired.value));
            return Ok(wired);
        }
        shed.extend(more);
    }
}

/// Feeds every segment but those left off.
fn wire(
    roof: &Roof,
    zones: &Zones,
    courses: &Courses,
    frame: &SourceFrame,
    job: &Job,
    left_off: &BTreeSet<SegmentId>,
) -> Result<Outcome<Wiring>> {
    let mut findings = Vec::new();
    let facts = build::face_facts(zones, courses, job);
    let hints = hints::Hints { roof, frame, job };
    let mut graph = build::build(zones, courses, &facts, hints);
    let mut boxes = boxes::job_boxes(&mut graph, zones, &facts, hints, &mut findings)?;
    let open: Vec<usize> = (0..boxes.len()).collect();
    graph.link_lanes();
    boxes.extend(boxes::outside_candidates(&graph, zones, hints));
    // A chain that finds no way as a whole is tried again in single segments.
    let mut single: BTreeSet<SegmentId> = BTreeSet::new();
    if job.roof.work.value == Work::Retrofit {
        boxes.extend(retrofit::rake_candidates(&graph, zones, job));
        boxes.extend(retrofit::attic_candidates(&graph, zones, job));
        single = under_tabs(&mut graph, &boxes, &open, courses, zones, job, left_off);
    }
    let alone = single.clone();
    let (chains, booked) = loop {
        let mut lanes = vec![0; graph.lanes.len()];
        let chaining = chains::Chaining::new(&graph, zones, courses, job, left_off);
        let chains = chaining.plan(&single, &mut lanes);
        let choices = assign::Choices { graph: &graph, chains: &chains, boxes: &boxes, courses };
        let booked = choices.serve(lanes, &open);
        let stuck = (0..chains.len()).filter(|&c| !booked.served.iter().any(|s| s.chain == c));
        let whole: Vec<SegmentId> =
            stuck.filter(|&c| chains[c].segments.len() > 1).flat_map(|c| chains[c].segments.clone()).collect();
        if whole.is_empty() {
            break (chains, booked);
        }
        single.extend(whole);
    };
    let plan = draw::Plan { graph, chains, boxes, booked };
    let (best, parts) = improved(&plan, &open, &alone, zones, courses, (job, left_off));
    let mut made = draw::draw(best, zones, courses, &facts, job, findings.clone());
    let unfed: u32 = parts.iter().map(|part| part.value.unfed).sum();
    made.value.parts = parts;
    // Segments without any lane at their ends are in no part.
    let in_parts: usize = made.value.parts.iter().map(|part| part.segments as usize).sum();
    let no_way = courses.segments.len() - left_off.len() - in_parts;
    if made.value.unfed.len() <= unfed as usize + no_way {
        return Ok(made);
    }
    // What lies best on the graph may lie on one another on the roof: then the step-by-step choice counts if it feeds more.
    let mut stepwise = draw::draw(plan, zones, courses, &facts, job, findings);
    stepwise.value.parts.clone_from(&made.value.parts);
    Ok(if stepwise.value.unfed.len() < made.value.unfed.len() { stepwise } else { made })
}

/// The plan with every small part of the graph fed the best way, and how good each part is.
fn improved(
    plan: &draw::Plan,
    open: &[usize],
    single: &BTreeSet<SegmentId>,
    zones: &Zones,
    courses: &Courses,
    (job, left_off): (&Job, &BTreeSet<SegmentId>),
) -> (draw::Plan, Vec<PartFed>) {
    let chaining = chains::Chaining::new(&plan.graph, zones, courses, job, left_off);
    let best = optimum::Best { graph: &plan.graph, chaining: &chaining, courses, boxes: &plan.boxes, open, job };
    let used: BTreeSet<usize> = plan.booked.served.iter().map(|served| served.box_plan).collect();
    let mut better = plan.clone();
    let mut parts = Vec::new();
    for part in best.parts() {
        let stepwise = best.measure(&part, &plan.chains, &plan.booked.served);
        let exact = best.feed(&part, single);
        let (mut value, mut bound) = match &exact {
            Some(fed) => (fed.measure.min(stepwise), fed.bound),
            None => (stepwise, optimum::Measure::default()),
        };
        if let Some(fed) = exact.filter(|fed| fed.measure < stepwise) {
            better.replace(&part.segments, fed);
        }
        if value != bound
            && let Some((fed, least)) = (larger::Larger { best: &best, part: &part, single, used: &used }).feed(value)
        {
            bound = bound.max(least);
            if let Some(fed) = fed {
                value = fed.measure;
                better.replace(&part.segments, fed);
            }
        }
        let inches = |m: optimum::Measure| PartValue { unfed: m.unfed, boxes: m.boxes, lead: m.length as f64 / 1000.0 };
        parts.push(PartFed {
            segments: part.segments.len() as u32,
            boxes_to_choose: part.boxes.iter().filter(|b| !open.contains(b)).count() as u32,
            value: inches(value),
            bound: inches(bound),
            proven: value == bound,
        });
    }
    (better, parts)
}

/// Pieces of a retrofit that are led away under their own tab or through the deck. They keep these ways alone; all others keep the lanes
/// that are stripped and relaid, which cost more and are taken only where nothing else is left.
fn under_tabs(
    graph: &mut graph::Graph,
    boxes: &[boxes::BoxPlan],
    open: &[usize],
    courses: &Courses,
    zones: &Zones,
    job: &Job,
    left_off: &BTreeSet<SegmentId>,
) -> BTreeSet<SegmentId> {
    let all = graph.ends.clone();
    retrofit::keep_ends(graph, courses, |_| true);
    let every: BTreeSet<SegmentId> = courses.segments.iter().map(|s| s.id).collect();
    let mut lanes = vec![0; graph.lanes.len()];
    let chains = chains::Chaining::new(graph, zones, courses, job, left_off).plan(&every, &mut lanes);
    let booked = assign::Choices { graph, chains: &chains, boxes, courses }.serve(lanes, open);
    let served: BTreeSet<SegmentId> = booked.served.iter().flat_map(|s| chains[s.chain].segments.clone()).collect();
    graph.ends = all;
    retrofit::keep_ends(graph, courses, |segment| served.contains(&segment));
    served
}

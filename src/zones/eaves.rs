//! Eaves of a face become groups, and heated groups become zones.

use super::Inputs;
use super::bands::clear_regions;
use super::layout::{ONE_LEVEL, kind_for};
use super::model::{FaceEdge, FaceLayout, Interval2, Reason, Zone, ZoneKind};
use super::reach::{EaveHint, Reach, reach_of};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Interval, Segment2};
use crate::index::{EdgeId, FaceId, ZoneId};
use crate::roof::Roof;
use crate::terms::EdgeKind;
use crate::units::decimal;

/// Neighbouring eaves of one face on one level that are heated alike.
pub(super) struct EaveGroup {
    pub edges: Vec<EdgeId>,
    pub base_v: f64,
    pub own: Interval,
    /// `own` with what lies beyond its ends up to the next eave or the end of the face.
    pub along: Interval,
    pub heated: bool,
    pub reach: Reach,
}

/// The face's eaves by level, split where their heating changes, each with the stretch of the face that drains to it.
pub(super) fn eave_groups(inputs: &Inputs, layout: &FaceLayout, findings: &mut Vec<Finding>) -> Vec<EaveGroup> {
    let Inputs { roof, job, hints, .. } = inputs;
    let mut eaves: Vec<(&FaceEdge, bool)> = layout
        .edges
        .iter()
        .filter_map(|edge| {
            let hint = hints.get(&edge.edge).and_then(|hint| hint.heated);
            match (edge.kind, kind_for(roof, layout.face, edge.edge)) {
                (EdgeKind::Eave, _) => Some((edge, hint.unwrap_or(job.heat.eaves))),
                (EdgeKind::Step, EdgeKind::Eave) => {
                    if hint.is_none() && job.heat.eaves {
                        findings.push(step_eave_finding(roof, layout.face, edge.edge));
                    }
                    Some((edge, hint.unwrap_or(false)))
                }
                _ => None,
            }
        })
        .collect();
    eaves.sort_by(|a, b| top(a.0).total_cmp(&top(b.0)).then(a.0.a.x.total_cmp(&b.0.a.x)));
    let mut groups: Vec<EaveGroup> = Vec::new();
    for level in eaves.chunk_by(|a, b| top(b.0) - top(a.0) <= ONE_LEVEL) {
        let mut level: Vec<_> = level.to_vec();
        level.sort_by(|a, b| span(a.0).low.total_cmp(&span(b.0).low));
        for alike in level.chunk_by(|a, b| a.1 == b.1) {
            groups.push(group_of(inputs, layout, alike, findings));
        }
    }
    extend_to_neighbours(layout, &mut groups);
    groups
}

fn top(edge: &FaceEdge) -> f64 {
    edge.a.y.max(edge.b.y)
}

fn span(edge: &FaceEdge) -> Interval {
    Interval::new(edge.a.x, edge.b.x)
}

fn group_of(
    inputs: &Inputs,
    layout: &FaceLayout,
    eaves: &[(&FaceEdge, bool)],
    findings: &mut Vec<Finding>,
) -> EaveGroup {
    let roof = inputs.roof;
    let heated = eaves[0].1;
    let own = Interval {
        low: eaves.iter().map(|(edge, _)| span(edge).low).fold(f64::INFINITY, f64::min),
        high: eaves.iter().map(|(edge, _)| span(edge).high).fold(f64::NEG_INFINITY, f64::max),
    };
    let reaches = eaves.iter().map(|(edge, _)| {
        let hint = inputs
            .hints
            .get(&edge.edge)
            .map_or(EaveHint::default(), |h| EaveHint { overhang: h.overhang, reach: h.reach });
        let plan = Segment2::new(layout.frame.to_plan(edge.a), layout.frame.to_plan(edge.b));
        reach_of(&inputs.walls, plan, roof.face(layout.face).pitch, hint, inputs.job)
    });
    // The deepest of the eaves on one level holds for all: their courses run through.
    let reach = reaches.reduce(|best, next| if next.inches > best.inches { next } else { best });
    let skew = eaves.iter().map(|(edge, _)| (edge.a.y - edge.b.y).abs()).fold(0.0, f64::max);
    if heated && skew > ONE_LEVEL {
        let edge = eaves[0].0.edge;
        findings.push(
            Finding::new(
                Severity::Warning,
                "eave-not-level",
                format!(
                    "{edge} climbs {} in along its length; courses are laid level from its higher end and leave a wedge below them cold",
                    decimal(skew, 2)
                ),
                Place::item(edge).with_point(roof.segment(edge).midpoint()),
            )
            .with_hint("verify the eave and the pitch of its face on the roof"),
        );
    }
    EaveGroup {
        edges: eaves.iter().map(|(edge, _)| edge.edge).collect(),
        base_v: eaves.iter().map(|(edge, _)| top(edge)).fold(f64::NEG_INFINITY, f64::max),
        own,
        along: own,
        heated,
        reach: reach.expect("a group has an eave"),
    }
}

/// What lies beyond an eave's end, beside a valley, drains to its foot: the stretch goes on to the next eave or the end of the face.
fn extend_to_neighbours(layout: &FaceLayout, groups: &mut [EaveGroup]) {
    let Some(bounds) = layout.region.exterior.bounds() else { return };
    let own: Vec<Interval> = groups.iter().map(|group| group.own).collect();
    for group in groups {
        let before = own.iter().map(|o| o.high).filter(|&end| end <= group.own.low).fold(bounds.min.x, f64::max);
        let after = own.iter().map(|o| o.low).filter(|&start| start >= group.own.high).fold(bounds.max.x, f64::min);
        group.along = Interval { low: before, high: after };
    }
}

/// Boxes above the higher eaves of the face: a point belongs to the highest eave straight below it.
pub(super) fn drained_elsewhere(layout: &FaceLayout, group: &EaveGroup, groups: &[EaveGroup]) -> Vec<Interval2> {
    let Some(bounds) = layout.region.exterior.bounds() else { return Vec::new() };
    groups
        .iter()
        .filter(|other| other.base_v > group.base_v && other.base_v < bounds.max.y)
        .filter_map(|other| {
            let u = other.along.overlap(group.along)?;
            Some(Interval2 { u, v: Interval { low: other.base_v, high: bounds.max.y } })
        })
        .collect()
}

pub(super) fn eave_zone(id: ZoneId, layout: &FaceLayout, group: &EaveGroup, groups: &[EaveGroup]) -> Zone {
    let mut zone = Zone {
        id,
        face: layout.face,
        kind: ZoneKind::Eave,
        edges: group.edges.clone(),
        base_v: group.base_v,
        along: group.along,
        excluded: drained_elsewhere(layout, group, groups),
        at_drip_edge: true,
        continues: None,
        valley_width: 0.0,
        required_reach: group.reach.inches,
        reach_words: group.reach.words.clone(),
        reach_basis: group.reach.basis,
        reason: Reason::Dam,
        priority: 1,
        regions: Vec::new(),
    };
    let across = Interval { low: zone.base_v, high: zone.base_v + zone.required_reach };
    zone.regions = clear_regions(layout, &zone, across, 0.0);
    zone
}

fn step_eave_finding(roof: &Roof, face: FaceId, edge: EdgeId) -> Finding {
    Finding::new(
        Severity::Cold,
        "step-eave-cold",
        format!("{edge} is the foot of {face} above a lower roof and stays cold"),
        Place::item(edge).with_point(roof.segment(edge).midpoint()),
    )
    .with_hint("set heated = true for this edge to heat it like an eave")
}

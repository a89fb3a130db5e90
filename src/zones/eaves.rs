//! Eaves of a face become groups, and heated groups become zones.

use super::Inputs;
use super::bands::clear_regions;
use super::layout::{ONE_LEVEL, kind_for};
use super::model::{FaceEdge, FaceLayout, Interval2, Reason, Zone, ZoneKind};
use super::reach::{EaveHint, Reach, reach_of};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Interval, IntervalSet, Segment2};
use crate::index::{EdgeId, FaceId, ZoneId};
use crate::roof::Roof;
use crate::terms::EdgeKind;
use crate::units::decimal;

/// Neighbouring eaves of one face on one level that are heated alike.
pub(super) struct EaveGroup {
    pub edges: Vec<EdgeId>,
    pub base_v: f64,
    pub own: Interval,
    /// `own` with what lies beyond its ends up to the next eave or the end of the face: what drains to it.
    pub along: Interval,
    /// The part of `along` the job wants heated.
    pub stretch: Interval,
    /// Where the job limits that, left and right.
    limit: [Option<f64>; 2],
    pub heated: bool,
    pub reach: Reach,
    pub reason: Reason,
    pub priority: u32,
}

/// One eave of a face, or the stretch of it that the job wants heated.
#[derive(Clone, Copy)]
struct EaveUse<'a> {
    edge: &'a FaceEdge,
    heated: bool,
    limit: [Option<f64>; 2],
    reason: Reason,
    priority: u32,
    /// Its reach, where the job sets one for it alone.
    set_reach: Option<f64>,
}

impl EaveUse<'_> {
    /// Whether both are laid as one.
    fn like(&self, other: &Self) -> bool {
        let whole = |eave: &Self| eave.limit == [None, None];
        self.heated == other.heated
            && whole(self)
            && whole(other)
            && (self.reason, self.priority, self.set_reach) == (other.reason, other.priority, other.set_reach)
    }
}

/// What the job wants of one eave: all of it, a stretch, or the stretches above entries.
fn uses<'a>(inputs: &Inputs, layout: &FaceLayout, edge: &'a FaceEdge, by_default: bool) -> Vec<EaveUse<'a>> {
    let hint = inputs.hints.get(&edge.edge);
    let limit =
        hint.map_or([None, None], |hint| [hint.from, hint.to].map(|station| station.map(|s| span(edge).low + s)));
    let whole = EaveUse {
        edge,
        heated: hint.and_then(|hint| hint.heated).unwrap_or(by_default || limit != [None, None]),
        limit,
        reason: hint.and_then(|hint| hint.reason).unwrap_or(Reason::Dam),
        priority: hint.and_then(|hint| hint.priority).unwrap_or(1),
        set_reach: hint.and_then(|hint| hint.reach),
    };
    let above: Vec<Interval> = inputs
        .entries
        .iter()
        .filter(|entry| entry.edge == edge.edge)
        .map(|entry| {
            let middle = layout.frame.to_face(entry.middle).x;
            Interval { low: middle - 0.5 * entry.width, high: middle + 0.5 * entry.width }
        })
        .collect();
    if above.is_empty() {
        return vec![whole];
    }
    if whole.heated {
        let reason = hint.and_then(|hint| hint.reason).unwrap_or(Reason::EntryBelow);
        return vec![EaveUse { reason, ..whole }];
    }
    IntervalSet::from_union(above)
        .stretches()
        .iter()
        .map(|part| EaveUse {
            heated: true,
            limit: [Some(part.low), Some(part.high)],
            reason: Reason::EntryBelow,
            ..whole
        })
        .collect()
}

/// The face's eaves by level, split where their heating changes, each with the stretch of the face that drains to it.
pub(super) fn eave_groups(inputs: &Inputs, layout: &FaceLayout, findings: &mut Vec<Finding>) -> Vec<EaveGroup> {
    let Inputs { roof, job, hints, .. } = inputs;
    let mut eaves: Vec<EaveUse> = Vec::new();
    for edge in &layout.edges {
        match (edge.kind, kind_for(roof, layout.face, edge.edge)) {
            (EdgeKind::Eave, _) => eaves.extend(uses(inputs, layout, edge, job.heat.eaves)),
            (EdgeKind::Step, EdgeKind::Eave) => {
                let said =
                    hints.get(&edge.edge).is_some_and(|hint| hint.heated.is_some() || hint.from.or(hint.to).is_some());
                if !said && job.heat.eaves {
                    findings.push(step_eave_finding(roof, layout.face, edge.edge));
                }
                eaves.extend(uses(inputs, layout, edge, false));
            }
            _ => {}
        }
    }
    eaves.sort_by(|a, b| top(a.edge).total_cmp(&top(b.edge)).then(a.edge.a.x.total_cmp(&b.edge.a.x)));
    let mut groups: Vec<EaveGroup> = Vec::new();
    for level in eaves.chunk_by(|a, b| top(b.edge) - top(a.edge) <= ONE_LEVEL) {
        let mut level: Vec<EaveUse> = level.to_vec();
        level.sort_by(|a, b| span(a.edge).low.total_cmp(&span(b.edge).low));
        for alike in level.chunk_by(EaveUse::like) {
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

fn group_of(inputs: &Inputs, layout: &FaceLayout, eaves: &[EaveUse], findings: &mut Vec<Finding>) -> EaveGroup {
    let roof = inputs.roof;
    let EaveUse { heated, limit, reason, priority, .. } = eaves[0];
    let own = Interval {
        low: eaves.iter().map(|eave| span(eave.edge).low).fold(f64::INFINITY, f64::min),
        high: eaves.iter().map(|eave| span(eave.edge).high).fold(f64::NEG_INFINITY, f64::max),
    };
    let reaches = eaves.iter().map(|EaveUse { edge, .. }| {
        let hint = inputs
            .hints
            .get(&edge.edge)
            .map_or(EaveHint::default(), |h| EaveHint { overhang: h.overhang, reach: h.reach });
        let plan = Segment2::new(layout.frame.to_plan(edge.a), layout.frame.to_plan(edge.b));
        reach_of(&inputs.walls, plan, roof.face(layout.face).pitch, hint, inputs.job)
    });
    // The deepest of eaves heated alike holds for all: their courses run through. One whose reach the job sets stands alone.
    let reach = reaches.reduce(|best, next| if next.inches > best.inches { next } else { best });
    let skew = eaves.iter().map(|eave| (eave.edge.a.y - eave.edge.b.y).abs()).fold(0.0, f64::max);
    if heated && skew > ONE_LEVEL {
        let edge = eaves[0].edge.edge;
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
        edges: eaves.iter().map(|eave| eave.edge.edge).collect(),
        base_v: eaves.iter().map(|eave| top(eave.edge)).fold(f64::NEG_INFINITY, f64::max),
        own,
        along: own,
        stretch: own,
        limit,
        heated,
        reason,
        priority,
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
        let [from, to] = group.limit;
        group.stretch =
            Interval { low: from.map_or(before, |from| from.max(before)), high: to.map_or(after, |to| to.min(after)) };
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
        along: group.stretch,
        excluded: drained_elsewhere(layout, group, groups),
        at_drip_edge: true,
        continues: None,
        valley_width: 0.0,
        required_reach: group.reach.inches,
        reach_words: group.reach.words.clone(),
        reach_basis: group.reach.basis,
        reason: group.reason,
        priority: group.priority,
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

//! Heated valleys become zones that run on above the eave's courses.

use super::Inputs;
use super::bands::clear_regions;
use super::eaves::{EaveGroup, drained_elsewhere};
use super::layout::ONE_LEVEL;
use super::model::{FaceEdge, FaceLayout, Reason, Zone, ZoneKind};
use crate::geometry::Interval;
use crate::index::ZoneId;
use crate::roof::Basis;
use crate::terms::EdgeKind;
use crate::units::decimal;

/// Valley heat reaches this far above the eave's reach unless the job says otherwise, inches (common practice).
const VALLEY_ABOVE_REACH: f64 = 24.0;

/// The heated valley edges of a face, joined where they meet end to end.
pub(super) fn heated_valleys<'a>(inputs: &Inputs, layout: &'a FaceLayout) -> Vec<Vec<&'a FaceEdge>> {
    let heated = |edge: &&FaceEdge| {
        edge.kind == EdgeKind::Valley
            && inputs.hints.get(&edge.edge).and_then(|hint| hint.heated).unwrap_or(inputs.job.heat.valleys)
    };
    let mut chains: Vec<Vec<&FaceEdge>> = Vec::new();
    // Edges come in walking order, so two that meet follow each other, but for the loop's own seam.
    for edge in layout.edges.iter().filter(heated) {
        match chains.last_mut() {
            Some(chain) if chain.last().is_some_and(|last| last.b == edge.a) => chain.push(edge),
            _ => chains.push(vec![edge]),
        }
    }
    if chains.len() > 1 && chains.last().and_then(|c| c.last()).map(|e| e.b) == chains[0].first().map(|e| e.a) {
        let mut tail = chains.pop().unwrap_or_default();
        tail.append(&mut chains[0]);
        chains[0] = tail;
    }
    let foot = |chain: &[&FaceEdge]| chain.iter().flat_map(|e| [e.a, e.b]).map(|p| p.x).fold(f64::INFINITY, f64::min);
    chains.sort_by(|a, b| foot(a).total_cmp(&foot(b)));
    chains
}

pub(super) fn valley_zone(
    id: ZoneId,
    layout: &FaceLayout,
    chain: &[&FaceEdge],
    groups: &[EaveGroup],
    zone_of_group: &[Option<ZoneId>],
    zones: &[Zone],
    inputs: &Inputs,
) -> Zone {
    let job = inputs.job;
    let hint = inputs.hints.get(&chain[0].edge);
    let ends = || chain.iter().flat_map(|edge| [edge.a, edge.b]);
    let foot = ends().min_by(|p, q| p.y.total_cmp(&q.y)).expect("a chain has an edge");
    // The highest eave at or below the foot: its courses run on beside the valley.
    let below = groups
        .iter()
        .enumerate()
        .filter(|(_, g)| {
            g.base_v <= foot.y + ONE_LEVEL && g.along.low <= foot.x + ONE_LEVEL && g.along.high >= foot.x - ONE_LEVEL
        })
        .max_by(|a, b| a.1.base_v.total_cmp(&b.1.base_v).then((a.1.heated).cmp(&b.1.heated)));
    let base_v = below.map_or(foot.y, |(_, group)| group.base_v);
    // A stretch of the eave heated elsewhere is nothing to go on from.
    let beside = |group: &EaveGroup| (group.stretch.low - ONE_LEVEL..=group.stretch.high + ONE_LEVEL).contains(&foot.x);
    let continues = below.filter(|(_, group)| beside(group)).and_then(|(position, _)| zone_of_group[position]);
    let set_height = hint.and_then(|hint| hint.reach).or(job.heat.valley_height);
    let height = match (set_height, below) {
        (Some(height), _) => height,
        (None, Some((_, group))) => group.reach.inches + VALLEY_ABOVE_REACH,
        (None, None) => VALLEY_ABOVE_REACH,
    };
    let width = job.heat.valley_width;
    let mut zone = Zone {
        id,
        face: layout.face,
        kind: ZoneKind::Valley,
        edges: chain.iter().map(|edge| edge.edge).collect(),
        base_v,
        along: layout.region.exterior.bounds().map_or(Interval::new(0.0, 0.0), |b| Interval::new(b.min.x, b.max.x)),
        excluded: below.map_or_else(Vec::new, |(_, group)| drained_elsewhere(layout, group, groups)),
        at_drip_edge: below.is_some(),
        continues,
        valley_width: width,
        required_reach: (foot.y - base_v).max(0.0) + height,
        reach_words: format!(
            "valley: {} in to each side, up to {} in along the slope above its foot",
            decimal(width, 2),
            decimal(height, 2)
        ),
        reach_basis: if set_height.is_some() {
            Basis::Set
        } else {
            below.map_or(Basis::Assumed, |(_, g)| g.reach.basis)
        },
        reason: hint.and_then(|hint| hint.reason).unwrap_or(Reason::Valley),
        priority: hint.and_then(|hint| hint.priority).unwrap_or(1),
        regions: Vec::new(),
    };
    let start = continues.map_or(base_v, |eave| base_v + zones[eave.index()].required_reach);
    let across = Interval { low: start, high: base_v + zone.required_reach };
    zone.regions = clear_regions(layout, &zone, across, 0.0);
    zone
}

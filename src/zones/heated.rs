//! Eaves and valleys become heated bands.

use super::bands::clear_regions;
use super::layout::{ONE_LEVEL, kind_for};
use super::model::{FaceEdge, FaceLayout, Interval2, Reason, Zone, ZoneKind};
use super::reach::{EaveHint, Reach, reach_of};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Interval, Segment2};
use crate::index::{EdgeId, FaceId, ZoneId};
use crate::job::{EdgeHint, Job, ValleyType};
use crate::roof::{Basis, Roof};
use crate::terms::EdgeKind;
use crate::units::{decimal, pitch_in_12};
use std::collections::BTreeMap;

/// Least pitch under asphalt shingles, rise per run. Source: IRC R905.2.2 as quoted on public pages.
const LEAST_PITCH: f64 = 2.0 / 12.0;
/// Below this the shingles need a double underlayment. Source: IRC R905.2.2 as quoted on public pages.
const SINGLE_UNDERLAYMENT: f64 = 4.0 / 12.0;
/// Above this shingles go by their maker's approved instructions. Source: IRC R905.2.6 (2018) as quoted on a public page.
const STEEPEST_PITCH: f64 = 21.0 / 12.0;
/// A pitch solved from linework may miss a limit by rounding.
const PITCH_ROUNDING: f64 = 1e-6;
/// Valley heat reaches this far above the eave's reach unless the job says otherwise, inches (common practice).
const VALLEY_ABOVE_REACH: f64 = 24.0;

type Hints = BTreeMap<EdgeId, EdgeHint>;

/// Neighbouring eaves of one face on one level that are heated alike.
struct EaveGroup {
    edges: Vec<EdgeId>,
    base_v: f64,
    own: Interval,
    /// `own` with what lies beyond its ends up to the next eave or the end of the face.
    along: Interval,
    heated: bool,
    reach: Reach,
}

/// All zones, by face, eaves before valleys, from low to high and left to right.
pub(super) fn zones_of(
    roof: &Roof,
    layouts: &[FaceLayout],
    hints: &Hints,
    job: &Job,
    findings: &mut Vec<Finding>,
) -> Vec<Zone> {
    note_hints_without_effect(roof, layouts, hints, findings);
    let mut zones = Vec::new();
    for layout in layouts {
        zones_on(roof, layout, hints, job, &mut zones, findings);
    }
    note_assumptions(roof, &zones, job, findings);
    note_valley_type(roof, layouts, &zones, job, findings);
    zones
}

fn zones_on(
    roof: &Roof,
    layout: &FaceLayout,
    hints: &Hints,
    job: &Job,
    zones: &mut Vec<Zone>,
    findings: &mut Vec<Finding>,
) {
    let mut groups = eave_groups(roof, layout, hints, job, findings);
    let valleys = heated_valleys(layout, hints, job);
    if valleys.is_empty() && !groups.iter().any(|group| group.heated) {
        return;
    }
    if !may_be_heated(roof, layout, findings) {
        return;
    }
    groups.sort_by(|a, b| a.base_v.total_cmp(&b.base_v).then(a.own.low.total_cmp(&b.own.low)));
    let mut zone_of_group = vec![None; groups.len()];
    for (position, group) in groups.iter().enumerate().filter(|(_, group)| group.heated) {
        let id = ZoneId::new(zones.len());
        zone_of_group[position] = Some(id);
        zones.push(eave_zone(id, layout, group, &groups));
    }
    for chain in valleys {
        let id = ZoneId::new(zones.len());
        let zone = valley_zone(id, layout, &chain, &groups, &zone_of_group, zones, job);
        zones.push(zone);
    }
}

/// Whether the covering may lie on a face of this pitch and its edges are settled; if not, a finding says why it stays cold.
fn may_be_heated(roof: &Roof, layout: &FaceLayout, findings: &mut Vec<Finding>) -> bool {
    let face = roof.face(layout.face);
    let pitch = pitch_in_12(face.pitch);
    let place = || {
        let place = Place::item(layout.face);
        match layout.region.exterior.bounds() {
            Some(bounds) => place.with_point(layout.frame.to_plan(bounds.center())),
            None => place,
        }
    };
    let open: Vec<String> = layout
        .edges
        .iter()
        .filter(|edge| roof.edge(edge.edge).basis == Basis::Ambiguous || edge.kind == EdgeKind::Unknown)
        .map(|edge| edge.edge.to_string())
        .collect();
    let cold = |code, words: String, hint| Finding::new(Severity::Cold, code, words, place()).with_hint(hint);
    if !open.is_empty() {
        findings.push(cold(
            "face-open",
            format!("{} stays cold: the drawing leaves open what {} is", layout.face, open.join(", ")),
            "answer the question that `inspect` prints, with a kind for the edge or a pitch or arrow for the face",
        ));
        return false;
    }
    if face.pitch < LEAST_PITCH - PITCH_ROUNDING {
        findings.push(cold(
            "pitch-too-low",
            format!(
                "{} stays cold: its pitch is {pitch}, and asphalt shingles are not laid below 2:12 (IRC R905.2.2)",
                layout.face
            ),
            "verify the pitch; a flatter roof has another covering and needs another kind of heating",
        ));
        return false;
    }
    if face.pitch > STEEPEST_PITCH + PITCH_ROUNDING {
        findings.push(cold(
            "pitch-too-steep",
            format!(
                "{} stays cold: its pitch is {pitch}, and above 21:12 shingles go by their maker's approved instructions (IRC R905.2.6)",
                layout.face
            ),
            "verify the pitch; a face this steep is laid out by hand with the shingle maker's instructions",
        ));
        return false;
    }
    if face.pitch < SINGLE_UNDERLAYMENT - PITCH_ROUNDING {
        findings.push(Finding::new(
            Severity::Note,
            "double-underlayment",
            format!(
                "{} is {pitch}: from 2:12 to below 4:12 asphalt shingles need a double underlayment (IRC R905.2.2)",
                layout.face
            ),
            place(),
        ));
    }
    true
}

/// The face's eaves by level, split where their heating changes, each with the stretch of the face that drains to it.
fn eave_groups(
    roof: &Roof,
    layout: &FaceLayout,
    hints: &Hints,
    job: &Job,
    findings: &mut Vec<Finding>,
) -> Vec<EaveGroup> {
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
            groups.push(group_of(roof, layout, alike, hints, job, findings));
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
    roof: &Roof,
    layout: &FaceLayout,
    eaves: &[(&FaceEdge, bool)],
    hints: &Hints,
    job: &Job,
    findings: &mut Vec<Finding>,
) -> EaveGroup {
    let heated = eaves[0].1;
    let own = Interval {
        low: eaves.iter().map(|(edge, _)| span(edge).low).fold(f64::INFINITY, f64::min),
        high: eaves.iter().map(|(edge, _)| span(edge).high).fold(f64::NEG_INFINITY, f64::max),
    };
    let reaches = eaves.iter().map(|(edge, _)| {
        let hint =
            hints.get(&edge.edge).map_or(EaveHint::default(), |h| EaveHint { overhang: h.overhang, reach: h.reach });
        let plan = Segment2::new(layout.frame.to_plan(edge.a), layout.frame.to_plan(edge.b));
        reach_of(roof, plan, roof.face(layout.face).pitch, hint, job)
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
fn drained_elsewhere(layout: &FaceLayout, group: &EaveGroup, groups: &[EaveGroup]) -> Vec<Interval2> {
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

fn eave_zone(id: ZoneId, layout: &FaceLayout, group: &EaveGroup, groups: &[EaveGroup]) -> Zone {
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

/// The heated valley edges of a face, joined where they meet end to end.
fn heated_valleys<'a>(layout: &'a FaceLayout, hints: &Hints, job: &Job) -> Vec<Vec<&'a FaceEdge>> {
    let heated = |edge: &&FaceEdge| {
        edge.kind == EdgeKind::Valley && hints.get(&edge.edge).and_then(|hint| hint.heated).unwrap_or(job.heat.valleys)
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

fn valley_zone(
    id: ZoneId,
    layout: &FaceLayout,
    chain: &[&FaceEdge],
    groups: &[EaveGroup],
    zone_of_group: &[Option<ZoneId>],
    zones: &[Zone],
    job: &Job,
) -> Zone {
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
    let continues = below.and_then(|(position, _)| zone_of_group[position]);
    let height = match (job.heat.valley_height, below) {
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
        reach_basis: if job.heat.valley_height.is_some() {
            Basis::Set
        } else {
            below.map_or(Basis::Assumed, |(_, g)| g.reach.basis)
        },
        reason: Reason::Valley,
        priority: 1,
        regions: Vec::new(),
    };
    let start = continues.map_or(base_v, |eave| base_v + zones[eave.index()].required_reach);
    let across = Interval { low: start, high: base_v + zone.required_reach };
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

/// Hints that ask for heat where none can lie.
fn note_hints_without_effect(roof: &Roof, layouts: &[FaceLayout], hints: &Hints, findings: &mut Vec<Finding>) {
    for (&edge, hint) in hints.iter().filter(|(_, hint)| hint.heated == Some(true)) {
        let kind = roof.edge(edge).kind;
        let possible = layouts.iter().any(|layout| {
            layout.edges.iter().any(|side| side.edge == edge)
                && matches!(kind_for(roof, layout.face, edge), EdgeKind::Eave | EdgeKind::Valley)
        });
        if !possible {
            findings.push(
                Finding::new(
                    Severity::Warning,
                    "heat-not-possible",
                    format!(
                        "the job asks to heat {edge}, which is a {}; only eaves and valleys are heated",
                        kind.words()
                    ),
                    Place { line: Some(hint.line), ..Place::item(edge).with_point(roof.segment(edge).midpoint()) },
                )
                .with_hint("name an eave or a valley, or say what kind this edge is"),
            );
        }
    }
}

/// The overhang and the rule that nobody gave, once for all zones that hang on them.
fn note_assumptions(roof: &Roof, zones: &[Zone], job: &Job, findings: &mut Vec<Finding>) {
    let by_rule: Vec<&Zone> = zones.iter().filter(|zone| zone.reach_basis == Basis::Assumed).collect();
    let Some(first) = by_rule.first() else { return };
    let edges: Vec<String> = by_rule.iter().flat_map(|zone| &zone.edges).map(EdgeId::to_string).collect();
    let place = || Place::item(first.edges[0]).with_point(roof.segment(first.edges[0]).midpoint());
    if by_rule.iter().any(|zone| zone.reach_words.contains(super::reach::ASSUMED)) {
        findings.push(
            Finding::new(
                Severity::Assumed,
                "assumed-overhang",
                format!(
                    "no wall line and no overhang is given for {}: {} in from the drip edge to the exterior wall line is assumed",
                    edges.join(", "),
                    decimal(job.roof.overhang.value, 2)
                ),
                place(),
            )
            .with_hint("set overhang in the job, or draw the exterior walls on their own layer"),
        );
    }
    if !job.heat.reach_rule.given {
        findings.push(
            Finding::new(
                Severity::Assumed,
                "assumed-reach-rule",
                format!(
                    "the edition of the residential code is not given: {} is assumed",
                    super::barrier_rule(job.heat.reach_rule.value).name
                ),
                place(),
            )
            .with_hint("set reach_rule to the edition in force at the site"),
        );
    }
}

/// How the valleys of heated faces are covered: their metal or end nails may reach further than the setback kept here.
fn note_valley_type(roof: &Roof, layouts: &[FaceLayout], zones: &[Zone], job: &Job, findings: &mut Vec<Finding>) {
    let mut valleys: Vec<EdgeId> = layouts
        .iter()
        .filter(|layout| zones.binary_search_by_key(&layout.face, |zone| zone.face).is_ok())
        .flat_map(|layout| layout.edges.iter().filter(|edge| edge.kind == EdgeKind::Valley).map(|edge| edge.edge))
        .collect();
    valleys.sort_unstable();
    valleys.dedup();
    let Some(&first) = valleys.first() else { return };
    let names: Vec<String> = valleys.iter().map(EdgeId::to_string).collect();
    let kept = decimal(job.heat.valley_setback, 2);
    let place = Place::item(first).with_point(roof.segment(first).midpoint());
    let (covered, reach) = match job.roof.valley_type.value {
        ValleyType::Unknown => {
            let words = format!(
                "how {} is covered is not given: elements keep {kept} in from the valley line",
                names.join(", ")
            );
            findings.push(
                Finding::new(Severity::Assumed, "assumed-valley-type", words, place)
                    .with_hint("set valley_type; look for lining metal and end nails further out before laying"),
            );
            return;
        }
        ValleyType::OpenMetal => ("an open valley of 24 in lining", 13.0),
        ValleyType::ClosedCut => ("a closed-cut valley", 14.0),
        ValleyType::Woven => ("a woven valley", 14.0),
    };
    if job.heat.valley_setback < reach {
        let words = format!(
            "{} is {covered}, whose metal or end nails may reach {} in from its line; elements keep {kept} in",
            names.join(", "),
            decimal(reach, 0)
        );
        findings.push(Finding::new(Severity::Warning, "valley-nails", words, place).with_hint(format!(
            "set valley_setback = \"{} in\", or keep nails out of the elements' way there",
            decimal(reach, 0)
        )));
    }
}

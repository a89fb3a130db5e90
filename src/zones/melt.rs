//! Where the water of each zone goes: down to its eave, into what lies below, and away.
//!
//! Water freezes again at the first place that is colder than what it comes from: an eave without heat below a heated valley, a lower roof, a
//! gutter. Each such place is a finding, and so is heat below snow that nothing holds.

use super::Inputs;
use super::layout::kind_for;
use super::model::{Discharge, FaceLayout, FastenerKind, GutterHeat, MeltLink, MeltPath, Reason, Zone, ZoneKind};
use crate::finding::{Finding, Place, Severity};
use crate::index::{EdgeId, FaceId};
use crate::terms::EdgeKind;
use crate::units::{INCHES_PER_FOOT, decimal, feet_inches};

/// Follows every zone; the gutters that are heated come with it.
pub(super) fn follow(
    inputs: &Inputs,
    faces: &[FaceLayout],
    zones: &[Zone],
    findings: &mut Vec<Finding>,
) -> (Vec<MeltPath>, Vec<GutterHeat>) {
    let mut said = Said::default();
    let paths = zones.iter().map(|zone| path(inputs, faces, zones, zone, &mut said)).collect();
    said.report(inputs, findings);
    snow(inputs, faces, zones, findings);
    (paths, gutters(inputs, zones, findings))
}

/// Edges at which water meets cold, by what is wrong.
#[derive(Default)]
struct Said {
    unknown: Vec<EdgeId>,
    gutters: Vec<EdgeId>,
    walks: Vec<EdgeId>,
    cold_eaves: Vec<EdgeId>,
    cold_roofs: Vec<EdgeId>,
}

fn discharge(inputs: &Inputs, edge: EdgeId) -> Discharge {
    inputs.hints.get(&edge).and_then(|hint| hint.discharge).unwrap_or(inputs.job.heat.discharge.value)
}

fn gutter_heated(inputs: &Inputs, edge: EdgeId) -> bool {
    inputs.hints.get(&edge).and_then(|hint| hint.gutter_heat).unwrap_or(inputs.job.heat.gutter_heat)
}

fn path(inputs: &Inputs, faces: &[FaceLayout], zones: &[Zone], zone: &Zone, said: &mut Said) -> MeltPath {
    let mut links = vec![MeltLink { what: format!("{} on {}", zone.id, zone.face), open: true }];
    let mut edges = zone.edges.clone();
    if zone.kind == ZoneKind::Valley {
        match zone.continues.map(|eave| &zones[eave.index()]) {
            Some(eave) => {
                links.push(MeltLink { what: format!("eave zone {}", eave.id), open: true });
                edges.clone_from(&eave.edges);
            }
            None => {
                // A band that comes down to its own face's eave has no cold roof below it, but the eave is cold.
                links.push(MeltLink { what: "eave without heat".into(), open: false });
                said.cold_eaves.push(zone.edges[0]);
                return MeltPath { zone: zone.id, links, discharge: Discharge::Unknown };
            }
        }
    }
    let Some(&edge) = edges.first() else { return MeltPath { zone: zone.id, links, discharge: Discharge::Unknown } };
    if let Some(lower) = lower_face(inputs, zone.face, edge) {
        let heated = zones.iter().any(|z| z.face == lower && z.kind == ZoneKind::Eave);
        links.push(MeltLink { what: format!("lower roof {lower}"), open: heated });
        if !heated && faces.iter().any(|l| l.face == lower) {
            said.cold_roofs.push(edge);
        }
        let below = zones.iter().find(|z| z.face == lower && z.kind == ZoneKind::Eave);
        let discharge = below.and_then(|z| z.edges.first()).map_or(Discharge::Unknown, |&e| discharge(inputs, e));
        return MeltPath { zone: zone.id, links, discharge };
    }
    let discharge = discharge(inputs, edge);
    match discharge {
        Discharge::Gutter => {
            let open = gutter_heated(inputs, edge);
            links.push(MeltLink { what: format!("gutter and downspouts below {edge}"), open });
            if !open {
                said.gutters.extend(&edges);
            }
        }
        Discharge::Walk => {
            links.push(MeltLink { what: format!("drip from {edge} on a walk"), open: true });
            said.walks.extend(&edges);
        }
        Discharge::Ground => links.push(MeltLink { what: format!("drip from {edge} on open ground"), open: true }),
        Discharge::Unknown => said.unknown.extend(&edges),
    }
    MeltPath { zone: zone.id, links, discharge }
}

/// The face of a lower roof that an edge drips on.
fn lower_face(inputs: &Inputs, face: FaceId, edge: EdgeId) -> Option<FaceId> {
    let step = inputs.roof.edge(edge).kind == EdgeKind::Step && kind_for(inputs.roof, face, edge) == EdgeKind::Eave;
    if step { inputs.roof.across(edge, face) } else { None }
}

impl Said {
    fn report(mut self, inputs: &Inputs, findings: &mut Vec<Finding>) {
        let mut say = |severity, code, edges: &mut Vec<EdgeId>, words: &dyn Fn(&str) -> String, hint: &str| {
            edges.sort_unstable();
            edges.dedup();
            let Some(&first) = edges.first() else { return };
            let names: Vec<String> = edges.iter().map(EdgeId::to_string).collect();
            let place = Place::item(first).with_point(inputs.roof.segment(first).midpoint());
            findings.push(Finding::new(severity, code, words(&names.join(", ")), place).with_hint(hint));
        };
        say(
            Severity::Assumed,
            "assumed-discharge",
            &mut self.unknown,
            &|names| format!("where melt water of {names} goes is not given: no gutter is heated"),
            "set discharge under [heat] or for each eave: gutter, ground or walk",
        );
        say(
            Severity::Warning,
            "cold-gutter",
            &mut self.gutters,
            &|names| format!("melt water of {names} runs into gutters without heat and freezes there"),
            "set gutter_heat = true with gutter_watts, or take the gutters away",
        );
        say(
            Severity::Warning,
            "drips-on-walk",
            &mut self.walks,
            &|names| format!("melt water of {names} drips on a walk and freezes there"),
            "hang a heated gutter, or heat or close the walk",
        );
        say(
            Severity::Warning,
            "cold-link",
            &mut self.cold_eaves,
            &|names| format!("heat beside {names} ends above an eave without heat: its water freezes there"),
            "heat the eave at its foot",
        );
        say(
            Severity::Warning,
            "cold-link",
            &mut self.cold_roofs,
            &|names| format!("melt water of {names} falls on a lower roof without heat and freezes there"),
            "heat the eave of the lower roof",
        );
    }
}

/// Heat loosens the snow above it. Where nothing holds that, it slides; worse where people pass.
fn snow(inputs: &Inputs, faces: &[FaceLayout], zones: &[Zone], findings: &mut Vec<Finding>) {
    if inputs.job.heat.snow_guards.value {
        return;
    }
    let held = |zone: &Zone| {
        let layout = faces.iter().find(|layout| layout.face == zone.face);
        let top = zone.base_v + zone.required_reach;
        let guard = |area: &&super::KeepOut| area.fastener == Some(FastenerKind::SnowGuard) && area.solid.v.low >= top;
        layout.is_some_and(|l| l.keep_outs.iter().any(|area| guard(&area)))
    };
    let loose: Vec<&Zone> = zones.iter().filter(|z| z.kind == ZoneKind::Eave && !held(z)).collect();
    let Some(first) = loose.first() else { return };
    let below = |zone: &&&Zone| {
        zone.reason == Reason::EntryBelow || zone.edges.iter().any(|&edge| discharge(inputs, edge) == Discharge::Walk)
    };
    let worst = loose.iter().find(below);
    let severity = if worst.is_some() { Severity::Warning } else { Severity::Note };
    let mut names: Vec<String> = loose.iter().map(|zone| zone.face.to_string()).collect();
    names.dedup();
    let edge = worst.unwrap_or(first).edges[0];
    let words = format!(
        "nothing is said to hold the snow above the heated eaves of {}: heat loosens it and it may slide{}",
        names.join(", "),
        if worst.is_some() { " on people below" } else { "" }
    );
    findings.push(
        Finding::new(severity, "snow-above", words, Place::item(edge).with_point(inputs.roof.segment(edge).midpoint()))
            .with_hint("set snow_guards = true under [heat] where guards hold it, or place them as [[heat.fastener]]"),
    );
}

/// One heater for each heated gutter under a heated eave.
fn gutters(inputs: &Inputs, zones: &[Zone], findings: &mut Vec<Finding>) -> Vec<GutterHeat> {
    let mut edges: Vec<EdgeId> = zones
        .iter()
        .filter(|zone| zone.kind == ZoneKind::Eave)
        .flat_map(|zone| zone.edges.clone())
        .filter(|&edge| discharge(inputs, edge) == Discharge::Gutter && gutter_heated(inputs, edge))
        .collect();
    edges.sort_unstable();
    edges.dedup();
    let heat = &inputs.job.heat;
    let items: Vec<GutterHeat> = edges
        .into_iter()
        .map(|edge| {
            let gutter = inputs.roof.segment(edge).length();
            let downspouts = inputs.hints.get(&edge).and_then(|hint| hint.downspouts).unwrap_or(1);
            let length = gutter + f64::from(downspouts) * heat.downspout_length;
            let watts = heat.gutter_watts.map(|watts| watts * length / INCHES_PER_FOOT);
            GutterHeat { edge, gutter, downspouts, length, watts }
        })
        .collect();
    if let Some(first) = items.first() {
        let length: f64 = items.iter().map(|item| item.length).sum();
        let place = Place::item(first.edge);
        findings.push(match heat.gutter_watts {
            Some(watts) => {
                let total = watts * length / INCHES_PER_FOOT;
                let words = format!(
                    "gutters and downspouts take {} of heater and {} W, on circuits of their own that are not laid out here",
                    feet_inches(length),
                    decimal(total, 0)
                );
                Finding::new(Severity::Note, "gutter-heat", words, place)
            }
            None => {
                let words = format!("the power of the heater in gutters is not given: {} of it carry no load in the totals", feet_inches(length));
                Finding::new(Severity::Warning, "gutter-watts", words, place).with_hint("set gutter_watts under [heat]")
            }
        });
    }
    items
}

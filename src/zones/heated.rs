//! Which faces are heated, and their zones in order.

use super::Inputs;
use super::eaves::{EaveGroup, eave_groups, eave_zone};
use super::model::{FaceLayout, Zone};
use super::notes::{note_assumptions, note_hints_without_effect, note_valley_type};
use super::valleys::{heated_valleys, valley_zone};
use crate::finding::{Finding, Place, Severity};
use crate::index::{EdgeId, ZoneId};
use crate::job::{ValleyType, Work};
use crate::roof::{Basis, Roof};
use crate::terms::EdgeKind;
use crate::units::pitch_in_12;

/// Least pitch under asphalt shingles, rise per run. Source: IRC R905.2.2 as quoted on public pages.
const LEAST_PITCH: f64 = 2.0 / 12.0;
/// Below this the shingles need a double underlayment. Source: IRC R905.2.2 as quoted on public pages.
const SINGLE_UNDERLAYMENT: f64 = 4.0 / 12.0;
/// Above this shingles go by their maker's approved instructions. Source: IRC R905.2.6 (2018) as quoted on a public page.
const STEEPEST_PITCH: f64 = 21.0 / 12.0;
/// A pitch solved from linework may miss a limit by rounding.
const PITCH_ROUNDING: f64 = 1e-6;

/// All zones, by face, eaves before valleys, from low to high and left to right.
pub(super) fn zones_of(inputs: &Inputs, layouts: &[FaceLayout], findings: &mut Vec<Finding>) -> Vec<Zone> {
    note_hints_without_effect(inputs.roof, layouts, &inputs.hints, findings);
    let mut zones = Vec::new();
    for layout in layouts {
        zones_on(inputs, layout, &mut zones, findings);
    }
    note_assumptions(inputs.roof, &zones, inputs.job, findings);
    note_valley_type(inputs, layouts, &zones, findings);
    zones
}

fn zones_on(inputs: &Inputs, layout: &FaceLayout, zones: &mut Vec<Zone>, findings: &mut Vec<Finding>) {
    let mut groups = eave_groups(inputs, layout, findings);
    let valleys = heated_valleys(inputs, layout);
    if valleys.is_empty() && !groups.iter().any(|group| group.heated) {
        return;
    }
    if !may_be_heated(inputs.roof, layout, findings) {
        return;
    }
    groups.sort_by(|a, b| a.base_v.total_cmp(&b.base_v).then(a.own.low.total_cmp(&b.own.low)));
    let mut zone_of_group = vec![None; groups.len()];
    let heated = |group: &EaveGroup| group.heated && group.stretch.length() > 0.0;
    for (position, group) in groups.iter().enumerate().filter(|(_, group)| heated(group)) {
        let id = ZoneId::new(zones.len());
        zone_of_group[position] = Some(id);
        zones.push(eave_zone(id, layout, group, &groups));
    }
    for chain in valleys {
        if inputs.job.roof.work.value == Work::Retrofit && inputs.valley_type(chain[0].edge) == ValleyType::Woven {
            findings.push(woven_valley(inputs.roof, layout, chain[0].edge));
            continue;
        }
        let id = ZoneId::new(zones.len());
        let zone = valley_zone(id, layout, &chain, &groups, &zone_of_group, zones, inputs);
        zones.push(zone);
    }
}

/// Shingles of both sides pass over one another in a woven valley: no tab there lifts alone.
fn woven_valley(roof: &Roof, layout: &FaceLayout, edge: EdgeId) -> Finding {
    let words = format!(
        "{edge} is woven and stays cold on {}: in a retrofit no tab of a woven valley can be lifted alone",
        layout.face
    );
    let place = Place::item(edge).with_point(roof.segment(edge).midpoint());
    Finding::new(Severity::Cold, "woven-valley", words, place)
        .with_hint("heat it when the valley is laid anew, or say what else its covering is")
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

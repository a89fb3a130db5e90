//! What always holds between a layout and its takeoff: totals equal the sums of their parts.

use super::model::Takeoff;
use crate::courses::Courses;
use crate::wiring::{LeadKind, Wiring};
use std::collections::BTreeMap;

/// Faults of the takeoff, in words; empty when all is well.
#[must_use]
pub fn check_invariants(takeoff: &Takeoff, courses: &Courses, wiring: &Wiring) -> Vec<String> {
    let mut faults = Vec::new();
    let mut expect = |key: &str, wanted: f64| {
        let found: f64 = takeoff.materials.iter().filter(|m| m.key == key).map(|m| m.quantity).sum();
        if (found - wanted).abs() > 1e-6 {
            faults.push(format!("{key}: {found} listed, {wanted} placed"));
        }
    };
    let mut feet: BTreeMap<&str, f64> = BTreeMap::new();
    for segment in &courses.segments {
        // A key that is laid but never fed must be listed with nothing.
        let fed = wiring.feeds.iter().any(|f| f.segment == segment.id);
        *feet.entry(&segment.element_key).or_default() += if fed { segment.cut_length / 12.0 } else { 0.0 };
    }
    for (key, total) in feet {
        expect(key, total);
    }
    let mut lead_feet: BTreeMap<&str, f64> = BTreeMap::new();
    for piece in &takeoff.leads {
        *lead_feet.entry(&piece.lead_key).or_default() += piece.length / 12.0;
    }
    for (key, total) in lead_feet {
        expect(key, total);
    }
    let jumpers = wiring.leads.iter().filter(|l| l.kind == LeadKind::Jumper).count();
    let connections = (wiring.leads.len() + jumpers) as f64;
    expect("bus-bar-connector", 2.0 * connections);
    expect("ground-connector", connections);
    expect("segment-label", wiring.feeds.len() as f64);
    expect("deck-sleeve", wiring.holes.len() as f64);
    expect("no-nail-gap", wiring.nail_gaps.len() as f64);
    expect("relay-shingle", wiring.relays.iter().map(|r| f64::from(r.shingles)).sum());
    let of_group = |prefix: &str| -> f64 {
        takeoff.materials.iter().filter(|m| m.key.starts_with(prefix)).map(|m| m.quantity).sum()
    };
    let breakers = of_group("breaker-");
    if (breakers - wiring.circuits.len() as f64).abs() > 1e-6 {
        faults.push(format!("{breakers} breakers for {} circuits", wiring.circuits.len()));
    }
    let boxes: f64 = takeoff.materials.iter().filter(|m| m.group == "boxes").map(|m| m.quantity).sum();
    if (boxes - wiring.boxes.len() as f64).abs() > 1e-6 && !takeoff.cuts.is_empty() {
        faults.push(format!("{boxes} boxes listed, {} placed", wiring.boxes.len()));
    }
    faults.extend(check_pieces(takeoff, courses, wiring));
    faults
}

fn check_pieces(takeoff: &Takeoff, courses: &Courses, wiring: &Wiring) -> Vec<String> {
    let mut faults = Vec::new();
    if takeoff.cuts.len() != wiring.feeds.len() || takeoff.leads.len() != wiring.leads.len() {
        faults.push(format!(
            "{} cuts for {} fed pieces, {} lead cuts for {} leads",
            takeoff.cuts.len(),
            wiring.feeds.len(),
            takeoff.leads.len(),
            wiring.leads.len()
        ));
    }
    for cut in &takeoff.cuts {
        let segment = &courses.segments[cut.segment.index()];
        if (segment.cut_length - cut.length).abs() > 1e-9 || segment.element_key != cut.element_key {
            faults.push(format!("{}: cut list and layout differ", cut.tag));
        }
    }
    for item in &takeoff.materials {
        if !item.quantity.is_finite() || item.quantity <= 0.0 {
            faults.push(format!("{}: quantity {}", item.key, item.quantity));
        }
        if item.unit == "pc" && item.quantity.fract() != 0.0 {
            faults.push(format!("{}: {} pieces", item.key, item.quantity));
        }
    }
    faults
}

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
    faults.extend(check_plans(takeoff));
    faults.extend(check_kits(takeoff));
    faults.extend(check_quote(takeoff));
    faults
}

/// Every piece is cut from just one roll, and no roll is longer than it is.
fn check_plans(takeoff: &Takeoff) -> Vec<String> {
    let mut faults = Vec::new();
    let planned = takeoff.plans.iter().flat_map(|p| p.rolls.iter().flat_map(|r| &r.pieces).chain(&p.too_long));
    let mut planned: Vec<_> = planned.copied().collect();
    planned.sort_unstable();
    if planned != takeoff.cuts.iter().map(|c| c.segment).collect::<Vec<_>>() {
        faults.push("the cutting plans do not hold every piece once".to_owned());
    }
    let length = |id| takeoff.cuts.iter().find(|c| c.segment == id).map_or(0.0, |c| c.length);
    for plan in &takeoff.plans {
        for roll in &plan.rolls {
            let cuts = roll.pieces.len().saturating_sub(1) as f64;
            let used = roll.pieces.iter().map(|&id| length(id)).sum::<f64>() + cuts * plan.kerf;
            if used > plan.roll_length + 1e-6 || used + roll.offcut > plan.roll_length + 1e-6 {
                faults.push(format!("{}: {used} in cut from a roll of {}", plan.element_key, plan.roll_length));
            }
        }
        if plan.rolls.len() < plan.bound || plan.optimal != (plan.rolls.len() == plan.bound) {
            faults.push(format!("{}: {} rolls against a bound of {}", plan.element_key, plan.rolls.len(), plan.bound));
        }
    }
    faults
}

/// Every piece and lead lies in one kit, and the kits' parts add up to the list.
fn check_kits(takeoff: &Takeoff) -> Vec<String> {
    let mut faults = Vec::new();
    let mut packed: Vec<_> = takeoff.kits.iter().flat_map(|k| &k.segments).copied().collect();
    packed.sort_unstable();
    if packed != takeoff.cuts.iter().map(|c| c.segment).collect::<Vec<_>>() {
        faults.push("the kits do not hold every piece once".to_owned());
    }
    let mut packed: Vec<_> = takeoff.kits.iter().flat_map(|k| &k.leads).copied().collect();
    packed.sort_unstable();
    if packed != takeoff.leads.iter().map(|l| l.lead).collect::<Vec<_>>() {
        faults.push("the kits do not hold every lead once".to_owned());
    }
    for key in ["bus-bar-connector", "ground-connector", "end-cap", "sealing-patch", "segment-label"] {
        let listed: f64 = takeoff.materials.iter().filter(|m| m.key == key).map(|m| m.quantity).sum();
        let packed: f64 = takeoff.kits.iter().flat_map(|k| &k.parts).filter(|p| p.key == key).map(|p| p.quantity).sum();
        if (listed - packed).abs() > 1e-9 {
            faults.push(format!("{key}: {listed} listed, {packed} in kits"));
        }
    }
    faults
}

fn check_quote(takeoff: &Takeoff) -> Vec<String> {
    let quote = &takeoff.quote;
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(1.0);
    let material: f64 = quote.lines.iter().filter_map(|l| l.amount).sum();
    let hours: f64 = quote.labour_lines.iter().map(|l| l.hours).sum();
    let total = quote.material + quote.labour.unwrap_or(0.0) + quote.markup + quote.tax;
    let sums = [("material", quote.material, material), ("hours", quote.hours, hours), ("total", quote.total, total)];
    let wrong = sums.iter().filter(|(_, said, sum)| !near(*said, *sum));
    let mut faults: Vec<String> = wrong.map(|(what, said, sum)| format!("{what} {said}, its parts {sum}")).collect();
    let ordered = takeoff.materials.iter().filter(|m| m.order > 0.0).count();
    if ordered != quote.lines.len() {
        faults.push(format!("{} lines of the quote for {ordered} of the list", quote.lines.len()));
    }
    faults.extend(
        takeoff
            .materials
            .iter()
            .filter(|m| m.order != 0.0 && (m.order.fract() != 0.0 || m.order + 1e-9 < m.quantity))
            .map(|m| format!("{}: {} ordered for {}", m.key, m.order, m.quantity)),
    );
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

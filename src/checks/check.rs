//! What always holds between a layout and its checks.

use super::model::{Checks, Verdict};
use crate::courses::Courses;
use crate::wiring::Wiring;

/// Faults of the checks, in words; empty when all is well.
#[must_use]
pub fn check_invariants(checks: &Checks, courses: &Courses, wiring: &Wiring) -> Vec<String> {
    let mut faults = Vec::new();
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * a.abs().max(b.abs()).max(1.0);
    let load = &checks.load;
    let chain_watts: f64 = wiring.chains.iter().map(|c| c.watts).sum();
    if !near(load.watts, chain_watts) {
        faults.push(format!("load of {} W, but the chains add up to {chain_watts} W", load.watts));
    }
    if !near(load.total_watts, load.watts + load.gutter_watts) {
        faults.push(format!("{} W in all are not those of roof and gutters", load.total_watts));
    }
    let chain_inches: f64 = wiring.chains.iter().map(|c| c.element_length).sum();
    if !near(load.element_length, chain_inches) {
        faults.push(format!("element of {} in, but the chains hold {chain_inches} in", load.element_length));
    }
    let most: f64 = courses.segments.iter().map(|s| s.cut_length).sum();
    if load.element_length > most + 1e-6 {
        faults.push(format!("element of {} in, but only {most} in are laid", load.element_length));
    }
    for check in &checks.checks {
        let here = format!("{} {}", check.code, check.item);
        if !check.value.is_finite() || check.limit.is_some_and(|l| !l.is_finite()) {
            faults.push(format!("{here}: a number is not finite"));
        }
        if check.working.is_empty() || check.rule.is_empty() {
            faults.push(format!("{here}: no working or no rule"));
        }
        if check.verdict != Verdict::Authority && check.limit.is_none() {
            faults.push(format!("{here}: judged without a limit"));
        }
        if check.verdict == Verdict::Pass
            && ["watt-density", "listing", "element-spacing", "melt-flux"].contains(&check.code.as_str())
        {
            faults.push(format!("{here}: passed, but only the authority can decide it"));
        }
    }
    if checks.supplies.len() != wiring.circuits.len() {
        faults.push(format!("{} supplies for {} circuits", checks.supplies.len(), wiring.circuits.len()));
    }
    for (at, item) in checks.one_line.iter().enumerate() {
        if item.from.is_some_and(|from| from >= at) || (item.from.is_none() && at > 0) {
            faults.push(format!("one-line item {at} hangs on nothing before it"));
        }
    }
    for circuit in &wiring.circuits {
        if !checks.checks.iter().any(|c| c.code == "continuous-load" && c.item == circuit.tag) {
            faults.push(format!("{} has no check of its load", circuit.tag));
        }
    }
    faults
}

//! Checks on boxes, the panel and the protection of the whole roof.

use super::devices;
use super::element::ungrounded;
use super::model::Verdict;
use super::rules::{self, Judged, at_most};
use crate::catalog::BoxType;
use crate::courses::Courses;
use crate::electrical::{self, Balance, BoxContents, CONTINUOUS_FACTOR};
use crate::index::CircuitId;
use crate::job::{Job, Panel};
use crate::units::decimal;
use crate::wiring::{JunctionBox, LeadKind, Terminal, Wiring};
use std::collections::BTreeSet;

/// Current-carrying conductors of a lead or a branch circuit: two buses, or two lines of one circuit.
const CONDUCTORS: usize = 2;

pub(super) fn judge_boxes(wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    for item in &wiring.boxes {
        let leads = leads_in(item, wiring);
        if leads == 0 {
            continue;
        }
        let Some(kind) =
            [&job.products.inside_box, &job.products.outside_box].into_iter().find(|b| b.key == item.box_key)
        else {
            continue;
        };
        let working = format!("{leads} leads; {} takes {}", kind.key, kind.leads);
        let (value, limit) = (leads as f64, f64::from(kind.leads));
        out.push(rules::BOX_LEADS.judge(&item.tag, at_most(value, limit), value, Some(limit), working));
        out.push(box_fill(item, kind, leads, wiring, job));
    }
}

fn leads_in(item: &JunctionBox, wiring: &Wiring) -> usize {
    let ends_here = |terminal| matches!(terminal, Terminal::Box(id) if id == item.id);
    wiring.leads.iter().filter(|l| l.kind == LeadKind::Feed && (ends_here(l.from) || ends_here(l.to))).count()
}

/// Two conductors and a ground of each lead and of each branch circuit, and clamps.
fn box_fill(item: &JunctionBox, kind: &BoxType, leads: usize, wiring: &Wiring, job: &Job) -> Judged {
    let circuits: BTreeSet<CircuitId> = item.chains.iter().map(|c| wiring.chains[c.index()].circuit).collect();
    let branches = || circuits.iter().map(|c| &wiring.circuits[c.index()]);
    let lead_awg = job.products.lead.value.awg;
    let mut conductors = vec![lead_awg; CONDUCTORS * leads];
    conductors.extend(branches().flat_map(|c| [c.conductor_awg; CONDUCTORS]));
    let mut grounds = vec![lead_awg; leads];
    grounds.extend(branches().map(|c| c.ground_awg));
    let count = (conductors.len(), grounds.len());
    let Some(fill) = electrical::box_fill(&BoxContents { conductors, grounds, clamps: true, yokes: Vec::new() }) else {
        let working = "a conductor size is not in the table used here".to_owned();
        return rules::BOX_FILL.judge(&item.tag, Verdict::Authority, 0.0, Some(kind.cubic_inches), working);
    };
    let needed = fill.total();
    let standard = electrical::standard_box_for(needed).map_or_else(
        || "more than the largest standard box here".to_owned(),
        |b| format!("smallest standard box {} in", b.words),
    );
    let working = format!(
        "{} conductors {} + clamps {} + {} grounds {} = {} cu in; {} has {}; {standard}",
        count.0,
        decimal(fill.conductors, 2),
        decimal(fill.clamps, 2),
        count.1,
        decimal(fill.grounds, 2),
        decimal(needed, 2),
        kind.key,
        decimal(kind.cubic_inches, 1)
    );
    rules::BOX_FILL.judge(&item.tag, at_most(needed, kind.cubic_inches), needed, Some(kind.cubic_inches), working)
}

pub(super) fn judge_service(
    balance: &Balance,
    gutter_watts: f64,
    courses: &Courses,
    wiring: &Wiring,
    job: &Job,
    out: &mut Vec<Judged>,
) {
    let circuits = wiring.circuits.len();
    let count = circuits as f64;
    out.push(ground_fault(circuits, courses, wiring, job));
    // What heats the gutters hangs on the same panel, on circuits that are not laid out here.
    let gutters = gutter_watts / job.electrical.volts.value;
    let amps: f64 = wiring.circuits.iter().map(|c| c.amps).sum::<f64>() + gutters;
    let needed = CONTINUOUS_FACTOR * amps;
    devices::judge(balance, wiring, job, out);
    let shown: Vec<String> =
        balance.amps.iter().zip('A'..).map(|(amps, line)| format!("{line} {} A", decimal(*amps, 2))).collect();
    let unbalance = 100.0 * balance.unbalance();
    out.push(rules::PHASE_BALANCE.judge("whole roof", Verdict::Authority, unbalance, None, shown.join(", ")));
    out.push(fault_current(job));
    let with = if gutters > 0.0 { format!(", {} A of it in gutters", decimal(gutters, 2)) } else { String::new() };
    let sum = format!("1.25 × {} A = {} A{with}", decimal(amps, 2), decimal(needed, 2));
    let Some(panel) = &job.electrical.panel else {
        out.push(rules::PANEL_UNKNOWN.judge("whole roof", Verdict::Authority, needed, None, sum));
        return;
    };
    let each = job.electrical.poles();
    let needed_poles = count * f64::from(each);
    let spaces = f64::from(panel.spaces);
    let working = format!(
        "circuits {circuits} × {each} poles = {} poles; {} has {}",
        decimal(needed_poles, 0),
        panel.tag,
        panel.spaces
    );
    out.push(rules::PANEL_SPACES.judge(&panel.tag, at_most(needed_poles, spaces), needed_poles, Some(spaces), working));
    let working = format!("{sum}; {} has {} A left", panel.tag, decimal(panel.spare_amps, 1));
    out.push(rules::PANEL_AMPS.judge(
        &panel.tag,
        at_most(needed, panel.spare_amps),
        needed,
        Some(panel.spare_amps),
        working,
    ));
    judge_panel(panel, needed, out);
}

/// Which breakers are ordered hangs on the fault current; without it the check says who gives it.
fn fault_current(job: &Job) -> Judged {
    let Some(available) = job.electrical.fault_current else {
        let working = "to be given; never assumed here".to_owned();
        return rules::FAULT_CURRENT_OPEN.judge("whole roof", Verdict::Authority, 1.0, None, working);
    };
    let rated = electrical::interrupting_rating(available).map_or_else(
        || "beyond the common ratings".to_owned(),
        |rating| format!("the next common rating is {} A", decimal(rating, 0)),
    );
    let working = format!("{} A available as given; {rated}", decimal(available, 0));
    rules::FAULT_CURRENT.judge("whole roof", Verdict::Authority, available, None, working)
}

/// Ground-fault protection sees a fault only through a ground layer: without one it protects nothing, whatever breaker is bought.
fn ground_fault(circuits: usize, courses: &Courses, wiring: &Wiring, job: &Job) -> Judged {
    let count = circuits as f64;
    let blind = ungrounded(courses, wiring, job);
    if blind.is_empty() {
        let working = format!("circuits: {circuits}, each with such a breaker in the material list");
        return rules::GROUND_FAULT.judge("whole roof", Verdict::Authority, count, None, working);
    }
    let working = format!("{} without a ground layer: a fault in it finds no way to ground", blind.join(", "));
    rules::GROUND_FAULT.judge("whole roof", Verdict::Fail, count, Some(0.0), working)
}

fn judge_panel(panel: &Panel, needed: f64, out: &mut Vec<Judged>) {
    let Some(service) = panel.service else { return };
    let base = service.existing_amps - service.non_coincident_amps;
    let total = base + needed.max(service.non_coincident_amps);
    let working = format!(
        "{} A existing - {} A that never runs with it + the larger of that and {} A = {} A; main {} A",
        decimal(service.existing_amps, 1),
        decimal(service.non_coincident_amps, 1),
        decimal(needed, 2),
        decimal(total, 2),
        decimal(service.main_amps, 0)
    );
    let verdict = at_most(total, service.main_amps);
    out.push(rules::PANEL_SERVICE.judge(&panel.tag, verdict, total, Some(service.main_amps), working));
    if let Some(bus) = panel.bus_amps {
        let working = format!("main {} A, bus {} A", decimal(service.main_amps, 0), decimal(bus, 0));
        out.push(rules::PANEL_BUS.judge(
            &panel.tag,
            at_most(service.main_amps, bus),
            service.main_amps,
            Some(bus),
            working,
        ));
    }
}

//! Checks on boxes, the panel and the protection of the whole roof.

use super::model::Verdict;
use super::rules::{self, Judged, at_most};
use crate::catalog::BoxType;
use crate::electrical::{CONTINUOUS_FACTOR, conductor_room};
use crate::index::CircuitId;
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::{JunctionBox, LeadKind, Terminal, Wiring};
use std::collections::BTreeSet;

/// Current-carrying conductors of a lead or a branch circuit: two buses, or two lines of one circuit.
const CONDUCTORS: f64 = 2.0;

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

/// Each conductor its own room, all clamps one, all grounds one, of the largest; beyond four grounds a quarter more each,
/// which is recalled and on the safe side.
fn box_fill(item: &JunctionBox, kind: &BoxType, leads: usize, wiring: &Wiring, job: &Job) -> Judged {
    let circuits: BTreeSet<CircuitId> = item.chains.iter().map(|c| wiring.chains[c.index()].circuit).collect();
    let lead_awg = job.products.lead.value.awg;
    let branch: Vec<u32> = circuits.iter().map(|c| wiring.circuits[c.index()].conductor_awg).collect();
    let rooms: Option<Vec<f64>> = branch.iter().map(|&awg| conductor_room(awg)).collect();
    let (Some(lead_room), Some(rooms)) = (conductor_room(lead_awg), rooms) else {
        let working = "a conductor size is not in the table used here".to_owned();
        return rules::BOX_FILL.judge(&item.tag, Verdict::Authority, 0.0, Some(kind.cubic_inches), working);
    };
    let largest = rooms.iter().copied().fold(lead_room, f64::max);
    let grounds = leads + branch.len();
    let ground_rooms = 1.0 + 0.25 * grounds.saturating_sub(4) as f64;
    let lead_part = CONDUCTORS * leads as f64 * lead_room;
    let branch_part: f64 = rooms.iter().map(|room| CONDUCTORS * room).sum();
    let needed = lead_part + branch_part + largest + ground_rooms * largest;
    let working = format!(
        "leads {} + branch circuits {} + clamps {} + {grounds} grounds {} = {} cu in; {} has {}",
        decimal(lead_part, 2),
        decimal(branch_part, 2),
        decimal(largest, 2),
        decimal(ground_rooms * largest, 2),
        decimal(needed, 2),
        kind.key,
        decimal(kind.cubic_inches, 1)
    );
    rules::BOX_FILL.judge(&item.tag, at_most(needed, kind.cubic_inches), needed, Some(kind.cubic_inches), working)
}

pub(super) fn judge_service(wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    let circuits = wiring.circuits.len();
    let count = circuits as f64;
    let working = format!("{circuits} circuits, each with such a breaker in the material list");
    out.push(rules::GROUND_FAULT.judge("whole roof", Verdict::Authority, count, None, working));
    let working = "one at the controller; the place is not drawn".to_owned();
    out.push(rules::DISCONNECT.judge("whole roof", Verdict::Authority, 1.0, None, working));
    let amps: f64 = wiring.circuits.iter().map(|c| c.amps).sum();
    let needed = CONTINUOUS_FACTOR * amps;
    let sum = format!("1.25 × {} A = {} A", decimal(amps, 2), decimal(needed, 2));
    let Some(panel) = &job.electrical.panel else {
        out.push(rules::PANEL_UNKNOWN.judge("whole roof", Verdict::Authority, needed, None, sum));
        return;
    };
    let each = job.electrical.poles();
    let needed_poles = count * f64::from(each);
    let spaces = f64::from(panel.spaces);
    let working = format!(
        "{circuits} circuits × {each} poles = {} poles; {} has {}",
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
}

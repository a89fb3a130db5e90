//! Checks on how leads lie: bends, and thickness under shingles that are only loosened.

use super::model::{SourceLabel, Verdict};
use super::rules::{Judged, Rule, at_most, over};
use crate::geometry::{Point3, Vector3};
use crate::job::{Job, Work};
use crate::units::{decimal, feet_inches};
use crate::wiring::{Lead, Wiring};

const BEND_RADIUS: Rule = Rule {
    code: "lead-bend",
    words: "at every corner of a lead, at crossings and box entries too, the straight stretches beside it leave room for the lead's smallest bend radius",
    clause: None,
    source: SourceLabel::Computed,
    unit: "in needed",
    remedy: "move the box or the crossing, or choose a lead that bends tighter",
};

const LEAD_THICKNESS: Rule = Rule {
    code: "lead-thickness",
    words: "in a retrofit the lead lies in the lift of the loosened shingles",
    clause: None,
    source: SourceLabel::Practice,
    unit: "in",
    remedy: "choose a flatter lead, take it through the deck, or strip and relay the shingles above it",
};

const ELEMENT_THICKNESS: Rule = Rule {
    code: "element-thickness",
    words: "in a retrofit the element lies in the lift of the loosened shingles",
    clause: None,
    source: SourceLabel::Practice,
    unit: "in",
    remedy: "choose a thinner element, or strip and relay the shingles",
};

/// Points this near are one, inches: legs join within 1/64 in.
const SAME: f64 = 1.0 / 64.0;
/// Turns under this, as the tangent of half their angle, are no bend: about 2 degrees, a lead lies so by itself.
const STRAIGHT: f64 = 0.017;

/// The tightest corner of a lead: the radius it leaves room for.
struct Corner<'a> {
    lead: &'a Lead,
    radius: f64,
    at: Point3,
}

pub(super) fn judge(wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    out.extend(bends(wiring, job));
    if job.roof.work.value == Work::Retrofit {
        thickness(job, out);
    }
}

/// Ends and corners of a lead: doubled points and those it passes straight are left out.
fn path(lead: &Lead) -> Vec<Point3> {
    let mut points: Vec<Point3> = Vec::new();
    for &point in lead.legs.iter().flat_map(|leg| &leg.points) {
        if points.last().is_some_and(|last| (point - *last).length() <= SAME) {
            continue;
        }
        if let [.., before, last] = points[..] {
            if half_turn(last - before, point - last) <= STRAIGHT {
                points.pop();
            }
        }
        points.push(point);
    }
    points
}

/// Tangent of half the turn from one step to the next: infinite for a reversal.
fn half_turn(before: Vector3, after: Vector3) -> f64 {
    let cos = (before.dot(after) / (before.length() * after.length())).clamp(-1.0, 1.0);
    ((1.0 - cos) / (1.0 + cos)).sqrt()
}

/// The corner with least room. A stretch between two corners is shared by them by halves; the first and last serve one.
fn tightest(lead: &Lead) -> Option<Corner<'_>> {
    let points = path(lead);
    let steps: Vec<Vector3> = points.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let room = |step: usize| {
        let shared = step > 0 && step + 1 < steps.len();
        steps[step].length() * if shared { 0.5 } else { 1.0 }
    };
    let corner = |at: usize| Corner {
        lead,
        radius: room(at).min(room(at + 1)) / half_turn(steps[at], steps[at + 1]),
        at: points[at + 1],
    };
    (0..steps.len().saturating_sub(1)).map(corner).min_by(|a, b| a.radius.total_cmp(&b.radius))
}

/// One line for each lead bent tighter than it may be, or one for the tightest of all.
fn bends(wiring: &Wiring, job: &Job) -> Vec<Judged> {
    let least = job.products.lead.value.bend_radius.inches();
    let judged = |corner: &Corner| {
        let radius = corner.radius;
        let fits = radius >= least * (1.0 - 1e-6);
        let verdict = if fits { Verdict::Pass } else { Verdict::Fail };
        let working = format!(
            "{} may bend to {}; the tightest corner of {} leaves room for {}, {} above the eave",
            job.products.lead.value.key,
            feet_inches(least),
            corner.lead.id,
            feet_inches(radius.min(1200.0)),
            feet_inches(corner.at.z)
        );
        // The need against the room: a value over its limit fails, as everywhere.
        BEND_RADIUS.judge(corner.lead.id.to_string(), verdict, least, Some(radius.min(1200.0)), working)
    };
    let corners: Vec<Corner> = wiring.leads.iter().filter_map(tightest).collect();
    let tight: Vec<Judged> = corners.iter().filter(|c| over(least, c.radius)).map(judged).collect();
    if tight.is_empty() {
        return corners.iter().min_by(|a, b| a.radius.total_cmp(&b.radius)).map(judged).into_iter().collect();
    }
    tight
}

fn thickness(job: &Job, out: &mut Vec<Judged>) {
    let lift = job.roof.shingle_lift;
    let (lead, deck) = (&job.products.lead.value, &job.products.deck.value);
    let thick = lead.thickness.unwrap_or(lead.diameter).inches();
    let working = |key: &str, thick: f64| {
        format!("{key} {} in thick; the shingles lift {} in", decimal(thick, 4), decimal(lift, 4))
    };
    out.push(LEAD_THICKNESS.judge(&lead.key, at_most(thick, lift), thick, Some(lift), working(&lead.key, thick)));
    let thick = deck.thickness.inches();
    out.push(ELEMENT_THICKNESS.judge(&deck.key, at_most(thick, lift), thick, Some(lift), working(&deck.key, thick)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::index::{BoxId, LeadId};
    use crate::wiring::{LeadKind, Leg, LegPlace, Terminal};

    fn lead(points: &[(f64, f64, f64)]) -> Lead {
        let leg = Leg {
            place: LegPlace::Face,
            face: None,
            crossing: None,
            path: Vec::new(),
            points: points.iter().map(|&(x, y, z)| Point3::new(x, y, z)).collect(),
            length: 0.0,
            slack: 0.0,
            lanes: Vec::new(),
        };
        let end = Terminal::Box(BoxId(0));
        Lead { id: LeadId(0), kind: LeadKind::Feed, from: end, to: end, legs: vec![leg], length: 0.0 }
    }

    /// By hand: a square corner between 3 in and 10 in has room for a radius of 3 in (tan 45° = 1). Of two square corners 4 in apart
    /// each has half of that, 2 in. A point passed straight is no corner.
    #[test]
    fn room_for_a_bend_by_hand() {
        let radius = |points: &[(f64, f64, f64)]| tightest(&lead(points)).unwrap().radius;
        assert!((radius(&[(0.0, 0.0, 0.0), (3.0, 0.0, 0.0), (3.0, 10.0, 0.0)]) - 3.0).abs() < 1e-12);
        let twice = [(0.0, 0.0, 0.0), (9.0, 0.0, 0.0), (9.0, 4.0, 0.0), (0.0, 4.0, 0.0)];
        assert!((radius(&twice) - 2.0).abs() < 1e-12);
        assert!(tightest(&lead(&[(0.0, 0.0, 0.0), (5.0, 0.0, 0.0), (9.0, 0.0, 0.0)])).is_none());
        // 60° of turn: tan 30° = 0.577 35.
        let gentle = [(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (6.0, 12f64.sqrt(), 0.0)];
        assert!((radius(&gentle) - 4.0 / (1.0 / 3f64.sqrt())).abs() < 1e-9);
    }

    #[test]
    fn a_doubled_point_is_no_corner_and_a_reversal_has_no_room() {
        let doubled = [(0.0, 0.0, 0.0), (3.0, 0.0, 0.0), (3.0, 0.0, 0.0), (3.0, 10.0, 0.0)];
        assert!((tightest(&lead(&doubled)).unwrap().radius - 3.0).abs() < 1e-12);
        assert!(tightest(&lead(&[(0.0, 0.0, 0.0), (3.0, 0.0, 0.0), (1.0, 0.0, 0.0)])).unwrap().radius < 1e-12);
    }
}

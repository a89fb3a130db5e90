//! Checks on how leads lie: bends, and thickness under shingles that are only loosened.

use super::model::{SourceLabel, Verdict};
use super::rules::{Judged, Rule, at_most, over};
use crate::geometry::{Point3, Vector3};
use crate::job::{Job, Work};
use crate::units::{decimal, feet_inches};
use crate::wiring::{LaneKind, Lead, Terminal, Wiring};

const BEND_RADIUS: Rule = Rule {
    code: "lead-bend",
    words: "between its turns, at crossings, over the eave and at the box too, a lead has room for its smallest bend radius; the turn at a power connection is laid in the connection's own tail",
    clause: None,
    source: SourceLabel::Computed,
    unit: "in",
    remedy: "move the box or the crossing, or choose a lead that bends tighter",
};

const LEAD_THICKNESS: Rule = Rule {
    code: "lead-thickness",
    words: "in a retrofit a lead under a tab is no thicker than the tab lifts",
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

/// Cosine of a turn from which it counts as a loop: about 154 degrees.
const LOOP: f64 = -0.9;

/// A place along a lead, and the radius it leaves room for.
struct Place<'a> {
    lead: &'a Lead,
    radius: f64,
    at: Point3,
}

pub(super) fn judge(wiring: &Wiring, job: &Job, out: &mut Vec<Judged>) {
    out.extend(bends(wiring, job));
    if job.roof.work.value == Work::Retrofit {
        let under_tab = wiring.lanes.iter().any(|lane| lane.kind == LaneKind::UnderTab && lane.used > 0);
        thickness(under_tab, job, out);
    }
}

/// Ends and corners of a lead: doubled points and those it passes straight are left out.
fn path(lead: &Lead) -> Vec<Point3> {
    let mut points: Vec<Point3> = Vec::new();
    for &point in lead.legs.iter().flat_map(|leg| &leg.points) {
        if points.last().is_some_and(|last| (point - *last).length() <= SAME) {
            continue;
        }
        if let [.., before, last] = points[..]
            && half_turn(last - before, point - last) <= STRAIGHT
        {
            points.pop();
        }
        points.push(point);
    }
    points
}

/// Tangent of half the turn from one step to the next. A reversal is a drip loop: it hangs its radius deep, like a square turn.
fn half_turn(before: Vector3, after: Vector3) -> f64 {
    let cos = (before.dot(after) / (before.length() * after.length())).clamp(-1.0, 1.0);
    if cos < LOOP { 1.0 } else { ((1.0 - cos) / (1.0 + cos)).sqrt() }
}

/// Where a step only shifts a lead that goes on in its old direction, the radius of the two arcs in which it is laid, one against the other, over
/// the stretches before and after: arcs of radius `r` shift it by `d` over a length of `sqrt(4rd - d²)`. Of each stretch half is used, so the
/// arcs have the shorter one's length together.
fn offset(steps: &[Vector3], step: usize) -> Option<f64> {
    let (before, after) = (steps[step.checked_sub(1)?], *steps.get(step + 1)?);
    if half_turn(before, after) > STRAIGHT {
        return None;
    }
    let aside = steps[step] - before * (steps[step].dot(before) / before.dot(before));
    let (run, shift) = (before.length().min(after.length()), aside.length());
    Some((run * run + shift * shift) / (4.0 * shift))
}

/// The place with least room. A stretch is shared by the turns at its two ends, each of which takes its radius times the tangent of
/// half its angle. The turn at a power connection is laid in the connection's own tail, a quarter of a circle.
fn tightest(lead: &Lead, tail: f64) -> Option<Place<'_>> {
    let points = path(lead);
    let steps: Vec<Vector3> = points.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let connected = |end: Terminal| matches!(end, Terminal::Segment(..));
    let stub = |step: usize| step == 0 && connected(lead.from) || step + 1 == steps.len() && connected(lead.to);
    // The turn between a step and the next.
    let taken = |step: usize| match steps.get(step + 1) {
        Some(_) if stub(step) || stub(step + 1) => 0.0,
        Some(&next) => half_turn(steps[step], next),
        None => 0.0,
    };
    let in_stretch = (0..steps.len()).filter(|&step| !stub(step)).filter_map(|step| {
        let both = taken(step) + if step > 0 { taken(step - 1) } else { 0.0 };
        let radius = offset(&steps, step).unwrap_or(0.0).max(steps[step].length() / both);
        (both > 0.0).then_some(Place { lead, radius, at: points[step] })
    });
    let turned = |step: usize| (stub(step) && step + 1 < steps.len()).then_some(step);
    let in_tail = (0..steps.len()).find_map(turned).map(|step| Place {
        lead,
        radius: tail / std::f64::consts::FRAC_PI_2,
        at: points[step],
    });
    in_stretch.chain(in_tail).min_by(|a, b| a.radius.total_cmp(&b.radius))
}

/// One line for each lead bent tighter than it may be, or one for the tightest of all.
fn bends(wiring: &Wiring, job: &Job) -> Vec<Judged> {
    let least = job.products.lead.value.bend_radius.inches();
    let judged = |place: &Place| {
        let radius = place.radius;
        let fits = radius >= least * (1.0 - 1e-6);
        let verdict = if fits { Verdict::Pass } else { Verdict::Fail };
        let working = format!(
            "{} may bend to {}; the tightest stretch of {} leaves room for {}, {} {} the eave",
            job.products.lead.value.key,
            feet_inches(least),
            place.lead.id,
            feet_inches(radius.min(1200.0)),
            feet_inches(place.at.z.abs()),
            if place.at.z < 0.0 { "below" } else { "above" }
        );
        // The need against the room: a value over its limit fails, as everywhere.
        BEND_RADIUS.judge(place.lead.id.to_string(), verdict, least, Some(radius.min(1200.0)), working)
    };
    let tail = job.wiring.connection_tail;
    let places: Vec<Place> = wiring.leads.iter().filter_map(|lead| tightest(lead, tail)).collect();
    let tight: Vec<Judged> = places.iter().filter(|p| over(least, p.radius)).map(judged).collect();
    if tight.is_empty() {
        return places.iter().min_by(|a, b| a.radius.total_cmp(&b.radius)).map(judged).into_iter().collect();
    }
    tight
}

/// A lead counts where it lies under a tab: through the deck or up a stripped lane it may be thicker.
fn thickness(under_tab: bool, job: &Job, out: &mut Vec<Judged>) {
    let lift = job.courses.lift;
    let (lead, deck) = (&job.products.lead.value, &job.products.deck.value);
    let thick = lead.thickness.unwrap_or(lead.diameter).inches();
    let working = |key: &str, thick: f64| {
        format!("{key} {} in thick; the shingles lift {} in", decimal(thick, 4), decimal(lift, 4))
    };
    if under_tab {
        let verdict = at_most(thick, lift);
        out.push(LEAD_THICKNESS.judge(&lead.key, verdict, thick, Some(lift), working(&lead.key, thick)));
    }
    let thick = deck.thickness.inches();
    out.push(ELEMENT_THICKNESS.judge(&deck.key, at_most(thick, lift), thick, Some(lift), working(&deck.key, thick)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::index::{BoxId, LeadId, SegmentId};
    use crate::wiring::{End, LeadKind, Leg, LegPlace};

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

    /// By hand: a shift of 0.5 in between stretches of 4 in and 6 in: (4² + 0.5²) / (4 · 0.5) = 8.125 in, where the step alone would leave 0.25 in.
    /// The way back is no shift.
    #[test]
    fn a_shift_is_laid_in_two_arcs() {
        let shift = lead(&[(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (4.0, 0.5, 0.0), (10.0, 0.5, 0.0)]);
        let steps: Vec<Vector3> = path(&shift).windows(2).map(|pair| pair[1] - pair[0]).collect();
        assert!((offset(&steps, 1).unwrap() - 8.125).abs() < 1e-12);
        assert!((tightest(&shift, 100.0).unwrap().radius - 4.0).abs() < 1e-12, "the stretches beside it still count");
        let back = lead(&[(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (4.0, 0.5, 0.0), (0.0, 0.5, 0.0)]);
        assert!((tightest(&back, 100.0).unwrap().radius - 0.25).abs() < 1e-12);
    }

    /// By hand: a square corner between 3 in and 10 in has room for a radius of 3 in (tan 45° = 1). Two square corners 4 in apart share
    /// them: 2 in each. 60° of turn after 4 in: 4 / tan 30° = 6.93 in. A drip loop 4 in deep: 4 in.
    #[test]
    fn room_for_a_bend_by_hand() {
        let radius = |points: &[(f64, f64, f64)]| tightest(&lead(points), 6.0).unwrap().radius;
        assert!((radius(&[(0.0, 0.0, 0.0), (3.0, 0.0, 0.0), (3.0, 10.0, 0.0)]) - 3.0).abs() < 1e-12);
        let twice = [(0.0, 0.0, 0.0), (9.0, 0.0, 0.0), (9.0, 4.0, 0.0), (0.0, 4.0, 0.0)];
        assert!((radius(&twice) - 2.0).abs() < 1e-12);
        assert!(tightest(&lead(&[(0.0, 0.0, 0.0), (5.0, 0.0, 0.0), (9.0, 0.0, 0.0)]), 6.0).is_none());
        let gentle = [(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (6.0, 12f64.sqrt(), 0.0)];
        assert!((radius(&gentle) - 4.0 * 3f64.sqrt()).abs() < 1e-9);
        assert!((radius(&[(0.0, 0.0, 20.0), (0.0, 0.0, 0.0), (0.0, 0.0, 4.0)]) - 4.0).abs() < 1e-12);
        let doubled = [(0.0, 0.0, 0.0), (3.0, 0.0, 0.0), (3.0, 0.0, 0.0), (3.0, 10.0, 0.0)];
        assert!((radius(&doubled) - 3.0).abs() < 1e-12);
    }

    /// A jumper off both ends: its turns lie in the tails, a quarter circle of 6 in of tail has a radius of 6 / (pi / 2) = 3.82 in.
    #[test]
    fn turns_at_connections_lie_in_their_tails() {
        let mut jumper = lead(&[(0.0, 0.0, 0.0), (0.4, 0.0, 0.0), (0.4, 5.0, 0.0), (0.0, 5.0, 0.0)]);
        (jumper.from, jumper.to) =
            (Terminal::Segment(SegmentId(0), End::Right), Terminal::Segment(SegmentId(1), End::Right));
        assert!((tightest(&jumper, 6.0).unwrap().radius - 3.819_718_634).abs() < 1e-9);
        assert!((tightest(&jumper, 2.0).unwrap().radius - 1.273_239_545).abs() < 1e-9);
    }

    /// A box hangs below the eave: its height is said without a minus.
    #[test]
    fn a_place_below_the_eave_is_said_to_be_below_it() {
        let job = Job::with_defaults(&crate::catalog::Catalogue::sample()).unwrap();
        for (z, words) in [(-6.0, "6\" below the eave"), (6.0, "6\" above the eave")] {
            let bent = lead(&[(0.0, 0.0, z), (4.0, 0.0, z), (4.0, 4.0, z), (9.0, 4.0, z)]);
            let judged = bends(&Wiring { leads: vec![bent], ..Wiring::default() }, &job);
            assert!(judged[0].check.working.ends_with(words), "{}", judged[0].check.working);
        }
    }
}

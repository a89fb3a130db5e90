//! Build-up of the lowest courses: which layer the element lies in, and how it clears the nails.

use super::super::Drawn;
use super::super::dimensions::measured;
use super::super::pad::Pad;
use super::super::plan_model::{Drawing, element_pen};
use super::callouts::{around, callout, callouts};
use super::section::{Slope, butt_height};
use super::{Detail, drawing};
use crate::courses::{CourseRule, ElementRole, Segment};
use crate::geometry::Point2;
use crate::job::Work;
use crate::units::feet_inches;

/// How far off the deck an element is drawn, by its course: on the barrier on a new roof, on the shingle of its course in a retrofit.
/// Paper inches.
pub(super) fn layer_height<'a>(drawn: &'a Drawn<'a>) -> impl Fn(&Segment) -> f64 + 'a {
    let shingle = &drawn.job.products.shingle.value;
    let retrofit = drawn.job.roof.work.value == Work::Retrofit;
    move |segment: &Segment| {
        if retrofit && segment.course > 0 {
            let middle = segment.offset + 0.5 * segment.width();
            butt_height(middle - f64::from(segment.course - 1) * shingle.exposure.inches(), shingle)
        } else {
            0.02
        }
    }
}

/// The lowest courses of the first face that has both elements, along the slope.
pub(super) fn build_up<'a>(drawn: &'a Drawn<'a>) -> Option<Detail<'a>> {
    let rule = drawn.courses.rule.as_ref()?;
    let top = far(rule);
    let bounds = around(&[Point2::new(-0.5, -0.5), Point2::new(top, 0.5)]);
    let title = match drawn.job.roof.work.value {
        Work::NewRoof => "Course build-up, new roof",
        Work::Retrofit => "Course build-up, retrofit",
    };
    Some(Detail { title: title.into(), bounds, letter: Box::new(move |scale| lettered(drawn, rule, scale)) })
}

/// Layers are drawn so much thicker than in the eave's section.
const LIFT: f64 = 3.0;

/// A stretch in words, or its one length.
fn stretch(low: f64, high: f64) -> String {
    if high - low < 1.0 / 32.0 { feet_inches(low) } else { format!("{} to {}", feet_inches(low), feet_inches(high)) }
}

/// End of the drawn stretch: past the second deck element's nails.
fn far(rule: &CourseRule) -> f64 {
    2.0 * rule.exposure + rule.nail_high + 1.5
}

fn lettered(drawn: &Drawn, rule: &CourseRule, scale: f64) -> Drawing {
    let mut pad = Pad::default();
    let slope = Slope { lift: LIFT, ..Slope::at_pitch(0.0, scale) };
    let top = far(rule);
    let shingle = &drawn.job.products.shingle.value;
    slope.roofing(&mut pad, shingle, 3, top);
    let base = layer_height(drawn);
    let first: Vec<&Segment> = [0, 1, 2]
        .into_iter()
        .filter_map(|course| drawn.courses.segments.iter().find(|s| s.course == course && s.offset < top))
        .collect();
    for segment in &first {
        let id = format!("course{}", segment.course);
        slope.element(&mut pad, &id, element_pen(segment.element), segment.offset, segment.width(), base(segment));
    }
    let nail = 0.5 * (rule.nail_low + rule.nail_high);
    for course in 0..3_u32 {
        let at = f64::from(course) * rule.exposure + nail;
        if at < top {
            slope.nail(&mut pad, &format!("nail{}", course + 1), at);
        }
    }
    let starter_nail = 0.5 * (shingle.starter_nail_low.inches() + shingle.starter_nail_high.inches());
    slope.nail(&mut pad, "nail0", starter_nail);
    let level = |s: f64| slope.point(s, 0.0) - slope.out * 0.7;
    for course in 0..2_u32 {
        let low = f64::from(course) * rule.exposure;
        pad.dimension(format!("dim.course{}", course + 1), measured(level(low), level(low + rule.exposure), -0.62));
    }
    // The second deck element is as wide as the first.
    for segment in first.iter().take(2) {
        let (a, b) = (level(segment.offset), level(segment.offset + segment.width()));
        pad.dimension(format!("dim.element{}", segment.course), measured(a, b, -0.3));
    }
    let object = around(&[slope.point(-0.5, 0.0) - slope.out * (0.7 + 0.8 * scale), slope.point(top, 0.2)]);
    callouts(&mut pad, scale, object, notes(drawn, rule, &slope, &first));
    drawing("courses", scale, pad)
}

fn notes(drawn: &Drawn, rule: &CourseRule, slope: &Slope, first: &[&Segment]) -> Vec<super::callouts::Callout> {
    let shingle = &drawn.job.products.shingle.value;
    let base = layer_height(drawn);
    let nail = 0.5 * (rule.nail_low + rule.nail_high);
    let third = 2.0 * rule.exposure;
    let mut notes = vec![
        callout(
            slope.point(third + nail, 0.1),
            format!("nails {} above each butt", stretch(rule.nail_low, rule.nail_high)),
        ),
        callout(
            slope.point(third + 0.5, 0.11),
            format!("{} exposed, butt at each course line", feet_inches(rule.exposure)),
        ),
        callout(slope.point(far(rule) - 0.6, 0.018), "ice barrier on the deck"),
    ];
    let layer = match drawn.job.roof.work.value {
        Work::NewRoof => "on the ice barrier, before any shingle of the course",
        Work::Retrofit => "on the shingle of its course, slid under the one above",
    };
    if let Some(deck) = first.iter().rev().find(|s| s.element == ElementRole::Deck) {
        let at = slope.point(deck.offset + 0.5 * deck.width(), base(deck) + 0.02);
        notes.push(callout(
            at,
            format!(
                "deck element {layer}; lower edge {} above the course line, {} or more clear of nails",
                feet_inches(rule.rise),
                feet_inches(rule.clearance)
            ),
        ));
    }
    if let Some(starter) = first.iter().find(|s| s.element == ElementRole::Starter) {
        let at = slope.point(0.4 * starter.width(), base(starter) + 0.02);
        notes.push(callout(at, "starter element under the starter strip, never past the drip edge"));
        let row = format!(
            "starter strip's nails {} up, clear of the starter element",
            stretch(shingle.starter_nail_low.inches(), shingle.starter_nail_high.inches())
        );
        notes.push(callout(
            slope.point(0.5 * (shingle.starter_nail_low.inches() + shingle.starter_nail_high.inches()), 0.09),
            row,
        ));
    }
    let fixing = &drawn.job.products.deck.value.fixing;
    if let Some(fixing) = fixing
        && let Some(deck) = first.iter().find(|s| s.element == ElementRole::Deck)
    {
        notes.push(callout(slope.point(deck.offset + 0.3, base(deck)), format!("held by {fixing}")));
    }
    notes
}

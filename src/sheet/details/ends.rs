//! The two ends of an element: power connection and capped end. Shapes are diagrammatic; the element maker's instructions govern.

use super::super::Drawn;
use super::super::dimensions::measured;
use super::super::layers::Pen;
use super::super::pad::{Pad, rectangle};
use super::super::plan_model::{Drawing, element_pen};
use super::callouts::{around, break_line, callout, callouts};
use super::{Detail, drawing};
use crate::courses::ElementRole;
use crate::geometry::{Box2, Point2, Region, Vector2};
use crate::units::feet_inches;

/// Side of a sealing patch, inches: common practice, no source.
const PATCH: f64 = 1.5;
/// Length of element shown, inches.
const SHOWN: f64 = 6.5;
/// From an element's edge to the middle of its bus bar, inches: drawn, not dimensioned.
const BUS: f64 = 0.4;
/// Length shown of a capped piece, inches.
const END: f64 = 4.0;
/// Length shown of the piece after it, inches.
const NEXT: f64 = 2.0;
/// Tone of an element seen from above.
const STRIP: u8 = 225;

/// A fed end of the deck element, seen from above.
pub(super) fn power_connection<'a>(drawn: &'a Drawn<'a>) -> Option<Detail<'a>> {
    let width = drawn.courses.rule.as_ref()?.deck_width;
    let bounds = Box2 { min: Point2::new(-5.0, -1.0), max: Point2::new(SHOWN, width + 1.0) };
    let letter = move |scale: f64| fed(drawn, width, bounds, scale);
    Some(Detail { title: "Power connection, seen from above".into(), bounds, letter: Box::new(letter) })
}

fn fed(drawn: &Drawn, width: f64, object: Box2, scale: f64) -> Drawing {
    let mut pad = Pad::default();
    strip(&mut pad, "element", 0.0, SHOWN, width, false);
    let middle = 0.5 * width;
    let lead = &drawn.job.products.lead.value;
    let half = 0.5 * lead.diameter.inches();
    let split = -1.6;
    let jacket = rectangle(Point2::new(-5.0, middle - half), Point2::new(split, middle + half));
    pad.ring("jacket", Pen::Cut, jacket);
    pad.path(
        "jacket.break",
        Pen::Beyond,
        break_line(Point2::new(-5.0, middle - 0.6), Point2::new(-5.0, middle + 0.6), 0.15),
    );
    let joints = [width - BUS, middle, BUS];
    for (i, y) in joints.into_iter().enumerate() {
        let path = vec![Point2::new(split, middle), Point2::new(split + 0.7, y), Point2::new(0.75, y)];
        pad.path(format!("conductor{}", i + 1), Pen::Lead, path);
        pad.circle(format!("joint{}", i + 1), Pen::Cut, Point2::new(0.75, y), 0.12);
    }
    pad.ring("patch", Pen::KeepOut, rectangle(Point2::new(0.0, -0.25), Point2::new(PATCH, width + 0.25)));
    pad.dimension("dim.patch", measured(Point2::new(0.0, -0.25), Point2::new(PATCH, -0.25), -0.3));
    pad.dimension("dim.width", measured(Point2::new(SHOWN - 1.2, width), Point2::new(SHOWN - 1.2, 0.0), -0.02));
    let notes = vec![
        callout(Point2::new(0.75, width - BUS), "one conductor on each bus bar, either way round"),
        callout(Point2::new(0.75, middle), "ground conductor on the ground layer at the middle"),
        callout(
            Point2::new(PATCH, width + 0.1),
            "two sealing patches, one above and one below, about 1 1/2\" over the joints",
        ),
        callout(
            Point2::new(-3.5, middle + half),
            format!(
                "{}; bend radius {} or more, {} kept for the connection",
                lead.words,
                feet_inches(lead.bend_radius.inches()),
                feet_inches(drawn.job.wiring.connection_tail)
            ),
        ),
        callout(Point2::new(3.5, BUS), "bus bar"),
        callout(
            Point2::new(SHOWN - 0.4, 0.0),
            "made up, sealed and tested before it goes on the roof; the element maker's instructions govern",
        ),
    ];
    callouts(&mut pad, scale, object, notes);
    drawing("power connection", scale, pad)
}

/// The end of one piece, capped, and the next piece of the course beyond the gap.
pub(super) fn capped_end<'a>(drawn: &'a Drawn<'a>) -> Option<Detail<'a>> {
    let width = drawn.courses.rule.as_ref()?.deck_width;
    let right = END + drawn.job.courses.end_gap + NEXT;
    let bounds = Box2 { min: Point2::new(0.0, -1.0), max: Point2::new(right, width + 1.0) };
    let letter = move |scale: f64| capped(drawn, width, bounds, scale);
    Some(Detail { title: "Capped end and gap, seen from above".into(), bounds, letter: Box::new(letter) })
}

fn capped(drawn: &Drawn, width: f64, object: Box2, scale: f64) -> Drawing {
    let mut pad = Pad::default();
    let end = END;
    strip(&mut pad, "element", 0.0, end, width, true);
    let cap = rectangle(Point2::new(end - 0.75, -0.12), Point2::new(end + 0.15, width + 0.12));
    pad.ring("cap", Pen::Cut, cap);
    pad.ring("patch", Pen::KeepOut, rectangle(Point2::new(end - 1.25, -0.3), Point2::new(end + 0.25, width + 0.3)));
    let gap = drawn.job.courses.end_gap;
    strip(&mut pad, "next", end + gap, end + gap + NEXT, width, false);
    pad.dimension("dim.gap", measured(Point2::new(end, -0.3), Point2::new(end + gap, -0.3), -0.3));
    let notes = vec![
        callout(Point2::new(end, 0.8 * width), "cut square, across both bus bars, at the mark on the cut list"),
        callout(
            Point2::new(end + 0.15, 0.4 * width),
            "cap and sealing patch over the whole cut: no bus bar stays open to water",
        ),
        callout(
            Point2::new(end + gap, 0.2 * width),
            format!("next piece of the course, {} away: room for cap, patch and leads", feet_inches(gap)),
        ),
    ];
    callouts(&mut pad, scale, object, notes);
    drawing("capped end", scale, pad)
}

/// A stretch of element seen from above with its bus bars, cut off with a break line at one end.
fn strip(pad: &mut Pad, id: &str, from: f64, to: f64, width: f64, broken_left: bool) {
    let corners = rectangle(Point2::new(from, 0.0), Point2::new(to, width));
    let pen = element_pen(ElementRole::Deck);
    pad.tone(format!("{id}.strip"), pen, vec![Region::simple(corners.clone())], STRIP);
    pad.ring(id, pen, corners);
    for (name, y) in [("upper", width - BUS), ("lower", BUS)] {
        pad.line(format!("{id}.bus.{name}"), Pen::Chalk, Point2::new(from, y), Point2::new(to, y));
    }
    let x = if broken_left { from } else { to };
    let past = Vector2::new(0.0, 0.5);
    let ends = around(&[Point2::new(x, 0.0), Point2::new(x, width)]);
    pad.path(format!("{id}.break"), Pen::Beyond, break_line(ends.min - past, ends.max + past, 0.25));
}

//! Faces, zones and elements for this stage's tests, laid by the plainest rules from a fixture roof.

use crate::courses::{CourseRule, Courses, ElementRole, Run, RunLimit, Segment, ZoneCourses};
use crate::geometry::{FaceFrame, Interval, IntervalSet, Point2, Point3, Region, Ring};
use crate::import::SourceFrame;
use crate::index::{EdgeId, FaceId, OpeningId, RunId, SegmentId, ZoneId};
use crate::job::Job;
use crate::roof::{Basis, Roof};
use crate::terms::EdgeKind;
use crate::units::DrawingUnit;
use crate::zones::{FaceEdge, FaceLayout, Interval2, OpeningKeepOut, Reason, Zone, ZoneKind, Zones};

/// What the stage takes.
pub(in crate::wiring) struct Sample {
    pub roof: Roof,
    pub zones: Zones,
    pub courses: Courses,
    pub frame: SourceFrame,
}

pub(in crate::wiring) fn gable(length: f64, width: f64, job: &Job) -> Sample {
    lay(crate::roof::fixtures::gable(length, width, 0.5), job, &[], &[])
}

/// The hipped L, with a column at these `u` of these faces.
pub(in crate::wiring) fn hipped_l(job: &Job, columns: &[(u32, f64)]) -> Sample {
    lay(crate::roof::fixtures::hipped_l(), job, columns, &[])
}

fn layout(roof: &Roof, face: FaceId) -> Option<FaceLayout> {
    let plane = roof.face(face).plane;
    let sides: Vec<_> = roof.face(face).exterior.iter().map(|&h| (h.edge, roof.directed(h))).collect();
    let eave = sides.iter().find(|(edge, _)| roof.edge(*edge).kind == EdgeKind::Eave)?;
    let frame = FaceFrame::new(plane, eave.1.a)?;
    let setback = |kind| if kind == EdgeKind::Eave { 0.0 } else { 6.0 };
    let edges: Vec<FaceEdge> = sides
        .iter()
        .map(|&(edge, s)| {
            let kind = roof.edge(edge).kind;
            let (a, b) = (frame.to_face(s.a), frame.to_face(s.b));
            FaceEdge { edge, kind, a, b, setback: setback(kind), why: String::new() }
        })
        .collect();
    let region = Region { exterior: Ring::new(edges.iter().map(|e| e.a).collect()), holes: Vec::new() };
    Some(FaceLayout { face, frame, region, edges, openings: Vec::new() })
}

/// Where a strip of a face is clear of its setbacks and keep-outs.
fn clear(layout: &FaceLayout, strip: Interval) -> Vec<Interval> {
    let mut blocked = vec![Interval::new(-1e6, -1e5), Interval::new(1e5, 1e6)];
    for edge in &layout.edges {
        let inward = (edge.b - edge.a).unit().unwrap().left() * edge.setback;
        let corners = [edge.a, edge.b, edge.b + inward, edge.a + inward];
        let mut hit: Vec<f64> = Vec::new();
        for i in 0..4 {
            let (p, q) = (corners[i], corners[(i + 1) % 4]);
            for v in [strip.low + 1e-9, strip.high - 1e-9] {
                if (p.y - v) * (q.y - v) < 0.0 {
                    hit.push(p.lerp(q, (v - p.y) / (q.y - p.y)).x);
                }
            }
            hit.extend((strip.low < p.y && p.y < strip.high).then_some(p.x));
        }
        if let (Some(low), Some(high)) = (hit.iter().copied().reduce(f64::min), hit.iter().copied().reduce(f64::max)) {
            blocked.push(Interval { low, high });
        }
    }
    blocked.extend(layout.openings.iter().filter(|o| o.keep_out.v.overlap(strip).is_some()).map(|o| o.keep_out.u));
    let blocked = IntervalSet::from_union(blocked);
    let middle = 0.5 * (strip.low + strip.high);
    blocked
        .stretches()
        .windows(2)
        .map(|w| Interval { low: w[0].high, high: w[1].low })
        .filter(|i| i.length() > 24.0 && layout.region.contains(Point2::new(0.5 * (i.low + i.high), middle)))
        .collect()
}

/// A run cut at the columns, then into equal pieces of at most 600 in with 6 in between.
fn pieces(run: Interval, columns: &[f64]) -> Vec<Interval> {
    let cuts = columns.iter().map(|&u| Interval::new(u - 3.0, u + 3.0)).collect();
    let parts = IntervalSet::from_union(vec![run]).minus(&IntervalSet::from_union(cuts));
    let mut out = Vec::new();
    for part in parts.stretches() {
        let count = ((part.length() + 6.0) / 606.0).ceil();
        let length = ((part.length() + 6.0) / count - 6.0).min(600.0);
        let cut = (length * 2.0 + 1e-9).floor() / 2.0;
        for i in 0..count as u32 {
            let low = part.low + f64::from(i) * (length + 6.0);
            out.push(Interval { low, high: low + cut });
        }
    }
    out
}

/// Nine courses on every eave. `columns` are (face, u); `openings` are (face, flashing box).
pub(in crate::wiring) fn lay(roof: Roof, job: &Job, columns: &[(u32, f64)], openings: &[(u32, Interval2)]) -> Sample {
    let mut faces: Vec<FaceLayout> = (0..roof.faces.len()).filter_map(|f| layout(&roof, FaceId::new(f))).collect();
    let grown = |i: Interval| Interval { low: i.low - 6.0, high: i.high + 6.0 };
    for (at, (face, flashing)) in openings.iter().enumerate() {
        let keep_out = Interval2 { u: grown(flashing.u), v: grown(flashing.v) };
        faces[*face as usize].openings.push(OpeningKeepOut {
            opening: OpeningId::new(at),
            outline: Region::default(),
            flashing: *flashing,
            keep_out,
            why: String::new(),
        });
    }
    let (starter, deck) = (&job.products.starter.value, &job.products.deck.value);
    let mut zones = Zones { faces, zones: Vec::new() };
    let mut courses = Courses::default();
    for layout in &zones.faces {
        let zone = ZoneId::new(zones.zones.len());
        let here: Vec<f64> = columns.iter().filter(|(f, _)| *f == layout.face.0).map(|c| c.1).collect();
        for course in 0..=8u32 {
            let rise = f64::from(course) * 5.0 + 1.125;
            let across = if course == 0 { Interval::new(0.0, 2.0) } else { Interval::new(rise, rise + 4.0) };
            let role = if course == 0 { ElementRole::Starter } else { ElementRole::Deck };
            for along in clear(layout, across) {
                let run = RunId::new(courses.runs.len());
                let limits = [RunLimit::Zone, RunLimit::Zone];
                courses.runs.push(Run {
                    id: run,
                    zone,
                    face: layout.face,
                    course,
                    element: role,
                    along,
                    across,
                    limits,
                });
                for piece in pieces(along, &here) {
                    courses.segments.push(Segment {
                        id: SegmentId::new(courses.segments.len()),
                        tag: format!("{}-{course}", layout.face),
                        run,
                        zone,
                        face: layout.face,
                        course,
                        element: role,
                        element_key: if course == 0 { starter.key.clone() } else { deck.key.clone() },
                        along: piece,
                        across,
                        station: piece.low,
                        offset: across.low,
                        cut_length: piece.length(),
                    });
                }
            }
        }
        courses.zones.push(ZoneCourses {
            zone,
            deck_courses: 8,
            required_reach: 40.25,
            provided_reach: 45.125,
            coverage: 1.0,
            widest_gap: 1.0,
            regions: Vec::new(),
        });
        let edges: Vec<EdgeId> = layout.edges.iter().filter(|e| e.kind == EdgeKind::Eave).map(|e| e.edge).collect();
        let eave = layout.edges.iter().find(|e| e.kind == EdgeKind::Eave).unwrap();
        zones.zones.push(Zone {
            id: zone,
            face: layout.face,
            kind: ZoneKind::Eave,
            edges,
            base_v: 0.0,
            along: Interval::new(eave.a.x, eave.b.x),
            valley_width: 0.0,
            required_reach: 40.25,
            reach_words: String::new(),
            reach_basis: Basis::Assumed,
            reason: Reason::Dam,
            priority: 1,
            regions: Vec::new(),
        });
    }
    courses.rule = Some(CourseRule {
        exposure: 5.0,
        nail_low: 5.625,
        nail_high: 5.625,
        clearance: 0.375,
        rise: 1.125,
        rise_window: Interval::new(1.0, 1.25),
        starter_width: 2.0,
        deck_width: 4.0,
    });
    let frame = SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
    Sample { roof, zones, courses, frame }
}

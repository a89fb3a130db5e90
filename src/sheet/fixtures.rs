//! Small layouts for the tests of drawing: eave bands filled course by course and fed from a box at the first eave's end.

use super::Drawn;
use crate::catalog::Catalogue;
use crate::checks::Checks;
use crate::courses::{CourseRule, Courses, ElementRole, Run, RunLimit, Segment, ZoneCourses};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{FaceFrame, Interval, Point2, Point3, Region, Ring, Vector2};
use crate::index::{BoxId, ChainId, CircuitId, FaceId, LeadId, RunId, SegmentId, ZoneId};
use crate::job::{Job, SheetSize};
use crate::roof::{Basis, Roof};
use crate::takeoff::Takeoff;
use crate::terms::{BoxPlace, EdgeKind};
use crate::wiring::{
    Chain, Circuit, End, Feed, JunctionBox, Lead, LeadKind, Leg, LegPlace, NailGap, Sensor, Terminal, Wiring,
};
use crate::zones::{FaceEdge, FaceLayout, Reason, Zone, ZoneKind, Zones};

/// Owns everything a [`Drawn`] refers to.
pub(super) struct Layout {
    pub job: Job,
    pub roof: Roof,
    pub zones: Zones,
    pub courses: Courses,
    pub wiring: Wiring,
    pub checks: Checks,
    pub takeoff: Takeoff,
    pub findings: Vec<Finding>,
}

impl Layout {
    pub(super) fn drawn(&self) -> Drawn<'_> {
        Drawn {
            job: &self.job,
            roof: &self.roof,
            zones: &self.zones,
            courses: &self.courses,
            wiring: &self.wiring,
            checks: &self.checks,
            takeoff: &self.takeoff,
            findings: &self.findings,
        }
    }
}

const REACH: f64 = 40.25;
const EXPOSURE: f64 = 5.0;
const RISE: f64 = 1.125;

/// A layout on a roof fixture, for a sheet size.
pub(super) fn layout(roof: Roof, size: SheetSize) -> Layout {
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.sheet.size = size;
    job.project.title = "House at the bend (invented)".into();
    job.project.site = "12 Example Lane".into();
    let zones = zones(&roof);
    let courses = courses(&zones);
    let wiring = wiring(&zones, &courses);
    let findings = vec![Finding::new(
        Severity::Warning,
        "valley-type",
        "a long warning about the valley ".repeat(4),
        Place::item("E3"),
    )];
    Layout { job, roof, zones, courses, wiring, checks: Checks::default(), takeoff: Takeoff::default(), findings }
}

fn zones(roof: &Roof) -> Zones {
    let mut made = Zones::default();
    for face in &roof.faces {
        let Some(eave) = face.exterior.iter().find(|h| roof.edge(h.edge).kind == EdgeKind::Eave) else { continue };
        let origin = roof.directed(*eave).a;
        let frame = FaceFrame::new(face.plane, origin).unwrap();
        let ring: Vec<Point2> = roof.region(face.id).exterior.points.iter().map(|&p| frame.to_face(p)).collect();
        let edges = face
            .exterior
            .iter()
            .map(|&h| {
                let line = roof.directed(h);
                let kind = roof.edge(h.edge).kind;
                FaceEdge {
                    edge: h.edge,
                    kind,
                    a: frame.to_face(line.a),
                    b: frame.to_face(line.b),
                    setback: if kind == EdgeKind::Eave { 0.0 } else { 6.0 },
                    why: "common practice".into(),
                }
            })
            .collect();
        let along = {
            let end = frame.to_face(roof.directed(*eave).b);
            Interval::new(0.0, end.x)
        };
        made.zones.push(Zone {
            id: ZoneId::new(made.zones.len()),
            face: face.id,
            kind: ZoneKind::Eave,
            edges: vec![eave.edge],
            base_v: 0.0,
            along,
            excluded: Vec::new(),
            at_drip_edge: true,
            continues: None,
            valley_width: 0.0,
            required_reach: REACH,
            reach_words: "24 in inside the wall line, 12 in overhang, 6:12".into(),
            reach_basis: Basis::Assumed,
            reason: Reason::Dam,
            priority: 1,
            regions: vec![],
        });
        made.faces.push(FaceLayout {
            face: face.id,
            frame,
            region: Region { exterior: Ring::new(ring), holes: vec![] },
            edges,
            openings: vec![],
        });
    }
    made
}

/// Widest stretch of a region between two heights, a foot in from its sides.
fn clear_stretch(region: &Region, v: Interval) -> Interval {
    let at = |height: f64| {
        let crossings = region.exterior.sides().filter(|s| (s.a.y > height) != (s.b.y > height)).map(|s| {
            let t = (height - s.a.y) / (s.b.y - s.a.y);
            s.a.lerp(s.b, t).x
        });
        crossings.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), u| (l.min(u), h.max(u)))
    };
    let ((a, b), (c, d)) = (at(v.low + 0.01), at(v.high));
    Interval { low: a.max(c) + 8.0, high: b.min(d) - 8.0 }
}

fn courses(zones: &Zones) -> Courses {
    let mut made = Courses {
        rule: Some(CourseRule {
            exposure: EXPOSURE,
            nail_low: 5.625,
            nail_high: 5.625,
            clearance: 0.375,
            rise: RISE,
            rise_window: Interval::new(1.0, 1.25),
            starter_width: 2.0,
            deck_width: 4.0,
        }),
        ..Courses::default()
    };
    for zone in &zones.zones {
        let region = &zones.layout(zone.face).unwrap().region;
        for course in 0..=8_u32 {
            let low = if course == 0 { 0.0 } else { f64::from(course) * EXPOSURE + RISE };
            let across = Interval::new(low, low + if course == 0 { 2.0 } else { 4.0 });
            let along = clear_stretch(region, across);
            if along.length() < 24.0 {
                continue;
            }
            add_run(&mut made, zone, course, along, across);
        }
        let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 45.125), (0.0, 45.125)];
        let region = Region::simple(
            corners.iter().map(|&(t, v)| Point2::new(zone.along.low + t * zone.along.length(), v)).collect(),
        );
        made.zones.push(ZoneCourses {
            zone: zone.id,
            deck_courses: 8,
            required_reach: REACH,
            provided_reach: 45.125,
            coverage: 0.8,
            widest_gap: 1.0,
            regions: vec![region],
        });
    }
    made
}

fn add_run(made: &mut Courses, zone: &Zone, course: u32, along: Interval, across: Interval) {
    let element = if course == 0 { ElementRole::Starter } else { ElementRole::Deck };
    let run = RunId::new(made.runs.len());
    made.runs.push(Run {
        id: run,
        zone: zone.id,
        face: zone.face,
        course,
        element,
        along,
        across,
        limits: [RunLimit::Zone, RunLimit::Zone],
    });
    made.segments.push(Segment {
        id: SegmentId::new(made.segments.len()),
        tag: format!("{}-{}", zone.face, course),
        run,
        zone: zone.id,
        face: zone.face,
        course,
        element,
        element_key: if course == 0 { "strip-2" } else { "strip-4" }.into(),
        along,
        across,
        station: along.low,
        offset: across.low,
        cut_length: along.length(),
    });
}

/// Each segment fed on its left from one box a face, by a lead down a lane beside the left ends and over the eave.
fn wiring(zones: &Zones, courses: &Courses) -> Wiring {
    let mut made = Wiring::default();
    for zone in &zones.zones {
        let layout = zones.layout(zone.face).unwrap();
        let space = |p: Point2| layout.frame.to_space(p);
        let exit = Point2::new(zone.along.low + 3.0, 0.0);
        let junction = BoxId::new(made.boxes.len());
        let circuit = CircuitId::new(made.circuits.len());
        let mut chains = Vec::new();
        for segment in courses.segments.iter().filter(|s| s.zone == zone.id) {
            let chain = ChainId::new(made.chains.len());
            let lead = LeadId::new(made.leads.len());
            chains.push(chain);
            let end = segment.left_end();
            let path = vec![exit, Point2::new(end.x - 3.0, end.y), end];
            let points: Vec<Point3> = path.iter().map(|&p| space(p)).collect();
            let length = path.windows(2).map(|w| w[0].distance(w[1])).sum();
            let drop = Leg {
                place: LegPlace::OverEave,
                face: None,
                crossing: None,
                path: vec![],
                points: vec![points[0], Point3::new(points[0].x, points[0].y, points[0].z - 24.0)],
                length: 24.0,
                slack: 0.0,
                lanes: vec![],
            };
            let leg = Leg {
                place: LegPlace::Face,
                face: Some(zone.face),
                crossing: None,
                path,
                points,
                length,
                slack: 0.0,
                lanes: vec![],
            };
            made.leads.push(Lead {
                id: lead,
                kind: LeadKind::Feed,
                from: Terminal::Box(junction),
                to: Terminal::Segment(segment.id, End::Left),
                legs: vec![drop, leg],
                length: length + 42.0,
            });
            made.chains.push(Chain {
                id: chain,
                segments: vec![segment.id],
                junction_box: junction,
                circuit,
                element_length: segment.cut_length,
                watts: segment.cut_length,
                amps: segment.cut_length / 240.0,
                far_end_volts: 236.0,
            });
            made.feeds.push(Feed {
                segment: segment.id,
                fed_end: End::Left,
                chain,
                circuit,
                junction_box: junction,
                lead,
            });
            if segment.course > 0 {
                made.nail_gaps.push(NailGap {
                    face: zone.face,
                    shingle_course: segment.course,
                    at: Point2::new(end.x - 3.0, end.y - 2.5),
                    width: 1.5,
                });
            }
        }
        let outward: Vector2 = -layout.frame.uphill;
        made.boxes.push(JunctionBox {
            id: junction,
            tag: junction.to_string(),
            box_key: "box-outside".into(),
            place: BoxPlace::OutsideWall,
            set_by_job: false,
            face: zone.face,
            edge: Some(zone.edges[0]),
            exit: space(exit),
            at: space(exit),
            outward,
            chains: chains.clone(),
        });
        made.circuits.push(Circuit {
            id: circuit,
            tag: circuit.to_string(),
            chains,
            watts: 3000.0,
            amps: 12.5,
            breaker: 20.0,
            conductor_awg: 12,
            ground_awg: 12,
            priority: 1,
        });
    }
    let top = &zones.faces[0];
    let ridge =
        top.region.exterior.points.iter().copied().fold(Point2::new(0.0, 0.0), |a, b| if b.y > a.y { b } else { a });
    made.sensor = Some(Sensor {
        face: FaceId(0),
        at: top.frame.to_space(Point2::new(ridge.x * 0.9 + 0.1 * top.region.exterior.points[0].x, ridge.y * 0.85)),
    });
    made
}

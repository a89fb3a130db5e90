//! A small wired layout with round numbers, for tests of what is counted and judged after it.

use super::model::{Chain, Circuit, End, Feed, JunctionBox, Lead, LeadKind, NailGap, Sensor, Terminal, Unfed, Wiring};
use crate::courses::{Courses, ElementRole, Segment, ZoneCourses};
use crate::geometry::{Interval, Point2, Point3, Region, Vector2};
use crate::index::{BoxId, ChainId, CircuitId, FaceId, LeadId, RunId, SegmentId, ZoneId};
use crate::terms::BoxPlace;

/// Four pieces on one face: a 40 ft starter (S1) chained to a 50 ft deck element (S2), a 30 ft deck element (S3) on its
/// own, and a 10 ft one (S4) that nothing feeds. Band of 600 by 48 in.
pub(crate) fn courses() -> Courses {
    let piece = |at: usize, course: u32, role, key: &str, low: f64, width: f64, feet: f64| Segment {
        id: SegmentId::new(at),
        tag: format!("F1-{course}{}", (b'a' + at as u8) as char),
        run: RunId::new(at),
        zone: ZoneId(0),
        face: FaceId(0),
        course,
        element: role,
        element_key: key.into(),
        along: Interval::new(0.0, feet * 12.0),
        across: Interval::new(low, low + width),
        station: 0.0,
        offset: low,
        cut_length: feet * 12.0,
    };
    let band = [(0.0, 0.0), (600.0, 0.0), (600.0, 48.0), (0.0, 48.0)].map(|(x, y)| Point2::new(x, y));
    Courses {
        zones: vec![ZoneCourses {
            zone: ZoneId(0),
            deck_courses: 3,
            shift: 0.0,
            required_reach: 20.0,
            provided_reach: 20.125,
            coverage: 0.5,
            widest_gap: 4.125,
            regions: vec![Region::simple(band.to_vec())],
        }],
        segments: vec![
            piece(0, 0, ElementRole::Starter, "strip-2", 0.0, 2.0, 40.0),
            piece(1, 1, ElementRole::Deck, "strip-4", 6.125, 4.0, 50.0),
            piece(2, 2, ElementRole::Deck, "strip-4", 11.125, 4.0, 30.0),
            piece(3, 3, ElementRole::Deck, "strip-4", 16.125, 4.0, 10.0),
        ],
        ..Courses::default()
    }
}

/// Two chains on one 15 A circuit from one outside box: 840 W and 360 W at 240 V, 3.5 A and 1.5 A.
pub(crate) fn wiring() -> Wiring {
    let lead = |at: usize, kind, from, to: u32, end, length| Lead {
        id: LeadId::new(at),
        kind,
        from,
        to: Terminal::Segment(SegmentId(to), end),
        legs: Vec::new(),
        length,
    };
    let feed = |segment: u32, fed_end, chain: u32, lead: u32| Feed {
        segment: SegmentId(segment),
        fed_end,
        chain: ChainId(chain),
        circuit: CircuitId(0),
        junction_box: BoxId(0),
        lead: LeadId(lead),
    };
    let chain = |at: u32, segments: &[u32], feet: f64, watts, amps| Chain {
        id: ChainId(at),
        segments: segments.iter().map(|&s| SegmentId(s)).collect(),
        junction_box: BoxId(0),
        circuit: CircuitId(0),
        element_length: feet * 12.0,
        watts,
        amps,
        far_end_volts: 239.0,
    };
    let in_box = Terminal::Box(BoxId(0));
    Wiring {
        boxes: vec![JunctionBox {
            id: BoxId(0),
            tag: "J1".into(),
            box_key: "box-outside".into(),
            place: BoxPlace::OutsideWall,
            set_by_job: false,
            face: FaceId(0),
            edge: None,
            exit: Point3::new(0.0, 0.0, 0.0),
            at: Point3::new(0.0, 0.0, -24.0),
            outward: Vector2::new(0.0, -1.0),
            chains: vec![ChainId(0), ChainId(1)],
        }],
        leads: vec![
            lead(0, LeadKind::Feed, in_box, 0, End::Left, 120.0),
            lead(1, LeadKind::Jumper, Terminal::Segment(SegmentId(0), End::Right), 1, End::Right, 24.0),
            lead(2, LeadKind::Feed, in_box, 2, End::Left, 180.0),
        ],
        feeds: vec![feed(0, End::Left, 0, 0), feed(1, End::Right, 0, 1), feed(2, End::Left, 1, 2)],
        chains: vec![chain(0, &[0, 1], 90.0, 840.0, 3.5), chain(1, &[2], 30.0, 360.0, 1.5)],
        circuits: vec![Circuit {
            id: CircuitId(0),
            tag: "C1".into(),
            chains: vec![ChainId(0), ChainId(1)],
            watts: 1200.0,
            amps: 5.0,
            breaker: 15.0,
            conductor_awg: 14,
            ground_awg: 14,
            priority: 1,
        }],
        nail_gaps: vec![NailGap { face: FaceId(0), shingle_course: 1, at: Point2::new(3.0, 5.625), width: 1.5 }],
        sensor: Some(Sensor { face: FaceId(0), at: Point3::new(300.0, 100.0, 50.0), lead: None }),
        unfed: vec![Unfed { segment: SegmentId(3), zone: ZoneId(0), why: "no lane".into() }],
        ..Wiring::default()
    }
}

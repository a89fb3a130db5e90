//! A finished layout built by hand: a gable in feet, two segments on one face of which one is fed.

use crate::catalog::Catalogue;
use crate::checks::{Check, Checks, LoadSummary, SourceLabel, Verdict};
use crate::courses::{ColdStretch, CourseRule, Courses, ElementRole, Layer, Segment, ZoneCourses};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{FaceFrame, Interval, Point2, Point3, Region, Vector2};
use crate::import::{DrawingReport, EntityCount, Linework, Origin, SourceFrame};
use crate::index::{BoxId, ChainId, CircuitId, FaceId, LeadId, RunId, SegmentId, ZoneId};
use crate::job::Job;
use crate::pipeline::{Project, Survey};
use crate::plan::PlanGraph;
use crate::roof::fixtures::gable;
use crate::roof::{Basis, Roof};
use crate::takeoff::{CutPiece, MaterialLine, Quote, Takeoff};
use crate::terms::{BoxPlace, EdgeKind};
use crate::units::DrawingUnit;
use crate::wiring::{Chain, Circuit, End, Feed, JunctionBox, Lead, LeadKind, Leg, LegPlace, Terminal, Unfed, Wiring};
use crate::zones::{FaceLayout, Reason, Zone, ZoneKind, Zones};
use std::collections::BTreeMap;

/// A drawing in feet whose working origin stands at (1000, 2000, 10) ft.
pub(crate) fn linework() -> Linework {
    let frame =
        SourceFrame { units: DrawingUnit::Feet, inches_per_unit: 12.0, origin: Point3::new(1000.0, 2000.0, 10.0) };
    let drawing = DrawingReport {
        version: "AC1015".into(),
        code_page: "ANSI_1252".into(),
        header_units: None,
        units_evidence: "a test".into(),
        entities: BTreeMap::from([("LINE".to_string(), EntityCount { seen: 7, used: 7, ..Default::default() })]),
        candidates: Vec::new(),
    };
    let origins = vec![Origin { entity: "LINE".into(), handle: Some("2A".into()), ..Origin::default() }];
    Linework { frame, drawing, paths: vec![], facets: vec![], notes: vec![], arrows: vec![], origins }
}

/// The layout.
pub(crate) fn project() -> Project {
    let roof = gable(480.0, 288.0, 0.5);
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.project.number = "T-1".into();
    let zones = zones(&roof);
    let finding = Finding::new(Severity::Assumed, "test", "a test", Place::at(Point2::new(12.0, 24.0)));
    Project {
        job,
        survey: Survey { linework: linework(), plan: PlanGraph::default(), roof, findings: Vec::new() },
        zones,
        courses: courses(),
        wiring: wiring(),
        checks: checks(),
        takeoff: takeoff(),
        season: None,
        measured: None,
        record: None,
        laid: None,
        findings: vec![finding],
    }
}

fn zones(roof: &Roof) -> Zones {
    let face = FaceId(0);
    let plane = roof.face(face).plane;
    let band = Region::simple(vec![
        Point2::new(6.0, 0.0),
        Point2::new(474.0, 0.0),
        Point2::new(474.0, 45.125),
        Point2::new(6.0, 45.125),
    ]);
    let eave = roof.edges.iter().find(|e| e.kind == EdgeKind::Eave && e.left.or(e.right) == Some(face)).unwrap().id;
    Zones {
        faces: vec![FaceLayout {
            face,
            frame: FaceFrame::new(plane, Point2::new(0.0, 0.0)).unwrap(),
            region: band.clone(),
            edges: Vec::new(),
            openings: Vec::new(),
            keep_outs: Vec::new(),
            starters: Vec::new(),
        }],
        overhangs: Vec::new(),
        valleys: Vec::new(),
        melt: Vec::new(),
        gutters: Vec::new(),
        zones: vec![Zone {
            id: ZoneId(0),
            face,
            kind: ZoneKind::Eave,
            edges: vec![eave],
            base_v: 0.0,
            along: Interval::new(6.0, 474.0),
            excluded: Vec::new(),
            at_drip_edge: true,
            continues: None,
            valley_width: 0.0,
            required_reach: 40.25,
            reach_words: "a test".into(),
            reach_basis: Basis::Assumed,
            reason: Reason::Dam,
            priority: 1,
            regions: vec![band],
        }],
    }
}

fn segment(number: u32, element: ElementRole, key: &str, across: Interval) -> Segment {
    Segment {
        id: SegmentId(number),
        tag: format!("F1-{number}-1"),
        run: RunId(number),
        zone: ZoneId(0),
        face: FaceId(0),
        course: number,
        element,
        element_key: key.into(),
        along: Interval::new(6.0, 474.0),
        across,
        station: 6.0,
        offset: across.low,
        cut_length: 468.0,
    }
}

fn courses() -> Courses {
    Courses {
        rule: Some(CourseRule {
            layer: Layer::UnderShingles,
            exposure: 5.0,
            nail_low: 5.625,
            nail_high: 5.625,
            clearance: 0.375,
            rise: 1.125,
            rise_window: Interval::new(1.0, 1.25),
            starter_width: 2.0,
            deck_width: 4.0,
        }),
        zones: vec![ZoneCourses {
            zone: ZoneId(0),
            deck_courses: 1,
            shift: 0.0,
            required_reach: 40.25,
            provided_reach: 10.125,
            coverage: 0.5,
            widest_gap: 35.0,
            regions: Vec::new(),
        }],
        runs: Vec::new(),
        columns: Vec::new(),
        segments: vec![
            segment(0, ElementRole::Starter, "starter-2", Interval::new(0.0, 2.0)),
            segment(1, ElementRole::Deck, "deck-4", Interval::new(6.125, 10.125)),
        ],
        cold: vec![ColdStretch {
            zone: ZoneId(0),
            course: 2,
            along: Interval::new(6.0, 20.0),
            why: "shorter than the shortest run".into(),
        }],
    }
}

fn wiring() -> Wiring {
    let leg = Leg {
        place: LegPlace::OverEave,
        face: None,
        crossing: None,
        path: Vec::new(),
        points: vec![Point3::new(6.0, 0.0, 0.0), Point3::new(6.0, -6.0, -24.0)],
        length: 24.739_163,
        slack: 0.0,
        lanes: Vec::new(),
    };
    Wiring {
        boxes: vec![JunctionBox {
            id: BoxId(0),
            tag: "J1".into(),
            box_key: "box-wet".into(),
            place: BoxPlace::OutsideWall,
            set_by_job: false,
            face: FaceId(0),
            edge: None,
            exit: Point3::new(6.0, 0.0, 0.0),
            at: Point3::new(6.0, -6.0, -24.0),
            outward: Vector2::new(0.0, -1.0),
            chains: vec![ChainId(0)],
        }],
        leads: vec![Lead {
            id: LeadId(0),
            kind: LeadKind::Feed,
            from: Terminal::Box(BoxId(0)),
            to: Terminal::Segment(SegmentId(0), End::Left),
            legs: vec![leg],
            length: 96.0,
        }],
        feeds: vec![Feed {
            segment: SegmentId(0),
            fed_end: End::Left,
            chain: ChainId(0),
            circuit: CircuitId(0),
            junction_box: BoxId(0),
            lead: LeadId(0),
        }],
        chains: vec![Chain {
            id: ChainId(0),
            segments: vec![SegmentId(0)],
            junction_box: BoxId(0),
            circuit: CircuitId(0),
            element_length: 468.0,
            watts: 390.0,
            amps: 1.625,
            far_end_volts: 238.0,
        }],
        circuits: vec![Circuit {
            id: CircuitId(0),
            tag: "HT-1".into(),
            chains: vec![ChainId(0)],
            watts: 390.0,
            amps: 1.625,
            breaker: 15.0,
            conductor_awg: 14,
            ground_awg: 14,
            priority: 1,
        }],
        unfed: vec![Unfed { segment: SegmentId(1), zone: ZoneId(0), why: "no lane".into() }],
        ..Wiring::default()
    }
}

fn checks() -> Checks {
    let check = |code: &str, value, limit| Check {
        code: code.into(),
        item: "C1".into(),
        rule: "a test".into(),
        clause: None,
        source: SourceLabel::Practice,
        verdict: Verdict::Pass,
        value,
        limit,
        unit: "A".into(),
        working: "1 + 1".into(),
    };
    Checks {
        supplies: Vec::new(),
        readings: Vec::new(),
        insulation: None,
        one_line: Vec::new(),
        heat: None,
        load: LoadSummary { watts: 390.0, ..LoadSummary::default() },
        checks: vec![check("finite", 1.625, Some(12.0)), check("endless", f64::INFINITY, None)],
    }
}

fn takeoff() -> Takeoff {
    Takeoff {
        cuts: vec![CutPiece {
            segment: SegmentId(0),
            tag: "F1-0-1".into(),
            face: FaceId(0),
            element_key: "starter-2".into(),
            length: 468.0,
        }],
        leads: Vec::new(),
        plans: Vec::new(),
        kits: Vec::new(),
        quote: Quote::default(),
        materials: vec![MaterialLine {
            group: "element".into(),
            key: "starter-2".into(),
            words: "Starter element, 2 in".into(),
            quantity: 39.0,
            unit: "ft".into(),
            order: 39.0,
            basis: "1 piece".into(),
        }],
    }
}

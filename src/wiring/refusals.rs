//! What is drawn is tried against the rules before it is handed on: layouts with one rule broken by hand.

use super::check::check_invariants;
use super::draw::{Plan, Sheet, draw};
use super::model::{Lane, LaneKind, Wiring};
use super::samples::{self, Sample};
use super::{assign, boxes, build, chains, hints, wiring};
use crate::catalog::Catalogue;
use crate::finding::Outcome;
use crate::geometry::{Interval, Point2};
use crate::index::{FaceId, LeadId, SegmentId};
use crate::job::Job;
use std::collections::BTreeSet;

fn job() -> Job {
    Job::with_defaults(&Catalogue::sample()).unwrap()
}

/// The stage with one lane of the graph changed before anything is routed.
fn wired_with(sample: &Sample, job: &Job, spoil: impl Fn(&mut Lane)) -> Outcome<Wiring> {
    let Sample { roof, zones, courses, frame } = sample;
    let facts = build::face_facts(zones, courses, job);
    let mut graph = build::build(zones, courses, &facts, hints::Hints { roof, frame, job });
    graph.lanes.iter_mut().for_each(spoil);
    graph.link_lanes();
    let boxes = boxes::outside_candidates(&graph, zones, hints::Hints { roof, frame, job });
    let mut lanes = vec![0; graph.lanes.len()];
    let chains =
        chains::Chaining::new(&graph, zones, courses, job, &BTreeSet::new()).plan(&BTreeSet::new(), &mut lanes);
    let booked = assign::Choices { graph: &graph, chains: &chains, boxes: &boxes, courses }.serve(lanes, &[]);
    draw(Plan { graph, chains, boxes, booked }, zones, courses, &facts, job, Vec::new())
}

/// A lane of the left rake that lies 10 in too far inside, over the elements: the pieces fed through it are refused by name, and all
/// others are fed as before.
#[test]
fn pieces_whose_leads_cross_elements_are_refused_and_the_others_stay() {
    let job = job();
    let sample = samples::gable(1344.0, 288.0, &job);
    let sound = wiring(&sample.roof, &sample.zones, &sample.courses, &sample.frame, &job).unwrap().value;
    assert!(sound.unfed.is_empty());
    let made = wired_with(&sample, &job, |lane| {
        let u = &mut lane.extent.u;
        if lane.face == FaceId(0) && lane.kind == LaneKind::RakeMargin && u.high < 100.0 {
            *u = Interval { low: u.low + 10.0, high: u.high + 10.0 };
        }
    });
    let refused: BTreeSet<SegmentId> = made.value.unfed.iter().map(|u| u.segment).collect();
    let through: BTreeSet<SegmentId> =
        sample.courses.segments.iter().filter(|s| s.face == FaceId(0) && s.along.low < 7.0).map(|s| s.id).collect();
    assert!(!refused.is_empty() && refused.is_subset(&through), "{refused:?}");
    assert_eq!(made.value.feeds.len(), sample.courses.segments.len() - refused.len());
    let said: Vec<_> = made.findings.iter().filter(|f| f.code == "no-lead-route").collect();
    assert_eq!(said.len(), refused.len());
    for (finding, unfed) in said.iter().zip(&made.value.unfed) {
        assert!(unfed.why.contains("would break a rule where it lies") && unfed.why.contains("crosses"), "{unfed:?}");
        assert!(finding.message.contains("is not fed") && finding.place.at.is_some() && finding.hint.is_some());
    }
    assert_eq!(check_invariants(&sample.zones, &sample.courses, &made.value, &job), Vec::<String>::new());
}

/// The chains that one spoilt lead takes with it, with what is said.
fn gone(spoil: impl Fn(&mut Wiring)) -> (Vec<SegmentId>, String) {
    let job = job();
    let sample = samples::gable(480.0, 288.0, &job);
    let facts = build::face_facts(&sample.zones, &sample.courses, &job);
    let mut made = wiring(&sample.roof, &sample.zones, &sample.courses, &sample.frame, &job).unwrap().value;
    let sheet = Sheet { zones: &sample.zones, courses: &sample.courses, facts: &facts, job: &job };
    assert!(sheet.misplaced(&made).is_empty());
    spoil(&mut made);
    let mut gone = sheet.misplaced(&made);
    assert_eq!(gone.len(), 1, "{gone:?}");
    gone.remove(0)
}

/// Moves every point of a lead on its face.
fn shift(wiring: &mut Wiring, lead: LeadId, by: impl Fn(Point2) -> Point2) {
    for leg in wiring.leads[lead.index()].legs.iter_mut().filter(|leg| leg.face.is_some()) {
        leg.path.iter_mut().for_each(|p| *p = by(*p));
    }
}

fn fed_by(wiring: &Wiring, lead: LeadId) -> SegmentId {
    wiring.feeds.iter().find(|f| f.lead == lead).unwrap().segment
}

/// Of two leads drawn on one another the later one goes and the earlier one stays.
#[test]
fn of_two_leads_on_one_another_the_later_goes() {
    let later = std::cell::Cell::new(SegmentId(0));
    let (segments, what) = gone(|wiring| {
        later.set(fed_by(wiring, LeadId(4)));
        let upright = |wiring: &Wiring, lead: usize| {
            let legs = wiring.leads[lead].legs.iter().filter(|l| l.face.is_some());
            let mut stretches = legs.flat_map(|leg| leg.path.windows(2));
            stretches.find(|w| (w[0].x - w[1].x).abs() < 1e-6 && w[0].distance(w[1]) > 1.0).unwrap()[0].x
        };
        let (from, to) = (upright(wiring, 4), upright(wiring, 3));
        shift(wiring, LeadId(4), |p| if (p.x - from).abs() < 1e-6 { Point2::new(to, p.y) } else { p });
    });
    assert_eq!(segments, [later.get()]);
    assert!(what.contains("leads L4 and L5 lie on one another"), "{what}");
}

#[test]
fn a_lead_in_the_end_nails_of_a_rake_goes() {
    let (segments, what) = gone(|wiring| {
        shift(wiring, LeadId(3), |p| Point2::new(if p.x < 240.0 { p.x.min(0.5) } else { p.x.max(479.5) }, p.y));
    });
    assert_eq!(segments.len(), 1);
    assert!(what.contains("from the rake"), "{what}");
}

#[test]
fn a_lead_beyond_the_face_goes() {
    let (segments, what) = gone(|wiring| shift(wiring, LeadId(3), |p| Point2::new(p.x, p.y - 40.0)));
    assert_eq!(segments.len(), 1);
    assert!(what.contains("leaves F"), "{what}");
}

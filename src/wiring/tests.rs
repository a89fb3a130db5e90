//! The stage as a whole on fixture roofs.

use super::check::check_invariants;
use super::samples::{self, Sample};
use super::{End, LaneKind, LeadKind, LegPlace, Wiring, wiring};
use crate::catalog::Catalogue;
use crate::finding::Finding;
use crate::geometry::Point2;
use crate::index::FaceId;
use crate::job::{BoxSetting, Job, Setting, Under};
use crate::roof::fixtures;
use crate::terms::BoxPlace;
use proptest::prelude::*;

fn job() -> Job {
    Job::with_defaults(&Catalogue::sample()).unwrap()
}

fn wired(sample: &Sample, job: &Job) -> (Wiring, Vec<Finding>) {
    let made = wiring(&sample.roof, &sample.zones, &sample.courses, &sample.frame, job).unwrap();
    let wrong = check_invariants(&sample.zones, &sample.courses, &made.value, job);
    assert!(wrong.is_empty(), "{wrong:#?}");
    (made.value, made.findings)
}

/// Ids are positions: they follow when segments are taken out.
fn renumber(sample: &mut Sample) {
    for (at, segment) in sample.courses.segments.iter_mut().enumerate() {
        segment.id = crate::index::SegmentId::new(at);
    }
}

/// The 40 ft by 24 ft gable: nine 39 ft pieces an eave, each a chain of its own because two would pass 50 ft.
#[test]
fn a_gable_is_fed_from_one_box_an_eave() {
    let job = job();
    let sample = samples::gable(480.0, 288.0, &job);
    let (wiring, findings) = wired(&sample, &job);
    assert!(wiring.unfed.is_empty(), "{findings:#?}");
    assert_eq!((wiring.feeds.len(), wiring.chains.len(), wiring.boxes.len()), (18, 18, 2));
    assert!(wiring.boxes.iter().all(|b| b.chains.len() == 9));
    // 39 ft at 12 W/ft, eight of them an eave, and a starter at 6 W/ft, less what leads and buses lose.
    let watts: f64 = wiring.circuits.iter().map(|c| c.watts).sum();
    let full = 2.0 * (8.0 * 39.0 * 12.0 + 39.0 * 6.0);
    assert!(watts < full && watts > 0.99 * full, "{watts} of {full}");
    // 33.15 A on circuits of at most 16 A.
    assert_eq!(wiring.circuits.len(), 3);
    assert!(wiring.sensor.is_some());
}

/// 112 ft of eave: three pieces of 36'-8" a course with 6 in between.
#[test]
fn the_middle_piece_of_a_long_eave_leaves_through_a_column() {
    let job = job();
    let sample = samples::gable(1344.0, 288.0, &job);
    let (wiring, findings) = wired(&sample, &job);
    assert!(wiring.unfed.is_empty(), "{findings:#?}");
    assert_eq!(wiring.feeds.len(), 54);
    let middle: Vec<_> =
        sample.courses.segments.iter().filter(|s| s.along.low > 400.0 && s.along.high < 900.0).collect();
    assert_eq!(middle.len(), 18);
    for segment in middle {
        assert!((segment.cut_length - 440.0).abs() < 1e-9);
        let feed = wiring.feeds.iter().find(|f| f.segment == segment.id).unwrap();
        let lead = &wiring.leads[feed.lead.index()];
        let lanes = lead.legs.iter().flat_map(|l| &l.lanes).map(|l| wiring.lanes[l.index()].kind);
        assert!(lanes.clone().any(|k| k == LaneKind::LeadColumn), "{:?}", lanes.collect::<Vec<_>>());
    }
}

/// Every face of the hipped L lies between hips and valleys: all leads leave through lead columns.
#[test]
fn hip_faces_are_fed_through_their_columns() {
    let job = job();
    let sample = samples::hipped_l(&job);
    let (wiring, findings) = wired(&sample, &job);
    assert!(wiring.unfed.is_empty(), "{findings:#?}");
    for lead in &wiring.leads {
        let mut lanes = lead.legs.iter().flat_map(|l| &l.lanes).map(|l| wiring.lanes[l.index()].kind);
        assert!(lanes.any(|k| k == LaneKind::LeadColumn));
    }
}

/// Without its columns the same roof has no way out for any lead, and says so piece by piece.
#[test]
fn pieces_between_hips_are_refused() {
    let job = job();
    let mut sample = samples::hipped_l(&job);
    let whole: Vec<_> = sample.courses.runs.clone();
    for segment in &mut sample.courses.segments {
        segment.along = whole[segment.run.index()].along;
        segment.cut_length = segment.along.length();
    }
    let mut seen = std::collections::BTreeSet::new();
    sample.courses.segments.retain(|s| seen.insert(s.run));
    renumber(&mut sample);
    let (wiring, findings) = wired(&sample, &job);
    assert!(wiring.feeds.is_empty());
    assert_eq!(findings.iter().filter(|f| f.code == "no-lead-route").count(), sample.courses.segments.len());
}

/// A 16 ft gable: three 15 ft pieces make a chain of 45 ft; a fourth would pass 50 ft.
#[test]
fn short_courses_are_chained_by_jumpers() {
    let job = job();
    let sample = samples::gable(192.0, 240.0, &job);
    let (wiring, _) = wired(&sample, &job);
    assert!(wiring.unfed.is_empty());
    let mut sizes: Vec<usize> = wiring.chains.iter().map(|c| c.segments.len()).collect();
    sizes.sort_unstable();
    assert_eq!(sizes, [3; 6]);
    assert_eq!(wiring.leads.iter().filter(|l| l.kind == LeadKind::Jumper).count(), 12);
    // Power snakes: the fed ends along a chain alternate.
    for chain in wiring.chains.iter().filter(|c| c.segments.len() == 3) {
        let ends: Vec<End> =
            chain.segments.iter().map(|s| wiring.feeds.iter().find(|f| f.segment == *s).unwrap().fed_end).collect();
        assert!(ends[0] != ends[1] && ends[0] == ends[2], "{ends:?}");
    }
}

#[test]
fn leads_go_from_the_box_up_the_wall_over_the_eave_and_up_the_rake() {
    let job = job();
    let (wiring, _) = wired(&samples::gable(480.0, 288.0, &job), &job);
    for lead in &wiring.leads {
        let places: Vec<LegPlace> = lead.legs.iter().map(|l| l.place).collect();
        assert_eq!(places, [LegPlace::Wall, LegPlace::OverEave, LegPlace::Face]);
    }
}

fn boxed(job: &mut Job, tag: &str, at: (f64, f64), place: BoxPlace) {
    job.wiring.boxes.push(BoxSetting { tag: tag.into(), at: Point2::new(at.0, at.1), place, line: 7 });
}

#[test]
fn a_box_on_the_wall_set_by_the_job_takes_what_it_can() {
    let mut job = job();
    boxed(&mut job, "JB-W", (30.0, 10.0), BoxPlace::OutsideWall);
    let (wiring, findings) = wired(&samples::gable(480.0, 288.0, &job), &job);
    assert!(wiring.unfed.is_empty());
    let own = &wiring.boxes[0];
    assert!(own.set_by_job && own.tag == "JB-W" && !own.chains.is_empty());
    // The back eave is out of its reach along the wall: a box is added there, and said so.
    assert!(wiring.boxes.len() == 2 && findings.iter().any(|f| f.code == "box-added"), "{findings:#?}");
}

#[test]
fn a_box_far_from_the_roof_is_an_error() {
    let mut job = job();
    boxed(&mut job, "JB-X", (-500.0, 0.0), BoxPlace::OutsideWall);
    let sample = samples::gable(480.0, 288.0, &job);
    let error = wiring(&sample.roof, &sample.zones, &sample.courses, &sample.frame, &job).unwrap_err();
    assert_eq!((error.code, error.place.line), ("box-place", Some(7)));
    assert!(error.message.contains("41'-8\""), "{}", error.message);
}

#[test]
fn a_box_under_the_deck_needs_an_attic_and_headroom() {
    let mut job = job();
    boxed(&mut job, "JB-A", (240.0, 100.0), BoxPlace::UnderDeck);
    let (_, findings) = wired(&samples::gable(480.0, 288.0, &job), &job);
    assert!(findings.iter().any(|f| f.code == "inside-box" && f.message.contains("attic")), "{findings:#?}");
    job.roof.under = Setting::given(Under::Attic);
    let (wiring, _) = wired(&samples::gable(480.0, 288.0, &job), &job);
    assert_eq!((wiring.holes.len(), wiring.holes[0].leads.len(), wiring.boxes[0].chains.len()), (1, 4, 4));
    assert!(wiring.holes[0].at.y > 45.125, "{:?}", wiring.holes[0]);
    let places: Vec<LegPlace> = wiring.leads[wiring.holes[0].leads[0].index()].legs.iter().map(|l| l.place).collect();
    assert_eq!(places, [LegPlace::UnderDeck, LegPlace::ThroughDeck, LegPlace::Face]);
    // At 40 in from the eave a 6:12 deck is 20 in up.
    job.wiring.boxes[0].at = Point2::new(240.0, 40.0);
    let (_, findings) = wired(&samples::gable(480.0, 288.0, &job), &job);
    assert!(findings.iter().any(|f| f.code == "inside-box" && f.message.contains("20 in high")), "{findings:#?}");
}

/// With the only usable box under the front face, leads of the face beyond the valley cross it at one place.
#[test]
fn leads_cross_a_valley_square_at_one_place() {
    let mut job = job();
    job.roof.under = Setting::given(Under::Attic);
    job.products.outside_box.leads = 0;
    boxed(&mut job, "JB-1", (200.0, 90.0), BoxPlace::UnderDeck);
    let mut sample = samples::hipped_l(&job);
    sample.courses.segments.retain(|s| s.face == FaceId(5));
    renumber(&mut sample);
    let (wiring, _) = wired(&sample, &job);
    // Four leads fit the one hole; pieces chained to the four fed ones come with them.
    assert_eq!((wiring.chains.len(), wiring.feeds.len()), (4, 18));
    let is_valley = |c: &&super::Crossing| sample.roof.edge(c.edge).kind == crate::terms::EdgeKind::Valley;
    let valley = wiring.crossings.iter().find(is_valley).unwrap();
    assert_eq!(valley.leads.len(), 4);
    assert!(valley.above_bands >= 6.0);
    // 12 in of slack a side in every lead that crosses.
    for lead in &valley.leads {
        let crossing = wiring.leads[lead.index()].legs.iter().find(|l| l.crossing == Some(valley.id)).unwrap();
        assert!((crossing.slack - 24.0).abs() < 1e-12 && crossing.points.len() == 3);
    }
}

/// A skylight that stands in the upper courses: pieces on both sides are fed and no lead enters its flashing.
#[test]
fn leads_go_around_a_skylight() {
    let job = job();
    let mut roof = fixtures::gable(480.0, 288.0, 0.5);
    fixtures::add_skylight(&mut roof, FaceId(0), Point2::new(220.0, 20.0), Point2::new(250.0, 60.0));
    let (wiring, findings) = wired(&samples::lay(roof, &job), &job);
    assert!(wiring.unfed.is_empty(), "{findings:#?}");
}

#[test]
fn valley_bands_are_fed_too() {
    let mut job = job();
    job.heat.valleys = true;
    let (wiring, findings) = wired(&samples::hipped_l(&job), &job);
    assert!(wiring.unfed.is_empty(), "{findings:#?}");
}

/// The sample drawings: everything is fed, every rule of courses and wiring holds, and few boxes do.
#[test]
fn the_samples_are_fed_from_few_boxes() {
    for (name, text, valleys, most_boxes, most_chains) in [
        ("gable", &include_bytes!("../../samples/gable/plan.dxf")[..], false, 2, 18),
        ("hipped-l", &include_bytes!("../../samples/hipped-l/plan.dxf")[..], true, 6, 48),
        ("hipped-l-metric", &include_bytes!("../../samples/hipped-l-metric/plan.dxf")[..], true, 6, 48),
    ] {
        let mut job = job();
        job.heat.valleys = valleys;
        let survey = crate::pipeline::survey(text, &job).unwrap();
        let project = crate::pipeline::lay_out(survey, job).unwrap();
        let (zones, courses, made, job) = (&project.zones, &project.courses, &project.wiring, &project.job);
        assert_eq!(crate::courses::check_invariants(zones, courses, job), Vec::<String>::new(), "{name}");
        assert_eq!(check_invariants(zones, courses, made, job), Vec::<String>::new(), "{name}");
        assert!(made.unfed.is_empty(), "{name}: {:#?}", made.unfed);
        assert!(made.boxes.len() <= most_boxes && made.chains.len() <= most_chains, "{name}");
    }
}

#[test]
fn two_runs_give_the_same_wiring() {
    let job = job();
    let sample = samples::hipped_l(&job);
    assert_eq!(wired(&sample, &job), wired(&sample, &job));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn gables_of_any_size_are_fed(length in 60.0f64..2400.0, width in 140.0f64..480.0) {
        let job = job();
        let sample = samples::gable(length, width, &job);
        let made = wiring(&sample.roof, &sample.zones, &sample.courses, &sample.frame, &job).unwrap();
        let wrong = check_invariants(&sample.zones, &sample.courses, &made.value, &job);
        prop_assert!(wrong.is_empty(), "{wrong:#?}");
        prop_assert!(made.value.unfed.is_empty(), "{:#?}", made.value.unfed);
    }
}

//! The same roof as new and as retrofit, and what a retrofit refuses.

use super::check::check_invariants;
use super::samples::{self, Sample};
use super::{LaneKind, LeadKind, LegPlace, Wiring, wiring};
use crate::catalog::Catalogue;
use crate::courses::{Layer, courses};
use crate::finding::Finding;
use crate::geometry::Point2;
use crate::index::FaceId;
use crate::job::{Job, Setting, Under, Work};
use crate::roof::fixtures;
use crate::terms::BoxPlace;
use crate::units::Length;
use std::collections::BTreeSet;

fn retrofit() -> Job {
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.roof.work = Setting::given(Work::Retrofit);
    job
}

fn wired(sample: &Sample, job: &Job) -> (Wiring, Vec<Finding>) {
    let made = wiring(&sample.roof, &sample.zones, &sample.courses, &sample.frame, job).unwrap();
    let wrong = check_invariants(&sample.zones, &sample.courses, &made.value, job);
    assert!(wrong.is_empty(), "{wrong:#?}");
    (made.value, made.findings)
}

fn lanes(wiring: &Wiring, lead: usize) -> BTreeSet<LaneKind> {
    wiring.leads[lead].legs.iter().flat_map(|l| &l.lanes).map(|l| wiring.lanes[l.index()].kind).collect()
}

/// The 40 ft gable: as new every lead runs down a rake margin through gaps in the nail rows to a box at the eave; as retrofit it leaves
/// sideways under its own tab over the rake, no nail is touched, and the box hangs on the gable wall.
#[test]
fn a_gable_as_new_and_as_retrofit() {
    let (new, old) = (Job::with_defaults(&Catalogue::sample()).unwrap(), retrofit());
    let (before, after) = (samples::gable(480.0, 288.0, &new), samples::gable(480.0, 288.0, &old));
    // Layer.
    let rules = [&before, &after].map(|s| s.courses.rule.clone().unwrap());
    assert_eq!(rules.each_ref().map(|r| r.layer), [Layer::UnderShingles, Layer::BetweenCourses]);
    assert_eq!((rules[0].between(3), rules[1].between(3), rules[1].between(0)), (None, Some([3, 4]), Some([0, 1])));
    // The pieces themselves lie at the same places between the nails.
    assert_eq!(before.courses.segments, after.courses.segments);
    // Routes.
    let ((as_new, _), (as_old, _)) = (wired(&before, &new), wired(&after, &old));
    assert!(as_new.unfed.is_empty() && as_old.unfed.is_empty());
    for lead in 0..18 {
        assert_eq!(lanes(&as_new, lead), BTreeSet::from([LaneKind::RakeMargin]));
        assert_eq!(lanes(&as_old, lead), BTreeSet::from([LaneKind::UnderTab]));
    }
    assert!(as_new.nail_gaps.len() >= 10 && as_old.nail_gaps.is_empty() && as_old.relays.is_empty());
    // Boxes: under the eaves' edges and under the rakes'.
    let kinds =
        |w: &Wiring, s: &Sample| w.boxes.iter().map(|b| s.roof.edge(b.edge.unwrap()).kind.words()).collect::<Vec<_>>();
    assert_eq!(kinds(&as_new, &before), ["eave", "eave"]);
    assert_eq!(kinds(&as_old, &after), ["rake", "rake"]);
    // By hand: the piece of course 3 lies 3 x 5 + 1 1/8 + 2 = 18 1/8 in up; its lead runs 6 in to the rake at that height.
    let third = after.courses.segments.iter().find(|s| s.tag == "F1-3-1").unwrap();
    let feed = as_old.feeds.iter().find(|f| f.segment == third.id).unwrap();
    let face = as_old.leads[feed.lead.index()].legs.iter().find(|l| l.place == LegPlace::Face).unwrap();
    assert!((face.length - 6.0).abs() < 1e-9 && face.path.iter().all(|p| (p.y - 18.125).abs() < 1e-9), "{face:?}");
}

/// What must be tried on the roof is said for a retrofit only.
#[test]
fn a_retrofit_asks_for_a_lift_test() {
    let said = |job: &Job| {
        let sample = samples::gable(480.0, 288.0, job);
        let made = courses(&sample.roof, &sample.zones, job).unwrap();
        made.findings.iter().map(|f| f.code).collect::<Vec<_>>()
    };
    assert!(said(&Job::with_defaults(&Catalogue::sample()).unwrap()).is_empty());
    assert_eq!(said(&retrofit()), ["lift-test", "assumed-layers"]);
}

#[test]
fn two_layers_and_thick_element_are_refused() {
    let sample = samples::gable(480.0, 288.0, &retrofit());
    let code = |job: &Job| courses(&sample.roof, &sample.zones, job).map(|_| ()).unwrap_err().code;
    let mut two = retrofit();
    two.roof.shingle_layers = Setting::given(2);
    assert_eq!(code(&two), "two-layers");
    let mut thick = retrofit();
    thick.products.deck.value.thickness = Length::from_inches(0.1875);
    assert_eq!(code(&thick), "lift");
    // As a new roof both are laid.
    two.roof.work.value = Work::NewRoof;
    thick.roof.work.value = Work::NewRoof;
    assert!([two, thick].iter().all(|job| courses(&sample.roof, &sample.zones, job).is_ok()));
}

/// A lead thicker than a tab lifts goes up a stripped lane instead, which is counted; when stripping is not allowed, it is refused in words.
#[test]
fn a_thick_lead_needs_a_stripped_lane() {
    let mut job = retrofit();
    job.products.lead.value.thickness = Some(Length::from_inches(0.25));
    let sample = samples::gable(480.0, 288.0, &job);
    let (made, _) = wired(&sample, &job);
    assert!(made.unfed.is_empty());
    // The starters still leave straight over the eave, below the nails; all others share the lanes of the rakes.
    let by_kind = |kind| {
        made.leads.iter().filter(|l| l.kind == LeadKind::Feed && lanes(&made, l.id.index()).contains(&kind)).count()
    };
    assert!(by_kind(LaneKind::RakeMargin) >= 1 && !made.relays.is_empty());
    assert!(
        made.relays.iter().all(|r| r.shingles > 0 && r.extent.v.low.abs() < 1e-9 && r.highest_course >= 8),
        "{:?}",
        made.relays
    );
    job.wiring.strip_and_relay = false;
    let (made, findings) = wired(&sample, &job);
    assert_eq!(made.unfed.len(), 16);
    assert!(
        made.unfed.iter().all(|u| u.why.contains("the lead is 0.25 in thick and a tab lifts 0.125 in")),
        "{:?}",
        made.unfed
    );
    assert_eq!(findings.iter().filter(|f| f.code == "no-lead-route").count(), 16);
}

/// Middle pieces of a long eave reach no rake: over an attic they go through the deck within 6 in of their ends, but over the overhang and
/// the wall only a stripped lane is left.
#[test]
fn middle_pieces_go_through_the_deck() {
    let mut job = retrofit();
    job.roof.under = Setting::given(Under::Attic);
    let sample = samples::gable(1344.0, 288.0, &job);
    let (made, findings) = wired(&sample, &job);
    assert!(made.unfed.is_empty(), "{findings:#?}");
    assert!(!made.holes.is_empty());
    let inside = made.boxes.iter().filter(|b| b.place == BoxPlace::UnderDeck).count();
    assert!(inside >= 1);
    for hole in &made.holes {
        let near = sample.courses.segments.iter().filter(|s| s.face == hole.face);
        let apart = near.flat_map(|s| [s.left_end(), s.right_end()]).map(|e| e.distance(hole.at));
        assert!(apart.fold(f64::INFINITY, f64::min) <= 6.0);
        // 12 in of overhang and 6 in of wall at 6:12 are 18 x 1.118 = 20.12 in of slope.
        assert!(hole.at.y > 20.12, "{hole:?}");
    }
    // Courses 1 to 3 of the middle pieces lie below that.
    let stripped: BTreeSet<u32> = made
        .leads
        .iter()
        .filter(|l| lanes(&made, l.id.index()).contains(&LaneKind::LeadColumn))
        .filter_map(|l| l.to_segment())
        .map(|s| sample.courses.segments[s.index()].course)
        .collect();
    assert_eq!(stripped, BTreeSet::from([1, 2, 3]));
    assert!(!made.relays.is_empty());
}

/// A face between hips without an attic: caps refuse the way sideways, so columns are stripped; without that every piece but the starters is
/// refused and says why at both ends.
#[test]
fn caps_are_refused() {
    let mut job = retrofit();
    let sample = samples::hipped_l(&job);
    let (made, findings) = wired(&sample, &job);
    assert!(made.unfed.is_empty(), "{findings:#?}");
    assert!(made.crossings.is_empty() && made.holes.is_empty());
    job.wiring.strip_and_relay = false;
    let (made, _) = wired(&sample, &job);
    assert!(made.unfed.iter().any(|u| u.why.contains("caps lie beside it") && u.why.contains("no reachable attic")));
    assert!(made.unfed.iter().any(|u| u.why.contains("a valley lies beside it")));
}

/// Beside a skylight a lead would have to pass its step flashing.
#[test]
fn step_flashing_is_refused() {
    let mut job = retrofit();
    job.wiring.strip_and_relay = false;
    let mut roof = fixtures::gable(480.0, 288.0, 0.5);
    // Two skylights shut in the pieces between them.
    fixtures::add_skylight(&mut roof, FaceId(0), Point2::new(100.0, 20.0), Point2::new(130.0, 60.0));
    fixtures::add_skylight(&mut roof, FaceId(0), Point2::new(300.0, 20.0), Point2::new(330.0, 60.0));
    let (made, _) = wired(&samples::lay(roof, &job), &job);
    let flashed = made.unfed.iter().filter(|u| u.why.contains("an opening's step flashing lies beside it")).count();
    assert!(flashed >= 12, "{:?}", made.unfed);
}

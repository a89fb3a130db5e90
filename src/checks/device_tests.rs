//! Checks on switching devices, on what the catalogue says of element and lead, and the one-line diagram.

use super::*;
use crate::catalog::{Catalogue, CurvePoint};
use crate::geometry::{Interval, Point3};
use crate::index::{FaceId, LaneId};
use crate::job::{Setting, Work};
use crate::units::Length;
use crate::wiring::hand_made::{courses, wiring};
use crate::wiring::{Lane, LaneCourse, LaneKind, Leg, LegPlace, Terminal};
use crate::zones::Interval2;

/// Defaults on a 14 AWG lead: 5 A on one 15 A circuit of two poles.
fn job() -> Job {
    let catalogue = Catalogue::sample();
    let mut job = Job::with_defaults(&catalogue).unwrap();
    job.products.lead.value = catalogue.leads.iter().find(|l| l.awg == 14).unwrap().clone();
    job
}

fn judge(wiring: &Wiring, job: &Job) -> Outcome<Checks> {
    let outcome = checks(&Zones::default(), &courses(), wiring, job);
    assert_eq!(check_invariants(&outcome.value, &courses(), wiring), Vec::<String>::new());
    outcome
}

fn failed(outcome: &Outcome<Checks>) -> Vec<&str> {
    outcome.value.checks.iter().filter(|c| c.verdict == Verdict::Fail).map(|c| c.code.as_str()).collect()
}

fn the<'a>(checks: &'a Outcome<Checks>, code: &str) -> &'a Check {
    checks.value.checks.iter().find(|c| c.code == code).expect(code)
}

/// By hand: 125 % of 5 A is 6.25 A, the breaker 15 A: the disconnect needs 15 A. It also has to open all poles, show it and lock.
#[test]
fn a_disconnect_is_rated_for_the_breaker_and_lockable() {
    let sound = judge(&wiring(), &job());
    let check = the(&sound, "disconnect-rating");
    assert_eq!((check.verdict, check.value, check.limit), (Verdict::Pass, 15.0, Some(30.0)));
    let with = |change: fn(&mut crate::catalog::Disconnect)| {
        let mut job = job();
        change(job.products.disconnect.as_mut().unwrap());
        failed(&judge(&wiring(), &job)).contains(&"disconnect-rating")
    };
    assert!(with(|d| d.amps = 14.0) && with(|d| d.lockable = false) && with(|d| d.indicating = false));
    assert!(with(|d| d.all_poles = false) && with(|d| d.poles = 1) && with(|d| d.volts = 208.0));
    assert!(!with(|d| d.amps = 15.0));
}

/// By hand: a pole carries 6.25 A; one contactor of four poles takes the circuit, its coil 0.1 A of the controller's 5 A.
#[test]
fn contactor_poles_and_the_controllers_output() {
    let sound = judge(&wiring(), &job());
    assert_eq!((the(&sound, "contactor-rating").value, the(&sound, "contactor-rating").limit), (6.25, Some(30.0)));
    assert!((the(&sound, "controller-output").value - 0.1).abs() < 1e-12);
    let mut weak = job();
    weak.products.contactor.as_mut().unwrap().amps = 6.2;
    assert_eq!(failed(&judge(&wiring(), &weak)), ["contactor-rating"]);
    let mut single = job();
    single.products.contactor.as_mut().unwrap().poles = 1;
    assert_eq!(failed(&judge(&wiring(), &single)), ["contactor-rating"]);
    let mut thirsty = job();
    thirsty.products.contactor.as_mut().unwrap().coil_amps = 5.1;
    assert_eq!(failed(&judge(&wiring(), &thirsty)), ["controller-output"]);
}

#[test]
fn a_controller_that_can_carry_the_load_needs_no_contactor() {
    let mut direct = job();
    let controller = direct.products.controller.as_mut().unwrap();
    (controller.poles, controller.amps) = (2, 6.25);
    let outcome = judge(&wiring(), &direct);
    assert_eq!(the(&outcome, "controller-output").value, 6.25);
    assert!(outcome.value.checks.iter().all(|c| c.code != "contactor-rating"));
    assert_eq!(failed(&outcome), Vec::<&str>::new());
}

#[test]
fn a_catalogue_without_switches_leaves_them_to_the_authority() {
    let mut bare = job();
    (bare.products.disconnect, bare.products.contactor, bare.products.controller) = (None, None, None);
    let outcome = judge(&wiring(), &bare);
    for code in ["disconnect", "controller"] {
        assert_eq!(the(&outcome, code).verdict, Verdict::Authority, "{code}");
    }
    let rated = |c: &&Check| c.code.ends_with("-rating") || c.code == "controller-output";
    assert_eq!(outcome.value.checks.iter().filter(rated).count(), 0);
}

/// Without a ground layer a fault finds no way to ground: protection is no protection and the insulation test means nothing.
#[test]
fn without_a_ground_layer_no_test_is_offered() {
    assert!(judge(&wiring(), &job()).value.insulation.is_some_and(|t| t.volts == 500.0 && t.least_megohms == 1.0));
    let mut bare = job();
    bare.products.starter.value.ground_layer = false;
    let outcome = judge(&wiring(), &bare);
    assert_eq!(failed(&outcome), ["ground-layer", "ground-fault-protection"]);
    assert!(the(&outcome, "ground-fault-protection").working.contains("strip-2"));
    assert_eq!(outcome.value.insulation, None);
    // Element that nothing feeds is not installed.
    let mut only_deck = wiring();
    only_deck.feeds.retain(|f| f.segment.index() == 2);
    only_deck.chains.remove(0);
    only_deck.chains[0].id = crate::index::ChainId(0);
    only_deck.feeds[0].chain = crate::index::ChainId(0);
    only_deck.circuits[0].chains = vec![crate::index::ChainId(0)];
    only_deck.boxes[0].chains = vec![crate::index::ChainId(0)];
    (only_deck.circuits[0].watts, only_deck.circuits[0].amps) = (360.0, 1.5);
    assert!(judge(&only_deck, &bare).value.insulation.is_some());
}

#[test]
fn what_a_listing_leaves_out_fails_and_what_is_not_said_stays_open() {
    let mut excluded = job();
    excluded.products.deck.value.listing = Some("a laboratory".into());
    assert_eq!(failed(&judge(&wiring(), &excluded)), ["listing"]);
    excluded.products.deck.value.listed_under_roof_covering = true;
    let outcome = judge(&wiring(), &excluded);
    assert_eq!(failed(&outcome), Vec::<&str>::new());
    assert!(
        the(&outcome, "leads-under-covering")
            .working
            .contains("strip-4: a laboratory, use under a roof covering included")
    );
    let mut loose = job();
    loose.products.deck.value.fixing = None;
    let outcome = judge(&wiring(), &loose);
    let said: Vec<_> = outcome.findings.iter().filter(|f| f.message.starts_with("fixing")).collect();
    assert_eq!((said.len(), said[0].code), (1, "beyond-comparison"));
}

/// A lead 1/8 in thick under a tab that lifts 1/8 in passes, one of 1/4 in does not; elsewhere than under a tab and on a new roof
/// nothing is asked of it.
#[test]
fn a_retrofit_has_only_the_lift() {
    let mut retrofit = job();
    retrofit.roof.work = Setting::given(Work::Retrofit);
    let mut under_tab = wiring();
    let side = Interval::new(0.0, 1.0);
    under_tab.lanes.push(Lane {
        id: LaneId(0),
        face: FaceId(0),
        kind: LaneKind::UnderTab,
        course: LaneCourse::AlongCourse,
        extent: Interval2 { u: side, v: side },
        capacity: 1,
        used: 1,
    });
    assert_eq!(failed(&judge(&under_tab, &retrofit)), Vec::<&str>::new());
    assert_eq!(the(&judge(&under_tab, &retrofit), "lead-thickness").value, 0.125);
    retrofit.products.lead.value.thickness = None;
    assert_eq!(failed(&judge(&under_tab, &retrofit)), ["lead-thickness"]);
    assert_eq!(failed(&judge(&wiring(), &retrofit)), Vec::<&str>::new());
    retrofit.courses.lift = 0.03;
    assert_eq!(failed(&judge(&under_tab, &retrofit)), ["lead-thickness", "element-thickness"]);
    retrofit.roof.work = Setting::given(Work::NewRoof);
    assert_eq!(failed(&judge(&under_tab, &retrofit)), Vec::<&str>::new());
}

/// Two square corners 4 in apart leave a radius of 2 in to each: enough for 1 1/2 in, too tight for 2 1/4 in.
#[test]
fn corners_leave_room_for_the_bend() {
    let mut bent = wiring();
    let points = [(0.0, 0.0), (9.0, 0.0), (9.0, 4.0), (0.0, 4.0)].map(|(x, y)| Point3::new(x, y, 12.0));
    bent.leads[0].to = Terminal::Box(crate::index::BoxId(0));
    bent.leads[0].legs.push(Leg {
        place: LegPlace::Face,
        face: None,
        crossing: None,
        path: Vec::new(),
        points: points.to_vec(),
        length: 22.0,
        slack: 0.0,
        lanes: Vec::new(),
    });
    let outcome = judge(&bent, &job());
    assert_eq!((the(&outcome, "lead-bend").verdict, the(&outcome, "lead-bend").limit), (Verdict::Pass, Some(2.0)));
    let mut stiff = job();
    stiff.products.lead.value.bend_radius = Length::from_inches(2.25);
    let outcome = judge(&bent, &stiff);
    assert_eq!(failed(&outcome), ["lead-bend"]);
    assert_eq!(outcome.findings[0].place.item.as_deref(), Some("L1"));
}

/// A curve that ends at 0 °F says nothing of a start at -20 °F: the check says so, and what a curve cannot tell.
#[test]
fn element_that_changes_with_temperature_says_what_is_not_judged() {
    assert!(judge(&wiring(), &job()).value.checks.iter().all(|c| c.code != "element-temperature"));
    let mut changing = job();
    let point = |fahrenheit, factor| CurvePoint { fahrenheit, factor };
    changing.products.deck.value.power_curve = vec![point(0.0, 1.6), point(50.0, 1.0)];
    let outcome = judge(&wiring(), &changing);
    let check = the(&outcome, "element-temperature");
    // 32 °F lies 0.64 of the way from 1.6 to 1.0: 1.216 x 12 = 14.592 W/ft.
    assert!(check.working.contains("32 °F (assumed)") && check.working.contains("14.59 W/ft"), "{}", check.working);
    assert!(check.working.contains("not judged"));
    assert_eq!((check.verdict, outcome.findings.len()), (Verdict::Authority, 0));
    // The power by area follows: 14.592 W/ft over 4 in.
    assert!(
        (outcome.value.checks.iter().find(|c| c.code == "watt-density" && c.item == "strip-4").unwrap().value - 43.776)
            .abs()
            < 1e-9
    );
    changing.electrical.start_temperature = -20.0;
    let outcome = judge(&wiring(), &changing);
    assert!(the(&outcome, "element-temperature").working.contains("beyond the curve"));
    assert!(
        outcome.findings.iter().any(|f| f.code == "beyond-comparison" && f.message.starts_with("element-temperature"))
    );
}

/// Service, panel, controller with its sensor; then breaker, disconnect, contactor, home run, box and two chains.
#[test]
fn the_one_line_diagram_follows_the_current() {
    use OneLineKind::{
        Breaker, Chain, Contactor, Controller, Disconnect, HomeRun, JunctionBox, Panel, Sensor, Service,
    };
    let items = judge(&wiring(), &job()).value.one_line;
    let kinds: Vec<OneLineKind> = items.iter().map(|i| i.kind).collect();
    assert_eq!(
        kinds,
        [Service, Panel, Controller, Sensor, Breaker, Disconnect, Contactor, HomeRun, JunctionBox, Chain, Chain]
    );
    let from: Vec<usize> = items.iter().skip(1).map(|i| i.from.unwrap()).collect();
    assert_eq!(from, [0, 1, 2, 1, 4, 5, 6, 7, 8, 8]);
    assert_eq!((items[5].tag.as_str(), items[6].tag.as_str()), ("DS1", "M1"));
    assert!(items[6].words.contains("for 6.25 A"), "{}", items[6].words);
}

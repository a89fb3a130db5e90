//! The layout is judged: [`Checks`].
//!
//! Every check says what was compared with what, under which clause, and how that clause is known. The code's own text
//! was never open: `seen` means seen as quoted on public pages, and a value from memory is not printed as code text.

mod authority;
mod check;
mod circuit;
mod devices;
mod element;
mod heat;
mod leads;
mod load;
mod model;
mod one_line;
mod rules;
mod service;
mod solved;
mod supply;

pub use check::check_invariants;
pub use model::*;

use crate::courses::Courses;
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::job::Job;
use crate::units::decimal;
use crate::wiring::Wiring;
use crate::zones::Zones;
use rules::Judged;

/// Judges loads and limits. What fails is also a finding.
#[must_use]
pub fn checks(zones: &Zones, courses: &Courses, wiring: &Wiring, job: &Job) -> Outcome<Checks> {
    let load = load::load(zones, courses, wiring, job);
    let mut judged: Vec<Judged> = Vec::new();
    let solved = solved::solved(courses, wiring, job);
    let balance = supply::lines(wiring, job);
    let supplies = supply::supplies(&solved, &balance, courses, wiring, job);
    if !wiring.feeds.is_empty() {
        element::judge(courses, wiring, job, &mut judged);
        circuit::judge_chains(&solved, courses, job, &mut judged);
        leads::judge(wiring, job, &mut judged);
        circuit::judge_circuits(wiring, job, &mut judged);
        supply::judge(&supplies, wiring, job, &mut judged);
        service::judge_boxes(wiring, job, &mut judged);
        service::judge_service(&balance, load.gutter_watts, courses, wiring, job, &mut judged);
        authority::judge(courses, wiring, job, &mut judged);
    }
    let heat = heat::heat(courses, job).filter(|_| !wiring.feeds.is_empty());
    if let Some(heat) = &heat {
        heat::judge(heat, job, &mut judged);
    }
    let findings = findings(&judged);
    let readings = supply::readings(&solved, courses, wiring, job);
    let insulation = element::insulation(courses, wiring, job);
    let one_line = one_line::one_line(&supplies, wiring, job);
    let checks = judged.into_iter().map(|j| j.check).collect();
    Outcome { value: Checks { load, checks, supplies, readings, insulation, one_line, heat }, findings }
}

/// Every failure by itself; what is beyond a comparison once for each rule, since it is settled once for the whole roof.
fn findings(judged: &[Judged]) -> Vec<Finding> {
    let failed = judged.iter().filter(|j| j.check.verdict == Verdict::Fail);
    let mut found: Vec<Finding> = failed.map(|j| finding("check-failed", j, &j.check.item)).collect();
    let beyond: Vec<&Judged> =
        judged.iter().filter(|j| j.beyond_comparison && j.check.verdict != Verdict::Fail).collect();
    for (at, first) in beyond.iter().enumerate() {
        if beyond[..at].iter().any(|j| j.check.code == first.check.code) {
            continue;
        }
        let items: Vec<&str> =
            beyond.iter().filter(|j| j.check.code == first.check.code).map(|j| j.check.item.as_str()).collect();
        found.push(finding("beyond-comparison", first, &items.join(", ")));
    }
    found
}

fn finding(code: &'static str, judged: &Judged, items: &str) -> Finding {
    let check = &judged.check;
    let numbers = check.limit.map_or_else(String::new, |limit| {
        format!(": {} against {} {}", decimal(check.value, 3), decimal(limit, 3), check.unit).trim_end().to_owned()
    });
    let message = format!("{}, {items}: {}{numbers}", check.code, check.rule);
    let place = if items == check.item { Place::item(items) } else { Place::none() };
    Finding::new(Severity::Warning, code, message, place).with_hint(judged.remedy)
}

#[cfg(test)]
mod device_tests;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Panel;
    use crate::wiring::hand_made::{courses, wiring};

    /// Defaults on a 14 AWG lead and breakers up to 30 A, the values the numbers below were worked with.
    fn job() -> Job {
        let catalogue = Catalogue::sample();
        let mut job = Job::with_defaults(&catalogue).unwrap();
        job.products.lead.value = catalogue.leads.iter().find(|l| l.awg == 14).unwrap().clone();
        job.electrical.largest_breaker = 30.0;
        job
    }

    fn judge(wiring: &Wiring, job: &Job) -> Outcome<Checks> {
        let outcome = checks(&Zones::default(), &courses(), wiring, job);
        assert_eq!(check_invariants(&outcome.value, &courses(), wiring), Vec::<String>::new());
        outcome
    }

    fn the<'a>(checks: &'a Outcome<Checks>, code: &str) -> &'a Check {
        checks.value.checks.iter().find(|c| c.code == code).expect(code)
    }

    #[test]
    fn the_fault_current_is_asked_for_and_never_assumed() {
        let mut job = job();
        let open = judge(&wiring(), &job);
        assert!(the(&open, "fault-current").rule.contains("not given"));
        job.electrical.fault_current = Some(8_000.0);
        let given = judge(&wiring(), &job);
        let check = the(&given, "fault-current");
        assert_eq!((check.value, check.verdict), (8_000.0, Verdict::Authority));
        assert!(check.working.ends_with("the next common rating is 10000 A"), "{}", check.working);
    }

    fn failed(outcome: &Outcome<Checks>) -> Vec<&str> {
        let failed = outcome.value.checks.iter().filter(|c| c.verdict == Verdict::Fail);
        let codes: Vec<&str> = failed.map(|c| c.code.as_str()).collect();
        assert_eq!(outcome.findings.iter().filter(|f| f.code == "check-failed").count(), codes.len());
        codes
    }

    /// By hand: 40 + 50 + 30 ft fed; 960 + 2400 + 1440 sq in of element; a band of 600 by 48 in; 1200 W.
    #[test]
    fn loads_add_up() {
        let load = judge(&wiring(), &job()).value.load;
        let expected = [1440.0, 4800.0, 28_800.0, 1200.0, 5.0, 36.0, 6.0];
        let found = [
            load.element_length,
            load.element_area,
            load.zone_area,
            load.watts,
            load.amps,
            load.element_watt_density,
            load.zone_watt_density,
        ];
        for (found, expected) in found.into_iter().zip(expected) {
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        }
    }

    #[test]
    fn a_sound_layout_fails_nothing() {
        let outcome = judge(&wiring(), &job());
        assert_eq!(failed(&outcome), Vec::<&str>::new());
        let load = the(&outcome, "continuous-load");
        assert_eq!((load.value, load.limit), (6.25, Some(15.0)));
        assert_eq!(load.working, "1.25 × 5 A = 6.25 A; breaker 15 A");
        assert!(outcome.findings.is_empty(), "{:?}", outcome.findings);
    }

    /// 12 W/ft over 4 in is 36 W/sq ft, far under 120; it is still not a pass.
    #[test]
    fn watt_density_is_for_the_authority() {
        let outcome = judge(&wiring(), &job());
        let density = the(&outcome, "watt-density");
        assert_eq!((density.verdict, density.value), (Verdict::Authority, 36.0));
        let mut hot = job();
        hot.products.deck.value.watts_per_foot = 41.0; // 4 in wide: 40 W/ft is 120 W/sq ft.
        let outcome = judge(&wiring(), &hot);
        assert!(outcome.value.checks.iter().all(|c| c.code != "watt-density" || c.verdict == Verdict::Authority));
        assert_eq!(outcome.findings.iter().filter(|f| f.code == "beyond-comparison").count(), 1);
    }

    /// Deck elements 4 in wide at 5 in leave 1 in; the starter leaves 4 1/8 in.
    #[test]
    fn the_narrowest_gap_is_found() {
        let outcome = judge(&wiring(), &job());
        let spacing = the(&outcome, "element-spacing");
        assert!((spacing.value - 1.0).abs() < 1e-12);
        assert_eq!(spacing.working, "1 in between F1-1b and F1-2c");
    }

    #[test]
    fn twelve_amperes_fill_a_fifteen_ampere_breaker_and_more_does_not_fit() {
        let mut full = wiring();
        full.circuits[0].amps = 12.0;
        assert_eq!(failed(&judge(&full, &job())), Vec::<&str>::new());
        full.circuits[0].amps = 12.01;
        assert_eq!(failed(&judge(&full, &job())), ["continuous-load", "conductor"]);
    }

    #[test]
    fn each_fault_fails_its_own_check() {
        let mut no_ground = job();
        no_ground.products.deck.value.ground_layer = false;
        assert_eq!(failed(&judge(&wiring(), &no_ground)), ["ground-layer", "ground-fault-protection"]);
        let mut short = job();
        short.courses.longest_piece = 49.0 * 12.0;
        let outcome = judge(&wiring(), &short);
        assert_eq!(failed(&outcome), ["piece-length"]);
        assert_eq!(outcome.findings[0].place.item.as_deref(), Some("F1-1b"));
        let mut high = job();
        high.electrical.volts.value = 277.0;
        assert!(failed(&judge(&wiring(), &high)).contains(&"element-voltage"));
        let mut odd = wiring();
        odd.circuits[0].breaker = 17.0;
        assert_eq!(failed(&judge(&odd, &job())), ["standard-breaker", "conductor", "equipment-ground"]);
        let mut thin = wiring();
        thin.circuits[0].ground_awg = 16;
        assert_eq!(failed(&judge(&thin, &job())), ["equipment-ground"]);
        let mut weak = job();
        weak.products.lead.value.amps = 3.0;
        assert_eq!(failed(&judge(&wiring(), &weak)), ["lead-current"]);
        let mut strict = job();
        strict.electrical.lead_drop = 0.0001;
        assert_eq!(failed(&judge(&wiring(), &strict)), ["lead-drop", "lead-drop"]);
    }

    /// By hand: the feed of 10 ft carries 3.5 A over 2 x 3.14 ohm/kft x 10 ft = 0.0628 ohm, 0.22 V; the jumper of 2 ft
    /// 2.5 A over 0.01256 ohm, 0.03 V: 0.25 V of 240 V is 0.104 %.
    #[test]
    fn lead_drop_by_hand() {
        let outcome = judge(&wiring(), &job());
        let drop = the(&outcome, "lead-drop");
        assert!((drop.value - 0.1046).abs() < 0.0005, "{}", drop.value);
        assert_eq!(drop.limit, Some(2.0));
    }

    /// By hand: 2 poles at 240 V; 125 % of 5 A; 2 x 200 ft x 3.14 ohm/kft x 5 A = 6.28 V, 2.617 % of 240 V.
    #[test]
    fn a_known_panel_is_checked() {
        let mut with_panel = job();
        let panel =
            Panel { tag: "P1".into(), spaces: 2, spare_amps: 6.25, bus_amps: None, service: None, home_run: 2400.0 };
        with_panel.electrical.panel = Some(panel.clone());
        let outcome = judge(&wiring(), &with_panel);
        assert_eq!(failed(&outcome), Vec::<&str>::new());
        assert!((the(&outcome, "home-run-drop").value - 2.616_667).abs() < 1e-5);
        with_panel.electrical.panel = Some(Panel { spaces: 1, spare_amps: 6.0, home_run: 3600.0, ..panel });
        let outcome = judge(&wiring(), &with_panel);
        assert_eq!(failed(&outcome), ["panel-spaces", "panel-amps"]);
        assert_eq!(the(&outcome, "home-run-drop").verdict, Verdict::Authority);
    }

    /// By hand, all 14 AWG at 2.00 cu in: 2 leads of 2 = 8, one circuit of 2 = 4, clamps 2, three grounds 2: 16.
    #[test]
    fn box_fill_by_hand() {
        let outcome = judge(&wiring(), &job());
        assert!((the(&outcome, "box-fill").value - 16.0).abs() < 1e-12);
        let mut small = job();
        small.products.outside_box.cubic_inches = 15.5;
        assert_eq!(failed(&judge(&wiring(), &small)), ["box-fill"]);
    }

    /// By hand, per piece behind no lead: 40 ft of 6 W/ft on 240 V is 240 ohms, 50 ft of 12 W/ft 96 ohms, a little more for the bus
    /// bars (case A of FACTS 3.9: 96.084); 10 % about them.
    #[test]
    fn readings_to_expect() {
        let outcome = judge(&wiring(), &job());
        let readings = &outcome.value.readings;
        assert_eq!(readings.len(), wiring().feeds.len() + wiring().chains.len());
        let fifty = readings.iter().find(|r| (r.ohms - 96.084).abs() < 0.001).expect("the 50 ft piece");
        assert!(
            (fifty.low.unwrap() - 0.9 * fifty.ohms).abs() < 1e-9
                && (fifty.high.unwrap() - 1.1 * fifty.ohms).abs() < 1e-9
        );
        let mut changing = job();
        let point = |fahrenheit, factor| crate::catalog::CurvePoint { fahrenheit, factor };
        changing.products.deck.value.power_curve = vec![point(0.0, 1.6), point(50.0, 1.0)];
        let outcome = judge(&wiring(), &changing);
        let fifty = outcome.value.readings.iter().find(|r| (r.ohms - 96.084).abs() < 0.001).unwrap();
        assert_eq!((fifty.low, fifty.high), (None, None));
        assert!(outcome.value.supplies[0].start_amps.unwrap() > 5.0 * 1.3);
    }

    /// By hand: 120 ft at 0.02 mA/ft leak 2.4 mA, under half of 30 mA; at 0.2 mA/ft 24 mA, over.
    #[test]
    fn leakage_adds_up_against_the_trip_setting() {
        let outcome = judge(&wiring(), &job());
        let leakage = the(&outcome, "leakage");
        assert!((leakage.value - 2.4).abs() < 1e-9);
        assert_eq!((leakage.verdict, leakage.limit), (Verdict::Pass, Some(15.0)));
        let mut wet = job();
        for element in [&mut wet.products.starter.value, &mut wet.products.deck.value] {
            element.leakage_per_foot = Some(0.2);
        }
        assert_eq!(failed(&judge(&wiring(), &wet)), ["leakage"]);
        wet.products.deck.value.leakage_per_foot = None;
        assert_eq!(the(&judge(&wiring(), &wet), "leakage").verdict, Verdict::Authority);
    }

    /// Constant resistance: 10 % more voltage is 21 % more power. 1200 W become about 1452 W.
    #[test]
    fn a_measured_voltage_is_worked_through() {
        let mut high = job();
        high.electrical.measured_volts = Some(264.0);
        let outcome = judge(&wiring(), &high);
        let supply = &outcome.value.supplies[0];
        let nominal: f64 = supply.measured_watts.unwrap();
        let mut same = job();
        same.electrical.measured_volts = Some(240.0);
        let base = judge(&wiring(), &same).value.supplies[0].measured_watts.unwrap();
        assert!((nominal / base - 1.21).abs() < 1e-9);
        assert_eq!(the(&outcome, "measured-load").verdict, Verdict::Pass);
    }

    /// The element's own limit on its bus bars: the deck chain carries 2.5 A into a 50 ft piece.
    #[test]
    fn bus_bars_have_a_rating() {
        let mut thin = job();
        thin.products.deck.value.bus_amps = Some(2.0);
        assert!(failed(&judge(&wiring(), &thin)).contains(&"bus-current"));
        thin.products.deck.value.bus_amps = None;
        assert!(the(&judge(&wiring(), &thin), "bus-current").limit.is_none());
    }

    /// Three wires, 14 AWG: 3 x 0.0097 = 0.0291 sq in in 1/2 in EMT, 0.122.
    #[test]
    fn conduit_by_hand() {
        let outcome = judge(&wiring(), &job());
        let fill = the(&outcome, "conduit-fill");
        assert!((fill.value - 0.0291).abs() < 1e-12);
        assert_eq!((fill.limit, fill.verdict), (Some(0.122), Verdict::Pass));
        assert_eq!(outcome.value.supplies[0].conduit.as_deref(), Some("1/2 in EMT"));
        let mut plastic = job();
        plastic.electrical.conduit = crate::terms::Conduit::Pvc40;
        assert_eq!(the(&judge(&wiring(), &plastic), "conduit-fill").source, SourceLabel::Memory);
    }

    /// By hand: 100 A main, 92 A existing of which 20 A cooling: 72 A and the larger of 20 A and 6.25 A of heat are 92 A; with 90 A of
    /// other load and no cooling, 96.25 A. A bus of 90 A is too small for its main.
    #[test]
    fn service_capacity_with_load_that_never_runs_together() {
        let service = |existing_amps, non_coincident_amps| crate::job::Service {
            main_amps: 100.0,
            existing_amps,
            non_coincident_amps,
        };
        let with = |service: crate::job::Service, bus| {
            let mut job = job();
            job.electrical.panel = Some(Panel {
                tag: "P1".into(),
                spaces: 2,
                spare_amps: service.spare_amps(),
                bus_amps: Some(bus),
                service: Some(service),
                home_run: 120.0,
            });
            judge(&wiring(), &job)
        };
        let cooled = with(service(92.0, 20.0), 100.0);
        assert!((the(&cooled, "panel-service").value - 92.0).abs() < 1e-9);
        assert_eq!(failed(&cooled), Vec::<&str>::new());
        assert!((the(&with(service(90.0, 0.0), 100.0), "panel-service").value - 96.25).abs() < 1e-9);
        assert_eq!(failed(&with(service(50.0, 0.0), 90.0)), ["panel-bus"]);
        assert!(failed(&with(service(95.0, 0.0), 100.0)).contains(&"panel-service"));
    }

    #[test]
    fn a_lead_lighter_than_its_breaker_is_for_the_authority() {
        let mut big = wiring();
        big.circuits[0] =
            crate::wiring::Circuit { breaker: 30.0, conductor_awg: 10, ground_awg: 10, ..big.circuits[0].clone() };
        let outcome = judge(&big, &job());
        assert_eq!(failed(&outcome), Vec::<&str>::new());
        assert_eq!(the(&outcome, "lead-protection").verdict, Verdict::Authority);
        assert_eq!(outcome.findings.len(), 1, "{:?}", outcome.findings);
    }

    #[test]
    fn nothing_heated_is_nothing_judged() {
        let outcome = checks(&Zones::default(), &Courses::default(), &Wiring::default(), &job());
        assert_eq!(outcome.value, Checks::default());
    }

    /// Rules known from memory name no figure and quote no text.
    #[test]
    fn recalled_rules_name_no_figures() {
        for check in judge(&wiring(), &job()).value.checks {
            if check.source == SourceLabel::Memory {
                assert!(!check.rule.contains(|c: char| c.is_ascii_digit()), "{}", check.rule);
            }
        }
    }
}

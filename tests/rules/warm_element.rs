//! Element whose power hangs on its temperature, sized as a whole: load, circuits, run limit, and what is then left open.

use eavesdraft::catalog::Catalogue;
use eavesdraft::checks::Verdict;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{Project, lay_out, survey};
use eavesdraft::thermal::{Hour, Present, Weather};
use std::path::Path;

/// The gable with both elements changed: lines that stand in place of their start factor, and job lines under [electrical].
fn gable(element: &str, electrical: &str) -> Project {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let catalogue = std::fs::read_to_string(samples.join("catalogue.toml")).unwrap();
    let catalogue = Catalogue::from_toml(&catalogue.replace("cold_start_factor = 1.0", element)).unwrap();
    let job = std::fs::read_to_string(samples.join("gable/job.toml")).unwrap();
    let job =
        Job::from_toml(&job.replace("code_edition = 2023", &format!("code_edition = 2023\n{electrical}")), &catalogue)
            .unwrap()
            .value;
    let survey = survey(&std::fs::read(samples.join("gable/plan.dxf")).unwrap(), &job).unwrap();
    let project = lay_out(survey, job).unwrap();
    let faults = eavesdraft::wiring::check_invariants(&project.zones, &project.courses, &project.wiring, &project.job);
    assert_eq!(faults, Vec::<String>::new());
    project
}

const CURVE: &str = "power_curve = [{ fahrenheit = 0.0, factor = 2.0 }, { fahrenheit = 50.0, factor = 1.0 }]";

/// By hand, on the gable's 7956 W at rated power: at 25 °F the curve gives 1.5 times, 11 934 W or 49.7 A: at least four circuits of
/// 16 A where rated power takes three. A deck piece then draws 2.92 A, so five fill a circuit: 14.6 A. All sixteen take four
/// circuits, and what they leave, 16 - 4 x 2.92 = 4.3 A at least, takes the starters of 1.46 A each. At a start at 0 °F twice rated.
#[test]
fn the_steady_load_is_sized_at_the_running_temperature() {
    let rated = gable(CURVE, "running_temperature = 50\nstart_temperature = 0");
    assert!((rated.checks.load.watts / 7956.0 - 1.0).abs() < 0.002);
    assert_eq!(rated.wiring.circuits.len(), 3);
    let cool = gable(CURVE, "running_temperature = 25\nstart_temperature = 0");
    assert!((cool.checks.load.watts / (1.5 * 7956.0) - 1.0).abs() < 0.002, "{}", cool.checks.load.watts);
    assert_eq!(cool.wiring.circuits.len(), 4);
    assert!(cool.wiring.circuits.iter().all(|c| c.amps <= 16.0 + 1e-6));
    let start: f64 = cool.checks.supplies.iter().map(|s| s.start_amps.unwrap()).sum();
    assert!((start / (2.0 * 33.15) - 1.0).abs() < 0.003, "{start}");
    let check = cool.checks.checks.iter().find(|c| c.code == "element-temperature" && c.item == "strip-4").unwrap();
    assert_eq!(check.verdict, Verdict::Authority);
    assert!(check.working.contains("not judged") && check.working.contains("18 W/ft"), "{}", check.working);
    // A cold reading says little: no limits.
    assert!(cool.checks.readings.iter().all(|r| r.low.is_none() && r.high.is_none()));
    // Eight pieces that run at 15.6 A and start at 31.2 A on a 20 A breaker are told.
    assert!(rated.findings.iter().any(|f| f.code == "beyond-comparison" && f.message.starts_with("cold-start")));
}

/// By hand: 7956 W at 50 °F, twice at 0 °F, so 1.5 times at 25 °F and 1.2 times at 40 °F, above the 38 °F of the control. Two wet hours
/// at 25 °F and one at 0 °F are (1.5 + 1.5 + 2) 7956 Wh; the hour at 40 °F is off.
#[test]
fn the_season_follows_the_air() {
    let mut project = gable(CURVE, "running_temperature = 50\nstart_temperature = 0");
    let hour = |air: f64| Hour {
        month: 1,
        day: 1,
        hour: 1,
        air: Some(air),
        present: Present::Frozen,
        snow_depth: None,
        precipitation: None,
    };
    let hours = [25.0, 25.0, 0.0, 40.0].map(hour).to_vec();
    project.add_season(&Weather { place: "nowhere".into(), hours });
    let season = project.season.unwrap();
    assert!(season.follows_air);
    assert_eq!(season.sky_wet.hours, 3);
    assert!((season.sky_wet.energy / (5.0 * 7.956) - 1.0).abs() < 0.002, "{}", season.sky_wet.energy);
}

/// By hand: 0.1 ohm/ft of bus and 12 W/ft at 240 V make k = 0.004 564 per ft; 2 % of drop is kL = acosh(1 / 0.98) = 0.2003, so 43.9 ft: the
/// 39 ft courses stay whole. At twice the power k grows by the square root of two, 31.0 ft: each is cut in two.
#[test]
fn the_run_limit_follows_the_power() {
    let with = |running: u32| {
        let element = format!("cold_start_factor = 1.0\n{CURVE}");
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
        let text = std::fs::read_to_string(samples.join("catalogue.toml")).unwrap();
        let text = text.replace("cold_start_factor = 1.0", &element);
        let text = text.replace("bus_ohms_per_foot = 0.00505", "bus_ohms_per_foot = 0.1");
        let job = std::fs::read_to_string(samples.join("gable/job.toml")).unwrap();
        let job = job.replace("code_edition = 2023", &format!("code_edition = 2023\nrunning_temperature = {running}"));
        let job = Job::from_toml(&job, &Catalogue::from_toml(&text).unwrap()).unwrap().value;
        let survey = survey(&std::fs::read(samples.join("gable/plan.dxf")).unwrap(), &job).unwrap();
        lay_out(survey, job).unwrap().courses.segments.len()
    };
    assert_eq!((with(50), with(0)), (18, 36));
}

/// Self-limiting element: 12 W/ft at 32 °F falling to half at 132 °F, 5 °F of rise for each W/ft: p = 12 (1 - 0.025 p), 9.23 W/ft, and
/// half of it on the eave alike: 6 (1 - 0.025 p), 5.217 W/ft. By hand 39 ft x 2 x (8 x 9.2308 + 5.2174) = 6167 W; leads and buses cost less.
#[test]
fn element_that_warms_itself_is_sized_where_it_settles() {
    let curve = "power_curve = [{ fahrenheit = 32.0, factor = 1.0 }, { fahrenheit = 132.0, factor = 0.5 }]";
    let project = gable(&format!("rise_per_watt = 5.0\n{curve}"), "running_temperature = 32\nstart_temperature = 32");
    let by_hand = 39.0 * 2.0 * (8.0 * 12.0 / 1.3 + 6.0 / 1.15);
    assert!((project.checks.load.watts / by_hand - 1.0).abs() < 0.001, "{} {by_hand}", project.checks.load.watts);
    let check = project.checks.checks.iter().find(|c| c.code == "element-temperature" && c.item == "strip-4").unwrap();
    // 32 °F and 9.23 x 5 °F.
    assert!(
        (check.value - 32.0 - 60.0 / 1.3).abs() < 0.01 && check.working.contains("warmed by 46.2 °F"),
        "{}",
        check.working
    );
    // Cold, before it warms, it draws its rated 12 W/ft.
    let start: f64 = project.checks.supplies.iter().map(|s| s.start_amps.unwrap()).sum();
    assert!((start / 33.15 - 1.0).abs() < 0.002, "{start}");
}

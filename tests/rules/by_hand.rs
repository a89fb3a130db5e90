//! The samples against numbers worked by hand; `NOTES.md` beside each sample shows the working.

use eavesdraft::catalog::Catalogue;
use eavesdraft::courses::ElementRole;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{Project, lay_out, survey};
use eavesdraft::terms::EdgeKind;
use eavesdraft::wiring::{LeadKind, LegPlace, Terminal};
use eavesdraft::zones::ZoneKind;
use std::path::Path;

fn project(sample: &str) -> Project {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
    let text = std::fs::read_to_string(folder.join("job.toml")).unwrap();
    let job = Job::from_toml(&text, &Catalogue::sample()).unwrap().value;
    let survey = survey(&std::fs::read(folder.join("plan.dxf")).unwrap(), &job).unwrap();
    lay_out(survey, job).unwrap()
}

fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected}");
}

/// `samples/gable/NOTES.md`, step by step.
#[test]
fn the_plain_gable() {
    let project = project("gable");
    let zones = &project.zones.zones;
    assert_eq!(zones.len(), 2);
    for zone in zones {
        // (12 + 24) in of run at 6:12: 36 x 1.118034.
        near(zone.required_reach, 40.25, 0.005);
    }
    for filled in &project.courses.zones {
        assert_eq!(filled.deck_courses, 8);
        near(filled.provided_reach, 45.125, 1e-9);
    }
    let segments = &project.courses.segments;
    assert_eq!(segments.len(), 18);
    assert!(segments.iter().all(|s| (s.cut_length - 468.0).abs() < 1e-9), "each course is 39'-0\"");
    near(project.checks.load.element_length / 12.0, 702.0, 1e-9);
    // Element area: 2 x 39 ft x (2 + 8 x 4) in.
    near(project.checks.load.element_area / 144.0, 2.0 * 39.0 * 34.0 / 12.0, 1e-6);
    // Nameplate: 2 x 39 ft x (6 + 8 x 12) W; the bus bars and leads take about a part in a thousand.
    let nameplate = 2.0 * 39.0 * (6.0 + 8.0 * 12.0);
    near(nameplate, 7956.0, 1e-9);
    assert!(project.checks.load.watts < nameplate && project.checks.load.watts > 0.997 * nameplate);
    // 7956 W / 240 V = 33.15 A; a 20 A breaker carries 16 A continuous: at least 3 circuits.
    assert!(project.wiring.circuits.len() >= 3);
    assert!(project.wiring.circuits.iter().all(|c| c.breaker >= 1.25 * c.amps - 1e-9 && c.breaker <= 20.0));
    assert!(project.wiring.unfed.is_empty());
}

/// `samples/gable/NOTES.md`: rolls, order list, kits, heat and season.
#[test]
fn order_list_heat_and_season_of_the_plain_gable() {
    let mut project = project("gable");
    let takeoff = &project.takeoff;
    let rolls: Vec<(&str, usize, usize, bool)> =
        takeoff.plans.iter().map(|p| (p.element_key.as_str(), p.rolls.len(), p.bound, p.optimal)).collect();
    assert_eq!(rolls, [("strip-2", 1, 1, true), ("strip-4", 3, 3, true)]);
    near(takeoff.plans[1].rolls.iter().map(|r| r.offcut).sum(), 1510.0, 1e-9);
    ordered(
        &project,
        &[
            ("strip-2-roll", 1.0, 1.0),
            ("strip-4-roll", 3.0, 3.0),
            ("bus-bar-connector", 36.0, 38.0),
            ("ground-connector", 18.0, 19.0),
            ("end-cap", 18.0, 19.0),
            ("sealing-patch", 72.0, 76.0),
            ("fixing-point", 378.0, 397.0),
            ("sealant", 4.0, 4.0),
        ],
    );
    assert_eq!(takeoff.kits.len(), 2);
    for kit in &takeoff.kits {
        let of = |key: &str| kit.parts.iter().find(|p| p.key == key).map_or(0.0, |p| p.quantity);
        assert_eq!((kit.segments.len(), kit.leads.len()), (9, 9));
        assert_eq!([of("bus-bar-connector"), of("end-cap"), of("sealing-patch")], [18.0, 9.0, 36.0]);
    }
    let heat = project.checks.heat.unwrap();
    assert!(heat.weather_given && heat.dam_likely);
    near(heat.band_flux, 83.53, 0.005);
    near(heat.balance.total, 78.09, 0.005);
    near(heat.closed_form.total, 77.72, 0.005);
    near(heat.snow_melted, 1.07, 0.005);
    near(heat.dam_water_rate, 0.005_48, 5e-6);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/gable/weather.epw");
    let weather = eavesdraft::thermal::Weather::from_epw(&std::fs::read_to_string(path).unwrap()).unwrap();
    project.add_season(&weather);
    let season = project.season.unwrap();
    assert_eq!((season.sky_wet.hours, season.snow_lying.hours), (20, 44));
    let months = [0, 1].map(|at| (season.sky_wet.months[at].hours, season.snow_lying.months[at].hours));
    assert_eq!(months, [(12, 24), (8, 20)]);
    near(season.sky_wet.coldest.unwrap(), 21.2, 1e-9);
    near(season.sky_wet.energy, 0.02 * project.checks.load.watts, 1e-9);
    near(season.snow_lying.energy, 350.0, 1.0);
    near(season.snow_lying.cost, 0.2 * season.snow_lying.energy, 1e-9);
    assert!(season.fitness.fit && project.findings.iter().any(|f| f.code == "weather-gaps"));
}

/// Quantity and order of materials by key.
fn ordered(project: &Project, lines: &[(&str, f64, f64)]) {
    for (key, quantity, order) in lines {
        let line = project.takeoff.materials.iter().find(|m| m.key == *key).unwrap_or_else(|| panic!("{key}"));
        assert_eq!((line.quantity, line.order), (*quantity, *order), "{key}");
    }
}

/// Energy of the invented days by sky wet and with snow lying, kWh.
fn season_of(project: &mut Project, kilowatt_hours: [f64; 2]) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/gable/weather.epw");
    project.add_season(&eavesdraft::thermal::Weather::from_epw(&std::fs::read_to_string(path).unwrap()).unwrap());
    let season = project.season.as_ref().unwrap();
    assert_eq!((season.sky_wet.hours, season.snow_lying.hours), (20, 44));
    near(season.sky_wet.energy, kilowatt_hours[0], 0.5);
    near(season.snow_lying.energy, kilowatt_hours[1], 0.5);
}

/// `samples/hipped-l/NOTES.md` and the same house in metres, "Order list and season".
#[test]
fn order_list_and_season_of_the_hipped_l() {
    for sample in ["hipped-l", "hipped-l-metric"] {
        let mut project = project(sample);
        ordered(
            &project,
            &[
                ("strip-2-roll", 1.0, 1.0),
                ("strip-4-roll", 5.0, 5.0),
                ("bus-bar-connector", 386.0, 406.0),
                ("ground-connector", 193.0, 203.0),
                ("end-cap", 116.0, 122.0),
                ("sealing-patch", 618.0, 649.0),
                ("sealant", 32.0, 32.0),
            ],
        );
        if sample == "hipped-l" {
            ordered(&project, &[("strip-4", 1141.75, 0.0), ("strip-2", 159.0, 0.0), ("fixing-point", 817.0, 858.0)]);
            near(project.takeoff.plans[1].rolls.iter().map(|r| r.offcut).sum(), 1286.0, 1e-9);
        }
        season_of(&mut project, [293.0, 644.6]);
    }
}

/// `samples/cross-gable-retrofit/NOTES.md`, order list and season.
#[test]
fn order_list_and_season_of_the_cross_gable() {
    let mut project = project("cross-gable-retrofit");
    ordered(
        &project,
        &[
            ("strip-2-roll", 1.0, 1.0),
            ("strip-4-roll", 3.0, 3.0),
            ("bus-bar-connector", 134.0, 141.0),
            ("ground-connector", 67.0, 71.0),
            ("end-cap", 67.0, 71.0),
            ("sealing-patch", 268.0, 282.0),
            ("fixing-point", 485.0, 510.0),
        ],
    );
    near(project.takeoff.plans[1].rolls.iter().map(|r| r.offcut).sum(), 724.25, 1e-9);
    season_of(&mut project, [174.5, 384.0]);
}

/// True lengths of the L against the framing square: public-domain NAVEDTRA 14044 prints 18.00 in of hip per foot of common
/// run at 6:12, and 13.42 in of common rafter.
#[test]
fn true_lengths_of_the_hipped_l() {
    let project = project("hipped-l");
    let roof = &project.survey.roof;
    let mut hips: Vec<f64> =
        roof.edges.iter().filter(|e| e.kind == EdgeKind::Hip).map(|e| roof.slope_length(e.id)).collect();
    hips.sort_by(f64::total_cmp);
    // Common runs of the hips: 2 ft where the second ridge meets, twice 10 ft on the second wing, three times 12 ft.
    let expected = [2.0, 10.0, 10.0, 12.0, 12.0, 12.0].map(|run| run * 18.0);
    assert_eq!(hips.len(), expected.len());
    for (found, expected) in hips.iter().zip(expected) {
        near(*found, expected, 0.01);
    }
    let valley = roof.edges.iter().find(|e| e.kind == EdgeKind::Valley).unwrap();
    near(roof.slope_length(valley.id), 10.0 * 18.0, 0.01);
}

/// `samples/hipped-l/NOTES.md`: the hip end of the second wing, and the courses beside the valley.
#[test]
fn course_lengths_of_the_hipped_l() {
    let project = project("hipped-l");
    let (roof, courses) = (&project.survey.roof, &project.courses);
    let run_length = |edge_length: f64, course: u32| -> Vec<f64> {
        courses
            .runs
            .iter()
            .filter(|r| r.course == course)
            .filter(|r| {
                let zone = &project.zones.zones[r.zone.index()];
                zone.edges.iter().any(|&e| {
                    roof.edge(e).kind == EdgeKind::Eave && (roof.segment(e).length() - edge_length).abs() < 0.01
                })
            })
            .map(|r| r.along.length())
            .collect()
    };
    // 20 ft eave between two hips. A hip's 6 in costs 8.05 in along the course at the element's upper edge, which stands
    // v x cos(26.565 deg) = 0.8944 v in from the corner: starter v = 2, deck course j: v = 5 j + 1.125 + 4.
    for course in 0..=8_u32 {
        let top = if course == 0 { 2.0 } else { 5.0 * f64::from(course) + 5.125 };
        let expected = 240.0 - 2.0 * (8.0498 + 0.894_43 * top);
        let found = run_length(240.0, course);
        assert_eq!(found.len(), 1, "course {course}: {found:?}");
        near(found[0], expected, 0.01);
    }
    // Seen from the hip line at the lower edge of the element: 11.63 in for the deck element, 9.84 in for the starter.
    near(8.0498 + 0.894_43 * 4.0, 11.63, 0.005);
    near(8.0498 + 0.894_43 * 2.0, 9.84, 0.005);
    // Nothing longer than 50 ft, and starters only on the eave.
    assert!(courses.segments.iter().all(|s| s.cut_length <= 600.0));
    assert!(courses.segments.iter().all(|s| (s.course == 0) == (s.element == ElementRole::Starter)));
}

/// The metric sample is the same house: same pieces, though its lines miss by up to 3 mm.
#[test]
fn the_metric_l_is_the_same_house() {
    let (inches, metres) = (project("hipped-l"), project("hipped-l-metric"));
    assert_eq!(inches.survey.roof.faces.len(), metres.survey.roof.faces.len());
    assert_eq!(inches.courses.segments.len(), metres.courses.segments.len());
    let total = |p: &Project| p.courses.segments.iter().map(|s| s.cut_length).sum::<f64>();
    // 3 mm at either end of a piece is 1/4 in; pieces are cut in steps of 1/2 in.
    let play = 0.75 * inches.courses.segments.len() as f64;
    near(total(&metres), total(&inches), play);
    assert!(metres.survey.findings.iter().any(|f| f.code == "snapped-end"), "the repairs are told");
}

/// The load calculation of `samples/gable/NOTES.md`: resistance of a piece, circuits, leakage, conduit and box fill.
#[test]
fn the_load_calculation_of_the_gable() {
    let project = project("gable");
    let checks = &project.checks;
    let reading = |tag: &str| checks.readings.iter().find(|r| r.item == tag).unwrap().ohms;
    near(reading("F1-1-1"), 123.14, 0.005);
    near(reading("F1-0-1"), 246.22, 0.005);
    let circuits = &project.wiring.circuits;
    let figures: Vec<_> = circuits.iter().map(|c| (c.breaker, c.conductor_awg, c.ground_awg)).collect();
    assert_eq!(figures, [(20.0, 12, 12), (20.0, 12, 12), (15.0, 14, 14)]);
    near(circuits[0].amps, 15.59, 0.005);
    near(circuits[2].amps, 1.95, 0.005);
    near(checks.supplies[0].leakage.unwrap(), 6.24, 1e-9);
    assert_eq!(checks.supplies[0].conduit.as_deref(), Some("1/2 in EMT"));
    let value = |code: &str| checks.checks.iter().find(|c| c.code == code).unwrap().value;
    near(value("conduit-fill"), 0.0399, 1e-9);
    near(value("box-fill"), 57.4375, 1e-9);
    assert!(project.wiring.shed.is_empty());
}

/// The load calculation of `samples/hipped-l/NOTES.md`: pieces of the eaves between hips, rated power, circuits, one piece, box, switches.
#[test]
fn the_load_calculation_of_the_hipped_l() {
    let project = project("hipped-l");
    let checks = &project.checks;
    // Deck and starter inches by length of eave, both halves.
    for (eave, starter, deck) in
        [(504.0, 477.0, 3445.0), (528.0, 501.0, 3637.0), (288.0, 261.0, 1717.0), (240.0, 213.0, 1333.0)]
    {
        let zone = project.zones.zones.iter().find(|z| (z.along.length() - eave).abs() < 0.01).unwrap();
        let cut = |first: bool| -> f64 {
            let of_zone = project.courses.segments.iter().filter(|s| s.zone == zone.id && (s.course == 0) == first);
            of_zone.map(|s| s.cut_length).sum()
        };
        near(cut(true), starter, 1e-9);
        near(cut(false), deck, 1e-9);
    }
    let circuits = &project.wiring.circuits;
    let rated = |at: usize| -> f64 {
        let chains = circuits[at].chains.iter().map(|c| &project.wiring.chains[c.index()]);
        let pieces = chains.flat_map(|c| &c.segments).map(|s| &project.courses.segments[s.index()]);
        pieces.map(|s| s.cut_length * if s.element == ElementRole::Deck { 1.0 } else { 0.5 }).sum()
    };
    let by_hand = [3451.75, 3683.5, 3757.5, 3762.25];
    assert_eq!(circuits.len(), 4);
    for (at, watts) in by_hand.into_iter().enumerate() {
        near(rated(at), watts, 1e-9);
        // Leads and buses cost about 3 parts in 10 000 of the current.
        near(circuits[at].amps, watts / 240.0, 0.0006 * watts / 240.0);
        assert_eq!((circuits[at].breaker, circuits[at].conductor_awg, circuits[at].ground_awg), (20.0, 12, 12));
    }
    near(checks.load.watts, 14_655.0, 10.0);
    near(checks.readings.iter().find(|r| r.item == "F3-8-1").unwrap().ohms, 288.03, 0.005);
    near(checks.supplies[1].leakage.unwrap(), 6.54, 0.005);
    let of = |code: &str, item: &str| checks.checks.iter().find(|c| c.code == code && c.item == item).unwrap().value;
    near(of("box-fill", "J2"), 57.9375, 1e-9);
    near(of("disconnect-rating", "disconnect-2x30"), 20.0, 1e-9);
    near(of("contactor-rating", "contactor-4x30"), 19.59, 0.01);
    near(of("controller-output", "controller-5"), 0.2, 1e-9);
    let count = |key: &str| project.takeoff.materials.iter().find(|m| m.key == key).unwrap().quantity;
    assert_eq!(["disconnect-2x30", "contactor-4x30", "controller-5"].map(count), [4.0, 2.0, 1.0]);
}

/// `samples/hipped-l/NOTES.md`: every lead of the 24 ft eave, and the four that cross the hip, each by its own sum; none is shorter than its chord.
#[test]
fn leads_of_the_hipped_l_by_hand() {
    let project = project("hipped-l");
    let (courses, wiring) = (&project.courses, &project.wiring);
    let lead_of = |tag: &str| {
        let segment = courses.segments.iter().find(|s| s.tag == tag).unwrap();
        &wiring.leads[wiring.feed(segment.id).unwrap().lead.index()]
    };
    let below = |beside: f64| 2.4 + 4.0 + (14.4_f64 * 14.4 + beside * beside).sqrt() + 24.0 + 4.0 + 18.0;
    let jumper = |up: f64, along: f64| up + 2.0 * along + 12.0;
    let by_hand = [
        3.0 + 1.0 + below(0.5625),
        jumper(7.125, 0.375),
        jumper(5.0, 0.75),
        jumper(5.0, 1.125),
        3.375 + 23.125 + below(0.1875),
        jumper(5.0, 1.5),
        jumper(5.0, 1.875),
        jumper(5.0, 2.25),
        jumper(5.0, 2.625),
    ];
    for (course, expected) in by_hand.into_iter().enumerate() {
        for half in [1, 2] {
            near(lead_of(&format!("F5-{course}-{half}")).length, expected, 1.0 / 64.0);
        }
    }
    // Off the hip along the course: 7.958 in square to it, at the sine of 48.19 degrees, the root of 5 over 3.
    let off = 6.875 + 1.625 * 2.0 / 3.0;
    let end = 0.894_427 * 73.125 + off * 3.0 / 5.0_f64.sqrt();
    near(end, 76.08, 0.005);
    let across = 2.0 * off + 24.0;
    for (tag, [start, up, column, apart], [wing, down], beside) in [
        ("F1-5-1", [3.375, 45.1875, 119.8125, 0.1875], [129.393, 73.3125], 0.1875),
        ("F1-5-2", [3.375, 45.5625, 120.1875, 0.5625], [129.768, 73.6875], 0.5625),
        ("F1-8-1", [3.0, 29.4375, 119.4375, 0.5625], [128.643, 72.5625], 0.5625),
        ("F1-8-2", [3.0, 29.8125, 120.5625, 0.1875], [129.018, 72.9375], 0.1875),
    ] {
        let face = start + up + (column - end) + apart;
        let other = apart + (wing - end) + down;
        near(lead_of(tag).length, face + across + other + below(beside), 1.0 / 16.0);
    }
    assert!(wiring.leads.iter().all(|lead| lead.length >= lead.chord() && lead.chord() > 0.0));
    let hip = wiring.crossings.iter().find(|c| c.leads.len() == 4).unwrap();
    near(hip.cap_gap, 2.625, 1e-9);
}

/// `samples/hipped-l-metric/NOTES.md`: the same load within half a watt a piece.
#[test]
fn the_load_calculation_of_the_metric_l() {
    let project = project("hipped-l-metric");
    near(project.checks.load.watts, 14_655.0, 58.0 + 10.0);
    assert_eq!(project.wiring.circuits.len(), 4);
    assert!(project.wiring.circuits.iter().all(|c| c.breaker == 20.0 && c.amps <= 16.0));
}

/// The gable with a panel that carries one of its eaves, the front one being least needed: it goes whole, and no list, count or drawing
/// shows it as installed.
#[test]
fn what_is_shed_is_in_no_list_and_drawn_as_not_installed() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/gable");
    let text = std::fs::read_to_string(folder.join("job.toml")).unwrap();
    let panel = "[electrical.panel]\ntag = \"P1\"\nspaces = 8\nspare_amps = 35\nhome_run = \"50 ft\"\n";
    let job = format!("{text}\n{panel}\n[[roof.edge]]\ntag = \"E1\"\npriority = 2\n");
    let job = Job::from_toml(&job, &Catalogue::sample()).unwrap().value;
    let survey = survey(&std::fs::read(folder.join("plan.dxf")).unwrap(), &job).unwrap();
    let project = lay_out(survey, job).unwrap();
    let wiring = &project.wiring;
    assert_eq!(
        eavesdraft::wiring::check_invariants(&project.zones, &project.courses, wiring, &project.job),
        Vec::<String>::new()
    );
    let [shed] = wiring.shed.as_slice() else { panic!("{:?}", wiring.shed) };
    assert_eq!((shed.tag.as_str(), shed.priority, shed.segments.len()), ("Z1", 2, 9));
    // What stays: the back eave, 9 pieces of 39 ft.
    assert_eq!((wiring.circuits.len(), wiring.feeds.len(), project.takeoff.cuts.len()), (2, 9, 9));
    near(project.checks.load.element_length, 351.0 * 12.0, 1e-9);
    let breakers: f64 =
        project.takeoff.materials.iter().filter(|m| m.key.starts_with("breaker-")).map(|m| m.quantity).sum();
    near(breakers, 2.0, 1e-9);
    assert!(project.checks.one_line.iter().all(|item| item.tag != "C3"));
    let value = |code: &str| project.checks.checks.iter().find(|c| c.code == code).unwrap().value;
    assert!(value("panel-amps") <= 35.0 && value("panel-amps") > 20.0);
    let set = eavesdraft::sheet::sheets(&project).value;
    assert_eq!(eavesdraft::sheet::check_invariants(&set), Vec::<String>::new());
    let plan = &set.models[0];
    for segment in &project.courses.segments {
        let toned = plan.items.iter().any(|item| item.id == format!("{}.strip", segment.id));
        assert!(plan.items.iter().any(|item| item.id == segment.id.to_string()), "{} is drawn", segment.tag);
        assert_eq!(toned, wiring.feed(segment.id).is_some(), "{}", segment.tag);
    }
    let says = |sheet: &str, words: &str| {
        let sheet = set.sheets.iter().find(|s| s.number == sheet).unwrap();
        eavesdraft::sheet::flatten(&set, sheet).iter().any(
            |mark| matches!(&mark.kind, eavesdraft::sheet::MarkKind::Text { content, .. } if content.contains(words)),
        )
    };
    assert!(
        says("E-101", "Z1: NOT INSTALLED") && says("E-401", "F1-1-1 NOT INSTALLED") && says("E-604", "NOT INSTALLED")
    );
    assert!(says("E-601", "NOT INSTALLED") && !says("E-402", "NOT INSTALLED"));
    let page = String::from_utf8(eavesdraft::write::load_page(&project)).unwrap();
    assert!(page.contains("| Z1 | 2 |") && page.contains("NOT INSTALLED"));
}

/// A panel with room for one of the gable's two eaves: 125 % of 33.12 A is 41.4 A, of one eave 20.7 A. Priorities being equal, the last
/// zone goes first; 100 - (85 - 10) = 25 A carry the first eave, 100 - (90 - 10) = 20 A neither.
#[test]
fn a_panel_too_small_gives_the_shed_list() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/gable");
    let text = std::fs::read_to_string(folder.join("job.toml")).unwrap();
    let shed = |spare: &str| {
        let panel = format!("{text}\n[electrical.panel]\ntag = \"P1\"\nspaces = 8\n{spare}\nhome_run = \"50 ft\"\n");
        let job = Job::from_toml(&panel, &Catalogue::sample()).unwrap().value;
        let survey = survey(&std::fs::read(folder.join("plan.dxf")).unwrap(), &job).unwrap();
        let project = lay_out(survey, job).unwrap();
        let found = project.findings.iter().any(|f| f.code == "panel-sheds");
        let tags: Vec<String> = project.wiring.shed.iter().map(|s| s.tag.clone()).collect();
        assert_eq!(found, !tags.is_empty());
        tags
    };
    assert_eq!(shed("spare_amps = 42"), Vec::<String>::new());
    assert_eq!(shed("spare_amps = 40"), ["Z2"]);
    assert_eq!(shed("main_amps = 100\nexisting_amps = 85\nnon_coincident_amps = 10"), ["Z2"]);
    assert_eq!(shed("main_amps = 100\nexisting_amps = 90\nnon_coincident_amps = 10"), ["Z2", "Z1"]);
}

/// Square to an equal-pitch hip or valley at 6:12, 1 in is 1 / sin 48.19 deg along the course; up the slope the line moves cos 26.565 deg an inch.
const ALONG: f64 = 1.341_641;
const LEAN: f64 = 0.894_427;

/// Where a course may run on one face of `samples/hipped-l`, by the arithmetic of its `NOTES.md`: eave length, what bounds it left and right.
fn runs_by_hand(eave: f64, sides: [EdgeKind; 2], low: f64, high: f64) -> (f64, f64) {
    // A hip stops the upper edge 6 in from it. A valley stops the lower edge; at the drip edge itself only its foot is near, 6 in along.
    let off = |kind| match kind {
        EdgeKind::Hip => 6.0 * ALONG + LEAN * high,
        _ if low == 0.0 => 6.0,
        _ => 6.0 * ALONG - LEAN * low,
    };
    (off(sides[0]), eave - off(sides[1]))
}

/// Every segment of the L to a sixteenth: the course's clear stretch, less the skylight's keep-out and the lead columns, down to half an inch.
#[test]
fn every_segment_of_the_hipped_l() {
    let project = project("hipped-l");
    let roof = &project.survey.roof;
    let mut checked = 0;
    for zone in &project.zones.zones {
        let layout = project.zones.layout(zone.face).unwrap();
        let eave = layout.edges.iter().find(|e| e.kind == EdgeKind::Eave).unwrap();
        let length = roof.segment(eave.edge).length();
        let at_corner = |u: f64| {
            let corner = |e: &&eavesdraft::zones::FaceEdge| {
                matches!(e.kind, EdgeKind::Hip | EdgeKind::Valley)
                    && [e.a, e.b].iter().any(|p| p.y.abs() < 0.01 && (p.x - u).abs() < 0.01)
            };
            layout.edges.iter().find(corner).unwrap().kind
        };
        let sides = [at_corner(0.0), at_corner(length)];
        let columns: Vec<(f64, f64)> = project
            .courses
            .columns
            .iter()
            .filter(|c| c.zone == zone.id)
            .map(|c| (c.extent.u.low, c.extent.u.high))
            .collect();
        let last = if zone.kind == ZoneKind::Valley { 12 } else { 8 };
        let first = if zone.kind == ZoneKind::Valley { 9 } else { 0 };
        for course in first..=last {
            let (low, high) = if course == 0 {
                (0.0, 2.0)
            } else {
                (5.0 * f64::from(course) + 1.125, 5.0 * f64::from(course) + 5.125)
            };
            let (mut from, mut to) = runs_by_hand(length, sides, low, high);
            if zone.kind == ZoneKind::Valley {
                // 24 in square to the valley at the lower edge; the end nearer to it is the course's own.
                match sides {
                    [_, EdgeKind::Valley] => from = length + LEAN * low - 24.0 * ALONG,
                    _ => to = 24.0 * ALONG - LEAN * low,
                }
            }
            let mut stops: Vec<(f64, f64)> = columns.clone();
            for opening in &layout.openings {
                // 22 in wide from 120 in, 30 to 60 in of run up the face: 11 in around it, on the slope 1.118034 times the run.
                let (bottom, top) = (30.0 * 1.118_034 - 11.0, 60.0 * 1.118_034 + 11.0);
                let middle = 0.5 * (opening.keep_out.u.low + opening.keep_out.u.high);
                if low < top && high > bottom {
                    stops.push((middle - 22.0, middle + 22.0));
                }
            }
            stops.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut expected: Vec<f64> = Vec::new();
            let mut open = from;
            for (stop, on) in stops.into_iter().chain([(to, to)]) {
                let clear = stop.min(to) - open;
                let cut = ((clear + 1e-3) * 2.0).floor() / 2.0;
                if cut >= 24.0 {
                    expected.push(cut);
                }
                open = open.max(on);
            }
            let mut found: Vec<(f64, f64)> = project
                .courses
                .segments
                .iter()
                .filter(|s| s.zone == zone.id && s.course == course)
                .map(|s| (s.along.low, s.cut_length))
                .collect();
            found.sort_by(|a, b| a.0.total_cmp(&b.0));
            let found: Vec<f64> = found.into_iter().map(|(_, cut)| cut).collect();
            assert_eq!(found.len(), expected.len(), "{} course {course}: {found:?} {expected:?}", zone.id);
            for (found, expected) in found.iter().zip(&expected) {
                assert!(
                    (found - expected).abs() <= 1.0 / 16.0,
                    "{} course {course}: {found} is not {expected}",
                    zone.id
                );
                checked += 1;
            }
        }
    }
    assert_eq!(checked, project.courses.segments.len());
}

/// How far out the guard holds a lead: 1.6 of its bend radius of 1 1/2 in.
const GUARD: f64 = 1.6 * 1.5;

/// Every lead of the L to a sixteenth, as `NOTES.md` adds it up: along the course to its place in the lane, down to the eave, 2.4 in of guard (1.6 bend radii) and 4 in
/// of drip loop, 14.4 in in to the wall and along it, 24 in down and 4 in up into the box, 12 in in the box and 6 in at the piece. A jumper is the way
/// between two pieces and 6 in at each.
#[test]
fn every_lead_of_the_hipped_l() {
    let project = project("hipped-l");
    let wiring = &project.wiring;
    let mut straight = 0;
    for lead in &wiring.leads {
        let legs: Vec<_> = lead.legs.iter().filter(|leg| leg.place == LegPlace::Face).collect();
        let steps =
            legs.iter().flat_map(|leg| leg.path.windows(2)).map(|w| (w[0].x - w[1].x).abs() + (w[0].y - w[1].y).abs());
        let on_roof: f64 = steps.sum();
        let Terminal::Segment(segment, _) = lead.to else { panic!("{} leads to no piece", lead.id) };
        let segment = &project.courses.segments[segment.index()];
        let middle = 0.5 * (segment.across.low + segment.across.high);
        let expected = match lead.kind {
            LeadKind::Jumper => on_roof + 2.0 * 6.0,
            LeadKind::Feed => {
                let leg = legs[0];
                let foot = leg.path.first().unwrap();
                let Terminal::Box(junction) = lead.from else { panic!("{} comes from no box", lead.id) };
                let layout = project.zones.layout(leg.face.unwrap()).unwrap();
                let junction = layout.frame.to_face(wiring.boxes[junction.index()].at.plan());
                let along = (junction.x - foot.x).abs();
                let wall = (along * along + (12.0 + GUARD) * (12.0 + GUARD)).sqrt() + 24.0 + 4.0;
                if legs.len() == 1 && leg.path.len() == 3 {
                    // Down the lane and along the course: the height of the piece's middle, and the way from its end to the lane.
                    let end = leg.path.last().unwrap();
                    assert!((on_roof - middle - (end.x - foot.x).abs()).abs() < 1e-6, "{}", lead.id);
                    straight += 1;
                }
                let crossings: f64 =
                    lead.legs.iter().filter(|l| l.crossing.is_some()).map(|l| l.length + l.slack).sum();
                on_roof + crossings + GUARD + 4.0 + wall + 12.0 + 6.0
            }
        };
        assert!((lead.length - expected).abs() <= 1.0 / 16.0, "{}: {} is not {expected}", lead.id, lead.length);
    }
    let feeds = wiring.leads.iter().filter(|l| l.kind == LeadKind::Feed).count();
    assert!(straight > 0 && 2 * straight >= feeds, "{straight} of {feeds} leads run straight down");
}

/// `samples/cross-gable-retrofit/NOTES.md`.
#[test]
fn the_cross_gable() {
    let project = project("cross-gable-retrofit");
    let lengths = |kind: EdgeKind| -> Vec<f64> {
        let edges = project.survey.roof.edges.iter().filter(|e| e.kind == kind);
        edges.map(|e| project.survey.roof.slope_length(e.id)).collect()
    };
    let valleys = lengths(EdgeKind::Valley);
    assert_eq!(valleys.len(), 2);
    valleys.iter().for_each(|&v| near(v, 172.325, 0.001));
    assert!(lengths(EdgeKind::Ridge).iter().any(|&r| (r - 248.0).abs() < 1e-3));
    let eave_zones: Vec<_> = project.zones.zones.iter().filter(|z| z.kind == ZoneKind::Eave).collect();
    for zone in &eave_zones {
        let pitch = project.survey.roof.face(zone.face).pitch;
        near(zone.required_reach, if pitch > 0.6 { 43.267 } else { 40.249 }, 0.001);
    }
    let cuts = |face: &str| -> Vec<f64> {
        let own =
            |s: &&eavesdraft::courses::Segment| s.face.to_string() == face && eave_zones.iter().any(|z| z.id == s.zone);
        project.courses.segments.iter().filter(own).map(|s| s.cut_length).collect()
    };
    let wing = [101.0, 102.5, 106.5, 112.0, 118.0, 123.5, 129.0, 134.5, 140.0];
    assert_eq!(cuts("F1"), wing);
    assert_eq!(cuts("F2"), wing);
    near(wing.iter().sum::<f64>(), 1067.0, 1e-9);
    near(cuts("F4").iter().sum::<f64>(), 5.0 * 468.0 + 4.0 * 424.0, 1e-9);
    let in_all = |role: ElementRole| -> f64 {
        project.courses.segments.iter().filter(|s| s.element == role).map(|s| s.cut_length).sum()
    };
    near(in_all(ElementRole::Starter), 920.0, 1e-9);
    near(in_all(ElementRole::Deck), 8268.0, 1e-9);
    // Bus bars and leads take less than a part in a thousand of the 8728 W.
    assert!(project.checks.load.watts < 8728.0 && project.checks.load.watts > 0.999 * 8728.0);
    assert_eq!(project.wiring.circuits.len(), 3);
    // Nothing crosses a fold.
    assert!(project.wiring.crossings.iter().all(|c| c.leads.is_empty()));
}

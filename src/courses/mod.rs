//! [`Zones`] become [`Courses`]: elements in shingle courses, clear of every nail, edge and opening.
//!
//! Course lines run at the shingle exposure from the drip edge. Course 0 is the narrow starter element; deck elements lie above it, `rise` above
//! their lines. A run is a maximal stretch of one course where the element's whole width is clear; it is cut into pieces.
//!
//! Pieces of one zone share their seams: the end gaps of all courses stand above each other in an open lead column (see `cut`), rather than
//! staggered from course to course, because a lead must leave from every inner end without crossing an element.
//!
//! In a retrofit the same numbers place element between two courses that lie there already ([`Layer`]); what such a roof refuses is in `retrofit`.
//!
//! Not handled: seams staggered where no lead needs the gap.

mod check;
mod columns;
mod cut;
mod lattice;
mod lay;
mod model;
#[cfg(test)]
mod properties;
mod retrofit;
mod rule;
mod runs;
mod strip;

pub use check::check_invariants;
pub use model::*;

use crate::error::Result;
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::index::FaceId;
use crate::job::Job;
use crate::roof::Roof;
use crate::units::decimal;
use crate::zones::{Zone, Zones};
use std::collections::BTreeMap;

/// Lays elements in courses.
///
/// # Errors
/// `nail-band` when no rise keeps the elements clear of the nails; in a retrofit `two-layers` and `lift`.
pub fn courses(roof: &Roof, zones: &Zones, job: &Job) -> Result<Outcome<Courses>> {
    let mut courses = Courses::default();
    let mut findings = Vec::new();
    if zones.zones.is_empty() {
        return Ok(Outcome { value: courses, findings });
    }
    retrofit::refuse(job)?;
    let rule = rule::course_rule(job)?;
    for zone in &zones.zones {
        let layout = zones.layout(zone.face).expect("a zone lies on a sloping face");
        let lattice = lattice::Lattice::new(layout, zone, &rule);
        let (cold, runs) = (courses.cold.len(), courses.runs.len());
        // Leads of the valley bands that continue this eave zone pass through its columns: one a course.
        let continuing = zones.zones.iter().filter(|z| z.continues == Some(zone.id));
        let top = lattice.deck_courses(zone.required_reach);
        let passing = continuing.map(|z| lattice.deck_courses(z.required_reach).saturating_sub(top)).sum();
        lay::lay_zone(layout, zone, &rule, passing, job, &mut courses);
        let filled = &courses.zones[zone.id.index()];
        let below = zone.continues.map(|eave| lattice.deck_courses(courses.zones[eave.index()].required_reach));
        let covered = below.is_some_and(|below| top <= below);
        let last = lattice.deck_courses(zone.required_reach);
        let refused = (0..=last).filter(|&course| lattice.refused(course, job).is_some()).collect::<Vec<u32>>();
        findings.extend(uneven_eaves(roof, zone, &refused));
        findings.extend(zone_findings(roof, zone, filled, &courses.cold[cold..], &courses.runs[runs..], covered));
    }
    courses.rule = Some(rule);
    tag(&mut courses.segments);
    findings.extend(retrofit::findings(&courses, job));
    Ok(Outcome { value: courses, findings })
}

/// Courses of an eave up the slope that the nails of the face's courses leave no room for.
fn uneven_eaves(roof: &Roof, zone: &Zone, refused: &[u32]) -> Option<Finding> {
    refused.first()?;
    let place = Place::item(zone.id).with_point(roof.segment(zone.edges[0]).midpoint());
    let named: Vec<String> =
        refused.iter().map(|&c| if c == 0 { "the starter".into() } else { format!("course {c}") }).collect();
    let message = format!(
        "{} on {}: its eave lies up the slope from the face's lowest one, whose shingle courses run through; their nails leave no room for {}",
        zone.id,
        zone.face,
        named.join(" and ")
    );
    Some(Finding::new(Severity::Cold, "uneven-eaves", message, place).with_hint(
        "where the drawing is only a little out of level, draw both eaves in one line; else keep nails out of its way by hand",
    ))
}

/// Face, course and piece from the left: `F2-3-1`.
fn tag(segments: &mut [Segment]) {
    let mut order: Vec<usize> = (0..segments.len()).collect();
    order.sort_by(|&a, &b| segments[a].along.low.total_cmp(&segments[b].along.low).then(a.cmp(&b)));
    let mut counts: BTreeMap<(FaceId, u32), u32> = BTreeMap::new();
    for position in order {
        let segment = &mut segments[position];
        let piece = counts.entry((segment.face, segment.course)).or_insert(0);
        *piece += 1;
        segment.tag = format!("{}-{}-{}", segment.face, segment.course, piece);
    }
}

/// What stays cold in a zone, once each kind. `cold` and `runs` are this zone's; `covered` when the eave zone below a valley's takes all its courses.
fn zone_findings(
    roof: &Roof,
    zone: &Zone,
    filled: &ZoneCourses,
    cold: &[ColdStretch],
    runs: &[Run],
    covered: bool,
) -> Vec<Finding> {
    let name = format!("{} on {}", zone.id, zone.face);
    let finding = |severity, code, words: String| {
        let place = Place::item(zone.id).with_point(roof.segment(zone.edges[0]).midpoint());
        Finding::new(severity, code, format!("{name}: {words}"), place)
    };
    let mut findings = Vec::new();
    let short: Vec<&ColdStretch> = cold.iter().filter(|stretch| stretch.along != zone.along).collect();
    if !short.is_empty() {
        let cold = short;
        let total: f64 = cold.iter().map(|stretch| stretch.along.length()).sum();
        let words =
            format!("{} stretches too short for a piece, {} in in all, stay cold", cold.len(), decimal(total, 1));
        findings.push(
            finding(Severity::Cold, "short-runs-cold", words)
                .with_hint("a smaller shortest_run lays them, at the cost of a connection each"),
        );
    }
    if runs.is_empty() && covered {
        let words = "the courses of the eave below already reach its top".into();
        findings
            .push(finding(Severity::Note, "valley-covered", words).with_hint("a larger valley_height adds courses"));
    } else if runs.is_empty() {
        let words = "no element fits inside the setbacks, all of it stays cold".into();
        findings.push(finding(Severity::Cold, "zone-empty", words));
    } else if filled.provided_reach < filled.required_reach - 2.0 * cut::SAME_LENGTH {
        let words = format!(
            "elements end {} in up the slope, short of the {} in required: the face has no clear course above",
            decimal(filled.provided_reach, 2),
            decimal(filled.required_reach, 2)
        );
        findings.push(finding(Severity::Cold, "reach-short", words));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::geometry::{Point2, Point3, Region};
    use crate::import::{OpeningKind, SourceFrame};
    use crate::index::{FaceId, OpeningId, OriginId};
    use crate::plan::PlanOpening;
    use crate::roof::fixtures::{gable, hipped_l};
    use crate::terms::EdgeKind;
    use crate::units::DrawingUnit;

    fn job() -> Job {
        Job::with_defaults(&Catalogue::sample()).unwrap()
    }

    fn inches() -> SourceFrame {
        SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) }
    }

    /// Zones and courses with every invariant checked.
    fn laid(roof: &Roof, job: &Job) -> (Zones, Courses) {
        let zones = crate::zones::zones(roof, &inches(), job).unwrap().value;
        assert_eq!(crate::zones::check_invariants(roof, &zones), Vec::<String>::new());
        let courses = courses(roof, &zones, job).unwrap().value;
        assert_eq!(check::check_invariants(&zones, &courses, job), Vec::<String>::new());
        (zones, courses)
    }

    fn feet(courses: &Courses) -> f64 {
        courses.segments.iter().map(|s| s.cut_length).sum::<f64>() / 12.0
    }

    /// Gable with eaves of 40 ft, 24 ft wide, 6:12, 12 in overhang, 5 in exposure, reach 24 in inside the wall, worked by hand: reach
    /// (12 + 24) x 1.1180 = 40.25 in, starter and 8 deck courses, top edge 8 x 5 + 1 1/8 + 4 = 45 1/8 in, each course 40 ft less 2 x 6 in.
    #[test]
    fn gable_by_hand() {
        let (zones, courses) = laid(&gable(480.0, 288.0, 0.5), &job());
        assert_eq!(zones.zones.len(), 2);
        for (zone, filled) in zones.zones.iter().zip(&courses.zones) {
            assert!((zone.required_reach - 40.25).abs() < 0.005);
            assert_eq!((filled.deck_courses, filled.provided_reach), (8, 45.125));
        }
        assert_eq!(courses.segments.len(), 18);
        assert!(courses.segments.iter().all(|s| s.cut_length == 468.0 && s.station == 6.0));
        assert!((feet(&courses) - 702.0).abs() < 1e-9);
        assert!(courses.cold.is_empty() && courses.columns.is_empty());
    }

    /// An eave of 112 ft: 1344 - 2 x 6 = 1332 in clear, three pieces and two 6 in end gaps: (1332 - 12) / 3 = 440 in = 36'-8".
    #[test]
    fn a_long_eave_is_cut_in_three() {
        let (_, courses) = laid(&gable(1344.0, 288.0, 0.5), &job());
        assert_eq!(courses.segments.len(), 54);
        assert!(courses.segments.iter().all(|s| s.cut_length == 440.0));
        let columns: Vec<(f64, f64)> =
            courses.columns.iter().take(2).map(|c| (c.extent.u.low, c.extent.u.high)).collect();
        assert_eq!(columns, [(446.0, 452.0), (892.0, 898.0)]);
    }

    /// From each end of every middle piece a lead goes straight up and straight down its column without meeting an element.
    #[test]
    fn a_middle_piece_has_an_open_column_at_each_end() {
        let (_, courses) = laid(&gable(1344.0, 288.0, 0.5), &job());
        let middle: Vec<&Segment> = courses.segments.iter().filter(|s| s.tag.ends_with("-2")).collect();
        assert_eq!(middle.len(), 18);
        for piece in middle {
            for u in [piece.along.low - 3.0, piece.along.high + 3.0] {
                let met = courses.segments.iter().any(|s| s.face == piece.face && s.along.contains(u));
                assert!(!met, "{} is locked in at {u}", piece.tag);
            }
        }
    }

    /// Hipped L at 6:12: beside the valley each course runs 4.47 in longer than the one below, at a hip as much shorter.
    #[test]
    fn courses_grow_at_the_valley_and_shrink_at_the_hip() {
        let roof = hipped_l();
        let (_, courses) = laid(&roof, &job());
        // F5: hip on its left, valley on its right.
        let runs: Vec<&Run> =
            courses.runs.iter().filter(|r| r.face == FaceId(4) && r.element == ElementRole::Deck).collect();
        assert_eq!(runs.len(), 8);
        for pair in runs.windows(2) {
            assert!((pair[1].along.low - pair[0].along.low - 4.4721).abs() < 1e-3);
            assert!((pair[1].along.high - pair[0].along.high - 4.4721).abs() < 1e-3);
        }
        let kind = |limit: &RunLimit| match limit {
            RunLimit::Edge(edge) => roof.edge(*edge).kind,
            other => panic!("{other:?}"),
        };
        assert!(runs.iter().all(|r| r.limits.each_ref().map(kind) == [EdgeKind::Hip, EdgeKind::Valley]));
        // Lower edge of deck course 1 lies 6 1/8 in up the slope; hip and valley stand 6.125 / 1.1180 = 5.48 in inside the eave's ends there.
        let first = runs[0];
        let on_line = 6.125 / 1.25_f64.sqrt();
        assert!((first.along.low - on_line - 11.63).abs() < 0.005);
        assert!((240.0 + on_line - first.along.high - 8.05).abs() < 0.005);
        let starter = courses.runs.iter().find(|r| r.face == FaceId(4) && r.course == 0).unwrap();
        assert!((starter.along.low - 9.84).abs() < 0.005);
    }

    fn with_skylight(mut roof: Roof, kind: OpeningKind, face: u32, x: (f64, f64), y: (f64, f64)) -> Roof {
        let outline = Region::simple(vec![
            Point2::new(x.0, y.0),
            Point2::new(x.1, y.0),
            Point2::new(x.1, y.1),
            Point2::new(x.0, y.1),
        ]);
        roof.openings.push(PlanOpening {
            id: OpeningId::new(roof.openings.len()),
            kind,
            parts: vec![(FaceId(face), outline.clone())],
            outline,
            origin: OriginId(0),
        });
        roof
    }

    /// A skylight 24 in wide from 20 in of run up: 5 in of flashing and 6 in beyond keep 46 in of the courses beside it free; its keep-out begins
    /// 20 x 1.1180 - 11 = 11.36 in up the slope, so the starter and deck course 1 (top edge 10 1/8 in) pass below it.
    #[test]
    fn a_skylight_near_the_eave_splits_the_courses_beside_it() {
        let roof = with_skylight(gable(480.0, 288.0, 0.5), OpeningKind::Skylight, 0, (200.0, 224.0), (20.0, 60.0));
        let (_, courses) = laid(&roof, &job());
        let counts: Vec<usize> = (0..=8)
            .map(|course| courses.segments.iter().filter(|s| s.face == FaceId(0) && s.course == course).count())
            .collect();
        assert_eq!(counts, [1, 1, 2, 2, 2, 2, 2, 2, 2]);
        let split: Vec<&Run> = courses.runs.iter().filter(|r| r.face == FaceId(0) && r.course == 4).collect();
        assert_eq!((split[0].along.low, split[0].along.high), (6.0, 189.0));
        assert_eq!((split[1].along.low, split[1].along.high), (235.0, 474.0));
        assert_eq!(split[0].limits[1], RunLimit::Opening(OpeningId(0)));
        assert_eq!(split[1].limits[0], RunLimit::Opening(OpeningId(0)));
    }

    /// A vent keeps 4 + 6 in free where a skylight keeps 5 + 6 in.
    #[test]
    fn a_vent_keeps_less_than_a_skylight() {
        let roof = with_skylight(gable(480.0, 288.0, 0.5), OpeningKind::Vent, 0, (200.0, 224.0), (20.0, 60.0));
        let (_, courses) = laid(&roof, &job());
        let left = courses.runs.iter().find(|r| r.face == FaceId(0) && r.course == 4).unwrap();
        assert_eq!(left.along.high, 190.0);
    }

    #[test]
    fn valley_bands_go_on_above_the_eave_on_the_same_lines() {
        let mut job = job();
        job.heat.valleys = true;
        let (zones, courses) = laid(&hipped_l(), &job);
        let valleys: Vec<&Zone> = zones.zones.iter().filter(|z| z.kind == crate::zones::ZoneKind::Valley).collect();
        assert_eq!(valleys.len(), 2);
        for zone in valleys {
            let own: Vec<&Run> = courses.runs.iter().filter(|r| r.zone == zone.id).collect();
            // 40.25 + 24 = 64.25 in: deck courses 9 to 12, top edge 12 x 5 + 5 1/8 = 65 1/8 in.
            assert_eq!(own.iter().map(|r| r.course).collect::<Vec<_>>(), [9, 10, 11, 12]);
            assert_eq!(courses.zones[zone.id.index()].provided_reach, 65.125);
            assert!(zone.continues.is_some());
        }
    }

    /// A shed whose eave jogs up the slope, with a reach past the upper eave: each point belongs to the highest eave below it.
    #[test]
    fn a_concave_face_with_two_eaves_is_laid_without_overlap() {
        let corner = |x: f64, y: f64| Point3::new(x, y, 0.5 * y);
        let roof = crate::roof::fixtures::roof_of(
            &[
                corner(0.0, 0.0),
                corner(200.0, 0.0),
                corner(200.0, 60.0),
                corner(480.0, 60.0),
                corner(480.0, 240.0),
                corner(0.0, 240.0),
            ],
            &[&[0, 1, 2, 3, 4, 5]],
        );
        let mut job = job();
        job.heat.reach = Some(100.0);
        let (zones, courses) = laid(&roof, &job);
        for run in &courses.runs {
            let upper = run.zone == zones.zones[1].id;
            // Beside the jog the lower zone's courses stop 6 in from the rake; above it they stop where the upper eave's begin, an end gap further on.
            let expected = match (upper, run.across.low < 67.0) {
                (false, true) => (6.0, 194.0),
                (false, false) => (6.0, 200.0),
                (true, _) if run.across.low < 100.0 => (206.0, 474.0),
                (true, _) => (200.0, 474.0),
            };
            assert_eq!(run.along.low, expected.0, "{run:?}");
            assert!((run.along.high - expected.1).abs() < 6.0 && run.along.high <= expected.1, "{run:?}");
        }
        assert!(courses.runs.iter().any(|r| r.along.high == 200.0 && r.limits[1] == RunLimit::Zone));
    }

    /// The same shed with the upper eave 60 in of run up: 67.08 in of slope, 2.08 in past a course line. Its starter element lies on its own drip
    /// edge; nails of the first course stand 5 5/8 - 2.08 = 3.54 in above it. Deck course 1 would begin 6 1/8 - 2.08 = 4.04 in up, within 3/8 in
    /// of the starter strip's nails at 4 in, and stays cold; course 2 begins at 11 1/8 - 2.08 = 9.04 in.
    #[test]
    fn an_eave_up_the_slope_is_laid_on_the_lines_of_the_face() {
        let corner = |x: f64, y: f64| Point3::new(x, y, 0.5 * y);
        let shed = |jog: f64| {
            crate::roof::fixtures::roof_of(
                &[
                    corner(0.0, 0.0),
                    corner(200.0, 0.0),
                    corner(200.0, jog),
                    corner(480.0, jog),
                    corner(480.0, 240.0),
                    corner(0.0, 240.0),
                ],
                &[&[0, 1, 2, 3, 4, 5]],
            )
        };
        let (zones, courses) = laid(&shed(60.0), &job());
        let upper = &courses.zones[1];
        assert!((upper.shift + 2.082).abs() < 1e-3);
        let offsets: Vec<f64> = courses.segments.iter().filter(|s| s.zone == upper.zone).map(|s| s.offset).collect();
        assert!(offsets[0].abs() < 1e-9 && (offsets[1] - 9.043).abs() < 1e-3, "{offsets:?}");
        let cold: Vec<u32> = courses.cold.iter().filter(|c| c.zone == upper.zone).map(|c| c.course).collect();
        assert_eq!(cold, [1]);
        assert!(upper.provided_reach >= zones.zones[1].required_reach);
        // Wherever the eave lies between two lines something is laid, and at most two courses are left out.
        for step in 0..40 {
            let roof = shed(40.0 + 0.25 * f64::from(step));
            let zones = crate::zones::zones(&roof, &inches(), &job()).unwrap().value;
            let made = super::courses(&roof, &zones, &job()).unwrap();
            assert_eq!(check::check_invariants(&zones, &made.value, &job()), Vec::<String>::new());
            let refused = made.value.cold.iter().filter(|c| c.zone == made.value.zones[1].zone).count();
            assert!(refused <= 2 && made.value.zones[1].deck_courses >= 8, "{step}: {refused}");
            assert_eq!(made.findings.iter().any(|f| f.code == "uneven-eaves"), refused > 0);
        }
    }

    /// Thin buses: r = 0.04 ohm/ft and g = 0.01 S/ft give k = 0.02 per ft; 2 % is lost at kL = acosh(1 / 0.98) = 0.2014, so at 10.07 ft.
    #[test]
    fn a_piece_ends_where_its_voltage_does() {
        let mut job = job();
        let deck = &mut job.products.deck.value;
        (deck.volts, deck.watts_per_foot, deck.bus_ohms_per_foot) = (100.0, 100.0, 0.04);
        let (_, courses) = laid(&gable(480.0, 288.0, 0.5), &job);
        let longest = courses.segments.iter().map(|s| s.cut_length).fold(0.0, f64::max);
        assert!(longest > 100.0 && longest <= 120.9, "{longest}");
    }

    #[test]
    fn a_run_shorter_than_the_shortest_stays_cold_and_is_listed() {
        let mut job = job();
        job.courses.shortest_run = 460.0;
        let (_, short) = laid(&hipped_l(), &job);
        assert!(short.cold.iter().all(|c| c.along.length() < 460.0) && !short.cold.is_empty());
        assert!(short.runs.iter().all(|r| r.along.length() >= 460.0));
    }
}

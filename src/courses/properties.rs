//! Properties of the zones and courses stages over roofs of many sizes, pitches and shapes.

use super::{Courses, check, courses};
use crate::catalog::Catalogue;
use crate::geometry::{Point2, Point3};
use crate::import::SourceFrame;
use crate::job::Job;
use crate::roof::Roof;
use crate::roof::fixtures::{gable, roof_of};
use crate::units::DrawingUnit;
use crate::zones::zones;
use proptest::prelude::*;

fn job() -> Job {
    Job::with_defaults(&Catalogue::sample()).unwrap()
}

/// Lays a roof out and checks every invariant of both stages.
fn laid(roof: &Roof, job: &Job) -> Courses {
    let frame = SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
    let zones = zones(roof, &frame, job).unwrap().value;
    assert_eq!(crate::zones::check_invariants(roof, &zones), Vec::<String>::new());
    let courses = courses(roof, &zones, job).unwrap().value;
    assert_eq!(check::check_invariants(&zones, &courses, job), Vec::<String>::new());
    courses
}

/// An L with hips at its outer corners and a valley, as in the fixtures but of any size, moved by `map`.
///
/// The main wing is `length` by `width`, the second `wing` wide (no wider than the main) and `reach` long.
fn hipped_l_of(length: f64, width: f64, wing: f64, reach: f64, pitch: f64, map: impl Fn(Point2) -> Point2) -> Roof {
    let (half, quarter) = (width / 2.0, wing / 2.0);
    let at = |x: f64, y: f64, run: f64| {
        let p = map(Point2::new(x, y));
        Point3::new(p.x, p.y, run * pitch)
    };
    let corners = [
        at(length - wing, -reach, 0.0),
        at(length, -reach, 0.0),
        at(length, width, 0.0),
        at(0.0, width, 0.0),
        at(0.0, 0.0, 0.0),
        at(length - wing, 0.0, 0.0),
        at(length - quarter, -reach + quarter, quarter),
        at(length - quarter, quarter, quarter),
        at(length - half, half, half),
        at(half, half, half),
    ];
    let faces: [&[usize]; 6] =
        [&[0, 1, 6], &[1, 2, 8, 7, 6], &[2, 3, 9, 8], &[3, 4, 9], &[4, 5, 7, 8, 9], &[5, 0, 6, 7]];
    // A mirroring map turns the rings over.
    let turned = map(Point2::new(1.0, 0.0)) - map(Point2::new(0.0, 0.0));
    let other = map(Point2::new(0.0, 1.0)) - map(Point2::new(0.0, 0.0));
    let rings: Vec<Vec<usize>> = faces
        .iter()
        .map(|ring| if turned.cross(other) > 0.0 { ring.to_vec() } else { ring.iter().rev().copied().collect() })
        .collect();
    let rings: Vec<&[usize]> = rings.iter().map(Vec::as_slice).collect();
    roof_of(&corners, &rings)
}

fn lengths(courses: &Courses) -> Vec<f64> {
    let mut lengths: Vec<f64> = courses.segments.iter().map(|s| s.cut_length).collect();
    lengths.sort_by(f64::total_cmp);
    lengths
}

fn run_total(courses: &Courses) -> f64 {
    courses.runs.iter().map(|r| r.along.length()).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_wider_setback_never_lengthens_a_run(
        length in 300.0..1600.0f64, width in 150.0..500.0f64, rise in 2.0..21.0f64, setback in 6.0..20.0f64, more in 0.0..10.0f64,
    ) {
        let roof = gable(length, width, rise / 12.0);
        let with = |setback: f64| {
            let mut job = job();
            job.heat.outer_setback = setback;
            job.heat.ridge_setback = setback;
            laid(&roof, &job)
        };
        let (near, far) = (with(setback), with(setback + more));
        for run in &far.runs {
            let wider = near.runs.iter().any(|r| {
                r.face == run.face && r.course == run.course
                    && r.along.low <= run.along.low + 1e-9 && r.along.high >= run.along.high - 1e-9
            });
            prop_assert!(wider, "{run:?}");
        }
        prop_assert!(run_total(&far) <= run_total(&near) + 1e-6);
    }

    #[test]
    fn a_higher_reach_never_loses_a_run(
        wing in 150.0..280.0f64, reach in 100.0..400.0f64, rise in 2.0..18.0f64, height in 10.0..80.0f64, more in 0.0..60.0f64,
    ) {
        let roof = hipped_l_of(560.0, 290.0, wing, reach, rise / 12.0, |p| p);
        let with = |height: f64| {
            let mut job = job();
            job.heat.reach = Some(height);
            laid(&roof, &job)
        };
        let (low, high) = (with(height), with(height + more));
        for run in &low.runs {
            prop_assert!(high.runs.iter().any(|r| r.face == run.face && r.along == run.along && r.across == run.across));
        }
        prop_assert!(high.segments.len() >= low.segments.len());
    }

    #[test]
    fn a_mirrored_or_turned_roof_is_cut_alike(
        length in 500.0..2000.0f64, wing in 150.0..280.0f64, reach in 150.0..400.0f64, rise in 3.0..14.0f64, angle in 0.0..std::f64::consts::TAU,
    ) {
        let mut job = job();
        job.heat.valleys = true;
        // Sizes in sixteenths: a length that falls between two cuts by rounding alone would tell nothing.
        let sixteenth = |x: f64| (x * 16.0).round() / 16.0;
        let (length, wing, reach) = (sixteenth(length), sixteenth(wing), sixteenth(reach));
        let (s, c) = (crate::geometry::trig::sin(angle), crate::geometry::trig::cos(angle));
        let build = |map: &dyn Fn(Point2) -> Point2| laid(&hipped_l_of(length, 290.0, wing, reach, rise / 12.0, map), &job);
        let plain = build(&|p| p);
        let mirrored = build(&|p| Point2::new(-p.x, p.y));
        let turned = build(&|p| Point2::new(c * p.x - s * p.y + 1000.0, s * p.x + c * p.y - 300.0));
        prop_assert_eq!(lengths(&plain), lengths(&mirrored));
        prop_assert_eq!(lengths(&plain), lengths(&turned));
    }

    #[test]
    fn invariants_hold_with_valleys_and_narrow_limits(
        length in 500.0..2600.0f64, wing in 100.0..280.0f64, reach in 60.0..700.0f64, rise in 2.0..21.0f64,
        longest in 120.0..600.0f64, shortest in 12.0..40.0f64, height in 20.0..200.0f64, width in 12.0..80.0f64,
    ) {
        let mut job = job();
        job.heat.valleys = true;
        job.heat.valley_height = Some(height);
        job.heat.valley_width = width;
        job.courses.longest_piece = longest;
        job.courses.shortest_run = shortest;
        laid(&hipped_l_of(length, 290.0, wing, reach, rise / 12.0, |p| p), &job);
    }
}

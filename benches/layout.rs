//! Zones, courses and wiring of gables with ever longer eaves, where time must grow nearly with the length, and of whole houses.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavesdraft::catalog::Catalogue;
use eavesdraft::job::{Job, Work};
use eavesdraft::pipeline::survey;
use std::hint::black_box;

/// A gable 24 ft wide with eaves of so many feet.
fn gable(feet: u32) -> Vec<u8> {
    let (l, w) = (12.0 * f64::from(feet), 288.0);
    let lines = [
        [(0.0, 0.0), (l, 0.0)],
        [(l, 0.0), (l, w)],
        [(l, w), (0.0, w)],
        [(0.0, w), (0.0, 0.0)],
        [(0.0, 0.5 * w), (l, 0.5 * w)],
    ];
    let line = |[a, b]: [(f64, f64); 2]| {
        format!("  0\nLINE\n  8\nA-ROOF\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n", a.0, a.1, b.0, b.1)
    };
    let entities = lines.map(line).concat();
    format!("  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n").into_bytes()
}

fn layout(c: &mut Criterion) {
    let mut job = Job::with_defaults(&Catalogue::sample()).expect("the sample catalogue is whole");
    job.drawing.units = Some(eavesdraft::units::DrawingUnit::Inches);
    for stage in ["zones and courses", "wiring"] {
        let mut group = c.benchmark_group(stage);
        group.sample_size(10);
        for feet in [100, 200, 500, 1000, 2000] {
            let survey = survey(&gable(feet), &job).expect("a gable");
            let (roof, frame) = (&survey.roof, &survey.linework.frame);
            let laid = || {
                let zones = eavesdraft::zones::zones(roof, frame, &job).expect("shingles").value;
                let courses = eavesdraft::courses::courses(roof, &zones, &job).expect("nails fit").value;
                (zones, courses)
            };
            group.throughput(Throughput::Elements(u64::from(feet)));
            let (zones, courses) = laid();
            group.bench_function(BenchmarkId::from_parameter(feet), |b| match stage {
                "wiring" => b.iter(|| {
                    drop(black_box(eavesdraft::wiring::wiring(roof, &zones, &courses, frame, black_box(&job))));
                }),
                _ => b.iter(|| drop(black_box(laid()))),
            });
        }
        group.finish();
    }
}

/// So many hipped L houses of six faces each, 100 ft apart.
fn hipped_ls(houses: u32) -> Vec<u8> {
    let corners: [(f64, f64); 10] = [
        (288.0, -216.0),
        (528.0, -216.0),
        (528.0, 288.0),
        (0.0, 288.0),
        (0.0, 0.0),
        (288.0, 0.0),
        (408.0, -96.0),
        (408.0, 120.0),
        (384.0, 144.0),
        (144.0, 144.0),
    ];
    let outline = (0..6).map(|i| (i, (i + 1) % 6));
    let folds = [(0, 6), (1, 6), (6, 7), (5, 7), (7, 8), (2, 8), (8, 9), (3, 9), (4, 9)];
    let lines: Vec<(usize, usize)> = outline.chain(folds).collect();
    let mut entities = String::new();
    for house in 0..houses {
        let (right, up) = (1200.0 * f64::from(house % 6), 1200.0 * f64::from(house / 6));
        for &(a, b) in &lines {
            let (a, b) = (corners[a], corners[b]);
            entities += &format!(
                "  0\nLINE\n  8\nA-ROOF\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n",
                a.0 + right,
                a.1 + up,
                b.0 + right,
                b.1 + up
            );
        }
    }
    format!("  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n").into_bytes()
}

/// The outline of one hipped house of 20 faces: a hall of 80 ft by 24 ft, one corner cut off, with five wings of 10 ft by 12 ft.
fn comb() -> Vec<u8> {
    let mut corners = vec![(960.0, 288.0), (72.0, 288.0), (0.0, 216.0), (0.0, 0.0)];
    for wing in 0..5 {
        let left = 36.0 + 190.0 * f64::from(wing);
        corners.extend([(left, 0.0), (left, -144.0), (left + 120.0, -144.0), (left + 120.0, 0.0)]);
    }
    corners.push((960.0, 0.0));
    let mut entities = String::new();
    for (at, a) in corners.iter().enumerate() {
        let b = corners[(at + 1) % corners.len()];
        entities +=
            &format!("  0\nLINE\n  8\nA-ROOF\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n", a.0, a.1, b.0, b.1);
    }
    format!("  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n").into_bytes()
}

/// Zones, courses and wiring together on one house of 20 faces, on 24 between hips and valleys, as new roof and as retrofit.
fn houses(c: &mut Criterion) {
    let mut group = c.benchmark_group("houses");
    group.sample_size(10);
    for (name, work) in [("new roof", Work::NewRoof), ("retrofit", Work::Retrofit)] {
        let plans = [("one house", 20, comb()), ("houses", 24, hipped_ls(4)), ("houses", 204, hipped_ls(34))];
        for (what, faces, plan) in plans {
            let mut job = Job::with_defaults(&Catalogue::sample()).expect("the sample catalogue is whole");
            job.drawing.units = Some(eavesdraft::units::DrawingUnit::Inches);
            job.roof.work.value = work;
            job.roof.default_pitch.given = true;
            let survey = survey(&plan, &job).expect("hipped roofs");
            let (roof, frame) = (&survey.roof, &survey.linework.frame);
            assert_eq!(roof.faces.len(), faces);
            group.throughput(Throughput::Elements(faces as u64));
            group.bench_function(BenchmarkId::new(format!("{name}, {what}"), faces), |b| {
                b.iter(|| {
                    let zones = eavesdraft::zones::zones(roof, frame, &job).expect("shingles").value;
                    let courses = eavesdraft::courses::courses(roof, &zones, &job).expect("nails fit").value;
                    drop(black_box(eavesdraft::wiring::wiring(roof, &zones, &courses, frame, black_box(&job))));
                });
            });
        }
    }
    group.finish();
}

criterion_group!(benches, layout, houses);
criterion_main!(benches);

//! Zones, courses and wiring of gables with ever longer eaves: time must grow nearly with the length.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
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

criterion_group!(benches, layout);
criterion_main!(benches);

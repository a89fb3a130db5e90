//! The planar graph of many lines: time must grow like n log n.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavesdraft::geometry::Point3;
use eavesdraft::import::{DrawingReport, Linework, Origin, Path, Role, SourceFrame};
use eavesdraft::index::{OriginId, PathId};
use eavesdraft::job::DrawingSettings;
use eavesdraft::plan::plan;
use eavesdraft::units::DrawingUnit;
use std::collections::BTreeMap;
use std::hint::black_box;

fn linework(lines: impl Iterator<Item = [(f64, f64); 2]>) -> Linework {
    let paths = lines
        .enumerate()
        .map(|(id, ends)| Path {
            id: PathId::new(id),
            points: ends.map(|(x, y)| Point3::new(x, y, 0.0)).to_vec(),
            closed: false,
            role: Role::Roof,
            origin: OriginId(0),
            group: None,
        })
        .collect();
    Linework {
        frame: SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) },
        drawing: DrawingReport {
            version: String::new(),
            code_page: String::new(),
            header_units: None,
            units_evidence: String::new(),
            entities: BTreeMap::new(),
            candidates: Vec::new(),
        },
        paths,
        facets: Vec::new(),
        notes: Vec::new(),
        arrows: Vec::new(),
        origins: vec![Origin::default()],
    }
}

/// Roofs of five lines (a gable) on a grid, about `count` lines in all; none cross.
fn apart(count: u32) -> Linework {
    let side = f64::from(count / 7).sqrt().ceil() as u32;
    linework((0..count / 7).flat_map(move |roof| {
        let (x, y) = (f64::from(roof % side) * 600.0, f64::from(roof / side) * 400.0);
        let at = move |dx: f64, dy: f64| (x + dx, y + dy);
        [
            [at(0.0, 0.0), at(480.0, 0.0)],
            [at(480.0, 0.0), at(480.0, 144.0)],
            [at(480.0, 144.0), at(480.0, 288.0)],
            [at(480.0, 288.0), at(0.0, 288.0)],
            [at(0.0, 288.0), at(0.0, 144.0)],
            [at(0.0, 144.0), at(0.0, 0.0)],
            [at(0.0, 144.0), at(480.0, 144.0)],
        ]
    }))
}

/// Steps of a large grid, each line crossing four others: a hash of two pairs of lines in every cell.
fn crossing(count: u32) -> Linework {
    let side = f64::from(count / 4).sqrt().ceil() as u32;
    linework((0..count / 4).flat_map(move |cell| {
        let (x, y) = (f64::from(cell % side) * 400.0, f64::from(cell / side) * 400.0);
        let at = move |dx: f64, dy: f64| (x + dx, y + dy);
        [
            [at(0.0, 100.0), at(300.0, 100.0)],
            [at(0.0, 200.0), at(300.0, 200.0)],
            [at(100.0, 0.0), at(100.0, 300.0)],
            [at(200.0, 0.0), at(200.0, 300.0)],
        ]
    }))
}

fn planar(c: &mut Criterion) {
    let settings =
        DrawingSettings { units: None, roof_layers: Vec::new(), gap_tolerance: 0.5, opening_area_limit: 8640.0 };
    let mut group = c.benchmark_group("planar graph");
    group.sample_size(10);
    for (name, make, counts) in [
        ("no crossings", apart as fn(u32) -> Linework, [25_000, 50_000, 100_000]),
        ("crossings", crossing, [5_000, 10_000, 20_000]),
    ] {
        for count in counts {
            let lines = make(count);
            group.throughput(Throughput::Elements(u64::from(count)));
            group.bench_with_input(BenchmarkId::new(name, count), &lines, |b, lines| {
                b.iter(|| plan(black_box(lines), &settings).expect("the lines make a plan"));
            });
        }
    }
    group.finish();
}

criterion_group!(benches, planar);
criterion_main!(benches);

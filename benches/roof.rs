//! Lifting a plan without heights: hipped wings in a row, and the faces they make.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use eavesdraft::catalog::Catalogue;
use eavesdraft::geometry::Point3;
use eavesdraft::import::{DrawingReport, Linework, Origin, Path, Role, SourceFrame};
use eavesdraft::index::{OriginId, PathId};
use eavesdraft::job::Job;
use eavesdraft::plan::{PlanGraph, plan};
use eavesdraft::roof::roof;
use eavesdraft::units::DrawingUnit;
use std::collections::BTreeMap;
use std::hint::black_box;

fn frame() -> SourceFrame {
    SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) }
}

/// A main roof 288 in deep, hipped at both ends, with hipped wings of 192 by 240 in towards -y every 480 in: 4 + 3 faces a
/// wing, all at one pitch.
fn comb(wings: u32) -> Vec<[(f64, f64); 2]> {
    let length = 480.0 * f64::from(wings) + 48.0;
    let (depth, ridge) = (288.0, 144.0);
    let mut lines = vec![
        [(0.0, 0.0), (0.0, depth)],
        [(0.0, depth), (length, depth)],
        [(length, depth), (length, 0.0)],
        [(0.0, 0.0), (ridge, ridge)],
        [(0.0, depth), (ridge, ridge)],
        [(length, 0.0), (length - ridge, ridge)],
        [(length, depth), (length - ridge, ridge)],
        [(ridge, ridge), (length - ridge, ridge)],
    ];
    let mut from = 0.0;
    for wing in 0..wings {
        let left = 480.0 * f64::from(wing) + 168.0;
        let (right, out, half) = (left + 192.0, -240.0, 96.0);
        let middle = left + half;
        lines.extend([
            [(from, 0.0), (left, 0.0)],
            [(left, 0.0), (left, out)],
            [(left, out), (right, out)],
            [(right, out), (right, 0.0)],
            [(left, out), (middle, out + half)],
            [(right, out), (middle, out + half)],
            [(middle, out + half), (middle, half)],
            [(left, 0.0), (middle, half)],
            [(right, 0.0), (middle, half)],
        ]);
        from = right;
    }
    lines.push([(from, 0.0), (length, 0.0)]);
    lines
}

fn graph(lines: Vec<[(f64, f64); 2]>, job: &Job) -> PlanGraph {
    let paths = lines
        .into_iter()
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
    let linework = Linework {
        frame: frame(),
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
    };
    plan(&linework, &job.drawing).expect("the lines make a plan").value
}

fn lifting(c: &mut Criterion) {
    let job = Job::with_defaults(&Catalogue::sample()).expect("the defaults make a job");
    let mut group = c.benchmark_group("roof from lines");
    group.sample_size(10);
    for wings in [2, 8, 32] {
        let plan = graph(comb(wings), &job);
        group.bench_with_input(BenchmarkId::new("faces", plan.faces.len()), &plan, |b, plan| {
            b.iter(|| roof(black_box(plan), &frame(), &job.roof).expect("the plan makes a roof"));
        });
    }
    group.finish();
}

criterion_group!(benches, lifting);
criterion_main!(benches);

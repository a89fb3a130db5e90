//! A whole draft of a sample house and of a roof of 20 faces in memory: all files' bytes, and the parts that the time goes to; and drawings of many roofs, where
//! time must grow with their number.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
use eavesdraft::{pipeline, sheet, write};
use std::hint::black_box;
use std::path::Path;

/// Plan and job of the L-shaped sample with hips, a valley and a skylight: six faces.
fn sample() -> (Vec<u8>, Job) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/hipped-l");
    let read = |name: &str| std::fs::read(folder.join(name)).expect("the sample is in the repository");
    let text = String::from_utf8(read("job.toml")).expect("the sample's job is text");
    let job = Job::from_toml(&text, &Catalogue::sample()).expect("the sample's job is right").value;
    (read("plan.dxf"), job)
}

/// A building 180 ft long with five wings of 20 ft by 14 ft, given as an outline of 20 sides and roofed over with equal hips: 20 faces, all heated.
fn wings() -> (Vec<u8>, Job) {
    let mut corners = vec![(0.0, 0.0), (2160.0, 0.0)];
    for wing in (0..5).rev() {
        let left = 480.0 * f64::from(wing);
        corners.extend([(left + 240.0, 456.0), (left, 456.0)]);
        if wing > 0 {
            corners.extend([(left, 288.0), (left - 240.0, 288.0)]);
        }
    }
    let points: String = corners.iter().map(|(x, y)| format!(" 10\n{x:?}\n 20\n{y:?}\n")).collect();
    let outline = format!("  0\nLWPOLYLINE\n  8\nA-ROOF\n 90\n{}\n 70\n1\n{points}", corners.len());
    let plan = format!("  0\nSECTION\n  2\nENTITIES\n{outline}  0\nENDSEC\n  0\nEOF\n").into_bytes();
    let text = "[drawing]\nunits = \"inches\"\n[roof]\ndefault_pitch = \"6:12\"\n";
    (plan, Job::from_toml(text, &Catalogue::sample()).expect("the job is right").value)
}

fn drafting(c: &mut Criterion) {
    stages(c, "drafting", sample());
    stages(c, "drafting 20 faces", wings());
}

fn stages(c: &mut Criterion, name: &str, (plan, job): (Vec<u8>, Job)) {
    let read = || pipeline::survey(black_box(&plan), &job).expect("the sample is a roof");
    let survey = read();
    let lay_out = || pipeline::lay_out(survey.clone(), job.clone()).expect("the sample can be laid out");
    let project = lay_out();
    let set = sheet::sheets(&project).value;
    let files = || write::project_files(&project, black_box(&set)).expect("the sample can be written");
    let mut group = c.benchmark_group(name);
    group.sample_size(20);
    group.bench_function("survey", |b| b.iter(read));
    group.bench_function("layout", |b| b.iter(lay_out));
    group.bench_function("sheets", |b| b.iter(|| sheet::sheets(black_box(&project))));
    group.bench_function("files", |b| b.iter(files));
    group.bench_function("whole", |b| {
        b.iter(|| {
            let project = pipeline::lay_out(read(), job.clone()).expect("the sample can be laid out");
            let set = sheet::sheets(&project).value;
            write::project_files(&project, &set).expect("the sample can be written")
        });
    });
    group.finish();
}

/// So many gables of 40 ft by 24 ft on one drawing, ten to a row.
fn gables(roofs: u32) -> Vec<u8> {
    let mut entities = String::new();
    for roof in 0..roofs {
        let (x, y) = (720.0 * f64::from(roof % 10), 600.0 * f64::from(roof / 10));
        let corners = [(x, y), (x + 480.0, y), (x + 480.0, y + 288.0), (x, y + 288.0)];
        let sides = (0..4).map(|i| (corners[i], corners[(i + 1) % 4]));
        let ridge = ((x, y + 144.0), (x + 480.0, y + 144.0));
        for (a, b) in sides.chain([ridge]) {
            entities +=
                &format!("  0\nLINE\n  8\nA-ROOF\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n", a.0, a.1, b.0, b.1);
        }
    }
    format!("  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n").into_bytes()
}

/// All files of drawings of 50, 100 and 200 roofs.
fn many_roofs(c: &mut Criterion) {
    let mut job = Job::with_defaults(&Catalogue::sample()).expect("the sample catalogue is whole");
    job.drawing.units = Some(eavesdraft::units::DrawingUnit::Inches);
    let mut group = c.benchmark_group("many roofs");
    group.sample_size(10);
    for roofs in [50, 100, 200] {
        let plan = gables(roofs);
        group.throughput(Throughput::Elements(u64::from(roofs)));
        group.bench_function(BenchmarkId::from_parameter(roofs), |b| {
            b.iter(|| {
                let survey = pipeline::survey(black_box(&plan), &job).expect("gables");
                let project = pipeline::lay_out(survey, job.clone()).expect("gables can be laid out");
                let set = sheet::sheets(&project).value;
                write::project_files(&project, &set).expect("gables can be written")
            });
        });
    }
    group.finish();
}

criterion_group!(benches, drafting, many_roofs);
criterion_main!(benches);

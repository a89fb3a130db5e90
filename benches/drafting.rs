//! A whole draft of a sample house in memory: all its files' bytes, and the parts that the time goes to.

use criterion::{Criterion, criterion_group, criterion_main};
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

fn drafting(c: &mut Criterion) {
    let (plan, job) = sample();
    let read = || pipeline::survey(black_box(&plan), &job).expect("the sample is a roof");
    let survey = read();
    let lay_out = || pipeline::lay_out(survey.clone(), job.clone()).expect("the sample can be laid out");
    let project = lay_out();
    let set = sheet::sheets(&project).value;
    let files = || write::project_files(&project, black_box(&set)).expect("the sample can be written");
    let mut group = c.benchmark_group("drafting");
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

criterion_group!(benches, drafting);
criterion_main!(benches);

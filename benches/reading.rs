//! Reading a drawing against splitting its lines and parsing its numbers, the least any reader must do.

mod drawings;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use eavesdraft::import::import;
use eavesdraft::job::DrawingSettings;
use std::hint::black_box;

const MB: usize = 1 << 20;

/// Sums every number so that no parsing can be left out: codes, and values of the codes that hold numbers (DXF reference, Group Codes).
fn split_and_parse(bytes: &[u8]) -> f64 {
    let (mut sum, mut start, mut code) = (0.0, 0, None);
    for end in memchr::memchr_iter(b'\n', bytes) {
        let line = std::str::from_utf8(bytes[start..end].trim_ascii()).unwrap_or("");
        start = end + 1;
        match code.take() {
            None => code = Some(line.parse::<i32>().expect("our own drawing reads")),
            Some(10..=59 | 110..=149 | 210..=239) => sum += line.parse::<f64>().expect("our own drawing reads"),
            Some(60..=99 | 170..=179 | 270..=289) => sum += line.parse::<i64>().expect("our own drawing reads") as f64,
            Some(_) => {}
        }
    }
    sum
}

fn reading(c: &mut Criterion) {
    let settings =
        DrawingSettings { units: None, roof_layers: Vec::new(), gap_tolerance: 0.5, opening_area_limit: 8640.0 };
    let mut group = c.benchmark_group("reading");
    group.sample_size(10);
    for size in [25, 50, 100] {
        let bytes = drawings::drawing(size * MB);
        group.throughput(Throughput::Bytes(bytes.len() as u64));
        group.bench_with_input(BenchmarkId::new("split and parse", size), &bytes, |b, bytes| {
            b.iter(|| split_and_parse(black_box(bytes)));
        });
        group.bench_with_input(BenchmarkId::new("import", size), &bytes, |b, bytes| {
            b.iter(|| import(black_box(bytes), &settings).expect("our own drawing reads"));
        });
    }
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);

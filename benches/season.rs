//! A year of weather through the control, reading the file, and the cutting plan of a large job with its gap.

use criterion::{Criterion, criterion_group, criterion_main};
use eavesdraft::takeoff::cutting_gap;
use eavesdraft::thermal::{Control, Power, Weather, seasons};
use std::hint::black_box;

/// A made-up year: cold winters, snow that lies, a fall every few days.
fn year() -> String {
    let mut text = format!("LOCATION,Bench{}\n", "\n".repeat(7));
    for hour in 0..8760_u32 {
        let (day, of_day) = (hour / 24, hour % 24);
        let month = day * 12 / 365 + 1;
        let season = (i64::from(day) - 200).abs() as f64 / 182.0;
        let air = 25.0 - 35.0 * season + f64::from(of_day % 12) * 0.4;
        let snow = if air < 0.0 && day % 9 < 6 { 12 } else { 0 };
        let falls = if hour % 37 < 4 { 0.6 } else { 0.0 };
        text += &format!(
            "2001,{month},{},{},60,?9,{air:.1},99.9,999,999999,9999,9999,9999,9999,9999,9999,999999,999999,999999,9999,999,999,\
             99,99,9999,99999,9,999999999,999,.999,{snow},99,999,{falls:.1},1.0\n",
            day % 28 + 1,
            of_day + 1
        );
    }
    text
}

fn bench(c: &mut Criterion) {
    let text = year();
    let weather = Weather::from_epw(&text).expect("a year");
    let control = Control { on_below: 38.0, hold_on: 3, low_cut_out: Some(0.0) };
    c.bench_function("season of 8760 hours, both sensings", |b| {
        b.iter(|| seasons(black_box(&weather), &control, &Power::constant(8000.0), Some(0.2)));
    });
    c.bench_function("reading a weather file", |b| b.iter(|| Weather::from_epw(black_box(&text)).expect("a year")));
    // Three hundred pieces of 4 to 50 ft in steps of half an inch, by a fixed sequence.
    let mut state = 12_345_u64;
    let lengths: Vec<f64> = (0..300)
        .map(|_| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            48.0 + 0.5 * ((state >> 33) % 1105) as f64
        })
        .collect();
    let (rolls, bound) = cutting_gap(&lengths, 3000.0, 0.125);
    eprintln!("cutting plan of 300 pieces: {rolls} rolls, bound {bound}, gap {}", rolls - bound);
    let mut group = c.benchmark_group("cutting plan");
    group.sample_size(10);
    group.bench_function("300 pieces", |b| b.iter(|| cutting_gap(black_box(&lengths), 3000.0, 0.125)));
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);

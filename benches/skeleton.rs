//! Straight skeletons: random outlines and combs of 10 to 10,000 corners, and 144 outlines like houses.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use eavesdraft::geometry::{self, Point2};
use eavesdraft::skeleton::{Outline, OutlineRing, Rise, straight_skeleton};
use std::hint::black_box;

mod ring {
    //! The generator of the unit tests' random rings.
    use super::geometry::{Point2, Side, side_of_line};

    include!("../src/skeleton/random_ring.rs");
}

fn alike(points: Vec<Point2>) -> Outline {
    let rises = vec![Rise::new(1.0); points.len()];
    Outline { rings: vec![OutlineRing { points, rises }] }
}

fn random(corners: usize) -> Outline {
    alike(ring::random_ring(&mut ring::Rng(7), corners))
}

/// A spine with teeth of uneven lengths, four corners each.
fn comb(corners: usize) -> Outline {
    let teeth = (corners / 4).max(2);
    let mut random = ring::Rng(11);
    let mut points = vec![Point2::new(0.0, 0.0), Point2::new(2.0 * teeth as f64, 0.0)];
    for tooth in (0..teeth).rev() {
        let (x, top) = (2.0 * tooth as f64, 6.0 + 3.0 * random.share());
        let right = if tooth + 1 == teeth { x + 2.0 } else { x + 1.2 };
        let foot = if tooth + 1 == teeth { None } else { Some(Point2::new(right, 2.0)) };
        points.extend(foot);
        points.extend([Point2::new(right, top), Point2::new(x, top)]);
        if tooth > 0 {
            points.push(Point2::new(x, 2.0));
        }
    }
    alike(points)
}

/// A house: a rectangle, an L or a T of random size and turn, in inches.
fn house(random: &mut ring::Rng) -> Outline {
    let (length, width) = (360.0 + 300.0 * random.share(), 240.0 + 120.0 * random.share());
    let (left, wing, depth) = (length * 0.2, length * 0.3, 100.0 + 150.0 * random.share());
    let kind = random.share();
    let mut corners = vec![(0.0, 0.0), (length, 0.0), (length, width)];
    if kind < 0.4 {
        corners.extend([(wing, width), (wing, width + depth), (0.0, width + depth)]);
    } else if kind < 0.8 {
        let right = left + wing;
        corners.extend([(right, width), (right, width + depth), (left, width + depth), (left, width), (0.0, width)]);
    } else {
        corners.push((0.0, width));
    }
    let slope = random.share();
    let scale = (1.0 + slope * slope).sqrt();
    let turned = corners.iter().map(|&(x, y)| Point2::new((x - slope * y) / scale, (slope * x + y) / scale));
    alike(turned.collect())
}

fn skeletons(c: &mut Criterion) {
    let mut group = c.benchmark_group("straight skeleton");
    group.sample_size(10);
    for (name, make) in [("random", random as fn(usize) -> Outline), ("comb", comb)] {
        for corners in [10, 100, 1000, 10_000] {
            let outline = make(corners);
            group.bench_with_input(BenchmarkId::new(name, corners), &outline, |b, outline| {
                b.iter(|| straight_skeleton(black_box(outline)).expect("the outline has a roof"));
            });
        }
    }
    let mut random = ring::Rng(5);
    let houses: Vec<Outline> = (0..144).map(|_| house(&mut random)).collect();
    group.bench_function("144 houses", |b| {
        b.iter(|| {
            for outline in &houses {
                black_box(straight_skeleton(black_box(outline)).expect("the house has a roof"));
            }
        });
    });
    group.finish();
}

criterion_group!(benches, skeletons);
criterion_main!(benches);

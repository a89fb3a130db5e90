//! Known optima, exhaustive search and properties.

use super::*;
use proptest::prelude::*;

/// Rolls, bound and rolls by first fit for whole-unit pieces, without kerf.
fn solved(roll: f64, pieces: &[(f64, usize)]) -> (usize, usize) {
    let lengths: Vec<f64> = pieces.iter().flat_map(|(length, count)| std::iter::repeat_n(*length, *count)).collect();
    let made = cutting(&lengths, roll, 0.0);
    sound(&made, &lengths, roll, 0.0);
    (made.rolls.len(), made.bound)
}

/// Every piece on just one roll, no roll over its length, and never fewer rolls than the bound.
fn sound(made: &Cutting, lengths: &[f64], roll: f64, kerf: f64) {
    let mut seen: Vec<usize> = made.rolls.iter().flatten().chain(&made.too_long).copied().collect();
    seen.sort_unstable();
    assert_eq!(seen, (0..lengths.len()).collect::<Vec<_>>());
    for pieces in &made.rolls {
        assert!(!pieces.is_empty());
        let used: f64 = pieces.iter().map(|&at| lengths[at]).sum::<f64>() + kerf * (pieces.len() - 1) as f64;
        assert!(used <= roll + 1e-6, "{used} on a roll of {roll}");
    }
    assert!(made.rolls.len() >= made.bound, "{} rolls, bound {}", made.rolls.len(), made.bound);
}

/// FACTS 6: Chvatal, Linear Programming (1983) page 195: LP 452.25, 453 rolls.
#[test]
fn chvatal_453() {
    assert_eq!(solved(100.0, &[(45.0, 97), (36.0, 610), (31.0, 395), (14.0, 211)]), (453, 453));
}

/// FACTS 6: the paper-roll example of the encyclopaedia's cutting-stock article: 73 rolls, waste 0.4012 %.
#[test]
fn paper_rolls_73() {
    let pieces = [
        (1380.0, 22),
        (1520.0, 25),
        (1560.0, 12),
        (1710.0, 14),
        (1820.0, 18),
        (1880.0, 18),
        (1930.0, 20),
        (2000.0, 10),
        (2050.0, 12),
        (2100.0, 14),
        (2140.0, 16),
        (2150.0, 18),
        (2200.0, 20),
    ];
    assert_eq!(solved(5600.0, &pieces), (73, 73));
    let total: f64 = pieces.iter().map(|(l, n)| l * *n as f64).sum();
    assert!((100.0 * (1.0 - total / (73.0 * 5600.0)) - 0.4012).abs() < 5e-5);
}

/// FACTS 6: OR-Library binpack1, u120_00: 48; longest first takes 49. The items are recalled; their number and sum are the file's.
#[test]
fn binpack_u120_48() {
    let items: [u32; 120] = [
        42, 69, 67, 57, 93, 90, 38, 36, 45, 42, 33, 79, 27, 57, 44, 84, 86, 92, 46, 38, 85, 33, 82, 73, 49, 70, 59, 23,
        57, 72, 74, 69, 33, 42, 28, 46, 30, 64, 29, 74, 41, 49, 55, 98, 80, 32, 25, 38, 82, 30, 35, 39, 57, 84, 62, 50,
        55, 27, 30, 36, 20, 78, 47, 26, 45, 41, 58, 98, 91, 96, 73, 84, 37, 93, 91, 43, 73, 85, 81, 79, 71, 80, 76, 83,
        41, 78, 70, 23, 42, 87, 43, 84, 60, 55, 49, 78, 73, 62, 36, 44, 94, 69, 32, 96, 70, 84, 58, 78, 25, 80, 58, 66,
        83, 24, 98, 60, 42, 43, 43, 39,
    ];
    assert_eq!(items.iter().sum::<u32>(), 7078);
    let pieces: Vec<(f64, usize)> = items.iter().map(|i| (f64::from(*i), 1)).collect();
    assert_eq!(solved(150.0, &pieces), (48, 48));
}

/// FACTS 6: the three small cases of our own: 10, 8 and 18 rolls.
#[test]
fn small_10_8_18() {
    assert_eq!(solved(600.0, &[(600.0, 2), (450.0, 3), (312.0, 4), (288.0, 4), (150.0, 5)]), (10, 10));
    assert_eq!(solved(600.0, &[(444.0, 3), (300.0, 4), (222.0, 5), (151.0, 6)]), (8, 8));
    assert_eq!(solved(9.0, &[(4.0, 20), (3.0, 10), (2.0, 20)]), (18, 18));
}

/// By hand: 250 ft rolls. Eighteen pieces of 39 ft go six to a roll. With a kerf of 1/8 in five 50 ft pieces no longer fit one roll,
/// and two halves of a roll no longer one; a piece as long as the roll still does.
#[test]
fn kerf_by_hand() {
    assert_eq!(cutting(&[468.0; 18], 3000.0, 0.125).rolls.len(), 3);
    assert_eq!(cutting(&[600.0; 5], 3000.0, 0.0).rolls.len(), 1);
    assert_eq!(cutting(&[600.0; 5], 3000.0, 0.125).rolls.len(), 2);
    assert_eq!(cutting(&[1500.0; 2], 3000.0, 0.125).rolls.len(), 2);
    assert_eq!(cutting(&[1499.9375; 2], 3000.0, 0.125).rolls.len(), 1);
    assert_eq!(cutting(&[3000.0], 3000.0, 0.125).rolls.len(), 1);
    assert_eq!(cutting(&[], 3000.0, 0.125), Cutting::default());
    assert_eq!(cutting(&[4000.0, 100.0], 3000.0, 0.125).too_long, [0]);
}

/// The independent route: every piece on every open roll or a new one.
fn exhaustive(lengths: &[u32], roll: u32) -> usize {
    fn go(lengths: &[u32], left: &mut Vec<u32>, roll: u32, best: &mut usize) {
        let Some((first, rest)) = lengths.split_first() else {
            *best = (*best).min(left.len());
            return;
        };
        if left.len() >= *best {
            return;
        }
        for at in 0..left.len() {
            if left[at] >= *first {
                left[at] -= first;
                go(rest, left, roll, best);
                left[at] += first;
            }
        }
        left.push(roll - first);
        go(rest, left, roll, best);
        left.pop();
    }
    let mut best = lengths.len();
    go(lengths, &mut Vec::new(), roll, &mut best);
    best
}

proptest! {
    /// Small jobs are proven optimal, and equal to exhaustive search.
    #[test]
    fn small_jobs_equal_exhaustive_search(lengths in prop::collection::vec(10..95_u32, 1..10)) {
        let inches: Vec<f64> = lengths.iter().map(|l| f64::from(*l)).collect();
        let made = cutting(&inches, 100.0, 0.0);
        sound(&made, &inches, 100.0, 0.0);
        prop_assert_eq!(made.rolls.len(), exhaustive(&lengths, 100));
        prop_assert_eq!(made.bound, made.rolls.len());
    }

    /// Larger ones are sound, and never worse than longest first.
    #[test]
    fn plans_are_sound(lengths in prop::collection::vec(24.0..600.0_f64, 0..60), kerf in 0.0..0.5_f64) {
        let made = cutting(&lengths, 3000.0, kerf);
        sound(&made, &lengths, 3000.0, kerf);
        prop_assert!(made.rolls.len() <= made.bound + 1);
    }

    /// The relaxation's bound is one: it never passes what exhaustive search needs.
    #[test]
    fn the_relaxation_bounds_every_plan(lengths in prop::collection::vec(10..95_u64, 1..9)) {
        let mut sorted = lengths.clone();
        sorted.sort_unstable_by(|a, b| b.cmp(a));
        sorted.dedup();
        let counts = sorted.iter().map(|l| lengths.iter().filter(|x| *x == l).count() as u32).collect();
        let demand = Demand { roll: 100, lengths: sorted, counts };
        let whole: Vec<u32> = lengths.iter().map(|l| *l as u32).collect();
        let bound = relax::relax(&demand).bound;
        prop_assert!(bound <= exhaustive(&whole, 100));
        prop_assert!(bound >= demand.material_bound());
    }
}

//! Spoilt drawings end in words or in a plan that keeps its invariants, never in a panic.

#[path = "../fuzz/entry.rs"]
mod entry;
#[path = "../fuzz/mutate.rs"]
mod mutate;

use entry::{Ending, plan_of_bytes, read_and_plan};
use std::collections::BTreeMap;

/// Mutants of each seed.
const EACH: u64 = 100;

#[test]
fn seeds_are_read_as_they_are() {
    for (place, seed) in mutate::seeds().iter().enumerate() {
        assert_eq!(read_and_plan(seed), Ending::Plan, "seed {place}");
    }
}

#[test]
fn spoilt_drawings_end_in_words_or_in_a_sound_plan() {
    let mut endings: BTreeMap<String, usize> = BTreeMap::new();
    for (place, seed) in mutate::seeds().iter().enumerate() {
        for number in 0..EACH {
            let bytes = mutate::spoil(seed, number);
            let ending = std::panic::catch_unwind(|| read_and_plan(&bytes));
            let ending = ending.unwrap_or_else(|_| panic!("mutant {number} of seed {place} stops the program"));
            *endings.entry(format!("{ending:?}")).or_default() += 1;
        }
    }
    // A spoiler that spoils nothing, or everything, proves nothing.
    assert!(endings["Plan"] >= 100 && endings.len() >= 4, "{endings:?}");
}

#[test]
fn linework_of_any_numbers_gives_a_sound_plan_or_words() {
    let mut endings: BTreeMap<String, usize> = BTreeMap::new();
    for number in 0..200 {
        let mut dice = mutate::Dice::new(number);
        let bytes: Vec<u8> = (0..20 + dice.below(400)).map(|_| dice.below(256) as u8).collect();
        let ending = std::panic::catch_unwind(|| plan_of_bytes(&bytes));
        let ending = ending.unwrap_or_else(|_| panic!("linework {number} stops the plan stage"));
        *endings.entry(format!("{ending:?}")).or_default() += 1;
    }
    assert!(endings["Plan"] >= 20 && endings.len() >= 2, "{endings:?}");
}

/// What fuzzing the plan stage found, as small as the fuzzer could make it.
#[test]
fn linework_that_once_broke_the_plan_stage_is_sound() {
    let cases: [&[u8]; 1] = [
        // A closed figure that crosses itself was taken as an opening, with parts larger than the whole.
        b"998\nsamp\xe8\xff\xff\xffON\n \x1a\x00\x00\x07\n  9\n$ACADVER\n  1\n\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xffA-R\n  2\nARAYA-ROOR",
    ];
    for bytes in cases {
        assert_eq!(plan_of_bytes(bytes), Ending::Plan, "{}", bytes.escape_ascii());
    }
}

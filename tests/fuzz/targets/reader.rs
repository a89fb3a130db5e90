//! Any bytes through the reader and the plan stage.
#![no_main]

#[path = "../entry.rs"]
#[allow(dead_code, reason = "each target uses one of the entries")]
mod entry;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    entry::read_and_plan(bytes);
});

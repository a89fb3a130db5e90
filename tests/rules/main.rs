//! Tests of the whole program that need nothing but a Rust toolchain.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails the test by panicking")]

mod answers;
mod architecture;
mod by_hand;
mod by_hand_leads;
mod command;
mod dimensions;
mod drawings;
mod errors_job;
mod finished_roof;
mod generated_roofs;
mod mutants;
mod outline;
mod outline_only;
mod retrofit;
mod same_roof;
mod samples;
mod schemas;
mod site_forms;
mod terminal;
mod verifier;
mod warm_element;

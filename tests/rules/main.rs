//! Tests of the whole program that need nothing but a Rust toolchain.

mod architecture;
mod command;
mod errors_job;
mod mutants;
mod same_roof;
mod samples;
mod schemas;

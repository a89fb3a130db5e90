//! Tests of the whole program that need nothing but a Rust toolchain.

mod errors_job;
mod schemas;

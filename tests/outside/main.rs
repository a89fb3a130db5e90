//! Tests against data and programs from outside. Each is ignored with what it needs; `.ci/run` runs them all.

mod import;
mod plan;
mod roof;

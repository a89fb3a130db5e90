//! Tests against data and programs from outside. Each is ignored with what it needs; `.ci/run` runs them all.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails the test by panicking")]
#![expect(clippy::print_stdout, reason = "the figures measured are the point of these tests")]

// The writers' fixtures, shared with the unit tests, name the library as `crate`.
use eavesdraft::{geometry, sheet};

#[path = "../../src/write/fixtures.rs"]
mod fixtures;
#[path = "../fuzz/mutate.rs"]
mod mutate;
#[path = "../rules/verifier/mod.rs"]
mod verifier;

mod bounds;
mod corpus;
mod dirty;
mod ezdxf;
mod feeding;
mod formats;
mod hostile;
mod import_files;
mod outline_only;
mod pdf;
mod pdf_points;
mod pipeline;
mod plan;
mod readers;
mod rendered;
mod roof;
mod season;
mod skeleton;
mod view;
mod workbook;

//! Tests against data and programs from outside. Each is ignored with what it needs; `.ci/run` runs them all.

// The writers' fixtures, shared with the unit tests, name the library as `crate`.
use eavesdraft::{geometry, sheet};

mod corpus;
mod dirty;
mod ezdxf;
mod hostile;
mod import_files;
mod pdf;
mod plan;
mod readers;
mod roof;

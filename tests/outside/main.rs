//! Tests against data and programs from outside. Each is ignored with what it needs; `.ci/run` runs them all.

mod import_files;
mod plan;
// The writers' fixtures name the library as `crate`.
use eavesdraft::{geometry, import, sheet, units};

mod ezdxf;
mod roof;

//! The job file.

mod defaults;
mod model;
mod products;

pub use model::*;

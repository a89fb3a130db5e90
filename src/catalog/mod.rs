//! Product data from TOML.

mod load;
mod model;

pub use model::*;

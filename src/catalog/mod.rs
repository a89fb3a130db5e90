//! Product data from TOML.

mod load;
mod model;

pub use load::catalogue_schema;
pub use model::*;

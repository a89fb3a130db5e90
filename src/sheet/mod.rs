//! The layout is drawn: [`SheetSet`].

mod model;

pub use model::*;
